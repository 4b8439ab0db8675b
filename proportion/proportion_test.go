package proportion_test

import (
	"math"
	"testing"

	"dawnround/proportion"

	"pgregory.net/rapid"
)

// The first four are of Newcombe (1998), Statistics in Medicine 17:857–872,
// table I; the others were recomputed by an independent script (the project's
// standards, measurement statistics).
func TestPublishedIntervals(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, c := range []struct {
		x, n                     int
		exact, wilson, corrected [2]float64
	}{
		{81, 263, [2]float64{0.252737, 0.367622}, [2]float64{0.255289, 0.366210}, [2]float64{0.253509, 0.368176}},
		{15, 148, [2]float64{0.057844, 0.161650}, [2]float64{0.062386, 0.160487}, [2]float64{0.059778, 0.164450}},
		{0, 20, [2]float64{0, 0.168433}, [2]float64{0, 0.161125}, [2]float64{0, 0.200453}},
		{1, 29, [2]float64{0.000873, 0.177644}, [2]float64{0.006113, 0.171755}, [2]float64{0.001803, 0.196282}},
		{0, 10, [2]float64{0, 0.308497}, [2]float64{0, 0.277533}, [2]float64{nan, nan}},
		{10, 10, [2]float64{0.691503, 1}, [2]float64{0.722467, 1}, [2]float64{nan, nan}},
		{5, 10, [2]float64{0.187086, 0.812914}, [2]float64{0.236593, 0.763407}, [2]float64{nan, nan}},
		{1, 10, [2]float64{0.002529, 0.445016}, [2]float64{nan, nan}, [2]float64{nan, nan}},
		{2, 50, [2]float64{0.004881, 0.137138}, [2]float64{0.011039, 0.134601}, [2]float64{nan, nan}},
		{50, 100, [2]float64{0.398321, 0.601679}, [2]float64{nan, nan}, [2]float64{nan, nan}},
		// Numbers of the trade handbook's examples, to the whole per cent.
		{7, 11, [2]float64{nan, nan}, [2]float64{0.354, 0.848}, [2]float64{nan, nan}},
	} {
		for _, m := range []struct {
			name string
			of   func(x, n int) (proportion.Share, error)
			want [2]float64
		}{{"exact", proportion.ClopperPearson, c.exact}, {"Wilson", proportion.Wilson, c.wilson}, {"Wilson corrected", proportion.WilsonCorrected, c.corrected}} {
			s, err := m.of(c.x, c.n)
			if err != nil {
				t.Fatal(err)
			}
			tol := 1e-6
			if c.n == 11 {
				tol = 6e-4
			}
			if math.Abs(s.Lower-m.want[0]) > tol || math.Abs(s.Upper-m.want[1]) > tol {
				t.Errorf("%s of %d/%d: %.6f–%.6f, want %.6f–%.6f", m.name, c.x, c.n, s.Lower, s.Upper, m.want[0], m.want[1])
			}
		}
	}
}

func TestRuleOfThree(t *testing.T) {
	t.Parallel()
	// None of 20 leaves up to 13.9 % open, of 10 25.9 %, of 30 9.5 % (trade
	// handbook of analyses, section 5).
	for n, want := range map[int]float64{20: 0.139, 10: 0.259, 30: 0.095} {
		if got := proportion.NoneOf(n); math.Abs(got-want) > 5e-4 {
			t.Errorf("none of %d: %.4f, want %.3f", n, got, want)
		}
	}
}

// The share of the others is what is left, ends are exact, and the share lies
// within.
func TestSharesMirror(t *testing.T) {
	t.Parallel()
	methods := []func(x, n int) (proportion.Share, error){proportion.ClopperPearson, proportion.Wilson, proportion.WilsonCorrected}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 500).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		of := rapid.SampledFrom(methods).Draw(t, "method")
		s, err := of(x, n)
		o, err2 := of(n-x, n)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if math.Abs(s.Lower-(1-o.Upper)) > 1e-9 || math.Abs(s.Upper-(1-o.Lower)) > 1e-9 {
			t.Fatalf("%+v and %+v are no mirror", s, o)
		}
		if s.Lower > s.Value+1e-12 || s.Upper < s.Value-1e-12 || x == 0 && s.Lower != 0 || x == n && s.Upper != 1 {
			t.Fatalf("%+v", s)
		}
	})
	for _, of := range methods {
		for _, bad := range [][2]int{{0, 0}, {-1, 3}, {4, 3}} {
			if s, err := of(bad[0], bad[1]); err == nil {
				t.Errorf("%d of %d is %+v", bad[0], bad[1], s)
			}
		}
	}
}

// The exact interval covers at least 95 %, whatever the truth; the sum over
// the binomial is exact, so nothing is left to chance.
func TestExactIntervalCovers(t *testing.T) {
	t.Parallel()
	const n = 20
	for p := 0.01; p < 1; p += 0.01 {
		covered := 0.0
		for x := range n + 1 {
			s, _ := proportion.ClopperPearson(x, n)
			if s.Lower <= p && p <= s.Upper {
				covered += binomial(n, x, p)
			}
		}
		if covered < 0.95-1e-9 {
			t.Errorf("at %.2f the exact interval of n = %d covers %.4f", p, n, covered)
		}
	}
}

func binomial(n, x int, p float64) float64 {
	a, _ := math.Lgamma(float64(n + 1))
	b, _ := math.Lgamma(float64(x + 1))
	c, _ := math.Lgamma(float64(n - x + 1))
	return math.Exp(a - b - c + float64(x)*math.Log(p) + float64(n-x)*math.Log1p(-p))
}
