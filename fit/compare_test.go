package fit_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dawnround/fit"

	"pgregory.net/rapid"
)

func TestCompareKeepsSamplesApart(t *testing.T) {
	t.Parallel()
	a := fit.Candidate{Name: "constant", Minus2LnL: 100, Parameters: 2, SampleSize: 40, SampleOf: "animals caught"}
	b := fit.Candidate{Name: "occasion", Minus2LnL: 90, Parameters: 5, SampleSize: 41, SampleOf: "animals caught"}
	_, err := fit.Compare([]fit.Candidate{a, b}, fit.Inflation{})
	const want = "model constant has a sample of 40 animals caught, model occasion one of 41 animals caught: compare models of the same data only"
	if err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
}

// TestCompareWeighs: weights sum to 1 over those weighed, fall as the criterion
// rises, and neither a model set apart nor one too rich for its sample has any.
func TestCompareWeighs(t *testing.T) {
	t.Parallel()
	table, err := fit.Compare([]fit.Candidate{
		{Name: "apart", Minus2LnL: 50, Parameters: 3, SampleSize: 12, Apart: "a mixture"},
		{Name: "rich", Minus2LnL: 60, Parameters: 11, SampleSize: 12},
		{Name: "second", Minus2LnL: 92, Parameters: 2, SampleSize: 12},
		{Name: "first", Minus2LnL: 90, Parameters: 2, SampleSize: 12},
	}, fit.Inflation{})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, r := range table {
		names = append(names, r.Name)
	}
	if want := []string{"first", "second", "apart", "rich"}; !slices.Equal(names, want) {
		t.Errorf("order %v, want %v", names, want)
	}
	near(t, "ratio of weights is exp(Δ/2)", table[0].Weight/table[1].Weight, math.E, 1e-12)
	near(t, "sum", table[0].Weight+table[1].Weight, 1, 1e-12)
	if table[2].Weight != 0 || table[3].Weight != 0 || !math.IsNaN(table[3].Criterion) {
		t.Errorf("%+v", table[2:])
	}
	if empty, err := fit.Compare(nil, fit.Inflation{}); err != nil || len(empty) != 0 {
		t.Errorf("no models: %v, %v", empty, err)
	}
}

// TestAverageOfOneIsItself, and leaves out what has no error.
func TestAverage(t *testing.T) {
	t.Parallel()
	one := fit.Estimate{Name: "p", Value: 0.4, SE: 0.05}
	mean := fit.Average([]fit.Estimate{one, fit.Lost("p")}, []float64{0.7, 0.3}, fit.Logit)
	near(t, "value", mean.Value, 0.4, 1e-12)
	near(t, "SE", mean.SE, 0.05, 1e-12)
	near(t, "first SE", mean.SEFirst, 0.05, 1e-12)
	near(t, "left out", mean.Left, 0.3, 1e-12)
	if none := fit.Average([]fit.Estimate{fit.Lost("p")}, []float64{1}, fit.Logit); none.Status != fit.NotEstimable {
		t.Errorf("%+v", none)
	}
}

func TestLikelihoodRatioWantsMoreParameters(t *testing.T) {
	t.Parallel()
	m := fit.Candidate{Name: "a", Parameters: 2}
	if _, err := fit.LikelihoodRatio(m, m); err == nil {
		t.Error("a model was tested within itself")
	}
}

// TestRepeatDoesNotDependOnWorkers: the same seed gives the same replicates.
func TestRepeatDoesNotDependOnWorkers(t *testing.T) {
	t.Parallel()
	odd := errors.New("odd")
	once := func(rng *rand.Rand) (float64, error) {
		if rng.IntN(5) == 0 {
			return 0, odd
		}
		return rng.Float64(), nil
	}
	rapid.Check(t, func(t *rapid.T) {
		r := fit.Replication{Replicates: 50, Seed: rapid.Uint64().Draw(t, "seed"), Workers: 1}
		one, err := fit.Repeat(t.Context(), r, once)
		if err != nil {
			t.Fatal(err)
		}
		r.Workers = rapid.IntRange(2, 8).Draw(t, "workers")
		seen := 0
		r.Progress = func(done, of int) {
			if seen++; done != seen || of != 50 {
				t.Errorf("progress %d of %d after %d", done, of, seen)
			}
		}
		many, err := fit.Repeat(t.Context(), r, once)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(one.Values, many.Values) || one.Failed != many.Failed || one.Done() != 50 {
			t.Errorf("1 worker: %v; %d: %v", one, r.Workers, many)
		}
	})
}

// TestRepeatStopsWhenAsked: what was finished by then is kept and counted.
func TestRepeatStopsWhenAsked(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	r := fit.Replication{Replicates: 1000, Seed: 1, Workers: 2, Progress: func(done, _ int) {
		if done == 10 {
			stop()
		}
	}}
	part, err := fit.Repeat(ctx, r, func(rng *rand.Rand) (float64, error) { return rng.Float64(), nil })
	if !errors.Is(err, context.Canceled) || part.Done() < 10 || part.Done() > 14 || part.Asked != 1000 {
		t.Errorf("%d of %d done, %v", part.Done(), part.Asked, err)
	}
}

func TestPercentiles(t *testing.T) {
	t.Parallel()
	values := make([]float64, 41)
	for i := range values {
		values[i] = float64(40 - i)
	}
	lower, upper, _ := fit.Percentiles(values)
	if lower != 1 || upper != 39 {
		t.Errorf("2.5 and 97.5 percentiles of 0 to 40: %g, %g; by hand 1, 39", lower, upper)
	}
	values[0], values[1] = math.Inf(1), math.Inf(1)
	if _, upper, _ = fit.Percentiles(values); !math.IsInf(upper, 1) {
		t.Errorf("upper %g with 2 of 41 beyond any limit", upper)
	}
}
