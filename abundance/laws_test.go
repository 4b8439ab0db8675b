package abundance_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dawnround/abundance"
	"dawnround/fit"

	"pgregory.net/rapid"
)

func drawn(t *rapid.T) abundance.Histories {
	nights := rapid.IntRange(2, 6).Draw(t, "nights")
	h := abundance.Histories{}
	for range rapid.IntRange(3, 25).Draw(t, "animals") {
		caught := rapid.SliceOfN(rapid.Bool(), nights, nights).Draw(t, "history")
		caught[rapid.IntRange(0, nights-1).Draw(t, "sure")] = true
		h.Caught = append(h.Caught, caught)
	}
	return h
}

func sameN(t *rapid.T, what string, a, b abundance.Result) {
	t.Helper()
	if a.N.Status != b.N.Status || math.Abs(a.N.Value-b.N.Value) > 1e-4*a.N.Value {
		t.Errorf("%s: %+v and %+v", what, a.N, b.N)
	}
}

func mustFit(t *rapid.T, d abundance.Data, m abundance.Model) abundance.Result {
	t.Helper()
	r, err := abundance.Fit(d, m)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestSummariesLoseNothing: a summary that keeps what the model asks for gives
// the N of the histories; and only first captures tell N under behaviour, so
// taking the animals away gives it too.
func TestSummariesLoseNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := drawn(t)
		conditional := rapid.Bool().Draw(t, "conditional")
		constant := abundance.Model{Conditional: conditional}
		occasion := abundance.Model{Detect: []string{"occasion"}, Conditional: conditional}
		behaviour := abundance.Model{Detect: []string{"after-capture"}, Conditional: conditional}
		sameN(t, "constant, frequencies", mustFit(t, h, constant), mustFit(t, h.Frequencies(), constant))
		sameN(t, "constant, nights", mustFit(t, h, constant), mustFit(t, h.NightCounts(), constant))
		sameN(t, "occasion, nights", mustFit(t, h, occasion), mustFit(t, h.NightCounts(), occasion))
		sameN(t, "behaviour, nights", mustFit(t, h, behaviour), mustFit(t, h.NightCounts(), behaviour))
		removed := mustFit(t, abundance.Removals{Taken: h.NightCounts().New}, constant)
		sameN(t, "behaviour, removal", mustFit(t, h, behaviour), removed)
		first := abundance.Histories{}
		for _, caught := range h.Caught {
			once := make([]bool, len(caught))
			once[slices.Index(caught, true)] = true
			first.Caught = append(first.Caught, once)
			first.Lost = append(first.Lost, true)
		}
		sameN(t, "removal, lost at first capture", removed, mustFit(t, first, constant))
	})
}

// TestOrderAndCountingDoNotMatter: animals in another order, or alike ones
// counted together, give the same.
func TestOrderAndCountingDoNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := drawn(t)
		pooled := abundance.Histories{}
		for _, i := range rapid.Permutation(numbers(len(h.Caught))).Draw(t, "order") {
			at := slices.IndexFunc(pooled.Caught, func(c []bool) bool { return slices.Equal(c, h.Caught[i]) })
			if at < 0 {
				pooled.Caught, pooled.Count = append(pooled.Caught, h.Caught[i]), append(pooled.Count, 0)
				at = len(pooled.Count) - 1
			}
			pooled.Count[at]++
		}
		m := abundance.Model{Detect: []string{"occasion", "after-capture"}, Conditional: rapid.Bool().Draw(t, "conditional")}
		a, b := mustFit(t, h, m), mustFit(t, pooled, m)
		if math.Abs(a.Fit.Minus2LnL-b.Fit.Minus2LnL) > 1e-4 {
			t.Errorf("−2 ln L %.8g and %.8g", a.Fit.Minus2LnL, b.Fit.Minus2LnL)
		}
	})
}

func numbers(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// TestGroupsApart: two groups that share nothing are two fits side by side.
func TestGroupsApart(t *testing.T) {
	t.Parallel()
	hare := histories(t, "hare")
	both := abundance.Histories{
		Caught: slices.Concat(hare.Caught, hare.Caught), Count: slices.Concat(hare.Count, hare.Count),
		Group: slices.Concat(slices.Repeat([]string{"male"}, len(hare.Count)), slices.Repeat([]string{"female"}, len(hare.Count))),
	}
	for _, conditional := range []bool{false, true} {
		one := fitted(t, hare, abundance.Model{Conditional: conditional})
		two := fitted(t, both, abundance.Model{Conditional: conditional, Detect: []string{"group"}})
		if math.Abs(two.Fit.Minus2LnL-2*one.Fit.Minus2LnL) > 1e-6 || len(two.ByGroup) != 2 || two.ByGroup[0].Name != "N[female]" {
			t.Errorf("%+v", two.ByGroup)
		}
		for i, want := range []float64{one.N.Value, one.N.Value, 2 * one.N.Value} {
			got := append(slices.Clone(two.ByGroup), two.N)[i]
			if math.Abs(got.Value-want) > 1e-5*want || i < 2 && math.Abs(got.SE-one.N.SE) > 1e-4*got.SE {
				t.Errorf("%+v, want %g (SE %g)", got, want, one.N.SE)
			}
		}
		if want := math.Sqrt2 * one.N.SE; math.Abs(two.N.SE-want) > 1e-4*want {
			t.Errorf("SE of the sum %g, want %g", two.N.SE, want)
		}
	}
}

// TestConditionalConstantSolvesItsEquation: under constant detection the
// conditional estimate is M/(1 − (1−p)^t) with p = captures/(t·N) (Huggins 1989).
func TestConditionalConstantSolvesItsEquation(t *testing.T) {
	t.Parallel()
	r := fitted(t, histories(t, "hare"), abundance.Model{Conditional: true})
	p := float64(r.Captures) / (6 * r.N.Value)
	if want := 68 / (1 - math.Pow(1-p, 6)); math.Abs(r.N.Value-want) > 1e-6*want || math.Abs(p-r.Detection[0].Value) > 1e-7 {
		t.Errorf("N %g, p %g; the equation gives %g", r.N.Value, p, want)
	}
}

// TestProfileOfN against its definition: at each end the best −2 ln L with N
// held there is 3.84 above the least.
func TestProfileOfN(t *testing.T) {
	t.Parallel()
	hare := histories(t, "hare")
	r := fitted(t, hare, abundance.Model{})
	lower, upper, ok := r.ProfileN()
	if !ok || !(lower > 68 && lower < r.N.Value && upper > r.N.Value) {
		t.Fatalf("%g to %g", lower, upper)
	}
	for _, n := range []float64{lower, upper} {
		p := float64(r.Captures) / (6 * n) // the best p for an N held fixed
		e, err := abundance.Evaluate(hare, abundance.Model{}, abundance.Fixed{N: []float64{n}, Detection: []float64{p}})
		if err != nil {
			t.Fatal(err)
		}
		if rise := e.Minus2LnL - r.Fit.Minus2LnL; math.Abs(rise-fit.Z95*fit.Z95) > 1e-5 {
			t.Errorf("at N = %g −2 ln L is %g above the least", n, rise)
		}
	}
}

func TestAverageLeavesMixturesOut(t *testing.T) {
	t.Parallel()
	hare := histories(t, "hare")
	constant, occasion := fitted(t, hare, abundance.Model{}), fitted(t, hare, abundance.Model{Detect: []string{"occasion"}})
	mixture := fitted(t, hare, abundance.Model{Detect: []string{"mixture:2"}})
	table, mean, err := abundance.Average([]abundance.Result{occasion, mixture, constant})
	if err != nil {
		t.Fatal(err)
	}
	if table[0].Name != "constant" || table[2].Name != "mixture:2" || table[2].Weight != 0 {
		t.Errorf("%+v", table)
	}
	want := table[0].Weight*constant.N.Value + table[1].Weight*occasion.N.Value
	if math.Abs(mean.Value-want) > 1e-9 || mean.SE < math.Min(constant.N.SE, occasion.N.SE) || mean.Lower < 68 {
		t.Errorf("%+v, want %g", mean, want)
	}
	given := fitted(t, hare, abundance.Model{Conditional: true})
	if _, _, err := abundance.Average([]abundance.Result{constant, given}); err == nil {
		t.Error("full and conditional likelihoods were compared")
	}
}

// TestAverageAtTheNumberCaught: the deer mice leave two models of three no room
// beyond the 38 caught; those still weigh.
func TestAverageAtTheNumberCaught(t *testing.T) {
	t.Parallel()
	var all []abundance.Result
	for _, detect := range [][]string{nil, {"occasion"}, {"after-capture"}} {
		all = append(all, fitted(t, nightCounts(t, "deermice"), abundance.Model{Detect: detect}))
	}
	_, mean, err := abundance.Average(all[:2])
	if err != nil || math.Abs(mean.Value-38) > 1e-6 || mean.Lower != 38 || !(mean.Upper > 39 && mean.Upper < 40) {
		t.Errorf("two at the number caught: %+v, %v", mean, err)
	}
	_, mean, err = abundance.Average(all)
	if err != nil || mean.Left != 0 || !(mean.Value > 39 && mean.Value < all[2].N.Value) || !(mean.Upper > 45) {
		t.Errorf("with one above it: %+v, %v", mean, err)
	}
}

// TestInteriorButNearlyFlat: an N a hair above the number caught is at the end
// of its range, not unknown (199 of 200 invented animals seen, 8 nights at 0.5).
func TestInteriorButNearlyFlat(t *testing.T) {
	t.Parallel()
	h := truths[0].trapped(200, 0.5, 8, rand.New(rand.NewPCG(27, 103)))
	r := fitted(t, h, abundance.Model{})
	if r.N.Status != fit.AtBoundary || math.Abs(r.N.Value-199) > 0.01 || !(r.N.Upper > 200 && r.N.Upper < 203) {
		t.Errorf("%+v", r.N)
	}
}

// TestBootstrapDoesNotDependOnWorkers, for every kind of data and model that
// can be simulated.
func TestBootstrapDoesNotDependOnWorkers(t *testing.T) {
	t.Parallel()
	cases := []struct {
		data  abundance.Data
		model abundance.Model
	}{
		{histories(t, "hare"), abundance.Model{Detect: []string{"occasion", "after-capture"}}},
		{frequencies(t, "taxi_a"), abundance.Model{Detect: []string{"mixture:2"}}},
		{covariates(t), abundance.Model{Detect: []string{"weight", "male"}, Conditional: true}},
		{abundance.Removals{Taken: []int{30, 18, 12, 7}}, abundance.Model{}},
	}
	for _, c := range cases {
		r := fitted(t, c.data, c.model)
		one, err := r.Bootstrap(t.Context(), fit.Replication{Replicates: 20, Seed: 7, Workers: 1})
		if err != nil {
			t.Fatal(err)
		}
		three, err := r.Bootstrap(t.Context(), fit.Replication{Replicates: 20, Seed: 7, Workers: 3})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(one.Estimates, three.Estimates) || one.Done != 20 {
			t.Errorf("%v: %v and %v", c.model, one.Estimates, three.Estimates)
		}
		middle := slices.Sorted(slices.Values(one.Estimates))[len(one.Estimates)/2]
		if math.Abs(middle-r.N.Value) > 1.5*r.N.SE+1 {
			t.Errorf("%v: the middle of the repetitions is %g, the fit %g (SE %g)", c.model, middle, r.N.Value, r.N.SE)
		}
	}
}

func TestResampleGivesCoverageAnError(t *testing.T) {
	t.Parallel()
	hare := histories(t, "hare")
	estimate := func(h abundance.Histories) (fit.Estimate, error) {
		c, err := abundance.SampleCoverage(h.Frequencies(), h.NightCounts().Caught)
		return c.N, err
	}
	n, err := estimate(hare)
	if err != nil {
		t.Fatal(err)
	}
	b, err := abundance.Resample(t.Context(), fit.Replication{Replicates: 200, Seed: 1}, hare, n, estimate)
	if err != nil {
		t.Fatal(err)
	}
	if !(b.N.SE > 2 && b.N.SE < 15 && b.N.Lower >= 68 && b.N.Lower < n.Value && b.N.Upper > n.Value) || b.Failed != 0 {
		t.Errorf("%+v", b)
	}
}
