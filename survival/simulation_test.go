package survival_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"dawnround/fit"
	"dawnround/survival"
)

// The whole table, as it stands in simulations.md:
//
//	go test ./survival -run TestSimulations -timeout 1h -v -args -replicates 1000
var replicates = flag.Int("replicates", 0, "replicates for each cell of the simulation table; 0 tries one cell and prints nothing")

// A truth is how the invented animals live. The number alive and at home is the
// same on every trip: who dies is replaced.
type truth struct {
	name    string
	passing float64 // share of animals present on a trip that are gone by the next, beside those at home
	away    float64 // chance of being away for a trip
	apart   float64 // standard deviation of the animals' logits of being caught
}

const (
	trueSurvival = 0.7 // from trip to trip
	nightsATrip  = 3
)

var truths = []truth{
	{name: "equal animals"},
	{name: "one in four only passing through on each trip", passing: 0.25},
	{name: "one in five away for a trip, at random", away: 0.2},
	{name: "unequal animals (logits with standard deviation 1)", apart: 1},
}

// trapped draws the histories, night by night, of those ever caught.
func (w truth) trapped(n int, p float64, trips int, rng *rand.Rand) survival.Robust {
	var r survival.Robust
	for trip := range trips {
		for range nightsATrip {
			r.Period = append(r.Period, trip+1)
		}
	}
	for range n {
		for came := 0; came < trips; {
			came += w.live(&r, came, false, p, rng)
		}
	}
	passing := int(math.Round(float64(n) * w.passing / (1 - w.passing)))
	for trip := range trips {
		for range passing {
			w.live(&r, trip, true, p, rng)
		}
	}
	return r
}

// live leads one animal from the trip it came before, for so many trips.
func (w truth) live(r *survival.Robust, came int, passing bool, p float64, rng *rand.Rand) int {
	chance := fit.Logit.Natural(fit.Logit.Eta(p) + w.apart*rng.NormFloat64())
	caught := make([]int, len(r.Period))
	ever, trips := false, 0
	for trip := came; ; trip++ {
		if trip*nightsATrip >= len(caught) || trips > 0 && (passing || rng.Float64() >= trueSurvival) {
			break
		}
		trips++
		if rng.Float64() < w.away {
			continue
		}
		for night := range nightsATrip {
			if rng.Float64() < chance {
				caught[trip*nightsATrip+night], ever = 1, true
			}
		}
	}
	if ever {
		r.Caught = append(r.Caught, caught)
	}
	return trips
}

// byTrip counts an animal as caught on a trip if it was on any night.
func byTrip(r survival.Robust) survival.Histories {
	var h survival.Histories
	for _, nights := range r.Caught {
		trips := make([]int, r.Period[len(r.Period)-1])
		for night, state := range nights {
			trips[r.Period[night]-1] = max(trips[r.Period[night]-1], state)
		}
		h.Caught = append(h.Caught, trips)
	}
	return h
}

// A column is one estimator of the table: what it gives, and of what.
type column struct {
	name  string
	truth float64
	of    func(nights survival.Robust, trips survival.Histories) (fit.Estimate, error)
}

var later = survival.Place{Occasion: 1, Since: 2}

func single(m survival.Model, profile bool) func(survival.Robust, survival.Histories) (fit.Estimate, error) {
	return func(_ survival.Robust, trips survival.Histories) (fit.Estimate, error) {
		r, err := survival.Fit(trips, m)
		if err != nil {
			return fit.Estimate{}, err
		}
		e := r.SurvivalAt(later)
		if profile && e.Status != fit.NotEstimable {
			interval := r.ProfileSurvival(0)
			e.Lower, e.Upper = interval.Lower, interval.Upper
		}
		return e, nil
	}
}

func nightly(emigration survival.Emigration) func(survival.Robust, survival.Histories) (fit.Estimate, error) {
	return func(nights survival.Robust, _ survival.Histories) (fit.Estimate, error) {
		r, err := survival.Fit(nights, survival.Model{Emigration: emigration})
		return r.SurvivalAt(later), err
	}
}

var columns = []column{
	{"constant", trueSurvival, single(model("", ""), false)},
	{"constant, profile", trueSurvival, single(model("", ""), true)},
	{"detection by trip", trueSurvival, single(model("", "occasion"), false)},
	{"once known (since-marking)", trueSurvival, single(model("since-marking:2", ""), false)},
	{"average of the three", trueSurvival, averaged},
	{"nights", trueSurvival, nightly(survival.Stay)},
	{"nights, away at random", trueSurvival, nightly(survival.Random)},
	{"growth", 1, growing},
}

func averaged(_ survival.Robust, trips survival.Histories) (fit.Estimate, error) {
	var results []survival.Result
	for _, m := range []survival.Model{model("", ""), model("", "occasion"), model("since-marking:2", "")} {
		r, err := survival.Fit(trips, m)
		if err != nil {
			return fit.Estimate{}, err
		}
		results = append(results, r)
	}
	_, mean, err := survival.Average(results, later, fit.Inflation{})
	return mean.Estimate, err
}

func growing(_ survival.Robust, trips survival.Histories) (fit.Estimate, error) {
	r, err := survival.Fit(trips, survival.Model{Population: survival.Growth})
	for _, e := range r.Populated {
		if e.Name == "growth" {
			return e, err
		}
	}
	return fit.Lost("growth"), err
}

// A score is how an estimator did over the replicates of a cell.
type score struct {
	lost            int     // not estimable
	bias, biasError float64 // of the rest, in per cent
	covered, given  int     // intervals holding the truth, and intervals given
	ended           int     // at the end of the range, without an interval
}

func (s score) String() string {
	if s.given == 0 && math.IsNaN(s.bias) {
		return fmt.Sprintf("lost %d", s.lost)
	}
	text := fmt.Sprintf("%+.0f (%.1f)", s.bias, s.biasError)
	if s.given > 0 {
		text += fmt.Sprintf(" · %.0f", 100*float64(s.covered)/float64(s.given))
	}
	if s.ended > 0 {
		text += fmt.Sprintf(" · end %d", s.ended)
	}
	if s.lost > 0 {
		text += fmt.Sprintf(" · lost %d", s.lost)
	}
	return text
}

// scores tries every estimator on the same replicates.
func scores(t *testing.T, w truth, n int, p float64, trips, replicates int, seed uint64) []score {
	t.Helper()
	done, err := fit.Repeat(t.Context(), fit.Replication{Replicates: replicates, Seed: seed}, func(rng *rand.Rand) ([]fit.Estimate, error) {
		nights := w.trapped(n, p, trips, rng)
		var out []fit.Estimate
		for _, c := range columns {
			if len(nights.Caught) == 0 {
				out = append(out, fit.Lost(c.name))
				continue
			}
			e, err := c.of(nights, byTrip(nights))
			if err != nil {
				return nil, fmt.Errorf("%s: %w", c.name, err)
			}
			out = append(out, e)
		}
		return out, nil
	})
	if err != nil || done.Failed > 0 {
		t.Fatalf("%d replicates gave an error: %v, %v", done.Failed, done.Reason, err)
	}
	out := make([]score, len(columns))
	for i, c := range columns {
		out[i] = scored(done.Values, i, c.truth)
	}
	return out
}

func scored(all [][]fit.Estimate, i int, truth float64) score {
	var s score
	var sum, squares, used float64
	for _, estimates := range all {
		e := estimates[i]
		switch {
		case e.Status == fit.NotEstimable:
			s.lost++
			continue
		case math.IsNaN(e.Lower) || math.IsNaN(e.Upper):
			s.ended++
		default:
			s.given++
			if e.Lower <= truth && truth <= e.Upper {
				s.covered++
			}
		}
		off := 100 * (e.Value - truth) / truth
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
	for i, s := range scores(t, truths[0], 60, 0.3, 5, 100, 1) {
		if math.Abs(s.bias) > 3 || float64(s.covered) < 0.88*float64(s.given) || s.given < 99 {
			t.Errorf("%s: %v of %d; 60 equal animals, 5 trips of 3 nights at 0.3, should be estimated well", columns[i].name, s, s.given)
		}
	}
	if *replicates == 0 {
		return
	}
	var names []string
	for _, c := range columns {
		names = append(names, c.name)
	}
	seed := uint64(0)
	for _, w := range truths {
		fmt.Printf("\n## %s\n\n| N | p | trips | %s |\n|%s\n", w.name, strings.Join(names, " | "), strings.Repeat("---|", 3+len(names)))
		for _, n := range []int{20, 60, 200} {
			for _, p := range []float64{0.1, 0.3, 0.5} {
				for _, trips := range []int{5, 10, 20} {
					seed++
					var cells []string
					for _, s := range scores(t, w, n, p, trips, *replicates, seed) {
						cells = append(cells, s.String())
					}
					fmt.Printf("| %d | %.1f | %d | %s |\n", n, p, trips, strings.Join(cells, " | "))
				}
			}
		}
	}
}
