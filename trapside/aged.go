package trapside

import (
	"fmt"
	"strings"
	"time"

	"dawnround/growth"
	"dawnround/protocol"
	"dawnround/record"
)

// AgeOfYoung is what the sizes of a young tell: its age, when it was born, when
// it leaves the pouch, and what to expect on the next trip.
type AgeOfYoung struct {
	Age    string // "97 days (90–104)"
	Born   string // EDTF
	Leaves string // the days on one of which it leaves the pouch
	Trip   string // what to expect on the next trip
	Warn   bool   // it may be loose by then
	From   string // the trait, the relation and its source
	None   string // why nothing is told
}

// says is the age in one line.
func (a AgeOfYoung) says() string {
	parts := []string{a.Age, "born " + a.Born}
	if a.Leaves != "" {
		parts = append(parts, "leaves the pouch "+a.Leaves)
	}
	return strings.Join(parts, " · ")
}

// ages tells the age of each young on the card.
func (k *cardOf) ages() {
	if k.sheet == nil || len(k.card.Young) == 0 {
		return
	}
	relations := k.r.Relations(k.sheet)
	for i := range k.card.Young {
		n := k.card.Young[i].Number
		if y := k.d.rows[n]; y != nil {
			k.card.Young[i].Aged = k.aged(relations, *y)
		}
	}
}

// aged is the age of one young.
func (k *cardOf) aged(relations []growth.Relation, y record.Young) AgeOfYoung {
	measured := k.night().Noon(time.UTC)
	a, ok := k.sheet.AgeYoung(relations, y.Measures, y.Sex, measured)
	if !ok {
		var out AgeOfYoung
		for _, o := range a.Outside {
			out.None = "no age: " + o.Error()
		}
		return out
	}
	out := AgeOfYoung{Age: a.Joint.Age.String(), Born: a.Outlook.Birth.EDTF(), From: fromWhat(a)}
	if a.Exit != nil {
		out.Leaves = a.Exit.String()
	}
	if first, last, ok := k.nextTrip(measured); ok {
		notice := a.Outlook.On(first, last)
		out.Trip, out.Warn = "next trip, "+first.Format("2 January")+": "+notice.Says, notice.Warn
	}
	return out
}

// fromWhat names what an age rests on.
func fromWhat(a protocol.Aged) string {
	r := a.Relation
	from := fmt.Sprintf("from %s by %s", strings.Join(a.Traits, " and "), r.Name())
	if r.Grade != "" {
		from += " [" + r.Grade + "]"
	}
	return from + "; band: " + a.Spread.String()
}

// nextTrip is the first and last night of the trip after this one.
func (k *cardOf) nextTrip(measured time.Time) (first, last time.Time, ok bool) {
	for _, t := range k.r.Trips() {
		from := t.First.Noon(time.UTC)
		if t.First.IsZero() || t.Trip.Trip == k.d.Capture.At.Trip || !from.After(measured.AddDate(0, 0, 7)) || ok && !from.Before(first) {
			continue
		}
		first, last, ok = from, from.AddDate(0, 0, 3), true
		if !t.Last.IsZero() {
			last = t.Last.Noon(time.UTC)
		}
	}
	return first, last, ok
}

// expectations writes beside each bone what it should read today.
func (k *cardOf) expectations() {
	if k.sheet == nil || k.card.Brief {
		return
	}
	bands := k.held.Expect()
	for i := range k.card.Rows {
		row := &k.card.Rows[i]
		if b, ok := bands[row.Key]; ok && row.Kind == "measure" && (!k.blind() || k.said(row.Key)) {
			row.Should, row.Why = fmt.Sprintf("%.1f–%.1f", b.From, b.To), b.Why
		}
	}
}
