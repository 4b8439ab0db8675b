package desk

import (
	"net/http"
	"time"

	"dawnround/answer"
	"dawnround/exchange"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Task is something to be done by a time.
type Task struct {
	FollowUp uuid.UUID `json:"follow_up"`
	On       string    `json:"on"`
	What     string    `json:"what"`
	Who      string    `json:"who,omitempty"`
	Due      string    `json:"due"`
	Late     bool      `json:"late"`
	Done     string    `json:"done,omitempty"`
}

// calendar gives the open follow-ups of the next half year as an iCalendar feed.
func (d *desk) calendar(w http.ResponseWriter, _ *http.Request) {
	now := d.now()
	var name string
	var due answer.Due
	d.p.View(func(r *register.Register) {
		name, due = r.Programme().Name, answer.WhatIsDue(r, now.In(r.Zone()), now.AddDate(0, 6, 0))
	})
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_ = exchange.WriteCalendar(w, name, now, exchange.ToDo(due.Tasks)) // whoever asked has gone, or reads on
}

// due gives what is to be done before an instant and is not done.
func (w words) due(before time.Time) []Task {
	var out []Task
	for _, t := range w.FollowUps() {
		if t.Done != nil || t.Due.After(before) {
			continue
		}
		out = append(out, w.task(t))
	}
	return out
}

func (w words) task(t register.Task) Task {
	out := Task{FollowUp: t.FollowUp.FollowUp, On: w.subject(t.On), What: t.What, Who: t.Who, Due: "no date"}
	if !t.Due.IsZero() {
		out.Due, out.Late = t.Due.In(w.zone).Format("2 Jan 2006 15:04"), t.Due.Before(w.now) && t.Done == nil
	}
	if t.Done != nil {
		out.Done = joined(", ", t.Done.Result, w.clock(t.Done.At, record.Night{}))
	}
	return out
}
