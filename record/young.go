package record

import "github.com/google/uuid"

// Young is one young of the animal in hand, a row of her pouch or nest. Its
// id stays the same from capture to capture while the crew take it for the
// same young, so it is known before it carries a mark.
type Young struct {
	Young    uuid.UUID          `json:"young"`
	Where    string             `json:"where,omitempty"`    // in pouch, at foot, same trap, neighbouring trap, gone
	Attached string             `json:"attached,omitempty"` // yes or no
	Teat     string             `json:"teat,omitempty"`
	Sex      Sex                `json:"sex,omitempty"`
	Measures map[string]Reading `json:"measures,omitempty"`
	Signs    map[string]Sign    `json:"signs,omitempty"` // skin, fur, eyes
	Sure     Certainty          `json:"sure,omitempty"`  // that this is her young
	Notes    string             `json:"notes,omitempty"`
}

// Certainty grades a link between two animals (record.md §6).
type Certainty string

// The grades. Attached to a teat, or suckling in the same trap, is certain.
const (
	Certain   Certainty = "certain"
	Likely    Certainty = "likely"
	Suspected Certainty = "suspected"
)

// Mother links a young or a later capture to its mother.
type Mother struct {
	Of       uuid.UUID `json:"of"`     // a young's or a capture's id
	Mother   uuid.UUID `json:"mother"` // a capture's id of the mother
	Sure     Certainty `json:"sure"`
	Evidence string    `json:"evidence"`
}
