package density

import (
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
)

// An Array is what the traps could tell, over all trips.
type Array struct {
	SpanM      float64 `json:"span_m"`     // the greatest distance between two traps of a trip
	WidthM     float64 `json:"width_m"`    // their spread across their longest direction
	SpacingM   float64 `json:"spacing_m"`  // the median distance to the nearest trap
	Saturation float64 `json:"saturation"` // share of trap-nights occupied, by whatever is told
	Shared     int     `json:"shared"`     // trap-nights with two animals or more
	// TakenTold tells that the saturation counts traps sprung, or holding another
	// species.
	TakenTold bool    `json:"taken_told"`
	EdgeP     float64 `json:"edge_p"` // the greatest chance of being caught with a centre on the open edge
	// Widened tells that the effective area was looked at with a wider margin, and
	// Outside by what share it grew.
	Widened bool    `json:"widened"`
	Outside float64 `json:"outside"`
}

// What the guards hold the traps against.
const (
	saturated    = 0.5  // common practice, no source
	fewElsewhere = 20   // recaptures at other traps; common practice, no source
	fewAnimals   = 10   // common practice, no source
	spacingMost  = 2.0  // σ between neighbouring traps; common practice, no source
	spanLeast    = 5.0  // σ; a home range of 95 % is 4.9 σ across where its use is normal: 2√(2 ln 20)
	edgeMost     = 0.01 // of chance, or of the effective area; common practice, no source
	widerBy      = 1.5  // times the margin
	narrow       = 0.05 // of the span: traps all but in a line
	boundless    = 100  // times the span: σ beyond which distance tells nothing
)

// array measures the traps.
func (l *laid) array() Array {
	a := Array{SpacingM: math.Inf(1), TakenTold: true}
	taken, set := 0.0, 0.0
	for t, s := range l.survey {
		span, width := extent(s.Traps)
		a.SpanM, a.WidthM = math.Max(a.SpanM, span), math.Max(a.WidthM, width)
		a.SpacingM = math.Min(a.SpacingM, spacingM(s.Traps))
		busy, nights, shared := l.occupied(t)
		taken, set = taken+busy, set+nights
		a.Shared += shared
		a.TakenTold = a.TakenTold && s.Taken != nil
	}
	if set > 0 {
		a.Saturation = taken / set
	}
	return a
}

// extent is how far traps reach along the direction in which they lie farthest
// apart, and across it.
func extent(traps []Trap) (span, width float64) {
	var along Point
	for i, a := range traps {
		for _, b := range traps[i+1:] {
			if d := math.Hypot(a.At.X-b.At.X, a.At.Y-b.At.Y); d > span {
				span = d
				along = Point{(b.At.X - a.At.X) / d, (b.At.Y - a.At.Y) / d}
			}
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, t := range traps {
		off := t.At.X*along.Y - t.At.Y*along.X
		low, high = math.Min(low, off), math.Max(high, off)
	}
	return span, math.Max(0, high-low)
}

// occupied counts the trap-nights that held an animal of this species, or were
// taken otherwise; those that were set; and those that held two or more.
func (l *laid) occupied(t int) (taken, set float64, shared int) {
	s := l.survey[t]
	busy := map[Capture]int{}
	for _, one := range l.lives[l.trips[t].from:l.trips[t].to] {
		for _, c := range one.caught {
			if busy[c]++; busy[c] == 2 {
				shared++
			}
		}
	}
	for k, trap := range s.Traps {
		for night, open := range trap.Open {
			held := s.Taken != nil && s.Taken[k][night]
			if open > 0 || held {
				set++
			}
			if held || busy[Capture{night, k}] > 0 {
				taken++
			}
		}
	}
	return taken, set, shared
}

// takeBack calls not estimable what nothing tells: all but detection where no
// animal was caught at a second trap; and density where σ has no upper limit and
// the state space has no fence, since density is then the number of animals over
// whatever area was drawn.
func (r *Result) takeBack() {
	r.Boundless = slices.ContainsFunc(r.Sigma, func(e fit.Estimate) bool {
		return e.Status != fit.Estimable && e.Value > boundless*r.Array.SpanM
	})
	open := slices.ContainsFunc(r.laid.survey, func(t Trip) bool { return !t.Space.Fenced })
	if r.Elsewhere == 0 || r.Boundless {
		lose(r.Sigma)
	}
	if r.Elsewhere > 0 && !(r.Boundless && open) {
		return
	}
	r.D, r.Fixed = fit.Lost(r.D.Name), fit.Lost(r.Fixed.Name)
	lose(r.ByLabel)
	for i := range r.Populations {
		p := &r.Populations[i]
		p.N, p.Expected, p.EffectiveHa = fit.Lost(p.N.Name), fit.Lost(p.Expected.Name), fit.Lost(p.EffectiveHa.Name)
		p.N.Lower = float64(p.Caught)
	}
}

func lose(all []fit.Estimate) {
	for i := range all {
		all[i] = fit.Lost(all[i].Name)
	}
}

func (r *Result) warn() {
	l := r.laid
	add := func(format string, args ...any) { r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...)) }
	r.Warnings = append(r.Warnings, r.Fit.Warnings...)
	again := r.Captures - r.Caught
	switch {
	case r.Caught == 0:
		add("no animal was caught: there is nothing to estimate from")
	case again == 0:
		add("no animal was caught twice: nothing tells how far they move, nor how catchable they are")
	case r.Elsewhere == 0:
		add("no animal was caught at a second trap: nothing tells how far they move, so neither density nor σ can be estimated")
	case r.Elsewhere < fewElsewhere:
		add("recaptures at another trap: only %d; the density rests on few movements (%d or more are wanted)", r.Elsewhere, fewElsewhere)
	}
	if r.Caught > 0 && r.Caught < fewAnimals {
		add("animals caught: only %d; the intervals take their number as large", r.Caught)
	}
	if r.Boundless {
		add("σ has no upper limit: animals were caught as often far from where they live as near it")
	}
	if n := l.unknown(); n > 0 {
		add("animals whose group is not known: %d; they are shared out between the groups by their captures, as if it were unknown by chance", n)
	}
	if l.model.Traps == Single {
		r.warnSaturation()
	}
	for _, p := range []*predictor{&l.density, &l.detect, &l.move} {
		if len(p.design.Aliased) > 0 {
			add("%s: left out, as other effects already say it: %v", p.of, p.design.Aliased)
		}
	}
	r.warnArray()
	r.warnEdge()
}

// unknown counts the animals that may be of any group.
func (l *laid) unknown() int {
	n := 0
	for _, one := range l.lives {
		if one.group < 0 {
			n++
		}
	}
	return n
}

func (r *Result) warnSaturation() {
	a := r.Array
	told := "traps sprung or holding another species included"
	if !a.TakenTold {
		told = "traps sprung or holding another species are not told, so it was more"
	}
	verdict := "low enough for multi-catch traps to stand in for single-catch ones"
	if a.Saturation > saturated {
		verdict = fmt.Sprintf("above %.1f, where multi-catch traps can no longer stand in for single-catch ones: detection is too low here, and the density may be wrong", saturated)
	}
	if r.Array.Shared > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("trap-nights with two animals or more in one trap: %d; single-catch traps hold one, so look at those captures", r.Array.Shared))
	}
	r.Warnings = append(r.Warnings, fmt.Sprintf("single-catch traps are fitted as multi-catch, an approximation; saturation %.2f of trap-nights (%s): %s", a.Saturation, told, verdict))
}

// warnArray holds the traps against the movement.
func (r *Result) warnArray() {
	add := func(format string, args ...any) { r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...)) }
	a := r.Array
	if len(r.laid.survey[0].Traps) == 1 || a.SpanM == 0 {
		add("all traps stand at one place: nothing tells how far animals move")
	} else if a.WidthM < narrow*a.SpanM {
		add("the traps stand in a line: how far animals live off it is taken from movement along it")
	}
	known := slices.DeleteFunc(slices.Clone(r.Sigma), func(e fit.Estimate) bool { return e.Status == fit.NotEstimable || !finite(e.Value) })
	if len(known) == 0 {
		return
	}
	byValue := func(a, b fit.Estimate) int {
		if a.Value < b.Value {
			return -1
		}
		return 1
	}
	least, most := slices.MinFunc(known, byValue).Value, slices.MaxFunc(known, byValue).Value
	if a.SpanM < spanLeast*most {
		add("the traps span %.0f m, less than %.0f σ (%.0f m), about the width of a home range: σ and density are then poorly known, and often wrong", a.SpanM, spanLeast, spanLeast*most)
	}
	if a.SpacingM > spacingMost*least {
		add("traps stand %.0f m apart, more than %.0f σ (%.0f m): an animal seldom meets two", a.SpacingM, spacingMost, spacingMost*least)
	}
	for _, s := range r.laid.survey {
		if s.Space.SideM > least {
			add("cells of %.3g m are wider than σ (%.3g m): make them smaller, or mistrust the figures", s.Space.SideM, least)
			break
		}
	}
	for _, s := range r.laid.survey {
		if k := s.outside(); k >= 0 {
			add("%strap %q stands outside the state space: correct its place, or the edge", s.called(), s.trap(k))
		}
	}
}

// outside is a trap farther from any cell than a cell is wide, −1 where there is
// none.
func (t Trip) outside() int {
	return slices.IndexFunc(t.Traps, func(trap Trap) bool {
		return !slices.ContainsFunc(t.Space.Cells, func(c Point) bool {
			return math.Hypot(c.X-trap.At.X, c.Y-trap.At.Y) <= t.Space.SideM
		})
	})
}

// warnEdge looks whether the state space is wide enough, unless it is fenced: by
// the estimate at a wider margin where there is one, else by the chance of
// being caught from the edge.
func (r *Result) warnEdge() {
	if r.Elsewhere == 0 || r.Boundless {
		return
	}
	l := r.laid
	add := func(format string, args ...any) { r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...)) }
	l.expect(r.Fit.X)
	for i := range l.layers {
		ly := &l.layers[i]
		s := l.survey[ly.trip]
		if !s.Space.Fenced {
			for _, cell := range s.Space.edge() {
				r.Array.EdgeP = math.Max(r.Array.EdgeP, l.everAt(ly, cell))
			}
		}
	}
	r.Array.Outside, r.Array.Widened = l.beyond(r.Fit.X)
	switch a := r.Array; {
	case a.Outside > edgeMost:
		add("the margin is too narrow: with one of %.1f times its width the effective area would be %.1f %% larger, and the density smaller by as much; widen it", widerBy, 100*a.Outside)
	case !a.Widened && a.EdgeP > edgeMost:
		add("an animal living at the edge of the cells would be caught with a chance of %.2f: unless the edge is a fence, or where habitat ends, widen the state space", a.EdgeP)
	}
}

// everAt is the chance that an animal living in a cell is caught at all.
func (l *laid) everAt(ly *layer, cell int) float64 {
	d := &desk{}
	d.fit(ly, l.survey)
	l.look(ly, cell, d)
	return -math.Expm1(-d.before[0][len(d.before[0])-1])
}

// beyond is by what share the effective area grows with a wider margin, at the
// same detection; false where the state space was not made from a margin, or
// density is not flat.
func (l *laid) beyond(x []float64) (float64, bool) {
	wider := slices.Clone(l.survey)
	for t, s := range l.survey {
		if s.Space.MarginM == 0 || len(l.density.x) > len(l.density.labels) {
			return 0, false
		}
		space, err := Around(s.Traps, widerBy*s.Space.MarginM, s.Space.SideM)
		if err != nil {
			return 0, false
		}
		wider[t].Space = space
	}
	w, err := lay(wider, l.model)
	if err != nil {
		return 0, false
	}
	w.workers = l.workers
	w.expect(x)
	worst := 0.0
	for t := range wider {
		worst = math.Max(worst, w.scratch.caught[t]/l.scratch.caught[t]-1)
	}
	return worst, true
}
