package answer

import (
	"fmt"
	"math"
	"slices"

	"dawnround/chart"
)

// Picture draws it for paper and for the desk; Drawn so many units wide, below
// 600 for a phone.
func (out Condition) Picture() *chart.Scene { return out.Drawn(wide) }

// Drawn draws each group's scaled mass trip by trip: faint dots are animals,
// dots with bars are means with 95 %, hollow ones are kept apart.
func (out Condition) Drawn(width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Title: "Scaled mass index: " + out.Which.Says(),
		Desc: fmt.Sprintf("Mass scaled to one %s. Faint dots are animals, larger ones the mean of a trip with its 95 %% interval; hollow dots are females kept apart, since they carry young of a mass not known. %s.", out.LengthName, out.ErrorsSay)}
	top := heading(s) + 8
	for _, g := range out.Groups {
		if g.Slope != nil && len(g.Trips) > 0 {
			top = out.group(s, top, g)
		}
	}
	s.Height = top + 8
	return s
}

// group draws one panel and gives where the next begins.
func (out Condition) group(s *chart.Scene, top float64, g ConditionGroup) float64 {
	var values []float64
	for _, m := range slices.Concat(g.Indices, g.WithYoung) {
		values = append(values, m.Index.Value)
	}
	from, to := chart.Room(values...)
	whose := "slope of its own"
	if g.Borrowed {
		whose = "slope borrowed from both sexes"
	}
	top = captioned(s, top, fmt.Sprintf("%s: %d animals; mass as length to the power %s, at %s mm (%s)",
		g.Says(), g.Animals, interval(g.Slope.B.Value, g.Slope.B.Lower, g.Slope.B.Upper, 3), figures(g.Slope.LengthMM, 4), whose))
	p := newPanel(s, top, 270, chart.Scale{From: -0.5, To: float64(len(out.trips)) - 0.5}, chart.Scale{From: from, To: to}, "trip", "scaled mass, g")
	p.names(out.trips)
	at := map[string]float64{}
	for i, trip := range out.trips {
		at[trip] = float64(i)
	}
	for _, m := range g.Indices {
		if p.small < 1 {
			break // there are too many to be told apart
		}
		s.Put(chart.Dot{Class: "faint", X: p.x.On(at[m.Trip]) + 8*p.small, Y: p.y.On(m.Index.Value), R: 3 * p.small, Title: m.says()})
	}
	for _, m := range g.WithYoung {
		s.Put(chart.Dot{Class: "value hollow", X: p.x.On(at[m.Trip]) + 14*p.small, Y: p.y.On(m.Index.Value), R: 3.5 * p.small, Title: m.says() + ": " + m.Why})
	}
	xs, ys := make([]float64, len(out.trips)), make([]float64, len(out.trips))
	for i := range out.trips {
		xs[i], ys[i] = float64(i), math.NaN()
	}
	for _, t := range g.Trips {
		ys[int(at[t.Trip])] = t.Value
	}
	p.joined("joins", xs, ys, -6*p.small)
	for _, t := range g.Trips {
		p.dot(0, at[t.Trip], t.Value, t.Lower, t.Upper, -6*p.small, fmt.Sprintf("trip %s: %s g, %d animals", t.Trip, interval(t.Value, t.Lower, t.Upper, 4), t.Animals))
	}
	return top + 270
}

func (m ScaledMass) says() string {
	return fmt.Sprintf("%s on %s: %s g from %s g and %s mm", m.Animal, m.Night, interval(m.Index.Value, m.Index.Lower, m.Index.Upper, 4), short(m.MassG), short(m.LengthMM))
}
