package survival

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// TestGradientIsTheSlope: the exact gradient agrees with differences of the
// likelihood, for every kind of model and effect.
func TestGradientIsTheSlope(t *testing.T) {
	t.Parallel()
	by := func(effects ...string) []string { return effects }
	one := func(rng *rand.Rand) Data { return madeUp(rng, nil) }
	nights := func(rng *rand.Rand) Data {
		return Robust{Histories: inPeriods(madeUp(rng, nil)), Period: []int{1, 1, 2, 3, 3}}
	}
	cases := map[string]struct {
		data  func(rng *rand.Rand) Data
		model Model
	}{
		"one state":    {one, Model{Survive: by("since-marking:2", "weight", "occasion"), Detect: by("after-capture", "group*trend")}},
		"three states": {func(rng *rand.Rand) Data { return madeUp(rng, []string{"A", "B", "C"}) }, Model{Survive: by("state", "group"), Detect: by("state*occasion"), Move: by("state*to", "trend")}},
		"entry":        {one, Model{Survive: by("occasion"), Detect: by("occasion", "group"), Population: Entry, Populate: by("occasion", "group")}},
		"entry, given": {one, Model{Survive: by("trend"), Detect: by("occasion"), Population: Entry, Populate: by("group"), GivenCaught: true}},
		"growth":       {one, Model{Survive: by("group"), Detect: by("occasion", "group"), Population: Growth, Populate: by("occasion", "group")}},
		"seniority":    {one, Model{Survive: by("occasion"), Detect: by("trend"), Population: Seniority, Populate: by("trend", "group")}},
		"nights":       {nights, Model{Survive: by("weight"), Detect: by("period", "night", "after-capture"), Emigration: Markov, Emigrate: by("state", "group")}},
		"nights, away": {nights, Model{Survive: by("trend"), Detect: by("occasion", "weight"), Emigration: Random, Emigrate: by("occasion")}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
				l, err := lay(c.data(rng), c.model)
				if err != nil {
					t.Fatal(err)
				}
				x := make([]float64, len(l.names()))
				for i := range x {
					x[i] = rng.NormFloat64() / 2
				}
				if l.model.Population == Growth { // where more survive than are there, nothing can be said
					x[l.population().at] += 2
				}
				sloped(t, l.names(), l.log, x)
			})
		})
	}
}

// inPeriods has intervals between three periods.
func inPeriods(h Histories) Histories {
	h.Intervals = h.Intervals[:2]
	return h
}

func madeUp(rng *rand.Rand, states []string) Histories {
	h := Histories{States: states, Columns: map[string][]float64{}}
	h.Intervals = []float64{1, 0.5, 2, 1}
	for range 30 {
		caught := make([]int, 5)
		for j := range caught {
			caught[j] = rng.IntN(2) * (1 + rng.IntN(max(1, len(states))))
		}
		h.Caught = append(h.Caught, caught)
		h.Lost = append(h.Lost, rng.IntN(6) == 0)
		h.Group = append(h.Group, []string{"female", "male"}[rng.IntN(2)])
		h.Columns["weight"] = append(h.Columns["weight"], rng.NormFloat64())
	}
	return h
}

// sloped compares a gradient with central differences.
func sloped(t *rapid.T, names []string, log func(x, gradient []float64) float64, x []float64) {
	t.Helper()
	gradient := make([]float64, len(x))
	log(x, gradient)
	const h = 1e-5
	for i := range x {
		at := x[i]
		x[i] = at + h
		above := log(x, nil)
		x[i] = at - h
		below := log(x, nil)
		x[i] = at
		if want := (above - below) / (2 * h); math.Abs(gradient[i]-want) > 1e-5*(1+math.Abs(want)) {
			t.Errorf("%s: gradient %g, differences %g", names[i], gradient[i], want)
		}
	}
}

// TestLongMissesDoNotVanish: a chance far below the smallest number keeps its
// logarithm and its slope.
func TestLongMissesDoNotVanish(t *testing.T) {
	t.Parallel()
	caught := make([]int, 400)
	caught[0], caught[399] = 1, 1
	l, err := lay(Histories{Caught: [][]int{caught}}, Model{})
	if err != nil {
		t.Fatal(err)
	}
	gradient := make([]float64, 2)
	got := l.log([]float64{0, 5}, gradient)
	// By hand: 399 survivals of ½, 398 misses of 1/(1+e⁵), one capture.
	miss := -math.Log1p(math.Exp(5))
	if want := 399*math.Log(0.5) + 398*miss + miss + 5; math.Abs(got-want) > 1e-9*math.Abs(want) {
		t.Errorf("ln L %g, by hand %g", got, want)
	}
	if want := 399 * 0.5; math.Abs(gradient[0]-want) > 1e-6 {
		t.Errorf("slope by survival %g, by hand %g", gradient[0], want)
	}
	p := 1 / (1 + math.Exp(-5.0))
	if want := 1 - p - 398*p; math.Abs(gradient[1]-want) > 1e-6 {
		t.Errorf("slope by detection %g, by hand %g", gradient[1], want)
	}
}

// TestPooledToTheMArray: where no effect tells animals apart, as many segments
// are left as the m-array has cells with animals in them.
func TestPooledToTheMArray(t *testing.T) {
	t.Parallel()
	h := madeUp(rand.New(rand.NewPCG(3, 1)), nil)
	m, err := h.MArray()
	if err != nil {
		t.Fatal(err)
	}
	cells := 0
	for i, row := range m.Seen {
		left := m.Released[i]
		for _, n := range row {
			left -= n
			if n > 0 {
				cells++
			}
		}
		if left > 0 {
			cells++
		}
	}
	l, err := lay(h, Model{Survive: []string{"occasion"}, Detect: []string{"occasion"}})
	if err != nil {
		t.Fatal(err)
	}
	if len(l.chain.segments) != cells || len(l.chain.legs) != 4 || len(l.chain.looks) != 4 {
		t.Errorf("%d segments over %d legs and %d looks; the m-array has %d cells", len(l.chain.segments), len(l.chain.legs), len(l.chain.looks), cells)
	}
}
