package abundance_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"dawnround/abundance"
	"dawnround/fit"
)

// parse reads histories written in a row.
func parse(t *testing.T, text string) abundance.Histories {
	t.Helper()
	var h abundance.Histories
	for _, word := range strings.Fields(text) {
		caught, err := abundance.ParseHistory(word)
		if err != nil {
			t.Fatal(err)
		}
		h.Caught = append(h.Caught, caught)
	}
	return h
}

// TestHopelessCases: data that settle little or nothing are answered calmly,
// and the answer says what is missing.
func TestHopelessCases(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name, histories string
		model           abundance.Model
		n               float64 // 0 where N is not estimable
		status          fit.Status
		lower, upper    float64 // profile interval; upper 0 is without limit
		says            string
	}{
		{"everybody once", "1000 0100 0010 0001 0100", abundance.Model{}, 0, fit.NotEstimable, 5.81, 0, "no animal was caught twice"},
		{"everybody once, given caught", "1000 0100 0010 0001 0100", abundance.Model{Conditional: true}, 0, fit.NotEstimable, 0, 0, "no animal was caught twice"},
		{"nobody again, new ones falling", "1000 1000 1000 1000 1000 0100 0100 0100 0010 0010 0010 0001", abundance.Model{Detect: []string{"after-capture"}}, 12.69, fit.Estimable, 12, 74.99, "no animal was caught twice"},
		{"new ones rising", "0001 0001 0001 0010 0011 0100", abundance.Model{Detect: []string{"after-capture"}}, 0, fit.NotEstimable, 6.16, 0, "not estimable under this model"},
		{"one night", "1 1 1", abundance.Model{}, 0, fit.NotEstimable, 3, 0, "one night cannot tell"},
		{"two animals", "101 011", abundance.Model{}, 2, fit.AtBoundary, 2, 3.84, "the model leaves no room"},
		{"one animal", "100", abundance.Model{}, 1, fit.AtBoundary, 1, 0, "no animal was caught twice"},
		{"everybody every night", "111 111 111", abundance.Model{}, 3, fit.AtBoundary, 3, 3.2, "the model leaves no room"},
		{"everybody every night, given caught", "111 111 111", abundance.Model{Conditional: true}, 3, fit.AtBoundary, 0, 0, "the model leaves no room"},
		{"nobody", "000 000", abundance.Model{}, 0, fit.NotEstimable, 0, 0, "no animal was caught"},
		{"kinds without a difference", "110 011 101 110", abundance.Model{Detect: []string{"mixture:2"}}, 4, fit.AtBoundary, 4, 0, "not estimable from these data: share"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r, err := abundance.Fit(parse(t, c.histories), c.model)
			if err != nil {
				t.Fatal(err)
			}
			if r.N.Status != c.status || c.n != 0 && math.Abs(r.N.Value-c.n) > 0.01 {
				t.Errorf("N %+v, want %g, %v", r.N, c.n, c.status)
			}
			lower, upper, ok := r.ProfileN()
			if ok != (c.lower != 0) || ok && math.Abs(lower-c.lower) > 0.01 {
				t.Errorf("profile %g to %g (%v), want from %g", lower, upper, ok, c.lower)
			}
			if ok && (c.upper == 0) != math.IsInf(upper, 1) || c.upper != 0 && math.Abs(upper-c.upper) > 0.05 {
				t.Errorf("profile up to %g, want %g (0: without limit)", upper, c.upper)
			}
			if !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, c.says) }) {
				t.Errorf("warnings %q, want one with %q", r.Warnings, c.says)
			}
		})
	}
}

// TestNAtTheNumberCaught: the deer mice (Otis et al. 1978) under constant and
// nightly detection; the whole-number estimate there is 38 too.
func TestNAtTheNumberCaught(t *testing.T) {
	t.Parallel()
	for _, detect := range [][]string{nil, {"occasion"}} {
		r := fitted(t, nightCounts(t, "deermice"), abundance.Model{Detect: detect})
		if r.N.Status != fit.AtBoundary || math.Abs(r.N.Value-38) > 1e-6 || r.N.Lower != 38 || !(r.N.Upper > 39 && r.N.Upper < 40) {
			t.Errorf("%v: %+v", detect, r.N)
		}
		for _, d := range r.Detection {
			if d.Status != fit.Estimable {
				t.Errorf("%v: %+v", detect, d)
			}
		}
	}
}

// TestClosedFormsOnLittle: the handbook estimators on next to nothing.
func TestClosedFormsOnLittle(t *testing.T) {
	t.Parallel()
	say := func(what string, err error, n fit.Estimate, warnings []string, estimable bool) {
		t.Helper()
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
		if (n.Status == fit.Estimable) != estimable || estimable && math.IsNaN(n.Value) || len(warnings) == 0 {
			t.Errorf("%s: %+v, warnings %q", what, n, warnings)
		}
	}
	chapman, err := abundance.Chapman(abundance.TwoSample{Marked: 4, Caught: 3})
	say("Chapman without recaptures", err, chapman.N, chapman.Warnings, true)
	chapman, err = abundance.Chapman(abundance.TwoSample{})
	say("Chapman of nothing", err, chapman.N, chapman.Warnings, false)
	petersen, err := abundance.Petersen(abundance.TwoSample{Marked: 4, Caught: 3})
	say("ratio without recaptures", err, petersen.N, petersen.Warnings, false)
	schnabel, err := abundance.Schnabel([]abundance.Census{{Caught: 3}, {Caught: 2, AtLarge: 3}})
	say("Schnabel without recaptures", err, schnabel.N, schnabel.Warnings, false)
	schumacher, err := abundance.Schumacher([]abundance.Census{{Caught: 3}, {Caught: 2, Recaught: 1, AtLarge: 3}})
	say("Schumacher of two occasions", err, schumacher.N, schumacher.Warnings, true)
	jackknife, err := abundance.JackknifeN(abundance.Frequencies{Nights: 3, Animals: []int{5}})
	say("jackknife of singles", err, jackknife.N, jackknife.Warnings, true)
	jackknife, err = abundance.JackknifeN(abundance.Frequencies{Nights: 1, Animals: []int{1}})
	say("jackknife of one night", err, jackknife.N, jackknife.Warnings, true)
	jackknife, err = abundance.JackknifeN(abundance.Frequencies{Nights: 3})
	say("jackknife of nothing", err, jackknife.N, jackknife.Warnings, false)
	chao, err := abundance.ChaoN(abundance.Frequencies{Nights: 3, Animals: []int{5}})
	say("Chao of singles", err, chao.N, chao.Warnings, true)
	chao, err = abundance.ChaoN(abundance.Frequencies{Nights: 3})
	say("Chao of nothing", err, chao.N, chao.Warnings, false)
	coverage, err := abundance.SampleCoverage(abundance.Frequencies{Nights: 2, Animals: []int{3}}, []int{2, 1})
	say("coverage of singles", err, coverage.N, coverage.Warnings, false)
	removal, err := abundance.Remove(abundance.Removals{Taken: []int{3, 8, 12}})
	say("removal that grows", err, removal.N, removal.Warnings, false)
	if !(removal.N.Lower > 23) || !math.IsInf(removal.N.Upper, 1) {
		t.Errorf("removal that grows: a lower end can still be known: %+v", removal.N)
	}
	w, err := abundance.WholeBehaviour(abundance.NightCounts{Caught: []int{1, 5, 9}, New: []int{1, 5, 9}})
	if err != nil || !w.Open || w.String() != "not estimable" {
		t.Errorf("whole animals without limit: %v, %v", w, err)
	}
}

func TestWhatCannotGoTogether(t *testing.T) {
	t.Parallel()
	h := parse(t, "110 011")
	h.Columns = map[string][]float64{"weight": {20, math.NaN()}}
	cases := []struct {
		data  abundance.Data
		model abundance.Model
		want  string
	}{
		{abundance.Histories{}, abundance.Model{}, "no histories: give at least one night and one animal"},
		{abundance.Histories{Caught: [][]bool{{true}, {true, false}}}, abundance.Model{}, "history 2 has 2 nights, the first has 1: give every history the same nights"},
		{h, abundance.Model{Detect: []string{"weight"}}, "weight of history 2 is missing: leave that one out, or put in the mean and say so"},
		{covariates(t), abundance.Model{Detect: []string{"weight"}}, "weight differs between animals, and that of those never caught is not known: use the conditional likelihood"},
		{frequencies(t, "hare"), abundance.Model{Detect: []string{"occasion"}}, `effect "occasion": no such effect here; these data know constant`},
		{nightCounts(t, "hare"), abundance.Model{Detect: []string{"mixture:2"}}, "a mixture needs to know how often each animal was caught; nightly totals do not tell"},
		{frequencies(t, "hare"), abundance.Model{Detect: []string{"mixture:9"}}, `"mixture:9": expected mixture:2 to mixture:5`},
		{abundance.Frequencies{Nights: 2, Animals: []int{1, 1, 1}}, abundance.Model{}, "1 animals caught 3 times in 2 nights: expected 0 or more, on at most that many nights"},
		{abundance.NightCounts{Caught: []int{3, 4}, New: []int{3, 0}}, abundance.Model{}, "night 2: 4 caught, 0 of them new, 3 known before: these cannot go together"},
		{abundance.Removals{Taken: []int{3, -1}}, abundance.Model{}, "night 2: -1 removed: expected 0 or more"},
	}
	for _, c := range cases {
		if _, err := abundance.Fit(c.data, c.model); err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
	if _, err := abundance.Evaluate(frequencies(t, "hare"), abundance.Model{}, abundance.Fixed{N: []float64{60}, Detection: []float64{0.3}}); err == nil || err.Error() != "60 for N, but 68 animals were caught: expected that many or more" {
		t.Error(err)
	}
	if _, err := abundance.ParseHistory("0120"); err == nil || err.Error() != `history "0120": '2' on night 3: expected 0 or 1` {
		t.Error(err)
	}
}

// FuzzParseHistory: whatever is read has one night for each sign, and no other
// sign is read.
func FuzzParseHistory(f *testing.F) {
	for _, seed := range []string{"010011", "", "2", "0 1", "０"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		caught, err := abundance.ParseHistory(text)
		if (err == nil) != (strings.Trim(text, "01") == "") {
			t.Errorf("%q: %v", text, err)
		}
		if err == nil && len(caught) != len(text) {
			t.Errorf("%q: %d nights", text, len(caught))
		}
	})
}
