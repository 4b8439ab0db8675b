package main

import (
	"fmt"
	"io"
	"strconv"

	"dawnround/answer"
	"dawnround/register"
)

// health tells what was found on the animals: parasites, findings by part of
// the body, and how wounds healed.
func (c *call) health() error {
	which, svg := c.which(), c.svg()
	if err := c.parse(0, 0); err != nil {
		return err
	}
	return c.ask(*svg, func(r *register.Register) (reply, error) {
		q, err := which(r)
		if err != nil {
			return reply{}, err
		}
		a := answer.HowHealthy(r, q)
		return reply{a, func(w io.Writer) { healthText(w, a) }, a.Picture}, nil
	})
}

func healthText(w io.Writer, a answer.Health) {
	fmt.Fprintf(w, "health of %s: %d animals handled, each once a trip. State %s.\n", a.Which.Says(), a.Handled, a.State)
	for _, p := range a.Parasites {
		parasiteText(w, p)
	}
	if len(a.Findings) > 0 {
		fmt.Fprintln(w, "\nfound where (animals, each once a trip; what nobody wrote is in neither column)")
		var rows [][]string
		for _, f := range a.Findings {
			rows = append(rows, []string{"  " + f.Part, f.Sign, strconv.Itoa(f.With), strconv.Itoa(f.NoneSeen), strconv.Itoa(f.NotChecked)})
		}
		columns(w, "  part|sign|with it|none seen|not checked", rows)
	}
	if len(a.Wounds) > 0 {
		fmt.Fprintln(w, "\nfrom capture to capture")
	}
	for _, one := range a.Wounds {
		place := one.Part
		if one.Side != "" {
			place = one.Side + " " + one.Part
		}
		fmt.Fprintf(w, "  %s, %s, %s: %s\n", one.Animal, place, one.Sign, one.Says)
	}
	for _, says := range a.Warnings {
		fmt.Fprintf(w, "note: %s\n", says)
	}
	leftOut(w, a.LeftOut)
}

func parasiteText(w io.Writer, p answer.Parasite) {
	fmt.Fprintf(w, "\n%s\n", p.Name)
	var rows [][]string
	for _, t := range p.Trips {
		row := []string{"  " + t.Trip, fmt.Sprintf("%d of %d", t.With, t.Examined), "–", "–", "–", strconv.Itoa(t.NotChecked)}
		if t.Exact != nil {
			row[2] = percent(t.Exact.Value)
			row[3] = percent(t.Exact.Lower) + "–" + percent(t.Exact.Upper)
			row[4] = percent(t.Wilson.Lower) + "–" + percent(t.Wilson.Upper)
		}
		rows = append(rows, row)
	}
	columns(w, "  trip|with any|%|exact 95 %|Wilson 95 %|not checked", rows)
	switch l := p.Load; {
	case l != nil:
		fmt.Fprintf(w, "  load of %d animals, each once: median %s (95 %%: %s); mean %s (%s); k %s (%s), the smaller the fewer carry most\n", l.Animals, l.Median, l.Sampling,
			plain(answer.Number(l.Mean.Value), 3), between(l.Mean.Lower, l.Mean.Upper, 3), plain(answer.Number(l.K.Value), 3), between(l.K.Lower, l.K.Upper, 3))
	default:
		fmt.Fprintf(w, "  load: %s\n", p.Thin)
	}
}

// percent writes a share in per cent, to the tenth.
func percent(share float64) string { return strconv.FormatFloat(100*share, 'f', 1, 64) }
