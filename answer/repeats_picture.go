package answer

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"dawnround/chart"
)

// Picture draws it for paper and for the desk; Drawn so many units wide, below
// 600 for a phone.
func (out Repeats) Picture() *chart.Scene { return out.Drawn(wide) }

// Drawn draws what there is: the differences between readings of one animal
// against their mean, and the drift from trip to trip.
func (out Repeats) Drawn(width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Title: fmt.Sprintf("How exactly %s is measured: %s", out.Name, out.Which.Says()), Desc: out.LimitSays + "."}
	top := heading(s) + 8
	if k, ok := out.pictured(); ok {
		top = out.differences(s, top, k)
	}
	if len(out.Drift) > 0 {
		top = out.drifting(s, top)
	}
	s.Height = top + 8
	return s
}

// pictured is the kind of repeats that has most pairs.
func (out Repeats) pictured() (RepeatKind, bool) {
	for _, k := range out.Kinds {
		if len(out.pairs) > 0 && k.Pairs == len(out.pairs) {
			return k, true
		}
	}
	return RepeatKind{}, false
}

// differences draws second less first reading against their mean; where many
// fall together the disc is larger, its area as their number.
func (out Repeats) differences(s *chart.Scene, top float64, k RepeatKind) float64 {
	type at struct{ mean, difference float64 }
	many := map[at]int{}
	most, far := 0, float64(k.Between)
	var means []float64
	for _, p := range out.pairs {
		a := at{math.Round((p.first.value+p.second.value)*50) / 100, math.Round((p.second.value-p.first.value)*100) / 100}
		many[a]++
		most = max(most, many[a])
		means = append(means, a.mean)
		far = max(far, math.Abs(a.difference))
	}
	from, to := chart.Room(slices.Min(means), slices.Max(means))
	top = captioned(s, top, fmt.Sprintf("%s: %d pairs of %d animals; technical error %s %s (%s %%); disc areas are numbers of pairs",
		k.Kind, k.Pairs, k.Animals, interval(float64(k.TEM), float64(k.Lower), float64(k.Upper), 3), out.Unit, figures(float64(k.Relative), 2)))
	p := newPanel(s, top, 300, chart.Scale{From: from, To: to}, chart.Scale{From: -far * 1.1, To: far * 1.1},
		"mean of the two readings, "+out.Unit, "second reading less first, "+out.Unit)
	p.numbers()
	low, high := p.y.On(float64(k.Between)), p.y.On(-float64(k.Between))
	s.Put(chart.Rect{Class: "band", X: p.x.At, Y: low, W: p.x.End - p.x.At, H: high - low})
	for _, a := range slices.SortedFunc(maps.Keys(many), func(a, b at) int { return many[b] - many[a] }) {
		r := max(1.6, min(3.5, 15/math.Sqrt(float64(most)))*math.Sqrt(float64(many[a])))
		s.Put(chart.Dot{Class: "faint", X: p.x.On(a.mean), Y: p.y.On(a.difference), R: r, Title: fmt.Sprintf("%d pairs: %v %s about %v", many[a], a.difference, out.Unit, a.mean)})
	}
	p.level("axis", 0, "")
	p.level("limit", float64(k.Between), "95 of 100")
	p.level("limit", -float64(k.Between), "within these")
	return top + 300
}

// drifting draws the offsets trip by trip, each handler with a shape and line
// of its own.
func (out Repeats) drifting(s *chart.Scene, top float64) float64 {
	var handlers []string
	values := []float64{0}
	for _, d := range out.Drift {
		if !slices.Contains(handlers, d.Handler) {
			handlers = append(handlers, d.Handler)
		}
		values = append(values, d.Lower, d.Upper)
	}
	slices.Sort(handlers)
	from, to := chart.Room(values...)
	top = captioned(s, top, "drift: "+out.DriftSays+"; bars are 95 %")
	p := newPanel(s, top, 280, chart.Scale{From: -0.5, To: float64(len(out.trips)) - 0.5}, chart.Scale{From: from, To: to}, "trip", "offset, "+out.Unit)
	p.names(out.trips)
	p.level("axis", 0, "")
	for i, handler := range handlers {
		aside := 9 * (float64(i) - float64(len(handlers)-1)/2)
		xs, ys := make([]float64, len(out.trips)), make([]float64, len(out.trips))
		for j := range out.trips {
			xs[j], ys[j] = float64(j), math.NaN()
		}
		var points []DriftPoint
		for _, d := range out.Drift {
			if d.Handler == handler {
				ys[slices.Index(out.trips, d.Trip)] = d.Value
				points = append(points, d)
			}
		}
		p.joined("joins"+kinds[i%3], xs, ys, aside)
		for _, d := range points {
			p.dot(i, float64(slices.Index(out.trips, d.Trip)), d.Value, d.Lower, d.Upper, aside,
				fmt.Sprintf("%s on trip %s: %s %s, %d readings", d.Handler, d.Trip, interval(d.Value, d.Lower, d.Upper, 2), out.Unit, d.Readings))
		}
	}
	if handlers[0] == "" {
		return top + 280
	}
	return top + 280 + p.key(handlers)
}
