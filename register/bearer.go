package register

import (
	"slices"

	"dawnround/record"

	"github.com/google/uuid"
)

// Marks gives the marks by which a capture is known, each once; earlier marks
// named as evidence are not among them.
func (c *Capture) Marks() []MarkKey { return c.marks }

// Bears reports whether a mark was read, put or found gone at a capture.
func (c *Capture) Bears(k MarkKey) bool { return slices.Contains(c.marks, k) }

// Bearer is the animal that a mark read or put on a night speaks for, as the
// fold would tell it were the capture kept: a mark put on anew after it was
// found gone is nobody's yet.
func (r *Register) Bearer(k MarkKey, act record.MarkAct, night record.Night) (animal uuid.UUID, ok bool) {
	spans := r.spans(k)
	if len(spans) == 0 {
		return uuid.UUID{}, false
	}
	s := spans[0]
	for _, next := range spans[1:] {
		if !night.Before(next.Captures[0].At.Night) {
			s = next
		}
	}
	if act == record.MarkPut && s.Gone != nil && !night.Before(s.Gone.At.Night) {
		return uuid.UUID{}, false
	}
	for _, c := range s.Captures {
		if !r.taken(c, s) {
			return c.Animal, true
		}
	}
	return uuid.UUID{}, false
}

// Positions gives every position of one trap, by its first night.
func (r *Register) Positions(site, trap string) []record.Trap {
	var out []record.Trap
	for s, list := range r.about["trap"] {
		if s.a == site && s.b == trap {
			out = append(out, list[len(list)-1].now.(record.Trap))
		}
	}
	slices.SortFunc(out, func(a, b record.Trap) int { return a.From.Compare(b.From) })
	return out
}

// SaidSame gives the captures and young that live lines say are the same
// animal as one of them, itself among them.
func (r *Register) SaidSame(id uuid.UUID) []uuid.UUID {
	var out []uuid.UUID
	for _, e := range r.links[id] {
		if b, ok := e.now.(record.Same); ok {
			for _, o := range b.Of {
				out = appendNew(out, o)
			}
		}
	}
	return out
}
