package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"dawnround/fit"
	"dawnround/survival"
)

const (
	survivalAssumes = "marks are kept and read rightly, animals fare independently of each other, occasions are short beside the time between them, and leaving for good counts as death (survival is apparent); "
	survivalSource  = "Cormack 1964, Biometrika 51:429–438; Jolly 1965, Biometrika 52:225–247; Seber 1965, Biometrika 52:249–259; Lebreton, Burnham, Clobert & Anderson 1992, Ecological Monographs 62:67–118"
)

// fitSurvival estimates whether the animals live, from when they were caught
// again.
func (c *call) fitSurvival(o fitOptions) error {
	m, intervals, err := o.open()
	if err != nil {
		return err
	}
	t, err := c.plain()
	if err != nil {
		return err
	}
	h, m, err := t.open(m)
	if err != nil {
		return err
	}
	h.Intervals = intervals
	if o.at != "" {
		return c.evaluateSurvival(t, h, m, o.at)
	}
	r, err := survival.Fit(h, m)
	if err != nil {
		return t.unlike(err, "")
	}
	e := survived(r, o)
	if len(h.Columns) > 0 {
		e.Assumes += "; where animals have numbers of their own, survival and detection are told for their mean"
	}
	e.Table = t.layout.name
	return c.print(e, e.person)
}

// open reads the options of fit survival.
func (o fitOptions) open() (m survival.Model, intervals []float64, err error) {
	speaks := o.enter != "" || o.seniority != ""
	switch {
	case o.survive == "" || o.detect == "":
		return m, nil, errUsage{"--survive EFFECTS and --detect EFFECTS are both needed; the plainest is --survive constant --detect constant"}
	case !(o.cHat >= 1) || math.IsInf(o.cHat, 1):
		return m, nil, errUsage{fmt.Sprintf("--c-hat %g: expected 1 or more; what comes out below 1 counts as 1", o.cHat)}
	case o.enter != "" && o.seniority != "":
		return m, nil, errUsage{"--enter and --seniority are two ways to speak of the same animals; choose one"}
	case speaks && o.cHat > 1:
		return m, nil, errUsage{"--c-hat speaks of releases alone; leave it out beside --enter and --seniority"}
	case o.enter != "":
		m.Population = survival.Entry
	case o.seniority != "":
		m.Population = survival.Seniority
	}
	for _, list := range []struct {
		option, effects string
		to              *[]string
	}{
		{"survive", o.survive, &m.Survive}, {"detect", o.detect, &m.Detect},
		{"enter", o.enter, &m.Populate}, {"seniority", o.seniority, &m.Populate},
	} {
		effects, err := splitEffects(list.option, list.effects)
		if err != nil {
			return m, nil, err
		}
		*list.to = append(*list.to, effects...)
	}
	if o.intervals == "" {
		return m, nil, nil
	}
	if intervals, err = readNumbers(o.intervals); err != nil {
		return m, nil, errUsage{fmt.Sprintf("--intervals: %v", err)}
	}
	return m, intervals, nil
}

// open reads the histories of an open population, with the columns that the
// model's effects name.
func (t *plainTable) open(m survival.Model) (survival.Histories, survival.Model, error) {
	if t.layout.name != "histories" {
		return survival.Histories{}, m, t.unfit("survival", "histories")
	}
	closed, _, err := t.histories(nil)
	if err != nil {
		return survival.Histories{}, m, err
	}
	h := survival.Histories{Count: closed.Count, Group: closed.Group, Lost: closed.Lost, Columns: map[string][]float64{}}
	for _, effects := range []*[]string{&m.Survive, &m.Detect, &m.Populate} {
		columns, parts, err := t.named(*effects)
		if err != nil {
			return h, m, err
		}
		maps.Copy(h.Columns, columns)
		*effects = parts
	}
	for _, caught := range closed.Caught {
		row := make([]int, len(caught))
		for i, was := range caught {
			if was {
				row[i] = 1
			}
		}
		h.Caught = append(h.Caught, row)
	}
	return h, m, nil
}

// survived tells a fitted model.
func survived(r survival.Result, o fitOptions) estimated {
	e := estimated{
		Model: r.Model.String(), SampleSize: r.Released, SampleOf: r.Candidate("").SampleOf,
		Derived: []fit.Estimate{}, Warnings: append([]string{}, r.Warnings...),
		Assumes: survivalAssumes + "beyond what the effects say, all survive and are caught alike", Source: survivalSource, Versions: versions(),
	}
	for _, p := range slices.Concat(r.Survival, r.Detection, r.Populated, r.N) {
		e.Parameters = append(e.Parameters, inflated(p, o.cHat, fit.Logit))
	}
	for _, coefficient := range r.Coefficients {
		coefficient.Name = linked + coefficient.Name
		e.Parameters = append(e.Parameters, inflated(coefficient, o.cHat, fit.Identity))
	}
	if r.Released > 0 {
		e.Covariance = covarianceOf(r.Fit, o.cHat)
		e.Minus2LnL, e.AICc, e.Count = finite(r.Fit.Minus2LnL), finite(r.AICc), &r.Fit.Parameters
		e.derive("deviance", r.Deviance(), math.NaN())
	}
	if o.cHat > 1 && r.Released > 0 {
		e.CHat, e.QAICc = &o.cHat, finite(fit.QAICc(r.Fit.Minus2LnL, r.Fit.Parameters, r.Released, o.cHat, true))
		e.Warnings = append(e.Warnings, fmt.Sprintf("errors are widened by √ĉ = %.4g; QAICc counts ĉ as a parameter", math.Sqrt(o.cHat)))
	}
	of := "from one occasion to the next"
	if o.intervals != "" {
		of = "a unit of time"
	}
	best, interval := e.profile(r, o.cHat)
	e.Says = lasting(best, interval, r, of)
	e.unmarked(r)
	return e
}

// unmarked tells what a model says of animals not yet caught.
func (e *estimated) unmarked(r survival.Result) {
	switch r.Model.Population {
	case survival.Entry:
		e.Assumes += "; animals never caught are caught and live as the marked do"
		e.Source += "; entry: Schwarz & Arnason 1996, Biometrics 52:860–873"
	case survival.Seniority:
		e.Assumes += "; unmarked animals are caught and live as the marked do, and the area trapped stays the same"
		e.Source += "; growth and seniority: Pradel 1996, Biometrics 52:703–709"
	}
	for _, p := range r.Populated {
		if strings.HasPrefix(p.Name, "superpopulation") && finite(p.Lower) != nil && finite(p.Upper) != nil {
			e.Says += fmt.Sprintf("\nAbout %.0f animals lived here on one occasion or more (%s; 95 %% interval %.0f to %.0f).", p.Value, p.Name, p.Lower, p.Upper)
		}
	}
}

// inflated widens an estimate's error by the root of ĉ, its interval on the
// scale of its link.
func inflated(e fit.Estimate, cHat float64, link fit.Link) fit.Estimate {
	if cHat == 1 || e.Status != fit.Estimable {
		return e
	}
	root := math.Sqrt(cHat)
	wider := func(end float64) float64 {
		middle := link.Eta(e.Value)
		return link.Natural(middle + float64(root*(link.Eta(end)-middle)))
	}
	e.SE, e.Lower, e.Upper = e.SE*root, wider(e.Lower), wider(e.Upper)
	return e
}

// profile adds profile-likelihood intervals where they say more than the
// error does: of a survival that stands alone, or at the end of its range. It
// gives the survivals with their best intervals, and of which kind those are.
// An inflated error has no profile.
func (e *estimated) profile(r survival.Result, cHat float64) (best []fit.Estimate, kind string) {
	best, kind = slices.Clone(e.Parameters[:len(r.Survival)]), "interval"
	for i, s := range best {
		if cHat > 1 || s.Status == fit.NotEstimable || s.Status == fit.Estimable && len(best) > 1 {
			continue
		}
		interval := r.ProfileSurvival(i)
		if interval.Better {
			e.Warnings = append(e.Warnings, s.Name+": a better fit lies beside this one; quote neither")
			continue
		}
		kind = "profile interval"
		best[i].Lower, best[i].Upper = interval.Lower, interval.Upper
		s.Name, s.Lower, s.Upper = s.Name+"[profile]", interval.Lower, interval.Upper
		e.Derived = append(e.Derived, s)
	}
	return best, kind
}

// lasting says how many survive, with the interval.
func lasting(all []fit.Estimate, interval string, r survival.Result, of string) string {
	known := slices.DeleteFunc(slices.Clone(all), func(s fit.Estimate) bool {
		return s.Status == fit.NotEstimable || finite(s.Value) == nil
	})
	seen := fmt.Sprintf("%s, %d followed by a recapture", plural(r.Released, "release"), r.Recaught)
	switch {
	case len(known) == 0:
		return fmt.Sprintf("How many survive is not estimable from these data (%s).", seen)
	case len(all) == 1 && finite(all[0].Lower) != nil && finite(all[0].Upper) != nil:
		return fmt.Sprintf("About %.0f %% survive %s (95 %% %s %.0f to %.0f %%; %s).", 100*all[0].Value, of, interval, 100*all[0].Lower, 100*all[0].Upper, seen)
	case len(all) == 1:
		return fmt.Sprintf("About %.0f %% survive %s (no interval is known; %s).", 100*all[0].Value, of, seen)
	}
	byValue := func(a, b fit.Estimate) int { return cmp.Compare(a.Value, b.Value) }
	least, most := slices.MinFunc(known, byValue), slices.MaxFunc(known, byValue)
	lost := ""
	if n := len(all) - len(known); n > 0 {
		lost = fmt.Sprintf("; %d of %d not estimable", n, len(all))
	}
	if math.Round(100*least.Value) == math.Round(100*most.Value) {
		return fmt.Sprintf("About %.0f %% survive %s, by each of the figures below (%s%s).", 100*most.Value, of, seen, lost)
	}
	return fmt.Sprintf("Between %.0f %% (%s) and %.0f %% (%s) survive %s (%s%s).", 100*least.Value, least.Name, 100*most.Value, most.Name, of, seen, lost)
}

// evaluateSurvival gives −2 ln L without fitting.
func (c *call) evaluateSurvival(t *plainTable, h survival.Histories, m survival.Model, at string) error {
	value, err := survivalAt(h, m, at)
	if err != nil {
		return fmt.Errorf("--at %q: %w", at, t.unlike(err, ""))
	}
	out := evaluated{m.String(), at, finite(value), nil, versions()}
	return c.print(out, func(w io.Writer) error { return out.person(w, "") })
}

func survivalAt(h survival.Histories, m survival.Model, at string) (float64, error) {
	if list, ok := strings.CutPrefix(at, linked); ok {
		x, err := readNumbers(list)
		if err != nil {
			return 0, err
		}
		return survival.EvaluateLink(h, m, x)
	}
	names, err := survival.Names(h, m)
	if err != nil {
		return 0, err
	}
	fixed, err := readSurvivals(at, names)
	if err != nil {
		return 0, err
	}
	return survival.Evaluate(h, m, fixed)
}

// readSurvivals reads "survival=0.6,0.45;detection=0.9"; each value may also be
// given under its own name, "survival[2]=0.45".
func readSurvivals(at string, names map[string][]string) (survival.Fixed, error) {
	fixed, own := survival.Fixed{}, map[string]float64{}
	parameters := slices.Sorted(maps.Keys(names))
	for part := range strings.SplitSeq(at, ";") {
		name, list, _ := strings.Cut(part, "=")
		name = strings.TrimSpace(name)
		values, err := readNumbers(list)
		if err != nil {
			return nil, err
		}
		isOwn := slices.ContainsFunc(slices.Collect(maps.Values(names)), func(all []string) bool { return slices.Contains(all, name) })
		switch {
		case names[name] != nil:
			fixed[name] = values
		case isOwn && len(values) == 1:
			own[name] = values[0]
		default:
			return nil, fmt.Errorf("%q: expected %s, or one value of %s", part, strings.Join(parameters, ", "), strings.Join(slices.Concat(names["survival"], names["detection"]), ", "))
		}
	}
	for _, parameter := range parameters {
		if fixed[parameter] != nil {
			continue
		}
		all := names[parameter]
		for _, name := range all {
			value, ok := own[name]
			if !ok {
				return nil, fmt.Errorf("%s has no value; give each of %s", name, strings.Join(all, ", "))
			}
			fixed[parameter] = append(fixed[parameter], value)
		}
	}
	return fixed, nil
}
