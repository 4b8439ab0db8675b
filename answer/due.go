package answer

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"dawnround/chart"
	"dawnround/growth"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Due is what is to be done by a time, and which pouches to leave closed.
type Due struct {
	State   string     `json:"state"`
	From    time.Time  `json:"from"`
	Until   time.Time  `json:"until"`
	Tasks   []DueTask  `json:"tasks"`
	Pouches []DuePouch `json:"pouches"`
}

// DueTask is a follow-up that is not done.
type DueTask struct {
	FollowUp uuid.UUID `json:"follow_up"`
	Due      time.Time `json:"due,omitzero"`
	Late     bool      `json:"late"`
	What     string    `json:"what"`
	On       string    `json:"on"`
	Who      string    `json:"who,omitempty"`
}

// DuePouch is a litter that may leave the pouch within the time asked for.
type DuePouch struct {
	Species string        `json:"species"`
	Mother  string        `json:"mother"`
	Born    string        `json:"born"` // EDTF
	Exit    growth.Window `json:"-"`
	Says    string        `json:"says"`
	Source  string        `json:"source"`
}

// WhatIsDue tells what is open from one time to another, late follow-ups first;
// those without a date come last. A litter last seen in the pouch stands there
// when the window in which it leaves meets the time, for species whose pouch
// life is known.
func WhatIsDue(r *register.Register, from, until time.Time) Due {
	out := Due{State: r.State(), From: from, Until: until, Tasks: []DueTask{}, Pouches: []DuePouch{}}
	a := ask(r, Which{})
	for _, t := range r.FollowUps() {
		if t.Done != nil || t.Due.After(until) {
			continue
		}
		one := DueTask{FollowUp: t.FollowUp.FollowUp, Due: t.Due, Late: !t.Due.IsZero() && t.Due.Before(from), What: t.What, On: t.On, Who: t.Who}
		if id, err := uuid.Parse(t.On); err == nil {
			if animal, ok := r.AnimalOf(id); ok {
				one.On = a.name(animal)
			}
		}
		out.Tasks = append(out.Tasks, one)
	}
	slices.SortStableFunc(out.Tasks, func(x, y DueTask) int {
		return cmp.Or(b2i(x.Due.IsZero())-b2i(y.Due.IsZero()), x.Due.Compare(y.Due))
	})
	for _, s := range r.Protocol().Species {
		if life, ok := growth.PouchLifeOf(s.Scientific); ok && s.Scientific != "" {
			out.pouches(ask(r, Which{Species: s.Code}), life)
		}
	}
	slices.SortStableFunc(out.Pouches, func(x, y DuePouch) int { return x.Exit.From.Compare(y.Exit.From) })
	return out
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// pouches adds the litters of one species that were last seen in the pouch.
func (out *Due) pouches(a *asked, life growth.PouchLife) {
	for _, m := range a.mothers() {
		if ended(m.captures[len(m.captures)-1]) {
			continue
		}
		litters := m.litters(a, &life)
		if len(litters) == 0 {
			continue
		}
		l := litters[len(litters)-1]
		if l.Unseen || l.Fate != "not known" || len(l.Looks) == 0 {
			continue
		}
		outlook := life.Outlook(l.birth())
		if outlook.Exit == nil || !outlook.On(out.From, out.Until).Warn {
			continue
		}
		exit := *outlook.Exit
		if seen := midnight(l.Looks[len(l.Looks)-1].Night); exit.From.Before(seen) {
			exit.From = seen // they were still there
		}
		out.Pouches = append(out.Pouches, DuePouch{Species: a.sheet.Code, Mother: l.Mother, Born: outlook.Birth.EDTF(), Exit: exit,
			Says: fmt.Sprintf("may be loose in the pouch from %s: leave it closed", exit), Source: life.Source})
	}
}

func ended(c *register.Capture) bool { return c.Released != nil && c.Released.Fate.Ends() }

// birth is the window of a litter's birth.
func (l Litter) birth() growth.Birth {
	b := growth.Birth{Latest: midnight(l.By), How: "the looks into her pouch"}
	if !l.After.IsZero() {
		b.Earliest = midnight(l.After)
	}
	return b
}

func midnight(n record.Night) time.Time {
	return time.Date(n.Year, time.Month(n.Month), n.Day, 0, 0, 0, 0, time.UTC)
}

// Picture draws a row for each, on a line of days.
func (out Due) Picture() *chart.Scene {
	s := &chart.Scene{Width: wide, Title: "Due until " + out.Until.Format("2 January 2006"),
		Desc: fmt.Sprintf("%d follow-ups, %d pouches to leave closed. Bars are the days on which young may be loose.", len(out.Tasks), len(out.Pouches))}
	top := heading(s) + 20
	x := chart.Scale{From: 0, To: max(1, out.Until.Sub(out.From).Hours()/24), At: 24, End: 320}
	day := func(t time.Time) float64 { return x.On(min(max(t.Sub(out.From).Hours()/24, x.From), x.To)) }
	for _, t := range out.Tasks {
		class := "value"
		if t.Late || t.Due.IsZero() {
			class = "value hollow"
		}
		s.Put(chart.Dot{Class: class, X: day(t.Due), Y: top, R: 5, Title: t.What})
		top = beside(s, top, t.says())
	}
	for _, p := range out.Pouches {
		from, to := day(p.Exit.From), day(p.Exit.To)
		s.Put(chart.Rect{Class: "bar", X: from, Y: top - 5, W: max(3, to-from), H: 10, Title: p.Exit.String()})
		top = beside(s, top, p.Mother+": "+p.Says)
	}
	s.Put(chart.Line{Class: "axis", Points: []chart.Point{{X: x.At, Y: top}, {X: x.End, Y: top}}},
		chart.Words{Class: "small", X: x.At, Y: top + 16, Text: out.From.Format("2 Jan")},
		chart.Words{Class: "small", X: x.End, Y: top + 16, Text: out.Until.Format("2 Jan 2006"), Place: chart.UpTo})
	s.Height = top + 28
	return s
}

// beside writes what a row is, and gives where the next stands.
func beside(s *chart.Scene, top float64, says string) float64 {
	for _, line := range folded(says, int((s.Width-350)/letterWide)) {
		s.Put(chart.Words{Class: "small", X: 340, Y: top + 4, Text: line})
		top += 15
	}
	return top + 7
}

func (t DueTask) says() string {
	when := "no date"
	if !t.Due.IsZero() {
		when = t.Due.Format("2 Jan")
	}
	if t.Late {
		when += ", late"
	}
	return when + ": " + t.On + ": " + t.What
}
