package fit

import "math"

// chi95 is the chi-square with one degree of freedom exceeded 5 times in 100.
const chi95 = z95 * z95

// An Interval is a 95 % profile-likelihood interval on the link scale. An end
// the data leave open is −Inf or +Inf.
type Interval struct {
	Lower, Upper float64
	// Better tells that the likelihood beside the fit was higher than at it:
	// the fit stood on a lower hill, and neither should be quoted.
	Better bool
}

// Profile finds how far parameter i can go before twice the log-likelihood,
// with all others at their best, has fallen by 3.84. It suits estimates near
// the end of their range, where ± standard errors mislead (Venzon & Moolgavkar
// 1988, Applied Statistics 37:87–94, state the method; the walk is our own).
func (l Likelihood) Profile(f Fit, i int) Interval {
	if len(f.X) == 0 || math.IsNaN(f.Minus2LnL) {
		return Interval{Lower: math.Inf(-1), Upper: math.Inf(1)}
	}
	w := &walk{l: l, f: f, i: i}
	w.lower = w.end(-1)
	w.upper = w.end(1)
	return Interval{Lower: w.lower, Upper: w.upper, Better: w.better}
}

type walk struct {
	l            Likelihood
	f            Fit
	i            int
	lower, upper float64
	better       bool
}

// end brackets the crossing on one side, then closes in on it by the Illinois
// form of the false position. The signed root of the deviance is followed, for
// it is nearly straight.
func (w *walk) end(side float64) float64 {
	here, others := w.f.X[w.i], without(w.f.X, w.i)
	step := side
	if se := math.Sqrt(w.f.Covariance[w.i][w.i]); se > 0 && se < 10 {
		step = side * z95 * se
	}
	a, ra := here, -z95
	b := here + step
	rb, warm := w.root(b, here, others)
	for rb < 0 {
		if math.Abs(b-here) > 60 {
			return math.Inf(int(side))
		}
		a, ra, others = b, rb, warm
		step *= 1.6
		b += step
		rb, warm = w.root(b, a, others)
	}
	for range 60 {
		c := b - rb*(b-a)/(rb-ra)
		if math.IsInf(rb, 1) || math.IsNaN(c) {
			c = (a + b) / 2
		}
		rc, _ := w.root(c, a, others)
		if math.Abs(rc) < 1e-8 || math.Abs(b-a) < 1e-12*(1+math.Abs(b)) {
			return c
		}
		if (rc < 0) == (rb < 0) {
			ra /= 2
		} else {
			a, ra = b, rb
		}
		b, rb = c, rc
	}
	return b
}

// root is √(deviance at x) − 1.96, with the other parameters at their best
// there; they are sought from where they stood at from.
func (w *walk) root(x, from float64, others []float64) (float64, []float64) {
	start := append([]float64(nil), others...)
	if v := w.f.Covariance[w.i][w.i]; v > 0 {
		axpy((x-from)/v, without(w.f.Covariance[w.i], w.i), start)
	}
	value, best := w.l.fixed(w.i, x, start)
	if math.IsInf(value, 1) {
		value, best = w.l.fixed(w.i, x, others)
	}
	deviance := 2*value - w.f.Minus2LnL
	if deviance < -1e-4 {
		w.better = true
	}
	return math.Sqrt(math.Max(0, deviance)) - z95, best
}

// fixed is the lowest −ln L with parameter i held at x, and the others there.
func (l Likelihood) fixed(i int, x float64, start []float64) (float64, []float64) {
	if len(start) == 0 {
		return -l.Log([]float64{x}, nil), nil
	}
	full := make([]float64, len(start)+1)
	held := Likelihood{Names: without(l.Names, i), Log: func(others, gradient []float64) float64 {
		value := l.Log(with(others, i, x), full)
		copy(gradient, without(full, i))
		return value
	}}
	if l.Basis != nil {
		held.Basis = l.Basis.without(i)
	}
	c := newClimb(held)
	top := c.climb(c.basis.solveUpper(start))
	return top.value, c.basis.times(top.at)
}
