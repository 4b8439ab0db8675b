package exchange

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"dawnround/answer"
)

// Appointment is one entry of a calendar.
type Appointment struct {
	ID      string // stays the same from feed to feed
	Due     time.Time
	Summary string
	Notes   string
}

// WriteCalendar writes appointments as an iCalendar feed (RFC 5545): each an
// event of half an hour that ends when it is due. What has no time is left out.
// No place is written: a calendar leaves the house.
func WriteCalendar(w io.Writer, name string, made time.Time, all []Appointment) error {
	c := calendar{w: w}
	c.line("BEGIN:VCALENDAR")
	c.line("VERSION:2.0")
	c.line("PRODID:-//dawnround//follow-ups//EN")
	c.line("CALSCALE:GREGORIAN")
	c.line("X-WR-CALNAME:" + escaped(name))
	for _, a := range all {
		if a.Due.IsZero() {
			continue
		}
		c.line("BEGIN:VEVENT")
		c.line("UID:" + a.ID + "@dawnround")
		c.line("DTSTAMP:" + utc(made))
		c.line("DTSTART:" + utc(a.Due.Add(-30*time.Minute)))
		c.line("DTEND:" + utc(a.Due))
		c.line("SUMMARY:" + escaped(a.Summary))
		if a.Notes != "" {
			c.line("DESCRIPTION:" + escaped(a.Notes))
		}
		c.line("END:VEVENT")
	}
	c.line("END:VCALENDAR")
	return c.err
}

// ToDo are the follow-ups of an answer, as appointments.
func ToDo(tasks []answer.DueTask) []Appointment {
	var out []Appointment
	for _, t := range tasks {
		a := Appointment{ID: t.FollowUp.String(), Due: t.Due, Summary: strings.TrimPrefix(t.On+": "+t.What, ": ")}
		if t.Who != "" {
			a.Notes = "by " + t.Who
		}
		out = append(out, a)
	}
	return out
}

type calendar struct {
	w   io.Writer
	err error
}

// line writes one content line, folded after 75 octets and never within a
// letter (RFC 5545, section 3.1).
func (c *calendar) line(s string) {
	const most = 75
	room := most
	for len(s) > room {
		cut := room
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		c.write(s[:cut] + "\r\n ")
		s, room = s[cut:], most-1
	}
	c.write(s + "\r\n")
}

func (c *calendar) write(s string) {
	if c.err == nil {
		_, c.err = io.WriteString(c.w, s)
	}
}

// escaped writes a text value (RFC 5545, section 3.3.11).
func escaped(s string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\r\n", `\n`, "\n", `\n`, "\r", `\n`).Replace(s)
}

func utc(t time.Time) string { return fmt.Sprint(t.UTC().Format("20060102T150405Z")) }
