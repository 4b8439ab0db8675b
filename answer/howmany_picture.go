package answer

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"dawnround/chart"
	"dawnround/fit"
)

// Picture draws the estimates with their intervals over the trips, the animals
// known alive behind them (dashed where they still fill up), the effort beneath,
// and where the way of trapping changed. width is that of the drawing; a narrow
// one shows the latest trips.
func (m Many) Picture(width float64) *chart.Scene {
	trips := m.Trips
	if room := int((width - 80) / 58); len(trips) > room {
		trips = trips[len(trips)-room:]
	}
	s := &chart.Scene{Width: width, Height: 330, Class: "answer", Title: "How many there are", Desc: m.Says}
	if len(trips) == 0 {
		return s
	}
	left, right, top, foot := 46.0, width-16, 34.0, 262.0
	y := chart.Scale{From: 0, To: highest(trips), At: foot, End: top}
	step := (right - left) / float64(len(trips))
	for _, v := range y.Ticks(5) {
		s.Put(chart.Line{Class: "rule", Points: []chart.Point{{X: left, Y: y.On(v)}, {X: right, Y: y.On(v)}}},
			chart.Words{X: left - 8, Y: y.On(v) + 5, Text: short(v), Place: chart.UpTo})
	}
	for i, t := range trips {
		t.draw(s, y, left+step*(float64(i)+0.5), step)
	}
	s.Put(chart.Words{Class: "small", X: 8, Y: 20, Text: caption(trips)})
	return s
}

func caption(trips []ManyTrip) string {
	says := "animals: dot, estimate with its 95 % interval; bar, known alive; below, trap-nights"
	for _, t := range trips {
		if t.Shared > 0 {
			return says + "; ring: chance of being caught taken from all trips"
		}
	}
	return says
}

// dotOf rings an estimate that took its detection from other trips.
func dotOf(t ManyTrip) string {
	if t.Shared > 0 {
		return "value hollow"
	}
	return "value"
}

// highest is where the axis ends: above every bar and every interval that has an
// end, but not more than thrice the highest estimate.
func highest(trips []ManyTrip) float64 {
	top, most := 1.0, 1.0
	for _, t := range trips {
		most = math.Max(most, float64(t.KnownAlive))
		if t.Refused == "" {
			most = math.Max(most, t.N.Value)
		}
	}
	for _, t := range trips {
		top = math.Max(top, float64(t.KnownAlive))
		if t.Refused == "" && !math.IsInf(t.N.Upper, 1) && !math.IsNaN(t.N.Upper) {
			top = math.Max(top, math.Min(t.N.Upper, 3*most))
		}
	}
	return math.Max(top, most) * 1.08
}

// draw puts one trip at x on the drawing.
func (t ManyTrip) draw(s *chart.Scene, y chart.Scale, x, step float64) {
	wide := math.Min(56, step*0.6)
	class := "band"
	if t.Provisional {
		class = "band filling"
	}
	bar := y.On(float64(t.KnownAlive))
	s.Put(chart.Rect{Class: class, X: x - wide/2, Y: bar, W: wide, H: y.At - bar, Title: fmt.Sprintf("%s: %d known alive", t.Name, t.KnownAlive)})
	if t.Refused == "" && t.N.Status != fit.NotEstimable {
		upper := t.N.Upper
		if math.IsInf(upper, 1) || math.IsNaN(upper) || upper > y.To {
			upper = y.To
			s.Put(chart.Words{Class: "small", X: x + 5, Y: y.End + 12, Text: "↑"})
		}
		s.Put(chart.Line{Class: "error", Points: []chart.Point{{X: x, Y: y.On(t.N.Lower)}, {X: x, Y: y.On(upper)}}},
			chart.Dot{Class: dotOf(t), X: x, Y: y.On(t.N.Value), R: 6, Title: fmt.Sprintf("%s: %s (%s to %s)", t.Name, figures(t.N.Value, 2), ends(t.N.Lower), ends(t.N.Upper))})
	} else {
		s.Put(chart.Words{Class: "small", X: x, Y: bar - 6, Text: "count only", Place: chart.Around})
	}
	if t.Break != "" {
		s.Put(chart.Line{Class: "break", Points: []chart.Point{{X: x - step/2, Y: y.End}, {X: x - step/2, Y: y.At}}},
			chart.Words{Class: "small", X: x - step/2 + 4, Y: y.End + 10, Text: t.Break})
	}
	s.Put(chart.Words{X: x, Y: y.At + 22, Text: t.First.Noon(time.UTC).Format("Jan 06"), Place: chart.Around})
	effort := strconv.Itoa(t.TrapNights)
	if t.Corrected != nil {
		effort = fmt.Sprintf("%.0f", *t.Corrected)
	}
	if t.TrapNights == 0 {
		effort = "?"
	}
	s.Put(chart.Words{Class: "small", X: x, Y: y.At + 42, Text: effort, Place: chart.Around})
}
