package demo

import (
	"math"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

func tenth(x float64) float64 { return math.Round(x*10) / 10 }

func bell(z float64) float64 { return math.Exp(-float64(z*z) / 2) }

var remembered = []string{
	"two bull ants in the bag", "ran to the same rock as before", "another of its kind sat above the trap",
	"wet from the grass, weight perhaps 10 g high", "bait all eaten", "scratched at the left ear in the bag",
}

// afterwards is what the crew write about a capture once they sit down.
func (g *grower) afterwards(b *beast, c Caught, h *bench, line uuid.UUID, first bool) {
	switch {
	case c.Misread != "" && g.field.of(0.6):
		for i, m := range h.card.Marks {
			if m.Text == c.Misread {
				g.pen.correct(g.office(), "CK", line, "/handled/marks/"+number3(i)[2:]+"/text", c.Misread, b.chip, "the photo of the reader says so")
			}
		}
	case h.card.Weighing != nil && g.field.of(0.02):
		g.pen.correct(g.office(), h.who.scribe, line, "/handled/notes", nil, g.field.one(remembered...), "remembered at breakfast")
	}
	if first {
		g.mother(b, c)
	}
	if b.wound.real && g.day()-b.wound.day < 8 {
		g.followUp(c, "fresh wound at the "+b.wound.part+": look at it when next caught; a vet if it has spread", h.who.handler)
	}
}

// followUp is something to look at, done the next evening or left open.
func (g *grower) followUp(c Caught, what, who string) {
	at := g.office()
	id := g.pen.ids.id(at)
	due := g.night.Add(1).Noon(g.zone).Add(6 * time.Hour)
	g.pen.write(at, who, record.FollowUp{FollowUp: id, On: c.Capture.String(), What: what, Who: who, Due: due})
	if c.Night.Before(g.trips[Trips-1].first) {
		done := due.Add(14 * time.Hour)
		g.pen.write(done, who, record.Done{FollowUp: id, Result: g.field.one("looked for at dusk, not seen", "seen on camera, moving well"), At: done})
	}
}

// endTrip is what comes back after a trip: the lab's answer about animals that
// had lost their marks.
func (g *grower) endTrip(t trip) {
	if t.number == Trips {
		return
	}
	g.pen.write(t.first.Add(Nights+1).Noon(g.zone), leader, record.Note{On: "trip " + t.id, Text: "sheets and lines compared, none missing"})
	at := t.first.Add(75).Noon(g.zone)
	for _, b := range g.land.living {
		if b.renamed != nil && g.field.of(0.7) {
			at = at.Add(g.field.minutes(2, 5))
			g.pen.write(at, "CK", record.Same{Of: b.renamed, Sure: record.Certain, Evidence: []string{"genotypes alike at every locus", "old biopsy hole, right ear"}})
		}
		b.renamed = nil
	}
}
