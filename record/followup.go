package record

import (
	"time"

	"github.com/google/uuid"
)

// FollowUp is something to be done by a time.
type FollowUp struct {
	FollowUp uuid.UUID `json:"follow_up"`
	On       string    `json:"on"` // capture's or young's id, or "trap SITE/NAME", or "trip ID"
	What     string    `json:"what"`
	Who      string    `json:"who,omitempty"`
	Due      time.Time `json:"due,omitzero"`
}

// Done closes a follow-up with its result.
type Done struct {
	FollowUp uuid.UUID `json:"follow_up"`
	Result   string    `json:"result"`
	At       time.Time `json:"at,omitzero"`
}
