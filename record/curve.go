package record

import "encoding/json"

// Curve adopts a relation of size and age, fitted from the programme's own
// animals, for use at the bench and in the checks. The latest of a species,
// trait and sex stands.
type Curve struct {
	Species  string          `json:"species"` // code of the sheet
	Trait    string          `json:"trait"`
	Sex      Sex             `json:"sex,omitempty"`
	Relation json.RawMessage `json:"relation"` // as growth.Read reads it, with the animals used and the state
	Why      string          `json:"why,omitempty"`
}
