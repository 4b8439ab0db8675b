package demo

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"dawnround/place"
	"dawnround/programme"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// Trips is how many trips are grown, two a year; Nights how many each has.
const (
	Trips  = 8
	Nights = 4
)

// burnIn is how many days the animals live before anybody traps them, so that
// ages and families are what the lives make of them.
const burnIn = 900

// Grow writes four years into an empty programme whose notebook tells the time
// by the clock. The last evening is that of the last trip's last night: its
// traps are set and nothing is seen yet. The same seed and evening give the
// same lines, apart from the device that writes them. progress, which may be
// nil, is told after each night.
func Grow(ctx context.Context, p *programme.Programme, clock *Clock, seed uint64, last record.Night, progress func(done, total int)) (Truth, error) {
	g, err := newGrower(p, clock, seed, last)
	if err != nil {
		return Truth{}, err
	}
	g.begin()
	done := 0
	for _, t := range g.trips {
		g.startTrip(t)
		for n := 1; n <= Nights; n++ {
			if err := ctx.Err(); err != nil {
				return Truth{}, err
			}
			g.dusk(t, n)
			until := g.night.Noon(g.zone).Add(10 * time.Hour)
			if t.number < Trips || n < Nights {
				g.dawn(t, n)
				until = g.night.Add(1).Noon(g.zone).Add(3 * time.Hour)
			}
			if err := g.pen.keep(until); err != nil {
				return Truth{}, err
			}
			if done++; progress != nil {
				progress(done, Trips*Nights)
			}
		}
		g.endTrip(t)
	}
	return g.truth(seed, last), nil
}

// grower is a programme being grown.
type grower struct {
	pen      pen
	protocol *protocol.Protocol
	zone     *time.Location
	land     *country
	field    chance
	chips    packet
	tags     int
	labels   map[string]int // last used, by letter; biopsies by rack
	trips    []trip
	told     []*tale // the stories, as far as they are told
	night    record.Night
	alive    []Alive
}

// trip is one block of nights.
type trip struct {
	number int // from 1
	id     string
	first  record.Night
}

func newGrower(p *programme.Programme, clock *Clock, seed uint64, last record.Night) (*grower, error) {
	empty := true
	p.View(func(r *register.Register) { empty = len(r.Sites())+len(r.Captures()) == 0 })
	if !empty {
		return nil, errors.New("grow: the programme has sites or captures already; begin with an empty one")
	}
	own, err := Protocol()
	if err != nil {
		return nil, err
	}
	zone, err := time.LoadLocation(own.Zone)
	if err != nil {
		return nil, fmt.Errorf("grow: zone %s: %w", own.Zone, err)
	}
	g := &grower{
		pen:      pen{programme: p, clock: clock, ids: stream(seed, idStream)},
		protocol: own, zone: zone,
		field: stream(seed, fieldStream), chips: packet{chance: stream(seed, chipStream)},
		tags: 20, labels: map[string]int{"two": 250}, trips: tripsUntil(last),
	}
	g.land = &country{chance: stream(seed, lifeStream), season: g.season, day: -burnIn}
	g.night = g.trips[0].first
	g.tell()
	return g, nil
}

// tripsUntil gives the trips, half a year apart, of which the last has its
// last night on the evening given.
func tripsUntil(last record.Night) []trip {
	trips := make([]trip, Trips)
	end := last.Add(1 - Nights)
	for i := range trips {
		back := Trips - 1 - i
		first := record.NightOf(time.Date(end.Year, time.Month(end.Month-6*back), 15, 12, 0, 0, 0, time.UTC))
		first = first.Add(min(end.Day, 28) - 15 + (back*5)%7 - (back*3)%4)
		if back == 0 {
			first = end
		}
		trips[i] = trip{number: i + 1, id: fmt.Sprintf("%04d-%02d", first.Year, first.Month), first: first}
	}
	return trips
}

// day counts from the first night of the first trip.
func (g *grower) day() int { return g.night.Days(g.trips[0].first) }

func (g *grower) dated(day int) record.Night { return g.trips[0].first.Add(day) }

// season is 1 in the middle of January and −1 in the middle of July.
func (g *grower) season(day int) float64 {
	n := g.dated(day)
	return math.Cos(2 * math.Pi * float64(n.Noon(time.UTC).YearDay()-15) / 365)
}

// office is a time on the day after the present night, when the crew sit down
// over what they wrote.
func (g *grower) office() time.Time {
	return g.night.Add(1).Noon(g.zone).Add(-g.field.minutes(10, 100))
}

// begin adopts the protocol and enters what it seeds.
func (g *grower) begin() {
	at := g.trips[0].first.Add(-20).Noon(g.zone).Add(3 * time.Hour)
	g.pen.write(at, leader, record.Programme{Name: g.protocol.Name, Zone: g.protocol.Zone})
	g.pen.write(at, leader, record.Device{Name: "camp laptop (invented)"})
	g.pen.write(at, leader, record.Protocol{Version: g.protocol.Version, Text: g.protocol.Text})
	seeds, err := g.protocol.Seed()
	if err != nil {
		g.pen.err = err
	}
	for _, b := range seeds {
		g.pen.write(at, leader, b)
	}
	g.land.settle(len(g.protocol.Seeds.Sites))
	for g.land.day < -1 {
		g.land.pass()
	}
}

// startTrip brings the land up to the trip and says that it begins.
func (g *grower) startTrip(t trip) {
	g.night = t.first
	for g.land.day < g.day() {
		g.land.pass()
	}
	g.loseMarks()
	trip := record.Trip{
		Trip: t.id, Name: g.seasonName(t.first) + " (invented)", First: t.first, Last: t.first.Add(Nights - 1),
		Leader: leader, Approvals: []string{"AE-00/000 (invented)"},
	}
	for i, s := range g.protocol.Seeds.Sites {
		trip.Sites = append(trip.Sites, s.Site)
		for _, k := range kinds {
			g.alive = append(g.alive, Alive{Trip: t.id, Site: s.Site, Species: k.code, Animals: g.land.count(k, i)})
		}
	}
	g.pen.write(t.first.Add(-1).Noon(g.zone).Add(g.field.minutes(240, 400)), leader, trip)
}

func (g *grower) seasonName(n record.Night) string {
	names := [4]string{"summer", "autumn", "winter", "spring"}
	return fmt.Sprintf("%s %d", names[n.Month%12/3], n.Year)
}

// loseMarks lets a chip or a tag go between trips.
func (g *grower) loseMarks() {
	for _, b := range g.land.living {
		if b.file == nil {
			continue
		}
		if b.chip != "" && g.field.of(0.02) {
			b.lose(&b.chip)
		}
		if b.tag != "" && g.field.of(0.03) {
			b.lose(&b.tag)
		}
		if b.chip == "" && b.tag == "" {
			b.file = nil
		}
	}
}

func (b *beast) lose(mark *string) {
	for i := range b.truth.Marks {
		if b.truth.Marks[i].Text == *mark {
			b.truth.Marks[i].Lost = true
		}
	}
	*mark = ""
}

// light is the daylight of a date at a site.
func (g *grower) light(s *protocol.SeedSite, n record.Night) place.Daylight {
	at := place.Point{Lat: s.Traps[0].Lat, Lon: s.Traps[0].Lon, Datum: place.Datum(s.Datum)}
	light, err := at.Light(n.Year, time.Month(n.Month), n.Day, g.zone)
	if err != nil && g.pen.err == nil {
		g.pen.err = err
	}
	return light
}

// truth gathers who was who.
func (g *grower) truth(seed uint64, last record.Night) Truth {
	t := Truth{Says: invented, Seed: seed, Last: last, Growth: growthSays, Crew: crewSays, Alive: g.alive}
	var sites []string
	for _, s := range g.protocol.Seeds.Sites {
		sites = append(sites, s.Site)
	}
	for _, s := range g.told {
		t.Animals = append(t.Animals, s.truth)
	}
	for _, b := range g.land.remembered() {
		t.Animals = append(t.Animals, b.tell(g.dated, sites))
	}
	return t
}
