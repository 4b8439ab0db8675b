package desk

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"slices"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// Trips is every trip, the latest first.
type Trips struct {
	Trips []TripRow `json:"trips"`
}

// TripRow is one trip in the list.
type TripRow struct {
	Trip     string       `json:"trip"`
	Name     string       `json:"name"`
	Sites    []string     `json:"sites"`
	First    record.Night `json:"first,omitzero"`
	Nights   int          `json:"nights"`   // of which anything is known
	Captures int          `json:"captures"` // of species that are studied
	Animals  int          `json:"animals"`
	Others   int          `json:"others"` // captures of other species
	Outside  string       `json:"outside,omitempty"`
}

func (d *desk) trips(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, func(words words) shown {
		t := words.trips()
		return shown{"Trips", page.Trip, t, func(f page.Frame) templ.Component { return tripsPage(f, t) }}
	})
}

// TripsPage is the list of trips.
func TripsPage(r *register.Register, now time.Time) Trips { return wordsOf(r, now).trips() }

func (w words) trips() Trips {
	var out Trips
	for _, t := range w.Register.Trips() {
		row := TripRow{Trip: t.Trip.Trip, Name: cmp.Or(t.Name, t.Trip.Trip), Sites: slices.Clone(t.Sites), First: t.First, Outside: t.Outside}
		nights, animals := map[record.Night]bool{}, map[uuid.UUID]bool{}
		for _, sn := range t.Nights {
			nights[sn.Night] = true
			for _, c := range w.CapturesOn(sn.Site, sn.Night) {
				switch {
				case c.At.Trip != t.Trip.Trip:
				case w.bycatch(c):
					row.Others++
				default:
					row.Captures++
					animals[c.Animal] = true
				}
			}
		}
		if row.First.IsZero() && len(t.Nights) > 0 {
			row.First = t.Nights[0].Night
		}
		slices.SortFunc(row.Sites, record.Naturally)
		row.Nights, row.Animals = len(nights), len(animals)
		out.Trips = append(out.Trips, row)
	}
	slices.Reverse(out.Trips)
	return out
}

// Text writes the list for a terminal.
func (t Trips) Text(out io.Writer) {
	for _, r := range t.Trips {
		fmt.Fprintf(out, "%-12s %-24s %-11s %s, %s of %d%s\n", r.Trip, r.Name, r.First, page.Count(r.Nights, "night", "nights"),
			page.Count(r.Captures, "capture", "captures"), r.Animals, r.others())
	}
}

// others is the captures of other species, where there are any.
func (r TripRow) others() string {
	if r.Others == 0 {
		return ""
	}
	return fmt.Sprintf(", and %d of other species", r.Others)
}
