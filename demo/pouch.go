package demo

import (
	"dawnround/record"

	"github.com/google/uuid"
)

// pouch says what her pouch and teats tell, and who is in it.
func (g *grower) pouch(b *beast, h *bench) {
	switch {
	case !b.bred:
		h.sign("pouch", "undeveloped")
		h.sign("teats", "undeveloped")
	case len(b.pouch) > 0:
		g.occupied(b, h)
	case len(b.foot) > 0:
		h.sign("pouch", "slack")
		h.sign("teats", "elongated")
		h.sign("lactating", "yes")
		g.atFoot(b, h)
	case g.field.of(0.15):
		h.sign("pouch", "empty")
		h.sign("teats", "nc pouch kept closed after a look")
	default:
		h.sign("pouch", "empty dry")
		h.sign("teats", g.field.one("small", "regressing"))
		h.sign("lactating", "no")
	}
}

// occupied looks at the young, unless the young may be loose: then the pouch
// stays shut.
func (g *grower) occupied(b *beast, h *bench) {
	oldest := 0
	for _, y := range b.pouch {
		oldest = max(oldest, y.age(g.day()))
	}
	if oldest > b.exit-b.exit/8 && g.field.of(0.7) {
		h.sign("pouch", "nc young large and may be loose, pouch kept closed")
		return
	}
	h.sign("pouch", "occupied")
	h.sign("teats", "elongated")
	h.sign("lactating", "yes")
	for i, y := range b.pouch {
		g.rowOf(y, h, i)
	}
	g.atFoot(b, h)
}

// atFoot are those out of the pouch that were rows in it, where somebody saw
// them waiting near the trap.
func (g *grower) atFoot(b *beast, h *bench) {
	for _, y := range b.foot {
		if y.row != uuid.Nil && g.field.of(0.5) {
			r := h.young(y.row)
			r.is("at foot", "no")
			r.sign("fur", "furred")
		}
	}
}

// rowOf is one young in the pouch: its length on the teat while it is naked,
// its head and foot once it has fur.
func (g *grower) rowOf(y *beast, h *bench, i int) {
	day := g.day()
	age := y.age(day)
	if y.row == uuid.Nil {
		y.row = g.pen.ids.id(h.at)
	}
	r := h.young(y.row)
	attached := "yes"
	if age > y.fur[0] {
		attached = "no"
	}
	r.is("in pouch", attached)
	if age > 25 {
		r.sex(y.sex())
	}
	if i > 1 {
		return // of a litter two are looked at closely, so that she goes back sooner
	}
	r.sign("skin", byAge(age, y.pink[:], "pink", "greying", "pigmented"))
	r.sign("fur", byAge(age, y.fur[:], "unfurred", "fuzz", "fine", "furred"))
	if age > y.eyes[0]-20 {
		r.sign("eyes", byAge(age, y.eyes[:], "closed", "opening", "open"))
	}
	switch {
	case age < y.fur[0]:
		r.measure(crown, rounded(g.field.about(y.size(crown, day), errorMM[crown]), 0.5))
	default:
		r.measure(head, rounded(g.field.about(y.size(head, day), 0.4), 0.1))
		r.measure(pes, rounded(g.field.about(y.size(pes, day), 0.4), 0.1))
	}
}

// withYoung says how a mother's young went with her.
func withYoung(b *beast) string {
	if len(b.pouch) > 0 {
		return "pouch closed"
	}
	return ""
}

// mother is what is thought of where a young came from, written the same day.
func (g *grower) mother(b *beast, c Caught) {
	m := b.mother
	if m == nil || m.file == nil || len(m.truth.Captures) == 0 || g.field.of(0.4) {
		return
	}
	at := g.office()
	last := m.truth.Captures[len(m.truth.Captures)-1]
	link := record.Mother{Of: c.Capture, Mother: last.Capture, Sure: record.Suspected, Evidence: "right size, caught near her last place"}
	if !b.alone(g.day()) {
		link.Sure, link.Evidence = record.Likely, "still with her: caught beside her trap, and she is in milk"
	}
	g.pen.write(at, "CK", link)
	if b.row != uuid.Nil && b.kind == wallaby && g.field.of(0.5) {
		g.pen.write(at.Add(g.field.minutes(1, 3)), "CK", record.Same{
			Of: []uuid.UUID{b.row, c.Capture}, Sure: record.Likely,
			Evidence: []string{"the only unmarked young of that age on the ridge", "size fits the young in her pouch last trip"},
		})
	}
}
