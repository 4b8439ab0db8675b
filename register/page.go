package register

import (
	"slices"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// Page gives the lines written from one instant up to another, by the clock,
// struck ones included: the notebook as it was written.
func (r *Register) Page(from, to time.Time) []*Entry {
	var out []*Entry
	for _, e := range r.entries {
		if at := e.At(); !at.Before(from) && at.Before(to) {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, (*Entry).compare)
	return out
}

// Struck gives the lines that strike a line and stand themselves.
func (r *Register) Struck(id uuid.UUID) []*Entry {
	return slices.DeleteFunc(slices.Clone(r.strikes[id]), func(s *Entry) bool { return !r.live(s.ID) })
}

// Corrected gives every correction of a line, standing or replaced, by the
// clock.
func (r *Register) Corrected(id uuid.UUID) []*Entry { return slices.Clone(r.corrections[id]) }

// Disagreements gives every field that two live lines state differently,
// apart from those within captures, with the line they are about.
func (r *Register) Disagreements() map[uuid.UUID][]Disagreement {
	out := map[uuid.UUID][]Disagreement{}
	for id, e := range r.entries {
		if _, inCapture := e.now.(record.Capture); len(e.disagree) > 0 && !inCapture {
			out[id] = e.disagree
		}
	}
	return out
}
