package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"time"

	"dawnround/chart"
	"dawnround/density"
	"dawnround/fit"
)

// densityOptions are what fit density is asked beside the rest.
type densityOptions struct {
	traps, captures, cells, fence string
	cell, margin                  float64
	kind, shape, count            string
	density, sigma, svg           string
}

var densityTakes = []string{
	"traps", "captures", "cells", "fence", "cell", "margin", "trap-kind", "shape", "count", "density", "detect", "sigma", "at", "svg",
}

func (o *densityOptions) flags(f *flag.FlagSet) {
	f.StringVar(&o.traps, "traps", "", "density: a table of traps: trap,x,y,open1,open2,… in metres, with the effort of every night (trip; taken1,… for sprung or bycatch; columns for effects)")
	f.StringVar(&o.captures, "captures", "", "density: a table of captures: animal,occasion,trap (trip; group, blank where it is not known)")
	f.StringVar(&o.cells, "cells", "", "density: a table of the middles of the square cells in which animals may live: x,y (columns for effects)")
	f.StringVar(&o.fence, "fence", "", "density: a table of the corners of a fence inside which they live: vertex,x,y (ring, for holes they do not use)")
	f.Float64Var(&o.margin, "margin", 0, "density: how far from a trap animals may live, in metres")
	f.Float64Var(&o.cell, "cell", 0, "density: the side of a cell in metres; with --margin a twelfth of it unless given")
	f.StringVar(&o.kind, "trap-kind", "", "density: multi, single or proximity")
	f.StringVar(&o.shape, "shape", "half-normal", "density: how detection falls with distance: half-normal, hazard-half-normal, exponential")
	f.StringVar(&o.count, "count", "poisson", "density: how the number of animals is taken: poisson, binomial, conditional")
	f.StringVar(&o.density, "density", "constant", "density: what density depends on: constant, x, y, a column of the cells, group, trip")
	f.StringVar(&o.sigma, "sigma", "constant", "density: what the scale of movement depends on: constant, group, trip")
	f.StringVar(&o.svg, "svg", "", "density and survival: draw it into this file, which must not exist yet")
}

const (
	densityAssumes = "the population is closed during each trip, each animal has one centre of activity that stays, its home is round, marks are kept and read rightly, and animals are caught independently of each other; "
	densitySource  = "Borchers & Efford 2008, Biometrics 64:377–385; Efford 2004, Oikos 106:598–610; N with the animals missed: log-normal interval of Chao 1989, Biometrics 45:427–438"
)

// fitDensity estimates how many animals live on a hectare, from where they were
// caught.
func (c *call) fitDensity(o fitOptions) error {
	m, err := o.spatial()
	if err != nil {
		return err
	}
	s, m, err := c.survey(o.density, m)
	if err != nil {
		return err
	}
	if o.at != "" {
		return c.evaluateDensity(s, m, o.at)
	}
	evaluation, told := c.evaluations()
	r, err := density.Fit(c.ctx, s, m, density.Options{Workers: runtime.GOMAXPROCS(0), Progress: evaluation})
	told()
	var stopped *density.Stopped
	if errors.As(err, &stopped) {
		e := spatialAnswer(m)
		e.Says = "How many live on a hectare is not estimated: the work was stopped."
		e.Warnings = append(e.Warnings, stopped.Error())
		return errors.Join(c.print(e, e.person), stopped)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", o.density.captures, err)
	}
	if o.density.svg != "" {
		if err := c.write(o.density.svg, func(w io.Writer) error {
			_, err := io.WriteString(w, densityPicture(s, r).File(chart.Paper+densityStyle))
			return err
		}); err != nil {
			return err
		}
	}
	e := spaced(r, s)
	return c.print(e, e.person)
}

// evaluations shows on standard error that a long fit goes on; the second
// function ends its line.
func (c *call) evaluations() (func(int), func()) {
	began, last := c.now(), c.now()
	shown := false
	return func(n int) {
			if now := c.now(); now.Sub(began) > 2*time.Second && now.Sub(last) > 300*time.Millisecond {
				last, shown = now, true
				fmt.Fprintf(c.stderr, "\revaluation %d of the likelihood", n)
			}
		}, func() {
			if shown {
				fmt.Fprintln(c.stderr)
			}
		}
}

// spatial reads the model's options.
func (o fitOptions) spatial() (m density.Model, err error) {
	d := o.density
	spaces := 0
	for _, given := range []bool{d.cells != "", d.fence != "", d.margin != 0} {
		if given {
			spaces++
		}
	}
	switch {
	case d.traps == "" || d.captures == "":
		return m, errUsage{"--traps TABLE and --captures TABLE are both needed"}
	case d.kind == "":
		return m, errUsage{"--trap-kind is missing: multi, single or proximity"}
	case spaces != 1:
		return m, errUsage{"where animals may live is one of --cells TABLE, --fence TABLE --cell METRES and --margin METRES"}
	case d.fence != "" && d.cell == 0:
		return m, errUsage{"--fence needs --cell METRES, the side of a cell; a third of how far they move about is fine enough"}
	case d.cells != "" && d.cell != 0:
		return m, errUsage{"--cell belongs to --fence and --margin; the cells of a table have the side they have"}
	case d.svg != "" && o.at != "":
		return m, errUsage{"--svg draws what was fitted; leave out --at"}
	}
	var wrong [3]error
	m.Traps, wrong[0] = density.ParseTrapKind(d.kind)
	m.Shape, wrong[1] = density.ParseShape(d.shape)
	m.Count, wrong[2] = density.ParseCount(d.count)
	for i, option := range []string{"trap-kind", "shape", "count"} {
		if wrong[i] != nil {
			return m, errUsage{fmt.Sprintf("--%s %v", option, wrong[i])}
		}
	}
	for _, list := range []struct {
		option, effects string
		to              *[]string
	}{{"density", d.density, &m.Density}, {"detect", o.detect, &m.Detect}, {"sigma", d.sigma, &m.Move}} {
		if *list.to, err = splitEffects(list.option, list.effects); err != nil {
			return m, err
		}
		*list.to = slices.DeleteFunc(*list.to, func(effect string) bool { return effect == "constant" })
	}
	return m, nil
}

// spatialAnswer is an answer before anything is known.
func spatialAnswer(m density.Model) estimated {
	return estimated{
		Model: m.String(), Table: "traps and captures", SampleOf: "animals caught",
		Parameters: []fit.Estimate{}, Derived: []fit.Estimate{}, Warnings: []string{},
		Assumes: densityAssumes + spatialAlike(m), Source: densitySource, Versions: versions(),
	}
}

// spatialAlike says in words what a model allows animals and nights to differ in.
func spatialAlike(m density.Model) string {
	var says []string
	for _, part := range []struct {
		what    string
		effects []string
	}{{"density", m.Density}, {"detection", m.Detect}, {"movement", m.Move}} {
		if len(part.effects) == 0 {
			says = append(says, part.what+" is the same everywhere and for all")
			continue
		}
		says = append(says, part.what+" differs only by "+strings.Join(part.effects, ", "))
	}
	return strings.Join(says, "; ")
}

// spaced tells a fitted model.
func spaced(r density.Result, s density.Survey) estimated {
	e := spatialAnswer(r.Model)
	e.SampleSize, e.SampleOf = r.Caught, r.Candidate("").SampleOf
	e.Warnings = append(e.Warnings, r.Warnings...)
	e.Parameters = slices.Concat([]fit.Estimate{r.D}, r.ByLabel, r.Detection, r.Sigma)
	if r.Model.Count == density.Conditional {
		e.Parameters = slices.Concat(r.Detection, r.Sigma)
		e.Derived = append(e.Derived, r.D, r.Fixed)
	}
	for _, coefficient := range r.Coefficients {
		coefficient.Name = linked + coefficient.Name
		e.Parameters = append(e.Parameters, coefficient)
	}
	for _, p := range r.Populations {
		e.Derived = append(e.Derived, p.N, p.Expected, p.EffectiveHa)
	}
	area := s.AreaHa()
	e.derive("state_space_ha", area, math.NaN())
	e.derive("saturation", r.Array.Saturation, math.NaN())
	e.derive("recaptures_elsewhere", float64(r.Elsewhere), math.NaN())
	if r.Array.Widened {
		e.derive("area_beyond_margin", r.Array.Outside, math.NaN())
	} else if !s[0].Space.Fenced {
		e.derive("detection_at_edge", r.Array.EdgeP, math.NaN())
	}
	if len(r.Fit.X) > 0 {
		e.Covariance = covarianceOf(r.Fit, 1)
		e.Minus2LnL, e.AICc, e.Count = finite(r.Fit.Minus2LnL), finite(r.AICc), &r.Fit.Parameters
	}
	e.Says = dense(r, area)
	return e
}

// dense says how many live on a hectare, with the interval.
func dense(r density.Result, area float64) string {
	seen := plural(r.Caught, "animal") + " caught"
	if r.Captures > r.Caught {
		seen += fmt.Sprintf(", %s at another trap", plural(r.Elsewhere, "time"))
	}
	if r.D.Status == fit.NotEstimable || finite(r.D.Value) == nil {
		return fmt.Sprintf("How many live on a hectare is not estimable from these data (%s).", seen)
	}
	interval := "no interval is known"
	if finite(r.D.Lower) != nil && finite(r.D.Upper) != nil {
		interval = fmt.Sprintf("95 %% interval %s to %s", figure(r.D.Lower), figure(r.D.Upper))
	}
	there := ""
	if n := r.Populations[0].N; len(r.Populations) == 1 && finite(n.Value) != nil {
		there = fmt.Sprintf(", about %.0f", n.Value)
		if finite(n.Upper) != nil {
			there += fmt.Sprintf(" (%.0f to %.0f)", math.Floor(n.Lower), math.Ceil(n.Upper))
		}
		there += fmt.Sprintf(" in the %s ha looked at", figure(area))
	}
	return fmt.Sprintf("About %s animals per hectare (%s)%s; %s.", figure(r.D.Value), interval, there, seen)
}

// A densityEvaluated is −2 ln L at fixed parameters.
type densityEvaluated struct {
	evaluated
	EffectiveHa []float64 `json:"effective_area_ha"` // of each trip
}

// evaluateDensity gives −2 ln L without fitting.
func (c *call) evaluateDensity(s density.Survey, m density.Model, at string) error {
	e, err := densityAt(s, m, at)
	if err != nil {
		return fmt.Errorf("--at %q: %w", at, err)
	}
	out := densityEvaluated{evaluated{m.String(), at, finite(e.Minus2LnL), nil, versions()}, []float64{}}
	var areas []string
	for _, ha := range e.EffectiveHa {
		if finite(ha) != nil {
			out.EffectiveHa = append(out.EffectiveHa, ha)
			areas = append(areas, fmt.Sprintf("%.12g", ha))
		}
	}
	more := ""
	if len(areas) > 0 {
		more = ", effective area " + strings.Join(areas, " and ") + " ha"
	}
	return c.print(out, func(w io.Writer) error { return out.person(w, more) })
}

func densityAt(s density.Survey, m density.Model, at string) (density.Evaluation, error) {
	if list, ok := strings.CutPrefix(at, linked); ok {
		x, err := readNumbers(list)
		if err != nil {
			return density.Evaluation{}, err
		}
		return density.EvaluateLink(s, m, x)
	}
	if slices.ContainsFunc(fit.Used(m.Density), func(effect string) bool { return effect != "group" && effect != "trip" }) {
		return density.Evaluation{}, errors.New("density that follows a column is given on the link scale, link: and every coefficient")
	}
	names, err := density.Names(s, m)
	if err != nil {
		return density.Evaluation{}, err
	}
	fixed, err := readDensities(at, names, s)
	if err != nil {
		return density.Evaluation{}, err
	}
	return density.Evaluate(s, m, fixed)
}

// symbols are the literature's for what this program calls by name.
var symbols = map[string]string{"D": "D_per_ha", "g0": "detection", "lambda0": "detection", "sigma": "sigma_m"}

// readDensities reads "D_per_ha=12;detection=0.18;sigma_m=16". A list fills the
// values of that name in their order, "detection=0.18,0.3"; "detection[after]=0.3"
// is one of them; N stands for its density.
func readDensities(at string, names []string, s density.Survey) (density.Fixed, error) {
	fixed := density.Fixed{}
	for part := range strings.SplitSeq(at, ";") {
		name, list, _ := strings.Cut(part, "=")
		name = strings.TrimSpace(name)
		if long, ok := symbols[name]; ok {
			name = long
		}
		values, err := readNumbers(list)
		if err != nil {
			return nil, err
		}
		if name == "N" && len(s) == 1 && len(values) == 1 {
			name, values[0] = "D_per_ha", values[0]/s[0].Space.AreaHa()
		}
		var to []string
		for _, known := range names {
			if known == name || strings.HasPrefix(known, name+"[") {
				to = append(to, known)
			}
		}
		if len(to) != len(values) {
			return nil, fmt.Errorf("%q: %s for %d: expected values for %s", part, plural(len(values), "value"), len(to), strings.Join(names, ", "))
		}
		for i, known := range to {
			fixed[known] = values[i]
		}
	}
	return fixed, nil
}
