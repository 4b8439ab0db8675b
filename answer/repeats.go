package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnround/agreement"
	"dawnround/fit"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// What it takes, by common practice, for the programme's own limits and for
// comparing handlers.
const (
	blindPairs   = 20
	blindAnimals = 10
	sharedByTwo  = 5 // animals that two handlers both measured
	cellReadings = 5 // readings of one handler on one trip, to be a point of the drift
)

// Repeats is how well the readings of one trait agree.
type Repeats struct {
	State string `json:"state"` // of the notebook
	Which
	Trait         string          `json:"trait"` // with its side, where sided
	Name          string          `json:"name"`
	Unit          string          `json:"unit"`
	Kinds         []RepeatKind    `json:"kinds"` // those that occur, blind ones first
	Limit         Number          `json:"own_limit"`
	LimitSays     string          `json:"limit_says"`
	Repeatability fit.Estimate    `json:"repeatability"`
	Handlers      []HandlerOffset `json:"handlers"`
	HandlersSay   string          `json:"handlers_say"`
	Drift         []DriftPoint    `json:"drift"`
	DriftSays     string          `json:"drift_says"`
	Warnings      []string        `json:"warnings,omitempty"`
	LeftOut       []LeftOut       `json:"left_out,omitempty"`

	trips []string
	pairs []pair // of the kind that has most, for the picture
}

// RepeatKind is the technical error from one kind of repeat. Kinds are never
// put together: they do not err alike.
type RepeatKind struct {
	Kind     string `json:"kind"`
	Says     string `json:"says"` // what it holds beside the error of reading
	Animals  int    `json:"animals"`
	Pairs    int    `json:"pairs"`
	TEM      Number `json:"tem"`
	Lower    Number `json:"lower"`
	Upper    Number `json:"upper"`
	Relative Number `json:"relative"` // per cent of the mean
	Between  Number `json:"between"`  // how far two honest readings may lie apart

	Farthest []Apart `json:"farthest"` // the pairs that differ most, beyond what honest readings do
}

// Apart is two readings of one animal that lie far apart.
type Apart struct {
	Animal   string       `json:"animal"`
	From, To record.Night `json:"-"`
	Captures [2]uuid.UUID `json:"captures"`
	Values   [2]float64   `json:"values"`
}

// The kinds of repeats.
const (
	Blind     = "blind"
	AtOnce    = "at one handling"
	InTrip    = "within a trip"
	Afterward = "from trip to trip"
)

var kindSays = map[string]string{
	Blind:     "read while the earlier value was hidden: the error of reading, and nothing else",
	AtOnce:    "read again by somebody who saw the first value, often because it was doubted: too kind or too harsh",
	InTrip:    "read at different captures of one trip: the error of reading, and what changed in some nights",
	Afterward: "grown animals, one reading a trip: the error of reading, and what grew or wore meanwhile",
}

// HandlerOffset is how far one handler reads long or short.
type HandlerOffset struct {
	Handler  string `json:"handler"`
	Readings int    `json:"readings"`
	Shared   int    `json:"shared"` // animals also measured by another of those compared
	Refused  string `json:"refused,omitempty"`
	fit.Estimate
}

// MarshalJSON writes the estimate beside whose it is.
func (h HandlerOffset) MarshalJSON() ([]byte, error) {
	return asOne(struct {
		Handler  string `json:"handler"`
		Readings int    `json:"readings"`
		Shared   int    `json:"shared"`
		Refused  string `json:"refused,omitempty"`
	}{h.Handler, h.Readings, h.Shared, h.Refused}, h.Estimate)
}

// DriftPoint is how far the readings of a handler, or of everybody where no
// handler is written, lay from the mean on one trip.
type DriftPoint struct {
	Handler  string `json:"handler,omitempty"`
	Trip     string `json:"trip"`
	Readings int    `json:"readings"`
	fit.Estimate
}

// MarshalJSON writes the estimate beside whose it is.
func (d DriftPoint) MarshalJSON() ([]byte, error) {
	return asOne(struct {
		Handler  string `json:"handler,omitempty"`
		Trip     string `json:"trip"`
		Readings int    `json:"readings"`
	}{d.Handler, d.Trip, d.Readings}, d.Estimate)
}

// RepeatedTraits gives the keys of the traits of a species that were read on
// the captures asked for, in the order of the sheet; sides apart.
func RepeatedTraits(r *register.Register, q Which) []string {
	a := ask(r, q)
	seen := map[string]bool{}
	for _, c := range a.captures {
		if c.Handled == nil {
			continue
		}
		for key := range c.Handled.Measures {
			seen[key] = true
		}
		if _, ok := c.Handled.MassMilli(); ok {
			seen[protocol.Mass] = true
		}
	}
	var out []string
	for _, t := range a.sheet.Traits {
		for _, key := range []string{t.ID, t.ID + ".left", t.ID + ".right"} {
			if t.Of != protocol.OfYoung && seen[key] {
				out = append(out, key)
			}
		}
	}
	return out
}

// HowExact answers how exactly a trait is measured: the technical error from
// each kind of repeat, repeatability, how handlers differ and whether they
// drift. Only blind pairs, at least 20 of at least 10 animals, set the
// programme's own limit. Handlers are compared where they share at least 5
// animals with one another, the animal being a random effect. Readings that
// are damaged, rough or of another convention are left out. A trait that the
// sheet does not have is an error.
func HowExact(r *register.Register, q Which, key string) (Repeats, error) {
	a := ask(r, q)
	id, _, _ := strings.Cut(key, ".")
	t, ok := a.sheet.Trait(id)
	if !ok || t.Of == protocol.OfYoung {
		return Repeats{}, fmt.Errorf("trait %q: not on the sheet of %s; it has %s", key, a.sheet.Code, strings.Join(RepeatedTraits(r, q), ", "))
	}
	out := Repeats{State: r.State(), Which: q, Trait: key, Name: cmp.Or(t.Name, t.ID), Unit: t.Unit, Repeatability: fit.Lost("repeatability"),
		Limit: Number(math.NaN()), Kinds: []RepeatKind{}, Handlers: []HandlerOffset{}, Drift: []DriftPoint{}, trips: a.trips}
	looks := a.looks(t, key)
	out.kinds(a, t, looks)
	out.limit(t)
	out.repeatable(t, looks)
	out.handlers(t, looks)
	out.drift(t, looks)
	out.LeftOut = a.left
	return out, nil
}

// look is the readings of one trait at one capture.
type look struct {
	capture *register.Capture
	values  []float64
	blind   bool
	handler string
	grown   bool
}

// looks gives the usable readings of each animal in order.
func (a *asked) looks(t *protocol.Trait, key string) [][]look {
	var out [][]look
	for _, captures := range a.byAnimal() {
		var of []look
		for _, c := range captures {
			if l, ok := a.look(t, key, captures, c); ok {
				of = append(of, l)
			}
		}
		if len(of) > 0 {
			out = append(out, of)
		}
	}
	return out
}

func (a *asked) look(t *protocol.Trait, key string, captures []*register.Capture, c *register.Capture) (look, bool) {
	l := look{capture: c}
	if c.Handled == nil {
		return l, false
	}
	l.handler = c.Handled.Handler
	grown, unwritten := a.grown(stageAt(captures, c))
	l.grown = grown || unwritten
	m := c.Handled.Measures[key]
	if key == protocol.Mass && c.Handled.Weighing != nil {
		net, ok := c.Handled.MassMilli()
		l.values = []float64{float64(net) / 1000}
		return l, ok
	}
	if m.Is() != record.Seen {
		return l, false
	}
	switch {
	case m.Damaged:
		a.left.capture(c, "said to be damaged")
	case m.Roughly:
		a.left.capture(c, "read roughly")
	case m.Convention != "" && t.Convention != "" && m.Convention != t.Convention:
		a.left.capture(c, "read by another convention: "+m.Convention)
	default:
		l.blind = m.Blind
		l.values = append(l.values, m.Value())
		for _, again := range m.Again {
			l.values = append(l.values, again.Value())
		}
		return l, true
	}
	return l, false
}

// counts is the reading of a look that counts: the last.
func (l look) counts() float64 { return l.values[len(l.values)-1] }

// pair is two successive readings of one animal.
type pair struct{ first, second reading }

type reading struct {
	of    *register.Capture
	value float64
}

// kinds sorts the repeats by how they came about.
func (out *Repeats) kinds(a *asked, t *protocol.Trait, looks [][]look) {
	groups := map[string][][]reading{}
	unwritten := 0
	for _, of := range looks {
		for _, trip := range byTrip(of) {
			add := func(kind string, g []reading) {
				if len(g) > 1 {
					groups[kind] = append(groups[kind], g)
				}
			}
			for _, g := range blindRuns(trip) {
				add(Blind, g)
			}
			var nights []reading
			for _, l := range trip {
				if !l.blind {
					nights = append(nights, reading{l.capture, l.counts()})
					add(AtOnce, all(l))
				}
			}
			add(InTrip, nights)
		}
		if g, n := tripToTrip(of); t.Bone && len(g) > 1 {
			groups[Afterward] = append(groups[Afterward], g)
			unwritten += n
		}
	}
	if unwritten > 0 {
		out.Warnings = append(out.Warnings, fmt.Sprintf("%d readings are of animals whose stage nobody wrote; they are taken for grown", unwritten))
	}
	most := 0
	for _, kind := range []string{Blind, AtOnce, InTrip, Afterward} {
		k, pairs, ok := technical(a, kind, groups[kind])
		if !ok {
			continue
		}
		out.Kinds = append(out.Kinds, k)
		if len(pairs) > most {
			most, out.pairs = len(pairs), pairs
		}
	}
}

func all(l look) []reading {
	var out []reading
	for _, v := range l.values {
		out = append(out, reading{l.capture, v})
	}
	return out
}

// byTrip parts the looks at an animal by trip, in order.
func byTrip(of []look) [][]look {
	var out [][]look
	for i, l := range of {
		if i == 0 || of[i-1].capture.At.Trip != l.capture.At.Trip {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], l)
	}
	return out
}

// blindRuns are the readings of one trip that follow each other blindly: each
// after the first was made while those before it were hidden.
func blindRuns(trip []look) [][]reading {
	var out [][]reading
	for i, l := range trip {
		for j, v := range l.values {
			if i+j == 0 || !l.blind {
				out = append(out, nil)
			}
			out[len(out)-1] = append(out[len(out)-1], reading{l.capture, v})
		}
	}
	return out
}

// tripToTrip is the first reading of a grown animal on each trip, and how many
// of them are of a stage nobody wrote.
func tripToTrip(of []look) (g []reading, unwritten int) {
	for _, trip := range byTrip(of) {
		i := slices.IndexFunc(trip, func(l look) bool { return l.grown })
		if i < 0 {
			continue
		}
		g = append(g, reading{trip[i].capture, trip[i].counts()})
		if h := trip[i].capture.Handled; h.Stage == "" {
			unwritten++
		}
	}
	return g, unwritten
}

// technical estimates the error from one kind of repeats.
func technical(a *asked, kind string, groups [][]reading) (RepeatKind, []pair, bool) {
	var values [][]float64
	var pairs []pair
	animals := map[uuid.UUID]bool{}
	for _, g := range groups {
		var x []float64
		for i, r := range g {
			x = append(x, r.value)
			if i > 0 {
				pairs = append(pairs, pair{g[i-1], r})
			}
		}
		values = append(values, x)
		animals[g[0].of.Animal] = true
	}
	e, err := agreement.Technical(values)
	if err != nil {
		return RepeatKind{}, nil, false
	}
	k := RepeatKind{
		Kind: kind, Says: kindSays[kind], Animals: len(animals), Pairs: e.Pairs,
		TEM: Number(e.TEM), Lower: Number(e.Lower), Upper: Number(e.Upper), Relative: Number(e.Relative),
		Between: Number(agreement.Between(e.TEM)), Farthest: []Apart{},
	}
	slices.SortStableFunc(pairs, func(x, y pair) int { return cmp.Compare(y.far(), x.far()) })
	for _, p := range pairs[:min(3, len(pairs))] {
		if p.far() > float64(k.Between) {
			k.Farthest = append(k.Farthest, Apart{a.name(p.first.of.Animal), p.first.of.At.Night, p.second.of.At.Night,
				[2]uuid.UUID{p.first.of.ID(), p.second.of.ID()}, [2]float64{p.first.value, p.second.value}})
		}
	}
	return k, pairs, true
}

func (p pair) far() float64 { return math.Abs(p.second.value - p.first.value) }

// limit says what stands as the limit between visits: the programme's own, from
// enough blind pairs, or the sheet's.
func (out *Repeats) limit(t *protocol.Trait) {
	have := RepeatKind{}
	if len(out.Kinds) > 0 && out.Kinds[0].Kind == Blind {
		have = out.Kinds[0]
	}
	if have.Pairs >= blindPairs && have.Animals >= blindAnimals {
		out.Limit = have.Between
		out.LimitSays = fmt.Sprintf("the programme's own limit between visits is %s %s: 1.96·√2 times the technical error of %d blind pairs of %d animals; type it into the sheet to use it",
			figures(float64(have.Between), 3), out.Unit, have.Pairs, have.Animals)
		return
	}
	out.LimitSays = fmt.Sprintf("too thin for a limit of the programme's own: %d blind pairs of %d animals; needs at least %d of %d. Other repeats do not set it", have.Pairs, have.Animals, blindPairs, blindAnimals)
	if limit, basis := t.BetweenVisits(); limit > 0 {
		out.LimitSays += fmt.Sprintf("; the sheet's %s %s stands (%s)", figures(limit, 3), out.Unit, basis)
	}
}

// repeatable is the share of the spread among grown animals' readings that is
// between animals, by whoever read.
func (out *Repeats) repeatable(t *protocol.Trait, looks [][]look) {
	var groups [][]float64
	for _, of := range looks {
		for _, unit := range units(t, of) {
			var g []float64
			for _, l := range unit {
				g = append(g, l.counts())
			}
			groups = append(groups, g)
		}
	}
	if e, err := agreement.Repeatability(groups); err == nil {
		out.Repeatability = e
	}
}

// units are the looks within which an animal is taken not to have changed: all
// at a grown animal's bone, else those of one trip.
func units(t *protocol.Trait, of []look) [][]look {
	if !t.Bone {
		return byTrip(of)
	}
	if grown := slices.DeleteFunc(slices.Clone(of), func(l look) bool { return !l.grown }); len(grown) > 0 {
		return [][]look{grown}
	}
	return nil
}
