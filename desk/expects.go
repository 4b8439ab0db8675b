package desk

import (
	"dawnround/growth"
	"dawnround/protocol"
)

// Expected is what a curve expects of a trait on one day.
type Expected struct {
	Day  float64 `json:"day"` // since 1970
	Mean float64 `json:"mean"`
	From float64 `json:"from"` // 95 % of one reading
	To   float64 `json:"to"`
}

// expectedSteps is in how many steps a band is drawn.
const expectedSteps = 12

// expects lays the first relation that fits over a series: from the middle of
// the birth window by age, else from each value that stands to the next, by
// growth since. Without a spread between animals there is no band to draw.
func (w words) expects(one *Series, s *protocol.Sheet, l Life) {
	t, ok := s.Trait(one.Key)
	if !ok || !t.Bone || t.Sided {
		return
	}
	relations := w.Relations(s)
	for i := range relations {
		r := &relations[i]
		if r.Trait != t.ID || r.Unit != t.Unit || r.Sex != "" && r.Sex != l.Sex || !r.SpreadKnown() {
			continue
		}
		if band := bandOf(r, *one, l); len(band) > 1 && band[len(band)-1].Day > day(one.Points[0].Night) {
			one.Expected, one.ExpectedBy = band, r.Name()
			return
		}
	}
}

func bandOf(r *growth.Relation, one Series, l Life) []Expected {
	if l.Born != nil && r.Fitted != growth.GainOnSize {
		middle := (day(l.Born.Earliest) + day(l.Born.Latest)) / 2
		return banded(middle, day(l.Last), func(days float64) (growth.Size, error) { return r.SizeAt(days) })
	}
	var out []Expected
	was := -1
	for i, p := range one.Points {
		if p.Doubt != "" {
			continue
		}
		if was >= 0 {
			from := one.Points[was]
			out = append(out, banded(day(from.Night), day(p.Night), func(days float64) (growth.Size, error) { return r.Next(from.Value, days) })...)
		}
		was = i
	}
	return out
}

// banded asks a curve at even steps; where it has no answer there is no band.
func banded(from, to float64, at func(days float64) (growth.Size, error)) []Expected {
	var out []Expected
	for i := range expectedSteps + 1 {
		days := (to - from) * float64(i) / expectedSteps
		if s, err := at(days); err == nil && s.To >= s.From {
			out = append(out, Expected{from + days, s.Mean, s.From, s.To})
		}
	}
	return out
}
