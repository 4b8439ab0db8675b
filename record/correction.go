package record

import (
	"encoding/json"

	"github.com/google/uuid"
)

// Correction replaces one field of one line, whatever the clock says.
// Field is a JSON Pointer (RFC 6901) into that line's body; a null Value
// takes the field away.
type Correction struct {
	Line     uuid.UUID       `json:"line"`
	Field    string          `json:"field"`
	Value    json.RawMessage `json:"value"`
	Was      json.RawMessage `json:"was,omitempty"`
	Why      string          `json:"why"`
	Replaces []uuid.UUID     `json:"replaces,omitempty"` // earlier corrections of the same field, now struck
}

// Strike takes a whole line out of the register, as with one ruled stroke; a
// strike can itself be struck.
type Strike struct {
	Line uuid.UUID `json:"line"`
	Why  string    `json:"why"`
}

// Note is a later remark on a capture, a young, a trap or a trip.
type Note struct {
	On   string `json:"on"` // an id, or "trap SITE/NAME", or "trip ID"
	Text string `json:"text"`
}
