package fit

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
)

// A Replication says how often to repeat, from which seed, and how many at
// once (0: one for each processor). Progress, if not nil, is called after each
// replicate, never twice at once.
type Replication struct {
	Replicates int
	Seed       uint64
	Workers    int
	Progress   func(done, of int)
}

// Replicates are the outcomes in the order of their numbers. After an early
// stop they are those that were finished.
type Replicates[T any] struct {
	Values []T
	Failed int // replicates that gave an error
	Asked  int
	Seed   uint64
	Reason error // the first failure, by number
}

// Done is how many replicates were finished, failures included.
func (r Replicates[T]) Done() int { return len(r.Values) + r.Failed }

// Repeat runs once for every replicate, in parallel. Each has a generator of
// its own, PCG(seed, number), so that the outcome does not depend on the number
// of workers. When ctx ends, what was finished is returned with ctx's error.
func Repeat[T any](ctx context.Context, r Replication, once func(rng *rand.Rand) (T, error)) (Replicates[T], error) {
	type outcome struct {
		value T
		err   error
		done  bool
	}
	outcomes := make([]outcome, max(0, r.Replicates))
	numbers := make(chan int)
	var workers sync.WaitGroup
	var reporting sync.Mutex
	finished := 0
	for range max(1, cmp.Or(r.Workers, runtime.GOMAXPROCS(0))) {
		workers.Go(func() {
			for n := range numbers {
				value, err := once(rand.New(rand.NewPCG(r.Seed, uint64(n))))
				outcomes[n] = outcome{value, err, true}
				reporting.Lock()
				finished++
				if r.Progress != nil {
					r.Progress(finished, len(outcomes))
				}
				reporting.Unlock()
			}
		})
	}
	for n := range outcomes {
		if ctx.Err() != nil {
			break
		}
		select {
		case numbers <- n:
		case <-ctx.Done():
		}
	}
	close(numbers)
	workers.Wait()
	out := Replicates[T]{Asked: len(outcomes), Seed: r.Seed}
	for _, o := range outcomes {
		switch {
		case o.done && o.err == nil:
			out.Values = append(out.Values, o.value)
		case o.done:
			out.Failed++
			if out.Reason == nil {
				out.Reason = o.err
			}
		}
	}
	if out.Done() == out.Asked {
		return out, nil
	}
	return out, ctx.Err()
}

// Percentiles returns the 2.5 and 97.5 percentiles and the standard deviation
// of bootstrap values; NaN where there are fewer than 2.
func Percentiles(values []float64) (lower, upper, sd float64) {
	if len(values) < 2 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	sorted := slices.Sorted(slices.Values(values))
	mean := 0.0
	for _, v := range sorted {
		mean += v / float64(len(sorted))
	}
	for _, v := range sorted {
		sd += (v - mean) * (v - mean) / float64(len(sorted)-1)
	}
	return Quantile(sorted, 0.025), Quantile(sorted, 0.975), math.Sqrt(sd)
}

// Quantile interpolates between the two values of a sorted sample nearest to
// share p of its way.
func Quantile(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	below := int(at)
	if below+1 >= len(sorted) || sorted[below] == sorted[below+1] || at == float64(below) {
		return sorted[below]
	}
	return sorted[below] + (at-float64(below))*(sorted[below+1]-sorted[below])
}
