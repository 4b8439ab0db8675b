package survival

import (
	"fmt"
	"math"
	"slices"

	"dawnround/abundance"
	"dawnround/fit"
)

// A Result is a survival model fitted.
type Result struct {
	Model        Model          `json:"model"`
	Survival     []fit.Estimate `json:"survival"`             // per unit of time, as the effects tell it apart
	Detection    []fit.Estimate `json:"detection"`            // on an occasion
	Movement     []fit.Estimate `json:"movement,omitempty"`   // over an interval, of those that survive it
	Emigration   []fit.Estimate `json:"emigration,omitempty"` // chance of being away next period, of those that survive
	Populated    []fit.Estimate `json:"populated,omitempty"`  // what the model says of the population, by name
	N            []fit.Estimate `json:"n,omitempty"`          // animals, by occasion
	Coefficients []fit.Estimate `json:"coefficients"`         // on the link scale
	Fit          fit.Fit        `json:"-"`
	AICc         float64        `json:"-"`
	Released     int            `json:"released"` // on all occasions but the last
	Recaught     int            `json:"recaught"` // of them, later
	Occasions    int            `json:"occasions"`
	Warnings     []string       `json:"warnings"`

	laid       *laid
	likelihood fit.Likelihood
}

// Fit estimates survival and detection by maximum likelihood, given every
// release.
//
// Marks are taken to be kept, animals to fare independently, occasions to be
// short; beyond what the effects say, all animals alike survive and are caught
// alike. Survival is apparent: leaving for good counts as death. With full time
// dependence only the product of the last survival and detection is estimable,
// and the result says so. Sample size for AICc is the number of releases on all
// occasions but the last. An error means the data and the model do not go
// together.
func Fit(d Data, m Model) (Result, error) {
	l, err := lay(d, m)
	if err != nil {
		return Result{}, err
	}
	r := Result{Model: m, laid: l, Released: l.released(), Recaught: l.recaught(), Occasions: l.occasions, AICc: math.NaN()}
	if r.Released == 0 && len(l.visits) == 0 {
		r.Fit.Minus2LnL = math.NaN()
		r.Survival, r.Detection = []fit.Estimate{fit.Lost("survival")}, []fit.Estimate{fit.Lost("detection")}
		r.Warnings = []string{"no animal was released before the last occasion: nothing tells of survival"}
		return r, nil
	}
	r.likelihood = l.likelihood()
	r.Fit = r.likelihood.Maximise()
	r.AICc = fit.AICc(r.Fit.Minus2LnL, r.Fit.Parameters, r.Released)
	r.Survival = r.naturals(l.chain.survive)
	r.Detection = r.naturals(l.chain.detect)
	switch {
	case l.chain.move != nil && l.nights != nil:
		r.Emigration = r.naturals(l.chain.move)
	case l.chain.move != nil:
		r.Movement = r.moves()
	}
	for _, p := range l.parts {
		p.report(&r)
	}
	for i := range r.Fit.Names {
		r.Coefficients = append(r.Coefficients, r.Fit.Coefficient(i, l.scale(i)))
	}
	if len(r.Survival) == 0 {
		r.Survival = []fit.Estimate{fit.Lost("survival")}
	}
	r.warn()
	return r, nil
}

// scale is the link of a coefficient; the parts' own are logarithms.
func (l *laid) scale(i int) fit.Link {
	for _, p := range l.predictors {
		if i >= p.at && i < p.at+len(p.design.Names) {
			return p.link
		}
	}
	return fit.Log
}

// naturals reads a parameter's values off the fit.
func (r Result) naturals(p *predictor) []fit.Estimate {
	var out []fit.Estimate
	for _, l := range p.labels {
		out = append(out, r.natural(p, l))
	}
	return out
}

func (r Result) natural(p *predictor, l label) fit.Estimate {
	gradient := make([]float64, len(r.Fit.X))
	value := p.link.Natural(l.eta(r.Fit.X[p.at:]))
	for j, v := range l.row {
		gradient[p.at+j] = v * p.link.Slope(value)
	}
	return r.Fit.Derive(l.name, value, gradient, p.link)
}

// differenced is the gradient of a smooth quantity by central differences.
func (r Result) differenced(of func(x []float64) float64) []float64 {
	const h = 1e-5
	gradient, x := make([]float64, len(r.Fit.X)), slices.Clone(r.Fit.X)
	for i := range x {
		x[i] = r.Fit.X[i] + h
		above := of(x)
		x[i] = r.Fit.X[i] - h
		gradient[i] = (above - of(x)) / (2 * h)
		x[i] = r.Fit.X[i]
	}
	return gradient
}

// size is a number of animals of which so many were caught, with the variance
// of sampling beside that of the parameters. Its interval is log-normal on those
// not caught.
func (r Result) size(name string, n, caught, sampled float64, gradient []float64) fit.Estimate {
	if r.Fit.StatusOf(gradient) == fit.NotEstimable {
		return fit.Lost(name)
	}
	return abundance.LogNormal(name, n, math.Sqrt(sampled+r.Fit.Variance(gradient)), caught)
}

// A Place says which value of a parameter is asked for. Occasion counts from 1;
// survival over an interval is named by the occasion before it.
type Place struct {
	Row      int // of the data, from 0: whose group and numbers
	Occasion int
	Since    int  // intervals since marking, from 1
	Missed   bool // not caught the occasion before
	State    int  // from 0
}

func (p Place) cell() cell {
	return cell{who: p.Row, when: p.Occasion - 1, since: p.Since, missed: p.Missed, from: p.State}
}

// SurvivalAt is survival at a place, whatever the effects tell apart, so that
// models can be averaged. It is not estimable where no release tells of it.
func (r Result) SurvivalAt(p Place) fit.Estimate { return r.valueAt(r.laid.chain.survive, p) }

// DetectionAt is detection at a place.
func (r Result) DetectionAt(p Place) fit.Estimate { return r.valueAt(r.laid.chain.detect, p) }

func (r Result) valueAt(p *predictor, at Place) fit.Estimate {
	if r.Released == 0 || at.Row < 0 || at.Row >= len(p.kindOf) || at.Occasion < 1 || at.Occasion > len(p.clock) {
		return fit.Lost(p.name)
	}
	i, ok := p.index[p.blind(at.cell())]
	if !ok {
		return fit.Lost(p.name)
	}
	return r.natural(p, label{p.title(p.cells[i]), p.cells[i], p.x[p.rowOf[i]]})
}

func (r *Result) warn() {
	r.Warnings = append(r.Warnings, r.Fit.Warnings...)
	add := func(format string, args ...any) { r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...)) }
	switch {
	case r.Released == 0:
		add("no animal was released before the last occasion: nothing tells of survival")
	case r.Recaught == 0:
		add("nobody was caught again: nothing tells dying from not being caught")
	case r.Occasions == 2:
		add("two occasions tell only how many came back: survival and detection cannot be told apart")
	case r.Recaught < 10:
		add("only %d recaptures: the figures rest on very little", r.Recaught)
	}
	for _, p := range r.laid.predictors {
		if len(p.design.Aliased) > 0 {
			add("%s: left out, as other effects already say it: %v", p.name, p.design.Aliased)
		}
	}
}

// Candidate is the model as it enters [fit.Compare]. Models that speak of more
// than the releases are of a kind of their own.
func (r Result) Candidate(name string) fit.Candidate {
	c := fit.Candidate{
		Name: name, Minus2LnL: r.Fit.Minus2LnL, Parameters: r.Fit.Parameters,
		SampleSize: r.Released, SampleOf: "releases",
	}
	switch {
	case len(r.laid.visits) > 0:
		c.SampleOf = "releases, with the nights of their periods"
	case r.Model.Population == Entry && !r.Model.GivenCaught:
		c.SampleOf = "releases, with first captures and those never caught"
	case r.Model.Population != Marked:
		c.SampleOf = "releases, with first captures"
	}
	return c
}

// Transients is the share of newly marked animals that only pass through, 1 −
// φ₁/φ₂ from survival in the first and in later intervals since marking, under
// a model with "since-marking:2" (Pradel, Hines, Lebreton & Nichols 1997). A
// cost of marking looks the same. It may come out below 0, and is not estimable
// under other models.
func (r Result) Transients(at Place) fit.Estimate {
	const name = "transients"
	at.Since = 1
	first := r.SurvivalAt(at)
	at.Since = 2
	later := r.SurvivalAt(at)
	if first.Name == later.Name || first.Status == fit.NotEstimable || later.Status == fit.NotEstimable {
		return fit.Lost(name)
	}
	p := r.laid.chain.survive
	share := func(x []float64) float64 {
		p.predict(x)
		return 1 - p.p[r.rowAt(p, at, 1)]/p.p[r.rowAt(p, at, 2)]
	}
	return r.Fit.Derive(name, share(r.Fit.X), r.differenced(share), fit.Identity)
}

// rowAt is the row of a place so many intervals since marking.
func (r Result) rowAt(p *predictor, at Place, since int) int {
	at.Since = since
	return p.rowOf[p.index[p.blind(at.cell())]]
}
