package answer_test

import (
	"math"
	"testing"

	"dawnround/answer"
)

// TestPowerToSee: the table of the trade's handbook page (analyses, section 5;
// calculated there from the same formula).
func TestPowerToSee(t *testing.T) {
	t.Parallel()
	for cv, want := range map[float64][3]float64{
		0.08: {0.88, 0.93, 0.97}, 0.10: {0.72, 0.81, 0.89}, 0.12: {0.56, 0.68, 0.80},
		0.15: {0.39, 0.52, 0.66}, 0.20: {0.25, 0.36, 0.50}, 0.30: {0.14, 0.22, 0.34},
	} {
		for i, alpha := range []float64{0.05, 0.10, 0.20} {
			if got := answer.PowerToSee(0.3, cv, alpha); math.Abs(got-want[i]) > 0.0101 {
				t.Errorf("CV %v at %v: %v, want %v", cv, alpha, got, want[i])
			}
		}
	}
}

// TestErrorOfNByFormula: that of the hares under constant detection (row
// closed.hare.M0.N.se of the shared checks: 3.392); the formula is the limit of many animals and lies within hundredths.
func TestErrorOfNByFormula(t *testing.T) {
	t.Parallel()
	const n, p = 74.7022, 0.323507 // rows closed.hare.M0.N and .p
	if got := answer.HowExactN(n, p, 6) * n; math.Abs(got-3.392) > 0.03 {
		t.Errorf("error %v, want about 3.392", got)
	}
}

// TestEffortEnough of the hares and of nobody.
func TestEffortEnough(t *testing.T) {
	t.Parallel()
	e, err := answer.EffortEnough(fold(t, hares(t)...), answer.Which{Site: "A", Species: "X"})
	if err != nil || e.Refused != "" || len(e.Powers) != 3 || e.CV < 0.02 || e.CV > 0.2 {
		t.Fatalf("%+v %v", e, err)
	}
	for i := range e.Powers[1:] {
		if e.Powers[i].Power >= e.Powers[i+1].Power || e.Needs[i].CV >= e.Needs[i+1].CV {
			t.Errorf("more false alarms, and not more power: %+v", e)
		}
	}
	if e, err := answer.EffortEnough(fold(t), answer.Which{Species: "X"}); err != nil || e.Refused == "" {
		t.Errorf("of nothing: %+v %v", e, err)
	}
}
