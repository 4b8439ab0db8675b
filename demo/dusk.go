package demo

import (
	"time"

	"dawnround/protocol"
	"dawnround/record"
)

// dusk sets the traps of every ridge.
func (g *grower) dusk(t trip, n int) {
	g.night = t.first.Add(n - 1)
	for g.land.day < g.day() {
		g.land.pass()
	}
	for i := range g.protocol.Seeds.Sites {
		s := &g.protocol.Seeds.Sites[i]
		g.set(t, n, s, teamOf(t, n, i))
	}
}

// teamOf is who works a ridge: the teams go round.
func teamOf(t trip, n, site int) team { return teams[(site+n+t.number)%len(teams)] }

var whyNotSet = []string{"ants at the trap", "cattle on the line", "door bent", "too wet underfoot"}

// set writes the traps set at one site, those not set and why, and the weather.
func (g *grower) set(t trip, n int, s *protocol.SeedSite, who team) {
	first := g.light(s, g.night).Sunset.At.Add(-g.field.minutes(65, 80))
	set := record.Setting{Trip: t.id, Site: s.Site, Night: g.night, First: first, Last: first.Add(g.field.minutes(35, 50))}
	for _, trap := range s.Traps {
		if g.field.of(0.02) && g.toldAt(t, n, trap.Trap) == nil {
			set.Not = append(set.Not, record.NotSet{Trap: trap.Trap, Why: g.field.one(whyNotSet...)})
			continue
		}
		set.Set = append(set.Set, trap.Trap)
	}
	g.pen.write(set.Last.Add(g.field.minutes(1, 4)), who.scribe, set)
	g.weather(s, "set", first, who)
}

var winds = []string{"calm", "calm", "light", "light", "moderate", "strong"}

// weather is what was read at a site at one time of the night.
func (g *grower) weather(s *protocol.SeedSite, when string, at time.Time, who team) {
	warm := g.land.season(g.day())
	c := g.field.about(24+5*warm, 2)
	if when != "set" {
		c = g.field.about(14+6*warm, 2)
	}
	w := record.Weather{
		Site: s.Site, Night: g.night, At: when, Time: at,
		Wind: g.field.one(winds...), Cloud: g.field.one("clear", "clear", "few", "half", "overcast"), Source: "measured",
	}
	temp := record.MilliQuantity(int64(c*2) * 500)
	w.TempC = &temp
	if when == "last trap" {
		rain := record.MilliQuantity(0)
		if g.field.of(0.12 + 0.1*warm) {
			rain = record.MilliQuantity(int64(g.field.between(1, 24)) * 500)
		}
		w.RainMM = &rain
	}
	g.pen.write(at.Add(g.field.minutes(0.5, 2)), who.scribe, w)
}
