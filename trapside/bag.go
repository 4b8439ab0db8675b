package trapside

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/register"

	"github.com/google/uuid"
)

// Bag is an animal that waits, in the trap or in a bag.
type Bag struct {
	ID      uuid.UUID
	Trap    string
	Name    string // who it is, as far as it is known
	Since   time.Time
	Waits   string
	In      string // "in bag 3" or "in trap"
	Over    bool   // longer than the limit
	Begun   bool   // something is written already
	Current bool
	Where   string // trip and night, for an animal of another night
}

// bags are the animals of a site and night that have not left the hand, the
// longest wait first.
func (t *Trapside) bags(r *register.Register, at Where, now time.Time) []Bag {
	limit, _, on := r.Protocol().Limit("bag minutes")
	var waiting []Bag
	for _, c := range r.CapturesOn(at.Site, at.Night) {
		if c.Open() {
			b := t.bagOf(r, c, now)
			b.Over = on && now.Sub(b.Since) > time.Duration(limit*float64(time.Minute))
			waiting = append(waiting, b)
		}
	}
	slices.SortStableFunc(waiting, func(a, b Bag) int { return a.Since.Compare(b.Since) })
	return waiting
}

// unfinished are the animals of other sites and nights that nobody wrote
// released.
func (t *Trapside) unfinished(r *register.Register, p *RoundPage, now time.Time) []Bag {
	var out []Bag
	for _, trip := range p.trips {
		for _, n := range trip.Nights {
			if n.Site == p.Where.Site && n.Night == p.Where.Night {
				continue
			}
			for _, c := range r.CapturesOn(n.Site, n.Night) {
				if c.Open() {
					b := t.bagOf(r, c, now)
					b.Where = n.Site + ", " + page.NightWords(n.Night.Noon(time.UTC))
					out = append(out, b)
				}
			}
		}
	}
	return out
}

func (t *Trapside) bagOf(r *register.Register, c *register.Capture, now time.Time) Bag {
	d := Fold(c.ID(), t.steps[c.ID()])
	d.Finish(r, r.Protocol())
	b := Bag{ID: c.ID(), Trap: c.At.Trap, Since: c.Time(), In: "in trap", Name: "waiting", Begun: len(d.Steps) > 0}
	if c.Bagged != nil {
		b.In, b.Since = strings.TrimSpace("in bag "+c.Bagged.Bag), cmp.Or(c.Bagged.At, b.Since)
	}
	if a, ok := bearer(r, d.Capture); ok {
		b.Name = strings.TrimSpace(tailOf(r, a) + " " + sexSign(sexOf(a, c.ID())))
	} else if h := d.Capture.Handled; h != nil && len(h.Marks) > 0 {
		b.Name = strings.TrimSpace(page.Tail(h.Marks[0].Text) + " " + sexSign(h.Sex))
	} else if b.Begun {
		b.Name = "no mark yet"
	}
	b.Waits = page.Minutes(now.Sub(b.Since))
	return b
}
