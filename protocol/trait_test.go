package protocol

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestBetweenVisits(t *testing.T) {
	t.Parallel()
	// Pes of six animals, each measured twice blind, in mm.
	pairs := [][2]float64{{98.2, 98.6}, {101.4, 100.9}, {95.0, 95.3}, {104.1, 104.0}, {99.7, 100.5}, {97.2, 97.0}}
	squares := 0.0
	for _, p := range pairs {
		squares += (p[0] - p[1]) * (p[0] - p[1])
	}
	technical := math.Sqrt(squares / float64(2*len(pairs)))
	cases := []struct {
		trait  Trait
		limit  float64
		basis  string
		source string
	}{
		{Trait{Unit: "mm", Error: technical, Source: "six pairs"}, 0.87, "technical error 0.31", "the trade's worked example, with invented pairs: 0.31 mm and 0.87 mm; by hand √(1.19/12) = 0.3149"},
		{Trait{Unit: "mm", Error: 0.31, Limit: 1.5, Source: "six pairs"}, 0.86, "1.96·√2 × technical error 0.31 mm (six pairs)", "by hand: 1.96 × 1.41421 × 0.31 = 0.8593"},
		{Trait{Unit: "mm", Limit: 1.5, Source: "start value"}, 1.5, "limit 1.5 mm (start value)", "as typed"},
		{Trait{Unit: "mm"}, 0, "", "neither is known"},
	}
	for _, c := range cases {
		limit, basis := c.trait.BetweenVisits()
		if math.Abs(limit-c.limit) > 0.005 || !strings.Contains(basis, c.basis) {
			t.Errorf("got %.4f by %q, want %.2f by %q (%s)", limit, basis, c.limit, c.basis, c.source)
		}
	}
}

// A less sure reading never makes a narrower limit.
func TestBetweenVisitsGrowsWithTheError(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		e := rapid.Float64Range(0.001, 50).Draw(t, "error")
		narrow, _ := (&Trait{Error: e}).BetweenVisits()
		wide, _ := (&Trait{Error: 2 * e}).BetweenVisits()
		if narrow <= e || wide <= narrow {
			t.Errorf("error %v: limits %v and, twice as unsure, %v", e, narrow, wide)
		}
	})
}
