package courier

import (
	"fmt"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/register"
)

// Side is one notebook at an exchange, and what it needs to take part.
type Side struct {
	Programme *programme.Programme
	Who       string              // initials of who holds the pen: of lines about clocks and forks
	Now       func() time.Time    // this device's clock
	Trust     []notebook.DeviceID // devices this one was paired with, though no line admits them yet
	Site      string              // this device is given the coordinates of this site only; empty: of all, or as the lines say
	Copies    *Copies             // what others are known to hold; nil: nobody remembers
}

// State is how far an exchange has come: what went, what came, what waits.
type State struct {
	With     notebook.DeviceID  `json:"with"`
	WithName string             `json:"with_name,omitempty"`
	At       time.Time          `json:"at,omitzero"` // of the last acknowledged step, by the clock here
	Sent     int                `json:"sent"`        // lines
	ToSend   int                `json:"to_send"`
	Came     int                `json:"came"` // lines that were new here
	ToCome   int                `json:"to_come"`
	Waiting  []notebook.Waiting `json:"waiting,omitempty"` // came and cannot be taken yet
	Refused  []notebook.Waiting `json:"refused,omitempty"` // went and was not taken
	Held     []Held             `json:"held,omitempty"`    // lines of a file that a leader must let in
	AheadS   int                `json:"ahead_s,omitempty"` // by which the clock here is ahead of theirs, seconds
	Forks    int                `json:"forks,omitempty"`   // devices found written at two places; both branches are kept
	Renewed  bool               `json:"renewed,omitempty"` // this notebook goes on as a new device, since its own was forked
	Done     bool               `json:"done"`              // both hold the same
}

// Says is the state in a sentence or two.
func (s State) Says() string {
	parts := []string{fmt.Sprintf("%s sent, %s new here", lines(s.Sent), lines(s.Came))}
	if s.ToSend+s.ToCome > 0 {
		parts = append(parts, fmt.Sprintf("%d to send and %d to come", s.ToSend, s.ToCome))
	}
	for _, w := range s.Waiting {
		parts = append(parts, fmt.Sprintf("%s of device %.8s… wait: %s", lines(w.Lines), w.Device, w.Why))
	}
	for _, w := range s.Refused {
		parts = append(parts, fmt.Sprintf("%s of device %.8s… were not taken: %s", lines(w.Lines), w.Device, w.Why))
	}
	for _, h := range s.Held {
		parts = append(parts, h.says())
	}
	if s.AheadS != 0 {
		parts = append(parts, "the clock here is "+ClockWords(s.AheadS)+" beside theirs")
	}
	if s.Forks > 0 {
		parts = append(parts, "a copied notebook was written at two places, and both branches are kept")
	}
	return strings.Join(parts, "; ")
}

func lines(n int) string {
	if n == 1 {
		return "1 line"
	}
	return fmt.Sprintf("%d lines", n)
}

// ClockWords says by how much a clock is off: "1 h 2 min fast".
func ClockWords(seconds int) string {
	off := time.Duration(max(seconds, -seconds)) * time.Second
	way := "fast"
	if seconds < 0 {
		way = "slow"
	}
	hours, minutes := int(off.Hours()), int(off.Minutes())%60
	switch {
	case off < time.Minute:
		return fmt.Sprintf("%d s %s", int(off.Seconds()), way)
	case hours == 0:
		return fmt.Sprintf("%d min %s", minutes, way)
	case minutes == 0:
		return fmt.Sprintf("%d h %s", hours, way)
	}
	return fmt.Sprintf("%d h %d min %s", hours, minutes, way)
}

// member is what the lines here say of a device.
func (s Side) member(id notebook.DeviceID) (d register.Device) {
	own := s.Programme.Notebook().Device()
	s.Programme.View(func(r *register.Register) { d = r.Member(id, own) })
	return d
}

// note begins a parcel: what this side holds, and which heads of the other side,
// as far as it has said, are on branches here.
func (s Side) note(laid *aside, theirs *holding) (Note, error) {
	n := s.Programme.Notebook()
	heads, _, err := n.Heads()
	note := Note{Parcel: 1, Programme: n.Programme(), Device: n.Device(), Now: s.Now().UTC(), Holds: heads, Aside: laid.heads()}
	if theirs == nil {
		return note, err
	}
	for _, device := range order(theirs.heads, n.Device()) {
		if head := theirs.heads[device]; head != heads[device] && n.OnBranch(head.Hash) {
			note.Branches = append(note.Branches, head.Hash)
		}
	}
	return note, err
}
