package main

import (
	"bytes"
	"fmt"
	"io"
	"text/tabwriter"

	"dawnround/fit"
	"dawnround/growth"
	curves "dawnround/growth/fitting"
)

// A grown is the answer of growth fit: its struct is the JSON. The relation is
// what can be adopted, and given to age --curve.
type grown struct {
	Says      string            `json:"says"`
	Model     string            `json:"model"`
	From      string            `json:"from"`
	State     string            `json:"state"`
	Estimates []fit.Estimate    `json:"estimates"`
	Minus2LnL *float64          `json:"minus2lnL"`
	Count     int               `json:"parameter_count"`
	AICc      *float64          `json:"aicc"`
	Animals   int               `json:"animals"`
	Readings  int               `json:"readings"`
	Pairs     int               `json:"pairs,omitempty"`
	Compared  []weighedCurve    `json:"compared,omitempty"`
	Ending    fit.Ending        `json:"ending"`
	Relation  growth.Relation   `json:"relation"`
	Residuals []curves.Residual `json:"residuals"`
	LeftOut   []string          `json:"left_out"`
	Warnings  []string          `json:"warnings"`
	Assumes   string            `json:"assumes"`
	Source    string            `json:"source"`
	Versions  versionInfo       `json:"versions"`
	NotChosen []string          `json:"not_chosen,omitempty"`
}

// weighedCurve is one curve among those weighed.
type weighedCurve struct {
	Model  string   `json:"model"`
	Count  int      `json:"parameter_count"`
	AICc   *float64 `json:"aicc"`
	Delta  *float64 `json:"delta"`
	Weight float64  `json:"weight"`
}

// bySexes is the answer where the sexes are apart.
type bySexes struct {
	Says   string    `json:"says"`
	Test   *fit.Test `json:"test"` // null where it cannot be made
	Female grown     `json:"female"`
	Male   grown     `json:"male"`
}

// growthAnswer is what growth fit prints.
type growthAnswer interface{ person(io.Writer) error }

func (f fits) answer(m measuredSizes) growthAnswer {
	if len(f.fits) == 1 {
		return f.grown(f.fits[0], m)
	}
	b := bySexes{Female: f.grown(f.fits[0], m), Male: f.grown(f.fits[1], m), Says: "Females and males: whether their curves differ is not estimable from these data."}
	if finite(f.test.P) == nil {
		return b
	}
	says := "the data do not show that their curves differ"
	if f.test.P < 0.05 {
		says = "their curves differ"
	}
	b.Test = f.test
	b.Says = fmt.Sprintf("Females and males: %s (difference of the curves: chi-square %.1f with %d degrees of freedom, p %.3g).", says, f.test.ChiSquare, f.test.DF, f.test.P)
	return b
}

const grownAssumes = "animals grow by the form fitted and alike in all but what the model lets differ; sizes are measured by one convention, marks are read rightly, and when an animal is caught does not depend on its size"

func (f fits) grown(r curves.Result, m measuredSizes) grown {
	g := grown{Model: r.Model, From: m.from, State: m.state, Estimates: r.Estimates, Minus2LnL: finite(r.Fit.Minus2LnL), Count: r.Fit.Parameters,
		AICc: finite(r.AICc), Animals: r.Animals, Readings: r.Readings, Pairs: r.Pairs, Ending: r.Fit.Ending, Relation: r.Relation, Residuals: r.Residuals,
		LeftOut: append(append([]string{}, m.left...), r.LeftOut...), Warnings: append([]string{}, r.Warnings...),
		Assumes: grownAssumes, Source: r.Source, Versions: versions(), NotChosen: f.notChosen}
	for _, c := range f.compared {
		g.Compared = append(g.Compared, weighedCurve{c.Name, c.Parameters, finite(c.Criterion), finite(c.Delta), c.Weight})
	}
	g.Says = grownSays(r)
	return g
}

// grownSays is the fit in a sentence.
func grownSays(r curves.Result) string {
	var a, k fit.Estimate
	for _, e := range r.Estimates {
		switch e.Name {
		case "rate per day":
			return fmt.Sprintf("%s of %s grows %s %s a day (95 %% %s to %s); %s.", r.Relation.Trait, r.Relation.Species,
				figure(e.Value), r.Relation.Unit, figure(e.Lower), figure(e.Upper), plural(r.Animals, "young animal"))
		case "A":
			a = e
		case "k":
			k = e
		}
	}
	who := plural(r.Animals, "animal")
	if sex := r.Relation.Sex; sex != "" {
		who = plural(r.Animals, sex)
	}
	if finite(a.Lower) == nil || finite(k.Lower) == nil {
		return fmt.Sprintf("How %s of %s grows is not estimable from these data (%s).", r.Relation.Trait, r.Relation.Species, who)
	}
	return fmt.Sprintf("%s of %s grows towards %s %s (95 %% %s to %s) at a rate of %s a year (%s to %s); %s, %s.",
		r.Relation.Trait, r.Relation.Species, figure(a.Value), r.Relation.Unit, figure(a.Lower), figure(a.Upper), figure(k.Value), figure(k.Lower), figure(k.Upper), who, plural(r.Readings, "reading"))
}

func (b bySexes) person(w io.Writer) error {
	if _, err := fmt.Fprintf(w, "%s\n\n", b.Says); err != nil {
		return err
	}
	if err := b.Female.person(w); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return b.Male.person(w)
}

// person prints the answer to be read.
func (g grown) person(w io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s\n\n", g.Says)
		t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprint(t, "\testimate\tse\tlower\tupper\t\n")
		for _, e := range g.Estimates {
			value := figure(e.Value)
			if e.Status == fit.NotEstimable {
				value = e.Status.String()
			}
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t\n", e.Name, value, figure(e.SE), figure(e.Lower), figure(e.Upper))
		}
		_ = t.Flush() // into memory
		g.weighed(b)
		if g.Minus2LnL != nil {
			fmt.Fprintf(b, "\n%s: −2 ln L %.4f with %s\n", g.Model, *g.Minus2LnL, plural(g.Count, "parameter"))
		}
		fmt.Fprintln(b)
		for _, warning := range g.Warnings {
			fmt.Fprintf(b, "warning: %s\n", warning)
		}
		for _, n := range g.NotChosen {
			fmt.Fprintf(b, "not fitted: %s\n", n)
		}
		for _, l := range g.LeftOut {
			fmt.Fprintf(b, "left out: %s\n", l)
		}
		fmt.Fprintf(b, "assumes: %s\nsource: %s\nfrom %s, state %s; --json gives the relation, to be adopted or given to age --curve\n", g.Assumes, g.Source, g.From, g.State)
	})(w)
}

// weighed prints the curves that were compared.
func (g grown) weighed(b *bytes.Buffer) {
	if len(g.Compared) == 0 {
		return
	}
	fmt.Fprintln(b)
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "compared\tparameters\tAICc\tdelta\tweight")
	for _, c := range g.Compared {
		fmt.Fprintf(t, "%s\t%d\t%s\t%s\t%.2f\n", c.Model, c.Count, orDash(c.AICc), orDash(c.Delta), c.Weight)
	}
	_ = t.Flush() // into memory
}

func orDash(x *float64) string {
	if x == nil {
		return "–"
	}
	return fmt.Sprintf("%.2f", *x)
}
