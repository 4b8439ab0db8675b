package main

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"dawnround/survival"
)

// A tested is the answer of fit tests: its struct is the JSON.
type tested struct {
	Says     string        `json:"says"`
	Table    string        `json:"table"`
	Tests    []groupTested `json:"tests"` // all animals together, then each group
	Pooling  string        `json:"pooling"`
	Source   string        `json:"source"`
	Versions versionInfo   `json:"versions"`
}

// groupTested is the goodness of fit to some of the animals.
type groupTested struct {
	Animals string `json:"animals"`
	survival.Goodness
}

const (
	testPooling = "occasions of return after the next are one column; no table is pooled with another; where fewer than 2 animals are expected in a cell, P is Fisher's exact, while the chi-square still counts in ĉ (ĉ without such tables stands beside it); a table with an empty margin is untestable and counts nowhere; ĉ below 1 is 1; with all animals together, groups count as one"
	testSource  = "Burnham, Anderson, White, Brownie & Pollock 1987, American Fisheries Society Monograph 5; Pradel 1993, in Marked Individuals in the Study of Bird Population, pp. 29–37"
)

// compares says what stands in a test's tables: rows × columns.
var compares = map[string]string{
	survival.Transience:     "newly marked / marked before × seen again, never",
	survival.NextSeen:       "newly marked / marked before × seen on the next occasion, later",
	survival.TrapDependence: "missed / caught × seen on the next occasion, later",
}

// fitTests asks whether animals alike to the time-dependent model of survival
// fare alike.
func (c *call) fitTests(fitOptions) error {
	t, err := c.plain()
	if err != nil {
		return err
	}
	h, err := t.open(&survival.Model{}, fitOptions{})
	if err != nil {
		return err
	}
	out := tested{Table: t.layout.name, Pooling: testPooling, Source: testSource, Versions: versions()}
	groups := slices.Compact(slices.Sorted(slices.Values(h.Group)))
	if len(groups) == 1 {
		groups = nil
	}
	for _, group := range slices.Concat([]string{""}, groups) {
		g, err := goodnessOf(h, group)
		if err != nil {
			return fmt.Errorf("%s: %w", t.file, err)
		}
		out.Tests = append(out.Tests, g)
	}
	out.Says = out.Tests[0].says()
	return c.print(out, out.person)
}

// goodnessOf tests the animals of one group, all when it has no name.
func goodnessOf(h survival.Histories, group string) (groupTested, error) {
	animals := "all animals"
	if group != "" {
		animals, h = group, only(h, group)
	}
	g, err := survival.Tests(h)
	g.Warnings = append([]string{}, g.Warnings...)
	for i := range g.Components {
		g.Components[i].Tables = append([]survival.Table{}, g.Components[i].Tables...)
	}
	return groupTested{animals, g}, err
}

// only are the histories of one group.
func only(h survival.Histories, group string) survival.Histories {
	var out survival.Histories
	for i, of := range h.Group {
		if of != group {
			continue
		}
		out.Caught = append(out.Caught, h.Caught[i])
		if h.Count != nil {
			out.Count = append(out.Count, h.Count[i])
		}
		if h.Lost != nil {
			out.Lost = append(out.Lost, h.Lost[i])
		}
	}
	return out
}

// says tells what the tests come to.
func (g groupTested) says() string {
	if g.Overall.DF == 0 {
		return "Nothing is known of the fit: no table is testable, and ĉ is taken as 1."
	}
	return fmt.Sprintf("ĉ is %.4g (chi-square %s over %d df, %s; %.4g without thin tables).", g.CHat, figure(g.Overall.ChiSquare), g.Overall.DF, chance(g.Overall.P), g.Sound)
}

// chance is a P as a table shows it.
func chance(p float64) string {
	if p < 0.0001 {
		return "P < 0.0001"
	}
	return fmt.Sprintf("P %.4f", p)
}

// person prints the tests to be read, table by table.
func (t tested) person(w io.Writer) error {
	return text(func(b *bytes.Buffer) {
		for _, g := range t.Tests {
			fmt.Fprintf(b, "%s: %s\n", g.Animals, g.says())
			for _, c := range g.Components {
				printComponent(b, c)
			}
			for _, warning := range g.Warnings {
				fmt.Fprintf(b, "warning: %s\n", warning)
			}
			fmt.Fprintln(b)
		}
		fmt.Fprintf(b, "pooling: %s\nsource: %s\n", t.Pooling, t.Source)
	})(w)
}

func printComponent(b *bytes.Buffer, c survival.Component) {
	fmt.Fprintf(b, "\n%s  %s\n", c.Name, compares[c.Name])
	if len(c.Tables) == 0 {
		fmt.Fprintln(b, "  too few occasions for a table")
	}
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, table := range c.Tables {
		n := table.Counts
		fmt.Fprintf(t, "occasion %d\t%d %d / %d %d\t", table.Occasion, n[0][0], n[0][1], n[1][0], n[1][1])
		switch {
		case !table.Testable:
			fmt.Fprint(t, "untestable\t\t\n")
		case table.Exact:
			fmt.Fprintf(t, "chi-square %s\t%s (exact)\t\n", figure(table.ChiSquare), chance(table.P))
		default:
			fmt.Fprintf(t, "chi-square %s\t%s\t\n", figure(table.ChiSquare), chance(table.P))
		}
	}
	if c.Sum.DF > 0 {
		fmt.Fprintf(t, "sum, %d df\t\tchi-square %s\t%s\tsigned z %.2f\t\n", c.Sum.DF, figure(c.Sum.ChiSquare), chance(c.Sum.P), c.Z)
	}
	_ = t.Flush() // into memory
}
