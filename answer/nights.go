package answer

import (
	"math"
	"slices"

	"dawnround/abundance"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// nightly is one trip, night by night, as the closed models take it. Where
// several sites are asked for, a night is the first, second, … at its site.
type nightly struct {
	trip     register.Trip
	first    record.Night
	nights   int
	uneven   bool // the sites had different numbers of nights
	on       []siteNight
	effort   []TrapNights // by night
	animals  []uuid.UUID  // of each row of histories
	captures []uuid.UUID
	abundance.Histories
	caught int // animal-nights
}

// siteNight is a night at a site, and which it was there, from 0.
type siteNight struct {
	register.SiteNight
	at int
}

// nightly gathers a trip at the site of the question, or at every site.
func (a *asked) nightly(t register.Trip, counts efforts) nightly {
	n := nightly{trip: t}
	n.worked(a, counts)
	row := map[uuid.UUID]int{}
	for _, c := range a.captures {
		i := slices.IndexFunc(n.on, func(o siteNight) bool { return o.Site == c.At.Site && o.Night == c.At.Night })
		if c.At.Trip != t.Trip.Trip || i < 0 {
			continue
		}
		at, known := row[c.Animal]
		if !known {
			at = len(n.animals)
			row[c.Animal] = at
			n.animals = append(n.animals, c.Animal)
			n.Caught = append(n.Caught, make([]bool, n.nights))
			n.Lost = append(n.Lost, false)
		}
		n.captures = append(n.captures, c.ID())
		if night := n.on[i].at; !n.Caught[at][night] {
			n.caught++
			n.Caught[at][night] = true
		}
		n.Lost[at] = gone(c)
	}
	n.sexes(a)
	n.effortColumn()
	return n
}

// worked lists the nights on which there were traps, and what effort that was.
func (n *nightly) worked(a *asked, counts efforts) {
	count := map[string]int{}
	for _, o := range n.trip.Nights {
		if !a.which.At(o.Site) {
			continue
		}
		effort := TrapNights{Trip: n.trip.Trip.Trip}
		effort.add(a.NightAt(o.Site, o.Night), counts.at(a.Register, o.Site)[tripNight{effort.Trip, o.Night}])
		caught := slices.ContainsFunc(a.CapturesOn(o.Site, o.Night), func(c *register.Capture) bool {
			return c.At.Trip == n.trip.Trip.Trip && slices.Contains(a.captures, c)
		})
		if effort.TrapNights == 0 && effort.Uncounted == 0 && !caught {
			continue
		}
		if len(n.on) == 0 {
			n.first = o.Night
		}
		at := count[o.Site]
		n.on, count[o.Site] = append(n.on, siteNight{o, at}), at+1
		if at == n.nights {
			n.nights, n.effort = n.nights+1, append(n.effort, TrapNights{PerTrap: true})
		}
		n.effort[at].join(effort)
	}
	for _, nights := range count {
		n.uneven = n.uneven || nights != n.nights
	}
}

// efforts are the counts of traps of each site, gathered once.
type efforts map[string]map[tripNight][]record.Effort

func (e efforts) at(r *register.Register, site string) map[tripNight][]record.Effort {
	if e[site] == nil {
		e[site] = countsAt(r, site)
	}
	return e[site]
}

// join adds the effort of another site on the same night.
func (t *TrapNights) join(o TrapNights) {
	t.TrapNights, t.Sprung, t.Unseen, t.Uncounted = t.TrapNights+o.TrapNights, t.Sprung+o.Sprung, t.Unseen+o.Unseen, t.Uncounted+o.Uncounted
	t.PerTrap = t.PerTrap && o.PerTrap
}

// gone reports a capture after which the animal was not among those that can be
// caught at the site.
func gone(c *register.Capture) bool {
	if c.Released == nil {
		return false
	}
	f := c.Released.Fate
	return f.Ends() || f == record.FateKept || f == record.FateElsewhere || f == record.FateToVet
}

// sexes makes groups where both sexes were asked for, every animal has one and
// there are enough of each to tell them apart.
func (n *nightly) sexes(a *asked) {
	const enough = 5 // of each: common practice, no source
	count := map[record.Sex]int{}
	var group []string
	for _, animal := range n.animals {
		sex := a.sex(animal)
		count[sex]++
		group = append(group, string(sex))
	}
	if a.which.Sex == record.SexUnknown && count[record.Female] >= enough && count[record.Male] >= enough && count[record.SexUnknown] == 0 {
		n.Group = group
	}
}

// effortColumn adds the effort of the nights where it is known and varies.
func (n *nightly) effortColumn() {
	var corrected []float64
	for _, e := range n.effort {
		c, _ := e.Corrected()
		corrected = append(corrected, c)
	}
	if len(corrected) < 3 || slices.Min(corrected) <= 0 || slices.Max(corrected) < 1.1*slices.Min(corrected) {
		return
	}
	log := abundance.LogEffort(corrected)
	if !slices.ContainsFunc(log, math.IsNaN) {
		n.Nightly = map[string][]float64{"effort": log}
	}
}

// recaptures are captures of animals caught on the trip before, one a night.
func (n *nightly) recaptures() int { return n.caught - len(n.animals) }

// independent leaves out what cannot be counted among the animals that live on
// their own and can be known again, with the reason.
func (a *asked) independent() {
	a.captures = slices.DeleteFunc(a.captures, func(c *register.Capture) bool {
		stage := stageAt(a.captures, c)
		rank := a.sheet.StageRank(stage)
		switch {
		case rank >= 0 && a.sheet.Stages[rank].Young:
			a.left.capture(c, "still with its mother")
		case !known(a.Register, c):
			a.left.capture(c, "no mark was read, so the animal cannot be known again")
		default:
			return false
		}
		return true
	})
}
