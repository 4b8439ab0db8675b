package call

import "dawnround/record"

// Heard is what one phrase said.
type Heard struct {
	Said      string       `json:"said"`                // the phrase, byte for byte
	Words     []Word       `json:"words"`               // in order; joined they are the phrase
	Fields    []Field      `json:"fields,omitempty"`    // in the order said
	Confirmed []string     `json:"confirmed,omitempty"` // fields that were agreed to
	Corrected []Correction `json:"corrected,omitempty"`
	Questions []Question   `json:"questions,omitempty"`
	Again     []string     `json:"again,omitempty"`    // fields that will be measured again
	Query     string       `json:"query,omitempty"`    // field that was asked to be read back
	Control   []Control    `json:"control,omitempty"`  // hold, next, leave it
	Previous  bool         `json:"previous,omitempty"` // all of it is about the animal before
	ByOrder   bool         `json:"by_order,omitempty"` // bare numbers were taken in the calling order
	Next      string       `json:"next,omitempty"`     // slot of the order the next bare number fills; empty: as it was, or at the end
	Notes     []string     `json:"notes,omitempty"`    // what is odd and needs no answer: "possible failed chip"
}

// Fate is what became of a word.
type Fate string

// The fates of a word. Between is white space and stops.
const (
	Between Fate = ""
	Taken   Fate = "taken"
	Asked   Fate = "asked"
	Left    Fate = "left"
)

// Word is a piece of the phrase. Pieces follow one another without a gap.
type Word struct {
	Text  string `json:"text"`
	From  int    `json:"from"` // bytes of the phrase
	To    int    `json:"to"`
	Fate  Fate   `json:"fate,omitempty"`
	Field string `json:"field,omitempty"` // where it went
}

// Field is one thing that was said. At is an address: see the table in
// address.go.
type Field struct {
	At         string            `json:"at"`
	Value      string            `json:"value,omitempty"` // as stored: "98.3", "female", "218"
	Number     *record.Quantity  `json:"number,omitempty"`
	Unit       string            `json:"unit,omitempty"`    // UCUM code
	SaidAs     string            `json:"said_as,omitempty"` // the unit that was said, when another: "kg"
	Step       string            `json:"step,omitempty"`    // reading step of what was said: 1, 0.1
	State      record.State      `json:"state,omitempty"`   // none seen or not checked
	Why        string            `json:"why,omitempty"`
	Side       string            `json:"side,omitempty"`
	Convention string            `json:"convention,omitempty"`
	Roughly    bool              `json:"roughly,omitempty"`
	Again      []record.Quantity `json:"again,omitempty"`   // further readings of the same thing, in order
	Derived    bool              `json:"derived,omitempty"` // follows from others; was not said
	Misheard   string            `json:"misheard,omitempty"`
	Pending    bool              `json:"pending,omitempty"` // under question: shown, neither filled nor lost
	Flag       string            `json:"flag,omitempty"`    // kept, but odd
	From       int               `json:"from"`              // bytes of the phrase it came from; both 0 when derived
	To         int               `json:"to"`
}

// Correction is a value that was replaced. Now is empty where it was only
// taken away.
type Correction struct {
	At  string `json:"at"`
	Was string `json:"was"`
	Now string `json:"now,omitempty"`
}

// Question is one short question. About is the address of a field, or one of
// the topics below.
type Question struct {
	About string   `json:"about"`
	Says  string   `json:"says"`
	Among []string `json:"among,omitempty"` // fields or values to choose from
}

// Topics of a question that is not about one field.
const (
	WhichField   = "field"
	WhichAnimal  = "animal"
	WeightBasis  = "weight basis"
	WhichSign    = "findings/sign"
	WhichTagSide = "ear tag side"
)

// Control is a word to the scribe and the bench.
type Control string

// The controls.
const (
	Hold    Control = "hold"
	NextOne Control = "next"
	LeaveIt Control = "leave it"
)

// Field finds what was said last for an address.
func (h *Heard) Field(at string) (*Field, bool) {
	for i := len(h.Fields) - 1; i >= 0; i-- {
		if h.Fields[i].At == at {
			return &h.Fields[i], true
		}
	}
	return nil, false
}

// Leftover tells whether any word was neither taken nor asked about.
func (h *Heard) Leftover() bool {
	for _, w := range h.Words {
		if w.Fate == Left {
			return true
		}
	}
	return false
}
