package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"dawnround/abundance"
	"dawnround/fit"
)

// closedOptions are what fit abundance was asked.
type closedOptions struct {
	detect      string
	conditional bool
	method      string
	at          string
	seed        uint64
}

// fit estimates from a table of captures, without a notebook.
func (c *call) fit() error {
	var o closedOptions
	c.flags.StringVar(&o.detect, "detect", "", "what detection depends on: constant, occasion, trend, group, after-capture, mixture:2, sets:1=a,2=b, a column, products E*E")
	c.flags.BoolVar(&o.conditional, "conditional", false, "take the likelihood given that the animal was caught, which allows animals' own columns")
	c.flags.StringVar(&o.method, "method", "", "a handbook's estimator instead: "+strings.Join(methodNames(), ", "))
	c.flags.StringVar(&o.at, "at", "", "only −2 ln L, at \"N=80;detection=0.3\" or at \"link:\" and every coefficient")
	c.flags.Uint64Var(&o.seed, "seed", 1, "seed of what is drawn by chance (the error of coverage)")
	if err := c.parse(2, 2); err != nil {
		return err
	}
	if c.args[0] != "abundance" {
		return errUsage{fmt.Sprintf("%q cannot be fitted here; write abundance", c.args[0])}
	}
	effects, err := o.effects()
	if err != nil {
		return err
	}
	text, err := c.readFile(c.args[1])
	if err != nil {
		return err
	}
	t, err := readPlain(c.args[1], text)
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

// effects reads --detect and sees that the options go together.
func (o closedOptions) effects() ([]string, error) {
	effects, err := splitEffects(o.detect)
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

// splitEffects takes a comma list of effects apart; "sets:1=a,2=b" keeps its
// commas.
func splitEffects(list string) ([]string, error) {
	if list == "" {
		return nil, nil
	}
	var effects []string
	for piece := range strings.SplitSeq(list, ",") {
		piece = strings.TrimSpace(piece)
		last := len(effects) - 1
		switch {
		case piece == "":
			return nil, errUsage{fmt.Sprintf("--detect %q: an effect is missing at a comma", list)}
		case !strings.Contains(piece, "=") || strings.Contains(piece, "sets:"):
			effects = append(effects, piece)
		case last >= 0 && strings.Contains(effects[last], "sets:"):
			effects[last] += "," + piece
		default:
			return nil, errUsage{fmt.Sprintf("--detect %q: %q belongs to no set; write sets:1=a,2=b", list, piece)}
		}
	}
	return effects, nil
}

// An estimated is the answer of fit abundance: its struct is the JSON.
type estimated struct {
	Says       string         `json:"says"`
	Model      string         `json:"model"`
	Table      string         `json:"table"`
	Parameters []fit.Estimate `json:"parameters"` // natural scale, then the coefficients on theirs
	Covariance *covariance    `json:"covariance,omitempty"`
	Minus2LnL  *float64       `json:"minus2lnL"`
	Count      *int           `json:"parameter_count"`
	SampleSize int            `json:"sample_size"`
	SampleOf   string         `json:"sample_of"`
	AICc       *float64       `json:"aicc"`
	Derived    []fit.Estimate `json:"derived"`
	Warnings   []string       `json:"warnings"`
	Assumes    string         `json:"assumes"`
	Source     string         `json:"source"`
	Seed       uint64         `json:"seed"`
	Versions   versionInfo    `json:"versions"`
}

// covariance is that of the coefficients, null where it is not known.
type covariance struct {
	Names []string     `json:"names"`
	Rows  [][]*float64 `json:"rows"`
}

func covarianceOf(f fit.Fit) *covariance {
	out := &covariance{}
	for _, name := range f.Names {
		out.Names = append(out.Names, linked+name)
	}
	for _, row := range f.Covariance {
		cells := make([]*float64, len(row))
		for j, v := range row {
			cells[j] = finite(v)
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}

// linked begins the name of a coefficient on its link scale, and a list of
// them.
const linked = "link:"

// finite is nil for what is not known and what has no end.
func finite(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func versions() versionInfo {
	return versionInfo{Version: release, Go: runtime.Version(), System: runtime.GOOS + "/" + runtime.GOARCH}
}

const closedAssumes = "the population is closed while it was trapped (no births, deaths or moves), marks are kept and read rightly, and animals are caught independently of each other; "

// closedModel fits a closed model by maximum likelihood.
func (c *call) closedModel(t *plainTable, o closedOptions, effects []string) error {
	data, effects, err := t.closed(effects)
	if err != nil {
		return err
	}
	r, err := abundance.Fit(data, abundance.Model{Detect: effects, Conditional: o.conditional})
	if err != nil {
		return t.unlike(err)
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
	e.Covariance = covarianceOf(r.Fit)
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

// figure is a number as a table shows it.
func figure(x float64) string {
	switch size := math.Abs(x); {
	case math.IsNaN(x):
		return "–"
	case math.IsInf(x, 0):
		return "no limit"
	case math.Abs(x-math.Round(x)) < 1e-9:
		return strconv.FormatFloat(math.Round(x), 'f', 0, 64)
	case size >= 100:
		return strconv.FormatFloat(x, 'f', 1, 64)
	case size >= 10:
		return strconv.FormatFloat(x, 'f', 2, 64)
	}
	return strconv.FormatFloat(x, 'f', 4, 64)
}

// person prints the answer to be read.
func (e estimated) person(w io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s\n\n", e.Says)
		t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprint(t, "\testimate\tse\tlower\tupper\tscale\t\n")
		for _, p := range slices.Concat(e.Parameters, e.Derived) {
			value := figure(p.Value)
			if p.Status == fit.NotEstimable {
				value = p.Status.String()
			}
			scale := p.Scale.String()
			if p.Status == fit.AtBoundary {
				scale += ", " + p.Status.String()
			}
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t\n", p.Name, value, figure(p.SE), figure(p.Lower), figure(p.Upper), scale)
		}
		_ = t.Flush() // into memory
		if e.Minus2LnL != nil {
			fmt.Fprintf(b, "\n−2 ln L %.4f with %s", *e.Minus2LnL, plural(*e.Count, "parameter"))
			if e.AICc != nil {
				fmt.Fprintf(b, ", AICc %.4f", *e.AICc)
			}
			fmt.Fprintf(b, " (sample size %d, %s)\n", e.SampleSize, e.SampleOf)
		}
		fmt.Fprintln(b)
		for _, warning := range e.Warnings {
			fmt.Fprintf(b, "warning: %s\n", warning)
		}
		fmt.Fprintf(b, "assumes: %s\nsource: %s\n", e.Assumes, e.Source)
	})(w)
}

// An evaluated is −2 ln L at fixed parameters.
type evaluated struct {
	Model     string      `json:"model"`
	At        string      `json:"at"`
	Minus2LnL *float64    `json:"minus2lnL"`
	N         *float64    `json:"N"` // Σ 1/p* under the conditional likelihood, else as given
	Versions  versionInfo `json:"versions"`
}

// evaluate gives −2 ln L without fitting.
func (c *call) evaluate(t *plainTable, o closedOptions, effects []string) error {
	data, effects, err := t.closed(effects)
	if err != nil {
		return err
	}
	m := abundance.Model{Detect: effects, Conditional: o.conditional}
	e, err := evaluateAt(data, m, o.at)
	if err != nil {
		return fmt.Errorf("--at %q: %w", o.at, t.unlike(err))
	}
	out := evaluated{m.String(), o.at, finite(e.Minus2LnL), finite(e.N), versions()}
	return c.print(out, func(w io.Writer) error {
		if out.Minus2LnL == nil {
			_, err := fmt.Fprintf(w, "these parameters cannot have given the data: −2 ln L has no value (%s)\n", out.Model)
			return err
		}
		n := ""
		if o.conditional && out.N != nil {
			n = fmt.Sprintf(", N %.12g", *out.N)
		}
		_, err := fmt.Fprintf(w, "−2 ln L %.12g%s (%s)\n", *out.Minus2LnL, n, out.Model)
		return err
	})
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

func readNumbers(list string) ([]float64, error) {
	var out []float64
	for piece := range strings.SplitSeq(list, ",") {
		x, err := strconv.ParseFloat(strings.TrimSpace(piece), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, fmt.Errorf("%q: expected a number", piece)
		}
		out = append(out, x)
	}
	return out, nil
}

// A method is a handbook's estimator, with the tables it can be made from.
type method struct {
	name    string
	from    []string
	assumes string
	source  string
	do      func(*call, *plainTable, *estimated) error
}

func methods() []method {
	const equally = closedAssumes + "every animal is equally catchable on an occasion"
	twice := []string{"two samples", "histories", "night counts"}
	many := []string{"census", "histories", "night counts"}
	often := []string{"frequencies", "histories"}
	return []method{
		{"chapman", twice, equally, "Chapman 1951; variance Seber 1970, as in Seber 1982, section 3.1", twoSamples(abundance.Chapman)},
		{"petersen", twice, equally, "Seber 1982, section 3.1", twoSamples(abundance.Petersen)},
		{"bailey", twice, closedAssumes + "an animal may be met more than once in the second sample", "Bailey 1951, 1952, as in Seber 1982, section 3.1", twoSamples(abundance.Bailey)},
		{"schnabel", many, equally, "Schnabel 1938, as in Seber 1982, section 4.1", multipleMarks(abundance.Schnabel)},
		{"schumacher", many, equally, "Schumacher & Eschmeyer 1943, as in Krebs 1999, chapter 2", multipleMarks(abundance.Schumacher)},
		{"jackknife", often, closedAssumes + "each animal has its own chance of being caught, the same on every night", "Burnham & Overton 1978, Biometrika 65:625–633; 1979, Ecology 60:927–936", (*call).jackknife},
		{"chao", often, closedAssumes + "each animal has its own, small chance of being caught; the figure is a lower bound", "Chao 1987, Biometrics 43:783–791", (*call).chao},
		{"coverage", []string{"histories"}, closedAssumes + "animals differ in catchability, and nights too", "Lee & Chao 1994, Biometrics 50:88–97; error by resampling the animals", (*call).coverage},
		{"removal", []string{"removals"}, "the population is closed but for what is removed; beyond what --detect says, the chance is the same for every animal on every night", "Moran 1951; Zippin 1956, Biometrics 12:163–189", nil},
	}
}

func methodNames() []string {
	var names []string
	for _, m := range methods() {
		names = append(names, m.name)
	}
	return names
}

// count makes a handbook's estimate.
func (c *call) count(t *plainTable, o closedOptions, effects []string) error {
	m := methods()[slices.Index(methodNames(), o.method)]
	if !slices.Contains(m.from, t.layout.name) {
		return t.unfit(m.name, m.from...)
	}
	e := estimated{SampleOf: "animals caught", Derived: []fit.Estimate{}, Warnings: []string{}, Versions: versions()}
	var err error
	if m.do == nil {
		e, err = removed(t, effects)
	} else {
		e.Seed = o.seed
		err = m.do(c, t, &e)
	}
	if err != nil && len(e.Parameters) == 0 {
		return err
	}
	e.Model, e.Table, e.Seed, e.Assumes, e.Source = m.name, t.layout.name, o.seed, m.assumes, m.source
	if printed := c.print(e, e.person); printed != nil {
		return printed
	}
	return err
}

// removed fits the removal model; its interval for N is the profile's.
func removed(t *plainTable, effects []string) (estimated, error) {
	r, effects, err := t.removals(effects)
	if err != nil {
		return estimated{}, err
	}
	fitted, err := abundance.Remove(r, effects...)
	if err != nil {
		return estimated{}, t.unlike(err)
	}
	return modelled(fitted), nil
}

// add takes an estimator's N into the answer.
func (e *estimated) add(n abundance.Count, interval string) {
	e.Parameters = append(e.Parameters, n.N)
	e.SampleSize += n.Caught
	says := sentence(n.N, n.Caught, interval)
	if name, named := strings.CutPrefix(n.N.Name, "N["); named {
		says = strings.TrimSuffix(name, "]") + ": " + says
	}
	e.Says = strings.TrimSpace(e.Says + "\n" + says)
	for _, warning := range n.Warnings {
		e.Warnings = append(e.Warnings, strings.TrimPrefix(n.N.Name, "N")+warning)
	}
}

// derive adds a figure beside N, where it is known.
func (e *estimated) derive(name string, value, se float64) {
	if finite(value) != nil {
		nan := math.NaN()
		e.Derived = append(e.Derived, fit.Estimate{Name: name, Value: value, SE: se, Lower: nan, Upper: nan})
	}
}

func twoSamples(estimator func(abundance.TwoSample) (abundance.Count, error)) func(*call, *plainTable, *estimated) error {
	return func(_ *call, t *plainTable, e *estimated) error {
		pairs, err := t.pairs()
		if err != nil {
			return err
		}
		for i, p := range pairs {
			n, err := estimator(p.TwoSample)
			if err != nil {
				return fmt.Errorf("%s line %d: %w", t.file, t.lines[i], err)
			}
			n.N.Name += p.name
			e.add(n, "log-normal")
		}
		return nil
	}
}

func multipleMarks(estimator func([]abundance.Census) (abundance.Multiple, error)) func(*call, *plainTable, *estimated) error {
	return func(_ *call, t *plainTable, e *estimated) error {
		census, err := t.census()
		if err != nil {
			return err
		}
		m, err := estimator(census)
		if err != nil {
			return fmt.Errorf("%s: %w", t.file, err)
		}
		e.add(m.Count, "confidence")
		e.derive("N[one recapture added]", m.Adjusted, math.NaN())
		e.derive("1/N", 1/m.N.Value, m.InverseSE)
		return nil
	}
}

func (c *call) jackknife(t *plainTable, e *estimated) error {
	f, err := t.byAnimal()
	if err != nil {
		return err
	}
	j, err := abundance.JackknifeN(f)
	if err != nil {
		return fmt.Errorf("%s: %w", t.file, err)
	}
	e.add(j.Count, "log-normal")
	if len(j.Orders) > 0 {
		e.derive("order", float64(j.Order), math.NaN())
	}
	for k, step := range j.Orders {
		e.derive(fmt.Sprintf("N[order %d]", k+1), step.N, step.SE)
		e.derive(fmt.Sprintf("test[order %d]", k+1), step.Test, math.NaN())
	}
	return nil
}

func (c *call) chao(t *plainTable, e *estimated) error {
	f, err := t.byAnimal()
	if err != nil {
		return err
	}
	n, err := abundance.ChaoN(f)
	if err != nil {
		return fmt.Errorf("%s: %w", t.file, err)
	}
	e.add(n.Count, "log-normal")
	e.Says = strings.Replace(e.Says, "About", "At least about", 1)
	e.derive("N[bias-corrected]", n.BiasCorrected, math.NaN())
	e.derive("N[few nights]", n.FewNights, math.NaN())
	return nil
}

// coverage takes its error from resampling the animals; stopped early, it
// tells how far it came.
func (c *call) coverage(t *plainTable, e *estimated) error {
	const resamplings = 1000
	h, _, err := t.histories(nil)
	if err != nil {
		return err
	}
	n, err := abundance.SampleCoverage(h.Frequencies(), h.NightCounts().Caught)
	if err != nil {
		return fmt.Errorf("%s: %w", t.file, err)
	}
	var stopped error
	if n.N.Status == fit.Estimable {
		replication := fit.Replication{Replicates: resamplings, Seed: e.Seed, Progress: c.progress("resampling")}
		drawn, err := abundance.Resample(c.ctx, replication, h, n.N, func(h abundance.Histories) (fit.Estimate, error) {
			again, err := abundance.SampleCoverage(h.Frequencies(), h.NightCounts().Caught)
			return again.N, err
		})
		n.N = drawn.N
		if drawn.Failed > 0 {
			n.Warnings = append(n.Warnings, fmt.Sprintf("N was not estimable in %d of %d resamplings: they count as without limit", drawn.Failed, drawn.Done))
		}
		if err != nil {
			fmt.Fprintln(c.stderr) // below the progress
			stopped = fmt.Errorf("stopped after %d of %d resamplings: error and interval rest on those", drawn.Done, drawn.Asked)
			n.Warnings = append(n.Warnings, stopped.Error())
		}
	}
	e.add(n.Count, "resampling")
	for _, of := range []struct {
		name  string
		value float64
	}{
		{"N[coverage 1]", n.N1}, {"N[coverage 2]", n.N2}, {"N[coverage 3]", n.N3},
		{"coverage[1]", n.C1}, {"coverage[2]", n.C2}, {"coverage[3]", n.C3}, {"variation of detection", n.CV},
	} {
		e.derive(of.name, of.value, math.NaN())
	}
	return stopped
}
