package fitting

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Young grow 0.343 mm a day (the slope of How 1976: 1/2.917) with a spread of
// 5 %, from a newborn of 5.6 to 7.6 mm.
func pouchYoung(n int, bend float64, rng *rand.Rand) []Reading {
	var out []Reading
	for i := range n {
		rate := 0.343 * (1 + 0.05*rng.NormFloat64())
		age, days := 10+80*rng.Float64(), 20+20*rng.Float64()
		size := 6.6 + rate*age
		name := fmt.Sprint(i)
		out = append(out, Reading{name, 0, size, math.NaN(), ""}, Reading{name, days, size + rate*days*(1-bend*age), math.NaN(), ""})
	}
	return out
}

func TestLinear(t *testing.T) {
	t.Parallel()
	r, err := Linear(pouchYoung(20, 0, rand.New(rand.NewPCG(6, 1))), 5.6, 7.6)
	if err != nil {
		t.Fatal(err)
	}
	r.Name("Invented species", "head", "mm", "x")
	if e := estimate(t, r, "rate per day"); math.Abs(e.Value-0.343) > 3*e.SE || e.SE > 0.01 {
		t.Errorf("rate %+v", e)
	}
	// 40 mm: (40 − 6.6)/0.343 = 97.4 days
	a, err := r.Relation.Age(40, 0)
	if err != nil || math.Abs(a.Days-97.4) > 6 || a.From > 90 || a.To < 104 || a.To > 140 {
		t.Errorf("40 mm is %v, %v", a, err)
	}
	if len(r.Warnings) > 0 {
		t.Errorf("warnings %q", r.Warnings)
	}
	bent, err := Linear(pouchYoung(20, 0.006, rand.New(rand.NewPCG(6, 1))), 5.6, 7.6)
	if err != nil || len(bent.Warnings) != 1 || !strings.Contains(bent.Warnings[0], "the rate changes with size") {
		t.Errorf("growth that slows: %q, %v", bent.Warnings, err)
	}
	if _, err = Linear(pouchYoung(11, 0, rand.New(rand.NewPCG(6, 1))), 5.6, 7.6); err == nil {
		t.Error("11 pairs: want too thin")
	}
	if _, err = Linear(pouchYoung(20, 0, rand.New(rand.NewPCG(6, 1))), 8, 7); err == nil {
		t.Error("a newborn from 8 to 7 mm: want an error")
	}
}
