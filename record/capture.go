package record

import (
	"time"

	"github.com/google/uuid"
)

// Capture is one animal at one trap on one night, with all that was found and
// done. A line states one or more of its parts; the register puts the parts
// of one id together.
type Capture struct {
	Capture  uuid.UUID `json:"capture"`
	At       *Spot     `json:"at,omitempty"`
	Bagged   *Bagged   `json:"bagged,omitempty"`
	Handled  *Handled  `json:"handled,omitempty"`
	Released *Released `json:"released,omitempty"`
	From     *Source   `json:"from,omitempty"`
}

// Spot says where and on which night an animal was caught.
type Spot struct {
	Trip  string    `json:"trip,omitempty"`
	Site  string    `json:"site,omitempty"`
	Night Night     `json:"night,omitzero"`
	Round uuid.UUID `json:"round,omitzero"`
	Trap  string    `json:"trap,omitempty"`
	Found time.Time `json:"found,omitzero"`
	Doubt string    `json:"doubt,omitempty"` // what is uncertain about the place: "plot number suspect"
}

// Bagged is the animal taken from the trap into a bag.
type Bagged struct {
	At      time.Time `json:"at,omitzero"`
	Bag     string    `json:"bag,omitempty"`
	Species string    `json:"species,omitempty"` // first impression
}

// Handled is the processing of one animal: what was read, measured, seen and
// taken, with the words in the order they were said or typed.
type Handled struct {
	Protocol  string             `json:"protocol,omitempty"` // version it was made under
	Start     time.Time          `json:"start,omitzero"`
	End       time.Time          `json:"end,omitzero"`
	Handler   string             `json:"handler,omitempty"`
	Scribe    string             `json:"scribe,omitempty"`
	Status    Status             `json:"status,omitempty"`
	Species   string             `json:"species,omitempty"`
	SpeciesBy string             `json:"species_by,omitempty"` // how sure, or on what basis, when not plain
	Sex       Sex                `json:"sex,omitempty"`
	SexBy     string             `json:"sex_by,omitempty"`
	Stage     string             `json:"stage,omitempty"` // a life stage of the species sheet
	StageBy   string             `json:"stage_by,omitempty"`
	Marks     []Mark             `json:"marks,omitempty"`
	Scan      string             `json:"scan,omitempty"` // "none found" where a chip was looked for in vain, or "nc" and why
	Weighing  *Weighing          `json:"weighing,omitempty"`
	Measures  map[string]Reading `json:"measures,omitempty"` // by trait id, with ".left" or ".right" where sided
	Signs     map[string]Sign    `json:"signs,omitempty"`    // by the sheet's sign id
	Young     []Young            `json:"young,omitempty"`
	Findings  []Finding          `json:"findings,omitempty"`
	Samples   []Sample           `json:"samples,omitempty"`
	Incidents []Incident         `json:"incidents,omitempty"`
	Brief     bool               `json:"brief,omitempty"` // retrap or bycatch: released without full processing
	Notes     string             `json:"notes,omitempty"` // verbatim
	Steps     []Step             `json:"steps,omitempty"`
	Flags     []FlagAct          `json:"flags,omitempty"`  // what was shown, and kept all the same
	Unread    map[string]string  `json:"unread,omitempty"` // imported columns with no place of their own, verbatim
}

// Status is how the animal came to this trap.
type Status string

// The statuses of a capture.
const (
	StatusUnknown Status = ""
	New           Status = "new"       // not marked before
	Recapture     Status = "recapture" // marked on an earlier trip
	Retrap        Status = "retrap"    // caught earlier on this trip
	FoundDead     Status = "dead"
)

// Sex of an animal; the zero value was not stated.
type Sex string

// The sexes; Unsexed was looked at and could not be told.
const (
	SexUnknown Sex = ""
	Female     Sex = "female"
	Male       Sex = "male"
	Unsexed    Sex = "not told"
)

// Weighing keeps what the scale said. Net is gross less bag, or what a tared
// scale showed, and stands as the reading of the trait "mass".
type Weighing struct {
	Gross    *Quantity `json:"gross,omitempty"`
	Bag      *Quantity `json:"bag,omitempty"`
	BagAfter *Quantity `json:"bag_after,omitempty"` // the emptied bag, wet or not
	Net      *Quantity `json:"net,omitempty"`       // as said; absent when it follows from the others
}

// NetMilli is the animal's own mass in thousandths of the unit: what was said
// as net, else gross less the emptied bag, else gross less the bag.
func (w *Weighing) NetMilli() (int64, bool) {
	switch {
	case w == nil:
		return 0, false
	case w.Net != nil:
		return w.Net.Milli, true
	case w.Gross != nil && w.BagAfter != nil:
		return w.Gross.Milli - w.BagAfter.Milli, true
	case w.Gross != nil && w.Bag != nil:
		return w.Gross.Milli - w.Bag.Milli, true
	}
	return 0, false
}

// MassMilli is the net mass of the animal in thousandths of a gram, from the
// weighing or from the reading of the trait "mass" that counts.
func (h *Handled) MassMilli() (int64, bool) {
	if h == nil {
		return 0, false
	}
	if net, ok := h.Weighing.NetMilli(); ok {
		return net, true
	}
	r, ok := h.Measures["mass"]
	return r.Counts().Milli, ok && r.Is() == Seen
}

// Released is how it left the hand.
type Released struct {
	At        time.Time `json:"at,omitzero"`
	Fate      Fate      `json:"fate"`
	Where     string    `json:"where,omitempty"`      // when not at the trap it was caught in
	WithYoung string    `json:"with_young,omitempty"` // pouch closed, young followed, …
	Behaviour string    `json:"behaviour,omitempty"`
	By        string    `json:"by,omitempty"`
	Why       string    `json:"why,omitempty"` // cause of death, reason kept or removed
}

// Fate is what became of the animal at this capture.
type Fate string

// The fates of record.md: released here or elsewhere, and those that end a
// life or its stay in the population.
const (
	FateReleased   Fate = "released"
	FateElsewhere  Fate = "released elsewhere"
	FateToVet      Fate = "to vet"
	FateKept       Fate = "kept" // removed under permit
	FateDied       Fate = "died"
	FateEuthanased Fate = "euthanased"
	FateEscaped    Fate = "escaped"
)

// Ends reports a fate after which the animal cannot be caught alive again.
func (f Fate) Ends() bool { return f == FateDied || f == FateEuthanased }

// Source is the row of a table this line was read from.
type Source struct {
	File string `json:"file"` // the source's name in the mapping, not a path
	Row  string `json:"row"`  // its row key
}
