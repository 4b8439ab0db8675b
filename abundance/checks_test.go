package abundance_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"dawnround/abundance"
	"dawnround/fit"
)

// families are the rows of the check table by the beginning of their names:
// those this package answers for, and those of survival and density, which have
// ledgers of their own. A row that is in neither, or a family of another size,
// fails the test.
var (
	built = map[string]int{
		"closed.": 66, "huggins.": 12, "hugcov.": 31, "two.": 8, "schnabel.": 4,
		"jack.": 34, "chao.": 12, "coverage.": 3, "robust.vole.adhoc.N": 6,
	}
	elsewhere = map[string]int{ // the tests of survival and density have lists of their own
		"cjs.": 99, "cjscov.": 9, "gof.": 35, "js.": 104, "superpop.": 50, "pradel.": 14, "robust.": 65, "multistate.": 15,
		"spatial.": 60,
	}
)

// family is the longest listed beginning of a row's name.
func family(id string) string {
	best := ""
	for _, list := range []map[string]int{built, elsewhere} {
		for prefix := range list {
			if strings.HasPrefix(id, prefix) && len(prefix) > len(best) {
				best = prefix
			}
		}
	}
	return best
}

// TestChecks compares every row of the table of values to be right about that
// concerns closed populations, within its own tolerance.
func TestChecks(t *testing.T) {
	t.Parallel()
	rows := table(t, "checks.csv")
	got := answers(t)
	counts := map[string]int{}
	for _, row := range rows {
		id := row[0]
		f := family(id)
		counts[f]++
		if f == "" {
			t.Errorf("%s: a new kind of row; build it, or list whose it is", id)
		}
		if _, mine := built[f]; !mine {
			continue
		}
		value, ok := got[id]
		if !ok {
			t.Errorf("%s: nothing computed for it", id)
			continue
		}
		if want := number(t, row[6]); !within(value, want, row[7]) {
			t.Errorf("%s: got %.12g, want %.12g (%s)", id, value, want, row[7])
		}
	}
	for _, list := range []map[string]int{built, elsewhere} {
		for prefix, n := range list {
			if counts[prefix] != n {
				t.Errorf("%s: %d rows in the table, %d listed here", prefix, counts[prefix], n)
			}
		}
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

// answers computes all the values the table asks for, under the table's names.
func answers(t *testing.T) map[string]float64 {
	got := map[string]float64{}
	fixedPoints(t, got)
	closedModels(t, got)
	wholeAnimals(t, got)
	conditional(t, got)
	animalsOwnNumbers(t, got)
	handbook(t, got)
	unequalAnimals(t, got)
	for primary := 1; primary <= 6; primary++ {
		r := fitted(t, voles(t, primary), abundance.Model{Conditional: true})
		got[fmt.Sprintf("robust.vole.adhoc.N%d", primary)] = r.N.Value
	}
	return got
}

// fixedPoints: the parameters are those of the table's parameters column.
func fixedPoints(t *testing.T, got map[string]float64) {
	nightly := []float64{0.2, 0.35, 0.25, 0.35, 0.3, 0.45}
	point := func(id string, d abundance.Data, m abundance.Model, at abundance.Fixed) {
		e, err := abundance.Evaluate(d, m, at)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got["closed."+id] = e.Minus2LnL
	}
	two := abundance.Model{Detect: []string{"mixture:2"}}
	point("hare.fixed.M0", histories(t, "hare"), abundance.Model{}, abundance.Fixed{N: []float64{80}, Detection: []float64{0.3}})
	point("hare.fixed.Mt", histories(t, "hare"), abundance.Model{Detect: []string{"occasion"}}, abundance.Fixed{N: []float64{76}, Detection: nightly})
	point("deermice.fixed.Mb", nightCounts(t, "deermice"), abundance.Model{Detect: []string{"after-capture"}}, abundance.Fixed{N: []float64{42}, Detection: []float64{0.35, 0.6}})
	point("deermice.fixed.Mh2", frequencies(t, "deermice"), two, abundance.Fixed{N: []float64{44}, Shares: []float64{0.4, 0.6}, Detection: []float64{0.2, 0.7}})
	point("cottontail.fixed.M0", frequencies(t, "cottontail"), abundance.Model{}, abundance.Fixed{N: []float64{100}, Detection: []float64{0.08}})
	point("taxi_a.fixed.Mh2", frequencies(t, "taxi_a"), two, abundance.Fixed{N: []float64{420}, Shares: []float64{0.5, 0.5}, Detection: []float64{0.08, 0.16}})

	// Behaviour is given as a step on the logit scale: N, then the nights'
	// logits as differences from the first, then the step.
	x := []float64{math.Log(85 - 68), fit.Logit.Eta(nightly[0])}
	for _, p := range nightly[1:] {
		x = append(x, fit.Logit.Eta(p)-x[1])
	}
	e, err := abundance.EvaluateLink(histories(t, "hare"), abundance.Model{Detect: []string{"occasion", "after-capture"}}, append(x, 0.2))
	if err != nil {
		t.Error(err)
	}
	got["closed.hare.fixed.Mtb"] = e.Minus2LnL
}

func fitted(t *testing.T, d abundance.Data, m abundance.Model) abundance.Result {
	t.Helper()
	r, err := abundance.Fit(d, m)
	if err != nil {
		t.Fatal(err)
	}
	if !r.Fit.Ending.Converged {
		t.Errorf("%v: %+v", m, r.Fit.Ending)
	}
	return r
}

// closedModels: the table's w is the share of the first kind, p1 its detection
// and p2 that of the second; kinds are in order of detection.
func closedModels(t *testing.T, got map[string]float64) {
	hare := histories(t, "hare")
	note := func(id string, r abundance.Result, names ...string) {
		id = "closed." + id
		got[id+".m2lnL"] = r.Fit.Minus2LnL
		got[id+".N"], got[id+".N.se"], got[id+".N.lo"], got[id+".N.hi"] = r.N.Value, r.N.SE, r.N.Lower, r.N.Upper
		for i, e := range append(r.Detection, r.Shares...) {
			if i < len(names) {
				got[id+"."+names[i]], got[id+"."+names[i]+".se"] = e.Value, e.SE
			}
		}
	}
	note("hare.M0", fitted(t, hare, abundance.Model{}), "p")
	note("hare.Mt", fitted(t, hare, abundance.Model{Detect: []string{"occasion"}}), "p1", "p2", "p3", "p4", "p5", "p6")
	note("hare.Mb", fitted(t, hare, abundance.Model{Detect: []string{"after-capture"}}), "p", "c")
	note("hare.Mh2", fitted(t, hare, abundance.Model{Detect: []string{"mixture:2"}}), "p1", "p2", "w")
	note("taxi_a.M0", fitted(t, frequencies(t, "taxi_a"), abundance.Model{}), "p")
}

func wholeAnimals(t *testing.T, got map[string]float64) {
	note := func(id string, w abundance.Whole, err error) {
		if err != nil {
			t.Error(err)
		}
		id = "closed.deermice." + id + ".Nint"
		got[id], got[id+".se"], got[id+".p"], got[id+".c"] = float64(w.N), w.SE, w.P, w.C
	}
	w, err := abundance.WholeConstant(frequencies(t, "deermice"))
	note("M0", w, err)
	w, err = abundance.WholeOccasion(nightCounts(t, "deermice"))
	note("Mt", w, err)
	w, err = abundance.WholeBehaviour(nightCounts(t, "deermice"))
	note("Mb", w, err)
}

func conditional(t *testing.T, got map[string]float64) {
	models := []struct {
		id     string
		detect []string
		fixed  []float64
	}{
		{"M0", nil, []float64{0.3}},
		{"Mt", []string{"occasion"}, []float64{0.2, 0.35, 0.25, 0.35, 0.3, 0.45}},
		{"Mb", []string{"after-capture"}, []float64{0.3, 0.4}},
	}
	for _, m := range models {
		model := abundance.Model{Detect: m.detect, Conditional: true}
		e, err := abundance.Evaluate(nightCounts(t, "deermice"), model, abundance.Fixed{Detection: m.fixed})
		if err != nil {
			t.Error(err)
		}
		r := fitted(t, nightCounts(t, "deermice"), model)
		id := "huggins.deermice." + m.id
		got[id+".fixed"], got[id+".m2lnL"] = e.Minus2LnL, r.Fit.Minus2LnL
		got[id+".N"], got[id+".N.se"] = r.N.Value, r.N.SE
	}
}

func animalsOwnNumbers(t *testing.T, got map[string]float64) {
	models := []struct {
		id     string
		detect []string
		fixed  []float64
		names  []string
	}{
		{"p(.)", nil, []float64{-1.1}, []string{"b0"}},
		{"p(weight+sex)", []string{"weight", "male"}, []float64{-1.1, 0.1, 0.3}, []string{"b0", "b_weight", "b_male"}},
		{"p(weight+sex+b)", []string{"weight", "male", "after-capture"}, []float64{-1.1, 0.1, 0.3, 0.4}, []string{"b0", "b_weight", "b_male", "b_before"}},
	}
	for _, m := range models {
		model := abundance.Model{Detect: m.detect, Conditional: true}
		e, err := abundance.EvaluateLink(covariates(t), model, m.fixed)
		if err != nil {
			t.Error(err)
		}
		r := fitted(t, covariates(t), model)
		id := "hugcov." + m.id
		got[id+".fixed"], got[id+".fixed.N"], got[id+".m2lnL"] = e.Minus2LnL, e.N, r.Fit.Minus2LnL
		got[id+".N"], got[id+".N.se"] = r.N.Value, r.N.SE
		for i, name := range m.names {
			got[id+"."+name], got[id+"."+name+".se"] = r.Coefficients[i].Value, r.Coefficients[i].SE
		}
	}
}

func handbook(t *testing.T, got map[string]float64) {
	carp := twoSample(t, "carp")
	for id, estimator := range map[string]func(abundance.TwoSample) (abundance.Count, error){
		"LP": abundance.Petersen, "Chapman": abundance.Chapman, "Bailey": abundance.Bailey,
	} {
		c, err := estimator(carp)
		if err != nil {
			t.Error(err)
		}
		got["two.carp."+id], got["two.carp."+id+"_SE"] = c.N.Value, c.N.SE
		got["two.carp."+id+"_log-normal_lower"], got["two.carp."+id+"_log-normal_upper"] = c.N.Lower, c.N.Upper
	}
	schnabel, err := abundance.Schnabel(census(t))
	if err != nil {
		t.Error(err)
	}
	schumacher, err := abundance.Schumacher(census(t))
	if err != nil {
		t.Error(err)
	}
	got["schnabel.sunfish.Schnabel"], got["schnabel.sunfish.Schnabel_+1"] = schnabel.N.Value, schnabel.Adjusted
	got["schnabel.sunfish.Schnabel_SE(1/N)"] = schnabel.InverseSE
	got["schnabel.sunfish.Schumacher-Eschmeyer"] = schumacher.N.Value
}

func unequalAnimals(t *testing.T, got map[string]float64) {
	for _, dataset := range []string{"hare", "cottontail"} {
		j, err := abundance.JackknifeN(frequencies(t, dataset))
		if err != nil {
			t.Error(err)
		}
		id := "jack." + dataset
		for k, o := range j.Orders {
			n := strconv.Itoa(k + 1)
			got[id+".J"+n], got[id+".J"+n+".se"], got[id+".T"+n] = o.N, o.SE, o.Test
		}
		got[id+".order"], got[id+".N"], got[id+".N.se"] = float64(j.Order), j.N.Value, j.N.SE
	}
	for _, dataset := range []string{"hare", "taxi_a"} {
		c, err := abundance.ChaoN(frequencies(t, dataset))
		if err != nil {
			t.Error(err)
		}
		id := "chao." + dataset
		got[id+".Chao87"], got[id+".Chao87_SE"] = c.N.Value, c.N.SE
		got[id+".Chao87_log_lower"], got[id+".Chao87_log_upper"] = c.N.Lower, c.N.Upper
		got[id+".Chao_bias-corrected"], got[id+".Chao_(t-1)/t"] = c.BiasCorrected, c.FewNights
	}
	c, err := abundance.SampleCoverage(frequencies(t, "hare"), nightCounts(t, "hare").Caught)
	if err != nil {
		t.Error(err)
	}
	got["coverage.hare.C1.Mth"], got["coverage.hare.C2.Mth"], got["coverage.hare.C3.Mth"] = c.N1, c.N2, c.N3
}
