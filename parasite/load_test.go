package parasite_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"dawnround/parasite"

	"pgregory.net/rapid"
)

func exact(x int) parasite.Count { return parasite.Count{Low: x, High: x} }

// repeated is so many animals with 0, 1, 2, … parasites.
func repeated(animals ...int) []parasite.Count {
	var out []parasite.Count
	for x, n := range animals {
		for range n {
			out = append(out, exact(x))
		}
	}
	return out
}

// Red mites on 150 apple leaves, the worked example of Bliss & Fisher (1953),
// Biometrics 9:176–200: mean 1.1467, and k 1.0246 by maximum likelihood (both
// from memory, as are the counts; the score equation for k is checked by hand
// below, from no memory).
func TestMitesOnAppleLeaves(t *testing.T) {
	t.Parallel()
	counts := repeated(70, 38, 17, 10, 9, 3, 2, 1)
	l, err := parasite.Measure(counts)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(l.Mean.Value-172.0/150) > 1e-6 || math.Abs(l.K.Value-1.0246) > 1e-3 {
		t.Errorf("mean %.5f, k %.5f; want 1.14667 and 1.0246", l.Mean.Value, l.K.Value)
	}
	// Score for k (Bliss & Fisher, equation of the iterative solution): the sum
	// of A(x)/(k + x), A(x) the leaves with more than x, is N·ln(1 + mean/k).
	sum, k := 0.0, l.K.Value
	for x, above := range []float64{80, 42, 25, 15, 6, 3, 1} {
		sum += above / (k + float64(x))
	}
	if want := 150 * math.Log1p(172.0/150/k); math.Abs(sum-want) > 1e-4 {
		t.Errorf("score: %.6f, want %.6f", sum, want)
	}
	if !(l.K.Lower < k && k < l.K.Upper && l.K.Lower > 0.6 && l.K.Upper < 2) {
		t.Errorf("k %.3f (%.3f–%.3f)", k, l.K.Lower, l.K.Upper)
	}
	if l.Median.Low != 1 || l.Median.High != 1 || l.Classed != 0 {
		t.Errorf("median %+v, %d classed", l.Median, l.Classed)
	}
}

// A class of one count is that count; open above 0 splits those with from those
// without; all animals in one class say nothing more than the class.
func TestClasses(t *testing.T) {
	t.Parallel()
	counts := repeated(12, 6, 4, 2, 2, 0, 1, 0, 0, 1)
	one, err := parasite.Measure(counts)
	if err != nil {
		t.Fatal(err)
	}
	// The same animals, those above 3 by class.
	var classed []parasite.Count
	for _, c := range counts {
		switch {
		case c.Low > 5:
			c = parasite.Count{Low: 6, Open: true}
		case c.Low > 3:
			c = parasite.Count{Low: 4, High: 5}
		}
		classed = append(classed, c)
	}
	two, err := parasite.Measure(classed)
	if err != nil {
		t.Fatal(err)
	}
	if two.Classed != 4 || math.Abs(two.Mean.Value-one.Mean.Value) > 0.3 || two.K.Upper-two.K.Lower < one.K.Upper-one.K.Lower {
		t.Errorf("exact %+v %+v\nclassed %+v %+v", one.Mean, one.K, two.Mean, two.K)
	}
	if one.Median != (parasite.Span{Low: 1, High: 1}) || two.Median != one.Median {
		t.Errorf("medians %+v and %+v", one.Median, two.Median)
	}
	half := []parasite.Count{exact(0), exact(2), {Low: 6, High: 20}, {Low: 21, Open: true}}
	l, err := parasite.Measure(half)
	if err != nil || l.Median != (parasite.Span{Low: 4, High: 11}) || !l.Sampling.Open {
		t.Errorf("median %+v, sampling %+v, %v; want 4–11 and no bound from four animals", l.Median, l.Sampling, err)
	}
}

func TestWhatLoadsCannotSay(t *testing.T) {
	t.Parallel()
	none, err := parasite.Measure(repeated(9))
	if err != nil || none.Mean.Value != 0 || !math.IsNaN(none.K.Value) || len(none.Warnings) != 1 {
		t.Errorf("nine without: %+v, %v", none, err)
	}
	even, err := parasite.Measure(repeated(0, 0, 20))
	if err != nil || !math.IsInf(even.K.Upper, 1) {
		t.Errorf("all with two: k %+v, %v; want open above", even.K, err)
	}
	for name, bad := range map[string][]parasite.Count{
		"nobody": nil, "below nothing": {exact(-1)}, "backwards": {{Low: 3, High: 2}}, "anything": {{Open: true}},
	} {
		if l, err := parasite.Measure(bad); err == nil {
			t.Errorf("%s: %+v", name, l)
		}
	}
}

// The order of the animals does not matter, and the median interval holds the
// median.
func TestLoadLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 40).Draw(t, "n")
		var counts, back []parasite.Count
		for range n {
			c := exact(rapid.IntRange(0, 30).Draw(t, "count"))
			switch rapid.IntRange(0, 4).Draw(t, "kind") {
			case 0:
				c.High += rapid.IntRange(0, 10).Draw(t, "wide")
			case 1:
				c = parasite.Count{Low: c.Low + 1, Open: true}
			}
			counts = append(counts, c)
			back = append([]parasite.Count{c}, back...)
		}
		one, err := parasite.Measure(counts)
		two, err2 := parasite.Measure(back)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if one.Median != two.Median || one.Sampling != two.Sampling || one.Mean.Value != two.Mean.Value {
			t.Fatalf("%+v\n%+v", one, two)
		}
		if one.Sampling.Low > one.Median.Low || !one.Sampling.Open && (one.Median.Open || one.Sampling.High < one.Median.High) {
			t.Fatalf("median %+v, sampling %+v", one.Median, one.Sampling)
		}
	})
}

// Loads with a known truth, μ 4 and k 0.8, 40 animals, those above 5 known by
// class only; 300 replicates from seed 51: the Monte-Carlo error of a share near
// 0.95 is 0.013.
func TestProfileIntervalsCover(t *testing.T) {
	t.Parallel()
	const replicates, mu, k = 300, 4.0, 0.8
	covered := [3]int{}
	for n := range replicates {
		rng := rand.New(rand.NewPCG(51, uint64(n)))
		var counts []parasite.Count
		for range 40 {
			counts = append(counts, classOf(draw(rng, mu, k)))
		}
		l, err := parasite.Measure(counts)
		if err != nil {
			t.Fatal(err)
		}
		for i, in := range []bool{l.Mean.Lower <= mu && mu <= l.Mean.Upper, l.K.Lower <= k && k <= l.K.Upper,
			l.Sampling.Low <= 2 && (l.Sampling.Open || 2 <= l.Sampling.High)} {
			if in {
				covered[i]++
			}
		}
	}
	for i, what := range []string{"mean", "k", "median"} {
		share := float64(covered[i]) / replicates
		t.Logf("%s: 95 %% intervals cover %.3f (Monte-Carlo error 0.013)", what, share)
		if share < 0.91 || what != "median" && share > 0.985 {
			t.Errorf("%s: 95 %% intervals cover %.3f", what, share)
		}
	}
}

// draw is one negative binomial count, by the probabilities one after another.
func draw(rng *rand.Rand, mu, k float64) int {
	p := math.Pow(k/(k+mu), k)
	u := rng.Float64()
	for x := 0; ; x++ {
		if u -= p; u < 0 || x > 1000 {
			return x
		}
		p *= (k + float64(x)) / float64(x+1) * mu / (k + mu)
	}
}

func classOf(x int) parasite.Count {
	switch {
	case x > 20:
		return parasite.Count{Low: 21, Open: true}
	case x > 5:
		return parasite.Count{Low: 6, High: 20}
	}
	return exact(x)
}
