package survival_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"dawnround/fit"
	"dawnround/survival"
)

// parse reads histories written in a row.
func parse(t *testing.T, text string, states []string) survival.Histories {
	t.Helper()
	h := survival.Histories{States: states}
	for _, word := range strings.Fields(text) {
		caught, err := survival.ParseHistory(word, states)
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
		model           survival.Model
		survival        fit.Status // of the first
		detection       fit.Status
		says            string
	}{
		{"nobody again", "100 010 001", model("", ""), fit.NotEstimable, fit.AtBoundary, "nobody was caught again"},
		{"nobody again, by occasion", "1000 0100 0010", model("occasion", "occasion"), fit.AtBoundary, fit.NotEstimable, "nobody was caught again"},
		{"one occasion", "1 1", model("", ""), fit.NotEstimable, fit.NotEstimable, "no animal was released before the last occasion"},
		{"nobody at all", "000 000", model("", ""), fit.NotEstimable, fit.NotEstimable, "no animal was released"},
		{"two occasions", "11 10 11", model("", ""), fit.NotEstimable, fit.NotEstimable, "two occasions tell only how many came back"},
		{"two animals, all alive", "111 101", model("", ""), fit.AtBoundary, fit.Estimable, "at the end of the range: survival constant"},
		{"everybody always", "111 111 111", model("", ""), fit.AtBoundary, fit.AtBoundary, "only 6 recaptures"},
		{"three unknowns, two numbers", "110 110 100 101 011 010", model("", "after-capture"), fit.NotEstimable, fit.NotEstimable, "not estimable from these data"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			h := parse(t, c.histories, nil)
			r, err := survival.Fit(h, c.model)
			if err != nil {
				t.Fatal(err)
			}
			if r.Survival[0].Status != c.survival || r.Detection[0].Status != c.detection {
				t.Errorf("survival %v, detection %v: want %v, %v", r.Survival[0].Status, r.Detection[0].Status, c.survival, c.detection)
			}
			if !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, c.says) }) {
				t.Errorf("warnings %q, want one with %q", r.Warnings, c.says)
			}
			calm(t, h, r)
		})
	}
}

// calm: nothing that follows a fit panics, or writes NaN where a reader looks.
func calm(t *testing.T, h survival.Histories, r survival.Result) {
	t.Helper()
	if p := r.ProfileSurvival(0); !(p.Lower >= 0 && p.Upper <= 1 && p.Lower < p.Upper) {
		t.Errorf("profile %+v", p)
	}
	g, err := survival.Tests(h)
	if err != nil || g.CHat < 1 || len(g.Warnings) == 0 {
		t.Errorf("%+v, %v", g, err)
	}
	s, err := h.Samples()
	if err != nil {
		t.Fatal(err)
	}
	for _, value := range []any{r, g, s.JollySeber(), s.JollySeberAdjusted()} {
		if _, err := json.Marshal(value); err != nil {
			t.Errorf("%T: %v", value, err)
		}
	}
}

// TestSurvivalAtOne: an interval of the capsid bugs (Jolly 1965) over which the
// closed form gives more than 1; the likelihood stops there, and the profile
// still says how low survival may have been.
func TestSurvivalAtOne(t *testing.T) {
	t.Parallel()
	r := fitted(t, marray(t, "capsid"), model("occasion", "occasion"))
	second := r.Survival[1]
	if second.Status != fit.AtBoundary || second.Value < 0.999 || !math.IsNaN(second.SE) {
		t.Errorf("%+v", second)
	}
	p := r.ProfileSurvival(1)
	if p.Upper != 1 || !(p.Lower > 0.75 && p.Lower < 0.95) || p.Better {
		t.Errorf("profile %+v", p)
	}
	if r.Fit.Parameters != 23 { // 12 survivals and 12 detections, the last two one product
		t.Errorf("%d parameters", r.Fit.Parameters)
	}
}

// TestDippersByYear: 11 parameters of 12, the last product alone (Lebreton,
// Burnham, Clobert & Anderson 1992).
func TestDippersByYear(t *testing.T) {
	t.Parallel()
	r := fitted(t, dippers(t), model("occasion", "occasion"))
	if r.Fit.Parameters != 11 || r.Survival[5].Status != fit.NotEstimable || r.Detection[5].Status != fit.NotEstimable || r.Survival[4].Status != fit.Estimable {
		t.Errorf("%d parameters; %+v", r.Fit.Parameters, r.Survival)
	}
	if p := r.ProfileSurvival(5); p.Upper != 1 || !(p.Lower > 0.3 && p.Lower < 0.6) {
		t.Errorf("what is known of the last survival: %+v", p)
	}
}

// TestStatesInAnotherOrder: named the other way about, the same fit.
func TestStatesInAnotherOrder(t *testing.T) {
	t.Parallel()
	m := survival.Model{Survive: []string{"state"}, Detect: []string{"state"}, Move: []string{"state"}}
	a := fitted(t, histories(t, "sim_multistate", []string{"A", "B"}), m)
	b := fitted(t, histories(t, "sim_multistate", []string{"B", "A"}), m)
	if math.Abs(a.Fit.Minus2LnL-b.Fit.Minus2LnL) > 1e-6 || math.Abs(a.Survival[0].Value-b.Survival[1].Value) > 1e-5 || a.Movement[0].Name != "movement[A to B]" {
		t.Errorf("%+v\n%+v", a.Survival, b.Survival)
	}
}

func TestWhatCannotGoTogether(t *testing.T) {
	t.Parallel()
	h := parse(t, "110 011", nil)
	with := func(change func(*survival.Histories)) survival.Histories {
		out := h
		change(&out)
		return out
	}
	cases := []struct {
		data  survival.Data
		model survival.Model
		want  string
	}{
		{survival.Histories{}, model("", ""), "no histories: give at least one occasion and one animal"},
		{survival.Histories{Caught: [][]int{{1}, {1, 0}}}, model("", ""), "history 2 has 2 occasions, the first has 1: give every history the same occasions"},
		{survival.Histories{Caught: [][]int{{1, 2}}}, model("", ""), "history 1: state 2 on occasion 2: expected 0 to 1"},
		{with(func(h *survival.Histories) { h.Count = []int{1} }), model("", ""), "1 counts for 2 histories: give one for each"},
		{with(func(h *survival.Histories) { h.Count = []int{1, -1} }), model("", ""), "history 2: a count of -1: expected 0 or more"},
		{with(func(h *survival.Histories) { h.Intervals = []float64{1} }), model("", ""), "1 interval lengths for 3 occasions: give 2"},
		{with(func(h *survival.Histories) { h.Intervals = []float64{1, 0} }), model("", ""), "interval 2 has length 0: expected more than 0"},
		{with(func(h *survival.Histories) { h.ByInterval = map[string][]float64{"rain": {1, 2, 3}} }), model("", ""), "rain: 3 values for 2: give one for each interval"},
		{with(func(h *survival.Histories) {
			h.Changing = map[string][][]float64{"mass": {{1, 2, 3}, {1, math.NaN(), 3}}}
		}), model("", ""), "mass of history 2 at occasion 2 is missing: leave that one out, or put in the mean or the last one known and say so"},
		{h, model("age", ""), `survival: effect "age": no such effect here; these data know constant, occasion, since-marking, trend`},
		{h, model("after-capture", ""), `survival: effect "after-capture": no such effect here; these data know constant, occasion, since-marking, trend`},
		{h, survival.Model{Move: []string{"trend"}}, "movement trend: there is one state; give histories of several"},
		{survival.MArray{}, model("", ""), "0 occasions of releases, 0 rows of recaptures: give both for every occasion but the last"},
		{survival.MArray{Released: []int{3}, Seen: [][]int{{0, 4}}}, model("", ""), "occasion 1: 3 released, but 4 caught again: correct one of them"},
		{survival.MArray{Released: []int{3}, Seen: [][]int{{1, 0}}}, model("", ""), "1 released on occasion 1 and next caught on 1: expected 0 or more, on a later occasion"},
		{survival.MArray{Released: []int{3}, Seen: [][]int{{0, 1}}}, model("since-marking", ""), `survival: effect "since-marking": no such effect here; these data know constant, occasion, trend`},
	}
	for _, c := range cases {
		if _, err := survival.Fit(c.data, c.model); err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
	for at, want := range map[float64]string{1: "survival is 1: expected a chance above 0 and below 1", math.NaN(): "survival is NaN: expected a chance above 0 and below 1"} {
		if _, err := survival.Evaluate(h, model("", ""), survival.Fixed{"survival": {at}, "detection": {0.5}}); err == nil || err.Error() != want {
			t.Error(err)
		}
	}
	if _, err := survival.Evaluate(h, model("", ""), survival.Fixed{"survival": {0.5}}); err == nil || err.Error() != "0 values of detection given: expected 1" {
		t.Error(err)
	}
	if _, err := survival.ParseHistory("01C", []string{"A", "B"}); err == nil || err.Error() != `history "01C": '1' on occasion 2: expected 0 or A, B` {
		t.Error(err)
	}
}

// FuzzParseHistory: whatever is read has one occasion for each sign, and no
// other sign is read.
func FuzzParseHistory(f *testing.F) {
	for _, seed := range []string{"0A0BB", "", "1", "0 A", "０"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		caught, err := survival.ParseHistory(text, []string{"A", "B"})
		if (err == nil) != (strings.Trim(text, "0AB") == "") {
			t.Errorf("%q: %v", text, err)
		}
		if err == nil && len(caught) != len(text) {
			t.Errorf("%q: %d occasions", text, len(caught))
		}
	})
}
