package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/protocol"
)

// withClaw and withoutClaw are the two conventions of a foot.
const (
	withClaw    = "with claw"
	withoutClaw = "without claw"
)

// measuring reads a trait and its number: "right pes one oh one point two".
func (rd *reading) measuring() bool {
	if rd.sideOfRecorded(rd.at) {
		return true
	}
	m, next, ok := rd.mentionAt(rd.at)
	if id, n := rd.lexID(rd.at, kConvention); !ok && n > 0 && rd.joined(rd.at+n) {
		m, next, ok = rd.mentionAt(rd.at + n)
		ok = ok && m.trait != nil && rd.conventional(m.trait) && m.misheard == ""
		m.convention, m.from = id, rd.at
	}
	if !ok {
		return false
	}
	i, ok := rd.toNumber(next, &m)
	if !ok {
		return rd.named(m, next)
	}
	s, ok := rd.number(i)
	if ok && m.comma && m.trait != nil && m.misheard == "" && !m.short {
		rd.last = addressOf(m.trait, m.side) // so that a correction finds it
	}
	if !ok || rd.isForeign(s.to) || m.comma && !rd.endsAfter(s.to) || m.short && rd.toks[i].num.class != literal {
		return rd.named(m, next)
	}
	if rd.partNotTrait(m, s) {
		return false
	}
	if m.misheard != "" {
		return rd.misheardTrait(m, s)
	}
	if m.bridged && !rd.fitsMention(m, s) {
		return rd.named(m, next)
	}
	if s.unended {
		return rd.unfinished(m, s)
	}
	if rd.joined(s.to) && rd.word(s.to) == "something" && m.trait != nil {
		s.to++
		rd.unfinished(m, s)
		rd.ask(Question{About: rd.last, Says: m.trait.Name + " " + Digits(s.text()) + " and what?"}, m.from, s.to)
		return true
	}
	rd.measured(m, s)
	return true
}

// fitsMention tells whether a number is in the range of the trait mentioned.
func (rd *reading) fitsMention(m mention, s spoken) bool {
	if m.trait == nil {
		return false
	}
	_, v := rd.choose(m.trait, rd.limits(m.trait, m.convention), s)
	return v == fits
}

// partNotTrait tells whether a word that is both trait and part is the part:
// "ticks, left ear four".
func (rd *reading) partNotTrait(m mention, s spoken) bool {
	if rd.topic != tParasite || m.trait == nil || rd.lex(rd.at, kPart) == 0 || rd.lex(rd.at, kTrait) > rd.lex(rd.at, kPart) {
		return false
	}
	text, v := rd.choose(m.trait, rd.limits(m.trait, ""), s)
	n, isCount := s.whole()
	return v != fits || isCount && strconv.Itoa(n) == text && !rd.limits(m.trait, "").known || rd.row.open && rd.row.count == nil
}

// misheardTrait takes a word that sounds like a trait only where the number
// fits, the breath tells no story, and the trait is still missing.
func (rd *reading) misheardTrait(m mention, s spoken) bool {
	t := m.trait
	if t == nil {
		t = m.young
	}
	if t == nil || s.unended || m.bridged {
		return false
	}
	_, v := rd.choose(t, rd.limits(t, m.convention), s)
	have, known := known(rd.given.SoFar, addressOf(t, ""))
	if v != fits || known && have.Value != "" && !rd.correcting || !rd.plain(m.from, s.to) {
		return false
	}
	if rd.given.Pause && m.from == 0 {
		rd.ask(Question{About: WhichField, Says: t.Name + " " + Digits(s.text()) + "?", Among: []string{addressOf(t, "")}}, m.from, s.to)
		rd.at = s.to
		return true
	}
	rd.measured(m, s)
	return true
}

// plain tells whether the breath around the tokens from i to j holds only
// words of the vocabulary. Where the source is not known to be dictation it
// may hold nothing else at all.
func (rd *reading) plain(i, j int) bool {
	from, to := rd.clause(i)
	for k := from; k < to; k++ {
		inside := k >= i && k < j
		switch {
		case rd.lex(k, kChatter) > 0:
			return false
		case inside || rd.toks[k].fate == Taken:
		case rd.lex(k, kForeign) > 0:
			return false
		case rd.given.Source != Dictated:
			return inNumber(rd.word(k))
		case len(rd.found[k]) == 0 && rd.toks[k].num.class == noNumeral && !inNumber(rd.word(k)):
			return false
		}
	}
	return true
}

// inNumber tells whether a word may stand between or behind the numbers of a
// measurement: "thirty buy twenty too".
func inNumber(w string) bool {
	_, alike := misheardDigits[w]
	return alike || w == "by" || w == "buy" || w == "bye" || w == "x" || w == "×"
}

// named notes that a trait was named without a number, so that a number after
// a correction may find it; the word itself is left.
func (rd *reading) named(m mention, next int) bool {
	if m.misheard != "" || m.short || m.trait == nil {
		return false
	}
	if rd.correcting && rd.breaks(next) && rd.last == "" {
		rd.last = addressOf(m.trait, m.side) // go back to the head
		return false
	}
	if rd.correcting && rd.breaks(next) && rd.last != "" {
		return rd.thatWasOther(m, next)
	}
	if rd.breaks(next) && rd.breaks(m.from) && rd.topic != tParasite && rd.topic != tFinding {
		rd.last, rd.topic = addressOf(m.trait, m.side), topicOf(m.trait)
	}
	return false
}

// thatWasOther reads "sorry, that's the pes" after a number: it belongs to the
// trait named last, if it fits there.
func (rd *reading) thatWasOther(m mention, next int) bool {
	f, ok := rd.out.Field(rd.last)
	at := addressOf(m.trait, m.side)
	if !ok || f.Number == nil || at == rd.last || at == atNet || rd.traitAt(rd.last) == nil || !rd.saysWhich(m.from) {
		return false
	}
	s := spoken{from: m.from, to: next, readings: []string{f.Value}}
	if heard := rd.heard[keyOf(*f)]; len(heard) > 0 && heard[0].to <= len(rd.toks) {
		if again, ok := rd.numberWithin(heard[0]); ok {
			s.readings = again.readings
		}
	}
	was := f.Value
	old := rd.last
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(o Field) bool { return o.At == old })
	delete(rd.heard, old+"|")
	rd.unask(old)
	rd.corrected(old, was, "")
	rd.correcting = false
	rd.enter(m.trait, m, s, m.from, next)
	return true
}

// saysWhich tells whether "that's the" or "that was" stands before token i.
func (rd *reading) saysWhich(i int) bool {
	if w := rd.word(i - 1); w == "the" || w == "her" || w == "his" {
		i--
	}
	w := rd.word(i - 1)
	return w == "'s" || w == "was" || w == "is" || w == "be"
}

// numberWithin reads once more the number of an utterance.
func (rd *reading) numberWithin(u utterance) (spoken, bool) {
	for i := u.from; i < u.to; i++ {
		if rd.isNumber(i) {
			return rd.number(i)
		}
	}
	return spoken{}, false
}

// unfinished: "seventy-seven point, actually leave the head".
func (rd *reading) unfinished(m mention, s spoken) bool {
	if m.trait == nil {
		return false
	}
	at := addressOf(m.trait, m.side)
	rd.last, rd.topic = at, tMeasure
	rd.fate(m.from, s.to, Asked, at)
	rd.out.Fields = append(rd.out.Fields, Field{At: at, Pending: true, Why: "not finished", From: rd.toks[m.from].from, To: rd.toks[s.to-1].to})
	rd.at = s.to
	return true
}

// measured decides whose trait it is, then enters the number and what stands
// behind it.
func (rd *reading) measured(m mention, s spoken) {
	t := rd.whose(m, s)
	to := rd.trailing(t, &m, s.to)
	rd.movesFrom(t, m, s)
	if t.Of == protocol.OfYoung {
		rd.youngMeasure(t, s, m, to)
		return
	}
	rd.enterPair(t, m, s, m.from, to)
}

// movesFrom reads "ear one sixty, sorry, tail one sixty": after a correction the
// same number of another trait was never one of the first.
func (rd *reading) movesFrom(t *protocol.Trait, m mention, s spoken) {
	f, ok := rd.out.Field(rd.last)
	if !rd.correcting || !ok || f.Number == nil || rd.traitAt(rd.last) == nil || f.At == addressOf(t, m.side) || !slices.ContainsFunc(s.readings, func(text string) bool { return same(text, f.Value) }) {
		return
	}
	old := rd.last
	rd.corrected(old, f.Value, "")
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(o Field) bool { return o.At == old })
	delete(rd.heard, old+"|")
	rd.unask(old)
}

// enterPair enters a number and, behind "by", the width that goes with it; a
// correction is of both.
func (rd *reading) enterPair(t *protocol.Trait, m mention, s spoken, from, to int) {
	correcting := rd.correcting
	rd.enter(t, m, s, from, to)
	if w := rd.word(rd.at); correcting && (w == "by" || w == "x" || w == "×" || w == "buy") {
		rd.correcting = true
	}
	rd.byWidth(t, m)
}

// trailing takes a side and a convention that stand behind the number; the
// convention also after a stop.
func (rd *reading) trailing(t *protocol.Trait, m *mention, to int) int {
	for to < len(rd.toks) {
		if j := rd.thatIs(to); j > to && m.convention == "" && rd.conventional(t) {
			if id, n := rd.lexID(j, kConvention); n > 0 && rd.breaks(j+n) {
				m.convention = id
				return j + n
			}
		}
		id, n := rd.lexID(to, kConvention)
		side, k := rd.lexID(to, kSide)
		switch {
		case n > 0 && m.convention == "" && rd.conventional(t) && (rd.joined(to) || rd.breaks(to+n)):
			m.convention = id
			to += n
		case k > 0 && (rd.joined(to) || rd.toks[to].stop == ',' && (t.Sided || t.ID == "ear" || rd.conventional(t)) && id != "both") && m.side == "" && t.ID != protocol.Mass && !rd.lexPartAfter(to+k) && rd.breaks(to+k):
			m.side = side
			to += k
		case topicOf(t) == tTestes && rd.joined(to) && rd.lex(to, kDimension) > 0 && (!rd.numberFollows(to+rd.lex(to, kDimension)) || rd.dimensionBehind(to+rd.lex(to, kDimension))):
			to += rd.lex(to, kDimension)
		default:
			return to
		}
	}
	return to
}

// dimensionBehind tells whether the number at token i has a dimension behind it,
// so that one before it belongs to another number: "thirty-two long twenty
// wide".
func (rd *reading) dimensionBehind(i int) bool {
	s, ok := rd.number(i)
	return ok && rd.joined(s.to) && rd.lex(s.to, kDimension) > 0
}

// conventional tells whether a trait can be read with or without the claw.
func (rd *reading) conventional(t *protocol.Trait) bool {
	return t.ID == "pes" || strings.Contains(t.Convention, "claw")
}

// lexPartAfter tells whether a side belongs to the part or trait after it.
func (rd *reading) lexPartAfter(i int) bool {
	return rd.joined(i) && (rd.lex(i, kPart) > 0 || rd.lex(i, kTrait) > 0)
}

// whose decides between the animal and its young, by what is open and by what
// fits.
func (rd *reading) whose(m mention, s spoken) *protocol.Trait {
	switch {
	case m.young == nil:
		return m.trait
	case m.trait == nil:
		return m.young
	case !rd.young.open:
		return m.trait
	}
	_, grown := rd.choose(m.trait, rd.limits(m.trait, m.convention), s)
	if grown == fits && rd.limits(m.trait, m.convention).known {
		return m.trait
	}
	return m.young
}

// enter enters a number for a trait of the animal.
func (rd *reading) enter(t *protocol.Trait, m mention, s spoken, from, to int) {
	if t.ID == protocol.Mass {
		rd.bareMass(s, from, to)
		return
	}
	at := addressOf(t, m.side)
	rd.last, rd.topic, rd.at = at, topicOf(t), max(rd.at, to)
	rd.young.open = false
	f := Field{At: at, Unit: t.Unit, Side: m.side, Convention: m.convention, Roughly: s.rough, Misheard: heardAs(m.misheard, s), SaidAs: otherUnit(s, t)}
	rd.judge(t, rd.limits(t, m.convention), f, s, from, to)
	rd.moveSlot(at)
}

func topicOf(t *protocol.Trait) topic {
	if strings.HasPrefix(t.ID, "test") || strings.HasPrefix(t.ID, "scrot") {
		return tTestes
	}
	return tMeasure
}

func heardAs(word string, s spoken) string {
	all := s.misheard
	if word != "" {
		all = append([]string{word}, all...)
	}
	return strings.Join(all, " / ")
}

func otherUnit(s spoken, t *protocol.Trait) string {
	if s.unit != t.Unit {
		return s.unit
	}
	return ""
}

// byWidth reads the second of two lengths: "thirty-one by twenty-two".
func (rd *reading) byWidth(t *protocol.Trait, m mention) {
	i := rd.at
	w := rd.word(i)
	if s, ok := rd.number(i); ok && rd.joined(i) && rd.isNumber(i) {
		if id, n := rd.lexID(s.to, kDimension); n > 0 && id == "width" && topicOf(t) == tTestes && rd.joined(s.to) {
			rd.wide(t, m, s, i, s.to+n) // thirty-two long twenty wide
			return
		}
	}
	if !rd.joined(i) || w != "by" && w != "x" && w != "×" && w != "*" && !(rd.hearsAlikes() && (w == "buy" || w == "bye")) {
		return
	}
	s, ok := rd.number(i + 1)
	if !ok {
		return
	}
	m.misheard = ""
	if w == "buy" || w == "bye" {
		m.misheard = w
	}
	rd.wide(t, m, s, i, s.to)
}

// wide enters the width that goes with a length; the length stays in hand.
func (rd *reading) wide(t *protocol.Trait, m mention, s spoken, i, j int) {
	width := rd.traitOf(t.ID+" width", false)
	if width == nil {
		return
	}
	last := rd.last
	rd.enter(width, m, s, i, j)
	rd.last = last
	rd.topic = tTestes
}
