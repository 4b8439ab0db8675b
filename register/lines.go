package register

import (
	"slices"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// LinesOf gives every line about a night, by the clock, struck ones included:
// the day as a notebook page. Lines about no night, such as a person or a
// follow-up, are on the page if they were written from one instant up to
// another, and so are corrections and strikes of another night's lines.
func (r *Register) LinesOf(night record.Night, from, to time.Time) []*Entry {
	var out []*Entry
	for _, e := range r.entries {
		n, about := r.nightOf(e, nil)
		at := e.At()
		if about && n == night || (!about || second(e.Body)) && !at.Before(from) && at.Before(to) {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, (*Entry).compare)
	return out
}

// second reports a line about another line.
func second(b record.Body) bool {
	switch b.(type) {
	case record.Correction, record.Strike, record.FlagAct:
		return true
	}
	return false
}

// nightOf is the night a line is about, as it stands now or as it was written.
// A correction and a strike are about the night of their line; lines on the
// way there are in above.
func (r *Register) nightOf(e *Entry, above []*Entry) (record.Night, bool) {
	if e == nil || slices.Contains(above, e) {
		return record.Night{}, false
	}
	body := e.now
	if body == nil {
		body = e.Body
	}
	var night record.Night
	switch b := body.(type) {
	case record.Setting:
		night = b.Night
	case record.Round:
		night = b.Night
	case record.RoundEnd:
		if round := r.latest("round", subject{a: b.Round.String()}); round != nil {
			return r.nightOf(round, append(above, e))
		}
	case record.Closing:
		night = b.Night
	case record.Check:
		night = b.Night
	case record.Effort:
		night = b.Night
	case record.Weather:
		night = b.Night
	case record.Capture:
		night = r.nightOfCapture(b.Capture)
		if night.IsZero() && b.At != nil {
			night = b.At.Night
		}
	case record.FlagAct:
		night = r.nightOfCapture(b.Of)
	case record.Attachment:
		night = r.nightOfCapture(b.Of)
	case record.Correction:
		return r.nightOf(r.entries[b.Line], append(above, e))
	case record.Strike:
		return r.nightOf(r.entries[b.Line], append(above, e))
	}
	return night, !night.IsZero()
}

func (r *Register) nightOfCapture(id uuid.UUID) record.Night {
	if c := r.captures[id]; c != nil {
		return c.At.Night
	}
	return record.Night{}
}

// LinesStating gives every line that states a capture, by the clock, struck
// ones included.
func (r *Register) LinesStating(capture uuid.UUID) []*Entry {
	var out []*Entry
	for _, e := range r.entries {
		switch b := e.Body.(type) {
		case record.Capture:
			if b.Capture == capture {
				out = append(out, e)
			}
		case record.Check:
			if slices.Contains(b.Captures, capture) {
				out = append(out, e)
			}
		}
	}
	slices.SortFunc(out, (*Entry).compare)
	return out
}

// SiteNights gives every site and night of which a line says anything, by
// night and site.
func (r *Register) SiteNights() []SiteNight {
	seen := map[SiteNight]bool{}
	for s := range r.nights {
		if night, err := record.ParseNight(s.b); err == nil {
			seen[SiteNight{s.a, night}] = true
		}
	}
	for _, kind := range []string{"set", "close", "check", "weather"} {
		for s := range r.about[kind] {
			if night, err := record.ParseNight(s.b); err == nil {
				seen[SiteNight{s.a, night}] = true
			}
		}
	}
	for _, said := range r.about["effort"] {
		if b := said[len(said)-1].now.(record.Effort); !b.Night.IsZero() {
			seen[SiteNight{b.Site, b.Night}] = true
		}
	}
	for _, b := range standing[record.Round](r) {
		seen[SiteNight{b.Site, b.Night}] = true
	}
	out := make([]SiteNight, 0, len(seen))
	for sn := range seen {
		out = append(out, sn)
	}
	slices.SortFunc(out, SiteNight.compare)
	return out
}

// Members gives the captures and young that are one animal, by id; none for
// an id that is no animal's own.
func (r *Register) Members(animal uuid.UUID) []uuid.UUID { return slices.Clone(r.members[animal]) }

// IdentityLines gives the standing same, apart and mother lines that name any
// capture or young of an animal, by the clock.
func (r *Register) IdentityLines(animal uuid.UUID) []*Entry {
	var out []*Entry
	for _, id := range r.members[animal] {
		for _, e := range r.links[id] {
			out = insert(out, e)
		}
	}
	return out
}
