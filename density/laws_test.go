package density_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dawnround/density"
	"dawnround/fit"

	"pgregory.net/rapid"
)

// invented is a small survey with a known truth.
func invented(t testing.TB, kind density.TrapKind, n int, rng *rand.Rand) density.Trip {
	t.Helper()
	trip := grid(t, 5, 5, 4)
	for range n {
		at := trip.Space.Cells[rng.IntN(len(trip.Space.Cells))]
		if a, ok := lived(trip, kind, at, 0.3, 15, rng); ok {
			a.Group = []string{"female", "male", ""}[rng.IntN(3)]
			trip.Animals = append(trip.Animals, a)
		}
	}
	return trip
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: %.10g, want %.10g", what, got, want)
	}
}

// TestOrderDoesNotMatter: animals, traps, cells and captures in another order
// give the same fit.
func TestOrderDoesNotMatter(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 3))
	trip := invented(t, density.Multi, 60, rng)
	m := density.Model{Detect: []string{"after-capture"}}
	a := fitted(t, density.Survey{trip}, m)
	other := trip
	to := rng.Perm(len(trip.Traps))
	other.Traps = make([]density.Trap, len(trip.Traps))
	for k, at := range to {
		other.Traps[at] = trip.Traps[k]
	}
	other.Animals = nil
	for _, i := range rng.Perm(len(trip.Animals)) {
		animal := density.Animal{Group: trip.Animals[i].Group}
		for _, c := range slices.Backward(trip.Animals[i].Caught) {
			animal.Caught = append(animal.Caught, density.Capture{Night: c.Night, Trap: to[c.Trap]})
		}
		other.Animals = append(other.Animals, animal)
	}
	other.Space.Cells = slices.Clone(trip.Space.Cells)
	rng.Shuffle(len(other.Space.Cells), func(i, j int) {
		other.Space.Cells[i], other.Space.Cells[j] = other.Space.Cells[j], other.Space.Cells[i]
	})
	b := fitted(t, density.Survey{other}, m)
	near(t, "−2 ln L", b.Fit.Minus2LnL, a.Fit.Minus2LnL, 1e-10)
	near(t, "D", b.D.Value, a.D.Value, 1e-6)
	near(t, "error of σ", b.Sigma[0].SE, a.Sigma[0].SE, 1e-5)
}

// TestUnitsOfPlaceDoNotMatter: the grid moved elsewhere gives the same fit.
func TestUnitsOfPlaceDoNotMatter(t *testing.T) {
	t.Parallel()
	trip := invented(t, density.Proximity, 50, rand.New(rand.NewPCG(4, 4)))
	m := density.Model{Traps: density.Proximity, Density: []string{"x"}}
	a := fitted(t, density.Survey{trip}, m)
	moved := trip
	moved.Traps = slices.Clone(trip.Traps)
	for k := range moved.Traps {
		moved.Traps[k].At.X += 681_000
		moved.Traps[k].At.Y += 3_535_000
	}
	moved.Space.Cells = slices.Clone(trip.Space.Cells)
	for i := range moved.Space.Cells {
		moved.Space.Cells[i].X += 681_000
		moved.Space.Cells[i].Y += 3_535_000
	}
	b := fitted(t, density.Survey{moved}, m)
	near(t, "−2 ln L", b.Fit.Minus2LnL, a.Fit.Minus2LnL, 1e-7)
	near(t, "D", b.D.Value, a.D.Value, 1e-5)
	near(t, "slope", b.Fit.X[1], a.Fit.X[1], 1e-5)
}

// TestTheSameTripTwice: two trips with the same data give the figures of one,
// with errors smaller by √2.
func TestTheSameTripTwice(t *testing.T) {
	t.Parallel()
	trip := invented(t, density.Multi, 60, rand.New(rand.NewPCG(5, 5)))
	one := fitted(t, density.Survey{trip}, density.Model{})
	two := fitted(t, density.Survey{trip, trip}, density.Model{})
	near(t, "D", two.D.Value, one.D.Value, 1e-6)
	near(t, "its error", two.D.SE*math.Sqrt2, one.D.SE, 1e-5)
	near(t, "detection", two.Detection[0].Value, one.Detection[0].Value, 1e-6)
	near(t, "its error", two.Detection[0].SE*math.Sqrt2, one.Detection[0].SE, 1e-5)
	apart := fitted(t, density.Survey{trip, trip}, density.Model{Density: []string{"trip"}, Detect: []string{"trip"}, Move: []string{"trip"}})
	near(t, "−2 ln L, trips apart", apart.Fit.Minus2LnL, two.Fit.Minus2LnL, 1e-7)
	near(t, "error, trips apart", apart.ByLabel[1].SE, one.D.SE, 1e-4)
}

// TestGivenCaught: with density flat, the estimates given that animals were
// caught are those of the Poisson (Borchers & Efford 2008), and so is the error
// of the density; a fixed number has a smaller one.
func TestGivenCaught(t *testing.T) {
	t.Parallel()
	trip := invented(t, density.Multi, 60, rand.New(rand.NewPCG(6, 6)))
	p := fitted(t, density.Survey{trip}, density.Model{})
	c := fitted(t, density.Survey{trip}, density.Model{Count: density.Conditional})
	near(t, "D", c.D.Value, p.D.Value, 1e-6)
	near(t, "its error", c.D.SE, p.D.SE, 1e-5)
	near(t, "σ", c.Sigma[0].Value, p.Sigma[0].Value, 1e-6)
	near(t, "error of σ", c.Sigma[0].SE, p.Sigma[0].SE, 1e-5)
	near(t, "N", c.Populations[0].N.Value, p.Populations[0].N.Value, 1e-6)
	if !(c.Fixed.SE < c.D.SE) {
		t.Errorf("error with a fixed number %g, %g with a Poisson one", c.Fixed.SE, c.D.SE)
	}
}

// TestGroupsAllKnown: where every animal's group is known and nothing is
// shared, the fit is that of the groups one by one, but for ln n!.
func TestGroupsAllKnown(t *testing.T) {
	t.Parallel()
	trip := invented(t, density.Multi, 90, rand.New(rand.NewPCG(8, 8)))
	trip.Animals = slices.DeleteFunc(trip.Animals, func(a density.Animal) bool { return a.Group == "" })
	factorial := func(n int) float64 {
		value, _ := math.Lgamma(float64(n) + 1)
		return value
	}
	together := fitted(t, density.Survey{trip}, density.Model{Detect: []string{"group"}, Move: []string{"group"}})
	sum := 2 * factorial(len(trip.Animals))
	for g, group := range []string{"female", "male"} {
		alone := trip
		alone.Animals = slices.DeleteFunc(slices.Clone(trip.Animals), func(a density.Animal) bool { return a.Group != group })
		r := fitted(t, density.Survey{alone}, density.Model{})
		sum += r.Fit.Minus2LnL - 2*factorial(len(alone.Animals))
		near(t, group, together.ByLabel[g].Value, r.D.Value, 1e-5)
		near(t, group+", error", together.ByLabel[g].SE, r.D.SE, 1e-4)
		near(t, group+", σ", together.Sigma[g].Value, r.Sigma[0].Value, 1e-5)
	}
	near(t, "−2 ln L", together.Fit.Minus2LnL, sum, 1e-7)
}

// TestSurfaceAddsUp: the surface holds the animals there are, wherever it has
// them, and every centre lies within the state space's bounds.
func TestSurfaceAddsUp(t *testing.T) {
	t.Parallel()
	for _, m := range []density.Model{
		{}, {Density: []string{"x"}}, {Count: density.Conditional}, {Count: density.Binomial}, {Detect: []string{"group"}},
	} {
		trip := invented(t, density.Multi, 60, rand.New(rand.NewPCG(9, 9)))
		r := fitted(t, density.Survey{trip}, m)
		sum := 0.0
		for _, d := range r.Surface(0) {
			sum += d * trip.Space.Ha
		}
		want := r.Populations[0].N.Value
		if m.Count == density.Binomial {
			want = r.Populations[0].Expected.Value
		}
		near(t, m.String(), sum, want, 1e-2)
		if centres := r.Centres(0); len(centres) != len(trip.Animals) || centres[0].SpreadM <= 0 {
			t.Errorf("%d centres of %d animals", len(centres), len(trip.Animals))
		}
	}
}

// TestHalfEffortIsHalfTheHazard: a trap open for half of two nights catches like
// one open for a night, where a detector's animal was seen in neither.
func TestHalfEffortIsHalfTheHazard(t *testing.T) {
	t.Parallel()
	trip := grid(t, 4, 4, 2)
	trip.Animals = lives("ab fg k. .p")
	m := density.Model{Traps: density.Proximity}
	at := density.Fixed{"D_per_ha": 10, "detection": 0.2, "sigma_m": 15}
	for k := range trip.Traps {
		trip.Traps[k].Open = append(trip.Traps[k].Open, 1, 0)
	}
	whole, err := density.Evaluate(density.Survey{trip}, m, at)
	if err != nil {
		t.Fatal(err)
	}
	for k := range trip.Traps {
		trip.Traps[k].Open[2], trip.Traps[k].Open[3] = 0.5, 0.5
	}
	halves, err := density.Evaluate(density.Survey{trip}, m, at)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "−2 ln L", halves.Minus2LnL, whole.Minus2LnL, 1e-12)
}

// TestNamesAreThoseOfTheResult: every natural value may be given back under its
// name, and gives the likelihood of the fit.
func TestNamesAreThoseOfTheResult(t *testing.T) {
	t.Parallel()
	trip := invented(t, density.Multi, 60, rand.New(rand.NewPCG(10, 10)))
	for _, m := range []density.Model{
		{}, {Detect: []string{"occasion", "after-capture"}}, {Detect: []string{"group"}, Move: []string{"group"}}, {Shape: density.HazardHalfNormal, Count: density.Conditional},
	} {
		s := density.Survey{trip}
		r := fitted(t, s, m)
		at := density.Fixed{}
		for _, e := range slices.Concat([]fit.Estimate{r.D}, r.ByLabel, r.Detection, r.Sigma) {
			at[e.Name] = e.Value
		}
		value, err := density.Evaluate(s, m, at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, m.String(), value.Minus2LnL, r.Fit.Minus2LnL, 1e-7)
		names, err := density.Names(s, m)
		if err != nil || slices.ContainsFunc(names, func(name string) bool { _, ok := at[name]; return !ok }) {
			t.Errorf("names %q, %v", names, err)
		}
		link, err := density.EvaluateLink(s, m, r.Fit.X)
		near(t, "on the link scale", link.Minus2LnL, r.Fit.Minus2LnL, 1e-10)
		if err != nil {
			t.Error(err)
		}
	}
}

// TestFenceAndHole: the cells in a fence are those of the check table's own
// cells; a hole takes its area away.
func TestFenceAndHole(t *testing.T) {
	t.Parallel()
	given := simulated(t, "multi")[0].Space
	made, err := density.Within([][]density.Point{fence(t)}, 5)
	if err != nil {
		t.Fatal(err)
	}
	byPlace := func(a, b density.Point) int {
		if a.Y != b.Y {
			return int(math.Copysign(1, a.Y-b.Y))
		}
		return int(math.Copysign(1, a.X-b.X))
	}
	cells := slices.SortedFunc(slices.Values(made.Cells), byPlace)
	if !slices.Equal(cells, slices.SortedFunc(slices.Values(given.Cells), byPlace)) || made.SideM != given.SideM || !made.Fenced {
		t.Errorf("%d cells in the fence, %d given", len(made.Cells), len(given.Cells))
	}
	near(t, "area", made.AreaHa(), 3.81, 1e-12) // the polygon, by hand: 225·195 − 105·55 m²
	hole := []density.Point{{X: 0, Y: 0}, {X: 50, Y: 0}, {X: 50, Y: 20}, {X: 0, Y: 20}}
	holed, err := density.Within([][]density.Point{fence(t), hole}, 5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area without the hole", holed.AreaHa(), 3.81-0.1, 1e-12)
}

// TestMarginReachesSoFar: cells lie within the margin, and all that do are there.
func TestMarginReachesSoFar(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		margin, side := rapid.Float64Range(5, 60).Draw(t, "margin"), rapid.Float64Range(2, 20).Draw(t, "side")
		traps := []density.Trap{{At: density.Point{X: rapid.Float64Range(-50, 50).Draw(t, "x"), Y: 3}}, {}}
		s, err := density.Around(traps, margin, side)
		if err != nil {
			return // a margin that holds no cell's middle
		}
		area := math.Pi * margin * margin / 1e4
		apart := math.Hypot(traps[0].At.X, 3)
		if side < margin/8 && (s.AreaHa() < 0.9*area || apart > 2*margin && math.Abs(s.AreaHa()/area-2) > 0.1) {
			t.Errorf("%g ha about traps %g m apart, a circle has %g", s.AreaHa(), apart, area)
		}
		for _, c := range s.Cells {
			if math.Hypot(c.X, c.Y) > margin && math.Hypot(c.X-traps[0].At.X, c.Y-3) > margin {
				t.Errorf("a cell at %v is farther than %g", c, margin)
			}
		}
	})
}
