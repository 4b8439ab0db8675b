package record

import (
	"time"

	"github.com/google/uuid"
)

// Setting is the traps of one site set for one night.
type Setting struct {
	Trip  string    `json:"trip"`
	Site  string    `json:"site"`
	Night Night     `json:"night"`
	First time.Time `json:"first,omitzero"` // when the first trap was set
	Last  time.Time `json:"last,omitzero"`
	Set   []string  `json:"set"` // trap names
	Not   []NotSet  `json:"not,omitempty"`
}

// NotSet is a planned trap that was not set that night.
type NotSet struct {
	Trap string `json:"trap"`
	Why  string `json:"why,omitempty"`
}

// Round is one clearing of the traps of a night. The night comes from here,
// never from a device's clock.
type Round struct {
	Round  uuid.UUID `json:"round"`
	Trip   string    `json:"trip"`
	Site   string    `json:"site"`
	Night  Night     `json:"night"`
	Number int       `json:"number"`
	Opened time.Time `json:"opened,omitzero"`
}

// RoundEnd says that every set trap of the round was seen.
type RoundEnd struct {
	Round uuid.UUID `json:"round"`
	At    time.Time `json:"at,omitzero"`
}

// Closing is traps shut, so that nothing can walk into one unseen.
type Closing struct {
	Trip  string    `json:"trip"`
	Site  string    `json:"site"`
	Night Night     `json:"night"`
	Traps []string  `json:"traps"`
	At    time.Time `json:"at,omitzero"`
}

// Check is what one trap held at one round.
type Check struct {
	Round    uuid.UUID   `json:"round"`
	Trip     string      `json:"trip"`
	Site     string      `json:"site"`
	Night    Night       `json:"night"`
	Trap     string      `json:"trap"`
	Outcome  Outcome     `json:"outcome"`
	At       time.Time   `json:"at,omitzero"`
	Why      string      `json:"why,omitempty"`
	Captures []uuid.UUID `json:"captures,omitempty"` // minted here when the outcome is a capture
}

// Outcome of a trap at a round.
type Outcome string

// The outcomes of record.md §1.
const (
	OutcomeCapture    Outcome = "capture"
	OutcomeEmpty      Outcome = "empty"
	OutcomeSprung     Outcome = "sprung"
	OutcomeBaitTaken  Outcome = "bait taken"
	OutcomeEscaped    Outcome = "escaped"
	OutcomeDisabled   Outcome = "disabled"
	OutcomeNotSet     Outcome = "not set"
	OutcomeNotChecked Outcome = "not checked"
)

// Effort is a count of traps on a site and night where single traps are not
// named. Unknown effort is not the same as not trapped.
type Effort struct {
	Trip    string  `json:"trip"`
	Site    string  `json:"site"`
	Night   Night   `json:"night,omitzero"`
	Trapped string  `json:"trapped"` // yes, no or unknown
	Traps   int     `json:"traps,omitempty"`
	Doubt   string  `json:"doubt,omitempty"` // what is uncertain about it
	From    *Source `json:"from,omitempty"`
}

// Weather is the conditions at one site and night.
type Weather struct {
	Site   string    `json:"site"`
	Night  Night     `json:"night"`
	At     string    `json:"when"` // set, first trap, last trap
	Time   time.Time `json:"time,omitzero"`
	TempC  *Quantity `json:"temp_c,omitempty"`
	RainMM *Quantity `json:"rain_mm,omitempty"`
	Wind   string    `json:"wind,omitempty"`
	Cloud  string    `json:"cloud,omitempty"`
	Source string    `json:"source,omitempty"` // measured, station, guess
}
