package main

import (
	"fmt"
	"io"
	"time"

	"dawnround/answer"
	"dawnround/exchange"
	"dawnround/record"
	"dawnround/register"
)

// due tells what is to be done by a date: follow-ups that are open, and pouches
// whose young may be loose.
func (c *call) due() error {
	svg := c.svg()
	calendar := c.flags.String("calendar", "", "write the follow-ups as an iCalendar file, which must not exist yet")
	until := c.flags.String("until", "", "a date like 2026-06-30; 30 days from now unless given")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	return c.ask(*svg, func(r *register.Register) (reply, error) {
		now := c.now().In(r.Zone())
		last := now.AddDate(0, 0, 30)
		if *until != "" {
			night, err := record.ParseNight(*until)
			if err != nil {
				return reply{}, errUsage{fmt.Sprintf("--until %q: not a date; write it like 2026-06-30", *until)}
			}
			last = night.Noon(r.Zone()).Add(12 * time.Hour)
		}
		a := answer.WhatIsDue(r, now, last)
		if *calendar != "" {
			err := c.write(*calendar, func(w io.Writer) error {
				return exchange.WriteCalendar(w, r.Programme().Name, now, exchange.ToDo(a.Tasks))
			})
			if err != nil {
				return reply{}, err
			}
		}
		return reply{a, func(w io.Writer) { dueText(w, a, r.Zone()) }, a.Picture}, nil
	})
}

func dueText(w io.Writer, a answer.Due, zone *time.Location) {
	fmt.Fprintf(w, "due until %s. State %s.\n", a.Until.In(zone).Format("2 January 2006"), a.State)
	var rows [][]string
	for _, t := range a.Tasks {
		when := "no date"
		if !t.Due.IsZero() {
			when = t.Due.In(zone).Format("2006-01-02 15:04")
		}
		if t.Late {
			when += ", late"
		}
		rows = append(rows, []string{"  " + when, t.On, t.What, t.Who})
	}
	if len(rows) > 0 {
		columns(w, "  when|on|what|who", rows)
	} else {
		fmt.Fprintln(w, "no follow-up is open")
	}
	for _, p := range a.Pouches {
		fmt.Fprintf(w, "  %s %s, young born %s: %s (%s)\n", p.Species, p.Mother, p.Born, p.Says, p.Source)
	}
	fmt.Fprintln(w, "a reminder: your approval and a veterinarian decide")
}
