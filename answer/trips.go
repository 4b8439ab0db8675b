package answer

import (
	"cmp"
	"slices"
	"strconv"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// LeftOut is what a reply does not count for one reason.
type LeftOut struct {
	Why      string      `json:"why"`
	Captures []uuid.UUID `json:"captures,omitempty"` // by night; nil where whole trips are left out
	Trips    []string    `json:"trips,omitempty"`
}

// leftOut gathers what is left out, by the reason.
type leftOut []LeftOut

func (l *leftOut) capture(c *register.Capture, why string) {
	at := l.because(why)
	at.Captures = append(at.Captures, c.ID())
}

func (l *leftOut) because(why string) *LeftOut {
	i := slices.IndexFunc(*l, func(o LeftOut) bool { return o.Why == why })
	if i < 0 {
		i = len(*l)
		*l = append(*l, LeftOut{Why: why})
	}
	return &(*l)[i]
}

// inOrder gives the trips as they followed each other: by number where every
// trip has one, since a slip in one date must not move a whole trip, and by
// first night otherwise.
func inOrder(trips []register.Trip) []register.Trip {
	numbered := !slices.ContainsFunc(trips, func(t register.Trip) bool { _, err := strconv.ParseFloat(t.Trip.Trip, 64); return err != nil })
	if numbered {
		slices.SortStableFunc(trips, func(a, b register.Trip) int { return cmp.Compare(number(a), number(b)) })
	}
	return trips
}

func number(t register.Trip) float64 {
	n, _ := strconv.ParseFloat(t.Trip.Trip, 64) // cannot fail: numbered
	return n
}

// parted gives the trips within the normal protocol in order, and for those
// outside it the reason, by trip.
func parted(r *register.Register) (trips []register.Trip, outside map[string]string) {
	outside = map[string]string{}
	for _, t := range r.Trips() {
		if t.Outside != "" {
			outside[t.Trip.Trip] = t.Outside
			continue
		}
		trips = append(trips, t)
	}
	return inOrder(trips), outside
}

// at gives the nights of a trip at one site.
func at(t register.Trip, site string) []record.Night {
	var out []record.Night
	for _, n := range t.Nights {
		if n.Site == site {
			out = append(out, n.Night)
		}
	}
	return out
}
