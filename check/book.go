package check

import (
	"slices"
	"time"

	"dawnround/growth"
	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// book is what one call looks up, each thing once.
type book struct {
	register   *register.Register
	protocol   *protocol.Protocol
	population *Population // nil: not asked
	now        time.Time
	zone       *time.Location // nil: not known

	nights map[register.SiteNight]map[string]bool // traps set; nil where nobody wrote which
	labels []reserved
	asked  bool // labels were asked

	positions map[trapAt][]record.Trap
	limits    map[*protocol.Trait]visits
	curves    map[*protocol.Sheet][]growth.Relation
}

// visits is how far apart two honest readings may lie, and how people say it.
type visits struct {
	milli float64
	says  string
}

// reserved is a series of labels kept for a kind of sample.
type reserved struct {
	record.Labels
	series mark.Series
}

func newBook(r *register.Register, p *Population, now time.Time) *book {
	return &book{
		register: r, protocol: r.Protocol(), population: p, now: now,
		zone: zoneOf(r), nights: map[register.SiteNight]map[string]bool{},
		positions: map[trapAt][]record.Trap{}, limits: map[*protocol.Trait]visits{}, curves: map[*protocol.Sheet][]growth.Relation{},
	}
}

// zoneOf is the time zone in which the programme tells its nights; nil where
// nobody has said, so that no clock is judged.
func zoneOf(r *register.Register) *time.Location {
	if r.Programme().Zone == "" && r.Protocol().Zone == "" {
		return nil
	}
	return r.Zone()
}

// wasSet reports whether a trap was set on a night; known is false where
// nobody wrote which traps were set.
func (b *book) wasSet(site, trap string, night record.Night) (set, known bool) {
	at := register.SiteNight{Site: site, Night: night}
	traps, ok := b.nights[at]
	if !ok {
		set, not := b.register.NightAt(site, night).Set()
		if len(set)+len(not) > 0 {
			traps = map[string]bool{}
		}
		for _, t := range set {
			traps[t] = true
		}
		b.nights[at] = traps
	}
	return traps[trap], traps != nil
}

// reservedFor gives the series kept for a kind of sample.
func (b *book) reservedFor(kind string) []reserved {
	if !b.asked {
		b.asked = true
		for _, l := range b.register.Labels() {
			if s, err := mark.ParseSeries(l.Series); err == nil {
				b.labels = append(b.labels, reserved{l, s})
			}
		}
	}
	var out []reserved
	for _, l := range b.labels {
		if l.Sample == "" || l.Sample == kind {
			out = append(out, l)
		}
	}
	return out
}

// marksOf gives the marks of a draft, each once. Until its species is said, a
// mark that speaks within a species is the only one of its kind and text.
func (b *book) marksOf(c *register.Capture) []register.MarkKey {
	var keys []register.MarkKey
	for _, m := range handled(c).Marks {
		k, ok := b.register.MarkKey(m, c.Species())
		if !ok || m.Act == record.MarkOld {
			continue
		}
		if c.Species() == "" {
			k = b.only(k)
		}
		if !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	return keys
}

func (b *book) only(k register.MarkKey) register.MarkKey {
	same := slices.DeleteFunc(b.register.MarksReading(k.Text), func(o register.MarkKey) bool { return o.Kind != k.Kind })
	if len(same) == 1 {
		return same[0]
	}
	return k
}

// lifeOf gives the earlier captures of the animal in hand, as its marks and
// the lines about its id tell.
func (b *book) lifeOf(k *card) []*register.Capture {
	var animals []uuid.UUID
	if a, ok := b.register.AnimalOf(k.ID()); ok {
		animals = append(animals, a)
	}
	for _, key := range k.marks {
		if a, ok := b.register.Bearer(key, k.act(key), k.At.Night); ok && !slices.Contains(animals, a) {
			animals = append(animals, a)
		}
	}
	var life []*register.Capture
	for _, id := range animals {
		a, ok := b.register.Animal(id)
		if !ok {
			continue
		}
		for _, c := range a.Captures {
			if c.ID() != k.ID() && earlier(c, k.Capture) {
				life = append(life, c)
			}
		}
	}
	slices.SortStableFunc(life, func(x, y *register.Capture) int {
		if d := x.At.Night.Compare(y.At.Night); d != 0 {
			return d
		}
		return x.Time().Compare(y.Time())
	})
	return life
}

// earlier reports a kept capture before a draft; within a night the clock
// decides where both have a time, else the draft is the later.
func earlier(c, draft *register.Capture) bool {
	if d := c.At.Night.Compare(draft.At.Night); d != 0 {
		return d < 0
	}
	return c.Time().IsZero() || draft.Time().IsZero() || !c.Time().After(draft.Time())
}
