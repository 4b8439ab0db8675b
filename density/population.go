package density

import (
	"math"

	"dawnround/abundance"
	"dawnround/fit"
)

// A Population is what is estimated of one trip's animals.
type Population struct {
	Trip   string `json:"trip"`
	Caught int    `json:"caught"`
	// N is how many animals had their centres in the state space: those caught
	// and those estimated to have been missed; log-normal on the latter.
	N fit.Estimate `json:"n"`
	// Expected is the mean of N over surveys of places like this; log-normal.
	Expected fit.Estimate `json:"expected"`
	// EffectiveHa is the area of the state space times the chance that an animal
	// living in it is caught at all.
	EffectiveHa fit.Estimate `json:"effective_ha"`
	AreaHa      float64      `json:"area_ha"` // of the state space
}

// A quantity is a value with its derivatives by the parameters, and the
// variance it has beyond theirs.
type quantity struct {
	value, extra float64
	gradient     []float64
}

// expect finds the animals expected to be caught and missed on each trip.
func (l *laid) expect(x []float64) {
	l.scratch.weigh = false
	l.predict(x)
	l.each(l.forward)
	l.masses()
}

// slope is the gradient of byCaught · caught + byThere · there, on one trip,
// where expect was asked last.
func (l *laid) slope(t int, byCaught, byThere float64) []float64 {
	s := &l.scratch
	clear(s.pull)
	clear(s.push)
	s.pull[t], s.push[t] = byCaught, byThere
	gradient := make([]float64, len(l.names()))
	l.slopes(gradient)
	return gradient
}

// share is the chance that an animal living in a trip's state space is caught.
func (l *laid) share(t int) quantity {
	caught := l.scratch.caught[t]
	there := caught + l.scratch.missed[t]
	return quantity{value: caught / there, gradient: l.slope(t, 1/there, -caught/(there*there))}
}

// caughtOn is how many animals a trip caught.
func (l *laid) caughtOn(t int) float64 { return float64(l.trips[t].to - l.trips[t].from) }

// numbers are the animals of a trip: expected over surveys, and there in fact.
// Under the Poisson those missed are Poisson beside the error of their mean;
// the number fixed is its own expectation. Given that they were caught, n/p*
// has the variance of n, Poisson n/p*² or binomial n(1 − p*)/p*² (Borchers &
// Efford 2008).
func (l *laid) numbers(t int) (expected, real quantity) {
	n := l.caughtOn(t)
	missed := l.scratch.missed[t]
	there := l.scratch.caught[t] + missed
	switch l.model.Count {
	case Conditional:
		p := l.share(t)
		q := quantity{value: n / p.value, gradient: p.gradient}
		for i := range q.gradient {
			q.gradient[i] *= -n / (p.value * p.value)
		}
		expected, real = q, q
		expected.extra = n / (p.value * p.value)
		real.extra = n * (1 - p.value) / (p.value * p.value)
	case Binomial:
		expected = quantity{value: math.Max(there, n), gradient: l.slope(t, 0, 1)}
		real = expected
	default:
		expected = quantity{value: there, gradient: l.slope(t, 0, 1)}
		real = quantity{value: n + missed, extra: missed, gradient: l.slope(t, -1, 1)}
	}
	return expected, real
}

// logNormal is an estimate above 0 with its interval even on the logarithm.
func (r *Result) logNormal(name string, q quantity) fit.Estimate {
	e := r.Fit.Derive(name, q.value, q.gradient, fit.Log)
	if e.Status != fit.Estimable {
		return e
	}
	e.SE = math.Sqrt(e.SE*e.SE + q.extra)
	spread := math.Exp(fit.Z95 * e.SE / e.Value)
	e.Lower, e.Upper = e.Value/spread, e.Value*spread
	return e
}

// real is an N with its interval log-normal on those not caught.
func (r *Result) real(name string, q quantity, caught float64) fit.Estimate {
	switch status := r.Fit.StatusOf(q.gradient); {
	case status == fit.NotEstimable || !finite(q.value):
		return fit.Lost(name)
	case status == fit.AtBoundary:
		return fit.Estimate{Name: name, Value: math.Max(q.value, caught), SE: math.NaN(), Lower: caught, Upper: r.profiled(), Status: status}
	}
	return abundance.LogNormal(name, q.value, math.Sqrt(r.Fit.Variance(q.gradient)+q.extra), caught)
}

// profiled is the upper end of the profile-likelihood interval for a fixed
// number of animals behind which stands one parameter; NaN otherwise.
func (r *Result) profiled() float64 {
	l := r.laid
	if l.model.Count != Binomial || len(l.survey) > 1 || len(l.density.names()) > 1 {
		return math.NaN()
	}
	interval := r.likelihood.Profile(r.Fit, 0)
	if interval.Better {
		return math.NaN()
	}
	return math.Exp(interval.Upper) * l.survey[0].Space.AreaHa()
}

// population fills in what is estimated of numbers.
func (r *Result) population() {
	l := r.laid
	l.expect(r.Fit.X)
	area := 0.0
	mean := quantity{gradient: make([]float64, len(r.Fit.X))}
	for t, s := range l.survey {
		expected, real := l.numbers(t)
		sampled := l.share(t)
		ha := s.Space.AreaHa()
		sampled.value *= ha
		for i := range sampled.gradient {
			sampled.gradient[i] *= ha
		}
		r.Populations = append(r.Populations, Population{
			Trip: s.Name, Caught: int(l.caughtOn(t)), AreaHa: ha,
			N:           r.real(l.ofTrip("N", t), real, l.caughtOn(t)),
			Expected:    r.logNormal(l.ofTrip("N[expected]", t), expected),
			EffectiveHa: r.Fit.Derive(l.ofTrip("effective_area_ha", t), sampled.value, sampled.gradient, fit.Log),
		})
		area += ha
		mean.value += expected.value
		mean.extra += expected.extra
		for i, v := range expected.gradient {
			mean.gradient[i] += v
		}
	}
	r.D = r.logNormal("D_per_ha", mean.over(area))
	if l.model.Count == Conditional {
		r.fixedNumber()
	}
}

// over is the quantity divided by a constant.
func (q quantity) over(by float64) quantity {
	out := quantity{value: q.value / by, extra: q.extra / (by * by)}
	for _, v := range q.gradient {
		out.gradient = append(out.gradient, v/by)
	}
	return out
}

// fixedNumber adds the density that goes with a fixed number of animals.
func (r *Result) fixedNumber() {
	l := r.laid
	area := 0.0
	mean := quantity{gradient: make([]float64, len(r.Fit.X))}
	for t, s := range l.survey {
		_, real := l.numbers(t)
		area += s.Space.AreaHa()
		mean.value += real.value
		mean.extra += real.extra
		for i, v := range real.gradient {
			mean.gradient[i] += v
		}
	}
	r.Fixed = r.logNormal("D_per_ha[number fixed]", mean.over(area))
}
