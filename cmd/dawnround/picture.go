package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"dawnround/answer"
	"dawnround/chart"
	"dawnround/record"
	"dawnround/register"
)

// which reads the flags that choose the captures of a question.
func (c *call) which() func(r *register.Register) (answer.Which, error) {
	site := c.flags.String("site", "", "the site's code, or several with commas between; every site unless given")
	species := c.flags.String("species", "", "the species' code")
	trips := c.flags.String("trips", "", "trips, with commas between; every trip unless given")
	sex := c.flags.String("sex", "", "female or male; both unless given")
	return func(r *register.Register) (answer.Which, error) {
		q := answer.Which{Site: *site, Species: *species, Sex: record.Sex(*sex)}
		if *trips != "" {
			fields, err := csv.NewReader(strings.NewReader(*trips)).Read()
			if err != nil {
				return q, errUsage{fmt.Sprintf("--trips %q: write the trips with commas between", *trips)}
			}
			q.Trips = fields
		}
		return q, asksForSomething(r, q)
	}
}

// asksForSomething refuses a site, species, trip or sex that there is not.
func asksForSomething(r *register.Register, q answer.Which) error {
	if q.Species == "" {
		return errUsage{"--species SPECIES is missing; the species' code"}
	}
	if q.Sex != record.SexUnknown && q.Sex != record.Female && q.Sex != record.Male {
		return errUsage{fmt.Sprintf("--sex %q: write female or male", q.Sex)}
	}
	for _, site := range q.Sites() {
		if _, ok := r.Site(site); !ok {
			return siteUnknown(r, site)
		}
	}
	if _, ok := r.Protocol().Sheet(q.Species); !ok {
		return speciesUnknown(r, q.Species)
	}
	for _, id := range q.Trips {
		if _, ok := r.Trip(id); !ok {
			return hinted{fmt.Errorf("--trips %q: not in this programme", id), "dawnround trip lists the trips"}
		}
	}
	return nil
}

func speciesUnknown(r *register.Register, species string) error {
	var codes []string
	for _, s := range r.Protocol().Species {
		codes = append(codes, s.Code)
	}
	return hinted{fmt.Errorf("--species %q: not on a species sheet of this programme", species), "its species are " + strings.Join(codes, ", ")}
}

// reply is an answer to a question: its JSON, its words and its picture.
type reply struct {
	of      any
	text    func(io.Writer)
	picture func() *chart.Scene
}

// ask answers a question from the register: it prints the reply, and draws it
// into the file of --svg.
func (c *call) ask(svg string, question func(*register.Register) (reply, error)) error {
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	p.View(func(r *register.Register) {
		var a reply
		if a, err = question(r); err != nil {
			return
		}
		if svg != "" {
			err = c.write(svg, func(w io.Writer) error {
				_, err := io.WriteString(w, a.picture().File(chart.Paper))
				return err
			})
		}
		if err == nil {
			err = c.print(a.of, func(w io.Writer) error { a.text(w); return nil })
		}
	})
	return err
}

func (c *call) svg() *string {
	return c.flags.String("svg", "", "draw it into this file, which must not exist yet")
}

// leftOut tells what a reply does not count, and why.
func leftOut(w io.Writer, left []answer.LeftOut) {
	for _, l := range left {
		fmt.Fprintf(w, "left out: %s (%s)\n", l.Why, howMany(l))
	}
}

// columns prints rows under their heads.
func columns(w io.Writer, head string, rows [][]string) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, strings.ReplaceAll(head, "|", "\t"))
	for _, row := range rows {
		fmt.Fprintln(t, strings.Join(row, "\t"))
	}
	t.Flush()
}
