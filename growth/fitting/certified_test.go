package fitting

import (
	"fmt"
	"math"
	"testing"
)

// Certified values of the Statistical Reference Datasets for nonlinear
// regression of the US National Institute of Standards and Technology (Misra1a,
// Rat42, Rat43; data and values from memory, and reached to the digits shown).
// Misra1a, b1·(1 − exp(−b2·x)), is Fabens's gain from size 0; Rat42 is the
// logistic; Rat43 is Richards's curve with v = b4. The residual standard
// deviation is that of least squares, with the parameters taken off.
func TestCertified(t *testing.T) {
	t.Parallel()
	misra := gainsFrom0(
		[]float64{77.6, 114.9, 141.1, 190.8, 239.9, 289, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760},
		[]float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78})
	fabens, err := Fabens(misra)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Misra1a b1", estimate(t, fabens, "A").Value, 238.94212918)
	near(t, "Misra1a b2", estimate(t, fabens, "k").Value, 5.5015643181e-4)
	near(t, "Misra1a residual", fabens.Relation.Residual, 0.10187876330)

	rat42 := layKnown(aged(animals(sizesAt(
		[]float64{9, 14, 21, 28, 42, 57, 63, 70, 79},
		[]float64{8.93, 10.80, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08}))), shapes[2], KnownOptions{Form: "logistic"}).result()
	near(t, "Rat42 b1", estimate(t, rat42, "A").Value, 72.462237576)
	near(t, "Rat42 b2", estimate(t, rat42, "k").Value*estimate(t, rat42, "ti").Value, 2.6180768402)
	near(t, "Rat42 b3", estimate(t, rat42, "k").Value, 0.067359200066)
	near(t, "Rat42 residual", rat42.Relation.Residual, 1.1587725499)

	x := make([]float64, 15)
	for i := range x {
		x[i] = float64(i + 1)
	}
	rat43 := layKnown(aged(animals(sizesAt(x,
		[]float64{16.08, 33.83, 65.80, 97.20, 191.55, 326.20, 386.87, 520.53, 590.03, 651.92, 724.93, 699.56, 689.96, 637.56, 717.41}))), shapes[3], KnownOptions{Form: "Richards"}).result()
	k, v := estimate(t, rat43, "k").Value, estimate(t, rat43, "v").Value
	near(t, "Rat43 b1", estimate(t, rat43, "A").Value, 699.64151270)
	near(t, "Rat43 b2", math.Log(v)+k*estimate(t, rat43, "ti").Value, 5.2771253025)
	near(t, "Rat43 b3", k, 0.75962938329)
	near(t, "Rat43 b4", v, 1.2792483859)
	near(t, "Rat43 residual", rat43.Relation.Residual, 28.262414662)
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 2e-6*math.Abs(want)) {
		t.Errorf("%s: %.10g, certified %.10g", what, got, want)
	}
}

// gainsFrom0 makes each row an animal of size 0 that gained y in x years.
func gainsFrom0(x, y []float64) []Reading {
	var out []Reading
	for i := range x {
		name := fmt.Sprintf("%02d", i)
		out = append(out, Reading{name, 0, 0, math.NaN(), ""}, Reading{name, x[i] * daysPerYear, y[i], math.NaN(), ""})
	}
	return out
}

// sizesAt makes each row an animal of size y at x years.
func sizesAt(x, y []float64) []Reading {
	var out []Reading
	for i := range x {
		out = append(out, Reading{fmt.Sprintf("%02d", i), 0, y[i], x[i] * daysPerYear, ""})
	}
	return out
}
