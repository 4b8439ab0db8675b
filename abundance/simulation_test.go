package abundance_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dawnround/abundance"
	"dawnround/fit"
)

// The whole table, as it stands in simulations.md:
//
//	go test ./abundance -run TestSimulations -v -args -replicates 1000
var replicates = flag.Int("replicates", 0, "replicates for each cell of the simulation table; 0 tries one cell and prints nothing")

// A truth is how the invented animals behave.
type truth struct {
	name  string
	apart float64 // standard deviation of the animals' logits
	after float64 // what a first capture multiplies the odds of the next by
}

var truths = []truth{
	{"equal animals", 0, 1},
	{"unequal animals (logits with standard deviation 1)", 1, 1},
	{"trap-shy animals (odds halved after the first capture)", 0, 0.5},
}

// trapped draws the histories of n animals over some nights.
func (w truth) trapped(n int, p float64, nights int, rng *rand.Rand) abundance.Histories {
	h := abundance.Histories{}
	for range n {
		eta := fit.Logit.Eta(p) + w.apart*rng.NormFloat64()
		caught := make([]bool, nights)
		for night := range caught {
			if rng.Float64() < fit.Logit.Natural(eta) {
				if !slices.Contains(caught, true) {
					eta += math.Log(w.after)
				}
				caught[night] = true
			}
		}
		h.Caught = append(h.Caught, caught)
	}
	return h
}

// An estimator is one column of the table.
type estimator struct {
	name string
	of   func(h abundance.Histories) (fit.Estimate, error)
}

func closedModel(profile, conditional bool, detect ...string) func(abundance.Histories) (fit.Estimate, error) {
	return func(h abundance.Histories) (fit.Estimate, error) {
		r, err := abundance.Fit(h, abundance.Model{Detect: detect, Conditional: conditional})
		if lower, upper, ok := r.ProfileN(); profile && err == nil && ok {
			r.N.Lower, r.N.Upper = lower, upper
		}
		return r.N, err
	}
}

var estimators = []estimator{
	{"constant", closedModel(false, false)},
	{"constant, profile", closedModel(true, false)},
	{"constant, given caught", closedModel(false, true)},
	{"occasion", closedModel(false, false, "occasion")},
	{"after-capture", closedModel(false, false, "after-capture")},
	{"after-capture, profile", closedModel(true, false, "after-capture")},
	{"average of the three", averaged},
	{"mixture:2", closedModel(false, false, "mixture:2")},
	{"jackknife", func(h abundance.Histories) (fit.Estimate, error) {
		j, err := abundance.JackknifeN(h.Frequencies())
		return j.N, err
	}},
	{"Chao", func(h abundance.Histories) (fit.Estimate, error) {
		c, err := abundance.ChaoN(h.Frequencies())
		return c.N, err
	}},
	{"sample coverage", func(h abundance.Histories) (fit.Estimate, error) {
		c, err := abundance.SampleCoverage(h.Frequencies(), h.NightCounts().Caught)
		return c.N, err
	}},
	{"Chapman, nights halved", halved},
	{"Schnabel", func(h abundance.Histories) (fit.Estimate, error) {
		m, err := abundance.Schnabel(marked(h))
		return m.N, err
	}},
	{"Schumacher", func(h abundance.Histories) (fit.Estimate, error) {
		m, err := abundance.Schumacher(marked(h))
		return m.N, err
	}},
}

func averaged(h abundance.Histories) (fit.Estimate, error) {
	var results []abundance.Result
	for _, detect := range [][]string{nil, {"occasion"}, {"after-capture"}} {
		r, err := abundance.Fit(h, abundance.Model{Detect: detect})
		if err != nil {
			return fit.Estimate{}, err
		}
		results = append(results, r)
	}
	_, mean, err := abundance.Average(results)
	return mean.Estimate, err
}

// halved takes the first half of the nights for marking, the second for looking.
func halved(h abundance.Histories) (fit.Estimate, error) {
	var s abundance.TwoSample
	for _, caught := range h.Caught {
		half := len(caught) / 2
		first, second := slices.Contains(caught[:half], true), slices.Contains(caught[half:], true)
		if first {
			s.Marked++
		}
		if second {
			s.Caught++
		}
		if first && second {
			s.Recaught++
		}
	}
	c, err := abundance.Chapman(s)
	return c.N, err
}

func marked(h abundance.Histories) []abundance.Census {
	counts := h.NightCounts()
	var out []abundance.Census
	large := 0
	for night, caught := range counts.Caught {
		out = append(out, abundance.Census{Caught: caught, Recaught: caught - counts.New[night], AtLarge: large})
		large += counts.New[night]
	}
	return out
}

// A score is how an estimator did over the replicates of a cell. Intervals are
// read in whole animals, their ends rounded outwards.
type score struct {
	lost            int     // not estimable, or above ten times the truth
	bias, biasError float64 // of the rest, in per cent
	covered, given  int     // intervals holding the truth, and intervals given
}

func (s score) String() string {
	if s.given == 0 && math.IsNaN(s.bias) {
		return "–"
	}
	text := fmt.Sprintf("%+.0f (%.1f)", s.bias, s.biasError)
	if s.given > 0 {
		text += fmt.Sprintf(" · %.0f", 100*float64(s.covered)/float64(s.given))
	}
	if s.lost > 0 {
		text += fmt.Sprintf(" · lost %d", s.lost)
	}
	return text
}

// scores tries every estimator on the same replicates.
func scores(t *testing.T, w truth, n int, p float64, nights, replicates int, seed uint64) []score {
	t.Helper()
	done, err := fit.Repeat(t.Context(), fit.Replication{Replicates: replicates, Seed: seed}, func(rng *rand.Rand) ([]fit.Estimate, error) {
		h := w.trapped(n, p, nights, rng)
		var out []fit.Estimate
		for _, e := range estimators {
			estimate := fit.Lost("N")
			if e.name != "mixture:2" || nights >= 5 {
				var err error
				if estimate, err = e.of(h); err != nil {
					return nil, fmt.Errorf("%s: %w", e.name, err)
				}
			}
			out = append(out, estimate)
		}
		return out, nil
	})
	if err != nil || done.Failed > 0 {
		t.Fatalf("%d replicates gave an error: %v, %v", done.Failed, done.Reason, err)
	}
	out := make([]score, len(estimators))
	for i := range out {
		out[i] = scored(done.Values, i, float64(n))
	}
	return out
}

func scored(all [][]fit.Estimate, i int, n float64) score {
	var s score
	var sum, squares, used float64
	for _, estimates := range all {
		e := estimates[i]
		if e.Status != fit.NotEstimable && !math.IsNaN(e.Lower) && !math.IsNaN(e.Upper) {
			s.given++
			if math.Floor(e.Lower) <= n && n <= math.Ceil(e.Upper) {
				s.covered++
			}
		}
		if e.Status == fit.NotEstimable || e.Value > 10*n {
			s.lost++
			continue
		}
		off := 100 * (e.Value - n) / n
		sum, squares, used = sum+off, squares+off*off, used+1
	}
	s.bias = sum / used
	s.biasError = math.Sqrt(math.Max(0, squares/used-s.bias*s.bias) / used)
	return s
}

// TestSimulations tries the estimators where the truth is known. By default it
// holds one comfortable cell to what the theory promises; with -replicates it
// prints the whole table.
func TestSimulations(t *testing.T) {
	t.Parallel()
	comfortable := scores(t, truths[0], 60, 0.3, 5, 300, 1)
	for i, e := range estimators[:4] {
		s := comfortable[i]
		if math.Abs(s.bias) > 4 || float64(s.covered) < 0.9*float64(s.given) || s.given < 300 {
			t.Errorf("%s: %v of %d; 60 equal animals, 5 nights at 0.3, should be estimated well", e.name, s, s.given)
		}
	}
	if *replicates == 0 {
		return
	}
	var names []string
	for _, e := range estimators {
		names = append(names, e.name)
	}
	seed := uint64(0)
	for _, w := range truths {
		fmt.Printf("\n## %s\n\n| N | p | nights | %s |\n|%s\n", w.name, strings.Join(names, " | "), strings.Repeat("---|", 3+len(names)))
		for _, n := range []int{20, 60, 200} {
			for _, p := range []float64{0.1, 0.3, 0.5} {
				for _, nights := range []int{3, 5, 8} {
					seed++
					var cells []string
					for _, s := range scores(t, w, n, p, nights, *replicates, seed) {
						cells = append(cells, s.String())
					}
					fmt.Printf("| %d | %.1f | %d | %s |\n", n, p, nights, strings.Join(cells, " | "))
				}
			}
		}
	}
}
