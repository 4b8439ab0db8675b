package record

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"github.com/google/uuid"
)

// Grade is how loudly a flag speaks.
type Grade string

// Stop: cannot be. Look: re-measure now. Remark: worth knowing.
const (
	Stop   Grade = "stop"
	Look   Grade = "look"
	Remark Grade = "note"
)

// Flag is something that cannot or may not be right, with the evidence. It is
// always recomputed from register and protocol; only what was done about it
// is a line.
type Flag struct {
	Rule     string // name of the rule, as in the table of package check
	Grade    Grade
	Subject  uuid.UUID   // the capture, young or line it is about
	Field    string      // the row of the card it stands in: "measures/pes", "sex", "marks"
	Says     string      // the sentence people read
	Evidence string      // the values it rests on; other evidence makes another flag
	Beside   []uuid.UUID // other captures that bear on it
}

// Key names a flag across recomputations: rule, subject and evidence.
func (f Flag) Key() string {
	h := sha256.Sum256([]byte(f.Rule + "\x00" + f.Subject.String() + "\x00" + f.Evidence))
	return hex.EncodeToString(h[:8])
}

// FlagAct is what somebody did about a flag.
type FlagAct struct {
	Flag string    `json:"flag"` // its key
	Rule string    `json:"rule"`
	Of   uuid.UUID `json:"of"`            // its subject
	Act  string    `json:"act"`           // shown, kept, settled
	How  string    `json:"how,omitempty"` // measured again, confirmed, corrected, in the notes' own words
	At   time.Time `json:"at,omitzero"`
}

// What can be done about a flag.
const (
	FlagShown   = "shown"
	FlagKept    = "kept" // kept all the same, at the bench
	FlagSettled = "settled"
)
