package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"dawnround/answer"
	"dawnround/register"
)

// condition tells how heavy animals are for their size, trip by trip.
func (c *call) condition() error {
	which, svg := c.which(), c.svg()
	length := c.flags.String("length", "", "the trait masses are scaled by; the bone read most often unless given")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	return c.ask(*svg, func(r *register.Register) (reply, error) {
		q, err := which(r)
		if err != nil {
			return reply{}, err
		}
		a, err := answer.HowHeavy(r, q, *length)
		return reply{a, func(w io.Writer) { conditionText(w, a) }, a.Picture}, err
	})
}

func conditionText(w io.Writer, a answer.Condition) {
	fmt.Fprintf(w, "scaled mass index of %s, by %s. State %s.\n%s\n", a.Which.Says(), a.LengthName, a.State, a.ErrorsSay)
	for _, g := range a.Groups {
		fmt.Fprintf(w, "\n%s\n", g.Says())
		if g.Refused != "" {
			fmt.Fprintf(w, "  %s\n", g.Refused)
			continue
		}
		if g.Slope == nil {
			fmt.Fprintln(w, "  no animal with mass and length")
			continue
		}
		fmt.Fprintf(w, "  b %.3f (95 %%: %.3f–%.3f), r %.3f, scaled to %.2f mm; %s\n", g.Slope.B.Value, g.Slope.B.Lower, g.Slope.B.Upper, g.Slope.R, g.Slope.LengthMM, g.SlopeSays)
		var rows [][]string
		for _, t := range g.Trips {
			rows = append(rows, []string{"  " + t.Trip, strconv.Itoa(t.Animals), plain(answer.Number(t.Value), 4) + " g", between(t.Lower, t.Upper, 4)})
		}
		columns(w, "  trip|animals|mean|95 %", rows)
		keptApart(w, g)
	}
	if len(a.Scores) > 0 {
		fmt.Fprintf(w, "\nscores given by hand: %s\n", scores(a.Scores))
	}
	for _, says := range a.Warnings {
		fmt.Fprintf(w, "note: %s\n", says)
	}
	leftOut(w, a.LeftOut)
}

// keptApart says how many females carry a mass that is not theirs, and why.
func keptApart(w io.Writer, g answer.ConditionGroup) {
	why := map[string]int{}
	var order []string
	for _, m := range g.WithYoung {
		if why[m.Why]++; why[m.Why] == 1 {
			order = append(order, m.Why)
		}
	}
	for _, reason := range order {
		fmt.Fprintf(w, "  kept apart: %d, %s\n", why[reason], reason)
	}
}

func scores(list []answer.Score) string {
	var out []string
	trip := ""
	for _, s := range list {
		if s.Trip != trip {
			trip = s.Trip
			out = append(out, trip+":")
		}
		out = append(out, fmt.Sprintf("%s %d", s.Value, s.Animals))
	}
	return strings.Join(out, " ")
}
