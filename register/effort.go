package register

import (
	"cmp"
	"maps"
	"slices"

	"dawnround/record"

	"github.com/google/uuid"
)

// Trip is a block of nights, with what the lines say happened in it.
type Trip struct {
	record.Trip
	Nights []SiteNight // every site and night with a setting, a round, a capture or a count, by night and site
}

// SiteNight is one site on one night.
type SiteNight struct {
	Site  string
	Night record.Night
}

func (a SiteNight) compare(b SiteNight) int {
	return cmp.Or(a.Night.Compare(b.Night), cmp.Compare(a.Site, b.Site))
}

// Trips gives the trips by their first night; those without one by id.
func (r *Register) Trips() []Trip {
	var out []Trip
	for _, t := range standing[record.Trip](r) {
		out = append(out, r.tripOf(t))
	}
	slices.SortStableFunc(out, func(a, b Trip) int { return a.begins().Compare(b.begins()) })
	return out
}

// Trip gives one trip.
func (r *Register) Trip(id string) (Trip, bool) {
	e := r.latest("trip", subject{a: id})
	if e == nil {
		return Trip{}, false
	}
	return r.tripOf(e.now.(record.Trip)), true
}

func (r *Register) tripOf(t record.Trip) Trip {
	return Trip{Trip: t, Nights: slices.SortedFunc(maps.Keys(r.nightsOf[t.Trip]), SiteNight.compare)}
}

// spent counts the lines and captures that say a trip was at a site on a
// night: one more, or one less.
func (r *Register) spent(trip, site string, night record.Night, more int) {
	if night.IsZero() {
		return
	}
	nights := r.nightsOf[trip]
	if nights == nil {
		nights = map[SiteNight]int{}
		r.nightsOf[trip] = nights
	}
	at := SiteNight{site, night}
	if nights[at] += more; nights[at] == 0 {
		delete(nights, at)
	}
}

// spentBy is spent for a line that says where a trip was.
func (r *Register) spentBy(b record.Body, more int) {
	switch b := b.(type) {
	case record.Setting:
		r.spent(b.Trip, b.Site, b.Night, more)
	case record.Round:
		r.spent(b.Trip, b.Site, b.Night, more)
	case record.Effort:
		r.spent(b.Trip, b.Site, b.Night, more)
	}
}

// begins is the first night of a trip, as stated or as the lines have it.
func (t Trip) begins() record.Night {
	if t.First.IsZero() && len(t.Nights) > 0 {
		return t.Nights[0].Night
	}
	return t.First
}

// Round gives one round and whether it was ended.
func (r *Register) Round(id uuid.UUID) (round record.Round, ended, ok bool) {
	e := r.latest("round", subject{a: id.String()})
	if e == nil {
		return record.Round{}, false, false
	}
	return e.now.(record.Round), r.latest("round-end", subject{a: id.String()}) != nil, true
}

// Rounds gives the rounds of a site and night by number.
func (r *Register) Rounds(site string, night record.Night) []record.Round {
	var out []record.Round
	for _, list := range r.about["round"] {
		if b := list[len(list)-1].now.(record.Round); b.Site == site && b.Night == night {
			out = append(out, b)
		}
	}
	slices.SortFunc(out, func(a, b record.Round) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), compareIDs(a.Round, b.Round))
	})
	return out
}

// Night is what happened to the traps of one site on one night.
type Night struct {
	SiteNight
	Settings []record.Setting
	Checks   []record.Check // by the clock; of one trap and round the latest stands
	Closings []record.Closing
	Weather  []record.Weather
}

// NightAt gathers the night of one site.
func (r *Register) NightAt(site string, night record.Night) Night {
	s := subject{a: site, b: night.String()}
	n := Night{
		SiteNight: SiteNight{site, night},
		Settings:  all[record.Setting](r, s), Closings: all[record.Closing](r, s), Weather: all[record.Weather](r, s),
	}
	type trapSeen struct {
		round uuid.UUID
		trap  string
	}
	at := map[trapSeen]int{}
	for _, c := range all[record.Check](r, s) {
		i, again := at[trapSeen{c.Round, c.Trap}]
		if !again {
			at[trapSeen{c.Round, c.Trap}] = len(n.Checks)
			n.Checks = append(n.Checks, c)
			continue
		}
		c.Captures = append(slices.Clone(n.Checks[i].Captures), c.Captures...)
		n.Checks[i] = c
	}
	return n
}

// Set gives the traps that were set, by name, and those planned but not set
// with the reason. A later setting of a trap stands.
func (n Night) Set() (set []string, not []record.NotSet) {
	state := map[string]*record.NotSet{}
	for _, s := range n.Settings {
		for _, t := range s.Set {
			state[t] = nil
		}
		for _, t := range s.Not {
			state[t.Trap] = &t
		}
	}
	for _, t := range slices.Sorted(maps.Keys(state)) {
		if why := state[t]; why != nil {
			not = append(not, *why)
			continue
		}
		set = append(set, t)
	}
	return set, not
}

// WasSet reports whether a trap was set that night; known is false where
// nobody wrote which traps were set.
func (n Night) WasSet(trap string) (set, known bool) {
	traps, not := n.Set()
	return slices.Contains(traps, trap), len(traps)+len(not) > 0
}

// Unseen gives the traps set that have no outcome in a round.
func (n Night) Unseen(round uuid.UUID) []string {
	set, _ := n.Set()
	return slices.DeleteFunc(set, func(t string) bool {
		return slices.ContainsFunc(n.Checks, func(c record.Check) bool {
			return c.Round == round && c.Trap == t && c.Outcome != record.OutcomeNotChecked
		})
	})
}

// Unclosed gives the traps set that nobody wrote closed. A trap found
// disabled or not set needs no closing.
func (n Night) Unclosed() []string {
	set, _ := n.Set()
	return slices.DeleteFunc(set, func(t string) bool {
		return slices.ContainsFunc(n.Closings, func(c record.Closing) bool { return slices.Contains(c.Traps, t) }) ||
			slices.ContainsFunc(n.Checks, func(c record.Check) bool {
				return c.Trap == t && (c.Outcome == record.OutcomeDisabled || c.Outcome == record.OutcomeNotSet)
			})
	})
}

// Efforts gives the counts of traps of sites and nights where single traps
// are not named, by trip, site and night.
func (r *Register) Efforts() []record.Effort { return standing[record.Effort](r) }
