package record

import "time"

// Trip is a block of nights.
type Trip struct {
	Trip      string   `json:"trip"`
	Name      string   `json:"name,omitempty"`
	Sites     []string `json:"sites,omitempty"`
	First     Night    `json:"first,omitzero"`
	Last      Night    `json:"last,omitzero"`
	Leader    string   `json:"leader,omitempty"`
	Approvals []string `json:"approvals,omitempty"`
	Outside   string   `json:"outside,omitempty"` // why it is outside the normal protocol, kept but left out of estimates
}

// Labels reserves a series of sample labels for a team.
type Labels struct {
	Sample string `json:"sample,omitempty"` // sample kind; empty: any
	Series string `json:"series"`           // B001–B250
	Team   string `json:"team,omitempty"`
}

// Tare is the mass of an empty bag, in grams.
type Tare struct {
	Bag  string    `json:"bag"`
	Mass Quantity  `json:"mass"`
	At   time.Time `json:"at,omitzero"`
}
