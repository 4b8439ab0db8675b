package register

import (
	"slices"
	"strings"

	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// MarkKey names a mark: its kind, its text as compared, and the species where
// the mark kind says that a text speaks within a species only.
type MarkKey struct{ Kind, Text, Species string }

// markKeys are the marks by which a capture is known, each once.
func (r *Register) markKeys(c *Capture) []MarkKey {
	if c.Handled == nil {
		return nil
	}
	var keys []MarkKey
	for _, m := range c.Handled.Marks {
		k, ok := r.MarkKey(m, c.Species())
		if ok && m.Act != record.MarkOld && !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	return keys
}

// MarkKey is the mark a reading names; false where the protocol says that the
// text means no mark.
func (r *Register) MarkKey(m record.Mark, species string) (MarkKey, bool) {
	k := MarkKey{Kind: m.Kind, Text: mark.Canonical(m.Text)}
	if k.Text == "" {
		return k, false
	}
	kind, known := r.protocol.MarkKind(m.Kind)
	if !known {
		return k, true
	}
	if slices.Contains(kind.None, k.Text) {
		return k, false
	}
	if kind.Form == protocol.Transponder {
		if t, err := mark.ParseTransponder(m.Text); err == nil {
			k.Text = t.Number
		}
	}
	if kind.CaseCounts {
		k.Text = strings.TrimSpace(m.Text)
	}
	if kind.WithinSpecies {
		k.Species = species
	}
	return k, true
}

// bear enters that a mark was read at a capture; every other capture with the
// mark may now be another animal's.
func (r *Register) bear(k MarkKey, capture uuid.UUID) {
	r.index.Add(k.Kind, k.Text, k.owner())
	join(r.bearing, k, capture)
	r.dirtyMark(k)
}

func (r *Register) unbear(k MarkKey, capture uuid.UUID) {
	r.dirtyMark(k)
	if unjoin(r.bearing, k, capture); r.bearing[k] == nil {
		r.index.Remove(k.Kind, k.Text, k.owner())
	}
}

func (r *Register) dirtyMark(k MarkKey) {
	for id := range r.bearing[k] {
		r.dirtyNodes[id] = true
	}
}

// Span is one mark on one animal, from the first capture on which it was read
// or put to the last, or to the capture at which it was found gone.
type Span struct {
	Key      MarkKey
	Captures []*Capture // by night
	Put      *Capture   // where it was put on, nil where nobody wrote so
	Gone     *Capture   // where it was found gone
}

// spans tells the captures that bear a mark apart into spans: a mark put on
// anew after it was found gone speaks for another span.
func (r *Register) spans(k MarkKey) []Span {
	var on []*Capture
	for id := range r.bearing[k] {
		on = append(on, r.captures[id])
	}
	slices.SortFunc(on, (*Capture).Compare)
	var spans []Span
	for _, c := range on {
		act := r.act(c, k)
		last := len(spans) - 1
		if last < 0 || act == record.MarkPut && spans[last].Gone != nil {
			spans = append(spans, Span{Key: k})
			last++
		}
		s := &spans[last]
		s.Captures = append(s.Captures, c)
		switch act {
		case record.MarkPut:
			if s.Put == nil {
				s.Put = c
			}
		case record.MarkGone:
			s.Gone = c
		}
	}
	return spans
}

// act is what happened with the mark at a capture: a mark put and read there
// was put.
func (r *Register) act(c *Capture, k MarkKey) record.MarkAct {
	act := record.MarkRead
	for _, m := range c.Handled.Marks {
		if key, ok := r.MarkKey(m, c.Species()); ok && key == k && m.Act != record.MarkRead && m.Act != record.MarkOld {
			act = m.Act
		}
	}
	return act
}

// Spans gives the spans of a mark, in order.
func (r *Register) Spans(k MarkKey) []Span { return r.spans(k) }

// MarksEnding gives the marks whose text ends so: "311".
func (r *Register) MarksEnding(tail string) []MarkKey { return keysOf(r.index.Tail(tail)) }

// MarksReading gives the marks with exactly this text, of any kind.
func (r *Register) MarksReading(text string) []MarkKey { return keysOf(r.index.Exact(text)) }

// MarksNear gives the marks one slip away from a text: a digit, or two
// neighbours swapped.
func (r *Register) MarksNear(text string) []MarkKey { return keysOf(r.index.Near(text)) }

func keysOf(entries []mark.Entry) []MarkKey {
	out := make([]MarkKey, len(entries))
	for i, e := range entries {
		out[i] = MarkKey{Kind: e.Kind, Text: e.Text, Species: e.Owner}
		if species, text, spelt := strings.Cut(e.Owner, "\x00"); spelt {
			out[i].Species, out[i].Text = species, text
		}
	}
	return out
}

// owner is what stands beside a mark in the index, which looks for marks in
// upper case: its species, and its own letters where case counts.
func (k MarkKey) owner() string {
	if k.Text == mark.Canonical(k.Text) {
		return k.Species
	}
	return k.Species + "\x00" + k.Text
}
