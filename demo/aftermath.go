package demo

import (
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// What was written about the moments of the stories once the traps were done.

// remind writes a follow-up due at a time, and gives its id.
func (g *grower) remind(s *scene, what, who string, due time.Time) uuid.UUID {
	at := g.office()
	id := g.pen.ids.id(at)
	g.pen.write(at, who, record.FollowUp{FollowUp: id, On: s.capture.String(), What: what, Who: who, Due: due})
	return id
}

func (g *grower) finish(id uuid.UUID, who, result string, at time.Time) {
	g.pen.write(at, who, record.Done{FollowUp: id, Result: result, At: at})
}

// dawnNext is first light of the next round but one: the morning after the
// coming night.
func (g *grower) dawnNext() time.Time { return g.night.Add(2).Noon(g.zone).Add(-7 * time.Hour) }

func ofMother(g *grower, s *scene) {
	mother, at := g.tale("A"), g.office()
	g.pen.write(at, "CK", record.Mother{Of: s.capture, Mother: mother.last().Capture, Sure: record.Certain, Evidence: "ran to her at release; the size of the young met in her pouch"})
	s.truth.Row = mother.rows["b"]
	g.pen.write(at.Add(time.Minute), "CK", record.Same{Of: []uuid.UUID{mother.rows["b"], s.capture}, Sure: record.Certain, Evidence: []string{"ran to her mother at release", "size fits the young in the pouch last trip"}})
}

func readAgain(g *grower, s *scene) {
	g.pen.correct(g.office(), "AB", s.card, "/handled/marks/0/text", s.misread, s.Chips[0], "two digits changed places; the photo of the reader says so")
}

func overTheLake(g *grower, s *scene) {
	g.pen.write(g.office(), "AB", record.Note{On: s.capture.String(), Text: "read three times, tag and chip agree: the same male as on M. Nobody saw how it crossed."})
	id := g.remind(s, "F beyond the lake: compare genotypes before the two ridges are counted apart", "AB", g.night.Add(90).Noon(g.zone))
	g.finish(id, "AB", "genotype alike; it is the same male", g.night.Add(120).Noon(g.zone))
}

func watchHim(g *grower, s *scene) {
	g.remind(s, "old one-eyed male, losing weight: ask the vet whether he should be seen", "CK", g.night.Add(20).Noon(g.zone))
}

func hersPerhaps(g *grower, s *scene) {
	mother := g.tale("H")
	g.pen.write(g.office(), "CK", record.Mother{Of: s.capture, Mother: mother.last().Capture, Sure: record.Suspected, Evidence: "two traps from where she was met with three young of the right age"})
	s.truth.Row = mother.rows["3"]
	g.pen.write(g.night.Add(80).Noon(g.zone), "CK", record.Mother{Of: s.capture, Mother: mother.last().Capture, Sure: record.Likely, Evidence: "genotypes: she is not excluded at any locus"})
}

func report(g *grower, s *scene) {
	id := g.remind(s, "a death in a trap: tell the ethics committee within the time the approval gives; carcass to the vet", "AB", g.night.Add(2).Noon(g.zone))
	g.finish(id, "AB", "reported by telephone and in writing; covers now tied down at all traps of K", g.night.Add(1).Noon(g.zone).Add(2*time.Hour))
}

func lookAtHer(g *grower, s *scene) {
	g.remind(s, "K threw her young and has it back: look at the release place at first light; a vet or carer if the young lies there", "CK", g.dawnNext())
}

func twoWeights(g *grower, s *scene) {
	at := g.office()
	was, ab, jt := grossOf(g, s, 0), grossOf(g, s, 100_000), grossOf(g, s, 60_000)
	g.pen.correct(at, "AB", s.card, "/handled/weighing/gross", was, ab, "misheard: I called it a hundred higher")
	g.pen.correct(at.Add(12*time.Minute), "JT", s.card, "/handled/weighing/gross", was, jt, "the scale stood 60 above what is written, I saw it")
}

// grossOf is the gross weight written, and so many thousandths more.
func grossOf(g *grower, s *scene, more int64) record.Quantity {
	for _, l := range g.pen.lines {
		if c, ok := l.body.(record.Capture); ok && l.entry.ID == s.card {
			return record.MilliQuantity(c.Handled.Weighing.Gross.Milli + more)
		}
	}
	panic("demo: a weight before it was written")
}

func wrongTrap(g *grower, s *scene) {
	at := s.found.Add(-40 * time.Second)
	c := record.Check{Round: s.round, Trip: s.tripID, Site: "K", Night: g.night, Trap: "K11", Outcome: record.OutcomeCapture, At: at, Captures: []uuid.UUID{g.pen.ids.id(at)}}
	line := g.pen.write(at, s.who.scribe, c)
	g.pen.write(at.Add(20*time.Second), s.who.scribe, record.Strike{Line: line, Why: "wrong trap: it is in K12, K11 was empty"})
}

func watchWound(g *grower, s *scene) {
	due := g.night.Add(2).Noon(g.zone)
	id := g.remind(s, "fresh bite on the back of R: look at it when next met; a vet if it has spread", "CK", due)
	g.finish(id, "JT", "met again two nights on, dry and closing", g.night.Add(3).Noon(g.zone).Add(-time.Hour))
}

func labTold(g *grower, s *scene) {
	first := s.truth.Captures[0].Capture
	g.pen.write(g.night.Add(85).Noon(g.zone), "CK", record.Same{
		Of: []uuid.UUID{first, s.capture}, Sure: record.Certain,
		Evidence: []string{"genotypes alike at every locus", "old biopsy hole, right ear"},
	})
}
