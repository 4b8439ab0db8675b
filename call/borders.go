package call

import (
	"strings"

	"dawnround/record"
)

// Dictation writes no stops, so that one thing said runs into the next. Where the
// border between two is in doubt, what stands before it is under question.

// borders looks over the phrase for what may belong to two things.
func (rd *reading) borders() {
	for i := range rd.toks {
		rd.numberGoesOn(i)
		rd.strikesUnread(i)
		rd.outcomeUnread(i)
	}
	rd.longTails()
	rd.otherSex()
	rd.taredGross()
}

// numberGoesOn puts a measurement under question where another number that was
// not understood follows it in the same breath.
func (rd *reading) numberGoesOn(i int) {
	if !rd.joined(i) || !rd.leftNumber(i) {
		return
	}
	k := rd.backOverLeft(i)
	if k < 0 || i-k > 4 || !rd.partOfNumber(k) || rd.toks[k].fate != Taken {
		return
	}
	if at := rd.toks[k].field; strings.HasPrefix(at, "measures/") || strings.HasPrefix(at, "weighing/") || strings.HasPrefix(at, "marks/") {
		rd.doubtField(at, i)
	}
}

// strikesUnread puts what was said last under question where a correction word
// within the breath was not understood.
func (rd *reading) strikesUnread(i int) {
	t := rd.toks[i]
	if t.fate == Taken || t.fate == Asked || !rd.joined(i) || rd.lex(i, kCorrect) == 0 || rd.insidePhrase(i) || rd.breaks(i+rd.lex(i, kCorrect)) {
		return
	}
	if k := rd.backOverLeft(i); k == i-1 && rd.toks[k].fate == Taken && rd.toks[k].field != "" {
		rd.doubtField(rd.toks[k].field, i)
	}
}

// outcomeUnread puts a trap under question where something that was not
// understood was said of it.
func (rd *reading) outcomeUnread(i int) {
	t := rd.toks[i]
	if t.fate == Taken || t.fate == Asked || rd.lex(i, kOutcome) == 0 || rd.lex(i, kFiller) > 0 || rd.insidePhrase(i) {
		return
	}
	if f, ok := rd.out.Field("trap"); ok && !f.Pending && len(rd.out.Fields) == 1 {
		if from, to := rd.clause(i); rd.tokenAt(f.From) >= from && rd.tokenAt(f.From) < to {
			rd.doubtField("trap", i)
		}
	}
}

// runTogether is how many digits of a mark's end are too many where some were
// said as tens: a weight ran into it.
const runTogether = 6

// longTails puts the end of a mark under question that another number ran into.
func (rd *reading) longTails() {
	for i := range rd.out.Fields {
		f := &rd.out.Fields[i]
		if !strings.HasSuffix(f.At, "/tail") || f.Pending || len(f.Value) < runTogether {
			continue
		}
		for k := range rd.toks {
			if rd.toks[k].field == f.At && rd.toks[k].num.class > digit && rd.toks[k].num.class != literal && rd.toks[k].num.class != noNumeral {
				rd.doubtField(f.At, k)
			}
		}
	}
}

// otherSex puts the sex under question where another one was said and went
// nowhere.
func (rd *reading) otherSex() {
	f, ok := rd.out.Field("sex")
	if !ok || f.Pending || f.Value == "" || f.State != record.Unknown {
		return
	}
	for i := range rd.toks {
		id, n := rd.lexID(i, kSex)
		if t := rd.toks[i]; n > 0 && id != f.Value && !rd.negatedAt(i) && t.fate != Taken && t.fate != Asked && !rd.insidePhrase(i) && rd.lex(i, kFiller) == 0 {
			rd.doubtField("sex", i)
		}
	}
}

// taredGross puts a gross weight under question that was read on a scale from
// which the bag had been taken off.
func (rd *reading) taredGross() {
	f, ok := rd.out.Field(atGross)
	if _, bag := rd.out.Field(atBag); ok && !bag && rd.weighed.tared && !f.Pending {
		f.Pending, f.Why = true, notUnderstood
		rd.ask(Question{About: WeightBasis, Says: "is " + Digits(f.Value) + " with the bag or without?", Among: []string{atGross, atNet}}, rd.tokenAt(f.From), rd.tokenAt(f.To))
	}
}
