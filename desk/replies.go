package desk

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"dawnround/answer"
	"dawnround/page"
	"dawnround/register"
)

// The widths a picture is drawn for.
const (
	wideFigure   = 980
	narrowFigure = 380
)

// aboutly writes an estimate with as many figures as it deserves.
func aboutly(v float64) string {
	switch {
	case math.IsNaN(v):
		return "–"
	case math.IsInf(v, 0):
		return "no limit"
	case math.Abs(v) >= 10:
		return fmt.Sprintf("%.0f", v)
	}
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

func ends(lower, upper float64) string { return aboutly(lower) + " to " + aboutly(upper) }

func replyMany(r *register.Register, q answer.Which) (Reply, error) {
	m, err := answer.HowMany(r, q)
	if err != nil {
		return Reply{}, err
	}
	out := Reply{
		Lede: lede(m.Says, m.Compared), Wide: m.Picture(wideFigure), Narrow: m.Picture(narrowFigure), Assumes: m.Assumes, LeftOut: m.LeftOut, State: m.State, Source: m.Source,
		Caption: "Dot: estimate, line: 95 % interval; a ring takes its chance of being caught from all trips. Bar: known to be alive, the last two dashed since they still fill up. Below: trap-nights, half a night off for each sprung trap where single traps were written.",
	}
	trips := ReplyTable{Caption: "Trip by trip", Head: []string{"trip", "nights", "trap-nights", "animals", "recaptures", "known alive", "estimate", "95 % interval", "note"}}
	var models ReplyTable
	for _, t := range m.Trips {
		effort := strconv.Itoa(t.TrapNights)
		if t.Corrected != nil {
			effort = fmt.Sprintf("%.0f", *t.Corrected)
		}
		row := []string{t.Name, strconv.Itoa(t.Nights), effort, strconv.Itoa(t.Animals), strconv.Itoa(t.Recaptures), strconv.Itoa(t.KnownAlive), "–", "–", joined("; ", t.Refused, t.Break)}
		if t.Refused == "" {
			row[6], row[7] = aboutly(t.N.Value), ends(t.N.Lower, t.N.Upper)
			if t.Range != nil && t.Range.Upper > 1.1*t.N.Upper {
				row[8] = joined("; ", row[8], "if animals differ, "+t.Range.Says())
			}
			models = modelsOf(t)
			out.Warnings = t.Warnings
		}
		trips.Rows = append(trips.Rows, row)
	}
	out.Tables = append(out.Tables, trips)
	if len(models.Rows) > 0 {
		out.Tables = append(out.Tables, models)
	}
	return out, nil
}

// modelsOf are the models of one trip in words.
func modelsOf(t answer.ManyTrip) ReplyTable {
	table := ReplyTable{Caption: "Models considered for " + t.Name, Head: []string{"chance of being caught", "animals", "95 % interval", "weight"}}
	for _, m := range t.Models {
		weight := fmt.Sprintf("%.2f", m.Weight)
		if m.Apart != "" {
			weight = m.Apart
		}
		table.Rows = append(table.Rows, []string{m.Detection, aboutly(m.N.Value), ends(m.N.Lower, m.N.Upper), weight})
	}
	return table
}

func replyLasting(r *register.Register, q answer.Which) (Reply, error) {
	l, err := answer.Survival(r, q)
	if err != nil {
		return Reply{}, err
	}
	out := Reply{
		Lede: lede(l.Says), Wide: l.Picture(wideFigure), Narrow: l.Picture(narrowFigure), Assumes: l.Assumes, LeftOut: l.LeftOut, State: l.State, Source: l.Source, Warnings: l.Warnings,
		Caption: "Each dot is the survival of the time up to that trip, read as a whole year, with its 95 % interval; the level line is the average over the models that are alike in time.",
	}
	if l.Refused != "" {
		out.Wide, out.Narrow = nil, nil
		return out, nil
	}
	year := ReplyTable{Caption: "Of a year", Head: []string{"what", "estimate", "95 % interval"}}
	for _, s := range l.Annual {
		year.Rows = append(year.Rows, []string{s.Name, percent(s.Value), percent(s.Lower) + " to " + percent(s.Upper)})
	}
	year.Rows = append(year.Rows, []string{"number, times", aboutly(l.Growth.Value), ends(l.Growth.Lower, l.Growth.Upper)})
	models := ReplyTable{Caption: "Models considered", Head: []string{"survival", "chance of being caught", "parameters", "weight"}}
	for _, m := range l.Models {
		models.Rows = append(models.Rows, []string{m.Survival, m.Detection, strconv.Itoa(m.Count), fmt.Sprintf("%.2f", m.Weight)})
	}
	out.Tables = []ReplyTable{year, models}
	return out, nil
}

func replyEnough(r *register.Register, q answer.Which) (Reply, error) {
	e, err := answer.EffortEnough(r, q)
	if err != nil {
		return Reply{}, err
	}
	out := Reply{Lede: lede(e.Says), State: e.State, Source: e.Source}
	if e.Refused != "" {
		return out, nil
	}
	table := ReplyTable{Caption: "A fall by 30 % between two surveys", Head: []string{"false alarms allowed", "seen now", "error needed to see it 8 times in 10", "nights of the same traps"}}
	for i, p := range e.Powers {
		nights := "more than 30"
		if n := e.Needs[i].Nights; n > 0 {
			nights = strconv.Itoa(n)
		}
		table.Rows = append(table.Rows, []string{percent(p.Alpha), percent(p.Power), percent(e.Needs[i].CV), nights})
	}
	out.Tables = []ReplyTable{table}
	return out, nil
}

func replyBreeding(r *register.Register, q answer.Which) (Reply, error) {
	b := answer.HowBreeding(r, q, nil)
	out := Reply{Wide: b.Drawn(wideFigure), Narrow: b.Drawn(narrowFigure), Warnings: b.Warnings, LeftOut: b.LeftOut, State: b.State,
		Caption: "Share of grown females breeding on each trip, of those that were checked, with Wilson’s 95 % interval; the table has the exact one."}
	trips := ReplyTable{Caption: "Females breeding", Head: []string{"trip", "breeding", "share", "exact 95 % interval", "not checked", "nothing written"}}
	for _, t := range b.Trips {
		row := []string{t.Trip, fmt.Sprintf("%d of %d", t.Breeding, t.Checked), "–", "–", strconv.Itoa(t.NotChecked), strconv.Itoa(t.Unwritten)}
		if t.Exact != nil {
			row[2], row[3] = percent(t.Exact.Value), percent(t.Exact.Lower)+" to "+percent(t.Exact.Upper)
			out.Lede = lede(fmt.Sprintf("On %s %d of %d grown females that were checked were breeding (%s, 95 %% interval %s to %s).",
				t.Trip, t.Breeding, t.Checked, percent(t.Exact.Value), percent(t.Exact.Lower), percent(t.Exact.Upper)))
		}
		trips.Rows = append(trips.Rows, row)
	}
	if out.Lede == nil {
		out.Lede = lede("No trip has enough females that were checked for a share with an interval; the counts are below.")
	}
	litters := ReplyTable{Caption: "Litters", Head: []string{"mother", "born", "young", "what became of them", "evidence"}}
	for _, l := range b.Litters {
		young := strconv.Itoa(l.Most)
		if l.Most == 0 {
			young = "not counted"
		}
		litters.Rows = append(litters.Rows, []string{l.Mother, l.Born(), young, spaced(l.Fate, string(l.Lost)), l.Evidence})
	}
	out.Tables = []ReplyTable{trips}
	if len(litters.Rows) > 0 {
		out.Tables = append(out.Tables, litters)
	}
	return out, nil
}

func replyHealth(r *register.Register, q answer.Which) (Reply, error) {
	h := answer.HowHealthy(r, q)
	out := Reply{Lede: lede(fmt.Sprintf("%s handled, each once a trip.", page.Count(h.Handled, "animal was", "animals were"))),
		Wide: h.Drawn(wideFigure), Narrow: h.Drawn(narrowFigure), Warnings: h.Warnings, LeftOut: h.LeftOut, State: h.State,
		Caption: "Share of the animals examined that carried any, trip by trip, with Wilson’s 95 % interval; the tables have the exact one. What nobody wrote is not taken for none."}
	for _, p := range h.Parasites {
		table := ReplyTable{Caption: p.Name, Head: []string{"trip", "with any", "share", "exact 95 % interval", "not checked"}}
		for _, t := range p.Trips {
			row := []string{t.Trip, fmt.Sprintf("%d of %d", t.With, t.Examined), "–", "–", strconv.Itoa(t.NotChecked)}
			if t.Exact != nil {
				row[2], row[3] = percent(t.Exact.Value), percent(t.Exact.Lower)+" to "+percent(t.Exact.Upper)
			}
			table.Rows = append(table.Rows, row)
		}
		out.Tables = append(out.Tables, table)
	}
	if len(h.Findings) > 0 {
		table := ReplyTable{Caption: "Found where", Head: []string{"part", "sign", "with it", "none seen", "not checked"}}
		for _, f := range h.Findings {
			table.Rows = append(table.Rows, []string{f.Part, f.Sign, strconv.Itoa(f.With), strconv.Itoa(f.NoneSeen), strconv.Itoa(f.NotChecked)})
		}
		out.Tables = append(out.Tables, table)
	}
	if len(h.Wounds) > 0 {
		table := ReplyTable{Caption: "From capture to capture", Head: []string{"animal", "place", "sign", "how it went"}}
		for _, w := range h.Wounds {
			table.Rows = append(table.Rows, []string{w.Animal, spaced(w.Side, w.Part), w.Sign, w.Says})
		}
		out.Tables = append(out.Tables, table)
	}
	return out, nil
}

// lede is the sentences an answer opens with.
func lede(says ...string) []string {
	var out []string
	for _, s := range says {
		if strings.TrimSpace(s) != "" {
			out = append(out, s)
		}
	}
	return out
}
