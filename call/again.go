package call

import (
	"slices"
	"strings"
)

// sameBreath takes a number that repeats the field just said, or the end of
// it, or a repeat reading of it.
func (rd *reading) sameBreath(s spoken) bool {
	t := rd.traitAt(rd.last)
	f, ok := rd.out.Field(rd.last)
	if ok && (rd.last == atGross || rd.last == atBag) && (same(f.Value, s.text()) || len(s.text()) == 2 && strings.HasSuffix(f.Value, s.text())) {
		rd.heard[keyOf(*f)] = append(rd.heard[keyOf(*f)], utterance{value: f.Value, from: s.from, to: s.to})
		rd.fate(s.from, s.to, Taken, f.At)
		rd.at = s.to
		return true
	}
	if ok && (rd.last == atGross || rd.last == atBag) && rd.given.Speaker == Both && rd.toks[s.to-1].asked {
		rd.heard[keyOf(*f)] = append(rd.heard[keyOf(*f)], utterance{value: s.text(), asked: true, from: s.from, to: s.to})
		rd.fate(s.from, s.to, Taken, f.At)
		rd.at = s.to
		return true
	}
	if t == nil || !ok || f.Value == "" {
		return false
	}
	text, v := rd.choose(t, rd.limits(t, f.Convention), s)
	again := rd.given.Repeats == rd.last || rd.again || rd.lex(s.to, kAgain) > 0 || rd.joined(s.from) && rd.lex(s.from-1, kAgain) > 0
	for _, u := range rd.heard[keyOf(*f)] {
		switch {
		case v == fits && same(u.value, text):
			rd.measuredAt(rd.last, t, s)
			return true
		case v == outside && len(text) == 2 && strings.HasSuffix(u.value, text):
			rd.heard[keyOf(*f)] = append(rd.heard[keyOf(*f)], utterance{value: u.value, from: s.from, to: s.to})
			rd.fate(s.from, s.to, Taken, rd.last)
			rd.at = s.to
			return true
		}
	}
	if rd.partOf(f, s) {
		return true
	}
	if v == outside && rd.toks[s.to-1].asked {
		rd.heard[keyOf(*f)] = append(rd.heard[keyOf(*f)], utterance{value: text, asked: true, from: s.from, to: s.to})
		rd.fate(s.from, s.to, Taken, f.At)
		rd.at = s.to
		return true
	}
	if v == outside && rd.given.Speaker == Both && !rd.slotOpen() && len(text) == len(f.Value) && rd.limits(t, "").known {
		rd.heard[keyOf(*f)] = append(rd.heard[keyOf(*f)], utterance{value: text, from: s.from, to: s.to})
		rd.fate(s.from, s.to, Taken, f.At)
		rd.at = s.to
		return true
	}
	if v == fits && (again || rd.given.Speaker == Both && !rd.slotOpen() || rd.toks[s.to-1].asked) {
		rd.measuredAt(rd.last, t, s)
		return true
	}
	return false
}

// onceMore notes a breath that is only "once more" before the number at token
// i: it is another reading of the same.
func (rd *reading) onceMore(i int) {
	from, _ := rd.clause(i)
	if from == 0 || rd.traitAt(rd.last) == nil {
		return
	}
	before, _ := rd.clause(from - 1)
	if n := rd.lex(before, kAgain); n > 0 && before+n == from {
		rd.again = true
	}
}

// partOf reads "seventy, seven-oh, point nine": the digits once more, then the
// tenths.
func (rd *reading) partOf(f *Field, s spoken) bool {
	frac, ok := strings.CutPrefix(s.text(), "0.")
	if !ok || rd.toks[s.from].num.class != point || strings.Contains(f.Value, ".") {
		return false
	}
	f.number(f.Value + "." + frac)
	rd.heard[keyOf(*f)] = []utterance{{value: f.Value, from: s.from, to: s.to}}
	f.To = rd.toks[s.to-1].to
	rd.fate(s.from, s.to, Taken, f.At)
	rd.at = s.to
	return true
}

// readBackAgain: after a read-back the handler gives the number again. The
// same agrees, another corrects.
func (rd *reading) readBackAgain(s spoken) bool {
	if len(rd.given.ReadBack) == 0 || len(rd.out.Fields) > 0 {
		return false
	}
	k := rd.given.ReadBack[len(rd.given.ReadBack)-1]
	t := rd.traitAt(k.At)
	if strings.HasPrefix(k.At, "marks/") {
		return rd.markCorrected(k.At, s)
	}
	if t == nil {
		return false
	}
	_, v := rd.choose(t, rd.limits(t, ""), s)
	slot := rd.slotTrait()
	if v != fits || slot != nil {
		rd.ask(Question{About: k.At, Says: t.Name + " " + Digits(k.Value) + " or " + Digits(s.text()) + "?", Among: []string{k.Value, s.text()}}, s.from, s.to)
		rd.at = s.to
		return true
	}
	rd.measuredAt(k.At, t, s)
	return true
}

// anotherReading gives a number that stands alone after a measurement to that
// measurement; settle decides whether it is a repeat or a dispute.
func (rd *reading) anotherReading(s spoken) bool {
	if (rd.last == atBag || rd.last == atGross) && slices.Contains(rd.out.Again, rd.last) && rd.isMass(s) {
		rd.weighedAs(strings.TrimPrefix(rd.last, "weighing/"), s, s.from, s.to)
		return true
	}
	if _, said := rd.out.Field(rd.last); !said && (rd.last == atBag || rd.last == atGross) && rd.isMass(s) && (s.unit != "" || !strings.Contains(s.text(), ".")) && rd.holdsMass(strings.TrimPrefix(rd.last, "weighing/"), s) {
		rd.weighedAs(strings.TrimPrefix(rd.last, "weighing/"), s, s.from, s.to)
		return true
	}
	t := rd.traitAt(rd.last)
	if t == nil || rd.young.open {
		return false
	}
	if _, v := rd.choose(t, rd.limits(t, ""), s); v != fits {
		return false
	}
	rd.measuredAt(rd.last, t, s)
	return true
}

// andAnother reads "pes ninety-five and ninety-five four": two readings of what
// was just measured.
func (rd *reading) andAnother(s spoken) bool {
	i := s.from
	t := rd.traitAt(rd.last)
	if t == nil || rd.word(i-1) != "and" || !rd.joined(i) || i < 2 || rd.toks[i-2].field != rd.last || rd.correcting || !rd.breaks(s.to) || rd.slotOpen() {
		return false
	}
	if _, v := rd.choose(t, rd.limits(t, ""), s); v != fits {
		return false
	}
	rd.measuredAt(rd.last, t, s)
	return true
}

// markAgain takes the digits of a mark that are repeated.
func (rd *reading) markAgain(i int) bool {
	f, ok := rd.out.Field(rd.last)
	if !ok || !strings.HasPrefix(rd.last, "marks/") || rd.correcting {
		return false
	}
	text, j := rd.markDigits(i)
	if text != f.Value || !rd.breaks(j) {
		return false
	}
	rd.heard[keyOf(*f)] = append(rd.heard[keyOf(*f)], utterance{value: text, from: i, to: j}, utterance{value: text, from: i, to: j})
	rd.fate(i, j, Taken, f.At)
	rd.at = j
	return true
}

// ofPart reads "tail's bent, call it one sixty": an estimate for the part that
// was just looked at.
func (rd *reading) ofPart(s spoken) bool {
	t := rd.traitOf(rd.part.id, false)
	if t == nil || !s.rough || rd.topic != tFinding || !rd.limits(t, "").known {
		return false
	}
	if _, v := rd.choose(t, rd.limits(t, ""), s); v != fits {
		return false
	}
	rd.measuredAt(addressOf(t, ""), t, s)
	return true
}
