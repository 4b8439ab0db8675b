package answer

import (
	"fmt"
	"math"

	"dawnround/chart"
	"dawnround/fit"
)

// Picture draws the survival of each interval, as of a whole year, with its 95 %
// interval, the averaged one as a level, and the animals caught beneath.
func (l Lasting) Picture(width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Height: 350, Class: "answer", Title: "Whether they survive", Desc: l.Says}
	if len(l.Intervals) == 0 {
		return s
	}
	p := newPanel(s, 6, 300, chart.Scale{From: -0.6, To: float64(len(l.Intervals)) - 0.4}, chart.Scale{From: 0, To: 1}, "", "survival of a year")
	names := make([]string, len(l.Intervals))
	for i, v := range l.Intervals {
		names[i] = v.To
		if v.Survival.Status == fit.NotEstimable {
			s.Put(chart.Words{Class: "small", X: p.x.On(float64(i)), Y: p.y.At - 8, Text: "?", Place: chart.Around})
			continue
		}
		if v.Survival.Status == fit.AtBoundary {
			s.Put(chart.Dot{Class: "value hollow", X: p.x.On(float64(i)), Y: p.y.On(v.Survival.Value), R: 5, Title: fmt.Sprintf("%s to %s: at its end, no interval known", v.From, v.To)})
			continue
		}
		p.dot(0, float64(i), v.Survival.Value, v.Survival.Lower, v.Survival.Upper, 0,
			fmt.Sprintf("%s to %s: %.0f %% (%.0f to %.0f)", v.From, v.To, 100*v.Survival.Value, 100*v.Survival.Lower, 100*v.Survival.Upper))
	}
	for i, a := range l.Annual {
		if a.Status != fit.Estimable || math.IsNaN(a.Value) {
			continue
		}
		name := "averaged"
		switch {
		case len(l.Annual) > 1 && math.Abs(l.Annual[0].Value-l.Annual[1].Value) < 0.05 && i == 0:
			name = ""
		case len(l.Annual) > 1 && math.Abs(l.Annual[0].Value-l.Annual[1].Value) < 0.05:
			name = "both sexes"
		case len(l.Annual) > 1:
			name = a.Name[len("survival of a year, "):]
		}
		p.level("limit", a.Value, name)
	}
	p.names(names)
	s.Put(chart.Words{Class: "small", X: p.x.At, Y: s.Height - 10, Text: "each dot is the time up to that trip, read as a whole year; ring: at its end, without an interval; ? not estimable"})
	return s
}
