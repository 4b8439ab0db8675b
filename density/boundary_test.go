package density_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dawnround/density"
	"dawnround/fit"
)

// grid is a trip of traps 15 m apart, named a, b, c … from the south-western
// corner eastwards, all open, in cells of 7.5 m up to 60 m away.
func grid(t testing.TB, across, up, nights int) density.Trip {
	t.Helper()
	var trip density.Trip
	for i := range across * up {
		trap := density.Trap{At: density.Point{X: 15 * float64(i%across), Y: 15 * float64(i/across)}}
		for range nights {
			trap.Open = append(trap.Open, 1)
		}
		trip.Traps = append(trip.Traps, trap)
	}
	space, err := density.Around(trip.Traps, 60, 7.5)
	if err != nil {
		t.Fatal(err)
	}
	trip.Space = space
	return trip
}

// lives reads animals written in a row, a letter for the trap on each night.
func lives(text string) []density.Animal {
	var out []density.Animal
	for word := range strings.FieldsSeq(text) {
		var a density.Animal
		for night, letter := range word {
			if letter != '.' {
				a.Caught = append(a.Caught, density.Capture{Night: night, Trap: int(letter - 'a')})
			}
		}
		out = append(out, a)
	}
	return out
}

// TestHopelessCases: data that settle little or nothing are answered calmly,
// and the answer says what is missing.
func TestHopelessCases(t *testing.T) {
	t.Parallel()
	binomial, conditional := density.Model{Count: density.Binomial}, density.Model{Count: density.Conditional}
	cases := []struct {
		name              string
		across, up        int
		animals           string
		model             density.Model
		d, detection, sig fit.Status
		says              string
	}{
		{"everybody once", 5, 5, "a... .g.. ..m. ...s c...", density.Model{}, fit.NotEstimable, fit.NotEstimable, fit.NotEstimable, "no animal was caught twice"},
		{"nobody elsewhere", 5, 5, "aa.. .gg. ..mm s..s cc..", density.Model{}, fit.NotEstimable, fit.AtBoundary, fit.NotEstimable, "at a second trap"},
		{"one night", 5, 5, "a g m s", density.Model{}, fit.NotEstimable, fit.NotEstimable, fit.NotEstimable, "no animal was caught twice"},
		{"two animals", 5, 5, "ab.. .gm.", density.Model{}, fit.Estimable, fit.Estimable, fit.Estimable, "animals caught: only 2"},
		{"two animals, number fixed", 5, 5, "ab.. .gm.", binomial, fit.Estimable, fit.Estimable, fit.Estimable, "animals caught: only 2"},
		{"one animal", 5, 5, "ab..", density.Model{}, fit.Estimable, fit.Estimable, fit.Estimable, "recaptures at another trap: only 1"},
		{"a line", 12, 1, "ab.. .gf. ..hi a.b. cd.. .jk. ..l. .ef.", density.Model{}, fit.Estimable, fit.Estimable, fit.Estimable, "the traps stand in a line"},
		{"all at one trap of many", 5, 5, "mm.. .mm. m..m m... .mmm", density.Model{}, fit.NotEstimable, fit.AtBoundary, fit.NotEstimable, "at a second trap"},
		{"one trap", 1, 1, "aa.. .aa. a..a a... .aaa", density.Model{}, fit.NotEstimable, fit.Estimable, fit.NotEstimable, "all traps stand at one place"},
		{"everybody everywhere", 5, 5, "amyx ycwa sagl afym", density.Model{}, fit.NotEstimable, fit.AtBoundary, fit.NotEstimable, "σ has no upper limit"},
		{"always caught", 5, 5, "gmgm gggm mmlm ssss hhhi", density.Model{}, fit.Estimable, fit.AtBoundary, fit.Estimable, "at the end of the range: detection"},
		{"always caught, given that", 5, 5, "gmgm gggm mmlm ssss hhhi", conditional, fit.Estimable, fit.AtBoundary, fit.Estimable, "at the end of the range: detection"},
		{"nobody", 5, 5, "", density.Model{}, fit.NotEstimable, fit.NotEstimable, fit.NotEstimable, "no animal was caught: there is nothing"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			nights := 4
			if word, _, _ := strings.Cut(c.animals, " "); word != "" {
				nights = len(word)
			}
			trip := grid(t, c.across, c.up, nights)
			trip.Animals = lives(c.animals)
			r, err := density.Fit(t.Context(), density.Survey{trip}, c.model, density.Options{})
			if err != nil {
				t.Fatal(err)
			}
			status := func(all []fit.Estimate) fit.Status {
				if len(all) == 0 {
					return fit.NotEstimable
				}
				return all[0].Status
			}
			if r.D.Status != c.d || status(r.Detection) != c.detection || status(r.Sigma) != c.sig {
				t.Errorf("D %v, detection %v, σ %v: want %v, %v, %v", r.D, r.Detection, r.Sigma, c.d, c.detection, c.sig)
			}
			if n := r.Populations[0].N; n.Status == fit.Estimable && !(n.Value >= float64(r.Caught) && n.Lower >= float64(r.Caught) && n.Upper > n.Value) {
				t.Errorf("N %+v of %d caught", n, r.Caught)
			}
			warned(t, r, c.says)
			calm(t, r)
		})
	}
}

func warned(t *testing.T, r density.Result, says string) {
	t.Helper()
	if !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, says) }) {
		t.Errorf("warnings %q, want one with %q", r.Warnings, says)
	}
}

// calm: nothing that follows a fit panics, or writes NaN where a reader looks.
func calm(t *testing.T, r density.Result) {
	t.Helper()
	for _, value := range r.Surface(0) {
		if !(value >= 0) || math.IsInf(value, 0) {
			t.Fatalf("a surface of %g", value)
		}
	}
	for _, c := range r.Centres(0) {
		if math.IsNaN(c.At.X) || math.IsNaN(c.SpreadM) {
			t.Errorf("%+v", c)
		}
	}
	if _, err := json.Marshal(r); err != nil {
		t.Error(err)
	}
}

// TestTwoEqualMaxima: a female and a male caught alike, and animals of unknown
// sex of which some are caught often: which sex they are, nothing tells.
func TestTwoEqualMaxima(t *testing.T) {
	t.Parallel()
	trip := grid(t, 5, 5, 8)
	trip.Animals = lives("m.n.h... m.n.h...")
	trip.Animals[0].Group, trip.Animals[1].Group = "female", "male"
	rng := rand.New(rand.NewPCG(2, 2))
	for i := range 90 {
		at := trip.Space.Cells[rng.IntN(len(trip.Space.Cells))]
		if a, ok := lived(trip, density.Multi, at, []float64{0.05, 0.6}[i%2], 15, rng); ok {
			trip.Animals = append(trip.Animals, a)
		}
	}
	r := fitted(t, density.Survey{trip}, density.Model{Detect: []string{"group"}})
	warned(t, r, "two maxima are equally high")
	calm(t, r)
}

// TestEverywhereInAFence: where movement knows no distance a fence still tells
// the area, and the animals in it are counted as in a closed population.
func TestEverywhereInAFence(t *testing.T) {
	t.Parallel()
	trip := grid(t, 5, 5, 4)
	trip.Animals = lives("amyx ycwa sagl afym ..a. m..y .c..")
	space, err := density.Within([][]density.Point{{{X: -8, Y: -8}, {X: 68, Y: -8}, {X: 68, Y: 68}, {X: -8, Y: 68}}}, 4)
	if err != nil {
		t.Fatal(err)
	}
	trip.Space = space
	for _, count := range []density.Count{density.Poisson, density.Binomial} {
		r := fitted(t, density.Survey{trip}, density.Model{Count: count})
		if n := r.Populations[0].N; !r.Boundless || !(r.D.Value >= 7/space.AreaHa()) || !(n.Value < 8 && n.Lower >= 7 && n.Upper > n.Value && n.Upper < 9) {
			t.Errorf("%v: %v, %+v", count, r.D, r.Populations[0])
		}
		calm(t, r)
	}
}

// TestNAtTheNumberCaught: animals that are all caught every night, in a fence
// that holds no more.
func TestNAtTheNumberCaught(t *testing.T) {
	t.Parallel()
	trip := grid(t, 5, 5, 4)
	trip.Animals = lives("amyx ycwa sagl afym bnxl")
	space, err := density.Within([][]density.Point{{{X: -8, Y: -8}, {X: 68, Y: -8}, {X: 68, Y: 68}, {X: -8, Y: 68}}}, 4)
	if err != nil {
		t.Fatal(err)
	}
	trip.Space = space
	r := fitted(t, density.Survey{trip}, density.Model{Count: density.Binomial})
	if n := r.Populations[0].N; n.Status != fit.AtBoundary || n.Value != 5 || n.Lower != 5 {
		t.Errorf("N %+v", n)
	}
	calm(t, r)
}

// TestGuards: what the traps cannot tell is said.
func TestGuards(t *testing.T) {
	t.Parallel()
	animals := invented(t, density.Multi, 60, rand.New(rand.NewPCG(1, 1))).Animals
	fit := func(change func(*density.Trip), m density.Model) density.Result {
		trip := grid(t, 5, 5, 4)
		trip.Animals = slices.Clone(animals)
		change(&trip)
		return fitted(t, density.Survey{trip}, m)
	}
	around := func(margin, side float64) func(*density.Trip) {
		return func(trip *density.Trip) {
			space, err := density.Around(trip.Traps, margin, side)
			if err != nil {
				t.Fatal(err)
			}
			trip.Space = space
		}
	}
	warned(t, fit(around(12, 3), density.Model{}), "the margin is too narrow")
	warned(t, fit(around(60, 20), density.Model{}), "cells of 20 m are wider than σ")
	warned(t, fit(func(trip *density.Trip) { trip.Space.Cells = trip.Space.Cells[:len(trip.Space.Cells)/2] }, density.Model{}), "stands outside the state space")
	warned(t, fit(func(trip *density.Trip) { trip.Space.MarginM = 0; trip.Space.Cells = inner(trip.Space.Cells) }, density.Model{}), "an animal living at the edge")
	wide := grid(t, 5, 5, 4)
	rng, roaming := rand.New(rand.NewPCG(1, 2)), []density.Animal{}
	for range 60 {
		if a, ok := lived(wide, density.Multi, wide.Space.Cells[rng.IntN(len(wide.Space.Cells))], 0.2, 30, rng); ok {
			roaming = append(roaming, a)
		}
	}
	warned(t, fit(func(trip *density.Trip) { trip.Animals = roaming }, density.Model{}), "the traps span")

	single := density.Model{Traps: density.Single}
	warned(t, fit(around(60, 7.5), single), "are not told, so it was more): low enough")
	sprung := func(trip *density.Trip) {
		for k := range trip.Traps {
			taken := make([]bool, 4)
			taken[0], taken[2] = true, k%2 == 0
			trip.Taken = append(trip.Taken, taken)
		}
	}
	r := fit(sprung, single)
	warned(t, r, "with two animals or more in one trap")
	warned(t, r, "above 0.5, where multi-catch traps can no longer stand in")
	if s := r.Array.Saturation; !(s > 0.5 && s < 0.7) {
		t.Errorf("saturation %g", s)
	}
}

// inner keeps the cells near the traps.
func inner(cells []density.Point) []density.Point {
	return slices.DeleteFunc(slices.Clone(cells), func(c density.Point) bool { return c.X < -5 || c.Y < -5 || c.X > 65 || c.Y > 65 })
}

// TestWrongSurveys: what cannot be is refused, with its place.
func TestWrongSurveys(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		change func(*density.Trip)
		model  density.Model
		want   string
	}{
		{func(trip *density.Trip) { trip.Traps = nil }, density.Model{}, "no traps, or no nights"},
		{func(trip *density.Trip) { trip.Traps[3].Open = trip.Traps[3].Open[:2] }, density.Model{}, `trap "4" has 2 nights`},
		{func(trip *density.Trip) { trip.Traps[3].Open[1] = math.NaN() }, density.Model{}, "an effort of NaN"},
		{func(trip *density.Trip) { trip.Traps[3].At.X = math.Inf(1) }, density.Model{}, "stands nowhere"},
		{func(trip *density.Trip) { trip.Animals[0].Caught = nil }, density.Model{}, "was never caught"},
		{func(trip *density.Trip) { trip.Animals[0].Caught[0].Trap = 25 }, density.Model{}, "there are 4 nights and 25 traps"},
		{func(trip *density.Trip) { trip.Traps[0].Open[0] = 0 }, density.Model{}, "that trap was not open then"},
		{func(trip *density.Trip) { trip.Animals[0].Caught[1].Night = 0 }, density.Model{}, "leaves it no second"},
		{func(trip *density.Trip) { trip.Taken = make([][]bool, 3) }, density.Model{}, "tell it for each"},
		{func(trip *density.Trip) { trip.Columns = map[string][]float64{"cover": {1}} }, density.Model{}, "give one for each trap"},
		{func(trip *density.Trip) { trip.Space.Cells = nil }, density.Model{}, "has no cells"},
		{func(trip *density.Trip) { trip.Space.Cells[1] = trip.Space.Cells[0] }, density.Model{}, "is there twice"},
		{func(trip *density.Trip) {}, density.Model{Detect: []string{"group"}}, "0 known groups"},
		{func(trip *density.Trip) {}, density.Model{Detect: []string{"colour"}}, "no such effect here; these data know constant, after-capture, occasion, trend"},
		{func(trip *density.Trip) {}, density.Model{Density: []string{"grass"}}, "no such effect here; these data know constant, x, y"},
	} {
		trip := grid(t, 5, 5, 4)
		trip.Animals = lives("ab.. .gm.")
		c.change(&trip)
		if _, err := density.Fit(t.Context(), density.Survey{trip}, c.model, density.Options{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want …%s…", err, c.want)
		}
	}
}

// TestStopped: a fit that is ended early says how far it came.
func TestStopped(t *testing.T) {
	t.Parallel()
	trip := grid(t, 5, 5, 4)
	trip.Animals = lives("ab.. .gm. h.i.")
	ctx, stop := context.WithCancel(t.Context())
	_, err := density.Fit(ctx, density.Survey{trip}, density.Model{}, density.Options{Progress: func(n int) {
		if n == 5 {
			stop()
		}
	}})
	var stopped *density.Stopped
	if !errors.As(err, &stopped) || stopped.Evaluations != 5 || !(stopped.Minus2LnL > 0) || !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}
