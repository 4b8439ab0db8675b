package fitting

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// daysPerYear carries days to the years in which rates are told.
const daysPerYear = 365.25

// LeastGapDays must lie between two captures for their difference to be growth;
// below it the difference is mostly error of measurement. Common practice, no
// source.
const LeastGapDays = 14

// A Reading is one measurement of one animal.
type Reading struct {
	Animal string
	Day    float64 // days since a 1 January, so that the season can be told
	Size   float64
	Age    float64 // days; NaN where it is not known
	Sex    string  // female, male; empty: not known
}

// A TooThin is the refusal of a sample that is too small for a model.
type TooThin struct {
	Have, Need int
	Of         string
	Instead    string // what can be done with what there is
}

// Error says what there is and what would be enough.
func (t *TooThin) Error() string {
	text := fmt.Sprintf("too thin: %d %s; needs at least %d", t.Have, t.Of, t.Need)
	if t.Instead != "" {
		text += "; " + t.Instead
	}
	return text
}

// An animal is the readings of one, in the order of time.
type animal struct {
	name     string
	readings []Reading
}

// animals groups readings, by name. Readings that are not finite are left out.
func animals(readings []Reading) []animal {
	at := map[string]int{}
	var out []animal
	for _, r := range readings {
		if math.IsNaN(r.Size) || math.IsInf(r.Size, 0) || math.IsNaN(r.Day) {
			continue
		}
		i, ok := at[r.Animal]
		if !ok {
			i = len(out)
			at[r.Animal] = i
			out = append(out, animal{name: r.Animal})
		}
		out[i].readings = append(out[i].readings, r)
	}
	for _, a := range out {
		slices.SortStableFunc(a.readings, func(x, y Reading) int { return cmp.Compare(x.Day, y.Day) })
	}
	slices.SortFunc(out, func(a, b animal) int { return cmp.Compare(a.name, b.name) })
	return out
}

// days counts the different days on which an animal was measured.
func (a animal) days() int {
	n := 0
	for i, r := range a.readings {
		if i == 0 || r.Day > a.readings[i-1].Day {
			n++
		}
	}
	return n
}

// span is the time in years from its first reading to its last.
func (a animal) spanDays() float64 {
	return a.readings[len(a.readings)-1].Day - a.readings[0].Day
}

// A pair is two readings of one animal at least LeastGapDays apart.
type pair struct {
	animal      int     // its place among the animals
	from, gain  float64 // size, and what was gained
	years       float64
	begun, done float64 // years since a 1 January
}

// pairs joins each reading to the next that is far enough away; the readings
// between are counted as left out.
func pairs(all []animal) (out []pair, between int) {
	for i, a := range all {
		last := a.readings[0]
		for _, r := range a.readings[1:] {
			if r.Day-last.Day < LeastGapDays {
				between++
				continue
			}
			out = append(out, pair{
				animal: i, from: last.Size, gain: r.Size - last.Size, years: (r.Day - last.Day) / daysPerYear,
				begun: last.Day / daysPerYear, done: r.Day / daysPerYear,
			})
			last = r
		}
	}
	return out, between
}

// repeated keeps the animals with a pair of readings far enough apart.
func repeated(all []animal) []animal {
	return slices.DeleteFunc(slices.Clone(all), func(a animal) bool { return a.spanDays() < LeastGapDays })
}

// aged keeps the readings of known age, and the animals that have any.
func aged(all []animal) []animal {
	var out []animal
	for _, a := range all {
		known := slices.DeleteFunc(slices.Clone(a.readings), func(r Reading) bool { return math.IsNaN(r.Age) })
		if len(known) > 0 {
			out = append(out, animal{a.name, known})
		}
	}
	return out
}

func count(all []animal) int {
	n := 0
	for _, a := range all {
		n += len(a.readings)
	}
	return n
}

// names lists the animals.
func names(all []animal) []string {
	out := make([]string, len(all))
	for i, a := range all {
		out[i] = a.name
	}
	return out
}
