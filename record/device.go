package record

import (
	"errors"

	"dawnround/notebook"
)

// Admitted lets a device take part: what it may do, and of which site it is
// given the coordinates. A later line about the same device replaces it. It
// counts when a leader's device wrote it.
type Admitted struct {
	Device notebook.DeviceID `json:"device"`
	Name   string            `json:"name"`
	Role   Role              `json:"role"`
	Site   string            `json:"site,omitempty"` // coordinates of this site only; empty: of all
}

// ShutOut takes a device's right to exchange lines, as when a phone is lost.
// What it wrote stays; what it wrote since may be brought in by file, by a leader.
type ShutOut struct {
	Device notebook.DeviceID `json:"device"`
	Why    string            `json:"why"`
}

// Role is what a device may do.
type Role string

// A scribe writes and reads, a leader also admits devices and shuts them out,
// a reader's lines are not taken.
const (
	Scribe Role = "scribe"
	Leader Role = "leader"
	Reader Role = "reader"
)

// Lock says that a trip's record is finished as it stands at these heads.
// Later lines about it are kept, and flagged.
type Lock struct {
	Trip  string         `json:"trip"`
	Heads notebook.Heads `json:"heads"`
	State string         `json:"state"` // the register's, as answers print it
	Why   string         `json:"why,omitempty"`
}

// Fork is the notebook's own line that carries both branches of a device
// written at two places.
type Fork struct {
	Branches []Branch `json:"branches"`
}

// Branch is one of the two: its lines as stored, and the head that its device signed.
type Branch struct {
	Lines []string            `json:"lines"`
	Head  notebook.SignedHead `json:"head"`
}

// Last is the line at which a branch ends.
func (b Branch) Last() (notebook.Line, error) {
	if len(b.Lines) == 0 {
		return notebook.Line{}, errors.New("a branch without lines")
	}
	return notebook.ParseLine([]byte(b.Lines[len(b.Lines)-1]))
}
