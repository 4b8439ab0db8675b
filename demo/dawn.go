package demo

import (
	"slices"
	"time"

	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// dawn walks the ridges, each with its own team.
func (g *grower) dawn(t trip, n int) {
	var met []*scene
	for i := range g.protocol.Seeds.Sites {
		s := &g.protocol.Seeds.Sites[i]
		w := &walk{grower: g, trip: t, n: n, site: s, ridge: i, who: teamOf(t, n, i)}
		w.round()
		met = append(met, w.met...)
	}
	for _, s := range met {
		s.afterwards(g)
	}
}

// walk is one round of one ridge: one of the team walks ahead and brings the
// bags, the other has the animals in hand, one after the other.
type walk struct {
	*grower
	trip  trip
	n     int
	site  *protocol.SeedSite
	ridge int
	who   team
	id    uuid.UUID
	at    time.Time // the walker's
	free  time.Time // when the handler has both hands free
	bags  int
	met   []*scene // stories that went on this morning
}

func (w *walk) round() {
	light := w.light(w.site, w.night.Add(1))
	w.at = light.CivilDawn.At.Add(-w.field.minutes(5, 15))
	w.id = w.pen.ids.id(w.at)
	w.pen.write(w.at, w.who.scribe, record.Round{
		Round: w.id, Trip: w.trip.id, Site: w.site.Site, Night: w.night, Number: 1, Opened: w.at,
	})
	w.weather(w.site, "first trap", w.at, w.who)
	set := w.setTonight()
	in := w.intoTraps(set)
	for _, trap := range set {
		w.at = w.at.Add(w.field.minutes(1.5, 3)).Truncate(time.Second)
		w.look(trap, in[trap])
	}
	w.at = w.at.Add(w.field.minutes(1, 2)).Truncate(time.Second)
	w.pen.write(w.at, w.who.scribe, record.RoundEnd{Round: w.id, At: w.at})
	w.weather(w.site, "last trap", w.at, w.who)
	w.pen.write(w.at.Add(time.Minute), w.who.scribe, record.Closing{
		Trip: w.trip.id, Site: w.site.Site, Night: w.night, Traps: set, At: w.at,
	})
}

// setTonight is what the line just written says was set.
func (w *walk) setTonight() []string {
	for _, l := range w.pen.lines {
		if b, ok := l.body.(record.Setting); ok && b.Site == w.site.Site && b.Night == w.night {
			return b.Set
		}
	}
	return nil
}

// look is one trap at dawn.
func (w *walk) look(trap string, b *beast) {
	s := w.toldAt(w.trip, w.n, trap)
	switch {
	case s != nil:
		w.story(trap, s)
	case b != nil:
		w.animal(trap, b)
	default:
		w.without(trap)
	}
}

// without is a trap that holds none of the two species.
func (w *walk) without(trap string) {
	c := w.check(trap, record.OutcomeEmpty)
	switch x := w.field.Float64(); {
	case x < 0.02:
		w.bycatch(trap)
		return
	case x < 0.05:
		c.Outcome = record.OutcomeSprung
	case x < 0.07:
		c.Outcome = record.OutcomeBaitTaken
	case x < 0.073:
		c.Outcome, c.Why = record.OutcomeDisabled, w.field.one("rolled over by cattle", "door jammed by a stick")
	}
	w.pen.write(w.at, w.who.scribe, c)
}

func (w *walk) check(trap string, outcome record.Outcome) record.Check {
	return record.Check{Round: w.id, Trip: w.trip.id, Site: w.site.Site, Night: w.night, Trap: trap, Outcome: outcome, At: w.at}
}

// caught writes a trap with an animal in it, and gives the capture's id.
func (w *walk) caught(trap string) (capture, line uuid.UUID) {
	c := w.check(trap, record.OutcomeCapture)
	capture = w.pen.ids.id(w.at)
	c.Captures = []uuid.UUID{capture}
	return capture, w.pen.write(w.at, w.who.scribe, c)
}

// bycatch is let go at the trap.
func (w *walk) bycatch(trap string) {
	id, _ := w.caught(trap)
	h := w.bench(w.field.one("BR", "BR", "SK", "QU"), record.Quantity{}, w.at.Add(w.field.minutes(0.2, 0.6)))
	h.species()
	h.brief()
	h.letGo(record.FateReleased, "", "", "")
	w.keep(h, id)
}

func (w *walk) bench(species string, tare record.Quantity, start time.Time) *bench {
	sheet, _ := w.protocol.Sheet(species)
	return &bench{protocol: w.protocol, sheet: sheet, who: w.who, tare: tare, start: start, at: start}
}

// keep writes card and release as one line.
func (w *walk) keep(h *bench, capture uuid.UUID) (line uuid.UUID) {
	card, release := h.done(w.field.minutes(0.3, 1.5))
	w.free = release.At
	return w.pen.write(release.At, w.who.scribe, record.Capture{Capture: capture, Handled: card, Released: release})
}

// bag takes an animal from its trap. It stays under the trap's cover while the
// handler is far behind.
func (w *walk) bag(capture uuid.UUID, species string) (tare record.Quantity, line uuid.UUID) {
	if wait := w.free.Sub(w.at); wait > 20*time.Minute {
		w.at = w.at.Add(wait - 12*time.Minute)
	}
	w.at = w.at.Add(w.field.minutes(0.7, 1.6)).Truncate(time.Second)
	bags := w.protocol.Seeds.Bags
	b := bags[(w.ridge*5+w.bags%5)%len(bags)]
	w.bags++
	tare, err := record.ParseQuantity(b.Mass)
	if err != nil {
		w.pen.err = err
	}
	line = w.pen.write(w.at, w.who.scribe, record.Capture{
		Capture: capture, Bagged: &record.Bagged{At: w.at, Bag: b.Bag, Species: species},
	})
	return tare, line
}

// start is when the handler takes the bag.
func (w *walk) start() time.Time {
	start := w.at.Add(w.field.minutes(0.8, 2)).Truncate(time.Second)
	if w.free.After(start) {
		start = w.free.Add(30 * time.Second)
	}
	return start
}

// animal is one of the grown ones.
func (w *walk) animal(trap string, b *beast) {
	c := Caught{Night: w.night, Site: w.site.Site, Trap: trap, Sizes: b.sizesNow(w.day())}
	c.Capture, _ = w.caught(trap)
	tare, _ := w.bag(c.Capture, b.code)
	h := w.bench(b.code, tare, w.start())
	first := b.file == nil
	if !first && b.file.trip == w.trip.id {
		c.Misread = w.again(b, h)
	} else {
		c.Misread = w.process(b, h, w.trip.id)
	}
	h.letGo(record.FateReleased, withYoung(b), w.field.one("", "", "hopped off strongly", "sat a minute, then went"), "")
	line := w.keep(h, c.Capture)
	if n := len(b.truth.Captures); first && n > 0 {
		b.renamed = []uuid.UUID{b.truth.Captures[n-1].Capture, c.Capture}
	}
	b.truth.Captures = append(b.truth.Captures, c)
	w.afterwards(b, c, h, line, first)
}

// sizesNow are its true sizes.
func (b *beast) sizesNow(day int) map[string]float64 {
	sizes := map[string]float64{mass: tenth(b.size(mass, day))}
	for _, trait := range bones {
		sizes[trait] = tenth(b.size(trait, day))
	}
	return sizes
}

// intoTraps says who is in which trap: one animal a trap, first come.
func (w *walk) intoTraps(set []string) map[string]*beast {
	in := map[string]*beast{}
	var about []*beast
	for _, b := range w.land.living {
		if b.site == w.ridge && b.outAndAbout(w.day()) && w.land.of(b.keen(w.trip)) {
			about = append(about, b)
		}
	}
	w.land.Shuffle(len(about), func(i, j int) { about[i], about[j] = about[j], about[i] })
	for _, b := range about {
		if trap := w.nearest(b, set, in); trap != "" {
			in[trap] = b
		}
	}
	return in
}

// keen is the chance that an animal walks into a trap on a night.
func (b *beast) keen(t trip) float64 {
	x := b.kind.night + b.bold
	if b.file != nil && b.file.trip == t.id {
		x += b.happy
	}
	return logistic(x)
}

// nearest picks a trap that is still open, the likelier the nearer to home.
func (w *walk) nearest(b *beast, set []string, in map[string]*beast) string {
	home := b.home
	if b.mother != nil && !b.alone(w.day()) {
		home = b.mother.home
	}
	shares := make([]float64, len(set))
	total := 0.0
	for i, trap := range set {
		if in[trap] != nil || w.toldAt(w.trip, w.n, trap) != nil {
			continue
		}
		at := slices.IndexFunc(w.site.Traps, func(t protocol.SeedTrap) bool { return t.Trap == trap })
		shares[i] = bell((float64(at+1) - home) / b.roams)
		total += shares[i]
	}
	if total < 0.05 {
		return ""
	}
	x := total * w.land.Float64()
	for i, share := range shares {
		if x -= share; x < 0 {
			return set[i]
		}
	}
	return ""
}
