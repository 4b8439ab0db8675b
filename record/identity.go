package record

import "github.com/google/uuid"

// Same says that captures (or young) are one animal.
type Same struct {
	Of       []uuid.UUID `json:"of"` // captures' or young's ids
	Evidence []string    `json:"evidence"`
	Sure     Certainty   `json:"sure,omitempty"`
}

// Apart says that captures are not the animal of another capture, whatever
// the mark read on them says: a mark that From's animal bears does not speak
// for them. Their other marks do, and so do lines that say same. The captures
// named together stay together.
type Apart struct {
	These    []uuid.UUID `json:"these"`
	From     uuid.UUID   `json:"from"`
	Evidence []string    `json:"evidence"`
}
