package answer

import (
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
	seen := written(r, site, trips)
	for _, t := range trips {
		if seen[t.Trip.Trip] {
			place[t.Trip.Trip] = len(a.Trips)
			a.Trips = append(a.Trips, KnownAliveTrip{Trip: t.Trip.Trip})
		}
	}
	a.count(r, place, outside, &left)
	a.LeftOut = left
	return a
}

// count goes through the captures of the site and species.
func (a *Alive) count(r *register.Register, place map[string]int, outside map[string]string, left *leftOut) {
	trips := map[uuid.UUID]map[int]bool{} // by animal
	for _, c := range r.Captures() {
		if c.At.Site != a.Site || c.Species() != a.Species {
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
func written(r *register.Register, site string, trips []register.Trip) map[string]bool {
	out := map[string]bool{}
	none := map[register.SiteNight]map[string]bool{} // nights of which only such a count speaks, by trip
	for _, e := range r.Efforts() {
		n := register.SiteNight{Site: e.Site, Night: e.Night}
		switch {
		case e.Site != site:
		case e.Trapped != "no":
			out[e.Trip] = true
		case none[n] == nil:
			none[n] = map[string]bool{e.Trip: true}
		default:
			none[n][e.Trip] = true
		}
	}
	for _, t := range trips {
		for _, night := range at(t, site) {
			if !none[register.SiteNight{Site: site, Night: night}][t.Trip.Trip] || somethingElse(r, site, night) {
				out[t.Trip.Trip] = true
			}
		}
	}
	return out
}

// somethingElse reports a setting, a round or a capture on a night.
func somethingElse(r *register.Register, site string, night record.Night) bool {
	n := r.NightAt(site, night)
	return len(n.Settings) > 0 || len(n.Checks) > 0 || len(r.Rounds(site, night)) > 0 || len(r.CapturesOn(site, night)) > 0
}
