package check

import (
	"time"

	"dawnround/growth"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Band is what a trait should read today.
type Band struct {
	Mean   float64   `json:"mean"` // in the trait's unit
	From   float64   `json:"from"`
	To     float64   `json:"to"`
	Why    string    `json:"why"` // what it rests on
	Beside uuid.UUID `json:"beside,omitzero"`
}

// Expect tells what each bone of the animal in hand should read today: see
// [Held.Expect].
func Expect(r *register.Register, draft record.Capture, now time.Time) map[string]Band {
	return (*Population)(nil).Hold(r, draft, now).Expect()
}

// Expect tells what each bone of the animal in hand should read today: of one
// grown, what it read last within the technical limit; of one not grown, its
// expected growth since; and of one never measured, the range of the species
// sheet. A trait of which nothing can be expected is not among them.
func (h Held) Expect() map[string]Band {
	k := h.card
	relations := k.relations()
	out := map[string]Band{}
	for i := range k.sheet.Traits {
		t := &k.sheet.Traits[i]
		if t.Of == protocol.OfYoung || !t.Bone || t.Sided {
			continue
		}
		if band, ok := k.band(relations, t); ok {
			out[t.ID] = band
		}
	}
	return out
}

// band is the narrowest thing that can be said of a bone.
func (k *card) band(relations []growth.Relation, t *protocol.Trait) (Band, bool) {
	if band, ok := k.expected(relations, t); ok {
		return band, true
	}
	c := k.last(func(c *register.Capture) bool {
		r, ok := handled(c).Measures[t.ID]
		return ok && r.Is() == record.Seen && !r.Roughly && !r.Damaged
	})
	if limit := k.limit(t).milli / 1000; c != nil && limit > 0 && k.adult(c) {
		was := c.Handled.Measures[t.ID].Counts().Value()
		return Band{was, was - limit, was + limit, "as " + k.when(c) + ", within the technical limit", c.ID()}, true
	}
	if g, ok := t.Range(k.sex(), k.h.Stage); ok && g.To > g.From && c == nil {
		return Band{(g.From + g.To) / 2, g.From, g.To, "the species sheet", uuid.UUID{}}, true
	}
	return Band{}, false
}
