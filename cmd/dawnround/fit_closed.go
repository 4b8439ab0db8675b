package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"dawnround/abundance"
	"dawnround/fit"
)

// fitAbundance estimates how many animals there are.
func (c *call) fitAbundance(o fitOptions) error {
	effects, err := o.closed()
	if err != nil {
		return err
	}
	t, err := c.plain()
	switch {
	case err != nil:
		return err
	case o.at != "":
		return c.evaluate(t, o, effects)
	case o.method != "":
		return c.count(t, o, effects)
	}
	return c.closedModel(t, o, effects)
}

// closed reads --detect and sees that the options go together.
func (o fitOptions) closed() ([]string, error) {
	effects, err := splitEffects("detect", o.detect)
	switch {
	case err != nil:
		return nil, err
	case o.method == "" && o.detect == "":
		return nil, errUsage{"--detect EFFECTS or --method NAME is missing; the plainest is --detect constant"}
	case o.method != "" && !slices.Contains(methodNames(), o.method):
		return nil, errUsage{fmt.Sprintf("--method %q: expected %s", o.method, strings.Join(methodNames(), ", "))}
	case o.method != "" && (o.conditional || o.at != ""):
		return nil, errUsage{"--conditional and --at belong to --detect; leave out --method"}
	case o.method != "" && o.method != "removal" && o.detect != "":
		return nil, errUsage{"--method " + o.method + " takes no --detect; choose one"}
	}
	return effects, nil
}

const closedAssumes = "the population is closed while it was trapped (no births, deaths or moves), marks are kept and read rightly, and animals are caught independently of each other; "

// withConditional is when a closed model takes an animal's own column.
const withConditional = ", with --conditional"

// closedModel fits a closed model by maximum likelihood.
func (c *call) closedModel(t *plainTable, o fitOptions, effects []string) error {
	data, effects, err := t.closed(effects)
	if err != nil {
		return err
	}
	r, err := abundance.Fit(data, abundance.Model{Detect: effects, Conditional: o.conditional})
	if err != nil {
		return t.unlike(err, withConditional)
	}
	e := modelled(r)
	e.Table, e.Seed = t.layout.name, o.seed
	return c.print(e, e.person)
}

// modelled tells a fitted model.
func modelled(r abundance.Result) estimated {
	e := estimated{
		Model: r.Model.String(), SampleSize: r.Caught, SampleOf: r.Candidate("").SampleOf,
		Derived: []fit.Estimate{}, Warnings: append([]string{}, r.Warnings...),
		Assumes: closedAssumes + alike(r.Model), Source: closedSource(r), Versions: versions(),
	}
	e.Parameters = slices.Concat([]fit.Estimate{r.N}, r.ByGroup, r.Detection, r.Shares)
	for _, coefficient := range r.Coefficients {
		coefficient.Name = linked + coefficient.Name
		e.Parameters = append(e.Parameters, coefficient)
	}
	if r.Caught == 0 {
		e.Says = sentence(r.N, r.Caught, "")
		return e
	}
	e.Covariance = covarianceOf(r.Fit, 1)
	e.Minus2LnL, e.AICc, e.Count = finite(r.Fit.Minus2LnL), finite(r.AICc), &r.Fit.Parameters
	best, kind := r.N, "log-normal"
	if lower, upper, ok := r.ProfileN(); ok && !math.IsNaN(lower) && r.Nights > 1 {
		best.Name, best.Lower, best.Upper, kind = "N[profile]", lower, upper, "profile"
		e.Derived = append(e.Derived, best)
		if math.IsInf(upper, 1) {
			e.Warnings = append(e.Warnings, "the data set no upper limit to N")
		}
	}
	e.Says = sentence(best, r.Caught, kind)
	return e
}

// alike says in words which differences between animals and nights a model
// allows.
func alike(m abundance.Model) string {
	if len(m.Detect) == 0 || slices.Equal(m.Detect, []string{"constant"}) {
		return "every animal is equally catchable on every night"
	}
	return "beyond what the effects say (" + strings.Join(m.Detect, ", ") + "), all are equally catchable"
}

func closedSource(r abundance.Result) string {
	source := "Otis, Burnham, White & Anderson 1978, Wildlife Monographs 62"
	if r.Model.Conditional {
		source = "Huggins 1989, Biometrika 76:133–140"
	}
	if len(r.Shares) > 0 {
		source += "; mixtures: Pledger 2000, Biometrics 56:434–442"
	}
	return source + "; log-normal interval: Chao 1989, Biometrics 45:427–438"
}

// sentence says how many there are, with the interval.
func sentence(n fit.Estimate, caught int, interval string) string {
	seen := plural(caught, "animal") + " caught"
	switch {
	case n.Status == fit.NotEstimable || finite(n.Value) == nil:
		from := ""
		if finite(n.Lower) != nil {
			from = "; at least " + figure(n.Lower)
		}
		return fmt.Sprintf("How many there are is not estimable from these data (%s%s).", seen, from)
	case finite(n.Lower) == nil:
		return fmt.Sprintf("About %.0f animals (no interval is known; %s).", n.Value, seen)
	case math.IsInf(n.Upper, 1):
		return fmt.Sprintf("About %.0f animals (95 %% %s interval from %s without an upper limit; %s).", n.Value, interval, figure(n.Lower), seen)
	case finite(n.Upper) == nil:
		return fmt.Sprintf("About %.0f animals (from %s, the upper limit is not known; %s).", n.Value, figure(n.Lower), seen)
	}
	return fmt.Sprintf("About %.0f animals (95 %% %s interval %s to %s; %s).", n.Value, interval, figure(n.Lower), figure(n.Upper), seen)
}

// evaluate gives −2 ln L without fitting.
func (c *call) evaluate(t *plainTable, o fitOptions, effects []string) error {
	data, effects, err := t.closed(effects)
	if err != nil {
		return err
	}
	m := abundance.Model{Detect: effects, Conditional: o.conditional}
	e, err := evaluateAt(data, m, o.at)
	if err != nil {
		return fmt.Errorf("--at %q: %w", o.at, t.unlike(err, withConditional))
	}
	out := evaluated{m.String(), o.at, finite(e.Minus2LnL), finite(e.N), versions()}
	n := ""
	if o.conditional && out.N != nil {
		n = fmt.Sprintf(", N %.12g", *out.N)
	}
	return c.print(out, func(w io.Writer) error { return out.person(w, n) })
}

func evaluateAt(data abundance.Data, m abundance.Model, at string) (abundance.Evaluation, error) {
	if list, ok := strings.CutPrefix(at, linked); ok {
		x, err := readNumbers(list)
		if err != nil {
			return abundance.Evaluation{}, err
		}
		return abundance.EvaluateLink(data, m, x)
	}
	names, err := abundance.DetectionNames(data, m)
	if err != nil {
		return abundance.Evaluation{}, err
	}
	fixed, err := readFixed(at, names)
	if err != nil {
		return abundance.Evaluation{}, err
	}
	return abundance.Evaluate(data, m, fixed)
}

// readFixed reads "N=80;share=0.4,0.6;detection=0.3,0.5"; a detection may also
// be given under its own name.
func readFixed(at string, names []string) (abundance.Fixed, error) {
	var fixed abundance.Fixed
	named := map[string]float64{}
	for part := range strings.SplitSeq(at, ";") {
		name, list, _ := strings.Cut(part, "=")
		name = strings.TrimSpace(name)
		values, err := readNumbers(list)
		if err != nil {
			return fixed, err
		}
		switch {
		case name == "N":
			fixed.N = values
		case name == "share":
			fixed.Shares = values
		case name == "detection":
			fixed.Detection = values
		case slices.Contains(names, name) && len(values) == 1:
			named[name] = values[0]
		default:
			return fixed, fmt.Errorf("%q: expected N, share, detection, or one value of %s", part, strings.Join(names, ", "))
		}
	}
	if len(named) == 0 {
		return fixed, nil
	}
	for _, name := range names {
		value, ok := named[name]
		if !ok {
			return fixed, fmt.Errorf("%s has no value; give each of %s", name, strings.Join(names, ", "))
		}
		fixed.Detection = append(fixed.Detection, value)
	}
	return fixed, nil
}
