package condition_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"dawnround/condition"

	"pgregory.net/rapid"
)

// The invented example of eight animals to Peig & Green (2009), Oikos
// 118:1883–1891 (trade handbook of growth, section 6).
var (
	massG  = []float64{1085, 1190, 980, 1260, 1010, 1145, 905, 1230}
	headMM = []float64{73.2, 75.8, 71.0, 76.9, 72.6, 74.4, 70.1, 75.1}
)

func TestWorkedExample(t *testing.T) {
	t.Parallel()
	s, err := condition.Fit(massG, headMM)
	if err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string][3]float64{
		"b": {s.B.Value, 3.678, 5e-4}, "b of least squares": {s.OLS, 3.593, 5e-4}, "r": {s.R, 0.977, 5e-4}, "length": {s.LengthMM, 73.64, 5e-3},
	} {
		if math.Abs(c[0]-c[1]) > c[2] {
			t.Errorf("%s is %.5g, want %.5g", what, c[0], c[1])
		}
	}
	for i, want := range []float64{1109, 1070, 1121, 1074, 1064, 1102, 1085, 1144} {
		if got := s.Index(massG[i], headMM[i], 0, 0).Value; math.Abs(got-want) > 0.5 {
			t.Errorf("animal %d: scaled mass %.1f g, want %.0f", i+1, got, want)
		}
	}
	// 1 mm of head is about 5 % of the index (same section).
	e := s.Index(1100, s.LengthMM, 0, 1)
	if share := e.SE / e.Value; math.Abs(share-0.05) > 5e-4 {
		t.Errorf("1 mm moves the index by %.4f of it, want about 0.05", share)
	}
}

// Scaling mass and length to other units changes no slope; an animal of mean
// length keeps its mass.
func TestUnitsDoNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 30).Draw(t, "n")
		var m, l, m2, l2 []float64
		c := rapid.Float64Range(0.01, 100).Draw(t, "unit")
		for range n {
			x := rapid.Float64Range(50, 90).Draw(t, "length")
			y := x * x * rapid.Float64Range(0.1, 0.3).Draw(t, "shape")
			m, l, m2, l2 = append(m, y), append(l, x), append(m2, y*c), append(l2, x*3)
		}
		one, err := condition.Fit(m, l)
		two, err2 := condition.Fit(m2, l2)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if math.IsNaN(one.B.Value) != math.IsNaN(two.B.Value) || math.Abs(one.B.Value-two.B.Value) > 1e-6*math.Abs(one.B.Value) {
			t.Fatalf("b %v and %v", one.B.Value, two.B.Value)
		}
		if got := one.Index(500, one.LengthMM, 0, 0).Value; !math.IsNaN(got) && math.Abs(got-500) > 1e-9 {
			t.Fatalf("at the mean length the index is %v, want the mass", got)
		}
		if one.B.Value > 0 && !(one.B.Lower < one.B.Value && one.B.Value < one.B.Upper) {
			t.Fatalf("slope %+v", one.B)
		}
	})
}

func TestWhatCannotBeFitted(t *testing.T) {
	t.Parallel()
	for name, c := range map[string][2][]float64{
		"two animals":  {{1, 2}, {1, 2}},
		"of two sizes": {{1, 2, 3}, {1, 2}},
		"no mass":      {{1, 0, 3}, {1, 2, 3}},
		"no number":    {{1, math.NaN(), 3}, {1, 2, 3}},
	} {
		if s, err := condition.Fit(c[0], c[1]); err == nil {
			t.Errorf("%s: %+v", name, s)
		}
	}
	for name, c := range map[string][2][]float64{
		"one length":           {{1, 2, 3}, {5, 5, 5}},
		"the longer, the less": {{3, 2, 1}, {1, 2, 3}},
	} {
		if s, err := condition.Fit(c[0], c[1]); err != nil || !math.IsNaN(s.B.Value) {
			t.Errorf("%s: %+v, %v; want not estimable", name, s, err)
		}
	}
	if e := condition.Mean(nil); !math.IsNaN(e.Value) {
		t.Errorf("mean of nothing is %+v", e)
	}
	if e := condition.Mean([]float64{7}); e.Value != 7 || !math.IsNaN(e.Lower) {
		t.Errorf("mean of one is %+v", e)
	}
}

// Logarithms normal about an axis of slope 3, 25 animals, 1,000 replicates from
// seed 41: the Monte-Carlo error of a share near 0.95 is 0.007.
func TestSlopeIntervalCovers(t *testing.T) {
	t.Parallel()
	const replicates = 1000
	covered, index := 0, 0
	for n := range replicates {
		rng := rand.New(rand.NewPCG(41, uint64(n)))
		var m, l []float64
		for range 25 {
			common, own, other := rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()
			x := 0.03*common + 0.01*own
			y := 3 * (0.03*common + 0.01*other) // same standard deviation ratio: the axis has slope 3
			l, m = append(l, 75*math.Exp(x)), append(m, 1100*math.Exp(y))
		}
		s, err := condition.Fit(m, l)
		if err != nil {
			t.Fatal(err)
		}
		if s.B.Lower <= 3 && 3 <= s.B.Upper {
			covered++
		}
		if e := condition.Mean(m); e.Lower <= 1100*math.Exp(0.5*9*0.001) && 1100*math.Exp(0.5*9*0.001) <= e.Upper {
			index++
		}
	}
	for what, k := range map[string]int{"slope": covered, "mean": index} {
		share := float64(k) / replicates
		t.Logf("%s: 95 %% intervals cover %.3f (Monte-Carlo error 0.007)", what, share)
		if share < 0.93 || share > 0.97 {
			t.Errorf("%s: 95 %% intervals cover %.3f", what, share)
		}
	}
}
