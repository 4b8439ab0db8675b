package abundance_test

import (
	"math"
	"slices"
	"testing"

	"dawnround/abundance"
)

// TestChapmanByHand: 24 marked, 21 caught, 14 of them marked (an invented
// example, calculated): (25·22)/15 − 1 = 35.7, SE 3.3, interval 32 to 47 with 31
// animals seen.
func TestChapmanByHand(t *testing.T) {
	t.Parallel()
	c, err := abundance.Chapman(abundance.TwoSample{Marked: 24, Caught: 21, Recaught: 14})
	if err != nil {
		t.Fatal(err)
	}
	variance := 25.0 * 22 * 10 * 7 / (15 * 15 * 16)
	if math.Abs(c.N.Value-(550.0/15-1)) > 1e-12 || math.Abs(c.N.SE-math.Sqrt(variance)) > 1e-12 ||
		math.Round(c.N.Lower) != 32 || math.Round(c.N.Upper) != 47 || c.Caught != 31 || len(c.Warnings) != 0 {
		t.Errorf("%+v", c)
	}
	if _, err := abundance.Chapman(abundance.TwoSample{Marked: 3, Caught: 2, Recaught: 4}); err == nil {
		t.Error("more were caught again than were caught")
	}
}

// TestCensusLimits: the sunfish (Gerking 1953, as in Krebs 1999, chapter 2). For
// 24 recaptures the exact Poisson limits are 15.38 and 35.71 (Garwood 1936, from
// memory); for Schumacher and Eschmeyer's 1/N Krebs prints 300 to 719 (from
// memory).
func TestCensusLimits(t *testing.T) {
	t.Parallel()
	s, err := abundance.Schnabel(census(t))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.N.Lower-10740/35.71) > 1 || math.Abs(s.N.Upper-10740/15.38) > 1 {
		t.Errorf("Schnabel: %+v; 24 recaptures have exact Poisson limits 15.38 and 35.71", s.N)
	}
	m, err := abundance.Schumacher(census(t))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(m.N.Lower-300) > 1 || math.Abs(m.N.Upper-719) > 1.5 {
		t.Errorf("Schumacher: %+v", m.N)
	}
	if _, err := abundance.Schnabel([]abundance.Census{{Caught: 3}}); err == nil {
		t.Error("one occasion was accepted")
	}
	if _, err := abundance.Schnabel([]abundance.Census{{Caught: 3}, {Caught: 2, Recaught: 3, AtLarge: 3}}); err == nil {
		t.Error("more were caught again than were caught")
	}
}

// TestJackknifeFormulas: the orders as printed by Burnham & Overton 1978, for 7
// nights, from f1, f2, f3 alone.
func TestJackknifeFormulas(t *testing.T) {
	t.Parallel()
	const nights = 7.0
	f := abundance.Frequencies{Nights: nights, Animals: []int{20, 9, 4}}
	j, err := abundance.JackknifeN(f)
	if err != nil {
		t.Fatal(err)
	}
	k := nights
	want := []float64{
		33 + (k-1)/k*20,
		33 + (2*k-3)/k*20 - (k-2)*(k-2)/(k*(k-1))*9,
		33 + (3*k-6)/k*20 - (3*k*k-15*k+19)/(k*(k-1))*9 + (k-3)*(k-3)*(k-3)/(k*(k-1)*(k-2))*4,
	}
	for i, w := range want {
		if math.Abs(j.Orders[i].N-w) > 1e-9 {
			t.Errorf("order %d: %g, want %g", i+1, j.Orders[i].N, w)
		}
	}
}

func TestDiscoveryCurve(t *testing.T) {
	t.Parallel()
	h := parse(t, "1000 1100 0010 0001")
	curve, err := abundance.DiscoveryCurve(h)
	if err != nil {
		t.Fatal(err)
	}
	// After one night of four, an animal caught once is known in 1 of 4 choices,
	// one caught twice in 2 of 4: 3·1/4 + 2/4 = 1.25, by hand.
	want := []abundance.Discovered{{1, 2, 1.25}, {2, 2, 3*0.5 + 5.0/6}, {3, 3, 3*0.75 + 1}, {4, 4, 4}}
	for i, p := range curve {
		if p.Night != want[i].Night || p.Known != want[i].Known || math.Abs(p.Expected-want[i].Expected) > 1e-12 {
			t.Errorf("night %d: %+v, want %+v", i+1, p, want[i])
		}
	}
}

func TestKnownAlive(t *testing.T) {
	t.Parallel()
	alive, err := abundance.CountKnownAlive(parse(t, "10010 01000 00101 00000 11111"))
	if err != nil {
		t.Fatal(err)
	}
	want := []abundance.KnownAlive{{Known: 2}, {Known: 3}, {Known: 3}, {Known: 3, Provisional: true}, {Known: 2, Provisional: true}}
	if !slices.Equal(alive, want) {
		t.Errorf("got %v, want %v", alive, want)
	}
}

// TestEffort: nights of more effort catch more; detection is read at each.
func TestEffort(t *testing.T) {
	t.Parallel()
	if got := abundance.TrapNights(100, 8, 12); got != 90 {
		t.Errorf("100 traps, 8 sprung and 12 filled: %g trap-nights, by hand 90", got)
	}
	hare := histories(t, "hare")
	hare.Nightly = map[string][]float64{"effort": abundance.LogEffort([]float64{40, 80, 60, 80, 60, 100})}
	r := fitted(t, hare, abundance.Model{Detect: []string{"effort"}})
	none := fitted(t, hare, abundance.Model{})
	last := r.Coefficients[len(r.Coefficients)-1]
	if last.Name != "detection effort" || !(last.Value > 0.5) || len(r.Detection) != 6 || r.Detection[5].Name != "detection[6]" {
		t.Errorf("%+v, %+v", last, r.Detection)
	}
	if !(r.Fit.Minus2LnL < none.Fit.Minus2LnL-4) || !(r.Detection[5].Value > r.Detection[0].Value) {
		t.Errorf("−2 ln L %g with effort, %g without", r.Fit.Minus2LnL, none.Fit.Minus2LnL)
	}
	hare.Nightly["effort"] = abundance.LogEffort([]float64{50, 50, 50, 50, 50, 50})
	same := fitted(t, hare, abundance.Model{Detect: []string{"effort"}})
	if math.Abs(same.Fit.Minus2LnL-none.Fit.Minus2LnL) > 1e-6 || !slices.Contains(same.Warnings, "left out, as other effects already say it: [effort]") {
		t.Errorf("equal effort: %q", same.Warnings)
	}
}

// TestRemovalIsTheWholeEstimate: in whole animals, the handbook's search finds
// the same to within half an animal; both stand near the closed form of two
// nights, u1²/(u1 − u2) = 450 (Seber & Le Cren 1967).
func TestRemovalIsTheWholeEstimate(t *testing.T) {
	t.Parallel()
	taken := []int{300, 100}
	r, err := abundance.Remove(abundance.Removals{Taken: taken})
	if err != nil {
		t.Fatal(err)
	}
	w, err := abundance.WholeBehaviour(abundance.NightCounts{Caught: taken, New: taken})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.N.Value-float64(w.N)) > 0.5 || math.Abs(r.N.Value-450) > 5 || !(r.N.Lower > 420 && r.N.Upper < 500) {
		t.Errorf("%+v, whole %v", r.N, w)
	}
}
