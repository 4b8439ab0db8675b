package answer

import (
	"math"
	"strings"
	"time"

	"dawnround/record"
	"dawnround/register"
)

// Histories are the captures of a question as plain tables: which animals were
// caught on which trip, and what is known of the trips.
type Histories struct {
	Animals   []History
	Occasions []Occasion
	LeftOut   []LeftOut
}

// History is one animal: 1 for each trip it was caught on, 0 for the others.
type History struct {
	Animal string
	Caught string
	Sex    record.Sex // empty where it is not written, or written both ways
	Lost   bool       // dead or taken away at its last capture
}

// Occasion is one trip.
type Occasion struct {
	Trip       string
	First      record.Night
	Months     float64 // to the next, in twelfths of a year; 0 for the last
	TrapNights float64 // corrected for sprung traps where these were written
	Summer     float64 // cosine of the day in the year, 1 on 21 December
	Spring     float64 // its sine, 1 three months later
}

// TripHistories gathers the histories of a question, trip by trip.
func TripHistories(r *register.Register, q Which) Histories {
	a := ask(r, q)
	a.independent()
	s, animals := a.occasions(false)
	out := Histories{LeftOut: a.left}
	for i, row := range s.Caught {
		var caught strings.Builder
		any := false
		for _, was := range row {
			caught.WriteByte(byte('0' + was))
			any = any || was > 0
		}
		if any {
			out.Animals = append(out.Animals, History{a.name(animals[i]), caught.String(), a.sex(animals[i]), s.Lost[i]})
		}
	}
	for i, t := range s.trips {
		o := Occasion{Trip: t.Trip, First: t.First, TrapNights: t.TrapNights}
		if i < len(s.Intervals) {
			o.Months = s.Intervals[i] * 12
		}
		turn := 2 * math.Pi * float64(t.First.Noon(time.UTC).YearDay()+10) / daysInYear
		o.Summer, o.Spring = math.Cos(turn), math.Sin(turn)
		out.Occasions = append(out.Occasions, o)
	}
	return out
}
