package fit

import "math"

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
	lower, upper := w.end(-1), w.end(1)
	return Interval{Lower: lower, Upper: upper, Better: w.better}
}

type walk struct {
	l      Likelihood
	f      Fit
	i      int
	better bool
}

// A stand is a place on the walk: where the parameter is held, where the
// others went, and the signed root of the deviance there.
type stand struct {
	x, root float64
	others  []float64
}

// farthest is how far, in units of the link scale or in standard errors, an
// end is sought before it is called open.
const farthest = 40

// end brackets the crossing on one side, then closes in on it by the Illinois
// form of the false position. The signed root of the deviance is followed, for
// it is nearly straight.
func (w *walk) end(side float64) float64 {
	inner := stand{w.f.X[w.i], -z95, without(w.f.X, w.i)}
	first, drift := w.setOut()
	step := side * z95 * first
	outer := w.stand(inner.x+step, inner, drift)
	for outer.root < 0 {
		if math.Abs(outer.x-w.f.X[w.i]) > farthest*math.Max(1, first) {
			return math.Inf(int(side))
		}
		drift = between(inner, outer)
		inner = outer
		step *= 1.6
		outer = w.stand(inner.x+step, inner, drift)
	}
	return w.close(inner, outer)
}

func (w *walk) close(a, b stand) float64 {
	ra := a.root
	for range 80 {
		x := b.x - b.root*(b.x-a.x)/(b.root-ra)
		if math.IsInf(b.root, 1) || math.IsNaN(x) {
			x = (a.x + b.x) / 2
		}
		c := w.stand(x, a, between(a, b))
		if math.Abs(c.root) < 1e-8 || math.Abs(b.x-a.x) < 1e-12*(1+math.Abs(b.x)) {
			return x
		}
		if (c.root < 0) == (b.root < 0) {
			ra /= 2
		} else {
			a, ra = b, b.root
		}
		b = c
	}
	return b.x
}

// between is how the other parameters drift from one stand to another.
func between(a, b stand) []float64 {
	drift := make([]float64, len(a.others))
	for k := range drift {
		drift[k] = (b.others[k] - a.others[k]) / (b.x - a.x)
	}
	return drift
}

// setOut is the scale of the first step, and how the others may be expected to
// drift with the parameter: as their covariance says, or along a flat direction.
func (w *walk) setOut() (scale float64, drift []float64) {
	variance := w.f.Covariance[w.i][w.i]
	drift = make([]float64, len(w.f.X)-1)
	if w.f.StatusOf(unit(len(w.f.X), w.i)) == Estimable && variance > 0 {
		axpy(1/variance, without(w.f.Covariance[w.i], w.i), drift)
		return math.Sqrt(variance), drift
	}
	steepest := 0.0
	for _, flat := range w.f.Flat {
		if share := math.Abs(flat.Direction[w.i]); share > steepest {
			steepest = share
			clear(drift)
			axpy(1/flat.Direction[w.i], without(flat.Direction, w.i), drift)
		}
	}
	return 1, drift
}

// stand holds the parameter at x; the others are sought from where they would
// drift to, or else from where they stood.
func (w *walk) stand(x float64, from stand, drift []float64) stand {
	start := append([]float64(nil), from.others...)
	axpy(x-from.x, drift, start)
	value, others := w.l.fixed(w.i, x, start)
	if math.IsInf(value, 1) {
		value, others = w.l.fixed(w.i, x, from.others)
	}
	deviance := 2*value - w.f.Minus2LnL
	if deviance < -1e-4 {
		w.better = true
	}
	return stand{x, math.Sqrt(math.Max(0, deviance)) - z95, others}
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
