package growth_test

import (
	"math"
	"strings"
	"testing"

	"dawnround/growth"
)

func aged(trait string, days, sd float64, spread growth.Spread) growth.Age {
	return growth.Age{Days: days, From: days - 1.959963984540054*sd, To: days + 1.959963984540054*sd, Spread: spread, Relation: &growth.Relation{Trait: trait}}
}

// Two traits with s.d. 4 and 6 and correlation 0.5, by hand: covariance 12,
// weights (36 − 12)/(16 + 36 − 24) = 6/7 and 1/7, variance (16·36 − 144)/28.
func TestCombine(t *testing.T) {
	t.Parallel()
	ages := []growth.Age{aged("head", 100, 4, growth.BetweenAnimals), aged("pes", 107, 6, growth.BetweenAnimals)}
	known := []growth.Correlation{{Traits: []string{"pes", "head"}, R: 0.5, Young: 20, Source: "invented"}}
	j := growth.Combine(ages, known)
	sd := (j.To - j.From) / 2 / 1.959963984540054
	if math.Abs(j.Days-101) > 1e-9 || math.Abs(sd-math.Sqrt(432.0/28)) > 1e-9 || len(j.Traits) != 2 {
		t.Errorf("%+v, s.d. %v", j, sd)
	}
}

func TestNarrowestAnswersAlone(t *testing.T) {
	t.Parallel()
	both := []growth.Age{aged("pes", 107, 6, growth.BetweenAnimals), aged("head", 100, 4, growth.BetweenAnimals)}
	tests := []struct {
		name  string
		ages  []growth.Age
		known []growth.Correlation
		trait string
		says  string
	}{
		{"no correlation", both, nil, "head", "not known from at least 20 young"},
		{"too few young", both, []growth.Correlation{{Traits: []string{"head", "pes"}, R: 0.5, Young: 19}}, "head", "not known from at least 20 young"},
		{"too close", both, []growth.Correlation{{Traits: []string{"head", "pes"}, R: 0.9, Young: 40}}, "head", "add nothing"},
		{"spread not known", []growth.Age{aged("head", 100, 0.5, growth.MeasurementOnly), both[0]},
			[]growth.Correlation{{Traits: []string{"head", "pes"}, R: 0.5, Young: 30}}, "pes", "how far animals differ in age by head is not known"},
		{"one trait", both[:1], nil, "pes", "from pes"},
	}
	for _, test := range tests {
		j := growth.Combine(test.ages, test.known)
		if len(j.Traits) != 1 || j.Traits[0] != test.trait || !strings.Contains(j.Says, test.says) {
			t.Errorf("%s: %v, %q; want %s alone, %q", test.name, j.Traits, j.Says, test.trait, test.says)
		}
	}
}
