package call

import (
	"slices"
	"strings"

	"dawnround/protocol"
)

// correction takes the words that strike what was said: no, scrap that, make
// that, I meant, go back.
func (rd *reading) correction() bool {
	i := rd.at
	id, n := rd.lexID(i, kCorrect)
	if n == 0 || rd.lex(i, kSwap) > n || rd.lex(i, kChatter) > n || id == "no" && !rd.noCorrects(i, n) {
		return false
	}
	if id == "wait" && (rd.last == "" && len(rd.out.Fields) == 0 && len(rd.given.ReadBack) == 0 || rd.waitIsWeight(i)) {
		return false
	}
	if w := rd.word(i + n - 1); w == "wrong" || w == "misread" || w == "be" {
		rd.namedBefore(i)
	}
	rd.fate(i, i+n, Taken, "")
	rd.at = i + n
	rd.correcting = true
	if id == "scrap" {
		rd.strike()
	}
	return true
}

// namedBefore makes the field in hand what was named in the same breath before
// token i: "ear's wrong, it's forty-four".
func (rd *reading) namedBefore(i int) {
	from, _ := rd.clause(i)
	for k := from; k < i; k++ {
		if id, n := rd.lexID(k, kWeigh); n > 0 && weighAt[id] != "" {
			rd.last = weighAt[id]
			return
		}
		if m, _, ok := rd.mentionAt(k); ok && m.trait != nil && m.misheard == "" && !m.short && rd.toks[k].fate != Taken {
			rd.last = addressOf(m.trait, m.side)
		}
	}
}

// isBasis tells whether only "gross" or "net" stands at token i.
func (rd *reading) isBasis(i int) bool {
	id, n := rd.lexID(i, kWeigh)
	return n > 0 && (id == "gross" || id == "net") && rd.breaks(i+n) && (rd.last == atNet || rd.last == atGross)
}

// waitIsWeight: "wait ten ninety" may be a misheard weight, where the number
// is a mass and does not fit the field just said.
func (rd *reading) waitIsWeight(i int) bool {
	t := rd.traitOf(protocol.Mass, false)
	if t == nil || !rd.joined(i+1) || !rd.isNumber(i+1) || !rd.hearsAlikes() {
		return false
	}
	s, ok := rd.number(i + 1)
	if !ok {
		return false
	}
	if before := rd.traitAt(rd.fieldBefore()); before != nil {
		if _, v := rd.choose(before, rd.limits(before, ""), s); v == fits {
			return false
		}
	}
	_, v := rd.choose(t, rd.limits(t, ""), s)
	return v == fits
}

func (rd *reading) hasValue() bool { return rd.fieldBefore() != "" || len(rd.out.Fields) > 0 }

// noCorrects tells "no, six" and "no three" from "no tail today": a stop, a
// number or a sex after it corrects; a noun denies.
func (rd *reading) noCorrects(i, n int) bool {
	j := i + n
	if !rd.hasValue() && rd.given.Asked == "" {
		return false
	}
	switch {
	case j >= len(rd.toks) || rd.toks[j].stop != 0:
		return true
	case rd.lex(j, kSex) > 0 || rd.lex(j, kCorrect) > 0 || rd.lex(j, kStage) > 0 || rd.lex(j, kStatus) > 0 && rd.breaks(j+rd.lex(j, kStatus)):
		return true
	case rd.isBasis(j):
		return true
	case rd.lex(j, kSide) > 0 && (rd.breaks(j+rd.lex(j, kSide)) || rd.topic == tParasite && rd.lastRow.quantified() && rd.lex(j+rd.lex(j, kSide), kPart) > 0):
		return true
	case rd.topic == tSample && rd.lex(j, kLabel) > 0 && rd.isNumber(j+rd.lex(j, kLabel)):
		return true
	case rd.word(j) == "it" || rd.word(j) == "that" || rd.word(j) == "wait" || rd.word(j) == "the":
		return true
	case rd.isNumber(j):
		s, _ := rd.number(j)
		return !rd.isForeign(s.to) || rd.last == "young/count" || rd.topic == tParasite && rd.lastRow.quantified()
	}
	m, next, ok := rd.mentionAt(j)
	if !ok || m.trait == nil {
		return false
	}
	k, ok := rd.toNumber(next, &m)
	return ok && !m.comma && rd.isNumber(k)
}

// saidBefore reads what is named only to be replaced: "not one fifty-eight",
// "I said male", "change one fifty-eight to one eighty-five".
func (rd *reading) saidBefore() bool {
	i := rd.at
	switch {
	case rd.correcting && (rd.sideCorrected(i) || rd.signCorrected(i) || rd.findingCorrected(i)):
		return true
	case rd.word(i) == "not" || rd.word(i) == "instead" && rd.word(i+1) == "of":
		return rd.notThat(i)
	case rd.word(i) == "i" && (rd.word(i+1) == "said" || rd.word(i+1) == "called"):
		return rd.iSaid(i)
	case rd.word(i) == "change" || rd.word(i) == "swap" && rd.isNumber(i+1):
		return rd.change(i)
	}
	return false
}

// notUnderstood asks about the last field where a correction word was said and
// what follows it was not understood.
func (rd *reading) notUnderstood() {
	f, ok := rd.out.Field(rd.last)
	if !ok || rd.lastPut != rd.last {
		f, ok = rd.out.Field(rd.lastPut)
	}
	if !rd.correcting || !ok || f.Pending || f.Value == "" {
		return
	}
	at := -1
	for i, t := range rd.toks {
		if rd.lex(i, kCorrect) > 0 && t.fate == Taken {
			at = i
		}
	}
	if at < 0 {
		return
	}
	for i := at; i < len(rd.toks); i++ {
		if rd.toks[i].fate != Taken && (rd.isNumber(i) || rd.lex(i, kSide) > 0 || rd.lex(i, kPart) > 0 || rd.lex(i, kSignValue) > 0 && rd.breaks(i+rd.lex(i, kSignValue)) || rd.lex(i, kYoungWord) > 0 && rd.breaks(i+rd.lex(i, kYoungWord)) || rd.lex(i, kSex) > 0 || rd.lex(i, kTrait) > 0 && !rd.isAlike(i)) {
			f.Pending, f.Why = true, "correction not understood"
			rd.ask(Question{About: f.At, Says: "what was " + Digits(f.Value) + "?"}, i, i+1)
			return
		}
	}
}

func (rd *reading) isAlike(i int) bool {
	e, ok := rd.entry(i, kTrait)
	return ok && e.alike
}

// replaces reads "it's one ten, not ninety", where exactly one field holds
// the number that no longer stands: that field gets the new one.
func (rd *reading) replaces(s spoken) bool {
	j := s.to
	if rd.word(j) == "and" {
		j++
	}
	if rd.word(j) != "not" || rd.isForeign(s.to) {
		return false
	}
	j++
	if rd.word(j) == "the" {
		j++
	}
	was, ok := rd.number(j)
	if !ok || !rd.isNumber(j) || rd.isForeign(was.to) || !rd.breaks(was.to) {
		return false
	}
	last := rd.last
	rd.last = ""
	rd.findByValue(was)
	at, t := rd.last, rd.traitAt(rd.last)
	if at == "" || t == nil && at != atGross && at != atBag {
		rd.last = last
		return false
	}
	rd.correcting = true
	if t == nil || at == atNet {
		rd.weighedAs(strings.TrimPrefix(at, "weighing/"), s, s.from, s.to)
	} else {
		rd.measuredAt(at, t, s)
	}
	rd.notThat(rd.skipTo(s.to, "not"))
	return true
}

// skipTo is the first token from i on that is this word.
func (rd *reading) skipTo(i int, word string) int {
	for i < len(rd.toks) && rd.word(i) != word {
		i++
	}
	return i
}

// notThat reads "not the one twenty": the value that no longer stands.
func (rd *reading) notThat(i int) bool {
	j := i + 1
	for rd.word(j) == "the" || rd.word(j) == "of" || rd.word(j) == "a" && !rd.isNumber(j) {
		j++
	}
	if j >= len(rd.toks) || !rd.isNumber(j) || rd.last == "" {
		return rd.notWord(i, j)
	}
	s, ok := rd.number(j)
	f, said := rd.out.Field(rd.last)
	if !ok || !said || rd.isForeign(s.to) {
		return false
	}
	was := s.text()
	if t := rd.traitAt(rd.last); t != nil {
		was, _ = rd.choose(t, rd.limits(t, ""), s)
	}
	if k, ok := known(rd.recorded(), rd.last); ok && (same(k.Value, was) || slices.Contains(s.readings, k.Value)) {
		was = k.Value
	}
	rd.corrected(rd.last, was, f.Value)
	rd.fate(i, s.to, Taken, rd.last)
	rd.at, rd.correcting = s.to, false
	return true
}

// notWord reads "female, not male".
func (rd *reading) notWord(i, j int) bool {
	id, n := rd.lexID(j, kSex)
	f, ok := rd.out.Field("sex")
	if n == 0 || !ok || f.Value == id {
		return false
	}
	rd.corrected("sex", id, f.Value)
	rd.fate(i, j+n, Taken, "sex")
	rd.at = j + n
	return true
}

// iSaid passes over what the speaker says was said.
func (rd *reading) iSaid(i int) bool {
	j := rd.skip(i + 2)
	rd.correcting = true
	switch {
	case rd.lex(j, kSex) > 0:
		rd.last = "sex"
		j += rd.lex(j, kSex)
	case rd.lex(j, kStage) > 0:
		j += rd.lex(j, kStage)
	default:
		m, next, ok := rd.mentionAt(j)
		if ok && m.trait != nil {
			rd.last = addressOf(m.trait, m.side)
			j = next
		}
		if s, ok := rd.number(j); ok && rd.isNumber(j) {
			rd.findByValue(s)
			j = s.to
		}
	}
	rd.fate(i, j, Taken, rd.last)
	rd.at = j
	return true
}

// findByValue makes the recorded field with this value the one in hand, where
// it is the only one.
func (rd *reading) findByValue(s spoken) {
	var at []string
	for _, k := range rd.recorded() {
		if slices.ContainsFunc(s.readings, func(text string) bool { return same(text, k.Value) }) && !slices.Contains(at, k.At) {
			at = append(at, k.At)
		}
	}
	for _, f := range rd.out.Fields {
		if slices.ContainsFunc(s.readings, func(text string) bool { return same(text, f.Value) }) && !slices.Contains(at, f.At) {
			at = append(at, f.At)
		}
	}
	if len(at) == 1 {
		rd.last = at[0]
	}
}

// change reads "change the tail to …", "change X to Y".
func (rd *reading) change(i int) bool {
	j := i + 1
	if rd.word(j) == "the" || rd.word(j) == "that" {
		j++
	}
	rd.correcting = true
	if m, next, ok := rd.mentionAt(j); ok && m.trait != nil && m.misheard == "" {
		if s, ok := rd.number(rd.skip(next)); ok && rd.isNumber(rd.skip(next)) && rd.joined(s.to) && rd.word(s.to) == "to" {
			rd.last = addressOf(m.trait, m.side)
			rd.fate(i, s.to+1, Taken, rd.last)
			rd.at = s.to + 1
			return true
		}
	}
	if s, ok := rd.number(j); ok && rd.isNumber(j) && (rd.word(s.to) == "to" || rd.word(s.to) == "for") {
		rd.findByValue(s)
		rd.fate(i, s.to+1, Taken, rd.last)
		rd.at = s.to + 1
		return true
	}
	rd.fate(i, j, Taken, "")
	rd.at = j
	if rd.word(j) == "to" {
		rd.at = j + 1
	}
	return true
}

// altering reads two numbers with "or" between: the speaker is not sure.
func (rd *reading) altering() bool {
	i := rd.at
	m, next, ok := rd.mentionAt(i)
	if !ok || m.trait == nil || m.misheard != "" {
		return false
	}
	j, ok := rd.toNumber(next, &m)
	if !ok {
		return false
	}
	a, ok := rd.number(j)
	if !ok || rd.word(a.to) != "or" || !rd.joined(a.to) {
		return false
	}
	k := rd.skip(a.to + 1)
	if rd.word(k) == "maybe" || rd.word(k) == "was" {
		k++
	}
	b, ok := rd.number(k)
	if !ok || !rd.isNumber(k) || rd.isForeign(b.to) || rd.word(k) == "so" {
		return false
	}
	at := addressOf(m.trait, m.side)
	x, _ := rd.choose(m.trait, rd.limits(m.trait, ""), a)
	y, _ := rd.choose(m.trait, rd.limits(m.trait, ""), b)
	rd.out.Fields = append(rd.out.Fields, Field{At: at, Pending: true, Why: "two readings", From: rd.toks[i].from, To: rd.toks[b.to-1].to})
	rd.ask(Question{About: at, Says: m.trait.Name + ", " + Digits(x) + " or " + Digits(y) + "?", Among: []string{x, y}}, i, b.to)
	rd.fate(i, b.to, Asked, at)
	rd.at, rd.last, rd.topic = b.to, at, tMeasure
	return true
}
