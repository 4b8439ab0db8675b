package survival_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dawnround/abundance"
	"dawnround/fit"
	"dawnround/survival"

	"pgregory.net/rapid"
)

func with(m survival.Model, population survival.Population, effects ...string) survival.Model {
	m.Population, m.Populate = population, effects
	return m
}

// TestThreeWaysOfComing: with full time dependence, entry given how many were
// caught, growth and seniority are one model in other words, and reach the same
// likelihood; the superpopulation and its number follow from it.
func TestThreeWaysOfComing(t *testing.T) {
	t.Parallel()
	h := dippers(t)
	h.Group = nil
	m := model("occasion", "")
	entry := with(m, survival.Entry, "occasion")
	entry.GivenCaught = true
	given := fitted(t, h, entry)
	for _, population := range []survival.Population{survival.Growth, survival.Seniority} {
		r := fitted(t, h, with(m, population, "occasion"))
		if math.Abs(r.Fit.Minus2LnL-given.Fit.Minus2LnL) > 1e-5 {
			t.Errorf("%s: −2 ln L %.7f, entry's %.7f", population, r.Fit.Minus2LnL, given.Fit.Minus2LnL)
		}
		// What entered is what growth adds to survival.
		for i := 1; i < 6; i++ {
			growth := r.Populated[3*i].Value
			if want := given.N[i+1].Value / given.N[i].Value; math.Abs(growth-want) > 1e-3*want {
				t.Errorf("%s: growth %s %g, N rises by %g", population, r.Populated[3*i].Name, growth, want)
			}
		}
	}
	full := fitted(t, h, with(m, survival.Entry, "occasion"))
	a, b := named(t, full.Populated, "superpopulation"), named(t, given.Populated, "superpopulation")
	if math.Abs(a.Value-b.Value) > 0.02*a.Value || math.Abs(a.SE-b.SE) > 0.05*a.SE || a.Lower < 294 {
		t.Errorf("superpopulation %+v, given caught %+v", a, b)
	}
}

// TestLossesAreAnimalsStillCounted: animals that came in known shares, grew and
// were taken away; both models of them say the same.
func TestLossesAreAnimalsStillCounted(t *testing.T) {
	t.Parallel()
	h := living(rand.New(rand.NewPCG(5, 1)), 6, 120, 0.7, 0.5, 0)
	rng := rand.New(rand.NewPCG(5, 2))
	for range 120 {
		h.Caught = append(h.Caught, []int{0, 0, 0, 0, 0, 1})
	}
	for i := range h.Caught {
		// Whoever came in had to be caught to be known: the first capture is as
		// chancy as the others.
		for j, state := range h.Caught[i] {
			if state > 0 {
				h.Caught[i][j] = rng.IntN(2)
				break
			}
		}
		h.Lost = append(h.Lost, false)
		if j := slices.Index(h.Caught[i], 1); j >= 0 && rng.IntN(4) == 0 {
			clear(h.Caught[i][j+1:])
			h.Lost[i] = true
		}
	}
	entry := with(model("", ""), survival.Entry, "occasion")
	entry.GivenCaught = true
	a, b := fitted(t, h, entry), fitted(t, h, with(model("", ""), survival.Growth, "occasion"))
	if math.Abs(a.Fit.Minus2LnL-b.Fit.Minus2LnL) > 1e-4 {
		t.Errorf("−2 ln L of entry %.6f, of growth %.6f", a.Fit.Minus2LnL, b.Fit.Minus2LnL)
	}
	super := named(t, a.Populated, "superpopulation")
	if super.Lower > 720 || super.Upper < 720 || math.Abs(a.Survival[0].Value-0.7) > 3*a.Survival[0].SE {
		t.Errorf("superpopulation of 720: %+v; survival of 0.7: %+v", super, a.Survival[0])
	}
}

// TestPopulationsByGroup: two groups that share nothing are two fits.
func TestPopulationsByGroup(t *testing.T) {
	t.Parallel()
	h := dippers(t)
	for _, m := range []survival.Model{with(model("", ""), survival.Entry, "occasion"), with(model("", ""), survival.Growth)} {
		apart := m
		apart.Survive, apart.Detect, apart.Populate = []string{"group"}, []string{"group"}, []string{"group"}
		if m.Population == survival.Entry {
			apart.Populate = []string{"group*occasion"}
		}
		both := fitted(t, h, apart)
		sum := fitted(t, of(h, "female"), m).Fit.Minus2LnL + fitted(t, of(h, "male"), m).Fit.Minus2LnL
		if math.Abs(both.Fit.Minus2LnL-sum) > 1e-4 {
			t.Errorf("%v: −2 ln L %g, the groups' %g", m, both.Fit.Minus2LnL, sum)
		}
	}
}

// TestOneNightIsAnOccasion: the robust design with one night in each period is
// the single-state model.
func TestOneNightIsAnOccasion(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := drawn(t, nil)
		r := survival.Robust{Histories: h}
		for i := range h.Caught[0] {
			r.Period = append(r.Period, i+1)
		}
		x := parameters(t, 4)
		// Occasions are counted from the first in one, which knows no detection
		// then, and periods in the other, so the effects are by time alone.
		alike(t, "occasions and periods", evaluate(t, h, model("trend", "trend"), x), evaluate(t, r, model("trend", "trend"), x))
	})
}

// TestOnePeriodIsClosed: the nights of a single period are a closed population,
// whose number the conditional likelihood gives, and tell nothing of survival.
func TestOnePeriodIsClosed(t *testing.T) {
	t.Parallel()
	h := voles(t)
	var closed abundance.Histories
	alone := survival.Robust{Histories: survival.Histories{Count: h.Count}}
	for i, caught := range h.Caught {
		nights := caught[:5]
		closed.Caught = append(closed.Caught, make([]bool, 5))
		for night, state := range nights {
			closed.Caught[i][night] = state > 0
		}
		alone.Caught = append(alone.Caught, nights)
	}
	closed.Count, alone.Period = h.Count, []int{1, 1, 1, 1, 1}
	want, err := abundance.Fit(closed, abundance.Model{Detect: []string{"occasion", "after-capture"}, Conditional: true})
	if err != nil {
		t.Fatal(err)
	}
	got := fitted(t, alone, model("", "occasion,after-capture"))
	if math.Abs(got.N[0].Value-want.N.Value) > 1e-4 || math.Abs(got.N[0].SE-want.N.SE) > 1e-3 || math.Abs(got.Fit.Minus2LnL-want.Fit.Minus2LnL) > 1e-6 {
		t.Errorf("N %+v, closed %+v", got.N[0], want.N)
	}
	if got.Survival[0].Status != fit.NotEstimable {
		t.Errorf("%+v", got.Survival)
	}
}

// TestAwayAgainstEveryHiddenLife: the robust design with animals away is the sum
// over every life they could have led, night by night.
func TestAwayAgainstEveryHiddenLife(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		periods := rapid.IntRange(2, 4).Draw(t, "periods")
		var r survival.Robust
		for period := range periods {
			for range rapid.IntRange(1, 3).Draw(t, "nights") {
				r.Period = append(r.Period, period+1)
			}
		}
		n := len(r.Period)
		r.Caught = append(r.Caught, slices.Repeat([]int{1}, n))
		for range rapid.IntRange(1, 6).Draw(t, "animals") {
			r.Caught = append(r.Caught, rapid.SliceOfN(rapid.IntRange(0, 1), n, n).Draw(t, "history"))
		}
		chance := rapid.SliceOfN(rapid.Float64Range(0.05, 0.95), 4, 4).Draw(t, "chances")
		m := survival.Model{Emigration: survival.Markov}
		got, err := survival.Evaluate(r, m, survival.Fixed{"survival": chance[:1], "detection": chance[1:2], "emigration": chance[2:]})
		if err != nil {
			t.Fatal(err)
		}
		want := 0.0
		for _, caught := range r.Caught {
			if slices.Contains(caught, 1) {
				want -= 2 * math.Log(livesAway(caught, r.Period, chance))
			}
		}
		alike(t, "engine and counting out", got, want)
	})
}

// livesAway is the chance of a history from its first capture on, given that the
// animal was caught in that period.
func livesAway(caught, period []int, chance []float64) float64 {
	phi, p := chance[0], chance[1]
	nights := func(at int, here bool) float64 {
		out := 1.0
		for night, state := range caught {
			switch {
			case period[night] != at:
			case state > 0 && here:
				out *= p
			case state > 0:
				return 0
			case here:
				out *= 1 - p
			}
		}
		return out
	}
	first := period[slices.Index(caught, 1)]
	later := func(at int) bool {
		for night, state := range caught {
			if state > 0 && period[night] > at {
				return true
			}
		}
		return false
	}
	var from func(at int, here bool) float64
	from = func(at int, here bool) float64 {
		if at == period[len(period)-1] {
			return 1
		}
		total := 0.0
		if !later(at) {
			total = 1 - phi
		}
		leaves := chance[3]
		if here {
			leaves = chance[2]
		}
		return total + phi*leaves*nights(at+1, false)*from(at+1, false) + phi*(1-leaves)*nights(at+1, true)*from(at+1, true)
	}
	n := 0
	for _, at := range period {
		if at == first {
			n++
		}
	}
	return nights(first, true) / (1 - math.Pow(1-p, float64(n))) * from(first, true)
}

// TestLittleOfPopulations: next to nothing is answered calmly.
func TestLittleOfPopulations(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"100 010", "111 111", "110 011 101", "1", "001", "000"} {
		for _, m := range []survival.Model{
			with(model("", ""), survival.Entry, "occasion"), with(model("", ""), survival.Growth), with(model("", ""), survival.Seniority),
		} {
			h := parse(t, text, nil)
			r, err := survival.Fit(h, m)
			if err != nil {
				t.Fatalf("%s, %v: %v", text, m, err)
			}
			calm(t, h, r)
			for _, e := range slices.Concat(r.Populated, r.N, r.Survival) {
				if e.Status == fit.Estimable && (math.IsNaN(e.Value) || math.IsInf(e.Value, 0)) {
					t.Errorf("%s, %v: %+v", text, m, e)
				}
			}
		}
		for _, emigration := range []survival.Emigration{survival.Stay, survival.Random, survival.Markov} {
			h := survival.Robust{Histories: parse(t, text, nil)}
			for i := range h.Caught[0] {
				h.Period = append(h.Period, i/2+1)
			}
			r, err := survival.Fit(h, survival.Model{Emigration: emigration})
			if err != nil {
				t.Fatalf("%s, %s: %v", text, emigration, err)
			}
			calm(t, h.Histories, r)
		}
	}
}

func TestWhatPopulationsCannotTake(t *testing.T) {
	t.Parallel()
	h := parse(t, "110 011", nil)
	nights := survival.Robust{Histories: h, Period: []int{1, 1, 2}}
	cases := []struct {
		data  survival.Data
		model survival.Model
		want  string
	}{
		{h, with(model("since-marking:2", ""), survival.Growth), "growth: survival since-marking speaks of marked animals only"},
		{marray(t, "bat"), with(model("", ""), survival.Entry), "entry: built for histories of one state with one occasion each"},
		{nights, with(model("", ""), survival.Entry), "entry: built for histories of one state with one occasion each"},
		{h, with(model("", ""), "birth"), `population "birth": expected none, entry, growth or seniority`},
		{h, survival.Model{Emigration: survival.Random}, "random emigration: give the nights of each primary period"},
		{nights, survival.Model{Emigration: "often"}, `emigration "often": expected none, random or markov`},
		{survival.Robust{Histories: h, Period: []int{1, 3, 3}}, model("", ""), "night 2 is in period 3: expected 1 or 2"},
		{survival.Robust{Histories: h, Period: []int{1, 2}}, model("", ""), "history 1 has 3 nights, the periods have 2"},
		{survival.Robust{Histories: h}, model("", ""), "no periods: say of every night"},
	}
	for _, c := range cases {
		if _, err := survival.Fit(c.data, c.model); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("got  %v\nwant %s…", err, c.want)
		}
	}
	if _, err := survival.Evaluate(h, with(model("", ""), survival.Entry), survival.Fixed{
		"survival": {0.5}, "detection": {0.5}, "entry": {0.4, 0.3, 0.3}, "N": {1},
	}); err == nil || err.Error() != "1 for N, but 2 animals were caught: expected that many or more" {
		t.Error(err)
	}
}
