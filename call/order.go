package call

import (
	"slices"
	"strings"

	"dawnround/protocol"
)

// bareNumber finds where a number without a field word belongs: to a
// correction, to what was asked, to the field just said, to a read-back, or to
// the next slot of the calling order. Nowhere else: a lonely number is asked
// about, and a number within a story is left.
func (rd *reading) bareNumber() bool {
	i := rd.at
	if rd.conventionFirst(i) {
		return true
	}
	s, ok := rd.number(i)
	if !ok || !rd.isNumber(i) || rd.toks[i].field == "why" {
		return false
	}
	switch {
	case rd.grossLessBag(s), rd.conventionAfter(s), rd.replaces(s), rd.markAgain(i), rd.andAnother(s):
		return true
	case rd.numberFirst(s):
		return true
	case rd.isForeign(s.to):
		rd.leave(i, s.to)
		rd.correcting = false
		return true
	case rd.correcting:
		return rd.correctedBy(s)
	case !rd.alone(s):
		rd.leave(i, s.to)
		return true
	}
	rd.onceMore(i)
	for _, to := range []func(spoken) bool{rd.repeats, rd.taredWeight, rd.answers, rd.sameBreath, rd.readBackAgain, rd.inOrder, rd.ofPart, rd.anotherReading, rd.grossBesideBag, rd.lonely} {
		if to(s) {
			return true
		}
	}
	rd.leave(i, s.to)
	return true
}

func (rd *reading) leave(i, j int) {
	for k := i; k < j; k++ {
		if rd.toks[k].fate == Between {
			rd.toks[k].fate = Left
		}
	}
	rd.at = max(rd.at, j)
}

// numberFirst reads "ninety-eight on the pes" and "one sixty tail".
func (rd *reading) numberFirst(s spoken) bool {
	j := s.to
	if !rd.joined(j) {
		return false
	}
	if w := rd.word(j); w == "for" || w == "on" || w == "is" {
		j++
		if rd.word(j) == "the" {
			j++
		}
	}
	m, next, ok := rd.mentionAt(j)
	if !ok || !rd.joined(j) || m.misheard != "" || m.short || m.trait == nil || rd.topic == tParasite || !rd.breaks(next) && rd.lex(next, kConvention) == 0 && rd.lex(next, kTrait) == 0 {
		return false
	}
	if k, ok := rd.toNumber(next, &mention{}); ok && rd.joined(k) && k == next {
		return false
	}
	if _, v := rd.choose(m.trait, rd.limits(m.trait, ""), s); v != fits {
		return false
	}
	m.from = rd.at
	s.to = next
	rd.measured(m, s)
	return true
}

// alone tells whether a number is all that its breath says, but for words that
// were taken already and what belongs to a measurement.
func (rd *reading) alone(s spoken) bool {
	from, _ := rd.clause(s.from)
	for k := from; k < s.from; k++ {
		if rd.toks[k].fate != Taken && rd.lex(k, kFiller) == 0 && rd.lex(k, kSide) == 0 && rd.lex(k, kAgain) == 0 {
			return false
		}
	}
	for k := s.to; k < len(rd.toks) && rd.joined(k); {
		n := max(rd.lex(k, kConvention), rd.lex(k, kSide), rd.lex(k, kAgain), rd.lex(k, kConfirm), rd.lex(k, kCorrect))
		switch {
		case n > 0:
			k += n
		case rd.lex(k, kTrait) > 0:
			m, next, ok := rd.mentionAt(k)
			if !ok {
				return false
			}
			_, numbered := rd.toNumber(next, &m)
			return numbered
		case rd.word(k) == "not" || rd.word(k) == "by" || rd.isNumber(k) || rd.word(k) == "–" || rd.lex(k, kMissing) > 0:
			return true
		default:
			return false
		}
	}
	return true
}

// correctedBy gives a number after a correction word to the field before.
func (rd *reading) correctedBy(s spoken) bool {
	at := rd.fieldBefore()
	t := rd.traitAt(at)
	switch {
	case rd.young.open && rd.young.last != "":
		return rd.youngCorrected(s)
	case at == "young/count":
		return rd.countCorrected(s)
	case at == "condition/score", at == "weather/temp":
		f, _ := rd.out.Field(at)
		rd.correcting = false
		rd.take(Field{At: at, Value: s.text(), Unit: f.Unit}, s.from, s.to)
		return true
	case strings.HasPrefix(at, "findings/"):
		return rd.rowCorrected(s) || rd.lonely(s)
	case strings.HasPrefix(at, "marks/"), strings.HasPrefix(at, "samples/"):
		return rd.markCorrected(at, s)
	case at == atGross || at == atBag:
		rd.last = at
		rd.bareMass(s, s.from, s.to)
		return true
	case t == nil:
		rd.correcting = false
		return rd.alone(s) && rd.lonely(s)
	}
	if _, v := rd.choose(t, rd.limits(t, ""), s); v == unfit {
		return rd.lonely(s)
	}
	rd.measuredAt(at, t, s)
	return true
}

// fieldBefore is the field a bare correction is about: the last one said, else
// what was read back, else the last one recorded.
func (rd *reading) fieldBefore() string {
	if rd.last != "" {
		return rd.last
	}
	for _, list := range [][]Known{rd.given.ReadBack, rd.recorded()} {
		for i := len(list) - 1; i >= 0; i-- {
			if at := list[i].At; rd.traitAt(at) != nil || at == atGross || at == atBag || at == "young/count" || strings.HasPrefix(at, "marks/") {
				return at
			}
		}
	}
	return ""
}

// measuredAt enters a bare number for a field of the animal.
func (rd *reading) measuredAt(at string, t *protocol.Trait, s spoken) {
	_, side, _ := strings.Cut(at, ".")
	m := mention{trait: t, side: side, from: s.from}
	if f, ok := rd.out.Field(at); ok {
		m.side, m.convention = f.Side, f.Convention
	}
	to := rd.trailing(t, &m, s.to)
	for n := rd.lex(to, kAgain); n > 0 && rd.joined(to); n = rd.lex(to, kAgain) {
		rd.again = true
		rd.fate(to, to+n, Taken, at)
		to += n
	}
	rd.enterPair(t, m, s, s.from, to)
}

// repeats gives the first of several readings to the field that is being read
// again and again.
func (rd *reading) repeats(s spoken) bool {
	t := rd.traitAt(rd.given.Repeats)
	if t == nil || rd.last != "" {
		return false
	}
	rd.measuredAt(rd.given.Repeats, t, s)
	return true
}

// answers gives a number to the field the speaker was asked for.
func (rd *reading) answers(s spoken) bool {
	at := rd.given.Asked
	t := rd.traitAt(at)
	if _, said := rd.out.Field(at); said {
		return false
	}
	if n, whole := s.whole(); at == "young/count" && whole && n < 15 {
		return rd.putCount(n, s.from, s.to)
	}
	if t == nil && at != atGross && at != atBag {
		return false
	}
	if at == atGross || at == atBag {
		rd.weighedAs(strings.TrimPrefix(at, "weighing/"), s, s.from, s.to)
		return true
	}
	rd.measuredAt(at, t, s)
	return true
}

// slotTrait is the trait of the slot the next bare number fills; slots that
// take no number are passed over.
func (rd *reading) slotTrait() *protocol.Trait {
	for rd.slot < len(rd.given.Order) {
		at := rd.given.Order[rd.slot]
		if t := rd.traitAt(at); t != nil {
			return t
		}
		if at == atGross || at == atBag {
			return rd.traitOf(protocol.Mass, false)
		}
		rd.slot++
	}
	return nil
}

func (rd *reading) slotOpen() bool { return rd.slotTrait() != nil }

// inOrder gives a bare number to the next slot of the calling order, and tests
// it there.
func (rd *reading) inOrder(s spoken) bool {
	t := rd.slotTrait()
	if t == nil || rd.given.NothingOpen || rd.behindValue(s) {
		return false
	}
	if f, said := rd.out.Field(rd.last); said && f.Value != "" && s.from != rd.inRun && rd.traitAt(rd.last) != nil && !rd.fitsSlot(rd.slot, s) && rd.limits(t, "").known {
		return false // the slot cannot hold it: it is about what was just said
	}
	rd.out.ByOrder = true
	defer func() { rd.inRun = rd.at }()
	if rd.runInOrder(s) {
		return true
	}
	at := rd.given.Order[rd.slot]
	if at == atGross || at == atBag {
		rd.weighedAs(strings.TrimPrefix(at, "weighing/"), s, s.from, s.to)
		return true
	}
	rd.measuredAt(at, t, s)
	return true
}

// behindValue tells whether a number stands directly behind one that a field
// word gave its place, in one breath or behind a comma without a space: it may
// be the end of that one, and no slot of the order is meant by it.
func (rd *reading) behindValue(s spoken) bool {
	before := rd.toks[max(0, s.from-1)]
	if s.from == 0 || before.fate != Taken || !strings.HasPrefix(before.field, "measures/") && !strings.HasPrefix(before.field, "weighing/") {
		return false
	}
	return rd.joined(s.from) && s.from != rd.inRun || rd.toks[s.from].comma
}

// moveSlot sets the order behind a field that was filled or passed over.
func (rd *reading) moveSlot(at string) {
	bare, _, _ := strings.Cut(at, ".")
	if i := slices.IndexFunc(rd.given.Order, func(o string) bool { return o == at || o == bare }); i >= 0 {
		rd.slot = i + 1
		rd.out.Next = ""
		if rd.slot < len(rd.given.Order) {
			rd.out.Next = rd.given.Order[rd.slot]
		}
	}
}

// grossBesideBag reads a bare mass in a phrase that also weighs the bag: the
// bag is in it.
func (rd *reading) grossBesideBag(s spoken) bool {
	bag := false
	for i := range rd.toks {
		if id, n := rd.lexID(i, kWeigh); n > 0 && id == "bag" && rd.numberFollows(i+n) {
			bag = true
		}
	}
	if !bag || !rd.isMass(s) || !rd.holdsMass("gross", s) || rd.young.open {
		return false
	}
	if _, said := rd.out.Field(atGross); said {
		return false
	}
	rd.weighedAs("scale", s, s.from, s.to)
	return true
}

// lonely asks which field a number is for, unless the phrase tells a story.
func (rd *reading) lonely(s spoken) bool {
	if rd.word(s.from) == "one" && s.to == s.from+1 && rd.joined(s.from) && rd.toks[s.from-1].fate != Taken {
		return false // just the one
	}
	if rd.tenths(s) {
		return true
	}
	if rd.tellsStory() || rd.topic != tNone && rd.topic != tMeasure || rd.given.Speaker == Scribe && rd.toks[s.to-1].asked {
		return false
	}
	if rd.litterCounted(s) {
		return true
	}
	rd.ask(Question{About: WhichField, Says: Digits(s.text()) + ": which measurement?"}, s.from, s.to)
	rd.at = s.to
	return true
}

// tenths asks about a digit that follows a whole number after a pause: it may
// be its tenths.
func (rd *reading) tenths(s spoken) bool {
	t := rd.traitAt(rd.last)
	f, ok := rd.out.Field(rd.last)
	if t == nil || !ok || len(s.text()) != 1 || f.Value == "" || f.Pending || strings.Contains(f.Value, ".") {
		return false
	}
	with := f.Value + "." + s.text()
	if rest, loose := strings.CutSuffix(f.Value, "0"); loose && t.Step >= 1 {
		with = rest + s.text()
	} else if t.Step >= 1 {
		return false
	}
	f.Pending, f.Why = true, "two readings"
	rd.ask(Question{About: f.At, Says: t.Name + " " + Digits(f.Value) + ", or " + Digits(with) + "?", Among: []string{f.Value, with}}, s.from, s.to)
	rd.at = s.to
	return true
}

// tellsStory tells whether the phrase holds words that are not of the
// vocabulary, or nouns that numbers of a story have.
func (rd *reading) tellsStory() bool {
	for i := 0; i < len(rd.toks); i++ {
		if n := rd.lex(i, kRoughAfter); n > 1 {
			i += n - 1
			continue
		}
		if rd.toks[i].fate != Taken && (rd.lex(i, kForeign) > 0 && rd.lex(i, kTrait) == 0 && rd.word(i) != "degrees" || rd.lex(i, kChatter) > 0) {
			return true
		}
		if len(rd.found[i]) == 0 && rd.toks[i].num.class == noNumeral && rd.toks[i].fate != Taken && rd.word(i) != "minus" {
			return true
		}
	}
	return false
}
