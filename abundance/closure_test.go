package abundance_test

import (
	"math"
	"math/bits"
	"testing"

	"dawnround/abundance"
)

// TestSpansByCounting: mean and variance of the span are those over all ways of
// falling on k of t nights, counted one by one.
func TestSpansByCounting(t *testing.T) {
	t.Parallel()
	for nights := 3; nights <= 9; nights++ {
		for k := 2; k < nights; k++ {
			var spans []float64
			var all abundance.Histories
			for set := range 1 << nights {
				if bits.OnesCount(uint(set)) != k {
					continue
				}
				spans = append(spans, float64(bits.Len(uint(set))-1-bits.TrailingZeros(uint(set))))
				row := make([]bool, nights)
				for i := range row {
					row[i] = set>>i&1 == 1
				}
				all.Caught = append(all.Caught, row)
			}
			mean, variance := 0.0, 0.0
			for _, s := range spans {
				mean += s / float64(len(spans))
			}
			for _, s := range spans {
				variance += (s - mean) * (s - mean) / float64(len(spans))
			}
			// Every way once has no span too short; one way alone shows mean and variance.
			whole, err := abundance.Closure(all)
			if err != nil || math.Abs(whole.Z) > 1e-9 || whole.Animals != len(spans) {
				t.Errorf("%d of %d nights, every way once: %+v, %v", k, nights, whole, err)
			}
			one, _ := abundance.Closure(abundance.Histories{Caught: all.Caught[:1]})
			if want := (spans[0] - mean) / math.Sqrt(variance); math.Abs(one.Z-want) > 1e-9 {
				t.Errorf("%d of %d nights: z %v, want %v", k, nights, one.Z, want)
			}
		}
	}
}

// TestClosureSeesPassersBy: animals that are there for two of six nights leave
// short spans, residents do not; and where nobody tells, nothing is said.
func TestClosureSeesPassersBy(t *testing.T) {
	t.Parallel()
	var passing abundance.Histories
	for first := range 5 {
		row := make([]bool, 6)
		row[first], row[first+1] = true, true
		passing.Caught = append(passing.Caught, row, row, row)
	}
	if got, _ := abundance.Closure(passing); got.P > 0.001 {
		t.Errorf("passers-by: %+v", got)
	}
	once := abundance.Histories{Caught: [][]bool{{true, false, false}, {true, true, true}}}
	if got, _ := abundance.Closure(once); got.Animals != 0 || !math.IsNaN(got.P) {
		t.Errorf("nobody tells: %+v", got)
	}
	if _, err := abundance.Closure(abundance.Histories{Caught: [][]bool{{true}, {true, false}}}); err == nil {
		t.Error("histories of unequal length are no error")
	}
}
