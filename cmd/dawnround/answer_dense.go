package main

import (
	"errors"
	"fmt"
	"io"

	"dawnround/answer"
	"dawnround/chart"
	"dawnround/register"
)

// dense answers how many live on a hectare. A long fit shows on standard error
// that it goes on; stopped, it leaves a plain statement.
func (c *call) dense(which func(*register.Register) (answer.Which, error), svg string) error {
	if c.flags.Lookup("site").Value.String() == "" {
		return errUsage{"--site SITE is missing; a density is of one site"}
	}
	stopped := false
	err := c.ask(svg, func(r *register.Register) (reply, error) {
		q, err := which(r)
		if err != nil {
			return reply{}, err
		}
		evaluation, told := c.evaluations()
		d, err := answer.Homes(r, q).Estimate(c.ctx, evaluation)
		told()
		stopped = d.Stopped
		return reply{d, func(w io.Writer) { denseText(w, d) }, func() *chart.Scene { return d.Picture(widePicture) }}, err
	})
	if stopped {
		return errors.Join(err, c.ctx.Err())
	}
	return err
}

// denseText prints how many live on a hectare.
func denseText(w io.Writer, d answer.Dense) {
	fmt.Fprintf(w, "%s\n\n", d.Says)
	var rows [][]string
	for _, t := range d.Trips {
		row := []string{t.Trip, fmt.Sprint(t.Nights), fmt.Sprint(t.Traps), fmt.Sprint(t.Animals), fmt.Sprint(t.Captures), fmt.Sprint(t.Elsewhere), "–", "–", "–", "–", "–"}
		if d.Refused == "" {
			p := t.Population
			row[6], row[7] = figure(t.D.Value), figure(t.D.Lower)+" to "+figure(t.D.Upper)
			row[8], row[9], row[10] = figure(p.Expected.Value), figure(p.N.Value)+" ("+figure(p.N.Lower)+" to "+figure(p.N.Upper)+")", figure(p.EffectiveHa.Value)
		}
		rows = append(rows, row)
	}
	if len(rows) > 0 {
		columns(w, "trip|nights|traps|animals|captures|at another trap|per hectare|95 % interval|expected within the margin|there that trip|effective area, ha", rows)
	}
	rows = nil
	for _, m := range d.Models {
		rows = append(rows, []string{m.Detection, figure(m.D.Value), figure(m.Sigma.Value), figure(m.Sigma.Lower) + " to " + figure(m.Sigma.Upper), fmt.Sprintf("%.2f", m.Weight)})
	}
	if len(rows) > 0 {
		fmt.Fprintln(w)
		columns(w, "detection|per hectare, all trips|σ, m|95 % interval|weight", rows)
	}
	for _, warning := range d.Warnings {
		fmt.Fprintf(w, "warning: %s\n", warning)
	}
	restsOn(w, d.Assumes, d.LeftOut, d.Source, d.State)
}
