package demo

import (
	"math"
	"strconv"

	"dawnround/record"
)

// team is who works one ridge on one morning.
type team struct{ handler, scribe string }

var teams = []team{{"AB", "MO"}, {"CK", "RV"}, {"JT", "SP"}}

const leader = "AB"

// How far one reading of a trait lies from another, s.d. in mm.
var errorMM = map[string]float64{pes: 0.35, head: 0.35, tail: 2, ear: 0.7, testis: 0.7, crown: 1.5}

const (
	headBiasMM = 1.2 // JT holds the calliper loosely
	clawMM     = 7.0 // CK, when he forgets
)

// reading is what a handler's instrument shows for a true length, rounded to
// what it is read to.
func (c chance) reading(handler, trait string, mm, step float64) string {
	shown := c.about(mm, errorMM[trait])
	switch {
	case handler == "JT" && trait == head:
		shown += headBiasMM
	case handler == "CK" && trait == pes && c.of(1.0/16):
		shown += clawMM
	}
	return rounded(shown, step)
}

// rounded writes a number to a step, with the decimals of the step.
func rounded(x, step float64) string {
	decimals := 0
	if step < 1 {
		decimals = 1
	}
	return strconv.FormatFloat(math.Round(x/step)*step, 'f', decimals, 64)
}

// A grown animal is handled in the order of the card: status and marks, the
// state of breeding, then what the instruments show.

// process is the full handling of one animal.
func (g *grower) process(b *beast, h *bench, trip string) (misread string) {
	h.species()
	known := b.file != nil && (b.chip != "" || b.tag != "")
	status := record.New
	if known {
		status = record.Recapture
	} else {
		b.file = &file{}
	}
	h.status(status)
	misread = g.marks(b, h, known)
	b.file.trip = trip
	h.sex(b.sex())
	stage := g.stage(b, h)
	h.stage(stage)
	g.weigh(b, h)
	if b.female {
		g.pouch(b, h)
	} else {
		g.testes(b, h)
	}
	g.lengths(b, h)
	g.health(b, h)
	g.samples(b, h)
	return misread
}

// again is the short path, for an animal caught before on this trip.
func (g *grower) again(b *beast, h *bench) (misread string) {
	h.species()
	h.status(record.Retrap)
	h.brief()
	g.weigh(b, h)
	misread = g.marks(b, h, true)
	return misread
}

// marks reads what there is and puts what is missing.
func (g *grower) marks(b *beast, h *bench, known bool) (misread string) {
	switch {
	case known && b.chip != "":
		misread = g.readChip(b, h)
	default:
		if known { // its ear tag tells who it is
			h.mark(record.Mark{Kind: chipKind, Text: b.file.chip, Act: record.MarkGone, How: "scanned"})
		}
		g.putChip(b, h)
	}
	switch {
	case b.tag != "":
		h.mark(record.Mark{Kind: tagKind, Text: b.tag, Side: "left", How: "read"})
	case b.file.tag != "":
		h.mark(record.Mark{Kind: tagKind, Text: b.file.tag, Side: "left", Act: record.MarkGone, How: "read"})
		b.file.tag = ""
	}
	return misread
}

const (
	chipKind = "transponder"
	tagKind  = "ear tag"
)

func (g *grower) readChip(b *beast, h *bench) (misread string) {
	text, how := b.chip, "scanned"
	if g.field.of(1.0 / 20) {
		how = "typed"
		if g.field.of(0.45) {
			misread = g.chips.misread(text)
			text = misread
		}
	}
	h.mark(record.Mark{Kind: chipKind, Text: text, How: how})
	return misread
}

func (g *grower) putChip(b *beast, h *bench) {
	b.chip = g.chips.next()
	b.file.chip = b.chip
	b.truth.Marks = append(b.truth.Marks, Borne{Kind: chipKind, Text: b.chip, Put: g.night})
	h.mark(record.Mark{Kind: chipKind, Text: b.chip, Act: record.MarkPut, How: "scanned"})
}

// putTag tags a grown wallaby's left ear.
func (g *grower) putTag(b *beast, h *bench) {
	g.tags++
	b.tag = "T" + number3(g.tags)
	b.file.tag = b.tag
	b.truth.Marks = append(b.truth.Marks, Borne{Kind: tagKind, Text: b.tag, Put: g.night})
	h.mark(record.Mark{Kind: tagKind, Text: b.tag, Side: "left", Act: record.MarkPut, How: "read"})
}

// stage tells the life stage as the crew would; what they once said does not
// go back.
func (g *grower) stage(b *beast, h *bench) string {
	rank := 2 // juvenile
	switch {
	case !b.alone(g.day()):
		rank = 1
	case b.female && b.bred || !b.female && b.size(testis, g.day()) >= b.grownMM:
		rank = 4
	case b.size(mass, g.day()) >= b.subadult:
		rank = 3
	}
	rank = max(rank, b.file.rank)
	b.file.rank = rank
	return h.sheet.Stages[rank].ID
}

// weigh is the animal with the young in her pouch, better or worse fed by
// season, lighter after a night in a trap.
func (g *grower) weigh(b *beast, h *bench) {
	day := g.day()
	net := b.size(mass, day) * (1 + 0.03*g.land.season(day-60)) * g.field.about(1, 0.016)
	for _, y := range b.pouch {
		net += y.size(mass, day)
	}
	h.weigh(net, b.step)
}

// testes says where they lie and how long the left one is.
func (g *grower) testes(b *beast, h *bench) {
	mm := b.size(testis, g.day())
	if mm < 9 {
		h.sign("testes", "abdominal")
		return
	}
	h.sign("testes", "scrotal")
	h.measure(testis+".left", g.field.reading(h.who.handler, testis, mm, 0.1))
}

var whyNot = []string{"struggling", "too cold", "getting late", "calliper fogged"}

// lengths are the bones, tail and ear; now and then one is left out, and why.
func (g *grower) lengths(b *beast, h *bench) {
	for _, trait := range bones {
		if g.field.of(0.05) {
			h.notChecked(trait, g.field.one(whyNot...))
			continue
		}
		t, _ := h.sheet.Trait(trait)
		typed := g.field.reading(h.who.handler, trait, b.size(trait, g.day()), t.Step)
		if g.field.of(0.03) { // misheard, and struck at once
			h.say("measures/"+trait, rounded(b.size(trait, g.day())+10, t.Step))
		}
		h.measure(trait, typed)
	}
}

func number3(n int) string { return strconv.Itoa(1000 + n)[1:] }
