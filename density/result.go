package density

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnround/fit"
)

// A Result is a model fitted.
type Result struct {
	Model        Model          `json:"model"`
	D            fit.Estimate   `json:"d"`     // animals per hectare, over all of the state space
	Fixed        fit.Estimate   `json:"-"`     // under Conditional: with the error of a fixed number of animals
	ByLabel      []fit.Estimate `json:"by"`    // densities by group or trip, where the effects tell them apart
	Populations  []Population   `json:"trips"` // of each trip
	Detection    []fit.Estimate `json:"detection"`
	Sigma        []fit.Estimate `json:"sigma"` // metres
	Coefficients []fit.Estimate `json:"coefficients"`
	Fit          fit.Fit        `json:"-"`
	AICc         float64        `json:"-"`
	Caught       int            `json:"caught"`    // animals, over all trips
	Captures     int            `json:"captures"`  // of them
	Elsewhere    int            `json:"elsewhere"` // other traps at which animals were caught, beyond one each
	Boundless    bool           `json:"boundless"` // σ has no upper limit
	Array        Array          `json:"array"`
	Warnings     []string       `json:"warnings"`

	laid       *laid
	likelihood fit.Likelihood
}

// Options say how the work is done; they change no figure.
type Options struct {
	Workers  int                   // at once; 0 is one
	Progress func(evaluations int) // called after each evaluation of the likelihood
}

// A Stopped is the error of a fit that was ended early.
type Stopped struct {
	Evaluations int
	Minus2LnL   float64 // the lowest so far; NaN where there was none
	Reason      error
}

// Unwrap gives the reason.
func (s *Stopped) Unwrap() error { return s.Reason }

// Error says how far it came.
func (s *Stopped) Error() string {
	if !finite(s.Minus2LnL) {
		return fmt.Sprintf("stopped after %d evaluations of the likelihood: nothing is estimated", s.Evaluations)
	}
	return fmt.Sprintf("stopped after %d evaluations of the likelihood, the lowest −2 ln L so far %.4f: nothing is estimated", s.Evaluations, s.Minus2LnL)
}

// Fit estimates density under a model by maximum likelihood.
//
// The population is taken to be closed during each trip, centres to stay, marks
// to be kept, and animals to be caught independently; homes are round, and
// beyond what the effects say all animals are caught alike. Nothing is
// estimable where no animal was caught, and neither density nor σ where none
// was caught at a second trap, since nothing then tells how far they move; the
// result says so. The interval for density is log-normal; that for N is
// log-normal on the animals missed. An error means that survey and model do not
// go together, or [Stopped].
func Fit(ctx context.Context, s Survey, m Model, o Options) (Result, error) {
	l, err := lay(s, m)
	if err != nil {
		return Result{}, err
	}
	l.workers = max(1, o.Workers)
	r := Result{Model: m, laid: l, AICc: math.NaN(), Caught: len(l.lives), D: fit.Lost("D_per_ha"), Fixed: fit.Lost("D_per_ha[number fixed]")}
	for _, one := range l.lives {
		r.Captures += len(one.caught)
		r.Elsewhere += one.elsewhere()
	}
	r.Array = l.array()
	if r.Captures == r.Caught { // or nobody was
		r.nothing()
		r.warn()
		return r, nil
	}
	likelihood, watch := l.likelihood(ctx, o.Progress)
	r.likelihood = likelihood
	r.Fit = likelihood.Maximise()
	if ctx.Err() != nil {
		return Result{}, &Stopped{watch.evaluations, watch.least, ctx.Err()}
	}
	r.AICc = fit.AICc(r.Fit.Minus2LnL, r.Fit.Parameters, r.Caught)
	for i := range r.Fit.Names {
		r.Coefficients = append(r.Coefficients, r.Fit.Coefficient(i, l.scale(i)))
	}
	r.naturals()
	r.population()
	r.takeBack()
	r.warn()
	return r, nil
}

// elsewhere counts the other traps an animal was caught at.
func (one life) elsewhere() int {
	var traps []int
	for _, c := range one.caught {
		if !slices.Contains(traps, c.Trap) {
			traps = append(traps, c.Trap)
		}
	}
	return len(traps) - 1
}

func (l *laid) scale(i int) fit.Link {
	if i >= l.detect.at && i < l.move.at {
		return l.model.Shape.link()
	}
	return fit.Log
}

// A watch counts evaluations and keeps the best.
type watch struct {
	evaluations int
	least       float64
}

// likelihood readies the model for the kit. Once ctx ends, no place can be
// judged any more, and the search ends.
func (l *laid) likelihood(ctx context.Context, progress func(int)) (fit.Likelihood, *watch) {
	w := &watch{least: math.NaN()}
	k := fit.Likelihood{Names: l.names(), Starts: l.starts(), Basis: fit.NewMatrix(len(l.names()))}
	reach := 1 / math.Sqrt(float64(len(l.lives))) // about an error of the estimates
	for _, p := range []*predictor{&l.density, &l.detect, &l.move} {
		for i, row := range p.design.Basis[p.skip:] {
			for j, v := range row[p.skip:] {
				k.Basis[p.at+i][p.at+j] = v * reach
			}
		}
	}
	k.Log = func(x, gradient []float64) float64 {
		if ctx.Err() != nil {
			return math.NaN()
		}
		value := settled(l.log(x, gradient))
		w.evaluations++
		if !(-2*value >= w.least) && finite(value) {
			w.least = -2 * value
		}
		if progress != nil {
			progress(w.evaluations)
		}
		return value
	}
	return k, w
}

// settled cuts off the last 7 bits of a sum of many, which rounding made up, so
// that the search does not chase them: near the top two places that differ by
// less count as equally high, and the gradient alone leads on.
func settled(x float64) float64 {
	const loose = 1<<7 - 1
	return math.Float64frombits(math.Float64bits(x) &^ loose)
}

// nothing is the result where no animal was caught twice: the likelihood is not
// climbed, since it only rises towards ever more and ever shyer animals.
func (r *Result) nothing() {
	l := r.laid
	for t, s := range l.survey {
		p := Population{
			Trip: s.Name, Caught: int(l.caughtOn(t)), AreaHa: s.Space.AreaHa(),
			N: fit.Lost(l.ofTrip("N", t)), Expected: fit.Lost(l.ofTrip("N[expected]", t)), EffectiveHa: fit.Lost(l.ofTrip("effective_area_ha", t)),
		}
		p.N.Lower = float64(p.Caught)
		r.Populations = append(r.Populations, p)
	}
	lost := func(p *predictor) (all []fit.Estimate) {
		for _, label := range p.labels {
			all = append(all, fit.Lost(label.name))
		}
		return all
	}
	r.Detection, r.Sigma = lost(&l.detect), lost(&l.move)
	for i, name := range l.names() {
		e := fit.Lost(name)
		e.Scale = l.scale(i)
		r.Coefficients = append(r.Coefficients, e)
	}
}

// ofTrip is a name, with the trip's where there are several.
func (l *laid) ofTrip(name string, t int) string {
	if len(l.survey) == 1 {
		return name
	}
	trip := l.survey.names()[t]
	if of, found := strings.CutSuffix(name, "]"); found {
		return of + "," + trip + "]"
	}
	return name + "[" + trip + "]"
}

// naturals reads densities, detections and movements off the fit.
func (r *Result) naturals() {
	l := r.laid
	r.Detection = r.labelled(&l.detect)
	r.Sigma = r.labelled(&l.move)
	if l.model.Count != Conditional && len(l.density.labels) > 1 {
		r.ByLabel = r.labelled(&l.density)
	}
}

// labelled gives the natural values of a predictor's labels.
func (r *Result) labelled(p *predictor) []fit.Estimate {
	link := r.laid.link(p)
	var out []fit.Estimate
	for _, label := range p.labels {
		eta, gradient := 0.0, make([]float64, len(r.Fit.X))
		for j, v := range label.row[p.skip:] {
			eta += v * r.Fit.X[p.at+j]
			gradient[p.at+j] = v
		}
		value := link.Natural(eta)
		for j := range gradient {
			gradient[j] *= link.Slope(value)
		}
		out = append(out, r.Fit.Derive(label.name, value, gradient, link))
	}
	return out
}

// Candidate is the model as it enters [fit.Compare]. Likelihoods that take the
// number of animals otherwise, or that speak of groups, are not of one kind with
// the others.
func (r Result) Candidate(name string) fit.Candidate {
	c := fit.Candidate{
		Name: name, Minus2LnL: r.Fit.Minus2LnL, Parameters: r.Fit.Parameters,
		SampleSize: r.Caught, SampleOf: "animals caught",
	}
	if r.Model.Count != Poisson {
		c.SampleOf += ", " + r.Model.Count.String() + " likelihood"
	}
	if len(r.laid.groups) > 1 {
		c.SampleOf += ", with their groups"
	}
	return c
}
