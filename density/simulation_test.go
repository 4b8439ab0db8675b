package density_test

import (
	"cmp"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dawnround/density"
	"dawnround/fit"
)

// The whole table, as it stands in simulations.md:
//
//	go test ./density -run TestSimulations -timeout 4h -v -args -replicates 60
var replicates = flag.Int("replicates", 0, "replicates for each cell of the simulation table; 0 tries one cell and prints nothing")

// A truth is how the invented animals behave.
type truth struct {
	name   string
	apart  float64 // standard deviation of the animals' logits of detection
	single bool    // traps are shut by their first animal
	seed   uint64  // of its first row
}

var truths = []truth{
	{"equal animals, multi-catch traps", 0, false, 1},
	{"unequal animals (logits of detection with standard deviation 1)", 1, false, 13},
	{"equal animals, single-catch traps", 0, true, 37},
}

const (
	gridSide, spacing = 7, 15.0
	trueSigma         = 20.0
)

// square is a grid of 7 × 7 traps 15 m apart in cells of 10 m, up to 70 m (3½ σ)
// away.
func square(t testing.TB, nights int) density.Trip {
	t.Helper()
	var trip density.Trip
	for i := range gridSide * gridSide {
		trap := density.Trap{At: density.Point{X: spacing * float64(i%gridSide), Y: spacing * float64(i/gridSide)}}
		for range nights {
			trap.Open = append(trap.Open, 1)
		}
		trip.Traps = append(trip.Traps, trap)
	}
	space, err := density.Around(trip.Traps, 70, 10)
	if err != nil {
		t.Fatal(err)
	}
	trip.Space = space
	return trip
}

// surveyed draws a survey of n animals, whose centres lie anywhere in the state
// space's cells. Those never caught are left out.
func (w truth) surveyed(trip density.Trip, n int, g0 float64, rng *rand.Rand) density.Survey {
	var homes []home
	for range n {
		at := trip.Space.Cells[rng.IntN(len(trip.Space.Cells))]
		side := trip.Space.SideM
		at.X, at.Y = at.X+side*(rng.Float64()-0.5), at.Y+side*(rng.Float64()-0.5)
		homes = append(homes, w.home(trip, at, fit.Logit.Natural(fit.Logit.Eta(g0)+w.apart*rng.NormFloat64())))
	}
	animals := make([]density.Animal, n)
	for night := range trip.Traps[0].Open {
		w.night(homes, animals, night, rng)
	}
	for _, a := range animals {
		if len(a.Caught) > 0 {
			trip.Animals = append(trip.Animals, a)
		}
	}
	return density.Survey{trip}
}

// A home is an animal's hazard at every trap in a night.
type home []float64

func (w truth) home(trip density.Trip, at density.Point, g0 float64) home {
	var h home
	for _, trap := range trip.Traps {
		x, y := trap.At.X-at.X, trap.At.Y-at.Y
		h = append(h, -math.Log1p(-g0*math.Exp(-(x*x+y*y)/(2*trueSigma*trueSigma))))
	}
	return h
}

// night lets every animal meet traps at its hazards until one holds it; where a
// trap is shut by its first animal, the next finds it so.
func (w truth) night(homes []home, animals []density.Animal, night int, rng *rand.Rand) {
	type meeting struct {
		time         float64
		animal, trap int
	}
	held, shut := make([]bool, len(homes)), map[int]bool{}
	var all []meeting
	for i, h := range homes {
		for k, hazard := range h {
			if time := rng.ExpFloat64() / hazard; time < 1 {
				all = append(all, meeting{time, i, k})
			}
		}
	}
	slices.SortFunc(all, func(a, b meeting) int { return cmp.Compare(a.time, b.time) })
	for _, m := range all {
		if held[m.animal] || w.single && shut[m.trap] {
			continue
		}
		held[m.animal], shut[m.trap] = true, true
		animals[m.animal].Caught = append(animals[m.animal].Caught, density.Capture{Night: night, Trap: m.trap})
	}
}

// An estimator is one column of the table: an estimate of N, or of the density,
// told as N.
type estimator struct {
	name string
	from int // which model
	of   func(r density.Result) fit.Estimate
}

var (
	tried = []density.Model{
		{},
		{Count: density.Binomial},
		{Detect: []string{"after-capture"}},
		{Shape: density.Exponential},
	}
	real       = func(r density.Result) fit.Estimate { return r.Populations[0].N }
	estimators = []estimator{
		{"half-normal, N", 0, real},
		{"half-normal, density", 0, func(r density.Result) fit.Estimate { return r.Populations[0].Expected }},
		{"number fixed", 1, real},
		{"after-capture", 2, real},
		{"exponential", 3, real},
	}
)

// A score is how an estimator did over the replicates of a cell.
type score struct {
	bias, biasError      float64 // in per cent
	covered, given, lost int
}

func (s score) String() string {
	text := fmt.Sprintf("%+.0f (%.1f)", s.bias, s.biasError)
	if s.given > 0 {
		text += fmt.Sprintf(" · %.0f", 100*float64(s.covered)/float64(s.given))
	}
	if s.lost > 0 {
		text += fmt.Sprintf(" · lost %d", s.lost)
	}
	return text
}

// scores tries every estimator on the same replicates; beside them it gives the
// mean saturation of the traps.
func scores(t *testing.T, w truth, n int, g0 float64, nights, replicates int, seed uint64) ([]score, float64) {
	t.Helper()
	trip := square(t, nights)
	done, err := fit.Repeat(t.Context(), fit.Replication{Replicates: replicates, Seed: seed}, func(rng *rand.Rand) ([]fit.Estimate, error) {
		s := w.surveyed(trip, n, g0, rng)
		var results []density.Result
		for _, m := range tried {
			r, err := density.Fit(t.Context(), s, m, density.Options{})
			if err != nil {
				return nil, err
			}
			results = append(results, r)
		}
		var out []fit.Estimate
		for _, e := range estimators {
			out = append(out, e.of(results[e.from]))
		}
		return append(out, fit.Estimate{Value: results[0].Array.Saturation}), nil
	})
	if err != nil || done.Failed > 0 {
		t.Fatalf("%d replicates gave an error: %v, %v", done.Failed, done.Reason, err)
	}
	out := make([]score, len(estimators))
	for i := range out {
		out[i] = scored(done.Values, i, float64(n))
	}
	saturation := 0.0
	for _, estimates := range done.Values {
		saturation += estimates[len(estimators)].Value / float64(len(done.Values))
	}
	return out, saturation
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
	comfortable, _ := scores(t, truths[0], 60, 0.2, 5, 12, 1)
	for i, s := range comfortable[:3] {
		if math.Abs(s.bias) > 12 || s.given < 12 || s.covered < 10 {
			t.Errorf("%s: %v of %d; 60 equal animals, 5 nights at 0.2, should be estimated well", estimators[i].name, s, s.given)
		}
	}
	if *replicates == 0 {
		return
	}
	var names []string
	for _, e := range estimators {
		names = append(names, e.name)
	}
	for _, w := range truths {
		seed := w.seed
		fmt.Printf("\n## %s\n\n| N | detection | nights | %s | saturation |\n|%s\n", w.name, strings.Join(names, " | "), strings.Repeat("---|", 4+len(names)))
		for _, n := range []int{20, 60, 200} {
			for _, g0 := range []float64{0.05, 0.2} {
				for _, nights := range []int{3, 8} {
					var cells []string
					all, saturation := scores(t, w, n, g0, nights, *replicates, seed)
					for _, s := range all {
						cells = append(cells, s.String())
					}
					fmt.Printf("| %d | %.2f | %d | %s | %.2f |\n", n, g0, nights, strings.Join(cells, " | "), saturation)
					seed++
				}
			}
		}
	}
}
