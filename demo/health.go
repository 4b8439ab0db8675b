package demo

import (
	"dawnround/record"
)

// health is what the body shows: ticks where they sit, wounds as they heal,
// condition.
func (g *grower) health(b *beast, h *bench) {
	for _, side := range []string{"left", "right"} {
		h.find("ear", side, "tick", g.ticks(b))
	}
	if b.hole && !b.file.biopsied {
		h.find("ear", "right", "healed hole", "seen")
		b.file.biopsied = true
	}
	if w := b.wound; w.real {
		grade := byAge(g.day()-w.day, []int{7, 60}, "fresh", "healing", "old")
		h.find(w.part, w.side, "wound", grade)
	}
	h.sign("condition", g.field.one("good", "good", "good", "fair", "fair", "poor"))
}

// ticks are counted while they are few.
func (g *grower) ticks(b *beast) string {
	mean := 1.2
	if b.kind == bandicoot {
		mean = 3
	}
	n := int(g.field.ExpFloat64() * mean)
	switch {
	case n == 0:
		return "none seen"
	case n > 20:
		return "21–50"
	case n > 8:
		return "6–20"
	}
	return number3(n)[2:]
}

// samples are a biopsy once in a life, and at times something else.
func (g *grower) samples(b *beast, h *bench) {
	if !b.file.biopsied && b.file.rank >= 2 && g.field.of(0.93) {
		g.biopsy(h)
		b.file.biopsied, b.hole = true, true
	}
	for _, s := range []struct {
		kind, letter string
		share        float64
	}{{"hair", "H", 0.06}, {"scat", "S", 0.1}, {"swab", "W", 0.04}} {
		if g.field.of(s.share) {
			g.labels[s.letter]++
			h.sample(record.Sample{Kind: s.kind, Label: s.letter + number3(g.labels[s.letter])})
		}
	}
	if b.kind == wallaby && b.file.tag == "" && b.file.rank == 4 && g.field.of(0.85) {
		g.putTag(b, h)
	}
}

// biopsy is a punch of the right ear, its label the next of the team's rack.
func (g *grower) biopsy(h *bench) {
	rack := "one"
	if h.who == teams[1] {
		rack = "two"
	}
	g.labels[rack]++
	h.sample(record.Sample{Kind: "ear biopsy", Side: "right", Part: "ear", Label: "B" + number3(g.labels[rack])})
}
