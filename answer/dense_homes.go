package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnround/density"
	"dawnround/fit"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Homes gathers from the register what HowDense fits: traps in metres, their
// effort by night, and who was caught where. What it gives no longer reads the
// register, so that a long fit keeps nobody waiting.
func Homes(r *register.Register, q Which) Dense {
	a := ask(r, q)
	a.independent()
	d := Dense{State: r.State(), Which: q, Trips: []DenseTrip{}, D: fit.Lost("D_per_ha"), Sigma: fit.Lost("sigma_m"), Source: denseSource}
	if len(q.Sites()) != 1 {
		d.refuse("a density is of one site; ask for one")
		d.LeftOut = a.left
		return d
	}
	trips, _ := parted(r)
	for _, t := range trips {
		if _, in := a.place[t.Trip.Trip]; in {
			d.add(a, t)
		}
	}
	d.LeftOut = a.left
	if why := d.tooThin(); why != "" {
		d.refuse(why)
	}
	return d
}

// add puts a trip on which anybody was caught at a known place to the survey.
func (d *Dense) add(a *asked, t register.Trip) {
	g := ground{asked: a, trip: density.Trip{Name: cmp.Or(t.Name, t.Trip.Trip)}, at: map[density.Point]int{}}
	nights := at(t, a.which.Site)
	for i, night := range nights {
		g.night(i, len(nights), night, t.Trip.Trip)
	}
	row := DenseTrip{Trip: g.trip.Name, Nights: len(nights), Traps: len(g.trip.Traps), Animals: len(g.trip.Animals), D: fit.Lost("D_per_ha")}
	if row.Animals == 0 {
		return
	}
	for _, animal := range g.trip.Animals {
		traps := map[int]bool{}
		for _, c := range animal.Caught {
			traps[c.Trap] = true
		}
		row.Captures, row.Elsewhere = row.Captures+len(animal.Caught), row.Elsewhere+len(traps)-1
	}
	d.Trips, d.survey = append(d.Trips, row), append(d.survey, g.trip)
}

// ground is a trip's traps and captures on a plane.
type ground struct {
	*asked
	trip density.Trip
	at   map[density.Point]int // the trap that stands there
	zone int
	row  map[uuid.UUID]int
}

// night adds the traps set on a night, their effort, and who was in them.
func (g *ground) night(i, nights int, night record.Night, trip string) {
	n := g.NightAt(g.which.Site, night)
	set, _ := n.Set()
	standing := g.Traps(g.which.Site, night)
	in := map[string]int{}
	for _, name := range set {
		k, ok := g.trap(standing, name, nights)
		if !ok || disabled(n, name) {
			continue
		}
		in[name] = k
		g.trip.Traps[k].Open[i] = 1
	}
	held := map[int]bool{}
	for _, c := range g.captures {
		if c.At.Trip != trip || c.At.Site != g.which.Site || c.At.Night != night {
			continue
		}
		k, ok := in[c.At.Trap]
		if !ok {
			g.left.capture(c, "no position is written for the trap, or it was not set")
			continue
		}
		held[k] = true
		g.caught(c, density.Capture{Night: i, Trap: k})
	}
	for _, name := range set {
		if k, ok := in[name]; ok && !held[k] && sprung(n, []string{name}) > 0 {
			g.trip.Traps[k].Open[i], g.trip.Taken[k][i] = 0.5, true
		}
	}
}

// trap finds or adds the place of a trap; ok is false where it has none.
func (g *ground) trap(standing []record.Trap, name string, nights int) (k int, ok bool) {
	point, ok := pointOf(standing, name)
	if !ok {
		return 0, false
	}
	if g.zone == 0 {
		g.zone = point.Zone()
	}
	grid, err := point.GridIn(g.zone)
	if err != nil {
		return 0, false
	}
	// to the millimetre, so that one place is one trap
	at := density.Point{X: math.Round(grid.Easting*1000) / 1000, Y: math.Round(grid.Northing*1000) / 1000}
	k, known := g.at[at]
	if !known {
		k = len(g.trip.Traps)
		g.at[at] = k
		g.trip.Traps = append(g.trip.Traps, density.Trap{Name: fmt.Sprintf("%d", k+1), At: at, Open: make([]float64, nights)})
		g.trip.Taken = append(g.trip.Taken, make([]bool, nights))
	}
	return k, true
}

// disabled reports a trap that could catch nothing that night.
func disabled(n register.Night, trap string) bool {
	return slices.ContainsFunc(n.Checks, func(c record.Check) bool {
		return c.Trap == trap && (c.Outcome == record.OutcomeDisabled || c.Outcome == record.OutcomeNotSet)
	})
}

// caught adds a capture, one a night for each animal.
func (g *ground) caught(c *register.Capture, at density.Capture) {
	if g.row == nil {
		g.row = map[uuid.UUID]int{}
	}
	i, known := g.row[c.Animal]
	if !known {
		i = len(g.trip.Animals)
		g.row[c.Animal] = i
		g.trip.Animals = append(g.trip.Animals, density.Animal{Name: g.name(c.Animal)})
	}
	animal := &g.trip.Animals[i]
	if n := len(animal.Caught); n > 0 && animal.Caught[n-1].Night == at.Night {
		g.left.capture(c, "caught before on the same night")
		return
	}
	animal.Caught = append(animal.Caught, at)
	animal.Lost = gone(c)
}

// extent is how far traps reach where they lie farthest apart, and across it.
func extent(traps []density.Trap) (along, across float64) {
	var way density.Point
	for i, a := range traps {
		for _, b := range traps[i+1:] {
			if m := math.Hypot(a.At.X-b.At.X, a.At.Y-b.At.Y); m > along {
				along, way = m, density.Point{X: (a.At.X - b.At.X) / m, Y: (a.At.Y - b.At.Y) / m}
			}
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, t := range traps {
		off := t.At.X*way.Y - t.At.Y*way.X
		low, high = min(low, off), max(high, off)
	}
	return along, max(0, high-low)
}
