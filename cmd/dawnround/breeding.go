package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/answer"
	"dawnround/growth"
	"dawnround/record"
	"dawnround/register"
)

// breeding tells what pouches, teats and young say of breeding.
func (c *call) breeding() error {
	which, svg := c.which(), c.svg()
	exit := c.flags.String("exit-days", "", "age at which young leave the pouch, like 190-201; what is published unless given")
	kin := c.flags.Bool("links", false, "list every link of mother and young, and what new animals could be")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	life, err := pouchLife(*exit)
	if err != nil {
		return err
	}
	return c.ask(*svg, func(r *register.Register) (reply, error) {
		q, err := which(r)
		if err != nil {
			return reply{}, err
		}
		a := answer.HowBreeding(r, q, life)
		return reply{a, func(w io.Writer) { breedingText(w, a, *kin) }, a.Picture}, nil
	})
}

// pouchLife reads "190-201" or "102".
func pouchLife(days string) (*growth.PouchLife, error) {
	if days == "" {
		return nil, nil
	}
	life := growth.PouchLife{Source: "stated with --exit-days"}
	for _, part := range strings.Split(days, "-") {
		d, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil {
			return nil, errUsage{fmt.Sprintf("--exit-days %q: write days like 190-201", days)}
		}
		life.Exit = append(life.Exit, d)
	}
	if wrongs := life.Wrongs(); len(wrongs) > 0 {
		return nil, errUsage{fmt.Sprintf("--exit-days %q: %s", days, wrongs[0].Error())}
	}
	return &life, nil
}

func breedingText(w io.Writer, a answer.Breeding, kin bool) {
	fmt.Fprintf(w, "breeding of %s. State %s.\nadults: %s\n", a.Which.Says(), a.State, a.Adults)
	var rows [][]string
	for _, t := range a.Trips {
		row := []string{"  " + t.Trip, fmt.Sprintf("%d of %d", t.Breeding, t.Checked), "–", "–", strconv.Itoa(t.NotChecked), strconv.Itoa(t.Unwritten)}
		if t.Exact != nil {
			row[2], row[3] = percent(t.Exact.Value), percent(t.Exact.Lower)+"–"+percent(t.Exact.Upper)
		}
		rows = append(rows, row)
	}
	if len(rows) > 0 {
		columns(w, "  trip|females breeding|%|exact 95 %|not checked|nothing written", rows)
	}
	monthsText(w, a.Months)
	littersText(w, a)
	youngText(w, a, kin)
	for _, says := range a.Warnings {
		fmt.Fprintf(w, "note: %s\n", says)
	}
	leftOut(w, a.LeftOut)
}

// monthsText prints how many animals showed each state in each month of which
// anything is written.
func monthsText(w io.Writer, months []answer.BreedingMonth) {
	var rows [][]string
	written := map[int]bool{}
	for i, m := range months {
		if i == 0 || months[i-1].Sex != m.Sex || months[i-1].Sign != m.Sign || months[i-1].Value != m.Value {
			rows = append(rows, append([]string{"  " + string(m.Sex) + "s", m.Sign + " " + m.Value}, slices.Repeat([]string{"–"}, 12)...))
		}
		rows[len(rows)-1][m.Month+1] = fmt.Sprintf("%d/%d", m.With, m.Checked)
		written[m.Month] = true
	}
	if len(rows) == 0 {
		return
	}
	head := "  |state"
	for month := 1; month <= 12; month++ {
		if written[month] {
			head += "|" + time.Month(month).String()[:3]
		}
	}
	for i, row := range rows {
		kept := row[:2:2]
		for month := 1; month <= 12; month++ {
			if written[month] {
				kept = append(kept, row[month+1])
			}
		}
		rows[i] = kept
	}
	fmt.Fprintln(w, "\nby month, all years together, of animals with any state of breeding written")
	columns(w, head, rows)
}

func littersText(w io.Writer, a answer.Breeding) {
	if len(a.Litters) > 0 {
		fmt.Fprintln(w, "\nlitters")
		var rows [][]string
		for _, l := range a.Litters {
			young := strconv.Itoa(l.Most)
			switch {
			case l.Unseen:
				young = "not seen"
			case l.Most == 0:
				young = "not counted"
			}
			rows = append(rows, []string{"  " + l.Mother, l.Born(), young, l.Fate, string(l.Lost), l.Evidence})
		}
		columns(w, "  mother|born|young|what became of them|loss|evidence", rows)
		fmt.Fprintf(w, "  %s\n", pouchLifeSays(a.Life))
	}
	switch b := a.Rate; {
	case b.Refused != "":
		fmt.Fprintf(w, "births: %s\n", b.Refused)
	default:
		fmt.Fprintf(w, "births: at least %d litters in %.1f female-years of %d females: %s a female-year (95 %%: %s); %d told by milk alone; those born and lost between two looks are not seen\n",
			b.Litters, b.FemaleYears, b.Females, plain(answer.Number(b.Rate.Value), 3), between(b.Rate.Lower, b.Rate.Upper, 3), b.Unseen)
	}
	for _, i := range a.Intervals {
		fmt.Fprintf(w, "  %s: %d days from one litter to the next, at least %d%s\n", i.Mother, i.Days, i.Shortest, map[bool]string{true: fmt.Sprintf(", at most %d", i.Longest)}[i.Longest > 0])
	}
	for _, f := range a.First {
		fmt.Fprintf(w, "first breeding of %s: between %s and %s (%s)%s\n", f.Female, f.After, f.By, f.Says, ageSays(f.AgeDays))
	}
}

func pouchLifeSays(life *growth.PouchLife) string {
	if life == nil || len(life.Exit) == 0 {
		return "at what age the young leave the pouch is not known: few losses can be told; say it with --exit-days"
	}
	return fmt.Sprintf("losses are told by young leaving the pouch at %v days (%s)", life.Exit, life.Source)
}

func ageSays(days [2]int) string {
	switch {
	case days == [2]int{}:
		return ""
	case days[1] == 0:
		return fmt.Sprintf(", at least %d days old", days[0])
	}
	return fmt.Sprintf(", %d to %d days old", days[0], days[1])
}

func youngText(w io.Writer, a answer.Breeding, kin bool) {
	grades := map[record.Certainty]int{}
	for _, l := range a.Links {
		grades[l.Grade]++
	}
	known := 0
	for _, y := range a.Young {
		if y.Now != "" {
			known++
		}
	}
	fmt.Fprintf(w, "\n%s young known before they carried a mark, %d of them caught later by themselves; links to a mother: %d certain, %d likely, %d suspected\n",
		fmt.Sprint(len(a.Young)), known, grades[record.Certain], grades[record.Likely], grades[record.Suspected])
	if !kin {
		if len(a.Young)+len(a.Candidates) > 0 {
			fmt.Fprintln(w, "--links lists them, and which young new animals could be")
		}
		return
	}
	var rows [][]string
	for _, l := range a.Links {
		rows = append(rows, []string{"  " + l.Name, l.Of, string(l.Grade), string(l.By), l.Evidence})
	}
	columns(w, "  young|mother|grade|by|evidence", rows)
	for _, k := range a.Candidates {
		fmt.Fprintf(w, "\n%s, %s, first caught on %s: %d young it could be, %d ruled out\n", k.Name, k.Stage, k.Night, len(k.Could), k.No)
		for _, y := range k.Could[:min(5, len(k.Could))] {
			fmt.Fprintf(w, "  %s fit: young of %s, last seen %d days before%s; %s%s\n", y.Fit, y.Mother, y.Days, ageSays(y.AgeDays), strings.Join(y.For, ", "), against(y))
		}
	}
}

func against(y answer.Candidate) string {
	if len(y.Against) == 0 {
		return ""
	}
	says := strings.Join(y.Against, ", ")
	if len(y.For) == 0 {
		return "against it: " + says
	}
	return "; against it: " + says
}
