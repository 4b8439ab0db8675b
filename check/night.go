package check

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Night checks the traps, rounds and releases of one site and night.
func Night(r *register.Register, site string, night record.Night, now time.Time) []record.Flag {
	b := newBook(r, nil, now)
	at := register.SiteNight{Site: site, Night: night}
	for _, t := range r.Trips() {
		if slices.Contains(t.Nights, at) {
			return b.night(at, t)
		}
	}
	return b.night(at, register.Trip{})
}

// Trip checks the traps, rounds and releases of every night of one trip.
func Trip(r *register.Register, trip string, now time.Time) []record.Flag {
	t, ok := r.Trip(trip)
	if !ok {
		return nil
	}
	return newBook(r, nil, now).trip(t)
}

func (b *book) trip(t register.Trip) []record.Flag {
	var flags []record.Flag
	for _, at := range t.Nights {
		flags = append(flags, b.night(at, t)...)
	}
	return flags
}

func (b *book) night(at register.SiteNight, t register.Trip) []record.Flag {
	n := b.register.NightAt(at.Site, at.Night)
	rounds := b.register.Rounds(at.Site, at.Night)
	flags := b.unseen(n, rounds)
	flags = append(flags, b.unclosed(n, rounds, t)...)
	flags = append(flags, b.roundClocks(n, rounds)...)
	for _, c := range b.register.CapturesOn(at.Site, at.Night) {
		flags = append(flags, b.unreleased(c)...)
	}
	return flags
}

// unseen lists the traps that an ended round has no outcome for.
func (b *book) unseen(n register.Night, rounds []record.Round) []record.Flag {
	var flags []record.Flag
	for _, round := range rounds {
		_, ended, _ := b.register.Round(round.Round)
		traps := n.Unseen(round.Round)
		if !ended || len(traps) == 0 {
			continue
		}
		list := strings.Join(traps, ", ")
		flags = append(flags, trapUnseen.flag(round.Round, found{
			field:    "traps",
			says:     fmt.Sprintf("Round %d of %s at site %s was ended and nobody has seen %s. Look into them.", round.Number, n.Night.Words(), n.Site, list),
			evidence: list,
		}))
	}
	return flags
}

// unclosed lists the traps not written closed after the last dawn of a trip
// at a site. Where the trip does not say its last night, the last one with
// traps counts, a day later: traps may be set again that evening.
func (b *book) unclosed(n register.Night, rounds []record.Round, t register.Trip) []record.Flag {
	traps := n.Unclosed()
	if len(traps) == 0 || !lastNight(n.SiteNight, t) || b.now.Before(b.dawnOver(n.Night, t)) {
		return nil
	}
	list := strings.Join(traps, ", ")
	return []record.Flag{trapUnclosed.flag(lastRound(rounds), found{
		field:    "traps",
		says:     fmt.Sprintf("The last night at site %s was %s, and nobody has written closed: %s. Closed?", n.Site, n.Night.Words(), list),
		evidence: fmt.Sprintf("%s %s: %s", n.Site, n.Night, list),
	})}
}

// lastNight reports the last night of a trip at a site.
func lastNight(at register.SiteNight, t register.Trip) bool {
	return !slices.ContainsFunc(t.Nights, func(o register.SiteNight) bool { return o.Site == at.Site && at.Night.Before(o.Night) })
}

// dawnOver is noon after the night, a day later where its trip may go on.
func (b *book) dawnOver(night record.Night, t register.Trip) time.Time {
	zone := b.zone
	if zone == nil {
		zone = time.UTC
	}
	if t.Last.IsZero() || night.Before(t.Last) {
		return night.Add(2).Noon(zone)
	}
	return night.Add(1).Noon(zone)
}

// lastRound names the last round of a night, nothing where there was none.
func lastRound(rounds []record.Round) uuid.UUID {
	if len(rounds) == 0 {
		return uuid.UUID{}
	}
	return rounds[len(rounds)-1].Round
}

// roundClocks says of each round that its own clock, or that of a check in
// it, disagrees with its night.
func (b *book) roundClocks(n register.Night, rounds []record.Round) []record.Flag {
	var flags []record.Flag
	for _, round := range rounds {
		what, at := "opened", round.Opened
		for _, c := range n.Checks {
			if c.Round == round.Round && b.outsideNight(c.At, n.Night) && !b.outsideNight(at, n.Night) {
				what, at = "trap "+c.Trap+" seen", c.At
			}
		}
		if b.outsideNight(at, n.Night) {
			flags = append(flags, roundClock.flag(round.Round, found{
				field:    "at",
				says:     fmt.Sprintf("Round %d of the night of %s: %s at %s. The night stands; is the device's clock right?", round.Number, n.Night.Words(), what, b.clock(at)),
				evidence: fmt.Sprintf("%s %s, night %s", what, at.UTC().Format(time.RFC3339), n.Night),
			}))
		}
	}
	return flags
}

// unreleased says that nobody wrote what became of an animal, once its night
// is over.
func (b *book) unreleased(c *register.Capture) []record.Flag {
	if !c.Open() || b.now.Before(b.dawnOver(c.At.Night, register.Trip{Trip: record.Trip{Last: c.At.Night}})) {
		return nil
	}
	return []record.Flag{notReleased.flag(c.ID(), found{
		field:    "released",
		says:     fmt.Sprintf("Caught on %s at %s, and nobody has written what became of it. Is a bag still waiting?", c.At.Night.Words(), spot(c)),
		evidence: "no release of " + on(c),
	})}
}
