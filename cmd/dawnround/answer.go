package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"dawnround/answer"
	"dawnround/chart"
	"dawnround/register"
)

// questions are those that the verb answer knows.
var questions = []string{"how-many", "survival", "growth", "density", "enough", "known-alive", "effort"}

func (c *call) answer() error {
	c.table()
	which, svg := c.which(), c.svg()
	if err := c.parse(1, 1); err != nil {
		return err
	}
	if !slices.Contains(questions, c.args[0]) {
		return errUsage{fmt.Sprintf("%q is no question known here; write one of %s", c.args[0], strings.Join(questions, ", "))}
	}
	if c.args[0] == "known-alive" || c.args[0] == "effort" {
		return c.counts(c.flags.Lookup("site").Value.String(), c.flags.Lookup("species").Value.String())
	}
	if *svg != "" && c.args[0] == "enough" {
		return errUsage{"enough has no picture; leave --svg out"}
	}
	if c.csv {
		return errUsage{"--csv is for known-alive and effort; take --json here"}
	}
	if c.args[0] == "density" {
		return c.dense(which, *svg)
	}
	return c.ask(*svg, func(r *register.Register) (reply, error) {
		q, err := which(r)
		if err != nil {
			return reply{}, err
		}
		if c.args[0] == "how-many" {
			m, err := answer.HowMany(r, q)
			return reply{m, func(w io.Writer) { manyText(w, m) }, func() *chart.Scene { return m.Picture(widePicture) }}, err
		}
		if c.args[0] == "enough" {
			e, err := answer.EffortEnough(r, q)
			return reply{e, func(w io.Writer) { enoughText(w, e) }, nil}, err
		}
		l, err := answer.Survival(r, q)
		return reply{l, func(w io.Writer) { lastingText(w, l) }, func() *chart.Scene { return l.Picture(widePicture) }}, err
	})
}

// counts answers the two questions that are counts and not estimates.
func (c *call) counts(site, species string) error {
	switch {
	case site == "":
		return errUsage{"--site SITE is missing; the site's code"}
	case species == "" && c.args[0] == "known-alive":
		return errUsage{"--species SPECIES is missing; the species' code"}
	}
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	p.View(func(r *register.Register) { err = c.answerFrom(r, site, species) })
	return err
}

func (c *call) answerFrom(r *register.Register, site, species string) error {
	if _, ok := r.Site(site); !ok {
		return siteUnknown(r, site)
	}
	if c.args[0] == "effort" {
		return c.effort(answer.Effort(r, site))
	}
	if _, ok := r.Protocol().Sheet(species); !ok {
		return speciesUnknown(r, species)
	}
	return c.knownAlive(answer.KnownAlive(r, site, species))
}

func siteUnknown(r *register.Register, site string) error {
	err := fmt.Errorf("--site %q: no such site in this programme", site)
	sites := r.Sites()
	if len(sites) == 0 {
		return hinted{err, "the programme has no sites yet; add them on its page, or in the protocol's seeds"}
	}
	var codes []string
	for _, s := range sites {
		codes = append(codes, s.Site)
	}
	return hinted{err, "its sites are " + strings.Join(codes, ", ")}
}

func (c *call) knownAlive(a answer.Alive) error {
	rows := make([][]string, len(a.Trips))
	for i, t := range a.Trips {
		rows[i] = []string{t.Trip, strconv.Itoa(t.Caught), strconv.Itoa(t.KnownAlive)}
	}
	return c.rows(a.Trips, []string{"trip", "caught", "known_alive"}, rows,
		fmt.Sprintf("%s at %s, animals known to be alive (a count, not an estimate; the last trips still fill up). State %s.", a.Species, a.Site, a.State), a.LeftOut)
}

func (c *call) effort(t answer.Trapping) error {
	rows := make([][]string, len(t.Trips))
	for i, n := range t.Trips {
		rows[i] = []string{n.Trip, strconv.Itoa(n.TrapNights), ""}
		if corrected, ok := n.Corrected(); ok {
			rows[i][2] = strconv.FormatFloat(corrected, 'f', -1, 64)
		}
	}
	return c.rows(t.Trips, []string{"trip", "trap_nights", "corrected"}, rows,
		fmt.Sprintf("trap nights at %s; corrected: less half a night for each trap sprung by anything, where single traps were written. State %s.", t.Site, t.State), t.LeftOut)
}

// rows prints an answer: JSON and CSV hold its rows; a person also reads what
// it rests on and what was left out.
func (c *call) rows(rows any, header []string, cells [][]string, says string, left []answer.LeftOut) error {
	if c.csv {
		w := csv.NewWriter(c.stdout)
		return errors.Join(w.Write(header), w.WriteAll(cells))
	}
	return c.print(rows, func(w io.Writer) error {
		fmt.Fprintln(w, says)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
		for _, row := range append([][]string{header}, cells...) {
			for _, cell := range row {
				fmt.Fprint(t, cell, "\t")
			}
			fmt.Fprintln(t)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		for _, l := range left {
			fmt.Fprintf(w, "left out: %s (%s)\n", l.Why, howMany(l))
		}
		return nil
	})
}

// howMany counts what was left out for one reason.
func howMany(l answer.LeftOut) string {
	if len(l.Trips) > 0 {
		return plural(len(l.Trips), "trip")
	}
	return plural(len(l.Captures), "capture")
}
