package call

import (
	"slices"
	"strings"

	"dawnround/protocol"
)

// A weighing is what was said of the scale, beside the numbers themselves.
type weighing struct {
	basis   string // of the number at weighing/net: "net", "bare", "scale"
	sameBag bool
	tared   bool
	untared bool // said of the scale, so that the bag is in what it shows
}

// weight reads the words of a weighing: gross, bag, net, all up, on the scale.
func (rd *reading) weight() bool {
	i := rd.at
	if rd.isNumber(i) {
		return rd.weightAfterNumber(i)
	}
	if rd.lessBag(i) {
		return true
	}
	id, n := rd.lexID(i, kWeigh)
	if n == 0 {
		return false
	}
	switch id {
	case "tared", "not tared":
		rd.weighed.tared, rd.weighed.untared = id == "tared", id == "not tared"
		rd.given.NotTared = id == "not tared"
		yes := map[bool]string{true: "yes", false: "no"}[rd.weighed.tared]
		rd.take(Field{At: atTared, Value: yes}, i, i+n)
		return true
	case "same bag":
		rd.weighed.sameBag = true
		rd.fate(i, i+n, Taken, atBag)
		rd.at = i + n
		return true
	}
	if rd.joined(i) && rd.toks[i-1].field == atTared && id == "gross" && !rd.numberFollows(i+n) {
		rd.fate(i, i+n, Taken, atTared) // zeroed with the bag on
		rd.at = i + n
		return true
	}
	m := mention{from: i}
	j, ok := rd.toNumber(i+n, &m)
	if !ok {
		return rd.thatWas(id, i, i+n) || rd.weighNamed(id, i, i+n)
	}
	s, ok := rd.number(j)
	if !ok || s.unended || rd.isForeign(s.to) || m.comma && !rd.endsAfter(s.to) || !rd.isMass(s) {
		return false
	}
	if (rd.word(j-1) == "at" || rd.word(i) == "together") && !rd.holdsMass(id, s) {
		return false
	}
	if next, k := rd.lexID(s.to, kWeigh); rd.joined(s.to) && k > 0 && id == "bag" && next == "gross" && !rd.isNumber(s.to+k) {
		return false // "bag …, N all up": the number belongs to what follows
	}
	if m.bridged && !rd.holdsMass(id, s) {
		return false
	}
	if id != "bag" && rd.minus(s, i) {
		return true
	}
	rd.weighedAs(id, s, i, s.to)
	return true
}

// thatWas reads "no, that's gross" after a weight: the number stays, and what
// it was changes.
func (rd *reading) thatWas(id string, i, j int) bool {
	to := weighAt[id]
	at := rd.fieldBefore()
	value, ok := rd.standing(at)
	if !ok || to == at || id != "gross" && id != "net" || at != atNet && at != atGross || !rd.correcting && rd.word(i-1) != "'s" && rd.word(i-1) != "was" && !rd.answersBasis(i) || !rd.breaks(j) {
		return false
	}
	f := Field{At: to, Unit: "g"}
	f.number(value)
	t := rd.traitOf(protocol.Mass, false)
	f.Pending = !rd.massLimits(id, t).hold(f.Number.Value())
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(o Field) bool { return o.At == at })
	rd.unask(at)
	rd.corrected(at, value, "")
	if _, recorded := known(rd.recorded(), at); recorded {
		rd.out.Fields = append(rd.out.Fields, Field{At: at, Pending: true, Why: "was " + id})
	}
	delete(rd.heard, at+"|")
	rd.weighed.basis = id
	rd.last, rd.correcting = to, false
	rd.take(f, i, j)
	return true
}

// answersBasis tells whether the word at token i answers "gross or net?".
func (rd *reading) answersBasis(i int) bool {
	from, to := rd.clause(max(0, i-1))
	return rd.breaks(i) && to == i && i > from && rd.toks[i-1].asked && (rd.saysWithin(from, to, "net") || rd.saysWithin(from, to, "gross"))
}

func (rd *reading) saysWithin(i, j int, word string) bool {
	for ; i < j; i++ {
		if rd.word(i) == word {
			return true
		}
	}
	return false
}

// weighNamed notes that a weighing word was said without a number, so that a
// number behind a pause or a correction may find it: "bag's wet, one thirty",
// "bag? ninety-five". The word itself is left.
func (rd *reading) weighNamed(id string, i, j int) bool {
	switch rd.word(i) {
	case "gross", "bag", "net", "nett", "tare", "empty":
	default:
		return false
	}
	opens := rd.breaks(i) || rd.word(i-1) == "the" && rd.breaks(i-1)
	if to := weighAt[id]; to != "" && opens && !rd.correcting && (rd.breaks(j) || id == "bag") {
		rd.last, rd.topic = to, tMeasure
	}
	return false
}

// weightAfterNumber reads "ten fifty all up", "a ninety bag", "nine eighty
// grams".
func (rd *reading) weightAfterNumber(i int) bool {
	s, ok := rd.number(i)
	if !ok || s.unended || !rd.isMass(s) {
		return false
	}
	j := rd.skip(s.to)
	if !rd.joined(j) {
		j = len(rd.toks)
	}
	id, n := rd.lexID(j, kWeigh)
	if k := s.to; n == 0 && k < len(rd.toks) && rd.toks[k].stop == ',' {
		if id, n = rd.lexID(k, kWeigh); n > 0 && (id == "gross" || id == "net") && rd.breaks(k+n) && (s.unit != "" || rd.holdsMass(id, s) && rd.breaks(i)) {
			j = k
		} else {
			n = 0
		}
	}
	if k := rd.thatIs(s.to); n == 0 && k > s.to {
		if id, n = rd.lexID(k, kWeigh); id == "gross" || id == "net" {
			j = k
		}
	}
	switch {
	case n > 0 && (id == "gross" || id == "net" || id == "scale" || id == "bag" && j == s.to) && !rd.numberFollows(j+n):
		if len(s.text()) < 3 && !rd.holdsMass(id, s) {
			return false
		}
		rd.weighedAs(id, s, i, j+n)
		return true
	case s.unit == "g" || s.unit == "kg":
		return rd.massByUnit(s, i)
	}
	return false
}

// taredWeight takes the first number behind "tared", where what the scale shows
// is the animal, or behind "same bag", where the bag is in it.
func (rd *reading) taredWeight(s spoken) bool {
	_, said := rd.out.Field(atNet)
	before := s.from > 0 && (rd.toks[s.from-1].field == atTared || rd.toks[s.from-1].field == atBag && rd.weighed.sameBag)
	if said || !rd.isMass(s) || !before && (rd.last != "" || len(rd.out.Fields) > 1) {
		return false
	}
	switch {
	case rd.weighed.tared && rd.holdsMass("net", s):
		rd.weighedAs("net", s, s.from, s.to)
	case rd.weighed.sameBag && rd.bagGrams() != "" && rd.holdsMass("gross", s):
		rd.weighedAs("gross", s, s.from, s.to)
	default:
		return false
	}
	return true
}

// grossLessBag reads "fourteen hundred less ninety-five", where the first can
// be an animal in its bag and the second the bag.
func (rd *reading) grossLessBag(s spoken) bool {
	if w := rd.word(s.to); !rd.breaks(s.from) || !rd.joined(s.to) || w != "less" && w != "minus" && !(w == "-" && rd.worksOut(s)) {
		return false
	}
	bag, ok := rd.number(rd.skip(s.to + 1))
	if !ok || !rd.isMass(s) || !rd.holdsMass("gross", s) || !rd.holdsMass("bag", bag) {
		return false
	}
	return rd.minus(s, s.from)
}

// lessBag reads ", less ninety-five" behind a gross weight: the bag.
func (rd *reading) lessBag(i int) bool {
	w := rd.word(i)
	if w != "less" && w != "minus" && w != "take" || rd.last != atGross {
		return false
	}
	j := i + 1
	if rd.word(j) == "off" || rd.word(j) == "away" {
		j++
	}
	if n := rd.lex(j, kWeigh); n > 0 {
		j += n
	}
	j = rd.skip(j)
	s, ok := rd.number(j)
	if !ok || !rd.isNumber(j) || !rd.holdsMass("bag", s) {
		return false
	}
	to := s.to
	if id, n := rd.lexID(rd.skip(to), kWeigh); n > 0 && id == "bag" && rd.joined(rd.skip(to)) {
		to = rd.skip(to) + n
	}
	rd.weighedAs("bag", s, i, to)
	return true
}

// thatIs passes over ", and that's" behind a number; i where it is not said.
func (rd *reading) thatIs(i int) int {
	if i >= len(rd.toks) || rd.toks[i].stop == '.' || rd.toks[i].stop == '?' {
		return i
	}
	j := i
	if rd.word(j) == "and" || rd.word(j) == "but" {
		j++
	}
	if w := rd.word(j); w != "that" && w != "it" && w != "this" && w != "which" {
		return i
	}
	if w := rd.word(j + 1); w != "'s" && w != "is" && w != "was" {
		return i
	}
	return j + 2
}

// numberFollows tells whether a number of its own follows a weighing word, in
// the same breath.
func (rd *reading) numberFollows(j int) bool {
	j = rd.skip(j)
	return rd.joined(j) && rd.isNumber(j)
}

// massByUnit takes a number in grams or kilos that stands alone in its breath.
func (rd *reading) massByUnit(s spoken, i int) bool {
	from, to := rd.clause(i)
	for k := from; k < to; k++ {
		if k >= i && k < s.to || rd.toks[k].fate == Taken {
			continue
		}
		if rd.lex(k, kFiller) == 0 && rd.lex(k, kSex) == 0 && rd.lex(k, kStage) == 0 && rd.word(k) != "she" && rd.word(k) != "he" {
			return false
		}
	}
	t := rd.traitOf(protocol.Mass, false)
	if t == nil {
		return false
	}
	if rd.young.open {
		if y := rd.traitOf(protocol.Mass, true); y != nil {
			rd.measured(mention{trait: t, young: y, from: i}, s)
			return true
		}
	}
	rd.bareMass(s, i, s.to)
	return true
}

// isMass tells whether a number can be a mass: its unit is one, and it is no
// digit alone.
func (rd *reading) isMass(s spoken) bool {
	t := rd.traitOf(protocol.Mass, false)
	if t == nil {
		return false
	}
	_, ok := inUnit(t, s)
	return ok
}

// holdsMass tells whether a number is within the limits of a weighing word.
func (rd *reading) holdsMass(id string, s spoken) bool {
	t := rd.traitOf(protocol.Mass, false)
	_, v := rd.choose(t, rd.massLimits(id, t), s)
	return v == fits
}

func (rd *reading) massLimits(id string, t *protocol.Trait) limits {
	lim := rd.limits(t, "")
	switch id {
	case "bag":
		return bagGrams
	case "gross":
		lim.low += bagGrams.low
		lim.high += bagGrams.high
	}
	return lim
}

var weighAt = map[string]string{"gross": atGross, "bag": atBag, "net": atNet, "scale": atNet}

// weighedAs enters a number for a weighing word.
func (rd *reading) weighedAs(id string, s spoken, from, to int) {
	t := rd.traitOf(protocol.Mass, false)
	at := weighAt[id]
	if at == atNet {
		rd.weighed.basis = id
	}
	rd.last, rd.topic, rd.at = at, tMeasure, max(rd.at, to)
	lim := rd.massLimits(id, t)
	if id == "scale" {
		lim.high += bagGrams.high
	}
	rd.judge(t, lim, Field{At: at, Unit: "g", Roughly: s.rough, Misheard: heardAs("", s), SaidAs: otherUnit(s, t)}, s, from, to)
	rd.moveSlot(at)
}

// bareMass enters a number for "weight" alone; settleWeight decides at the end
// of the phrase whether the bag is in it.
func (rd *reading) bareMass(s spoken, from, to int) {
	t := rd.traitOf(protocol.Mass, false)
	if rd.minus(s, from) {
		return
	}
	if j := rd.skip(to); rd.joined(j) {
		if id, n := rd.lexID(j, kWeigh); n > 0 && (id == "gross" || id == "net" || id == "scale") && !rd.numberFollows(j+n) {
			rd.weighedAs(id, s, from, j+n)
			return
		}
	}
	if rd.weighed.basis == "" || !rd.correcting {
		rd.weighed.basis = "bare"
	}
	if rd.weighed.tared {
		rd.weighed.basis = "net"
	}
	at := atNet
	if rd.correcting && (rd.last == atGross || rd.last == atBag) {
		at = rd.last
	}
	m := heardAs(rd.mishearing(from), s)
	rd.last, rd.topic, rd.at = at, tMeasure, max(rd.at, to)
	lim := rd.massLimits(map[string]string{atGross: "gross", atBag: "bag"}[at], t)
	rd.judge(t, lim, Field{At: at, Unit: "g", Roughly: s.rough, Misheard: m, SaidAs: otherUnit(s, t)}, s, from, to)
	rd.moveSlot(at)
}

// mishearing is the word at token i if it only sounds like a trait.
func (rd *reading) mishearing(i int) string {
	e, ok := rd.entry(i, kTrait)
	if !ok || !e.alike {
		return ""
	}
	return strings.Join(e.words, " ")
}

// minus reads "1460-120" and "fourteen sixty less one twenty", and checks a
// difference that is written behind it.
func (rd *reading) minus(s spoken, from int) bool {
	w := rd.word(s.to)
	if !rd.joined(s.to) || w != "-" && w != "minus" && w != "less" && w != "–" {
		return false
	}
	bag, ok := rd.number(s.to + 1)
	if !ok {
		return false
	}
	rd.weighedAs("gross", s, from, s.to)
	rd.fate(s.to, s.to+1, Taken, atBag)
	rd.weighedAs("bag", bag, s.to+1, bag.to)
	if id, n := rd.lexID(bag.to, kWeigh); n > 0 && id == "bag" && rd.joined(bag.to) {
		rd.fate(bag.to, bag.to+n, Taken, atBag)
		bag.to += n
		rd.at = bag.to
	}
	if w := rd.word(bag.to); w == "=" || w == "makes" || w == "equals" || w == "is" && rd.joined(bag.to) && rd.isNumber(bag.to+1) {
		if net, ok := rd.number(bag.to + 1); ok {
			rd.weighedAs("net", net, bag.to+1, net.to)
		}
	}
	return true
}

// tokenAt is the token at a byte of the phrase.
func (rd *reading) tokenAt(at int) int {
	for i, t := range rd.toks {
		if t.from >= at {
			return i
		}
	}
	return len(rd.toks)
}
