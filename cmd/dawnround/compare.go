package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"dawnround/abundance"
	"dawnround/fit"
	"dawnround/survival"
)

// A compared is the answer of compare: its struct is the JSON.
type compared struct {
	Says       string          `json:"says"`
	Table      string          `json:"table"`
	Criterion  string          `json:"criterion"` // AICc, or QAICc where ĉ is above 1
	Models     []comparedModel `json:"models"`    // best first
	SampleSize int             `json:"sample_size"`
	SampleOf   string          `json:"sample_of"`
	Averaged   []averaged      `json:"averaged"`
	Warnings   []string        `json:"warnings"`
	Source     string          `json:"source"`
	Versions   versionInfo     `json:"versions"`
}

// comparedModel is one row of the table.
type comparedModel struct {
	Model     string   `json:"model"`
	Count     int      `json:"parameter_count"`
	Minus2LnL *float64 `json:"minus2lnL"`
	Criterion *float64 `json:"criterion"`
	Delta     *float64 `json:"delta"`
	Weight    float64  `json:"weight"`
	Apart     string   `json:"apart,omitempty"` // why it is listed without weight
	Warnings  []string `json:"warnings,omitempty"`
}

// averaged is an estimate over all models that have a weight.
type averaged struct {
	fit.Estimate
	left float64 // weight of the models that could not give it
}

const compareSource = "Burnham & Anderson 2002, Model Selection and Multimodel Inference; unconditional error: Burnham & Anderson 2004, Sociological Methods and Research 33:261–304"

// compare fits several models to one table and puts them side by side.
func (c *call) compare() error {
	var specs []string
	var o fitOptions
	c.flags.Func("model", "a model, like \"survive=occasion; detect=constant\"; once for each", func(spec string) error {
		specs = append(specs, spec)
		return nil
	})
	c.flags.Float64Var(&o.cHat, "c-hat", 1, "survival: variance inflation, as fit tests gives it for the richest model")
	c.flags.StringVar(&o.states, "states", "", "survival: the letters of the histories, A,B")
	c.flags.StringVar(&o.robust, "robust", "", "survival: in which primary period every occasion lies")
	c.flags.StringVar(&o.intervals, "intervals", "", "survival: lengths of time between the occasions")
	c.flags.StringVar(&o.occasions, "occasions", "", "survival: a table of numbers of the occasions")
	c.flags.StringVar(&o.releases, "releases", "", "survival: how many were released, beside a table of recaptures")
	if err := c.parse(2, 2); err != nil {
		return err
	}
	if len(specs) < 2 {
		return errUsage{"two models or more are needed; write --model \"…\" once for each"}
	}
	t, err := c.plain()
	if err != nil {
		return err
	}
	out := compared{Table: t.layout.name, Criterion: "AICc", Averaged: []averaged{}, Warnings: []string{}, Source: compareSource, Versions: versions()}
	switch c.args[0] {
	case "abundance":
		err = c.compareAbundance(t, o, specs, &out)
	case "survival":
		err = c.compareSurvival(t, o, specs, &out)
	default:
		err = errUsage{fmt.Sprintf("%q cannot be compared here; write abundance or survival", c.args[0])}
	}
	if err != nil {
		return err
	}
	out.sentence()
	return c.print(out, out.person)
}

// readModel reads "survive=occasion; detect=constant" into the options that it
// names.
func readModel(spec string, known map[string]*string) error {
	for part := range strings.SplitSeq(spec, ";") {
		name, value, ok := strings.Cut(part, "=")
		name = strings.TrimSpace(name)
		to := known[name]
		switch {
		case strings.TrimSpace(part) == "":
			continue
		case to == nil || !ok:
			var names []string
			for name := range known {
				names = append(names, name)
			}
			slices.Sort(names)
			return errUsage{fmt.Sprintf("--model %q: %q: expected NAME=EFFECTS with a name of %s", spec, strings.TrimSpace(part), strings.Join(names, ", "))}
		}
		*to = strings.TrimSpace(value)
	}
	return nil
}

func (c *call) compareSurvival(t *plainTable, base fitOptions, specs []string, out *compared) error {
	base.emigration = "none"
	var results []survival.Result
	var data survival.Data
	for _, spec := range specs {
		o := base
		err := readModel(spec, map[string]*string{
			"survive": &o.survive, "detect": &o.detect, "move": &o.move, "enter": &o.enter, "seniority": &o.seniority,
			"growth": &o.growth, "emigration": &o.emigration, "emigrate": &o.emigrate,
		})
		if err != nil {
			return err
		}
		m, err := o.open()
		if err != nil {
			return err
		}
		d, m, err := c.openData(t, o, m)
		if err != nil {
			return err
		}
		r, err := survival.Fit(d, m)
		if err != nil {
			return fmt.Errorf("--model %q: %w", spec, t.unlike(err, ""))
		}
		if slices.ContainsFunc(results, func(other survival.Result) bool { return other.Model.String() == r.Model.String() }) {
			return errUsage{fmt.Sprintf("--model %q stands there twice; leave one out", spec)}
		}
		results, data = append(results, r), d
		out.note(r.Model.String(), r.Fit.Parameters, r.Warnings)
	}
	inflation := fit.Inflation{CHat: base.cHat, Counted: true}
	if base.cHat > 1 {
		out.Criterion = "QAICc"
	}
	for _, place := range places(data, results[0].Occasions) {
		table, mean, err := survival.Average(results, place.at, inflation)
		if err != nil {
			return err
		}
		out.rank(table)
		mean.Name = place.name
		out.Averaged = append(out.Averaged, averaged{mean.Estimate, mean.Left})
	}
	return nil
}

// place names a survival to be averaged.
type place struct {
	name string
	at   survival.Place
}

// places are the intervals between occasions, for each group apart.
func places(d survival.Data, occasions int) []place {
	var groups []string
	switch d := d.(type) {
	case survival.Histories:
		groups = d.Group
	case survival.Robust:
		groups = d.Group
	}
	var out []place
	for row, group := range groups {
		if slices.Contains(groups[:row], group) {
			continue
		}
		for k := 1; k < occasions; k++ {
			out = append(out, place{fmt.Sprintf("survival[%s, %d]", group, k), survival.Place{Row: row, Occasion: k, Since: 1}})
		}
	}
	if groups == nil {
		for k := 1; k < occasions; k++ {
			out = append(out, place{fmt.Sprintf("survival[%d]", k), survival.Place{Occasion: k, Since: 1}})
		}
	}
	return out
}

func (c *call) compareAbundance(t *plainTable, base fitOptions, specs []string, out *compared) error {
	if base.cHat > 1 || base.states != "" || base.robust != "" || base.intervals != "" || base.occasions != "" || base.releases != "" {
		return errUsage{"compare abundance takes --model alone; leave the others out"}
	}
	var results []abundance.Result
	for _, spec := range specs {
		o := base
		var conditional string
		if err := readModel(spec, map[string]*string{"detect": &o.detect, "conditional": &conditional}); err != nil {
			return err
		}
		if conditional != "" && conditional != "yes" {
			return errUsage{fmt.Sprintf("--model %q: conditional=%s: expected yes", spec, conditional)}
		}
		effects, err := o.closed()
		if err != nil {
			return err
		}
		data, effects, err := t.closed(effects)
		if err != nil {
			return err
		}
		r, err := abundance.Fit(data, abundance.Model{Detect: effects, Conditional: conditional == "yes"})
		if err != nil {
			return fmt.Errorf("--model %q: %w", spec, t.unlike(err, withConditional))
		}
		results = append(results, r)
		out.note(r.Model.String(), r.Fit.Parameters, r.Warnings)
	}
	table, mean, err := abundance.Average(results)
	if err != nil {
		return err
	}
	out.rank(table)
	mean.Name = "N"
	out.Averaged = append(out.Averaged, averaged{mean.Estimate, mean.Left})
	return nil
}

// note keeps a model's warnings until its place is known.
func (t *compared) note(model string, count int, warnings []string) {
	t.Models = append(t.Models, comparedModel{Model: model, Count: count, Warnings: warnings})
}

// rank puts the models in their order.
func (t *compared) rank(table []fit.Ranked) {
	rows := make([]comparedModel, len(table))
	for i, r := range table {
		of := slices.IndexFunc(t.Models, func(m comparedModel) bool { return m.Model == r.Name })
		rows[i] = t.Models[of]
		rows[i].Minus2LnL, rows[i].Criterion, rows[i].Delta = finite(r.Minus2LnL), finite(r.Criterion), finite(r.Delta)
		rows[i].Weight, rows[i].Apart = r.Weight, r.Apart
		t.SampleSize, t.SampleOf = r.SampleSize, r.SampleOf
	}
	t.Models = rows
}

// sentence says which model leads and by how much.
func (t *compared) sentence() {
	weighed := slices.DeleteFunc(slices.Clone(t.Models), func(m comparedModel) bool { return m.Weight == 0 })
	switch {
	case len(weighed) == 0:
		t.Says = "None of these models can be weighed: the sample is too small for them."
	case len(weighed) == 1:
		t.Says = fmt.Sprintf("Only %q can be weighed.", weighed[0].Model)
	case *weighed[1].Delta < 2:
		t.Says = fmt.Sprintf("No model stands alone: %q leads by %.1f, less than 2, before %q; quote the average.", weighed[0].Model, *weighed[1].Delta, weighed[1].Model)
	default:
		t.Says = fmt.Sprintf("%q leads by %.1f before %q.", weighed[0].Model, *weighed[1].Delta, weighed[1].Model)
	}
	for _, a := range t.Averaged {
		if a.left > 0.05 {
			t.Warnings = append(t.Warnings, fmt.Sprintf("%s: models with %.0f %% of the weight do not give it and are left out of its average", a.Name, 100*a.left))
		}
	}
}

// person prints the table to be read.
func (t compared) person(w io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s\n\n", t.Says)
		tab := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprintf(tab, "\tparameters\t−2 ln L\t%s\tabove the best\tweight\t\n", t.Criterion)
		for _, m := range t.Models {
			weight := fmt.Sprintf("%.3f", m.Weight)
			if m.Apart != "" || m.Criterion == nil {
				weight = "–"
			}
			fmt.Fprintf(tab, "%s\t%d\t%s\t%s\t%s\t%s\t\n", m.Model, m.Count, shown(m.Minus2LnL), shown(m.Criterion), shown(m.Delta), weight)
		}
		_ = tab.Flush() // into memory
		fmt.Fprintf(b, "\nsample size %d, %s\n\n", t.SampleSize, t.SampleOf)
		tab = tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprint(tab, "averaged over the models\testimate\tse\tlower\tupper\t\n")
		for _, a := range t.Averaged {
			value := figure(a.Value)
			if a.Status == fit.NotEstimable {
				value = a.Status.String()
			}
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\t\n", a.Name, value, figure(a.SE), figure(a.Lower), figure(a.Upper))
		}
		_ = tab.Flush()
		fmt.Fprintln(b)
		for _, m := range t.Models {
			if m.Apart != "" {
				fmt.Fprintf(b, "apart: %s: %s\n", m.Model, m.Apart)
			}
			for _, warning := range m.Warnings {
				fmt.Fprintf(b, "warning: %s: %s\n", m.Model, warning)
			}
		}
		for _, warning := range t.Warnings {
			fmt.Fprintf(b, "warning: %s\n", warning)
		}
		fmt.Fprintf(b, "source: %s\n", t.Source)
	})(w)
}

// shown is a number that may not be known.
func shown(x *float64) string {
	if x == nil {
		return figure(math.NaN())
	}
	return fmt.Sprintf("%.2f", *x)
}
