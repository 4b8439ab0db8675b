package growth

import (
	"math"
	"time"
)

// A Birth is the window in which an animal was born: one unknown day between
// two dates, both included, and how that was found. Dates are midnights in UTC.
// A zero Earliest is no limit.
type Birth struct {
	Earliest, Latest time.Time
	How              string
}

// Birth is the window of an animal that had this age on a date, by the band
// that warnings rest on.
func (a Age) Birth(on time.Time) Birth {
	from, to := a.Warned()
	b := Birth{Latest: before(on, math.Floor(from)), How: a.how()}
	if !math.IsInf(to, 1) {
		b.Earliest = before(on, math.Ceil(to))
	}
	return b
}

// how says what a birth window rests on.
func (a Age) how() string {
	how := a.Relation.Trait + " " + with(a.Size, a.Relation.Unit) + " by " + a.Relation.Name()
	if a.Spread != BetweenAnimals && !a.Newborn {
		how += "; spread between animals not known, so ± the larger of 7 days and 15 % [CP]"
	}
	return how
}

// before is the date so many days before another.
func before(on time.Time, days float64) time.Time { return date(on).AddDate(0, 0, -int(days)) }

// date is the day of a time, at midnight in UTC.
func date(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

const isoDay = "2006-01-02"

// EDTF writes the window as "one of" these days, level 2 of the Extended
// Date/Time Format (Library of Congress 2019; ISO 8601-2):
// [2026-09-10..2026-09-24]. A window of one day is that day.
func (b Birth) EDTF() string {
	latest := b.Latest.Format(isoDay)
	switch {
	case b.Earliest.IsZero():
		return "[.." + latest + "]"
	case b.Earliest.Equal(b.Latest):
		return latest
	}
	return "[" + b.Earliest.Format(isoDay) + ".." + latest + "]"
}

// Interval writes the window for readers of level 1 only:
// 2026-09-10/2026-09-24. Read strictly it says that the birth lasted so long.
func (b Birth) Interval() string {
	latest := b.Latest.Format(isoDay)
	switch {
	case b.Earliest.IsZero():
		return "../" + latest
	case b.Earliest.Equal(b.Latest):
		return latest
	}
	return b.Earliest.Format(isoDay) + "/" + latest
}
