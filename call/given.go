package call

import "slices"

// Given is the scene before a phrase. The bench fills it; nothing is looked
// up. The zero value is an open animal of which nothing is known.
type Given struct {
	SoFar       []Known  // recorded on the open animal, in order
	NothingOpen bool     // no animal is open
	Previous    []Known  // the animal before
	Order       []string // calling order, as addresses; empty: off
	OrderAt     string   // the slot the next bare number fills; empty: the first
	Asked       string   // address the speaker is expected to give now
	FullNumber  bool     // … and it is a whole transponder number
	ReadBack    []Known  // what the scribe just repeated, unconfirmed
	Repeats     string   // address of which repeat readings are being taken
	Questions   []string // what was asked already of this animal; never asked again
	Speaker     string   // Handler, Scribe, Runner, Both
	Source      string   // Dictated, Typed, Paper; empty: not known
	Pause       bool     // a first word may be a pause, not a field
	Noisy       bool     // something was over the voice: numbers that sound alike are asked
	NotTared    bool     // the scale shows the bag too
	Tare        string   // mass of the bag in grams; empty: not entered
	Stage       string   // life stage known or expected, of the sheet
	Sex         string
	Litter      bool // the species carries several young
	LitterSize  int  // how many she has; 0: not known
	Last        []Known
	LastStage   string
	Marks       []KnownMark
	Traps       []string // all that exist; empty: not known
	Labels      []string // sample labels used
	Samples     []string // sample kinds this animal already gave
	SameTrip    bool     // caught earlier on this trip
	Incident    bool     // distress, ejection, bite: record and be quiet
}

// The speakers and sources.
const (
	Handler  = "handler"
	Scribe   = "scribe"
	Runner   = "runner"
	Both     = "both"
	Dictated = "dictated"
	Typed    = "typed"
	Paper    = "paper"
)

// Known is a recorded value.
type Known struct {
	At    string
	Value string
	Side  string
}

// KnownMark is a mark on file.
type KnownMark struct {
	Kind string // of the protocol; empty: a transponder
	Text string
	Sex  string
}

// known finds a value by its address.
func known(list []Known, at string) (Known, bool) {
	i := slices.IndexFunc(list, func(k Known) bool { return k.At == at })
	if i < 0 {
		return Known{}, false
	}
	return list[i], true
}
