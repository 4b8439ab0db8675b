package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"dawnround/chart"
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
	m, err := o.open()
	if err != nil {
		return err
	}
	t, err := c.plain()
	if err != nil {
		return err
	}
	data, m, err := c.openData(t, o, m)
	if err != nil {
		return err
	}
	if o.at != "" {
		return c.evaluateSurvival(t, data, m, o.at)
	}
	r, err := survival.Fit(data, m)
	if err != nil {
		return t.unlike(err, "")
	}
	e := survived(r, o, timedData(data))
	if h, ok := data.(survival.Histories); ok && len(h.Columns)+len(h.Changing) > 0 {
		e.Assumes += "; where animals have numbers of their own, survival and detection are told for their mean"
	}
	e.Table = t.layout.name
	stopped := c.replicate(&e, r, o)
	if o.density.svg != "" {
		if err := c.write(o.density.svg, func(w io.Writer) error {
			_, err := io.WriteString(w, survivalPicture(e, r.Survival).File(chart.Paper))
			return err
		}); err != nil {
			return err
		}
	}
	return errors.Join(c.print(e, e.person), stopped)
}

// timedData reports data that tell the time between the occasions.
func timedData(d survival.Data) bool {
	switch d := d.(type) {
	case survival.Histories:
		return d.Intervals != nil
	case survival.Robust:
		return d.Intervals != nil
	case survival.MArray:
		return d.Intervals != nil
	}
	return false
}

// open reads the options of fit survival.
func (o fitOptions) open() (m survival.Model, err error) {
	speaks := o.enter != "" || o.seniority != "" || o.growth != ""
	beyond := speaks || o.robust != ""
	switch {
	case o.survive == "" || o.detect == "":
		return m, errUsage{"--survive EFFECTS and --detect EFFECTS are both needed; the plainest is --survive constant --detect constant"}
	case !(o.cHat >= 1) || math.IsInf(o.cHat, 1):
		return m, errUsage{fmt.Sprintf("--c-hat %g: expected 1 or more; what comes out below 1 counts as 1", o.cHat)}
	case 1 < count(o.enter != "", o.seniority != "", o.growth != ""):
		return m, errUsage{"--enter, --seniority and --growth are ways to speak of the same animals; choose one"}
	case beyond && o.cHat > 1:
		return m, errUsage{"--c-hat speaks of releases alone; leave it out beside --enter, --seniority, --growth and --robust"}
	case o.states != "" && beyond:
		return m, errUsage{"--states goes with releases alone; leave out --enter, --seniority, --growth and --robust"}
	case o.move != "" && o.states == "":
		return m, errUsage{"--move needs --states A,B"}
	case o.robust == "" && o.emigration != "none":
		return m, errUsage{"--emigration needs --robust DESIGN.csv: without nights within periods it cannot be told from death"}
	case o.bootstrap < 0:
		return m, errUsage{fmt.Sprintf("--bootstrap %d: expected how many replicates, 1000 say", o.bootstrap)}
	}
	switch o.emigration {
	case "none":
	case "random":
		m.Emigration = survival.Random
	case "markov":
		m.Emigration = survival.Markov
	default:
		return m, errUsage{fmt.Sprintf("--emigration %q: expected none, random or markov", o.emigration)}
	}
	if o.emigrate != "" && m.Emigration == survival.Stay {
		return m, errUsage{"--emigrate needs --emigration random or markov"}
	}
	switch {
	case o.enter != "":
		m.Population = survival.Entry
	case o.seniority != "":
		m.Population = survival.Seniority
	case o.growth != "":
		m.Population = survival.Growth
	}
	return m, o.effects(&m)
}

// effects reads the lists of effects.
func (o fitOptions) effects(m *survival.Model) error {
	move := o.move
	if states := strings.Count(o.states, ",") + 1; move == "" && o.states != "" {
		move = "state"
		if states > 2 {
			move = "state*to"
		}
	}
	for _, list := range []struct {
		option, effects string
		to              *[]string
	}{
		{"survive", o.survive, &m.Survive}, {"detect", o.detect, &m.Detect}, {"move", move, &m.Move}, {"emigrate", o.emigrate, &m.Emigrate},
		{"enter", o.enter, &m.Populate}, {"seniority", o.seniority, &m.Populate}, {"growth", o.growth, &m.Populate},
	} {
		effects, err := splitEffects(list.option, list.effects)
		if err != nil {
			return err
		}
		*list.to = append(*list.to, effects...)
	}
	return nil
}

func count(all ...bool) int {
	n := 0
	for _, is := range all {
		if is {
			n++
		}
	}
	return n
}

// replicate asks how large the deviance is when the model is true; stopped
// early, it tells how far it came.
func (c *call) replicate(e *estimated, r survival.Result, o fitOptions) error {
	if o.bootstrap == 0 {
		return nil
	}
	if math.IsNaN(r.Deviance()) {
		e.Warnings = append(e.Warnings, "no bootstrap was made: the deviance of this model is not estimable")
		return nil
	}
	b, err := r.Bootstrap(c.ctx, fit.Replication{Replicates: o.bootstrap, Seed: o.seed, Progress: c.progress("replicate")})
	e.Bootstrap, e.Seed = &b, o.seed
	if b.Failed > 0 {
		e.Warnings = append(e.Warnings, fmt.Sprintf("%d of %d replicates could not be fitted and count nowhere", b.Failed, b.Done))
	}
	if err == nil {
		return nil
	}
	fmt.Fprintln(c.stderr) // below the progress
	stopped := fmt.Errorf("stopped after %d of %d replicates: ĉ and P rest on those", b.Done, b.Asked)
	e.Warnings = append(e.Warnings, stopped.Error())
	return stopped
}

// survived tells a fitted model.
func survived(r survival.Result, o fitOptions, timed bool) estimated {
	e := estimated{
		Model: r.Model.String(), SampleSize: r.Released, SampleOf: r.Candidate("").SampleOf,
		Derived: []fit.Estimate{}, Warnings: append([]string{}, r.Warnings...),
		Assumes: survivalAssumes + "beyond what the effects say, all survive and are caught alike", Source: survivalSource, Versions: versions(),
	}
	for _, p := range slices.Concat(r.Survival, r.Detection, r.Movement, r.Emigration, r.Populated, r.N) {
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
	if o.intervals != "" || timed {
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
	if len(r.Movement) > 0 {
		e.Source += "; several states: Brownie, Hines, Nichols, Pollock & Hestbeck 1993, Biometrics 49:1173–1187"
	}
	if len(r.N) > 0 && r.Model.Population == survival.Marked {
		e.Assumes += "; within a period nobody comes, dies or goes"
		e.Source += "; nights within periods: Pollock 1982, Journal of Wildlife Management 46:752–757; Kendall, Nichols & Hines 1997, Ecology 78:563–578"
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
	const most = 30 // each profile is a fit many times over
	best, kind = slices.Clone(e.Parameters[:len(r.Survival)]), "interval"
	if len(best) > most {
		return best, kind
	}
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
func (c *call) evaluateSurvival(t *plainTable, d survival.Data, m survival.Model, at string) error {
	value, err := survivalAt(d, m, at)
	if err != nil {
		return fmt.Errorf("--at %q: %w", at, t.unlike(err, ""))
	}
	out := evaluated{m.String(), at, finite(value), nil, versions()}
	return c.print(out, func(w io.Writer) error { return out.person(w, "") })
}

func survivalAt(d survival.Data, m survival.Model, at string) (float64, error) {
	if list, ok := strings.CutPrefix(at, linked); ok {
		x, err := readNumbers(list)
		if err != nil {
			return 0, err
		}
		return survival.EvaluateLink(d, m, x)
	}
	names, err := survival.Names(d, m)
	if err != nil {
		return 0, err
	}
	fixed, err := readSurvivals(at, names)
	if err != nil {
		return 0, err
	}
	return survival.Evaluate(d, m, fixed)
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
