package fit_test

import (
	"math"
	"testing"

	"dawnround/fit"

	"pgregory.net/rapid"
)

// TestTables compares with the tables of Abramowitz & Stegun 1964, quoted from
// memory: 26.8 (chi-square), 26.10 (Student's t), 6.1 (psi).
func TestTables(t *testing.T) {
	t.Parallel()
	const euler = 0.57721566490153286
	cases := []struct {
		what             string
		got, want, bound float64
	}{
		{"chi-square 5 %, 1", fit.ChiSquareQuantile(0.05, 1), 3.841458820694124, 1e-12},
		{"chi-square 5 %, 5", fit.ChiSquareQuantile(0.05, 5), 11.0705, 5e-6},
		{"chi-square 97.5 %, 10", fit.ChiSquareQuantile(0.975, 10), 3.24697, 2e-6},
		{"chi-square tail, 2 degrees is an exponential", fit.ChiSquareTail(7, 2), math.Exp(-3.5), 1e-13},
		{"chi-square tail far out", fit.ChiSquareTail(200, 2), math.Exp(-100), 1e-13},
		{"chi-square at 0", fit.ChiSquareTail(0, 3), 1, 0},
		{"Student 5 %, 1", fit.StudentQuantile(0.05, 1), 12.706, 2e-5},
		{"Student 5 %, 10", fit.StudentQuantile(0.05, 10), 2.228, 1e-4},
		{"Student 5 %, 120", fit.StudentQuantile(0.05, 120), 1.980, 1e-4},
		{"normal tail", fit.NormalTail(-fit.Z95), 0.05, 1e-12},
		{"normal quantile", fit.NormalQuantile(0.975), fit.Z95, 1e-12},
		{"psi(1)", fit.Digamma(1), -euler, 1e-14},
		{"psi(1/2)", fit.Digamma(0.5), -euler - 2*math.Ln2, 1e-14},
		{"psi(100), recurrence from 1", fit.Digamma(100), harmonic(99) - euler, 1e-14},
	}
	for _, c := range cases {
		if !(math.Abs(c.got-c.want) <= c.bound*(1+math.Abs(c.want))) {
			t.Errorf("%s: got %.15g, want %.15g", c.what, c.got, c.want)
		}
	}
}

func harmonic(n int) float64 {
	sum := 0.0
	for i := n; i > 0; i-- {
		sum += 1 / float64(i)
	}
	return sum
}

// TestPermutations: (f+m)!/f! is the product of m factors, whichever way it is
// computed, and its slope the sum of their inverses.
func TestPermutations(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := math.Exp(rapid.Float64Range(-5, 25).Draw(t, "ln f"))
		m := rapid.IntRange(0, 60).Draw(t, "m")
		value, slope := fit.Permutations(f, float64(m))
		var product, inverses float64
		for i := 1; i <= m; i++ {
			product += math.Log(f + float64(i))
			inverses += 1 / (f + float64(i))
		}
		near(t, "value", value, product, 1e-11)
		if math.Abs(slope-inverses) > 1e-11*inverses+1e-16 {
			t.Errorf("slope: got %.15g, want %.15g", slope, inverses)
		}
	})
}
