// Package check raises flags: what cannot or may not be right about a
// capture, a night's traps or the whole register, with the evidence.
//
// The rules are a table of named functions. Each looks at one capture beside
// the same animal's earlier captures, its night and a few look-ups, so that
// all of them run after every phrase. Of two captures that do not go together
// the later one bears the flag and names the earlier one beside it. Nothing
// here knows what was done about a flag; [Open] leaves out those settled.
//
// Rules that need a growth curve or an age from a size (growth of the
// immature, birth dates, young lost or born too soon) are not here: they wait
// for relations with parameters that somebody has checked.
package check

import (
	"slices"
	"time"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Draft checks a capture that is not kept yet against what the register
// knows. A part the draft does not state is taken from the lines already kept
// for its id, such as the trap check that minted it. What needs the whole
// population is silent here; see [Population.Draft].
func Draft(r *register.Register, draft record.Capture, now time.Time) []record.Flag {
	return (*Population)(nil).Draft(r, draft, now)
}

// Kept checks a capture of the register: first the flags it bears itself,
// then those that later captures of the same animal bear because of it. What
// needs the whole population is silent here; see [Population.Kept].
func Kept(r *register.Register, capture uuid.UUID, now time.Time) []record.Flag {
	return (*Population)(nil).Kept(r, capture, now)
}

// Draft is [Draft] with what is usual in the population beside it.
func (p *Population) Draft(r *register.Register, draft record.Capture, now time.Time) []record.Flag {
	return p.Hold(r, draft, now).Flags()
}

// Held is a capture that is not kept yet beside the earlier ones of its animal,
// looked up once. It is asked while the register stays as it was.
type Held struct{ card *card }

// Hold looks up what a draft is checked against: see [Population.Draft].
func (p *Population) Hold(r *register.Register, draft record.Capture, now time.Time) Held {
	b := newBook(r, p, now)
	c := completed(r, draft)
	k := b.card(c, b.marksOf(c), nil)
	k.draft = true
	k.before = b.lifeOf(k)
	k.sheet = k.speciesSheet()
	return Held{k}
}

// Flags are the flags of the draft: see [Draft].
func (h Held) Flags() []record.Flag { return h.card.flags() }

// Kept is [Kept] with what is usual in the population beside it.
func (p *Population) Kept(r *register.Register, capture uuid.UUID, now time.Time) []record.Flag {
	animal, ok := r.Animal(capture)
	if !ok {
		return nil
	}
	b := newBook(r, p, now)
	at := slices.IndexFunc(animal.Captures, func(c *register.Capture) bool { return c.ID() == capture })
	if at < 0 {
		return nil // a young that was never caught itself
	}
	var flags []record.Flag
	for i, c := range animal.Captures[at:] {
		for _, f := range b.card(c, c.Marks(), animal.Captures[:at+i]).flags() {
			if i == 0 || slices.Contains(f.Beside, capture) {
				flags = append(flags, f)
			}
		}
	}
	return flags
}

// Open leaves out the flags that somebody settled.
func Open(r *register.Register, flags []record.Flag) []record.Flag {
	return slices.DeleteFunc(slices.Clone(flags), r.Settled)
}

// completed is a draft with the parts already kept for its id.
func completed(r *register.Register, draft record.Capture) *register.Capture {
	c := &register.Capture{Capture: draft}
	if kept, ok := r.Capture(draft.Capture); ok {
		*c = *kept
		c.At = said(draft.At, kept.At)
		c.Bagged = said(draft.Bagged, kept.Bagged)
		c.Handled = said(draft.Handled, kept.Handled)
		c.Released = said(draft.Released, kept.Released)
	}
	if c.At == nil {
		c.At = &record.Spot{}
	}
	return c
}

// said is what the draft says, else what was kept.
func said[P any](draft, kept *P) *P {
	if draft != nil {
		return draft
	}
	return kept
}
