package density_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"dawnround/density"
	"dawnround/fit"
)

// spatialRows is how many rows of the check table are of this package; a table
// of another size fails the test.
const spatialRows = 60

// TestChecks compares every row of the table of values to be right about that
// concerns density, within its own tolerance. All are own computations on seeded
// simulations from Borchers & Efford 2008, checked by plain loops.
func TestChecks(t *testing.T) {
	t.Parallel()
	got := map[string]float64{}
	fixedPoints(t, got)
	multiCatch(t, got)
	proximity(t, got)
	rows := 0
	for _, row := range table(t, "checks.csv") {
		id, ours := strings.CutPrefix(row[0], "spatial.")
		if !ours {
			continue
		}
		rows++
		value, ok := got[id]
		if !ok {
			t.Errorf("%s: nothing computed for it", row[0])
		} else if want := number(t, row[6]); !within(value, want, row[7]) {
			t.Errorf("%s: got %.12g, want %.12g (%s)", row[0], value, want, row[7])
		}
	}
	if rows != spatialRows {
		t.Errorf("%d rows in the table, %d expected here", rows, spatialRows)
	}
}

// within reads a tolerance such as "1e-4 rel" (to the larger of value and
// 0.001), "1e-4 abs" or "exact".
func within(got, want float64, tolerance string) bool {
	size, kind, _ := strings.Cut(tolerance, " ")
	if size == "exact" {
		return got == want
	}
	bound, err := strconv.ParseFloat(size, 64)
	if err != nil {
		return false
	}
	if kind == "rel" {
		bound *= math.Max(math.Abs(want), 0.001)
	}
	return math.Abs(got-want) <= bound
}

// fixedPoints: the parameters are those of the table's parameters column.
func fixedPoints(t *testing.T, got map[string]float64) {
	multi, proximity := simulated(t, "multi"), simulated(t, "proximity")
	natural := func(id string, s density.Survey, m density.Model, at density.Fixed) {
		value, err := density.Evaluate(s, m, at)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got[id] = value.Minus2LnL
	}
	at := density.Fixed{"D_per_ha": 12, "detection": 0.18, "sigma_m": 16}
	natural("multi.fixed.half-normal_Poisson", multi, density.Model{}, at)
	natural("multi.fixed.half-normal_binomial", multi, density.Model{Count: density.Binomial}, at)
	natural("multi.fixed.exponential_Poisson", multi, density.Model{Shape: density.Exponential}, density.Fixed{"D_per_ha": 12, "detection": 0.3, "sigma_m": 10})
	near := density.Model{Traps: density.Proximity}
	natural("proximity.fixed.half-normal_Poisson_2", proximity, near, density.Fixed{"D_per_ha": 8, "detection": 0.1, "sigma_m": 22})
	near.Count = density.Conditional
	natural("proximity.fixed.half-normal_conditional", proximity, near, density.Fixed{"detection": 0.18, "sigma_m": 16})
	hazard := density.Model{Traps: density.Proximity, Shape: density.HazardHalfNormal}
	natural("proximity.fixed.hazard half-normal_Poisson", proximity, hazard, density.Fixed{"D_per_ha": 12, "detection": 0.2, "sigma_m": 16})

	// trap response and a trend are steps and slopes on the link scale; the table
	// takes x from 52.5 m and the slope per 100 m
	link := func(id string, s density.Survey, m density.Model, x ...float64) {
		value, err := density.EvaluateLink(s, m, x)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got[id] = value.Minus2LnL
	}
	link("multi.fixed.half-normal_trap response", multi, density.Model{Detect: []string{"after-capture"}}, math.Log(12), fit.Logit.Eta(0.18), 0.7, math.Log(16))
	link("proximity.fixed.half-normal_trend_D", proximity, density.Model{Traps: density.Proximity, Density: []string{"x"}},
		math.Log(12)-0.6*52.5/100, 0.6/100, fit.Logit.Eta(0.18), math.Log(16))

	e, err := density.Evaluate(multi, density.Model{}, at)
	if err != nil {
		t.Fatal(err)
	}
	got["effective_area.0.18.16.0"] = e.EffectiveHa[0]
}

func fitted(t testing.TB, s density.Survey, m density.Model) density.Result {
	t.Helper()
	r, err := density.Fit(t.Context(), s, m, density.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Fit.Ending.Converged {
		t.Errorf("%v: %+v", m, r.Fit.Ending)
	}
	return r
}

// note puts an estimate under the table's names.
func note(got map[string]float64, id string, e fit.Estimate) {
	got[id], got[id+".se"], got[id+".lo"], got[id+".hi"] = e.Value, e.SE, e.Lower, e.Upper
}

func multiCatch(t *testing.T, got map[string]float64) {
	s := simulated(t, "multi")
	r := fitted(t, s, density.Model{})
	id := "multi.half-normal_Poisson."
	got[id+"m2lnL"] = r.Fit.Minus2LnL
	note(got, id+"D", r.D)
	note(got, id+"g0", r.Detection[0])
	note(got, id+"sigma", r.Sigma[0])
	note(got, id+"effective_area", r.Populations[0].EffectiveHa)
	note(got, id+"E(N)_in_area", r.Populations[0].Expected)

	r = fitted(t, s, density.Model{Density: []string{"x"}})
	id = "multi.half-normal_trend_D."
	got[id+"m2lnL"] = r.Fit.Minus2LnL
	// density at the traps' middle, on the logarithm, as the table has it
	middle := []float64{1, 52.5, 0, 0}
	d := math.Exp(r.Fit.X[0] + 52.5*r.Fit.X[1])
	for i := range middle {
		middle[i] *= d
	}
	at := r.Fit.Derive("D", d, middle, fit.Log)
	note(got, id+"D_at_x=52.5", at)
	note(got, id+"D", at) // whose interval the table calls that of D
	note(got, id+"g0", r.Detection[0])
	note(got, id+"sigma", r.Sigma[0])
	note(got, id+"slope_per_100_m", r.Coefficients[1])
	got[id+"slope_per_100_m"] *= 100
	got[id+"slope_per_100_m.se"] *= 100
}

func proximity(t *testing.T, got map[string]float64) {
	s := simulated(t, "proximity")
	fill := func(id string, m density.Model) density.Result {
		m.Traps = density.Proximity
		r := fitted(t, s, m)
		got[id+"m2lnL"] = r.Fit.Minus2LnL
		note(got, id+"D", r.D)
		note(got, id+"g0", r.Detection[0])
		note(got, id+"sigma", r.Sigma[0])
		return r
	}
	fill("proximity.half-normal_binomial.", density.Model{Count: density.Binomial})
	id := "proximity.half-normal_trap response."
	r := fill(id, density.Model{Detect: []string{"after-capture"}})
	b := slices.IndexFunc(r.Coefficients, func(e fit.Estimate) bool { return e.Name == "detection after-capture[after]" })
	note(got, id+"b_logit", r.Coefficients[b])
	id = "proximity.half-normal_conditional."
	r = fill(id, density.Model{Count: density.Conditional})
	note(got, id+"effective_area", r.Populations[0].EffectiveHa)
	got[id+"SE D (Poisson N)"] = r.D.SE
	got[id+"SE D (binomial N)"] = r.Fixed.SE
}
