package check

import (
	"fmt"
	"math"
	"time"

	"dawnround/growth"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

const stillInside = 10 // days before the earliest exit within which a young should be in the pouch [CP]

// relations are what ties size to age in the species on the card.
func (k *card) relations() []growth.Relation {
	if k.sheet.Code == "" {
		return nil
	}
	curves, asked := k.curves[k.sheet]
	if !asked {
		curves = k.register.Relations(k.sheet)
		k.curves[k.sheet] = curves
	}
	return curves
}

// aged is the age of one young of a capture by its sizes, and what follows.
func (k *card) aged(relations []growth.Relation, c *register.Capture, y record.Young) (protocol.Aged, bool) {
	return k.sheet.AgeYoung(relations, y.Measures, y.Sex, c.At.Night.Noon(time.UTC))
}

// apart is how many days two birth windows lie from each other; 0 where they
// touch.
func apart(a, b growth.Birth) float64 {
	days := func(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }
	switch {
	case !b.Earliest.IsZero() && a.Latest.Before(b.Earliest):
		return days(a.Latest, b.Earliest)
	case !a.Earliest.IsZero() && b.Latest.Before(a.Earliest):
		return days(b.Latest, a.Earliest)
	}
	return 0
}

// born writes about when a young was born.
func born(b growth.Birth) string {
	if b.Earliest.IsZero() {
		return "by " + b.Latest.Format("2 Jan 2006")
	}
	return b.Earliest.Format("2 Jan") + "–" + b.Latest.Format("2 Jan 2006")
}

// youngAgeDiffers compares when a young was born by its sizes now and by those
// of an earlier capture of its mother.
func youngAgeDiffers(k *card) []found {
	var out []found
	relations := k.relations()
	if len(relations) == 0 {
		return nil
	}
	for i, y := range k.h.Young {
		now, ok := k.aged(relations, k.Capture, y)
		if !ok {
			continue
		}
		c := k.last(func(c *register.Capture) bool {
			was, had := rowOf(c, y.Young)
			if !had {
				return false
			}
			_, ok := k.aged(relations, c, was)
			return ok
		})
		if c == nil {
			continue
		}
		was, _ := rowOf(c, y.Young)
		then, _ := k.aged(relations, c, was)
		if off := apart(now.Outlook.Birth, then.Outlook.Birth); off > growth.Roughly(finite(now.Days)) {
			out = append(out, found{
				field:    youngField(i),
				says:     fmt.Sprintf("By its size it was born %s, by that of %s %s: %.0f days apart. Another young, or a measure? Again?", born(now.Outlook.Birth), c.At.Night.Words(), born(then.Outlook.Birth), off),
				evidence: fmt.Sprintf("born %s now; %s on %s", now.Outlook.Birth.EDTF(), then.Outlook.Birth.EDTF(), on(c)),
				beside:   beside(c),
			})
		}
	}
	return out
}

func finite(days float64) float64 {
	if math.IsNaN(days) || math.IsInf(days, 0) {
		return 0
	}
	return days
}

// carried is the latest earlier capture with a young in the pouch whose age its
// sizes tell, and that young.
func (k *card) carried(relations []growth.Relation, other func(uuid.UUID) bool) (*register.Capture, protocol.Aged) {
	var aged protocol.Aged
	c := k.last(func(c *register.Capture) bool {
		for _, y := range handled(c).Young {
			if a, ok := k.aged(relations, c, y); ok && inPouch(y) && other(y.Young) && a.Exit != nil {
				aged = a
				return true
			}
		}
		return false
	})
	return c, aged
}

// youngTooSoon finds a young born while an earlier one should still have been in
// the pouch.
func youngTooSoon(k *card) []found {
	relations := k.relations()
	if len(relations) == 0 {
		return nil
	}
	known := map[uuid.UUID]bool{}
	for _, y := range k.h.Young {
		known[y.Young] = true
	}
	for i, y := range k.h.Young {
		now, ok := k.aged(relations, k.Capture, y)
		if !ok || !inPouch(y) {
			continue
		}
		c, then := k.carried(relations, func(id uuid.UUID) bool { return !known[id] })
		if c == nil || apart(now.Outlook.Birth, then.Outlook.Birth) <= growth.Roughly(finite(now.Days)) { // one litter
			continue
		}
		if free := then.Exit.From.AddDate(0, 0, -stillInside); now.Outlook.Birth.Latest.Before(free) {
			return []found{{
				field:    youngField(i),
				says:     fmt.Sprintf("Born %s by its size, but the young of %s should have been in the pouch until %s. The same young? Was that one lost?", born(now.Outlook.Birth), c.At.Night.Words(), then.Exit),
				evidence: fmt.Sprintf("born %s; the one before leaves %s, seen on %s", now.Outlook.Birth.EDTF(), then.Exit, on(c)),
				beside:   beside(c),
			}}
		}
	}
	return nil
}

// youngGoneEarly finds a pouch that was looked into and is empty while the young
// seen last should still be there.
func youngGoneEarly(k *card) []found {
	relations := k.relations()
	if len(relations) == 0 || !k.pouchEmpty() {
		return nil
	}
	c, then := k.carried(relations, func(uuid.UUID) bool { return true })
	if c == nil || then.Exit.From.IsZero() {
		return nil
	}
	today := k.At.Night.Noon(time.UTC)
	if !today.Before(then.Exit.From.AddDate(0, 0, -stillInside)) {
		return nil
	}
	return []found{{
		field:    "young",
		says:     fmt.Sprintf("The young of %s should be in the pouch until %s. Lost? Look at pouch and teats, and for one at foot.", c.At.Night.Words(), then.Exit),
		evidence: fmt.Sprintf("pouch empty; the young of %s leaves %s", on(c), then.Exit),
		beside:   beside(c),
	}}
}

// pouchEmpty reports a sign that there are no young, with none written in a row.
func (k *card) pouchEmpty() bool {
	for _, y := range k.h.Young {
		if inPouch(y) {
			return false
		}
	}
	for id, s := range k.h.Signs {
		g, ok := k.sheet.Sign(id)
		if !ok || g.Of == protocol.OfYoung || s.Is() != record.Seen {
			continue
		}
		holds := false
		for _, w := range g.Values {
			holds = holds || w.Young
		}
		if w, ok := g.Word(s.Value); ok && holds && !w.Young {
			return true
		}
	}
	return false
}

// expected is what a bone of an animal not yet grown should read today, from
// what it read last and a curve.
func (k *card) expected(relations []growth.Relation, t *protocol.Trait) (Band, bool) {
	if !t.Bone || t.Of == protocol.OfYoung || t.Sided {
		return Band{}, false
	}
	c := k.last(func(c *register.Capture) bool {
		r, ok := handled(c).Measures[t.ID]
		return ok && r.Is() == record.Seen && !r.Roughly && !r.Damaged && !k.adult(c) && handled(c).Stage != ""
	})
	if c == nil {
		return Band{}, false
	}
	was := c.Handled.Measures[t.ID].Counts().Value()
	days := float64(k.At.Night.Days(c.At.Night))
	for i := range relations {
		r := &relations[i]
		if r.Trait != t.ID || r.Unit != t.Unit || r.Sex != "" && r.Sex != string(k.sex()) {
			continue
		}
		next, err := r.Next(was, days)
		if err != nil {
			continue
		}
		sd := 0.0
		if next.Spread == growth.BetweenAnimals {
			sd = (next.To - next.Mean) / 1.96
		}
		limit := growth.GainLimit(next.Mean-was, sd, t.Error)
		return Band{next.Mean, next.Mean - limit, next.Mean + limit, "growth since " + c.At.Night.Words() + " by " + r.Name(), c.ID()}, true
	}
	return Band{}, false
}

// immatureGrowth holds the bones of an animal that was not grown last time
// against its expected growth.
func immatureGrowth(k *card) []found {
	relations := k.relations()
	var out []found
	for i := range k.sheet.Traits {
		t := &k.sheet.Traits[i]
		now, ok := k.h.Measures[t.ID]
		if len(relations) == 0 || !ok || now.Is() != record.Seen || now.Roughly || now.Damaged {
			continue
		}
		band, ok := k.expected(relations, t)
		if v := now.Counts().Value(); ok && (v < band.From || v > band.To) {
			out = append(out, found{
				field:    "measures/" + t.ID,
				says:     fmt.Sprintf("%s %s; %s–%s was to be expected (%s). Again?", capital(called(t, t.ID)), now.Counts().Typed, short(band.From), short(band.To), band.Why),
				evidence: fmt.Sprintf("%s %s; expected %s to %s", t.ID, now.Counts().Typed, short(band.From), short(band.To)),
				beside:   []uuid.UUID{band.Beside},
			})
		}
	}
	return out
}
