package abundance

import (
	"math"

	"dawnround/fit"
)

// LogNormal gives an estimate of N its 95 % interval, log-normal on the number
// not caught: caught + (N − caught) ÷ and × exp(1.96 √ln(1 + SE²/(N − caught)²))
// (Chao 1989, Biometrics 45:427–438). With nothing above the number caught the
// interval is that number alone; an N that is not finite is not estimable.
func LogNormal(name string, n, se, caught float64) fit.Estimate {
	if math.IsNaN(n) || math.IsInf(n, 0) {
		return fit.Lost(name)
	}
	e := fit.Estimate{Name: name, Value: n, SE: se, Lower: caught, Upper: caught}
	unseen := n - caught
	if unseen <= 1e-9*math.Max(1, caught) {
		e.Lower, e.Upper = n, n
		return e
	}
	ratio := se / unseen
	spread := math.Exp(fit.Z95 * math.Sqrt(math.Log1p(ratio*ratio)))
	e.Lower, e.Upper = caught+unseen/spread, caught+unseen*spread
	return e
}

// population reads N off the fit, for each group and together.
func (r *Result) population() {
	c := r.closed
	groups := make([]fit.Estimate, len(c.caught))
	for g := range groups {
		groups[g] = r.count("N"+c.groupName(g), func(group int) bool { return group == g })
	}
	r.N = groups[0]
	if len(groups) > 1 {
		r.ByGroup = groups
		r.N = r.count("N", func(int) bool { return true })
	}
	r.N.Name = "N"
}

func (r *Result) count(name string, in func(group int) bool) fit.Estimate {
	if math.IsNaN(r.Fit.Minus2LnL) || r.Nights == 1 {
		return fit.Lost(name)
	}
	var n number
	if r.closed.model.Conditional {
		n = r.closed.byInverseChance(r.Fit.X, in)
	} else {
		n = r.closed.byUnseen(r.Fit.X, in)
	}
	status := r.Fit.StatusOf(n.gradient)
	switch {
	case status == fit.NotEstimable || !(n.value < noLimit) || status == fit.AtBoundary && n.value > 1e3*(n.caught+1):
		return fit.Lost(name)
	case status == fit.AtBoundary:
		e := fit.Estimate{Name: name, Value: n.value, SE: math.NaN(), Lower: n.caught, Upper: math.NaN(), Status: fit.AtBoundary}
		if i := r.closed.onlyUnseen(in); i >= 0 {
			e.Upper = limit(n.caught, r.likelihood.Profile(r.Fit, i).Upper)
		}
		return e
	}
	return LogNormal(name, n.value, math.Sqrt(r.Fit.Variance(n.gradient)+n.extra), n.caught)
}

// A number is N with its derivatives, the animals caught, and the variance it
// has beyond that of the parameters.
type number struct {
	value, caught, extra float64
	gradient             []float64
}

// byUnseen is the full likelihood's N: those caught and those not.
func (c *closed) byUnseen(x []float64, in func(int) bool) number {
	n := number{gradient: make([]float64, len(x))}
	for g, caught := range c.caught {
		if in(g) {
			f := math.Exp(x[g])
			n.value += caught + f
			n.caught += caught
			n.gradient[g] = f
		}
	}
	return n
}

// byInverseChance is the conditional likelihood's N = Σ 1/p*, p* being each
// caught animal's chance of being caught at all; beyond the parameters' it has
// variance Σ (1 − p*)/p*² (Huggins 1989, Biometrika 76:133–140).
func (c *closed) byInverseChance(x []float64, in func(int) bool) number {
	n := number{gradient: make([]float64, len(x))}
	c.predict(x)
	for _, u := range c.unseen {
		if !in(u.group) {
			continue
		}
		never := c.look(u.uses)
		ever := -math.Expm1(never)
		n.value += u.count / ever
		n.caught += u.count
		n.extra += u.count * math.Exp(never) / (ever * ever)
		c.push(u.uses, u.count*math.Exp(never)/(ever*ever))
	}
	c.collect(n.gradient)
	return n
}

// collect adds the derivatives pushed since the last prediction.
func (c *closed) collect(gradient []float64) {
	s := &c.scratch
	total := 0.0
	for _, d := range s.dShare {
		total += d
	}
	for k := range c.components - 1 {
		gradient[c.unseenAt()+k] += s.dShare[k] - s.share[k]*total
	}
	for i, row := range c.x {
		for j, v := range row {
			gradient[c.detectAt()+j] += float64(s.slope[i] * v)
		}
	}
}

// onlyUnseen is the parameter behind N where there is just one.
func (c *closed) onlyUnseen(in func(int) bool) int {
	only := -1
	for g := range c.unseenAt() {
		if in(g) && only >= 0 {
			return -1
		}
		if in(g) {
			only = g
		}
	}
	return only
}

// ProfileN is the 95 % profile-likelihood interval for the N of a full
// likelihood. Its upper end is +Inf where the data set no limit. It does not
// exist (false) for a conditional likelihood or several groups.
func (r Result) ProfileN() (lower, upper float64, ok bool) {
	if r.Model.Conditional || len(r.closed.caught) > 1 || r.Caught == 0 {
		return math.NaN(), math.NaN(), false
	}
	interval := r.likelihood.Profile(r.Fit, 0)
	caught := float64(r.Caught)
	return limit(caught, interval.Lower), limit(caught, interval.Upper), !interval.Better
}

// noLimit is an N that stands for one without limit.
const noLimit = 1e9

// limit is an end of an interval for N from one for ln(N − caught).
func limit(caught, logUnseen float64) float64 {
	if n := caught + math.Exp(logUnseen); n < noLimit {
		return n
	}
	return math.Inf(1)
}
