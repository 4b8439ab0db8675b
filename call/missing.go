package call

import (
	"strings"

	"dawnround/record"
)

// missing reads what was not taken, and why: "no tail today", "skip pes", "tail
// not done", N/C, a dash. Blank is never zero: what was not said is not
// touched.
func (rd *reading) missing() bool {
	i := rd.at
	if m, next, ok := rd.mentionAt(i); ok && m.trait != nil && m.misheard == "" && !m.short {
		if n := rd.lex(rd.skip(next), kMissingAfter); n > 0 && rd.joined(rd.skip(next)) {
			rd.notTaken(addressOf(m.trait, m.side), m.side, m.from, rd.skip(next)+n)
			return true
		}
	}
	if m, next, ok := rd.mentionAt(i); ok && m.short && m.trait != nil && (rd.word(next) == "–" || rd.word(next) == "n/c" || rd.word(next) == "nc") {
		rd.notTaken(addressOf(m.trait, m.side), m.side, m.from, next+1)
		return true
	}
	if rd.word(i) == "–" || rd.word(i) == "-" {
		return rd.dashed(i)
	}
	if n := rd.lex(i, kMissingAfter); n > 0 && rd.breaks(i) && rd.breaks(i+n) && rd.topic == tTestes && strings.HasPrefix(rd.word(i), "not") {
		if t := rd.traitOf("testis", false); t != nil {
			rd.notTaken(addressOf(t, ""), "", i, i+n)
			return true
		}
	}
	if rd.notWeighed(i) {
		return true
	}
	if n := rd.lex(i, kMissingAfter); n > 0 && rd.breaks(i) && rd.breaks(i+n) && len(rd.given.Order) > 0 && rd.slotOpen() {
		return rd.passed(i, i+n)
	}
	if w := rd.word(i); w == "next" && rd.word(i+1) == "one" && rd.joined(i+1) && rd.lex(i+2, kMissing) > 0 && rd.breaks(i+2+rd.lex(i+2, kMissing)) {
		return rd.passed(i, i+2+rd.lex(i+2, kMissing))
	}
	n := rd.lex(i, kMissing)
	if n == 0 {
		return false
	}
	j := i + n
	for rd.joined(j) && (rd.word(j) == "the" || rd.word(j) == "her" || rd.word(j) == "his" || rd.word(j) == "a" || rd.word(j) == "any") {
		j++
	}
	if w := rd.word(j); rd.breaks(j+1) && !rd.breaks(j) && (w == "it" || w == "that" || w == "them" || w == "those" || w == "this") {
		j++
	} else if (w == "that" || w == "this" || w == "next") && rd.word(j+1) == "one" && rd.breaks(j+2) {
		j += 2
	}
	if rd.breaks(j) {
		return rd.passed(i, j)
	}
	if rd.notMeasured(i, j) {
		return true
	}
	m, next, ok := rd.mentionAt(j)
	if !ok || m.misheard != "" || m.short || m.trait == nil || rd.lex(j, kMark) > next-j || rd.lex(j, kSample) > next-j || rd.lex(j, kSign) > next-j {
		return false
	}
	if k, ok := rd.toNumber(next, &m); ok && !m.comma && rd.word(i) == "no" && rd.isNumber(k) {
		rd.ask(Question{About: addressOf(m.trait, ""), Says: "no " + m.trait.Name + ", or a new number?"}, i, k+1)
		rd.at = k + 1
		return true
	}
	to := next
	if n := rd.lex(to, kDimension); n > 0 && rd.joined(to) {
		to += n
	}
	rd.notTaken(addressOf(m.trait, m.side), m.side, i, to)
	rd.alsoMissing(to)
	return true
}

// notWeighed reads "didn't weigh her".
func (rd *reading) notWeighed(i int) bool {
	for _, p := range []string{"didn't weigh", "did not weigh", "couldn't weigh", "not weighing", "not weighed", "wasn't weighed", "haven't weighed", "can't weigh", "won't weigh", "unweighed", "skip weighing", "no weighing"} {
		if !rd.says(i, p) {
			continue
		}
		to := i + len(strings.Fields(p))
		if w := rd.word(to); rd.joined(to) && (w == "her" || w == "him" || w == "it" || w == "this") {
			to++
		}
		rd.notTaken(atNet, "", i, to)
		return true
	}
	return false
}

// alsoMissing takes further traits of one list: "skip pes and tail".
func (rd *reading) alsoMissing(i int) {
	for rd.joined(i) && (rd.word(i) == "and" || rd.word(i) == "or") {
		m, next, ok := rd.mentionAt(i + 1)
		if !ok || m.trait == nil || m.misheard != "" || m.short || rd.isNumber(next) {
			return
		}
		rd.notTaken(addressOf(m.trait, m.side), m.side, i, next)
		i = next
	}
}

// dashed takes a dash for a slot of the order that was passed over.
func (rd *reading) dashed(i int) bool {
	if !rd.slotOpen() || len(rd.given.Order) == 0 {
		return false
	}
	return rd.passed(i, i+1)
}

// passed takes "skip" alone: the slot of the order, or the field that was
// asked for.
func (rd *reading) passed(i, j int) bool {
	at := rd.given.Asked
	switch {
	case rd.word(i) == "no":
		return false
	case rd.slotOpen():
		at = rd.given.Order[rd.slot]
		rd.out.ByOrder = true
	case rd.topic == tTestes:
		if t := rd.traitOf("testis", false); t != nil {
			at = addressOf(t, "")
		}
	case rd.last != "" && rd.word(i) == "not" && at == "":
		at = rd.last
	}
	if at == "" || rd.traitAt(at) == nil && at != atGross {
		return false
	}
	rd.notTaken(at, "", i, j)
	return true
}

// notMeasured reads "no measurements": nothing of the animal was measured.
func (rd *reading) notMeasured(i, j int) bool {
	w := rd.word(j)
	if t := rd.traitOf("testis", false); t != nil && rd.topic == tTestes && (w == "measurement" || w == "measurements" || w == "length" || w == "measure") {
		rd.notTaken(addressOf(t, ""), "", i, j+1)
		rd.topic = tTestes
		return true
	}
	if t := rd.traitOf(rd.part.id, false); t != nil && (w == "measurement" || w == "length" || w == "reading") {
		rd.notTaken(addressOf(t, ""), "", i, j+1)
		return true
	}
	if w != "measurements" && w != "measures" && w != "measuring" && w != "measurement" {
		return false
	}
	rd.take(Field{At: "measures", State: record.NotChecked, Why: rd.why("not measured")}, i, j+1)
	return true
}

// notTaken enters a measurement that was not taken.
func (rd *reading) notTaken(at, side string, i, j int) {
	rd.take(Field{At: at, State: record.NotChecked, Why: rd.why("not_measured"), Side: side}, i, j)
	rd.last, rd.topic, rd.correcting = at, tMeasure, false
	rd.moveSlot(at)
}

// why finds the reason among all that is said.
func (rd *reading) why(otherwise string) string {
	for i := range rd.toks {
		if id, n := rd.lexID(i, kWhy); n > 0 {
			if rd.toks[i].fate == Between {
				rd.fate(i, i+n, Taken, "why")
			}
			return strings.ReplaceAll(id, " ", "_")
		}
	}
	return otherwise
}
