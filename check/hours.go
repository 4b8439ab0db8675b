package check

import (
	"fmt"
	"math"
	"time"

	"dawnround/protocol"
	"dawnround/record"
)

// nightLasts is how long after noon of its date a night's work may go on: to
// 18:00 the next day, before the next traps are set. [CP]
const nightLasts = 30 * time.Hour

// outsideNight reports a time that cannot belong to a night.
func (b *book) outsideNight(t time.Time, night record.Night) bool {
	if t.IsZero() || night.IsZero() || b.zone == nil {
		return false
	}
	noon := night.Noon(b.zone)
	return t.Before(noon) || !t.Before(noon.Add(nightLasts))
}

// clock is a time as people say it, in the programme's zone.
func (b *book) clock(t time.Time) string {
	if b.zone != nil {
		t = t.In(b.zone)
	}
	return t.Format("15:04 on 2 January 2006")
}

// A moment is a time of the capture, and its row.
type moment struct {
	name, field string
	at          time.Time
}

// moments are the times of a capture, in the order they should have.
func (k *card) moments() []moment {
	m := []moment{{"found", "at", k.At.Found}}
	if k.Bagged != nil {
		m = append(m, moment{"bagged", "at", k.Bagged.At})
	}
	m = append(m, moment{"taken in hand", "at", k.h.Start})
	if k.Released != nil {
		m = append(m, moment{"released", "released", k.Released.At})
	}
	return m
}

func clockAgainstNight(k *card) []found {
	var out []found
	for _, m := range k.moments() {
		if k.outsideNight(m.at, k.At.Night) {
			out = append(out, found{
				field:    m.field,
				says:     fmt.Sprintf("%s at %s, but the round is of the night of %s. The night stands; is the device's clock right?", capital(m.name), k.clock(m.at), k.At.Night.Words()),
				evidence: fmt.Sprintf("%s %s, night %s", m.name, m.at.UTC().Format(time.RFC3339), k.At.Night),
			})
		}
	}
	return firstOf(out)
}

func timesInOrder(k *card) []found {
	var out []found
	var last moment
	for _, m := range append(k.moments(), moment{}) {
		if m.at.IsZero() {
			continue
		}
		if m.at.Before(last.at) {
			out = append(out, k.disorder(last, m))
		}
		last = m
	}
	if end := k.h.End; !end.IsZero() && end.Before(k.h.Start) {
		out = append(out, k.disorder(moment{"taken in hand", "at", k.h.Start}, moment{"done", "at", end}))
	}
	return out
}

func (k *card) disorder(first, then moment) found {
	return found{
		field:    then.field,
		says:     fmt.Sprintf("%s at %s, before it was %s at %s.", capital(then.name), k.clock(then.at), first.name, k.clock(first.at)),
		evidence: fmt.Sprintf("%s %s, %s %s", first.name, first.at.UTC().Format(time.RFC3339), then.name, then.at.UTC().Format(time.RFC3339)),
	}
}

// overTimeLimit counts to the release; while the animal is in the hand, to
// now.
func overTimeLimit(k *card) []found {
	var bagged time.Time
	if k.Bagged != nil {
		bagged = k.Bagged.At
	}
	out := k.over("handling minutes", "in the hand", k.h.Start)
	return append(out, k.over("bag minutes", "in the bag", bagged)...)
}

func (k *card) over(limit, where string, since time.Time) []found {
	most, source, on := k.protocol.Limit(limit)
	until := k.letGo()
	if !on || since.IsZero() || until.IsZero() || until.Sub(since).Minutes() <= most {
		return nil
	}
	return []found{{
		field:    "released",
		says:     fmt.Sprintf("%.0f minutes %s; the limit is %s (%s; %s).", math.Ceil(until.Sub(since).Minutes()), where, short(most), source, protocol.LimitsSay),
		evidence: fmt.Sprintf("%s since %s", where, since.UTC().Format(time.RFC3339)),
	}}
}

// letGo is when the animal left the hand; now while it has not. It is zero
// where nobody wrote it.
func (k *card) letGo() time.Time {
	switch {
	case k.Released != nil && !k.Released.At.IsZero():
		return k.Released.At
	case k.draft && k.Released == nil:
		return k.now
	}
	return k.h.End
}

func nightsRunning(k *card) []found {
	most, source, on := k.protocol.Limit("consecutive nights")
	if !on || k.At.Night.IsZero() {
		return nil
	}
	run := NightsRunning(k.before, k.At.Night)
	if float64(run) < most {
		return nil
	}
	return []found{{
		field:    "at",
		says:     fmt.Sprintf("Caught %d nights running; the limit is %s (%s; %s). Rest it?", run, short(most), source, protocol.LimitsSay),
		evidence: fmt.Sprintf("%d nights to %s", run, k.At.Night),
	}}
}
