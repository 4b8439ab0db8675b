package main

import (
	"fmt"
	"io"
	"strings"

	"dawnround/answer"
	"dawnround/fit"
)

// widePicture is how wide a picture for a report is drawn.
const widePicture = 980

// manyText prints how many there are.
func manyText(w io.Writer, m answer.Many) {
	fmt.Fprintf(w, "%s\n", strings.TrimSpace(m.Says+" "+m.Compared))
	var rows [][]string
	for _, t := range m.Trips {
		effort := fmt.Sprint(t.TrapNights)
		if t.Corrected != nil {
			effort = fmt.Sprintf("%.0f", *t.Corrected)
		}
		alive := fmt.Sprint(t.KnownAlive)
		if t.Provisional {
			alive += " so far"
		}
		n, ends := "–", t.Refused
		if t.Refused == "" {
			n, ends = figure(t.N.Value), figure(t.N.Lower)+" to "+figure(t.N.Upper)
		}
		rows = append(rows, []string{t.Name, fmt.Sprint(t.Nights), effort, fmt.Sprint(t.Animals), fmt.Sprint(t.Recaptures), alive, n, ends, t.Break})
	}
	fmt.Fprintln(w)
	columns(w, "trip|nights|trap-nights|animals|recaptures|known alive|estimate|95 % interval|changed", rows)
	for _, t := range m.Trips {
		if t.Refused != "" || t.Name != lastName(m) {
			continue
		}
		fmt.Fprintf(w, "\nmodels of %s: a night's chance of being caught is\n", t.Name)
		var rows [][]string
		for _, model := range t.Models {
			rows = append(rows, []string{"  " + model.Detection, figure(model.N.Value), figure(model.N.Lower) + " to " + figure(model.N.Upper), fmt.Sprintf("%.2f", model.Weight)})
		}
		columns(w, "  detection|animals|95 % interval|weight", rows)
		for _, warning := range t.Warnings {
			fmt.Fprintf(w, "warning: %s\n", warning)
		}
	}
	restsOn(w, m.Assumes, m.LeftOut, m.Source, m.State)
}

// lastName is the latest trip with an estimate.
func lastName(m answer.Many) string {
	name := ""
	for _, t := range m.Trips {
		if t.Refused == "" {
			name = t.Name
		}
	}
	return name
}

// lastingText prints whether they survive.
func lastingText(w io.Writer, l answer.Lasting) {
	fmt.Fprintf(w, "%s\n\n", l.Says)
	var rows [][]string
	for _, e := range append(append([]fit.Estimate{}, l.Annual...), l.Growth) {
		if e.Name != "" && l.Refused == "" {
			value := figure(e.Value)
			if e.Status == fit.NotEstimable {
				value = e.Status.String()
			}
			rows = append(rows, []string{e.Name, value, figure(e.SE), figure(e.Lower) + " to " + figure(e.Upper)})
		}
	}
	if len(rows) > 0 {
		columns(w, "of a year|estimate|error|95 % interval", rows)
		fmt.Fprintln(w)
	}
	rows = nil
	for _, v := range l.Intervals {
		s := v.Survival.Status.String()
		if v.Survival.Status != fit.NotEstimable {
			s = fmt.Sprintf("%s (%s to %s)", figure(v.Survival.Value), figure(v.Survival.Lower), figure(v.Survival.Upper))
		}
		rows = append(rows, []string{v.From, v.To, fmt.Sprintf("%.2f", v.Years), s})
	}
	if l.Refused == "" {
		columns(w, "from|to|years|survival, as of a whole year", rows)
		fmt.Fprintln(w)
	}
	rows = nil
	for _, m := range l.Models {
		rows = append(rows, []string{m.Survival, m.Detection, fmt.Sprint(m.Count), shown(m.Criterion), fmt.Sprintf("%.2f", m.Weight)})
	}
	if len(rows) > 0 {
		columns(w, "survival|detection|parameters|QAICc|weight", rows)
	}
	for _, warning := range l.Warnings {
		fmt.Fprintf(w, "warning: %s\n", warning)
	}
	restsOn(w, l.Assumes, l.LeftOut, l.Source, l.State)
}

// restsOn prints what an answer rests on.
func restsOn(w io.Writer, assumes []answer.Assumed, left []answer.LeftOut, source, state string) {
	fmt.Fprintln(w)
	for _, a := range assumes {
		fmt.Fprintf(w, "assumes: %s: %s\n", a.What, a.Says)
	}
	leftOut(w, left)
	fmt.Fprintf(w, "source: %s\nstate %s\n", source, state)
}

// enoughText prints whether the effort would show a fall.
func enoughText(w io.Writer, e answer.Enough) {
	fmt.Fprintf(w, "%s\n\n", e.Says)
	var rows [][]string
	for i, p := range e.Powers {
		nights := "more than 30"
		if n := e.Needs[i].Nights; n > 0 {
			nights = fmt.Sprint(n)
		}
		rows = append(rows, []string{percent(p.Alpha), percent(p.Power), percent(e.Needs[i].CV), nights})
	}
	if len(rows) > 0 {
		columns(w, "false alarms %|seen now %|error needed for 80 %|nights of the same traps", rows)
	}
	restsOn(w, nil, nil, e.Source, e.State)
}
