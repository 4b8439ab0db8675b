package abundance

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
)

// A Result is a closed model fitted.
type Result struct {
	Model        Model          `json:"model"`
	N            fit.Estimate   `json:"n"`            // all groups together; log-normal interval
	ByGroup      []fit.Estimate `json:"by_group"`     // nil where there is one group
	Detection    []fit.Estimate `json:"detection"`    // a night's chance of being caught, as the effects tell them apart
	Shares       []fit.Estimate `json:"shares"`       // of a mixture's kinds, the least catchable first
	Coefficients []fit.Estimate `json:"coefficients"` // on the link scale
	Fit          fit.Fit        `json:"-"`
	AICc         float64        `json:"-"`
	Caught       int            `json:"caught"`   // animals
	Captures     int            `json:"captures"` // of them, over all nights
	Nights       int            `json:"nights"`
	Warnings     []string       `json:"warnings"`

	closed     *closed
	likelihood fit.Likelihood
}

// Fit estimates N under a closed model by maximum likelihood.
//
// The population is taken to be closed over the nights, marks to be kept, and
// animals to be caught independently; beyond what the effects say, all are
// equally catchable. N is not estimable when no animal was caught twice (unless
// the catches of new animals fall night by night under "after-capture"), with a
// single night, or with effects that leave N free; the result then says so and
// still gives what can be known. The interval for N is log-normal on N − caught
// (Chao 1989, Biometrics 45:427–438); at N = caught it is the profile interval.
// An error means the data and the model do not go together.
func Fit(d Data, m Model) (Result, error) {
	c, err := lay(d, m)
	if err != nil {
		return Result{}, err
	}
	r := Result{Model: m, closed: c, Captures: c.captures, Nights: c.nights, AICc: math.NaN()}
	for _, n := range c.caught {
		r.Caught += int(n)
	}
	if r.Caught == 0 {
		r.N = fit.Lost("N")
		r.Warnings = []string{"no animal was caught: there is nothing to estimate from"}
		return r, nil
	}
	r.likelihood = c.likelihood()
	r.Fit = r.likelihood.Maximise()
	r.AICc = fit.AICc(r.Fit.Minus2LnL, r.Fit.Parameters, r.Caught)
	r.population()
	r.naturals()
	for i := range r.Fit.Names {
		r.Coefficients = append(r.Coefficients, r.Fit.Coefficient(i, c.scale(i)))
	}
	r.warn()
	return r, nil
}

func (c *closed) scale(i int) fit.Link {
	if i < c.unseenAt() {
		return fit.Log
	}
	return fit.Logit
}

// ordered puts the least catchable kind of a mixture first: the other orders
// are the same model.
func (c *closed) ordered(x []float64) []float64 {
	c.predict(x)
	mean := make([]float64, c.components)
	for _, rows := range c.rows {
		for k, row := range rows {
			mean[k] += c.scratch.eta[row]
		}
	}
	kinds := make([]int, c.components)
	for k := range kinds {
		kinds[k] = k
	}
	slices.SortStableFunc(kinds, func(a, b int) int { return cmp.Compare(mean[a], mean[b]) })
	if slices.IsSorted(kinds) {
		return x
	}
	if same, err := c.permuted(x, kinds); err == nil {
		return same
	}
	return x // effects that treat kinds unlike have but one order
}

// permuted gives the parameters under which component k is what kinds[k] was.
func (c *closed) permuted(x []float64, kinds []int) ([]float64, error) {
	eta := make([]float64, len(c.x))
	shares := make([]float64, len(kinds))
	for k, from := range kinds {
		shares[k] = c.scratch.share[from]
		for _, rows := range c.rows {
			eta[rows[k]] = c.scratch.eta[rows[from]]
		}
	}
	beta, err := fit.Coefficients(c.x, eta)
	if err != nil {
		return nil, err
	}
	etas, err := fit.ShareEtas(shares)
	if err != nil {
		return nil, err
	}
	return slices.Concat(x[:c.unseenAt()], etas, beta), nil
}

// naturals reads the detections and shares off the fit.
func (r *Result) naturals() {
	c := r.closed
	for _, l := range c.labels {
		eta := 0.0
		gradient := make([]float64, len(r.Fit.X))
		for j, v := range l.row {
			eta += v * r.Fit.X[c.detectAt()+j]
		}
		p := fit.Logit.Natural(eta)
		for j, v := range l.row {
			gradient[c.detectAt()+j] = v * fit.Logit.Slope(p)
		}
		r.Detection = append(r.Detection, r.Fit.Derive(l.name, p, gradient, fit.Logit))
	}
	if c.components == 1 {
		return
	}
	shares := fit.Shares(r.Fit.X[c.unseenAt():c.detectAt()])
	for k, share := range shares {
		gradient := make([]float64, len(r.Fit.X))
		for j := range c.components - 1 {
			gradient[c.unseenAt()+j] = -share * shares[j]
			if j == k {
				gradient[c.unseenAt()+j] += share
			}
		}
		r.Shares = append(r.Shares, r.Fit.Derive(fmt.Sprintf("share[kind %d]", k+1), share, gradient, fit.Logit))
	}
}

func (r *Result) warn() {
	c := r.closed
	r.Warnings = append(r.Warnings, r.Fit.Warnings...)
	add := func(format string, args ...any) { r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...)) }
	again := r.Captures - r.Caught
	if again == 0 && c.tellsFirst {
		add("no animal was caught twice: nothing tells how catchable they are but the fall in new ones")
	}
	switch {
	case c.nights == 1:
		add("one night cannot tell few catchable animals from many shy ones: N is not estimable")
	case r.N.Status == fit.NotEstimable:
		add("the number not caught is not estimable under this model")
	case r.N.Status == fit.AtBoundary:
		add("the estimate is the number caught, %d: the model leaves no room for animals not caught", r.Caught)
	}
	if c.tellsWho && again > 0 && again < 7 {
		add("only %d recaptures: the interval rests on very little", again)
	}
	if c.components > 1 {
		if c.nights < 5 {
			add("a mixture from fewer than 5 nights: kinds of animal cannot be told apart; give a range over models")
		}
		add("different mixtures can fit alike and give other N (Link 2003): do not average this model with others")
	}
	if len(c.design.Aliased) > 0 {
		add("left out, as other effects already say it: %v", c.design.Aliased)
	}
}

// Candidate is the model as it enters [fit.Compare]. Mixtures are set apart
// from the weighing, and full and conditional likelihoods are not one kind.
func (r Result) Candidate(name string) fit.Candidate {
	c := fit.Candidate{
		Name: name, Minus2LnL: r.Fit.Minus2LnL, Parameters: r.Fit.Parameters,
		SampleSize: r.Caught, SampleOf: "animals caught",
	}
	if r.Model.Conditional {
		c.SampleOf = "animals caught, conditional likelihood"
	}
	if r.closed.components > 1 {
		c.Apart = "a mixture: different mixtures fit alike and give other N"
	}
	return c
}
