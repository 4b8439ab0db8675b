package survival_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dawnround/survival"

	"pgregory.net/rapid"
)

// drawn makes up histories of one or two states in two groups, some lost, with
// a number for each animal and unequal intervals. The first few are the same
// always, so that every coefficient of the models here has something to stand on.
func drawn(t *rapid.T, states []string) survival.Histories {
	occasions := rapid.IntRange(3, 6).Draw(t, "occasions")
	h := survival.Histories{States: states, Columns: map[string][]float64{}}
	for animal := range rapid.IntRange(5, 25).Draw(t, "animals") {
		caught := rapid.SliceOfN(rapid.IntRange(0, max(1, len(states))), occasions, occasions).Draw(t, "history")
		switch state := min(1+animal, max(1, len(states))); {
		case animal < 2:
			caught = slices.Repeat([]int{state}, occasions)
		case animal < 4:
			caught = make([]int, occasions)
			caught[animal-2] = state
		}
		h.Caught = append(h.Caught, caught)
		h.Group = append(h.Group, rapid.SampledFrom([]string{"female", "male"}).Draw(t, "group"))
		h.Lost = append(h.Lost, animal > 3 && rapid.IntRange(0, 9).Draw(t, "lost") == 0)
		h.Columns["weight"] = append(h.Columns["weight"], rapid.Float64Range(-2, 2).Draw(t, "weight"))
	}
	h.Intervals = rapid.SliceOfN(rapid.Float64Range(0.2, 3), occasions-1, occasions-1).Draw(t, "intervals")
	return h
}

func evaluate(t *rapid.T, d survival.Data, m survival.Model, x []float64) float64 {
	t.Helper()
	v, err := survival.EvaluateLink(d, m, x)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func parameters(t *rapid.T, n int) []float64 {
	return rapid.SliceOfN(rapid.Float64Range(-2.5, 2.5), n, n).Draw(t, "parameters")
}

func alike(t *rapid.T, what string, a, b float64) {
	t.Helper()
	if !(math.Abs(a-b) <= 1e-9*(1+math.Abs(a))) {
		t.Errorf("%s: −2 ln L %.12g and %.12g", what, a, b)
	}
}

// TestPoolingLosesNothing: alike histories counted together, in any order, have
// the likelihood they have one by one.
func TestPoolingLosesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := drawn(t, nil)
		h.Columns = nil
		pooled := survival.Histories{Timetable: h.Timetable}
		for _, i := range rapid.Permutation(numbers(len(h.Caught))).Draw(t, "order") {
			at := slices.IndexFunc(numbers(len(pooled.Caught)), func(j int) bool {
				return slices.Equal(pooled.Caught[j], h.Caught[i]) && pooled.Group[j] == h.Group[i] && pooled.Lost[j] == h.Lost[i]
			})
			if at < 0 {
				at = len(pooled.Caught)
				pooled.Caught, pooled.Count = append(pooled.Caught, h.Caught[i]), append(pooled.Count, 0)
				pooled.Group, pooled.Lost = append(pooled.Group, h.Group[i]), append(pooled.Lost, h.Lost[i])
			}
			pooled.Count[at]++
		}
		m := model("since-marking:2,trend", "trend,after-capture")
		x := parameters(t, 6)
		alike(t, "one by one, and counted", evaluate(t, h, m, x), evaluate(t, pooled, m, x))
	})
}

func numbers(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// TestMArrayIsEnough: without effects of who or since when, the m-array has the
// likelihood of the histories.
func TestMArrayIsEnough(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := drawn(t, nil)
		a, err := h.MArray()
		if err != nil {
			t.Fatal(err)
		}
		m, x := model("trend", "trend,after-capture"), parameters(t, 5)
		s, err := h.Samples()
		if err != nil {
			t.Fatal(err)
		}
		v := evaluate(t, h, m, x)
		alike(t, "histories and m-array", v, evaluate(t, a, m, x))
		if lowest := a.Saturated(); v < lowest-1e-9 {
			t.Errorf("−2 ln L %g below that of the saturated m-array, %g", v, lowest)
		}
		again, err := a.Samples(s.Caught)
		if err != nil {
			t.Fatal(err)
		}
		last := len(s.Caught) - 1 // the m-array does not know who was let go at last
		again.Released[last] = s.Released[last]
		if !slices.Equal(s.Again, again.Again) || !slices.Equal(s.Marked, again.Marked) || !slices.Equal(s.Between, again.Between) || !slices.Equal(s.Released, again.Released) {
			t.Errorf("samples %+v and %+v", s, again)
		}
	})
}

// TestAgainstEveryHiddenLife: the engine's likelihood is the sum over every
// life the animals could have led unseen, counted out one by one.
func TestAgainstEveryHiddenLife(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := drawn(t, []string{"A", "B"})
		h.Columns, h.Group = nil, nil
		m := survival.Model{Survive: []string{"state"}, Detect: []string{"state"}, Move: []string{"state"}}
		chance := rapid.SliceOfN(rapid.Float64Range(0.05, 0.95), 6, 6).Draw(t, "chances")
		got, err := survival.Evaluate(h, m, survival.Fixed{"survival": chance[:2], "detection": chance[2:4], "movement": chance[4:]})
		if err != nil {
			t.Fatal(err)
		}
		want := 0.0
		for i, caught := range h.Caught {
			want -= 2 * math.Log(lives(caught, h.Lost[i], h.Intervals, chance))
		}
		alike(t, "engine and counting out", got, want)
	})
}

// TestThreeStates: moves between three states are shares of a whole; given back
// to the model they give the likelihood they came from, and two states alike in
// everything may be taken as one.
func TestThreeStates(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(2, 1))
	h := survival.Histories{States: []string{"A", "B", "C"}}
	joined := survival.Histories{States: []string{"A", "D"}}
	for range 400 {
		caught, together := make([]int, 6), make([]int, 6)
		state := rng.IntN(3)
		for j := range caught {
			if j == 0 || rng.Float64() < 0.6 {
				caught[j], together[j] = state+1, min(state+1, 2)
			}
			if rng.Float64() > 0.8 {
				break
			}
			state = rng.IntN(3)
		}
		h.Caught, joined.Caught = append(h.Caught, caught), append(joined.Caught, together)
	}
	m := survival.Model{Move: []string{"state*to"}}
	r := fitted(t, h, m)
	values := []float64{}
	for i, e := range r.Movement {
		values = append(values, e.Value)
		if math.Abs(e.Value-1.0/3) > 0.12 || e.SE > 0.06 {
			t.Errorf("%d: %+v; states were drawn with equal chances", i, e)
		}
	}
	v, err := survival.Evaluate(h, m, survival.Fixed{"survival": {r.Survival[0].Value}, "detection": {r.Detection[0].Value}, "movement": values})
	if err != nil || math.Abs(v-r.Fit.Minus2LnL) > 1e-6 || len(values) != 6 || r.Movement[1].Name != "movement[A to C]" {
		t.Errorf("%v: −2 ln L %g, fitted %g; %+v", err, v, r.Fit.Minus2LnL, r.Movement)
	}
	two := fitted(t, joined, survival.Model{Move: []string{"state"}})
	if away := r.Movement[0].Value + r.Movement[1].Value; math.Abs(away-two.Movement[0].Value) > 0.03 {
		t.Errorf("from A to B or C %g, to either as one %g", away, two.Movement[0].Value)
	}
}

// lives is the chance of a history after its first capture, by recursion over
// all that may have happened.
func lives(caught []int, lost bool, intervals, chance []float64) float64 {
	first := slices.IndexFunc(caught, func(c int) bool { return c > 0 })
	if first < 0 {
		return 1
	}
	last := 0
	for j, c := range caught {
		if c > 0 {
			last = j
		}
	}
	var from func(j, state int) float64
	from = func(j, state int) float64 {
		if j == len(caught)-1 || lost && j == last {
			return 1
		}
		total := 0.0
		survives := math.Pow(chance[state], intervals[j])
		if j >= last {
			total += 1 - survives
		}
		for next := range 2 {
			moves := chance[4+state]
			if next == state {
				moves = 1 - moves
			}
			seen := chance[2+next]
			switch caught[j+1] {
			case 0:
				seen = 1 - seen
			case next + 1:
			default:
				continue
			}
			total += survives * moves * seen * from(j+1, next)
		}
		return total
	}
	return from(first, caught[first]-1)
}

// TestGroupsApart: two groups that share nothing are two fits side by side.
func TestGroupsApart(t *testing.T) {
	t.Parallel()
	h := dippers(t)
	both := fitted(t, h, model("group", "group"))
	sum := 0.0
	for i, group := range []string{"female", "male"} {
		one := fitted(t, of(h, group), model("", ""))
		sum += one.Fit.Minus2LnL
		for _, pair := range [][2]float64{
			{both.Survival[i].Value, one.Survival[0].Value}, {both.Survival[i].SE, one.Survival[0].SE},
			{both.Detection[i].Upper, one.Detection[0].Upper},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-5 {
				t.Errorf("%s: %v", group, pair)
			}
		}
	}
	if math.Abs(sum-both.Fit.Minus2LnL) > 1e-6 {
		t.Errorf("−2 ln L %g, the groups' %g", both.Fit.Minus2LnL, sum)
	}
}

// TestIntervalsAreTime: survival in a shorter unit of time, to a power, is that
// in a longer one.
func TestIntervalsAreTime(t *testing.T) {
	t.Parallel()
	h := dippers(t)
	years := fitted(t, h, model("", ""))
	h.Intervals = []float64{12, 12, 12, 12, 12, 12}
	months := fitted(t, h, model("", ""))
	if a, b := years.Survival[0].Value, math.Pow(months.Survival[0].Value, 12); math.Abs(a-b) > 1e-6 {
		t.Errorf("yearly %g, monthly to the twelfth %g", a, b)
	}
	if math.Abs(years.Fit.Minus2LnL-months.Fit.Minus2LnL) > 1e-6 {
		t.Errorf("−2 ln L %g and %g", years.Fit.Minus2LnL, months.Fit.Minus2LnL)
	}
}

// TestChangingNumbers: a changing number that never changes is a constant one,
// and one alike for all animals is a number of the intervals.
func TestChangingNumbers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := drawn(t, nil)
		occasions := len(h.Caught[0])
		rain := rapid.SliceOfN(rapid.Float64Range(-1, 1), occasions, occasions).Draw(t, "rain")
		h.ByInterval = map[string][]float64{"rain": rain[:occasions-1]}
		h.Changing = map[string][][]float64{}
		for _, w := range h.Columns["weight"] {
			h.Changing["weight each time"] = append(h.Changing["weight each time"], slices.Repeat([]float64{w}, occasions))
			h.Changing["rain on her"] = append(h.Changing["rain on her"], rain)
		}
		x := parameters(t, 4)
		a, err := survival.EvaluateLink(h, model("weight,rain", ""), x)
		if err != nil {
			return // no rain, or always as much: nothing to tell by
		}
		alike(t, "constant and changing", a, evaluate(t, h, model("weight each time,rain on her", ""), x))
	})
}
