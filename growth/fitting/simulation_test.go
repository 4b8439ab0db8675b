package fitting

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/fit"
)

// The whole table, as it stands in docs/growth-simulations.md:
//
//	make simulate-growth
var replicates = flag.Int("replicates", 0, "replicates for each cell of the growth simulations; 0 tries one cell and prints nothing")

// seed of every simulation here; a replicate draws from PCG(seed, number).
const seed = 1849

// A scheme is one row of the table: a truth and a model that is fitted to it.
type scheme struct {
	name      string
	truth     truth
	agesKnown bool
	fit       func([]Reading) (Result, error)
	judged    []string // parameters whose truth the model speaks of
}

func schemes() []scheme {
	bounded := headTruth // born in the programme: first caught between 0.05 and 1.25 years
	bounded.age = func(rng *rand.Rand) float64 { return 0.05 + 1.2*rng.Float64() }
	old := headTruth // a mixture no normal distribution is near
	old.age = func(rng *rand.Rand) float64 {
		if rng.IntN(2) == 0 {
			return 2 + 3*rng.Float64()
		}
		return headTruth.age(rng)
	}
	return []scheme{
		{"ages known, asymptotes of the animals' own", bounded, true, func(d []Reading) (Result, error) {
			return Known(d, KnownOptions{Form: "von Bertalanffy", Random: true})
		}, []string{"A", "k", "t0", "asymptote sd", "residual sd"}},
		{"ages known, one curve for all", bounded, true, func(d []Reading) (Result, error) {
			return Known(d, KnownOptions{Form: "von Bertalanffy"})
		}, []string{"A", "k", "t0"}},
		{"ages unknown, asymptotes of the animals' own", headTruth, false, func(d []Reading) (Result, error) { return Approach(d, 0) },
			[]string{"A", "k", "asymptote sd", "residual sd"}},
		{"ages unknown, asymptotes of the animals' own, technical error supplied", headTruth, false, func(d []Reading) (Result, error) { return Approach(d, headTruth.reading) },
			[]string{"A", "k", "asymptote sd"}},
		{"ages unknown, asymptotes of the animals' own, half first caught full-grown", old, false, func(d []Reading) (Result, error) { return Approach(d, 0) },
			[]string{"A", "k", "asymptote sd", "residual sd"}},
		{"Fabens", headTruth, false, Fabens, []string{"A", "k"}},
		{"Francis, variability and error", headTruth, false, func(d []Reading) (Result, error) {
			return Francis(d, FrancisOptions{Variability: true})
		}, []string{"A", "k"}},
	}
}

// truths of what the models estimate, by name.
func (w truth) values() map[string]float64 {
	return map[string]float64{"A": w.asymptote, "k": w.rate, "t0": w.t0, "asymptote sd": w.own, "residual sd": w.reading}
}

// A tally is how one parameter came out.
type tally struct {
	n, sum, squares, se float64
	within, lost        float64
}

func (s scheme) run(t *testing.T, animals, times int) (names []string, tallies map[string]*tally, failed int, each time.Duration) {
	t.Helper()
	begun := time.Now()
	done, err := fit.Repeat(context.Background(), fit.Replication{Replicates: times, Seed: seed}, func(rng *rand.Rand) ([]fit.Estimate, error) {
		r, err := s.fit(s.truth.grown(animals, s.agesKnown, rng))
		return r.Estimates, err
	})
	if err != nil {
		t.Fatal(err)
	}
	tallies = map[string]*tally{}
	truths := s.truth.values()
	for _, estimates := range done.Values {
		for _, e := range estimates {
			want := truths[e.Name]
			if !slices.Contains(s.judged, e.Name) {
				continue
			}
			c := tallies[e.Name]
			if c == nil {
				c = &tally{}
				tallies[e.Name] = c
				names = append(names, e.Name)
			}
			if e.Status != fit.Estimable {
				c.lost++
				continue
			}
			c.n++
			c.sum += e.Value - want
			c.squares += (e.Value - want) * (e.Value - want)
			c.se += e.SE
			if e.Lower <= want && want <= e.Upper {
				c.within++
			}
		}
	}
	return names, tallies, done.Failed, time.Since(begun) / time.Duration(times)
}

func TestSimulations(t *testing.T) {
	if *replicates == 0 {
		_, tallies, failed, _ := schemes()[0].run(t, 100, 60)
		a := tallies["A"]
		if failed > 0 || a.within < 50 || math.Abs(a.sum/a.n) > a.se/a.n {
			t.Errorf("of 60 replicates %d failed and %v intervals held A, mean error %v", failed, a.within, a.sum/a.n)
		}
		return
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\n| fitted | animals | of | mean error | in SE ± MC | 95 %% intervals that hold the truth ± MC | no error given |\n|---|---|---|---|---|---|---|\n")
	for _, s := range schemes() {
		for _, animals := range []int{30, 100, 300} {
			names, tallies, failed, each := s.run(t, animals, *replicates)
			for _, name := range names {
				c := tallies[name]
				mean := c.sum / c.n
				sd := math.Sqrt(c.squares/c.n - mean*mean)
				share := c.within / c.n
				fmt.Fprintf(&b, "| %s | %d | %s | %+.4f | %+.3f ± %.3f | %.1f %% ± %.1f | %.0f |\n", s.name, animals, name, mean,
					mean/sd, 1/math.Sqrt(c.n), 100*share, 100*math.Sqrt(share*(1-share)/c.n), c.lost)
			}
			fmt.Printf("%s, %d animals: %v each, %d failed\n", s.name, animals, each, failed)
		}
	}
	fmt.Println(b.String())
}
