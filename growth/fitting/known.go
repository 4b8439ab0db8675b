package fitting

import (
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
)

// Samples that asymptotes of the animals' own need: so many animals of so many
// days each, unless the technical error is supplied. Common practice, no
// source.
const (
	ManyAnimals = 30
	ManyDays    = 3
)

// KnownOptions choose the curve of animals of known age.
type KnownOptions struct {
	Form           string  // von Bertalanffy, Gompertz, logistic or Richards
	Random         bool    // each animal has an asymptote of its own
	TechnicalError float64 // s.d. of one reading, if known; 0: the residual is estimated
}

// KnownForms are the curves [Known] fits.
func KnownForms() []string {
	var forms []string
	for _, s := range shapes {
		forms = append(forms, s.form)
	}
	return forms
}

// known is a curve of known ages at work.
type known struct {
	KnownOptions
	shape   shape
	animals []animal
	left    []string
	names   []string
	d       [][]float64 // scratch: derivatives of the shape at each reading
	h, r    []float64
}

// Known fits a curve to animals of known age. Sizes are in any unit, ages in
// days, k is per year. With Random an animal's asymptote is normal about A and
// multiplies the whole curve; since the size is straight in it, its likelihood
// is exact. Without, all animals follow one curve, and errors are by animal.
// The residual holds error of measurement and what the curve leaves out; a
// technical error, supplied with Random, stands in its place. It refuses fewer
// than 12 readings (30 for Richards), and Random unless there are 30 animals
// measured on 3 days or the technical error is supplied.
func Known(readings []Reading, o KnownOptions) (Result, error) {
	k, err := newKnown(readings, o)
	if err != nil {
		return Result{}, err
	}
	return k.result(), nil
}

func (k *known) result() Result {
	r := Result{LeftOut: k.left, Model: k.model(), Source: knownSource, animals: k.animals, Animals: len(k.animals), Readings: count(k.animals)}
	r.Fit = k.likelihood().maximise(!k.Random)
	r.AICc = fit.AICc(r.Fit.Minus2LnL, r.Fit.Parameters, r.Animals)
	k.tell(&r)
	return r
}

const knownSource = "von Bertalanffy 1938, Gompertz (Winsor 1932), Verhulst 1838, Richards 1959; asymptotes as random effects by maximum likelihood (Laird & Ware 1982)"

func newKnown(readings []Reading, o KnownOptions) (*known, error) {
	i := slices.IndexFunc(shapes, func(s shape) bool { return s.form == o.Form })
	if i < 0 {
		return nil, fmt.Errorf("curve %q: expected one of %q", o.Form, KnownForms())
	}
	everything := animals(readings)
	all := aged(everything)
	need := LeastPairs
	if shapes[i].extra {
		need = ManyPairs
	}
	if have := count(all); have < need {
		return nil, &TooThin{Have: have, Need: need, Of: "readings of known age for a curve of form " + o.Form}
	}
	if have := differentAges(all); have < leastAges {
		return nil, &TooThin{Have: have, Need: leastAges, Of: "different ages"}
	}
	if err := enoughForRandom(o.Random, o.TechnicalError, all); err != nil {
		return nil, err
	}
	k := layKnown(all, shapes[i], o)
	if without := count(everything) - count(all); without > 0 {
		k.left = append(k.left, fmt.Sprintf("%d readings of unknown age", without))
	}
	return k, nil
}

// leastAges are needed for a curve to have a course.
const leastAges = 4

func differentAges(all []animal) int {
	ages := map[float64]bool{}
	for _, a := range all {
		for _, r := range a.readings {
			ages[r.Age] = true
		}
	}
	return len(ages)
}

// layKnown lays the model out over the animals, however few.
func layKnown(all []animal, s shape, o KnownOptions) *known {
	k := &known{KnownOptions: o, shape: s, animals: all, names: []string{"A", "k", s.place}}
	most := 0
	for _, a := range all {
		most = max(most, len(a.readings))
	}
	k.h, k.r = make([]float64, most), make([]float64, most)
	for range most {
		k.d = append(k.d, make([]float64, 3))
	}
	if s.extra {
		k.names = append(k.names, "v")
	}
	if k.estimatesResidual() {
		k.names = append(k.names, "residual sd")
	}
	if o.Random {
		k.names = append(k.names, "asymptote sd")
	}
	return k
}

// enoughForRandom refuses asymptotes of the animals' own where nothing could
// tell them from errors of measurement.
func enoughForRandom(random bool, technicalError float64, all []animal) error {
	if !random || technicalError > 0 {
		return nil
	}
	often := 0
	for _, a := range all {
		if a.days() >= ManyDays {
			often++
		}
	}
	if often < ManyAnimals {
		return &TooThin{Have: often, Need: ManyAnimals, Of: "animals measured on 3 days or more, for asymptotes of their own",
			Instead: "supply the technical error, or fit one curve for all"}
	}
	return nil
}

// estimatesResidual tells whether the residual is a parameter. A technical
// error stands in its place only beside asymptotes of the animals' own: else
// the differences between animals would have nowhere to go.
func (k *known) estimatesResidual() bool { return !k.Random || k.TechnicalError == 0 }

func (k *known) model() string {
	if k.Random {
		return k.Form + ", asymptotes of the animals' own"
	}
	return k.Form
}

func (k *known) likelihood() likelihood {
	l := likelihood{names: k.names, units: len(k.animals), of: k.log}
	var sizes []float64
	oldest := 0.0
	for _, a := range k.animals {
		for _, r := range a.readings {
			sizes = append(sizes, r.Size)
			oldest = math.Max(oldest, r.Age/daysPerYear)
		}
	}
	slices.Sort(sizes)
	top := fit.Quantile(sizes, 0.95)
	for _, turns := range []float64{1.5, 4, 10} { // k such that growth ends within the ages seen, more or less
		start := k.start(top, turns/math.Max(oldest, 1e-3))
		l.starts = append(l.starts, start)
	}
	for _, name := range k.names {
		l.scales = append(l.scales, map[string]float64{"A": 0.02, k.shape.place: 0.1 * math.Max(oldest, 1e-3)}[name])
	}
	for i := range l.scales {
		if l.scales[i] == 0 {
			l.scales[i] = 0.1
		}
	}
	return l
}

// start gives parameters from a first k, with the asymptote that fits it best.
func (k *known) start(top, rate float64) []float64 {
	x := []float64{math.Log(math.Abs(top)), math.Log(rate), k.shape.begin(rate)}
	if k.shape.extra {
		x = append(x, math.Ln2)
	}
	p := k.natural(append(slices.Clone(x), 0, 0))
	shy, shh, squares, n := 0.0, 0.0, 0.0, 0.0
	for _, a := range k.animals {
		k.look(a, p)
		for j, r := range a.readings {
			shy += k.h[j] * r.Size
			shh += k.h[j] * k.h[j]
		}
	}
	if a := shy / shh; a > 0 {
		x[0] = math.Log(a)
		p.a = a
	}
	for _, a := range k.animals {
		k.look(a, p)
		for j := range a.readings {
			squares += k.r[j] * k.r[j]
			n++
		}
	}
	sd := math.Sqrt(squares/n) + 1e-6*p.a
	if k.estimatesResidual() {
		x = append(x, math.Log(sd/math.Sqrt2))
	}
	if k.Random {
		x = append(x, math.Log(sd/math.Sqrt2))
	}
	return x
}

// curve is the parameters on their natural scale; residual and own are
// variances.
type curve struct{ a, k, place, v, residual, own float64 }

func (k *known) natural(x []float64) curve {
	p := curve{a: math.Exp(x[0]), k: math.Exp(x[1]), place: x[2], v: 1, residual: k.TechnicalError * k.TechnicalError}
	next := 3
	if k.shape.extra {
		p.v = math.Expm1(x[next])
		next++
	}
	if k.estimatesResidual() {
		p.residual = math.Exp(2 * x[next])
		next++
	}
	if k.Random {
		p.own = math.Exp(2 * x[next])
	}
	return p
}

// look writes the shape, its derivatives and the residuals of one animal.
func (k *known) look(a animal, p curve) {
	for j, r := range a.readings {
		k.h[j] = k.shape.reached(p.k, p.place, p.v, r.Age/daysPerYear, k.d[j])
		k.r[j] = r.Size - p.a*k.h[j]
	}
}

// log is ln L of one animal: its sizes are normal about A·h with covariance
// residual·I + own·h·hᵀ, whose inverse and determinant are known (Sherman &
// Morrison 1950).
func (k *known) log(i int, x, gradient []float64) float64 {
	p := k.natural(x)
	a := k.animals[i]
	k.look(a, p)
	n := float64(len(a.readings))
	hh, hr, rr := 0.0, 0.0, 0.0
	for j := range a.readings {
		hh += k.h[j] * k.h[j]
		hr += k.h[j] * k.r[j]
		rr += k.r[j] * k.r[j]
	}
	total := p.residual + p.own*hh
	own := p.own * hr / total // this animal's asymptote, less A
	left := 0.0               // squares about its own curve
	for j := range a.readings {
		e := k.r[j] - own*k.h[j]
		left += e * e
		gradient[0] += p.a * e * k.h[j] / p.residual
		byH := (p.a+own)*e/p.residual - p.own*k.h[j]/total
		gradient[1] += byH * k.d[j][0]
		gradient[2] += byH * k.d[j][1]
		if k.shape.extra {
			gradient[3] += byH * k.d[j][2]
		}
	}
	next := len(gradient)
	if k.Random {
		next--
		gradient[next] += p.own * (hr*hr/(total*total) - hh/total)
	}
	if k.estimatesResidual() {
		next--
		gradient[next] += left/p.residual - (n - 1) - p.residual/total
	}
	quadratic := (rr - p.own*hr*hr/total) / p.residual
	return -n*halfLn2Pi - ((n-1)*math.Log(p.residual)+math.Log(total)+quadratic)/2
}

// tell reads curve and residuals off the fit.
func (k *known) tell(r *Result) {
	if r.lost() {
		return
	}
	x := r.Fit.X
	p := k.natural(x)
	r.positive(0, "A")
	r.positive(1, "k")
	r.add(r.Fit.Derive(k.shape.place, p.place, unit(len(x), 2), fit.Identity))
	from := 3
	if k.shape.extra {
		d := unit(len(x), 3)
		d[3] = 1 + p.v
		r.add(r.Fit.Derive("v", p.v, d, fit.Identity))
		from++
	}
	for i := from; i < len(k.names); i++ {
		r.positive(i, k.names[i])
	}
	r.relateKnown(k, p)
	for _, a := range k.animals {
		k.look(a, p)
		hh, hr := 0.0, 0.0
		for j := range a.readings {
			hh += k.h[j] * k.h[j]
			hr += k.h[j] * k.r[j]
		}
		own := p.own * hr / (p.residual + p.own*hh)
		for j, reading := range a.readings {
			r.Residuals = append(r.Residuals, Residual{
				Animal: a.name, At: reading.Age, Observed: reading.Size, Expected: reading.Size - k.r[j],
				Standard: (k.r[j] - own*k.h[j]) / math.Sqrt(p.residual),
			})
		}
	}
}

func unit(n, i int) []float64 {
	u := make([]float64, n)
	u[i] = 1
	return u
}
