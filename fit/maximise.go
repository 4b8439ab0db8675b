package fit

import (
	"fmt"
	"math"
)

// A Likelihood is what a model says of the data, as a function of parameters
// on the link scale.
type Likelihood struct {
	// Names of the parameters, one each.
	Names []string
	// Starts are the places to climb from; the best summit is kept.
	Starts [][]float64
	// Basis, upper triangular, turns the coordinates the climb is made in into
	// parameters. Its columns should each change the link values by about 1.
	// Nil stands for the parameters themselves.
	Basis Matrix
	// Log returns the log-likelihood and, where gradient is not nil, writes its
	// exact derivatives there. A place it cannot judge may give NaN or −Inf.
	// It may keep scratch space: it is never called twice at once.
	Log func(x, gradient []float64) float64
	// Canonical, if not nil, chooses among parameters that are the same model in
	// another order (the kinds of a mixture), so that starts can agree.
	Canonical func(x []float64) []float64
}

// An Ending says how the climb ended.
type Ending struct {
	Converged   bool    `json:"converged"`    // the gradient is 0 to rounding
	MaxGradient float64 `json:"max_gradient"` // the largest slope left, per unit of the link scale
	Evaluations int     `json:"evaluations"`  // of the likelihood with its gradient
	Starts      int     `json:"starts"`
	Agreeing    int     `json:"agreeing"` // starts that reached the best value
}

// A Fit is a likelihood at its maximum.
type Fit struct {
	Names      []string
	X          []float64 // on the link scale
	Minus2LnL  float64
	Covariance Matrix // of X; directions in Flat are left out of it
	Flat       []Flat
	Parameters int // counted for comparisons: all but those not estimable
	Ending     Ending
	Warnings   []string
}

// Slopes below gradientEnough end a climb; flatCurvature and flatShare tell a
// direction the data say nothing about: a standard error above 100 on the link
// scale, or a curvature lost in the rounding of the sharpest.
const (
	gradientEnough = 1e-6
	flatCurvature  = 1e-4
	flatShare      = 1e-7
)

// Maximise climbs from every start by BFGS with the exact gradient, polishes
// the best end by Newton steps, checks the gradient, and differences it into
// the information matrix. A likelihood that is nowhere finite gives a Fit that
// says so, with every parameter not estimable.
func (l Likelihood) Maximise() Fit {
	c := newClimb(l)
	f := Fit{Names: l.Names, Ending: Ending{Starts: len(l.Starts)}}
	if len(l.Names) == 0 {
		f.Minus2LnL = -2 * l.Log(nil, nil)
		f.Ending = Ending{Converged: true, Starts: len(l.Starts), Agreeing: len(l.Starts)}
		return f
	}
	tops := make([]summit, 0, len(l.Starts))
	best := summit{value: math.Inf(1)}
	for _, start := range l.Starts {
		top := c.canonical(c.climb(c.basis.solveUpper(start)))
		tops = append(tops, top)
		if top.value < best.value {
			best = top
		}
	}
	if math.IsInf(best.value, 1) {
		return hopeless(l)
	}
	best, curvature := c.polish(best)
	f.X = c.basis.times(best.at)
	f.Minus2LnL = 2 * best.value
	c.curve(&f, best, curvature)
	f.Ending.MaxGradient = maxAbs(best.slope)
	f.Ending.Converged = f.Ending.MaxGradient <= slopeEnough(best.value)
	f.Ending.Evaluations = c.evaluations
	c.compareTops(&f, best, tops)
	return f
}

func hopeless(l Likelihood) Fit {
	n := len(l.Names)
	f := Fit{Names: l.Names, X: make([]float64, n), Minus2LnL: math.NaN(), Covariance: NewMatrix(n)}
	for i := range n {
		f.Flat = append(f.Flat, Flat{Direction: unit(n, i), Names: l.Names[i : i+1]})
	}
	f.Warnings = []string{"the likelihood is nowhere finite: nothing is estimable"}
	return f
}

// canonical carries a summit to the order of parameters that stands for all.
func (c *climb) canonical(top summit) summit {
	if c.l.Canonical == nil || math.IsInf(top.value, 1) {
		return top
	}
	same := c.look(c.basis.solveUpper(c.l.Canonical(c.basis.times(top.at))))
	if !(math.Abs(same.value-top.value) < 1e-9*(1+math.Abs(top.value))) {
		return top
	}
	return same
}

// compareTops tells whether the starts agree, and whether a second summit as
// high stands elsewhere along directions the data do speak about.
func (c *climb) compareTops(f *Fit, best summit, tops []summit) {
	elsewhere := false
	for _, t := range tops {
		if t.value-best.value > 1e-5 {
			continue
		}
		f.Ending.Agreeing++
		elsewhere = elsewhere || c.apart(f, t.at, best.at)
	}
	if elsewhere {
		f.Warnings = append(f.Warnings, "two maxima are equally high: the data fit two answers alike")
	}
	if !f.Ending.Converged {
		f.Warnings = append(f.Warnings, fmt.Sprintf("the search stopped on a slope of %.2g: take the figures as unfinished", f.Ending.MaxGradient))
	}
}

// apart tells whether two summits differ by more than 0.01 on the link scale.
// Where a direction is flat, being apart says nothing.
func (c *climb) apart(f *Fit, a, b []float64) bool {
	gap := c.basis.times(a)
	axpy(-1, c.basis.times(b), gap)
	return len(f.Flat) == 0 && maxAbs(gap) > 0.01
}

// A summit is where a climb ended: the lowest −ln L found, in the coordinates
// of the basis, with its slope.
type summit struct {
	at, slope []float64
	value     float64
}

func slopeEnough(value float64) float64 { return gradientEnough * math.Max(1, 1e-3*math.Abs(value)) }

// A climb holds the likelihood in the coordinates of its basis, turned upside
// down, as every textbook on minimising has it.
type climb struct {
	l           Likelihood
	basis       Matrix
	gradient    []float64
	evaluations int
}

func newClimb(l Likelihood) *climb {
	basis := l.Basis
	if basis == nil {
		basis = identity(len(l.Names))
	}
	return &climb{l: l, basis: basis, gradient: make([]float64, len(l.Names))}
}

func (c *climb) look(y []float64) summit {
	c.evaluations++
	s := summit{at: y, slope: make([]float64, len(y))}
	s.value = -c.l.Log(c.basis.times(y), c.gradient)
	c.basis.timesTransposed(c.gradient, s.slope)
	for i := range s.slope {
		s.slope[i] = -s.slope[i]
	}
	if math.IsNaN(s.value) || math.IsNaN(maxAbs(s.slope)) {
		s.value = math.Inf(1)
	}
	return s
}

// climb is BFGS on the inverse Hessian (Nocedal & Wright 2006, algorithm 6.1)
// with a bisecting line search for the weak Wolfe conditions.
func (c *climb) climb(start []float64) summit {
	here := c.look(start)
	if math.IsInf(here.value, 0) {
		return summit{at: start, slope: here.slope, value: math.Inf(1)}
	}
	inverse, fresh, stalled := identity(len(start)), true, 0
	for range 1000 {
		if maxAbs(here.slope) <= slopeEnough(here.value)/10 {
			break
		}
		direction := inverse.times(here.slope)
		if dot(direction, here.slope) <= 0 {
			inverse, fresh = identity(len(start)), true
			direction = append([]float64(nil), here.slope...)
		}
		next, ok := c.lineSearch(here, direction)
		if !ok && fresh {
			break
		}
		if !ok {
			inverse, fresh = identity(len(start)), true
			continue
		}
		stalled++
		if here.value-next.value > 1e-13*(1+math.Abs(here.value)) {
			stalled = 0
		}
		fresh = !update(inverse, here, next, fresh)
		here = next
		if stalled > 5 {
			break
		}
	}
	return here
}

// lineSearch goes against direction until the value has fallen enough and the
// slope has flattened. No step changes a coordinate by more than 4.
func (c *climb) lineSearch(here summit, direction []float64) (summit, bool) {
	fall := dot(direction, here.slope)
	lo, hi := 0.0, math.Inf(1)
	longest := 4 / maxAbs(direction)
	step := math.Min(1, longest)
	var best summit
	found := false
	for range 40 {
		y := append([]float64(nil), here.at...)
		axpy(-step, direction, y)
		next := c.look(y)
		switch {
		case !(next.value <= here.value-1e-4*step*fall):
			hi = step
		case dot(next.slope, direction) > 0.9*fall && step < longest:
			best, found, lo = next, true, step
		default:
			return next, true
		}
		if math.IsInf(hi, 1) {
			step = math.Min(2*step, longest)
		} else {
			step = (lo + hi) / 2
		}
	}
	return best, found
}

// update brings the inverse Hessian up to date in place; it tells whether the
// step carried curvature to learn from.
func update(inverse Matrix, here, next summit, fresh bool) bool {
	n := len(here.at)
	s, y := make([]float64, n), make([]float64, n)
	for i := range n {
		s[i], y[i] = next.at[i]-here.at[i], next.slope[i]-here.slope[i]
	}
	sy, yy := dot(s, y), dot(y, y)
	if !(sy > 1e-12*math.Sqrt(dot(s, s)*yy)) {
		return false
	}
	if fresh {
		for i := range n {
			inverse[i][i] = sy / yy
		}
	}
	hy := inverse.times(y)
	growth := (1 + dot(y, hy)/sy) / sy
	for i := range n {
		for j := range n {
			inverse[i][j] += float64(growth*s[i]*s[j]) - float64((hy[i]*s[j]+s[i]*hy[j])/sy)
		}
	}
	return true
}
