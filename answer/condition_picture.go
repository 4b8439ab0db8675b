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
	dots := "Faint dots are animals, larger ones the mean of a trip with its 95 % interval; hollow dots are females kept apart, since they carry young of a mass not known. The"
	if len(out.trips) > manyTrips {
		dots = "Dots are the mean of a year, each animal once, with its 95 % interval; females that carry young of a mass not known are left out. The"
	}
	s := &chart.Scene{Width: width, Title: "Scaled mass index: " + out.Which.Says(),
		Desc: fmt.Sprintf("Mass scaled to one %s. %s %s.", out.LengthName, dots, out.ErrorsSay)}
	top := heading(s) + 8
	for _, g := range out.Groups {
		if g.Slope != nil && len(g.Trips) > 0 {
			top = out.group(s, top, g)
		}
	}
	s.Height = top + 8
	return s
}

// manyTrips is how many trips can be told apart on a figure; beyond, years are
// drawn.
const manyTrips = 60

// periods are the trips of a group with their means, or where there are too
// many the years, each animal once a year; of gives that of a mass.
func (out Condition) periods(g ConditionGroup) (what string, names []string, means []ConditionTrip, of func(ScaledMass) string) {
	if len(out.trips) <= manyTrips {
		return "trip", out.trips, g.Trips, func(m ScaledMass) string { return m.Trip }
	}
	of = func(m ScaledMass) string { return fmt.Sprint(m.Night.Year) }
	values, done := map[string][]float64{}, map[string]bool{}
	for _, m := range g.Indices {
		if k := m.of.Animal.String() + of(m); !done[k] {
			done[k] = true
			values[of(m)] = append(values[of(m)], m.Index.Value)
		}
	}
	for _, group := range out.Groups {
		for _, m := range slices.Concat(group.Indices, group.WithYoung) {
			if !slices.Contains(names, of(m)) {
				names = append(names, of(m))
			}
		}
	}
	slices.Sort(names)
	for _, name := range names {
		if v := values[name]; len(v) > 0 {
			means = append(means, meanOf(name, v))
		}
	}
	return "year", names, means, of
}

// group draws one panel and gives where the next begins.
func (out Condition) group(s *chart.Scene, top float64, g ConditionGroup) float64 {
	what, names, means, of := out.periods(g)
	values := []float64{}
	for _, m := range means {
		values = append(values, m.Value)
		if m.Animals >= 3 {
			values = append(values, m.Lower, m.Upper)
		}
	}
	if what == "trip" {
		for _, m := range slices.Concat(g.Indices, g.WithYoung) {
			values = append(values, m.Index.Value)
		}
	}
	from, to := chart.Room(values...)
	whose := "slope of its own"
	if g.Borrowed {
		whose = "slope borrowed from both sexes"
	}
	top = captioned(s, top, fmt.Sprintf("%s: %d animals; mass as length to the power %s, at %s mm (%s)",
		g.Says(), g.Animals, interval(g.Slope.B.Value, g.Slope.B.Lower, g.Slope.B.Upper, 3), figures(g.Slope.LengthMM, 4), whose))
	p := newPanel(s, top, 270, chart.Scale{From: -0.5, To: float64(len(names)) - 0.5}, chart.Scale{From: max(0, from), To: to}, what, "scaled mass, g")
	p.names(names)
	at := map[string]float64{}
	xs, ys := make([]float64, len(names)), make([]float64, len(names))
	for i, name := range names {
		at[name] = float64(i)
		xs[i], ys[i] = float64(i), math.NaN()
	}
	if what == "trip" {
		p.animals(g, func(m ScaledMass) float64 { return at[of(m)] })
	}
	for _, t := range means {
		ys[int(at[t.Trip])] = t.Value
	}
	p.joined("joins", xs, ys, -6)
	for _, t := range means {
		p.dot(0, at[t.Trip], t.Value, t.Lower, t.Upper, -6, fmt.Sprintf("%s %s: %s g, %d animals", what, t.Trip, interval(t.Value, t.Lower, t.Upper, 4), t.Animals))
	}
	return top + 270
}

// animals draws each animal; those kept apart are hollow.
func (p *panel) animals(g ConditionGroup, at func(ScaledMass) float64) {
	for _, m := range g.Indices {
		p.scene.Put(chart.Dot{Class: "faint", X: p.x.On(at(m)) + 8, Y: p.y.On(m.Index.Value), R: 3, Title: m.says()})
	}
	for _, m := range g.WithYoung {
		p.scene.Put(chart.Dot{Class: "value hollow", X: p.x.On(at(m)) + 14, Y: p.y.On(m.Index.Value), R: 3.5, Title: m.says() + ": " + m.Why})
	}
}

func (m ScaledMass) says() string {
	return fmt.Sprintf("%s on %s: %s g from %s g and %s mm", m.Animal, m.Night, interval(m.Index.Value, m.Index.Lower, m.Index.Upper, 4), short(m.MassG), short(m.LengthMM))
}
