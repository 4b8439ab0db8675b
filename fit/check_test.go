package fit_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"dawnround/fit"
	"dawnround/internal/shared"
)

func logOf(x float64) float64 { return math.Log(x) }

// A check is one row of the table of values to be right about.
type check struct {
	want      float64
	tolerance string
}

// dipperChecks are the rows of checks.csv that try the kit: the dipper models
// of Lebreton et al. 1992 and the comparisons built on them.
func dipperChecks(t *testing.T) map[string]check {
	t.Helper()
	file, err := os.Open(shared.File(t, "checks/cmr/checks.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	checks := map[string]check{}
	for _, row := range rows[1:] {
		if strings.HasPrefix(row[0], "cjs.dipper.") {
			want, err := strconv.ParseFloat(row[6], 64)
			if err != nil {
				t.Fatal(err)
			}
			checks[strings.TrimPrefix(row[0], "cjs.dipper.")] = check{want, row[7]}
		}
	}
	return checks
}

// holds compares by the row's own tolerance; "rel" is relative to the larger
// of the value and 0.001.
func (c check) holds(got float64) bool {
	size, kind, _ := strings.Cut(c.tolerance, " ")
	if size == "exact" {
		return got == c.want
	}
	bound, err := strconv.ParseFloat(size, 64)
	if err != nil {
		return false
	}
	if kind == "rel" {
		bound *= math.Max(math.Abs(c.want), 0.001)
	}
	return math.Abs(got-c.want) <= bound
}

// TestDipper fits the dipper models with a likelihood of some sixty lines and
// compares everything the kit makes of them: maxima, errors, rank, profile
// interval, tests, weights and averages.
func TestDipper(t *testing.T) {
	t.Parallel()
	checks := dipperChecks(t)
	groups := dippers(t)
	got := map[string]float64{}
	models := []struct {
		name   string
		phi, p []string
	}{
		{"phi(.)p(.)", nil, nil},
		{"phi(t)p(.)", []string{"occasion"}, nil},
		{"phi(.)p(t)", nil, []string{"occasion"}},
		{"phi(t)p(t)", []string{"occasion"}, []string{"occasion"}},
		{"phi(flood)p(.)", []string{"flood"}, nil},
		{"phi(sex)p(sex)", []string{"sex"}, []string{"sex"}},
		{"phi(sex)p(.)", []string{"sex"}, nil},
	}
	var candidates []fit.Candidate
	phi2 := map[string]fit.Estimate{}
	for _, m := range models {
		c := newCormack(t, groups, m.phi, m.p)
		l := c.likelihood()
		f := l.Maximise()
		if !f.Ending.Converged {
			t.Errorf("%s: %+v", m.name, f.Ending)
		}
		got["mle."+m.name+".m2lnL"] = f.Minus2LnL
		got["mle."+m.name+".AICc"] = fit.AICc(f.Minus2LnL, f.Parameters, c.released)
		for name, e := range naturals(m.name, c, f) {
			got["mle."+m.name+"."+name], got["mle."+m.name+"."+name+".se"] = e.Value, e.SE
		}
		candidates = append(candidates, fit.Candidate{
			Name: m.name, Minus2LnL: f.Minus2LnL, Parameters: f.Parameters,
			SampleSize: c.released, SampleOf: "releases",
		})
		phi2[m.name] = natural("phi2", c.phi.X[1], 0, f)
		got["qaicc.counted."+m.name] = fit.QAICc(f.Minus2LnL, f.Parameters, c.released, 1.5, true)
		got["qaicc."+m.name] = fit.QAICc(f.Minus2LnL, f.Parameters, c.released, 1.5, false)
		switch m.name {
		case "phi(.)p(.)":
			interval := l.Profile(f, 0)
			got["profile.phi.lower"], got["profile.phi.upper"] = fit.Logit.Natural(interval.Lower), fit.Logit.Natural(interval.Upper)
		case "phi(t)p(t)":
			if f.Parameters != 11 || len(f.Flat) != 1 || f.Flat[0].Boundary {
				t.Errorf("phi(t)p(t): %d parameters, flat %+v; only the last product of survival and detection is estimable, so 11 of 12", f.Parameters, f.Flat)
			}
		}
	}
	tests := [][2]int{{0, 1}, {0, 4}, {4, 1}, {0, 6}}
	for _, pair := range tests {
		simple, general := candidates[pair[0]], candidates[pair[1]]
		test, err := fit.LikelihoodRatio(simple, general)
		if err != nil {
			t.Fatal(err)
		}
		key := "lrt." + simple.Name + "." + general.Name
		got[key], got[key+".P"] = test.ChiSquare, test.P
	}
	table, err := fit.Compare(candidates[:5], fit.Inflation{})
	if err != nil {
		t.Fatal(err)
	}
	var estimates []fit.Estimate
	var weights []float64
	for _, r := range table {
		got["weight."+r.Name] = r.Weight
		estimates, weights = append(estimates, phi2[r.Name]), append(weights, r.Weight)
	}
	mean := fit.Average(estimates, weights, fit.Logit)
	got["modavg.model-averaged_phi2"] = mean.Value
	got["modavg.unconditional_SE_sum_w*sqrt(var+diff^2)"] = mean.SEFirst
	got["modavg.unconditional_SE_sqrt(sum_w*(var+diff^2))"] = mean.SE

	compared := 0
	for id, c := range checks {
		value, ok := got[id]
		if !ok {
			continue // models of survival that the kit's own test does not build
		}
		compared++
		if !c.holds(value) {
			t.Errorf("%s: got %.12g, want %.12g (%s)", id, value, c.want, c.tolerance)
		}
	}
	if compared < 60 {
		t.Errorf("%d rows compared; expected 60 or more", compared)
	}
}

// naturals reads the estimates the check table names off a fitted model.
func naturals(model string, c *cormack, f fit.Fit) map[string]fit.Estimate {
	const intervals = dipperOccasions - 1
	out := map[string]fit.Estimate{}
	nPhi := len(c.phi.Names)
	read := func(name string, d fit.Design, row, offset int) {
		out[name] = natural(name, d.X[row], offset, f)
	}
	switch model {
	case "phi(.)p(.)":
		read("phi", c.phi, 0, 0)
	case "phi(t)p(.)":
		for i := range intervals {
			read("phi"+strconv.Itoa(i+1), c.phi, i, 0)
		}
	case "phi(flood)p(.)":
		read("phi_normal", c.phi, 0, 0)
		read("phi_flood", c.phi, 1, 0)
	case "phi(sex)p(sex)":
		read("phi_male", c.phi, 0, 0)
		read("phi_female", c.phi, intervals, 0)
		read("p_male", c.p, 0, nPhi)
		read("p_female", c.p, intervals, nPhi)
	}
	read("p", c.p, 0, nPhi)
	return out
}

// natural is a probability at one row of a predictor whose coefficients begin
// at offset.
func natural(name string, row []float64, offset int, f fit.Fit) fit.Estimate {
	eta := 0.0
	gradient := make([]float64, len(f.X))
	for k, v := range row {
		eta += v * f.X[offset+k]
		gradient[offset+k] = v
	}
	p := fit.Logit.Natural(eta)
	for k := range gradient {
		gradient[k] *= fit.Logit.Slope(p)
	}
	return f.Derive(name, p, gradient, fit.Logit)
}
