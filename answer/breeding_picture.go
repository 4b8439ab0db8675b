package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnround/chart"
	"dawnround/record"
)

var monthNames = []string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// Picture draws it for paper and for the desk; Drawn so many units wide, below
// 600 for a phone.
func (out Breeding) Picture() *chart.Scene { return out.Drawn(wide) }

// Drawn draws the share of females breeding trip by trip, and the states that
// show breeding by calendar month, for each sex.
func (out Breeding) Drawn(width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Title: "Breeding: " + out.Which.Says(),
		Desc: "Bars are Wilson's 95 % interval. Animals of which nothing was checked or written are in no share. Adults are taken by: " + out.Adults + "."}
	top := heading(s) + 8
	if n := len(out.Trips); n > 0 && n <= 60 {
		top = out.shareByTrip(s, top)
	}
	for _, sex := range []record.Sex{record.Female, record.Male} {
		if series := out.foremost(sex); len(series) > 0 {
			top = out.byMonth(s, top, sex, series)
		}
	}
	s.Height = top + 8
	return s
}

func (out Breeding) shareByTrip(s *chart.Scene, top float64) float64 {
	top = captioned(s, top, "grown females with young, in milk or pregnant, of those checked; the numbers stand above")
	p := newPanel(s, top, 220, chart.Scale{From: -0.5, To: float64(len(out.trips)) - 0.5}, chart.Scale{From: 0, To: 100}, "trip", "breeding, %")
	p.names(out.trips)
	xs, ys := make([]float64, len(out.trips)), make([]float64, len(out.trips))
	for i := range out.trips {
		xs[i], ys[i] = float64(i), math.NaN()
	}
	for _, t := range out.Trips {
		if t.Wilson != nil {
			ys[slices.Index(out.trips, t.Trip)] = 100 * t.Wilson.Value
		}
	}
	p.joined("joins", xs, ys, 0)
	for _, t := range out.Trips {
		x := float64(slices.Index(out.trips, t.Trip))
		s.Put(chart.Words{Class: "small", X: p.x.On(x), Y: p.y.End - 4, Text: fmt.Sprintf("%d/%d", t.Breeding, t.Checked), Place: chart.Around})
		if w := t.Wilson; w != nil {
			p.dot(0, x, 100*w.Value, 100*w.Lower, 100*w.Upper, 0, fmt.Sprintf("trip %s: %d of %d", t.Trip, t.Breeding, t.Checked))
		}
	}
	return top + 220
}

// foremost are the three states seen most often in a sex: one of each sign, or
// all of one sign where there is but one.
func (out Breeding) foremost(sex record.Sex) [][]BreedingMonth {
	var all [][]BreedingMonth
	for _, m := range out.Months {
		if m.Sex != sex {
			continue
		}
		if n := len(all); n > 0 && all[n-1][0].Sign == m.Sign && all[n-1][0].Value == m.Value {
			all[n-1] = append(all[n-1], m)
			continue
		}
		all = append(all, []BreedingMonth{m})
	}
	slices.SortStableFunc(all, func(x, y []BreedingMonth) int { return cmp.Compare(sum(y), sum(x)) })
	signs := map[string]bool{}
	best := slices.DeleteFunc(slices.Clone(all), func(series []BreedingMonth) bool {
		had := signs[series[0].Sign]
		signs[series[0].Sign] = true
		return had
	})
	if len(signs) == 1 {
		best = all
	}
	return best[:min(3, len(best))]
}

func sum(series []BreedingMonth) int {
	n := 0
	for _, m := range series {
		n += m.With
	}
	return n
}

func (out Breeding) byMonth(s *chart.Scene, top float64, sex record.Sex, series [][]BreedingMonth) float64 {
	most := 10.0
	checked := make([]int, 13)
	for _, of := range series {
		for _, m := range of {
			checked[m.Month] = m.Checked
			if m.Wilson != nil {
				most = max(most, 100*m.Wilson.Upper)
			}
		}
	}
	top = captioned(s, top, fmt.Sprintf("grown %ss with any state of breeding written, each once a trip; their numbers stand above", sex))
	p := newPanel(s, top, 250, chart.Scale{From: 0.5, To: 12.5}, chart.Scale{From: 0, To: min(100, math.Ceil(most/10)*10)}, "month, all years together", "animals, %")
	var keys []string
	for i, name := range monthNames {
		p.below(float64(i+1), name)
		if checked[i+1] > 0 {
			s.Put(chart.Words{Class: "small", X: p.x.On(float64(i + 1)), Y: p.y.End - 4, Text: fmt.Sprint(checked[i+1]), Place: chart.Around})
		}
	}
	for i, of := range series {
		keys = append(keys, of[0].Sign+" "+of[0].Value)
		aside := 8 * (float64(i) - float64(len(series)-1)/2)
		xs, ys := []float64{}, []float64{}
		for _, m := range of {
			y := math.NaN()
			if m.Wilson != nil {
				y = 100 * m.Wilson.Value
			}
			xs, ys = append(xs, float64(m.Month)), append(ys, y)
		}
		p.joined("joins"+kinds[i%3], xs, ys, aside)
		for _, m := range of {
			if w := m.Wilson; w != nil {
				p.dot(i, float64(m.Month), 100*w.Value, 100*w.Lower, 100*w.Upper, aside, fmt.Sprintf("%s: %d of %d", monthNames[m.Month-1], m.With, m.Checked))
			}
		}
	}
	return top + 250 + p.key(keys)
}
