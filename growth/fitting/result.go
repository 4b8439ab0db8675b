package fitting

import (
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
	"dawnround/growth"
)

// A Result is a growth curve fitted.
type Result struct {
	Model     string          `json:"model"`
	Source    string          `json:"source"`
	Estimates []fit.Estimate  `json:"estimates"` // natural scale, sizes in the unit of the readings, k per year
	Fit       fit.Fit         `json:"-"`
	AICc      float64         `json:"-"` // its sample size is the number of animals
	Animals   int             `json:"animals"`
	Readings  int             `json:"readings"` // used
	Pairs     int             `json:"pairs,omitempty"`
	LeftOut   []string        `json:"left_out"`
	Residuals []Residual      `json:"residuals"`
	Relation  growth.Relation `json:"relation"` // to be adopted
	Warnings  []string        `json:"warnings"`

	animals []animal
}

// A Residual is one observation beside what was expected of it: a size at an
// age, or a gain from a size. Standard is in standard deviations; where
// asymptotes differ between animals it is about the animal's own curve.
type Residual struct {
	Animal   string  `json:"animal"`
	At       float64 `json:"at"` // age in days, or size at the first capture
	Years    float64 `json:"years,omitempty"`
	Observed float64 `json:"observed"`
	Expected float64 `json:"expected"`
	Standard float64 `json:"standard"`
}

// Candidate is the model as it enters fit.Compare. Only curves fitted to the
// same readings can be compared.
func (r Result) Candidate() fit.Candidate {
	return fit.Candidate{Name: r.Model, Minus2LnL: r.Fit.Minus2LnL, Parameters: r.Fit.Parameters,
		SampleSize: r.Animals, SampleOf: fmt.Sprintf("animals, %d readings", r.Readings)}
}

// result begins the result of a fit to gains.
func (g gains) result(model, source string, f fit.Fit) Result {
	r := Result{Model: model, Source: source, Fit: f, animals: g.animals, Animals: len(g.animals), Pairs: len(g.pairs), Readings: len(g.pairs) + len(g.animals)}
	r.AICc = fit.AICc(f.Minus2LnL, f.Parameters, r.Animals)
	if g.between > 0 && model != approachModel {
		r.LeftOut = append(r.LeftOut, fmt.Sprintf("%d readings less than %d days after the one before: error of measurement, not growth", g.between, LeastGapDays))
	}
	return r
}

func (r *Result) add(e fit.Estimate) { r.Estimates = append(r.Estimates, e) }

// positive adds parameter i, which stands as a logarithm, on its natural scale.
func (r *Result) positive(i int, name string) {
	v := math.Exp(r.Fit.X[i])
	g := unit(len(r.Fit.X), i)
	g[i] = v
	r.add(r.Fit.Derive(name, v, g, fit.Log))
}

// lost tells, and says, that nothing came of a fit.
func (r *Result) lost() bool {
	r.Warnings = append(r.Warnings, r.Fit.Warnings...)
	return math.IsNaN(r.Fit.Minus2LnL)
}

// relate makes the relation of a fit to gains, from asymptote, rate and their
// derivatives by the parameters.
func (r *Result) relate(g gains, asymptote, k float64, derivatives [][]float64) {
	sizes := g.sortedSizes()
	r.Relation = growth.Relation{
		AgesIn: "a", Form: growth.Saturating, Fitted: growth.GainOnSize,
		Parameters: []growth.Parameter{{Name: "A", Value: asymptote}, {Name: "k", Value: k, Unit: "1/a"}},
		Covariance: carried(r.Fit.Covariance, derivatives),
		Sizes:      []float64{sizes[0], sizes[len(sizes)-1]},
	}
	r.made()
}

func (r *Result) relateKnown(k *known, p curve) {
	x := r.Fit.X
	values := []float64{p.a, p.k, p.place}
	if k.shape.extra {
		values = append(values, p.v)
	}
	r.Relation = growth.Relation{AgesIn: "a", Form: k.Form, Fitted: growth.SizeOnAge, Residual: r.unbiased(math.Sqrt(p.residual), k.Random), AsymptoteSD: math.Sqrt(p.own)}
	f, _ := growth.FormOf(k.Form)
	var derivatives [][]float64
	for i, v := range values {
		d := unit(len(x), i)
		unitOf := ""
		switch f.Parameters[i] {
		case "k":
			unitOf = "1/a"
		case "t0", "ti":
			unitOf = "a"
		}
		switch f.Parameters[i] {
		case "A", "k":
			d[i] = v
		case "v":
			d[i] = 1 + v
		}
		derivatives = append(derivatives, d)
		r.Relation.Parameters = append(r.Relation.Parameters, growth.Parameter{Name: f.Parameters[i], Value: v, Unit: unitOf})
	}
	r.Relation.Covariance = carried(r.Fit.Covariance, derivatives)
	youngest, oldest := math.Inf(1), math.Inf(-1)
	for _, a := range k.animals {
		for _, reading := range a.readings {
			youngest, oldest = math.Min(youngest, reading.Age/daysPerYear), math.Max(oldest, reading.Age/daysPerYear)
		}
	}
	r.Relation.Ages = []float64{youngest, oldest}
	r.made()
}

// unbiased raises the standard deviation about one curve for all, which maximum
// likelihood takes too small, by √(n/(n − p)). Beside asymptotes of the animals'
// own it stands.
func (r *Result) unbiased(sd float64, random bool) float64 {
	n, p := float64(r.Readings), float64(r.Fit.Parameters-1)
	if r.Pairs > 0 {
		n = float64(r.Pairs)
	}
	if random || n <= p+1 {
		return sd
	}
	return sd * math.Sqrt(n/(n-p))
}

func (r *Result) made() {
	r.Relation.Animals, r.Relation.Measures = r.Animals, r.Readings
	r.Relation.Made = &growth.Made{Model: r.Model, Animals: names(r.animals), Readings: r.Readings}
	if r.Animals < LeastPairs {
		r.Warnings = append(r.Warnings, fmt.Sprintf("only %d animals: how far they differ rests on very little", r.Animals))
	}
	if r.Pairs > r.Animals && r.Model != approachModel {
		r.Warnings = append(r.Warnings, "animals with several pairs share readings between them; errors are by animal, so that this is allowed for")
	}
}

// Name tells whose curve it is, of what, and from which state of which data, so
// that it can be adopted; a unit is that of the readings, as UCUM code.
func (r *Result) Name(species, trait, unit, state string) {
	l := &r.Relation
	l.Species, l.Trait, l.Unit = species, trait, unit
	l.Source = "own animals, " + r.Model
	if l.Made == nil { // nothing was fitted
		l.Made = &growth.Made{Model: r.Model}
	}
	l.Made.State = state
	for i := range l.Parameters {
		if l.Parameters[i].Name == "A" {
			l.Parameters[i].Unit = unit
		}
	}
	r.settle()
	if wrongs := l.Wrongs(); len(wrongs) > 0 {
		r.Warnings = append(r.Warnings, "cannot be adopted: "+wrongs[0].Says)
	}
}

// settle takes out of the relation, and of the residuals, what is no number:
// where the data settle nothing there is no curve to adopt or to draw.
func (r *Result) settle() {
	r.Residuals = slices.DeleteFunc(r.Residuals, func(d Residual) bool {
		return !finite(d.At, d.Years, d.Observed, d.Expected, d.Standard)
	})
	l := &r.Relation
	sound := finite(l.Residual, l.ResidualPercent, l.AsymptoteSD) && finite(l.Ages...) && finite(l.Sizes...)
	for _, p := range l.Parameters {
		sound = sound && finite(p.Value)
	}
	for _, row := range l.Covariance {
		sound = sound && finite(row...)
	}
	if !sound {
		l.Parameters, l.Covariance, l.Ages, l.Sizes, l.Residual, l.ResidualPercent, l.AsymptoteSD = nil, nil, nil, nil, 0, 0, 0
	}
}

func finite(x ...float64) bool {
	return !slices.ContainsFunc(x, func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) })
}

// gainResiduals lists each gain beside what was expected. grown gives the time
// that growth took for, where a season bends it.
func (r *Result) gainResiduals(g gains, sd func(p pair, mean float64) float64, grown func(pair) float64) {
	a, k := r.Relation.Parameters[0].Value, r.Relation.Parameters[1].Value
	for _, p := range g.pairs {
		years := p.years
		if grown != nil {
			years = grown(p)
		}
		mean := growth.FabensGain(p.from, years, a, k)
		r.Residuals = append(r.Residuals, Residual{Animal: g.animals[p.animal].name, At: p.from, Years: p.years, Observed: p.gain, Expected: mean, Standard: (p.gain - mean) / sd(p, mean)})
	}
	r.warnUnreached(g, a)
}

// warnUnreached says when the asymptote lies beyond anything seen.
func (r *Result) warnUnreached(g gains, asymptote float64) {
	if largest := slices.Max(g.sortedSizes()); asymptote > 1.1*largest {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the asymptote %s lies beyond the largest animal, %s: growth was not seen to end", short(asymptote), short(largest)))
	}
}

// short writes a number with about four figures.
func short(x float64) string { return fmt.Sprintf("%.4g", x) }
