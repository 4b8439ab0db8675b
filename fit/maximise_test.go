package fit_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"dawnround/fit"

	"pgregory.net/rapid"
)

// hill is a quadratic likelihood with the given summit and information matrix.
func hill(summit []float64, information [][]float64) fit.Likelihood {
	l := fit.Likelihood{Starts: [][]float64{make([]float64, len(summit))}}
	for i := range summit {
		l.Names = append(l.Names, string(rune('a'+i)))
	}
	l.Log = func(x, gradient []float64) float64 {
		value := 0.0
		clear(gradient)
		for i := range x {
			for j := range x {
				value -= information[i][j] * (x[i] - summit[i]) * (x[j] - summit[j]) / 2
				if gradient != nil {
					gradient[i] -= information[i][j] * (x[j] - summit[j])
				}
			}
		}
		return value
	}
	return l
}

// TestQuadratic: on a quadratic hill the fit, its covariance and its profile
// interval are known exactly.
func TestQuadratic(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0.5, 50).Draw(t, "a")
		d := rapid.Float64Range(0.5, 50).Draw(t, "d")
		b := rapid.Float64Range(-0.9, 0.9).Draw(t, "correlation") * math.Sqrt(a*d)
		summit := rapid.SliceOfN(rapid.Float64Range(-30, 30), 2, 2).Draw(t, "summit")
		l := hill(summit, [][]float64{{a, b}, {b, d}})
		f := l.Maximise()
		det := a*d - b*b
		near(t, "summit", f.X[0], summit[0], 1e-5)
		near(t, "variance", f.Covariance[0][0], d/det, 1e-6)
		near(t, "covariance", f.Covariance[0][1], -b/det, 1e-6)
		interval := l.Profile(f, 0)
		near(t, "lower", interval.Lower, summit[0]-fit.Z95*math.Sqrt(d/det), 1e-5)
		near(t, "upper", interval.Upper, summit[0]+fit.Z95*math.Sqrt(d/det), 1e-5)
		if !f.Ending.Converged || f.Parameters != 2 || len(f.Warnings) != 0 {
			t.Errorf("%+v", f)
		}
	})
}

// TestCurvedValley climbs the classical banana of Rosenbrock 1960 (Computer
// Journal 3:175–184): highest at (1, 1), start (−1.2, 1).
func TestCurvedValley(t *testing.T) {
	t.Parallel()
	l := fit.Likelihood{Names: []string{"a", "b"}, Starts: [][]float64{{-1.2, 1}}, Log: func(x, g []float64) float64 {
		u, v := x[1]-x[0]*x[0], 1-x[0]
		if g != nil {
			g[0], g[1] = 400*u*x[0]+2*v, -200*u
		}
		return -100*u*u - v*v
	}}
	f := l.Maximise()
	near(t, "a", f.X[0], 1, 1e-6)
	near(t, "b", f.X[1], 1, 1e-6)
	if !f.Ending.Converged || f.Ending.Evaluations > 120 {
		t.Errorf("%+v", f.Ending)
	}
}

// binomial is y of n, its chance on the logit scale as the sum of parts.
func binomial(y, n float64, parts int) fit.Likelihood {
	l := fit.Likelihood{Starts: [][]float64{make([]float64, parts)}}
	for i := range parts {
		l.Names = append(l.Names, string(rune('a'+i)))
	}
	l.Log = func(x, g []float64) float64 {
		eta := 0.0
		for _, v := range x {
			eta += v
		}
		p, logP, logQ := fit.LogLogit(eta)
		for i := range g {
			g[i] = y - n*p
		}
		return y*logP + (n-y)*logQ
	}
	return l
}

func TestRidgeIsNotEstimable(t *testing.T) {
	t.Parallel()
	f := binomial(7, 20, 2).Maximise()
	if f.Parameters != 1 || len(f.Flat) != 1 || f.Flat[0].Boundary || f.Coefficient(0, fit.Logit).Status != fit.NotEstimable {
		t.Errorf("a and b are only known together: %+v", f)
	}
	p := 7.0 / 20
	sum := f.Derive("p", p, []float64{p * (1 - p), p * (1 - p)}, fit.Logit)
	near(t, "SE of what is known", sum.SE, math.Sqrt(p*(1-p)/20), 1e-6)
	if !strings.Contains(strings.Join(f.Warnings, "\n"), "not estimable from these data: a with b") {
		t.Errorf("warnings %q", f.Warnings)
	}
}

func TestEndOfTheRange(t *testing.T) {
	t.Parallel()
	l := binomial(0, 20, 1)
	f := l.Maximise()
	if len(f.Flat) != 1 || !f.Flat[0].Boundary || f.Parameters != 1 {
		t.Fatalf("none of 20 is the end of the range: %+v", f)
	}
	p := fit.Logit.Natural(f.X[0])
	e := f.Derive("p", p, []float64{p * (1 - p)}, fit.Logit)
	if e.Status != fit.AtBoundary || !math.IsNaN(e.SE) {
		t.Errorf("%+v", e)
	}
	interval := l.Profile(f, 0)
	if !math.IsInf(interval.Lower, -1) {
		t.Errorf("lower end %g: open below", interval.Lower)
	}
	// 20 ln(1 − p) = −z²/2 at the upper end, by hand
	near(t, "upper", fit.Logit.Natural(interval.Upper), 1-math.Exp(-fit.Z95*fit.Z95/40), 1e-6)
}

func TestEqualMaxima(t *testing.T) {
	t.Parallel()
	l := fit.Likelihood{Names: []string{"a"}, Starts: [][]float64{{-3}, {3}}, Log: func(x, g []float64) float64 {
		u := x[0]*x[0] - 4
		if g != nil {
			g[0] = -4 * u * x[0]
		}
		return -u * u
	}}
	f := l.Maximise()
	if len(f.Warnings) != 1 || f.Warnings[0] != "two maxima are equally high: the data fit two answers alike" || f.Ending.Agreeing != 2 {
		t.Errorf("%q, %+v", f.Warnings, f.Ending)
	}
	l.Canonical = func(x []float64) []float64 { return []float64{math.Abs(x[0])} }
	if f = l.Maximise(); len(f.Warnings) != 0 || f.X[0] < 0 {
		t.Errorf("the same model in two orders: %q at %g", f.Warnings, f.X[0])
	}
}

func TestNowhereFinite(t *testing.T) {
	t.Parallel()
	l := fit.Likelihood{Names: []string{"a"}, Starts: [][]float64{{0}}, Log: func([]float64, []float64) float64 { return math.NaN() }}
	f := l.Maximise()
	if f.Coefficient(0, fit.Log).Status != fit.NotEstimable || len(f.Warnings) != 1 || f.Ending.Converged {
		t.Errorf("%+v", f)
	}
	if interval := l.Profile(f, 0); !math.IsInf(interval.Lower, -1) || !math.IsInf(interval.Upper, 1) {
		t.Errorf("%+v", interval)
	}
}

func TestLowerHillIsNoticed(t *testing.T) {
	t.Parallel()
	l := fit.Likelihood{Names: []string{"a"}, Starts: [][]float64{{0}}, Log: func(x, g []float64) float64 {
		near, far := math.Exp(-x[0]*x[0]), 3*math.Exp(-(x[0]-4)*(x[0]-4))
		if g != nil {
			g[0] = (-2*x[0]*near - 2*(x[0]-4)*far) / (near + far)
		}
		return math.Log(near + far)
	}}
	f := l.Maximise()
	if interval := l.Profile(f, 0); math.Abs(f.X[0]) > 0.1 || !interval.Better {
		t.Errorf("from the lower hill at %g the higher was not seen: %+v", f.X[0], interval)
	}
}

func TestEstimateInJSONHoldsNoNaN(t *testing.T) {
	t.Parallel()
	lost := fit.Lost("N")
	lost.Upper = math.Inf(1)
	got, err := json.Marshal([]fit.Estimate{lost, {Name: "p", Value: 0.5, SE: 0.1, Lower: 0.3, Upper: 0.7}})
	if err != nil {
		t.Fatal(err)
	}
	want := `[{"name":"N","estimate":null,"se":null,"lower":null,"upper":null,"scale":"natural","estimable":false,"status":"not estimable"},` +
		`{"name":"p","estimate":0.5,"se":0.1,"lower":0.3,"upper":0.7,"scale":"natural","estimable":true,"status":"estimable"}]`
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}
