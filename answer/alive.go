package answer

import (
	"slices"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Alive is how many animals of a species are known to have been alive at a
// site, trip by trip. It is a count and not an estimate: animals that were
// there and never caught again are missing, most of all in the last trips.
type Alive struct {
	State   string // of the notebook
	Site    string
	Species string
	Trips   []KnownAliveTrip
	LeftOut []LeftOut
}

// KnownAliveTrip is one trip, zeros included.
type KnownAliveTrip struct {
	Trip       string `json:"trip"`
	Caught     int    `json:"caught"`      // animals caught there in this trip
	KnownAlive int    `json:"known_alive"` // those, and those caught there both before and after

	Captures []uuid.UUID `json:"-"` // the captures behind caught
}

// KnownAlive counts animals known to be alive (the minimum number alive:
// Krebs 1966, Ecological Monographs 36: 239-273, from memory). An animal is
// counted in a trip in which it was caught at the site, and in every trip
// between two such trips, whatever became of it at a capture. Trips count in
// which anything was written of the site: a capture, a night without one, a
// night on which no trap was set though somebody came, or traps that were set.
//
// An animal is told by a mark, or by a line that says two captures are the
// same. A capture that nothing ties to another cannot be known again; it is
// left out, as are captures without a trip and trips outside the protocol.
func KnownAlive(r *register.Register, site, species string) Alive {
	a := Alive{State: r.State(), Site: site, Species: species, Trips: []KnownAliveTrip{}}
	var left leftOut
	place := map[string]int{}
	trips, outside := parted(r)
	here := slices.DeleteFunc(r.Captures(), func(c *register.Capture) bool { return c.At.Site != site })
	seen := written(r, site, here, trips)
	for _, t := range trips {
		if seen[t.Trip.Trip] {
			place[t.Trip.Trip] = len(a.Trips)
			a.Trips = append(a.Trips, KnownAliveTrip{Trip: t.Trip.Trip})
		}
	}
	a.count(r, here, place, outside, &left)
	a.LeftOut = left
	return a
}

// count goes through the captures of the species at the site.
func (a *Alive) count(r *register.Register, here []*register.Capture, place map[string]int, outside map[string]string, left *leftOut) {
	trips := map[uuid.UUID]map[int]bool{} // by animal
	for _, c := range here {
		if c.Species() != a.Species {
			continue
		}
		i, counted := place[c.At.Trip]
		switch {
		case c.At.Trip == "":
			left.capture(c, "no trip is written for the capture")
		case outside[c.At.Trip] != "":
			left.capture(c, outside[c.At.Trip])
		case !counted:
			left.capture(c, "nothing is written of its trip")
		case !known(r, c):
			left.capture(c, "no mark was read, so the animal cannot be known again")
		default:
			a.Trips[i].Captures = append(a.Trips[i].Captures, c.ID())
			if trips[c.Animal] == nil {
				trips[c.Animal] = map[int]bool{}
			}
			trips[c.Animal][i] = true
		}
	}
	for _, in := range trips {
		a.animal(in)
	}
}

// animal adds one animal, caught in these trips.
func (a *Alive) animal(in map[int]bool) {
	first, last := len(a.Trips), -1
	for i := range in {
		first, last = min(first, i), max(last, i)
		a.Trips[i].Caught++
	}
	for i := first; i <= last; i++ {
		a.Trips[i].KnownAlive++
	}
}

// known reports whether the animal of a capture can be known again: a mark
// speaks for it, or a line says that it is the animal of another capture.
func known(r *register.Register, c *register.Capture) bool {
	if len(c.Marks()) > 0 {
		return true
	}
	a, ok := r.Animal(c.ID())
	return ok && (len(a.Spans) > 0 || len(a.Captures)+len(a.Rows) > 1)
}

// written gives the trips in which anything was written of the site, but for
// a count that only says nobody trapped there.
func written(r *register.Register, site string, here []*register.Capture, trips []register.Trip) map[string]bool {
	out := map[string]bool{}
	for _, c := range here {
		out[c.At.Trip] = true
	}
	for _, e := range r.Efforts() {
		if e.Site == site && e.Trapped != "no" {
			out[e.Trip] = true
		}
	}
	for _, t := range trips {
		for _, night := range at(t, site) {
			out[t.Trip.Trip] = out[t.Trip.Trip] || worked(r, t.Trip.Trip, site, night)
		}
	}
	return out
}

// worked reports a setting, a trap check or a round of a trip.
func worked(r *register.Register, trip, site string, night record.Night) bool {
	n := r.NightAt(site, night)
	return slices.ContainsFunc(n.Settings, func(s record.Setting) bool { return s.Trip == trip }) ||
		slices.ContainsFunc(n.Checks, func(c record.Check) bool { return c.Trip == trip }) ||
		slices.ContainsFunc(r.Rounds(site, night), func(b record.Round) bool { return b.Trip == trip })
}
