package density

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"dawnround/fit"
)

// What the parameters are of, as their names begin.
const (
	densityName   = "density"
	detectionName = "detection"
	moveName      = "sigma"
)

// laid is a model laid over a survey.
type laid struct {
	survey    Survey
	model     Model
	groups    []string // one, unnamed, where no effect tells groups apart
	density   predictor
	detect    predictor
	move      predictor
	lives     []life // of all trips
	trips     []trip
	layers    []layer
	blocks    []block
	stretches []stretch
	workers   int
	scratch   scratch
}

// A trip is what the likelihood knows of one.
type trip struct {
	from, to int // its lives
	traps    int
	far      []float64 // the different squared distances between cells and traps
	at       []int32   // which of them, by cell and trap
}

// A life is what befell one animal on one trip.
type life struct {
	trip, group int // group −1 is not known
	first, end  int // night of its first capture; nights it could be caught in
	caught      []Capture
}

// A layer is one group of animals on one trip. Its slots are the different
// chances of its traps; its patterns the different sums of slots that nights
// have, by whether the animal was caught before; its catches the different
// captures its animals had.
type layer struct {
	trip, group int
	move        int   // row
	density     []int // row by cell, or the one row of all
	rows        []int // of detection
	slots       []slot
	patterns    []pattern
	at          [2][]int // pattern by night: before and after the first capture
	catches     []catch
	members     []member
	fall        []float64 // −ln of what is left of detection, by distance
	h, slope    []float64 // the hazard and its slope, by row and distance
	logH        []float64 // ln of the hazard
	log         []float64 // ln of density and chance, by cell and member
}

// A slot's row is that among the layer's.
type slot struct{ trap, row int }

// A pattern is so much effort in some slots, beside that of an earlier pattern
// where it has a base (−1 is none).
type pattern struct {
	base   int
	slots  []int
	effort []float64
}

// A catch is one kind of capture: in a slot, of so much effort, out of a
// pattern.
type catch struct {
	slot, pattern     int
	effort, logEffort float64
}

// A member is a life that may be of the layer's group.
type member struct {
	life, first, end int
	catches          []int
}

// lay puts a model over a survey, pooling whatever the model cannot tell apart.
func lay(s Survey, m Model) (*laid, error) {
	if err := s.check(m.Traps); err != nil {
		return nil, err
	}
	l := &laid{survey: s, model: m, groups: []string{""}, workers: 1}
	if m.speaks("group") {
		if l.groups = s.groups(); len(l.groups) < 2 {
			return nil, fmt.Errorf("an effect names group, and the animals caught are of %d known groups: give two at least, or leave it out", len(l.groups))
		}
	}
	if m.Count == Conditional && slices.Contains(fit.Used(m.Density), "trip") {
		return nil, fmt.Errorf("density by trip: given that the animals were caught, nothing is said of that; each trip's density is told as it is, so leave trip out")
	}
	if err := l.predictors(); err != nil {
		return nil, err
	}
	l.live()
	for t := range s {
		l.trips[t].measure(s[t])
		for g := range l.groups {
			l.layers = append(l.layers, l.layer(t, g))
		}
	}
	l.ready()
	return l, nil
}

// groups are the known groups of the animals caught.
func (s Survey) groups() []string {
	var groups []string
	for _, t := range s {
		for _, a := range t.Animals {
			if a.Group != "" && !slices.Contains(groups, a.Group) {
				groups = append(groups, a.Group)
			}
		}
	}
	slices.Sort(groups)
	return groups
}

// predictors lays out density, detection and movement. Groups have densities of
// their own.
func (l *laid) predictors() error {
	var density, detect, move []place
	byTrap := l.model.byTrap(l.survey)
	for t, trip := range l.survey {
		for g := range l.groups {
			move = append(move, place{trip: t, group: g})
			for c := range trip.Space.Cells {
				density = append(density, place{trip: t, group: g, cell: c})
			}
			for night := range trip.nights() {
				for k := range trip.Traps {
					if k > 0 && !byTrap {
						break
					}
					at := place{trip: t, group: g, night: night, trap: k}
					detect = append(detect, at)
					if at.after = true; night > 0 {
						detect = append(detect, at)
					}
				}
			}
		}
	}
	effects := l.model.Density
	if len(l.groups) > 1 && !slices.Contains(fit.Used(effects), "group") {
		effects = append([]string{"group"}, effects...)
	}
	var err error
	if l.density, err = l.survey.predict(densityName, density, l.groups, effects, l.name("D_per_ha", effects)); err != nil {
		return err
	}
	if l.detect, err = l.survey.predict(detectionName, detect, l.groups, l.model.Detect, l.name("detection", l.model.Detect)); err != nil {
		return err
	}
	if l.move, err = l.survey.predict(moveName, move, l.groups, l.model.Move, l.name("sigma_m", l.model.Move)); err != nil {
		return err
	}
	if l.model.Count == Conditional {
		l.density.skip = 1
	}
	l.detect.at = len(l.density.names())
	l.move.at = l.detect.at + len(l.detect.names())
	return nil
}

// byTrap tells whether detection depends on a column of the traps.
func (m Model) byTrap(s Survey) bool {
	for _, used := range fit.Used(m.Detect) {
		if _, ok := s[0].Columns[used]; ok {
			return true
		}
	}
	return false
}

// name calls a place by the levels its effects speak of.
func (l *laid) name(of string, effects []string) func(place) string {
	used := fit.Used(effects)
	speaks := func(names ...string) bool {
		return slices.ContainsFunc(names, func(name string) bool { return slices.Contains(used, name) })
	}
	trips := l.survey.names()
	return func(p place) string {
		var words []string
		if speaks("trip") {
			words = append(words, trips[p.trip])
		}
		if speaks("occasion", "trend") {
			words = append(words, strconv.Itoa(p.night+1))
		}
		if speaks("group") {
			words = append(words, l.groups[p.group])
		}
		if speaks("after-capture") {
			words = append(words, map[bool]string{false: "first", true: "after"}[p.after])
		}
		return bracketed(of, words)
	}
}

// live gathers the lives of all trips.
func (l *laid) live() {
	for t, s := range l.survey {
		from := len(l.lives)
		for _, a := range s.Animals {
			caught := a.caught()
			one := life{trip: t, group: slices.Index(l.groups, a.Group), first: caught[0].Night, end: s.nights(), caught: caught}
			if len(l.groups) == 1 {
				one.group = 0
			}
			if a.Lost {
				one.end = caught[len(caught)-1].Night + 1
			}
			l.lives = append(l.lives, one)
		}
		l.trips = append(l.trips, trip{from: from, to: len(l.lives)})
	}
}

// measure finds the distances between cells and traps. On a regular grid many
// are the same, and what depends on distance is worked out once for each; those
// that differ by less than squareAlike are.
func (tr *trip) measure(t Trip) {
	const squareAlike = 1e-6 // m²
	tr.traps = len(t.Traps)
	tr.at = make([]int32, 0, len(t.Space.Cells)*len(t.Traps))
	place := map[float64]int32{}
	for _, c := range t.Space.Cells {
		for _, trap := range t.Traps {
			x, y := c.X-trap.At.X, c.Y-trap.At.Y
			d2 := math.Round((float64(x*x)+float64(y*y))/squareAlike) * squareAlike
			at, ok := place[d2]
			if !ok {
				at = int32(len(tr.far))
				place[d2] = at
				tr.far = append(tr.far, d2)
			}
			tr.at = append(tr.at, at)
		}
	}
}

// layer finds the slots, patterns and catches of one group on one trip.
func (l *laid) layer(t, g int) layer {
	s := l.survey[t]
	ly := layer{trip: t, group: g, move: l.move.rowAt[place{trip: t, group: g}]}
	for c := range s.Space.Cells {
		ly.density = append(ly.density, l.density.rowAt[place{trip: t, group: g, cell: c}])
	}
	rows, slots, patterns, catches := map[int]int{}, map[slot]int{}, map[string]int{}, map[catch]int{}
	byTrap := l.model.byTrap(s.alone())
	for after := range 2 {
		for night := range s.nights() {
			p := pattern{base: -1}
			for k, trap := range s.Traps {
				if trap.Open[night] == 0 {
					continue
				}
				at := place{trip: t, group: g, night: night, after: after == 1 && night > 0}
				if byTrap {
					at.trap = k
				}
				p.slots = append(p.slots, found(slots, &ly.slots, slot{k, found(rows, &ly.rows, l.detect.rowAt[at])}))
				p.effort = append(p.effort, trap.Open[night])
			}
			key := fmt.Sprint(p.slots) + bits(p.effort)
			at, ok := patterns[key]
			if !ok {
				at = len(ly.patterns)
				patterns[key] = at
				ly.patterns = append(ly.patterns, p)
			}
			ly.at[after] = append(ly.at[after], at)
		}
	}
	for i := l.trips[t].from; i < l.trips[t].to; i++ {
		if one := l.lives[i]; one.group < 0 || one.group == g {
			ly.members = append(ly.members, member{i, one.first, one.end, ly.kinds(one, s, l.model.Traps, catches)})
		}
	}
	ly.relate()
	return ly
}

// relate tells each pattern by what it differs in from an earlier one, where that
// is shorter: a night on which few traps were out of order is the others less
// those traps.
func (ly *layer) relate() {
	whole := ly.patterns
	ly.patterns = make([]pattern, 0, len(whole))
	for i, p := range whole {
		best := p
		for j, earlier := range whole[:i] {
			if ly.patterns[j].base >= 0 {
				continue
			}
			if d := p.beside(earlier, j); len(d.slots) < len(best.slots)/2 {
				best = d
			}
		}
		ly.patterns = append(ly.patterns, best)
	}
}

// beside tells a pattern by what it has more or less than another.
func (p pattern) beside(other pattern, at int) pattern {
	more := map[int]float64{}
	for i, slot := range p.slots {
		more[slot] = p.effort[i]
	}
	for i, slot := range other.slots {
		more[slot] -= other.effort[i]
	}
	d := pattern{base: at}
	for _, slot := range slices.Sorted(maps.Keys(more)) {
		if more[slot] != 0 {
			d.slots, d.effort = append(d.slots, slot), append(d.effort, more[slot])
		}
	}
	return d
}

// alone is the trip as a survey of one.
func (t Trip) alone() Survey { return Survey{t} }

// found gives the place of a value in a list, which it joins where it is new.
func found[T comparable](at map[T]int, list *[]T, value T) int {
	i, ok := at[value]
	if !ok {
		i = len(*list)
		at[value] = i
		*list = append(*list, value)
	}
	return i
}

// kinds are the kinds of capture a life had.
func (ly *layer) kinds(one life, s Trip, traps TrapKind, catches map[catch]int) []int {
	var out []int
	for _, c := range one.caught {
		after := 0
		if c.Night > one.first {
			after = 1
		}
		kind := catch{pattern: ly.at[after][c.Night], effort: s.Traps[c.Trap].Open[c.Night]}
		kind.logEffort = math.Log(kind.effort)
		p := ly.patterns[kind.pattern]
		for i, slot := range p.slots {
			if ly.slots[slot].trap == c.Trap {
				kind.slot = p.slots[i]
			}
		}
		if traps == Proximity {
			kind.pattern = 0 // a detector knows nothing of the others
		}
		out = append(out, found(catches, &ly.catches, kind))
	}
	return out
}

// names are those of all parameters.
func (l *laid) names() []string {
	return slices.Concat(l.density.names(), l.detect.names(), l.move.names())
}
