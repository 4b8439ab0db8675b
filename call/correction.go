package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// correction takes the words that strike what was said: no, scrap that, make
// that, I meant, go back.
func (rd *reading) correction() bool {
	i := rd.at
	id, n := rd.lexID(i, kCorrect)
	if n == 0 || id == "no" && !rd.noCorrects(i, n) {
		return false
	}
	if id == "wait" && (rd.last == "" && len(rd.out.Fields) == 0 && len(rd.given.ReadBack) == 0 || rd.waitIsWeight(i)) {
		return false
	}
	rd.fate(i, i+n, Taken, "")
	rd.at = i + n
	rd.correcting = true
	if id == "scrap" && rd.at >= len(rd.toks) {
		rd.strikeLast()
	}
	return true
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

// noCorrects tells "no, six" and "no three" from "no tail this time": a stop, a
// number or a sex after it corrects; a noun denies.
func (rd *reading) noCorrects(i, n int) bool {
	j := i + n
	if !rd.hasValue() && rd.given.Asked == "" {
		return false
	}
	switch {
	case j >= len(rd.toks) || rd.toks[j].stop != 0:
		return true
	case rd.lex(j, kSex) > 0 || rd.lex(j, kCorrect) > 0 || rd.lex(j, kStage) > 0:
		return true
	case rd.word(j) == "it" || rd.word(j) == "that" || rd.word(j) == "wait" || rd.word(j) == "the":
		return true
	case rd.isNumber(j):
		s, _ := rd.number(j)
		return !rd.isForeign(s.to) || rd.last == "young/count"
	}
	m, next, ok := rd.mentionAt(j)
	if !ok || m.trait == nil {
		return false
	}
	k, ok := rd.toNumber(next, &m)
	return ok && !m.comma && rd.isNumber(k)
}

// strikeLast takes the last value away, where nothing follows the striking.
func (rd *reading) strikeLast() {
	at := rd.fieldBefore()
	if at == "" {
		return
	}
	was, ok := rd.standing(at)
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(f Field) bool { return f.At == at })
	delete(rd.heard, at+"|")
	rd.out.Fields = append(rd.out.Fields, Field{At: at, Pending: true, Why: "struck"})
	if ok {
		rd.corrected(at, was, "")
	}
	rd.unask(at)
}

// saidBefore reads what is named only to be replaced: "not one fifty-eight",
// "I said male", "change one fifty-eight to one eighty-five".
func (rd *reading) saidBefore() bool {
	i := rd.at
	switch {
	case rd.correcting && rd.sideCorrected(i):
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

// sideCorrected reads "no, right" after "left pes ninety-eight".
func (rd *reading) sideCorrected(i int) bool {
	side, n := rd.lexID(i, kSide)
	f, ok := rd.out.Field(rd.last)
	if n == 0 || !ok || rd.traitAt(rd.last) == nil || side == f.Side || !rd.breaks(i+n) && !rd.breaks(i+n+1) {
		return false
	}
	to := i + n
	if rd.joined(to) {
		if rd.lex(to, kTrait) == 0 && rd.lex(to, kPart) == 0 && rd.word(to) != "one" && rd.word(to) != "side" {
			return false
		}
		to++
	}
	rd.correcting = false
	if bare, _, sided := strings.Cut(f.At, "."); sided || rd.traitAt(f.At).Sided {
		rd.corrected(f.At, f.Value, "")
		rd.heard[bare+"."+side+"|"] = rd.heard[keyOf(*f)]
		f.At = bare + "." + side
		rd.last = f.At
	}
	if f.Side != "" {
		rd.corrected(f.At+"/side", f.Side, side)
	}
	f.Side = side
	rd.fate(i, to, Taken, f.At)
	rd.at = to
	return true
}

// notUnderstood asks about the last field where a correction word was said and
// what follows it was not understood.
func (rd *reading) notUnderstood() {
	f, ok := rd.out.Field(rd.last)
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
		if rd.toks[i].fate != Taken && (rd.isNumber(i) || rd.lex(i, kSide) > 0 || rd.lex(i, kSex) > 0 || rd.lex(i, kTrait) > 0 && !rd.isAlike(i)) {
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

// swapping reads "swap those": the two measurements said last change places.
func (rd *reading) swapping() bool {
	i := rd.at
	n := rd.lex(i, kSwap)
	if n == 0 {
		return false
	}
	if rd.swapped {
		rd.fate(i, i+n, Taken, "")
		rd.at = i + n
		return true
	}
	a, b := rd.pair(i + n)
	if a == "" {
		return false
	}
	_, to := rd.clause(i)
	x, _ := rd.standing(a)
	y, _ := rd.standing(b)
	rd.fate(i, to, Taken, a)
	rd.at = to
	rd.swapped = true
	rd.exchange(a, y, i, to)
	rd.exchange(b, x, i, to)
	return true
}

// exchange gives a field the value another had.
func (rd *reading) exchange(at, value string, i, j int) {
	t := rd.traitAt(at)
	if t == nil {
		return
	}
	was, _ := rd.standing(at)
	f := Field{At: at, Unit: t.Unit, From: rd.toks[i].from, To: rd.toks[j-1].to}
	f.number(value)
	rd.corrected(at, was, value)
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(o Field) bool { return o.At == at })
	v, err := strconv.ParseFloat(value, 64)
	f.Pending = err != nil || !rd.limits(t, "").hold(v)
	rd.out.Fields = append(rd.out.Fields, f)
	rd.heard[keyOf(f)] = []utterance{{value: value, from: i, to: j}}
	rd.unask(at)
	if f.Pending {
		rd.ask(Question{About: at, Says: t.Name + " " + Digits(value) + ": again?"}, i, j)
	}
}

// pair is the two measurements that change places: those named, else the two
// said or recorded last.
func (rd *reading) pair(i int) (string, string) {
	var named []string
	for ; i < len(rd.toks) && (rd.toks[i].stop == 0 || len(named) == 0); i++ {
		if id, n := rd.lexID(i, kTrait); n > 0 {
			if t := rd.traitOf(id, false); t != nil {
				named = append(named, addressOf(t, ""))
			}
		}
	}
	if len(named) == 0 {
		for _, k := range rd.recorded() {
			if rd.traitAt(k.At) != nil {
				named = append(named, k.At)
			}
		}
		for _, f := range rd.out.Fields {
			if rd.traitAt(f.At) != nil {
				named = append(slices.DeleteFunc(named, func(a string) bool { return a == f.At }), f.At)
			}
		}
	}
	if len(named) < 2 {
		return "", ""
	}
	a, b := named[len(named)-2], named[len(named)-1]
	_, okA := rd.standing(a)
	_, okB := rd.standing(b)
	if a == b || !okA || !okB {
		return "", ""
	}
	return a, b
}

// speakOfPrevious reads "on the last animal".
func (rd *reading) speakOfPrevious() bool {
	i := rd.at
	n := rd.lex(i, kPrevious)
	if n == 0 {
		return false
	}
	rd.previous, rd.out.Previous = true, true
	rd.correcting = true
	rd.last = ""
	rd.fate(i, i+n, Taken, "")
	rd.at = i + n
	return true
}

// confirming reads yep, correct, affirm, and the negative that starts a
// correction.
func (rd *reading) confirming() bool {
	i := rd.at
	if n := rd.lex(i, kNegative); n > 0 {
		return rd.negative(i, n)
	}
	n := rd.lex(i, kConfirm)
	if n == 0 || !rd.breaks(i) && rd.lex(i-1, kFiller) == 0 && rd.toks[i-1].fate != Taken {
		return false
	}
	if !rd.breaks(i+n) && rd.lex(i+n, kFiller) == 0 && !rd.startsField(i+n) {
		return false
	}
	rd.fate(i, i+n, Taken, "")
	rd.at = i + n
	switch {
	case rd.readTwice():
		rd.confirm(rd.last)
	case len(rd.out.Fields) == 0 && len(rd.given.ReadBack) > 0:
		for _, k := range rd.given.ReadBack {
			rd.confirm(k.At)
		}
	}
	return true
}

// startsField tells whether something that can be recorded begins at i.
func (rd *reading) startsField(i int) bool {
	return rd.lex(i, kTrait) > 0 || rd.lex(i, kControl) > 0 || rd.isNumber(i) || rd.lex(i, kWeigh) > 0 || rd.lex(i, kSex) > 0 || rd.lex(i, kConfirm) > 0 || rd.lex(i, kPart) > 0 || rd.lex(i, kSide) > 0
}

// readTwice tells whether the field in hand was said and repeated.
func (rd *reading) readTwice() bool {
	f, ok := rd.out.Field(rd.last)
	return ok && len(rd.heard[keyOf(*f)]) > 1
}

func (rd *reading) negative(i, n int) bool {
	rd.fate(i, i+n, Taken, "")
	rd.at = i + n
	rd.correcting, rd.negated = true, true
	if rd.at >= len(rd.toks) && rd.fieldBefore() != "" {
		rd.out.Again = append(rd.out.Again, rd.fieldBefore())
	}
	return true
}

// control reads hold, next and leave it; "leave the head" and "do it again"
// say that the field is measured again.
func (rd *reading) control() bool {
	i := rd.at
	id, n := rd.lexID(i, kControl)
	if n == 0 {
		return false
	}
	switch id {
	case "again":
		return rd.measureAgain(i, n)
	case string(Hold), string(NextOne):
		if !rd.breaks(i) || !rd.breaks(i+n) {
			return false
		}
	case string(LeaveIt):
		if m, next, ok := rd.mentionAt(i + n); ok && m.trait != nil && rd.joined(i+n) {
			rd.last = addressOf(m.trait, m.side)
			return rd.measureAgain(i, next-i)
		}
		if !rd.breaks(i + n) {
			return false
		}
	}
	rd.out.Control = append(rd.out.Control, Control(id))
	rd.fate(i, i+n, Taken, "")
	rd.at = i + n
	return true
}

// measureAgain puts the field in hand aside until it is measured again.
func (rd *reading) measureAgain(i, n int) bool {
	if m, next, ok := rd.mentionAt(i + n); ok && m.trait != nil && rd.joined(i+n) {
		rd.last = addressOf(m.trait, m.side)
		n = next - i
	} else if rd.word(i+n) == "the" {
		if m, next, ok := rd.mentionAt(i + n + 1); ok && m.trait != nil {
			rd.last = addressOf(m.trait, m.side)
			n = next - i
		}
	}
	at := rd.fieldBefore()
	if at == "" || rd.traitAt(at) == nil && at != atGross && at != atBag || strings.HasSuffix(rd.text(i, i+n), " the") {
		return false
	}
	rd.fate(i, i+n, Taken, at)
	rd.at = i + n
	if !slices.Contains(rd.out.Again, at) {
		rd.out.Again = append(rd.out.Again, at)
	}
	was, ok := rd.standing(at)
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(f Field) bool { return f.At == at })
	delete(rd.heard, at+"|")
	if ok && was != "" {
		rd.corrected(at, was, "")
	}
	rd.unask(at)
	rd.out.Again = append(slices.DeleteFunc(rd.out.Again, func(a string) bool { return a == at }), at)
	rd.out.Fields = append(rd.out.Fields, Field{At: at, Pending: true, Why: "to be measured again"})
	return true
}

// querying reads a question to the scribe: "repeat the pes", "what was
// the tail".
func (rd *reading) querying() bool {
	i := rd.at
	n := rd.lex(i, kQuery)
	if n == 0 || !rd.breaks(i) && rd.lex(i-1, kFiller) == 0 {
		return false
	}
	_, to := rd.clause(i)
	about := ""
	for k := i + n; k < to; k++ {
		if e, ok := rd.entry(k, kTrait); ok && !e.alike && !e.short {
			if t := rd.traitOf(e.id, false); t != nil {
				about = addressOf(t, "")
			}
		} else if id, m := rd.lexID(k, kWeigh); m > 0 && weighAt[id] != "" && about == "" {
			about = weighAt[id]
		} else if id, m := rd.lexID(k, kMark); m > 0 {
			about = "marks/" + id + "/tail"
		} else if rd.isNumber(k) {
			return false
		}
	}
	if about == "" {
		about = rd.fieldBefore()
	}
	rd.fate(i, to, Taken, about)
	rd.at = to
	if len(rd.out.Questions) == 0 {
		rd.out.Query = about
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

// settle decides, when all is said, what several numbers for one field are:
// the same again, repeat readings, a mend of a wrong read-back, or a dispute.
func (rd *reading) settle() {
	for i := range rd.out.Fields {
		f := &rd.out.Fields[i]
		said := rd.heard[keyOf(*f)]
		t := rd.traitAt(f.At)
		if len(said) < 2 || allSame(said) || t == nil {
			continue
		}
		last := said[len(said)-1].value
		if v, err := strconv.ParseFloat(last, 64); f.Pending && (err != nil || !rd.limits(t, f.Convention).hold(v)) {
			continue
		}
		switch {
		case !f.Pending && (rd.given.Repeats == f.At || rd.again || rd.areRepeats(t, said)):
			f.Again = nil
			for _, u := range said[1:] {
				q, err := record.ParseQuantity(u.value)
				if err == nil {
					f.Again = append(f.Again, q)
				}
			}
		case agreed(said):
			if f.Value != last {
				rd.corrected(f.At, f.Value, last)
			}
			f.number(last)
			f.Pending, f.Flag = false, ""
			rd.unask(f.At)
		default:
			rd.dispute(t, f, said)
		}
	}
}

func allSame(said []utterance) bool {
	for _, u := range said[1:] {
		if !same(u.value, said[0].value) {
			return false
		}
	}
	return true
}

// agreed tells whether the last number was said before by the same voice, so
// that what lay between was a wrong read-back.
func agreed(said []utterance) bool {
	last := said[len(said)-1]
	if last.asked {
		return false
	}
	for _, u := range said[:len(said)-1] {
		if same(u.value, last.value) && !u.asked {
			return true
		}
	}
	return false
}

// areRepeats: three or more near-equal numbers are repeat measures.
func (rd *reading) areRepeats(t *protocol.Trait, said []utterance) bool {
	if len(said) < 3 || rd.given.Speaker == Both {
		return false
	}
	low, high := 0.0, 0.0
	for i, u := range said {
		v, err := strconv.ParseFloat(u.value, 64)
		if err != nil || u.asked {
			return false
		}
		if i == 0 {
			low, high = v, v
		}
		low, high = min(low, v), max(high, v)
	}
	limit, _ := t.BetweenVisits()
	return high-low <= max(limit, 0.02*high)
}

func (rd *reading) dispute(t *protocol.Trait, f *Field, said []utterance) {
	var values, names []string
	for _, u := range said {
		if !slices.Contains(values, u.value) {
			values = append(values, u.value)
			names = append(names, Digits(u.value))
		}
		rd.fate(u.from, u.to, Asked, f.At)
	}
	f.Pending, f.Why = true, "two readings"
	rd.out.Questions = slices.DeleteFunc(rd.out.Questions, func(q Question) bool { return q.About == f.At })
	rd.ask(Question{About: f.At, Says: t.Name + ", " + strings.Join(names, " or ") + "?", Among: values}, said[0].from, said[0].to)
}
