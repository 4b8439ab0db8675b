package call

import (
	"strings"
)

// testes reads where the testes lie, and two of them by side.
func (rd *reading) testes() bool {
	i := rd.at
	if rd.sameOnOtherSide(i) {
		return true
	}
	if value, ok := rd.valueOf(i, "testes"); ok && rd.testesValue(i) {
		n := rd.lenOfValue(i, "testes")
		if rd.negatedAt(i) || rd.lex(i, kTrait) > n {
			return false
		}
		rd.take(Field{At: "signs/testes", Value: value}, i, i+n)
		rd.topic = tTestes
		return true
	}
	if id, n := rd.lexID(i, kTrait); n > 0 && id == "testis" {
		rd.topic = tTestes
		return false
	}
	return rd.topic == tTestes && rd.testesBySide(i)
}

// testesValue tells whether a word tells of testes: those that mean nothing
// else always, "up" and "down" only beside them.
func (rd *reading) testesValue(i int) bool {
	switch rd.word(i) {
	case "scrotal", "abdominal", "undescended", "inguinal":
		return true
	case "not":
		return rd.word(i+1) == "scrotal"
	}
	return rd.topic == tTestes && rd.toks[i].fate != Taken && rd.standsAlone(i, i+rd.lenOfValue(i, "testes"))
}

// testesBySide reads "left thirty by twenty, right twenty-nine by nineteen"
// and "length thirty" once testes are spoken of.
func (rd *reading) testesBySide(i int) bool {
	t := rd.traitOf("testis", false)
	if t == nil {
		return false
	}
	m := mention{trait: t, from: i}
	j := i
	if id, n := rd.lexID(j, kSide); n > 0 {
		m.side = id
		j += n
	}
	if w := rd.word(j); w == "one" && m.side != "" && rd.joined(j+1) {
		j++
	}
	if n := rd.lex(j, kMissingAfter); n > 0 && m.side != "" {
		rd.notTaken(addressOf(t, m.side), m.side, i, j+n)
		rd.topic = tTestes
		return true
	}
	if s, ok := rd.number(j); ok && m.side == "" && rd.isNumber(j) && rd.word(s.to) == "by" && rd.joined(s.to) {
		rd.enterPair(t, m, s, i, s.to)
		return true
	}
	if id, n := rd.lexID(j, kDimension); n > 0 {
		if id == "width" {
			m.trait = rd.traitOf("testis width", false)
		}
		j += n
		if !rd.joined(j) {
			return false
		}
	} else if m.side == "" {
		return rd.dimensionAfter(i)
	}
	j = rd.skip(j)
	if m.trait == nil || !rd.isNumber(j) || j > i && !rd.joined(j) && rd.toks[j].stop != ',' {
		return false
	}
	s, ok := rd.number(j)
	if !ok || rd.isForeign(s.to) || s.unended {
		return false
	}
	to := s.to
	if n := rd.lex(to, kDimension); n > 0 && rd.joined(to) {
		to += n
	}
	rd.enterPair(m.trait, m, s, i, to)
	rd.topic = tTestes
	return true
}

// dimensionAfter reads "thirty long, twenty wide".
func (rd *reading) dimensionAfter(i int) bool {
	s, ok := rd.number(i)
	if !ok || !rd.isNumber(i) || !rd.joined(s.to) {
		return false
	}
	id, n := rd.lexID(s.to, kDimension)
	if n == 0 {
		return false
	}
	t := rd.traitOf("testis", false)
	if id == "width" {
		t = rd.traitOf("testis width", false)
	}
	if t == nil {
		return false
	}
	_, side, _ := strings.Cut(rd.last, ".")
	rd.enter(t, mention{trait: t, side: side, from: i}, s, i, s.to+n)
	rd.topic = tTestes
	return true
}

// sameOnOtherSide reads "right the same" after a left testis: the same length
// and width.
func (rd *reading) sameOnOtherSide(i int) bool {
	side, n := rd.lexID(i, kSide)
	j := i + n
	for w := rd.word(j); rd.joined(j) && (w == "one" || w == "'s" || w == "is" || w == "the" || w == "exactly"); w = rd.word(j) {
		j++
	}
	other := map[string]string{"left": "right", "right": "left"}[side]
	if w := rd.word(j); other == "" || w != "same" && w != "ditto" && w != "identical" || !rd.joined(j) || !rd.breaks(j+1) {
		return false
	}
	copied := false
	for _, id := range []string{"testis", "testis width"} {
		f, ok := rd.out.Field("measures/" + id + "." + other)
		if !ok || f.Pending || f.Number == nil {
			continue
		}
		again := *f
		again.At, again.Side = "measures/"+id+"."+side, side
		rd.take(again, i, j+1)
		copied = true
	}
	return copied
}
