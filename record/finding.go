package record

import "time"

// Finding is a sign of health or a parasite: body part × side × sign × grade
// or count. "None seen" names the part that was looked at.
type Finding struct {
	Part  string `json:"part"`
	Side  string `json:"side,omitempty"`
	Sign  string `json:"sign"`
	State State  `json:"state,omitempty"` // none seen or not checked
	Why   string `json:"why,omitempty"`
	Grade string `json:"grade,omitempty"`
	Count *int   `json:"count,omitempty"`
	Class string `json:"class,omitempty"` // a counted class of the protocol
	Low   *int   `json:"low,omitempty"`   // the class's bounds, kept with the value
	High  *int   `json:"high,omitempty"`  // absent: open above
	Notes string `json:"notes,omitempty"`
}

// Sample is a tissue or other specimen taken, with its label.
type Sample struct {
	Kind   string    `json:"kind"`
	Label  string    `json:"label"`
	Part   string    `json:"part,omitempty"`
	Side   string    `json:"side,omitempty"`
	Amount string    `json:"amount,omitempty"`
	Medium string    `json:"medium,omitempty"`
	By     string    `json:"by,omitempty"`
	At     time.Time `json:"at,omitzero"`
}

// Incident is something that went wrong for an animal or a person. Of a
// person it says only that it happened: health stays out of this record.
type Incident struct {
	Kind    string    `json:"kind"` // young ejected, torpor, distress, escape, injury, person hurt
	At      time.Time `json:"at,omitzero"`
	Says    string    `json:"says,omitempty"`
	Aid     string    `json:"aid,omitempty"` // what was done
	Outcome string    `json:"outcome,omitempty"`

	Said map[string]string `json:"said,omitempty"` // what was asked of it, and answered in a word
}
