package main

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"dawnround/answer"
	"dawnround/chart"
	"dawnround/register"
)

// error tells how exactly things are measured: without --trait a line for each
// trait and kind of repeat, with it the whole of one.
func (c *call) error() error {
	which, svg := c.which(), c.svg()
	trait := c.flags.String("trait", "", "one trait, with its side where sided (testis.left); every trait unless given")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if *svg != "" && *trait == "" {
		return errUsage{"--svg draws one trait; name it with --trait"}
	}
	return c.ask(*svg, func(r *register.Register) (reply, error) {
		q, err := which(r)
		if err != nil {
			return reply{}, err
		}
		if *trait != "" {
			one, err := answer.HowExact(r, q, *trait)
			return reply{one, func(w io.Writer) { exactText(w, one) }, func() *chart.Scene { return one.Picture() }}, err
		}
		all := []answer.Repeats{}
		for _, key := range answer.RepeatedTraits(r, q) {
			one, err := answer.HowExact(r, q, key)
			if err != nil {
				return reply{}, err
			}
			all = append(all, one)
		}
		return reply{of: all, text: func(w io.Writer) { everyTrait(w, q, r.State(), all) }}, nil
	})
}

// everyTrait prints a line for each trait and kind of repeat.
func everyTrait(w io.Writer, q answer.Which, state string, all []answer.Repeats) {
	fmt.Fprintf(w, "how exactly %s is measured. State %s.\n", q.Says(), state)
	var rows [][]string
	for _, one := range all {
		for _, k := range one.Kinds {
			rows = append(rows, append([]string{one.Trait}, errorRow(k, one.Unit)...))
		}
	}
	if len(rows) == 0 {
		fmt.Fprintln(w, "nothing was read twice")
		return
	}
	columns(w, "trait|"+errorHead, rows)
	fmt.Fprintln(w, "kinds of repeats are not put together; only blind pairs can set a limit of the programme's own. One trait in full: --trait TRAIT")
}

const errorHead = "repeats|animals|pairs|technical error|95 %|% of mean|two readings within"

func errorRow(k answer.RepeatKind, unit string) []string {
	return []string{k.Kind, strconv.Itoa(k.Animals), strconv.Itoa(k.Pairs), plain(k.TEM, 3) + " " + unit,
		plain(k.Lower, 3) + "–" + plain(k.Upper, 3), plain(k.Relative, 2), plain(k.Between, 3) + " " + unit}
}

// plain writes a figure with so many significant figures, a dash where it is
// not known.
func plain(v answer.Number, n int) string {
	x := float64(v)
	switch {
	case math.IsNaN(x):
		return "–"
	case math.IsInf(x, 1):
		return "no bound"
	case x == 0:
		return "0"
	}
	return strconv.FormatFloat(x, 'f', max(0, n-1-int(math.Floor(math.Log10(math.Abs(x))))), 64)
}

// between writes an interval, a dash where it is not known.
func between(lower, upper float64, n int) string {
	if math.IsNaN(lower) || math.IsNaN(upper) {
		return "–"
	}
	return plain(answer.Number(lower), n) + "–" + plain(answer.Number(upper), n)
}

// exactText prints the whole answer for one trait.
func exactText(w io.Writer, one answer.Repeats) {
	fmt.Fprintf(w, "how exactly %s is measured: %s. State %s.\n", one.Name, one.Which.Says(), one.State)
	var rows [][]string
	for _, k := range one.Kinds {
		rows = append(rows, errorRow(k, one.Unit))
	}
	if len(rows) == 0 {
		fmt.Fprintln(w, "nothing was read twice")
	} else {
		columns(w, errorHead, rows)
	}
	for _, k := range one.Kinds {
		fmt.Fprintf(w, "%s: %s\n", k.Kind, k.Says)
		for _, a := range k.Farthest {
			fmt.Fprintf(w, "  far apart: %s read %v on %s and %v on %s\n", a.Animal, a.Values[0], a.From, a.Values[1], a.To)
		}
	}
	fmt.Fprintf(w, "%s\n", one.LimitSays)
	if e := one.Repeatability; !math.IsNaN(e.Value) {
		fmt.Fprintf(w, "repeatability by any handler, ICC(1,1): %s (95 %%: %s–%s)\n", plain(answer.Number(e.Value), 3), plain(answer.Number(e.Lower), 3), plain(answer.Number(e.Upper), 3))
	}
	handlersText(w, one)
	for _, says := range one.Warnings {
		fmt.Fprintf(w, "note: %s\n", says)
	}
	leftOut(w, one.LeftOut)
}

// handlersText prints how handlers differ and drift.
func handlersText(w io.Writer, one answer.Repeats) {
	fmt.Fprintf(w, "%s\n", one.HandlersSay)
	var rows [][]string
	for _, h := range one.Handlers {
		row := []string{"  " + h.Handler, strconv.Itoa(h.Readings), strconv.Itoa(h.Shared), h.Refused, ""}
		if h.Refused == "" {
			row[3], row[4] = signed(h.Value)+" "+one.Unit, signed(h.Lower)+" to "+signed(h.Upper)
		}
		rows = append(rows, row)
	}
	if len(rows) > 0 {
		columns(w, "  handler|readings|animals shared|offset|95 %", rows)
	}
	fmt.Fprintf(w, "drift: %s\n", one.DriftSays)
	if len(one.Drift) > 40 {
		fmt.Fprintf(w, "  %d points; --svg draws them, --json lists them\n", len(one.Drift))
		return
	}
	rows = nil
	for _, d := range one.Drift {
		rows = append(rows, []string{"  " + d.Trip, d.Handler, strconv.Itoa(d.Readings), signed(d.Value) + " " + one.Unit, signed(d.Lower) + " to " + signed(d.Upper)})
	}
	if len(rows) > 0 {
		columns(w, "  trip|handler|readings|offset|95 %", rows)
	}
}

// signed writes a difference to the hundredth, with its sign.
func signed(v float64) string { return fmt.Sprintf("%+.2f", v) }
