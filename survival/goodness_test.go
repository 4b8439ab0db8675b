package survival_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dawnround/fit"
	"dawnround/survival"
)

// living makes up animals of known fate: so many newly marked on every occasion
// but the last, of whom a share only passes through.
func living(rng *rand.Rand, occasions, each int, phi, p, passing float64) survival.Histories {
	var h survival.Histories
	for first := range occasions - 1 {
		for range each {
			caught := make([]int, occasions)
			caught[first] = 1
			alive := rng.Float64() >= passing
			for j := first + 1; j < occasions; j++ {
				alive = alive && rng.Float64() < phi
				if alive && rng.Float64() < p {
					caught[j] = 1
				}
			}
			h.Caught = append(h.Caught, caught)
		}
	}
	return h
}

// TestThinTables: where the chi-square is not to be trusted the exact test
// stands in, one thin table that makes ĉ is told, and ĉ is never below 1.
func TestThinTables(t *testing.T) {
	t.Parallel()
	g, err := survival.Tests(dippers(t))
	if err != nil {
		t.Fatal(err)
	}
	fifth := g.Components[2].Tables[3]
	// By hand: of the 54, the 2 seen later are both among the 3 that were missed:
	// C(3,2)/C(54,2) = 3/1431; every other table is likelier.
	if !fifth.Exact || math.Abs(fifth.P-3.0/1431) > 1e-12 {
		t.Errorf("%v: %g", fifth, fifth.P)
	}
	if g.Sound != 1 || !slices.ContainsFunc(g.Warnings, func(w string) bool {
		return strings.Contains(w, "one thin table (2.CT, occasion 5 [[1 2] [51 0]]: exact P 0.002); without thin tables ĉ is 1.00")
	}) {
		t.Errorf("%g %q", g.Sound, g.Warnings)
	}
	if last := g.Components[1].Tables[3]; last.Testable || last.String() != "3.SM, occasion 5 [[25 0] [26 0]]: untestable" {
		t.Error(last)
	}
}

// TestTransientsAreFound: where half the newly marked only pass through, the
// tables say so, survival since marking carries it, and the bootstrap of the
// simple model's deviance does not believe it; where none do, all are content.
func TestTransientsAreFound(t *testing.T) {
	t.Parallel()
	how := fit.Replication{Replicates: 39, Seed: 7}
	for _, passing := range []float64{0, 0.5} {
		h := living(rand.New(rand.NewPCG(11, 1)), 7, 60, 0.8, 0.6, passing)
		g, err := survival.Tests(h)
		if err != nil {
			t.Fatal(err)
		}
		plain := fitted(t, h, model("", ""))
		since := fitted(t, h, model("since-marking:2", ""))
		b, err := plain.Bootstrap(t.Context(), how)
		if err != nil {
			t.Fatal(err)
		}
		test, err := fit.LikelihoodRatio(plain.Candidate("plain"), since.Candidate("since"))
		if err != nil {
			t.Fatal(err)
		}
		found := passing > 0
		if (g.Components[0].Z > 3) != found || (test.P < 0.001) != found || (b.P < 0.05) != found || (b.CHat > 1.15) != found {
			t.Errorf("share %g: z %g, P %g, bootstrap %g (ĉ %g)", passing, g.Components[0].Z, test.P, b.P, b.CHat)
		}
		through := since.Transients(survival.Place{Occasion: 1})
		if math.Abs(through.Value-passing) > 3*through.SE || through.SE > 0.1 {
			t.Errorf("share %g: %+v", passing, through)
		}
		if none := plain.Transients(survival.Place{Occasion: 1}); none.Status != fit.NotEstimable {
			t.Errorf("%+v", none)
		}
	}
}

// TestBootstrapIsTheSameForAnyNumberOfWorkers, and stops when told.
func TestBootstrapIsTheSameForAnyNumberOfWorkers(t *testing.T) {
	t.Parallel()
	r := fitted(t, dippers(t), model("occasion", ""))
	one, err := r.Bootstrap(t.Context(), fit.Replication{Replicates: 12, Seed: 3, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	three, err := r.Bootstrap(t.Context(), fit.Replication{Replicates: 12, Seed: 3, Workers: 3})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(one.Values, three.Values) || one.Done != 12 {
		t.Errorf("%v\n%v", one, three)
	}
	ctx, stop := context.WithCancel(t.Context())
	how := fit.Replication{Replicates: 1000, Seed: 3, Workers: 1, Progress: func(done, of int) {
		if done == 4 {
			stop()
		}
	}}
	partly, err := r.Bootstrap(ctx, how)
	if !errors.Is(err, context.Canceled) || partly.Done < 4 || partly.Done > 6 || partly.Asked != 1000 || math.IsNaN(partly.Mean) {
		t.Errorf("%+v, %v", partly, err)
	}
	if _, err := fitted(t, covariates(t), model("x", "")).Bootstrap(t.Context(), how); err == nil || !strings.Contains(err.Error(), "animals' own numbers") {
		t.Error(err)
	}
}
