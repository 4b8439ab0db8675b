package main

import (
	"fmt"
	"math"
	"strings"

	"dawnround/chart"
	"dawnround/fit"
)

// survivalPicture draws each survival with its interval in the order of the
// occasions, groups apart by shape; what is not estimable is left out.
func survivalPicture(e estimated, all []fit.Estimate) *chart.Scene {
	s := &chart.Scene{Width: widePicture, Height: 340, Class: "answer", Title: "Survival", Desc: e.Says}
	shown := shownOf(all)
	if len(shown) == 0 {
		return s
	}
	low := 1.0
	for _, v := range shown {
		low = math.Min(low, v.Lower)
	}
	y := chart.Scale{From: math.Max(0, math.Floor(low*10)/10), To: 1, At: 290, End: 40}
	x := chart.Scale{From: -0.5, To: float64(len(shown)) - 0.5, At: 60, End: widePicture - 20}
	for _, v := range y.Ticks(6) {
		s.Put(chart.Line{Class: "rule", Points: []chart.Point{{X: x.At, Y: y.On(v)}, {X: x.End, Y: y.On(v)}}},
			chart.Words{X: x.At - 8, Y: y.On(v) + 4, Text: fmt.Sprintf("%.0f %%", 100*v), Place: chart.UpTo})
	}
	every := max(1, (len(shown)+11)/12)
	for i, v := range shown {
		at := x.On(float64(i))
		s.Put(chart.Line{Class: "error", Points: []chart.Point{{X: at, Y: y.On(v.Lower)}, {X: at, Y: y.On(v.Upper)}}},
			chart.Dot{Class: "value", X: at, Y: y.On(v.Value), R: math.Max(2, math.Min(5, 300/float64(len(shown)))), Title: fmt.Sprintf("%s: %.1f %% (%.1f to %.1f)", v.Name, 100*v.Value, 100*v.Lower, 100*v.Upper)})
		if i%every == 0 {
			s.Put(chart.Words{Class: "small", X: at, Y: y.At + 20, Text: strings.TrimSuffix(strings.TrimPrefix(v.Name, "survival["), "]"), Place: chart.Around})
		}
	}
	s.Put(chart.Words{Class: "small", X: x.At, Y: 20, Text: e.Model + ": survival with its 95 % interval, by occasion"})
	return s
}

// shownOf are the estimates that have an interval.
func shownOf(all []fit.Estimate) []fit.Estimate {
	var out []fit.Estimate
	for _, v := range all {
		if v.Status == fit.Estimable && finite(v.Lower) != nil && finite(v.Upper) != nil {
			out = append(out, v)
		}
	}
	return out
}
