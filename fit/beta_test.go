package fit_test

import (
	"math"
	"testing"

	"dawnround/fit"

	"pgregory.net/rapid"
)

// Upper points of F from the table of Fisher and Yates as every handbook
// prints them (from memory, to the places given): 5 % of 1 and 10 is 4.96, of 5
// and 18 is 2.77; 2.5 % of 3 and 18 is 3.95; 1 % of 4 and 6 is 9.15.
func TestFQuantile(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ tail, m, n, want, tol float64 }{
		{0.05, 1, 10, 4.96, 0.006}, {0.05, 5, 18, 2.77, 0.006}, {0.025, 3, 18, 3.95, 0.006}, {0.01, 4, 6, 9.15, 0.006},
	} {
		if got := fit.FQuantile(c.tail, c.m, c.n); math.Abs(got-c.want) > c.tol {
			t.Errorf("upper %g of F(%g, %g) is %.4f, want %g", c.tail, c.m, c.n, got, c.want)
		}
	}
	// By hand: with 1 and n degrees of freedom F is the square of Student's t.
	for _, n := range []float64{1, 3, 8, 40} {
		root := fit.StudentQuantile(0.05, n)
		if got := fit.FQuantile(0.05, 1, n); math.Abs(got/(root*root)-1) > 1e-7 {
			t.Errorf("F(1, %g) %.9g, t² %.9g", n, got, root*root)
		}
	}
}

// A binomial tail is a beta tail (Abramowitz & Stegun 1964, 26.5.24): the sum
// of the binomial terms is the reference, term by term.
func TestBetaTailIsBinomial(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n, p := rapid.IntRange(1, 60).Draw(t, "n"), rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		x := rapid.IntRange(1, n).Draw(t, "x")
		below := 0.0 // P(fewer than x)
		for k := range x {
			above, _ := math.Lgamma(float64(n + 1))
			chosen, _ := math.Lgamma(float64(k + 1))
			rest, _ := math.Lgamma(float64(n - k + 1))
			below += math.Exp(above - chosen - rest + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
		}
		if got := fit.BetaTail(p, float64(x), float64(n-x+1)); math.Abs(got-below) > 1e-11 {
			t.Fatalf("beta tail %.15g, binomial sum %.15g", got, below)
		}
	})
}

// A quantile is where the tail is what was asked for.
func TestBetaQuantileInvertsTail(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0.5, 200).Draw(t, "a"), rapid.Float64Range(0.5, 200).Draw(t, "b")
		tail := rapid.Float64Range(0.001, 0.999).Draw(t, "tail")
		if got := fit.BetaTail(fit.BetaQuantile(tail, a, b), a, b); math.Abs(got-tail) > 1e-9 {
			t.Fatalf("asked for %g, got %g", tail, got)
		}
	})
}
