package answer

import (
	"fmt"
	"math"

	"dawnround/chart"
)

// Picture draws it for paper and for the desk; Drawn so many units wide, below
// 600 for a phone.
func (out Health) Picture() *chart.Scene { return out.Drawn(wide) }

// Drawn draws the prevalence of each parasite, trip by trip.
func (out Health) Drawn(width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Title: "Parasites: " + out.Which.Says(),
		Desc: "Share of the animals examined that carry any, each animal once a trip at its first examination; bars are Wilson's 95 % interval; the number stands above."}
	top := heading(s) + 8
	for _, p := range out.Parasites {
		top = out.prevalence(s, top, p)
	}
	if len(out.Parasites) == 0 {
		s.Put(chart.Words{X: 12, Y: top + 20, Text: "no animal was examined for a parasite of the protocol"})
		top += 40
	}
	s.Height = top + 8
	return s
}

func (out Health) prevalence(s *chart.Scene, top float64, of Parasite) float64 {
	says := of.Name + ": " + of.Thin
	if l := of.Load; l != nil {
		says = fmt.Sprintf("%s: on %d animals (each once), median %s, mean %s, k %s", of.Name, l.Animals, l.Median,
			interval(l.Mean.Value, l.Mean.Lower, l.Mean.Upper, 2), interval(l.K.Value, l.K.Lower, l.K.Upper, 2))
	}
	top = captioned(s, top, says)
	p := newPanel(s, top, 230, chart.Scale{From: -0.5, To: float64(len(out.trips)) - 0.5}, chart.Scale{From: 0, To: 100}, "trip", "animals with any, %")
	p.names(out.trips)
	at := map[string]float64{}
	for i, trip := range out.trips {
		at[trip] = float64(i)
	}
	xs, ys := make([]float64, len(out.trips)), make([]float64, len(out.trips))
	for i := range out.trips {
		xs[i], ys[i] = float64(i), math.NaN()
	}
	for _, t := range of.Trips {
		v, _, _ := t.value()
		ys[int(at[t.Trip])] = 100 * v
	}
	p.joined("joins", xs, ys, 0)
	for _, t := range of.Trips {
		v, lower, upper := t.value()
		p.dot(0, at[t.Trip], 100*v, 100*lower, 100*upper, 0, fmt.Sprintf("trip %s: %d of %d", t.Trip, t.With, t.Examined))
		if p.small == 1 {
			s.Put(chart.Words{Class: "small", X: p.x.On(at[t.Trip]), Y: p.y.End - 4, Text: fmt.Sprintf("%d/%d", t.With, t.Examined), Place: chart.Around})
		}
	}
	return top + 230
}
