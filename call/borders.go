package call

import (
	"strconv"
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
		rd.correctionUnread(i)
		rd.trapUnread(i)
	}
	for from := 0; from < len(rd.toks); {
		_, to := rd.clause(from)
		rd.unread(from, to)
		from = to
	}
	rd.emptyWithYoung()
	rd.longTails()
	rd.longDecimals()
	rd.noneAndSome()
	rd.otherSex()
	rd.taredGross()
}

// unread puts what was said last under question where a breath holds nothing but
// words of the record, and none of them was taken: "a bit moist", "none on the
// right", "seven one two".
func (rd *reading) unread(from, to int) {
	if from == 0 || to <= from || rd.given.Speaker == Both || rd.toks[to-1].asked || rd.toks[from].stop == '?' {
		return
	}
	at := rd.saidBeforeToken(from)
	row, _, _ := strings.Cut(at, "/")
	content, digits := false, true
	for k := from; k < to; k++ {
		t := rd.toks[k]
		if t.fate == Taken || t.fate == Asked || rd.lex(k, kChatter) > 0 || rd.lex(k, kForeign) > 0 || rd.lex(k, kMissing) > 0 || rd.lex(k, kCorrect) > 0 {
			return
		}
		number := t.num.class != noNumeral
		digits = digits && number
		switch {
		case rd.tellsOf(row, k):
			content = true
		case number, len(rd.found[k]) > 0, rd.insidePhrase(k), smallWords[t.text]:
		default:
			return
		}
	}
	switch {
	case digits && to-from > 1 && rd.endOfMark() != "":
		rd.doubtField(rd.endOfMark(), from)
	case !content:
	case row == "findings" || row == "samples" || row == "teats" || at == "signs/pouch":
		rd.doubtField(at, from)
	}
}

var smallWords = wordSet("a an the bit little just only and but on in of to with at is 's it both all now")

// ofRow are the kinds of words that tell something of a row.
var ofRow = map[string][]kind{"findings": {kPart, kFindSign, kAmount}, "samples": {kPart, kMedium}, "teats": {kTeat}}

// tellsOf tells whether a word that tells something of a row begins at token k.
func (rd *reading) tellsOf(row string, k int) bool {
	if id, n := rd.lexID(k, kSignValue); n > 0 && row == "signs" && strings.HasPrefix(id, "pouch=") {
		return true
	}
	for _, kind := range ofRow[row] {
		e, ok := rd.entry(k, kind)
		if ok && !e.alike && e.id != "normal" && e.id != "bleeding" && rd.lex(k, kFiller) == 0 && !rd.saidAnywhere(e.id) {
			return true
		}
	}
	return row == "findings" && ageWords[rd.word(k)]
}

var ageWords = wordSet("fresh old new healed healing scabby scabbed weeping infected recent")

// endOfMark is the address of the end of a transponder that was said.
func (rd *reading) endOfMark() string {
	for _, f := range rd.out.Fields {
		if strings.HasPrefix(f.At, "marks/") && strings.HasSuffix(f.At, "/tail") && f.Value != "" && !f.Pending {
			return f.At
		}
	}
	return ""
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

// correctionUnread puts what was said last under question where the breath behind
// a correction word was not understood.
func (rd *reading) correctionUnread(i int) {
	n := rd.lex(i, kCorrect)
	if n == 0 || rd.toks[i].fate != Taken || rd.toks[i].field != "" || i+n >= len(rd.toks) || i == 0 {
		return
	}
	_, to := rd.clause(i + n)
	strange := false
	for k := i + n; k < to; k++ {
		if rd.toks[k].fate == Taken || rd.toks[k].fate == Asked {
			return
		}
		strange = strange || rd.strange(k)
	}
	at := rd.saidBeforeToken(i)
	if _, corrected := rd.wasCorrected(at); strange && !corrected && !storyOpeners[rd.word(i+n)] {
		rd.doubtField(at, i+n)
	}
}

// trapUnread asks about a trap of a list whose name or find was not understood.
func (rd *reading) trapUnread(i int) {
	if rd.checks == 0 || !rd.breaks(i) {
		return
	}
	_, to := rd.clause(i)
	strange, outcome := false, false
	for k := i; k < to; k++ {
		if rd.toks[k].fate == Taken || rd.toks[k].fate == Asked {
			return
		}
		strange = strange || rd.strange(k)
		outcome = outcome || rd.lex(k, kOutcome) > 0 || rd.lex(k, kSpecies) > 0
	}
	if strange && outcome {
		rd.ask(Question{About: "checks/" + strconv.Itoa(rd.checks+1), Says: "which trap was that?"}, i, to)
	}
}

// emptyWithYoung puts a count of young under question where the pouch was said
// to be empty.
func (rd *reading) emptyWithYoung() {
	pouch, ok := rd.out.Field("signs/pouch")
	young, counted := rd.out.Field("young/count")
	if !ok || !counted || pouch.Pending || young.Pending || young.Derived || young.Value == "0" || pouch.Value == "occupied" {
		return
	}
	if _, corrected := rd.wasCorrected("signs/pouch"); corrected {
		return
	}
	young.Pending, young.Why = true, notUnderstood
	rd.ask(Question{About: "young/count", Says: "pouch " + pouch.Value + ", and " + young.Value + " young?"}, rd.tokenAt(young.From), rd.tokenAt(young.To))
}

// wasCorrected is what a field was before it was corrected.
func (rd *reading) wasCorrected(at string) (string, bool) {
	for _, c := range rd.out.Corrected {
		if c.At == at {
			return c.Was, true
		}
	}
	return "", false
}

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

// longDecimals puts a measurement under question that was read finer than its
// instrument reads, and whose last digits may begin the next: "point two one
// sixty".
func (rd *reading) longDecimals() {
	for i := range rd.out.Fields {
		f := &rd.out.Fields[i]
		_, decimals, _ := strings.Cut(f.Value, ".")
		t := rd.traitAt(f.At)
		if t == nil || f.Pending || f.Derived || len(decimals) < 2 || f.SaidAs != "" {
			continue
		}
		for k := range rd.toks {
			if rd.toks[k].field == f.At && rd.joined(k+1) && rd.toks[k+1].field != f.At && rd.toks[k+1].num.spelt() {
				rd.doubtField(f.At, k+1)
			}
		}
	}
}

// noneAndSome puts parasites under question that were said to be none and some
// in one breath: "fleas two no fleas three".
func (rd *reading) noneAndSome() {
	for n := 1; n <= rd.findings; n++ {
		none, ok := rd.out.Field(findingRow(n) + "/count")
		if !ok || none.Value != "0" {
			continue
		}
		for m := 1; m <= rd.findings; m++ {
			if some, ok := rd.out.Field(findingRow(m) + "/count"); ok && some.Value != "0" && !some.Pending && rd.sameRow(n, m) {
				i := rd.tokenAt(none.From)
				if from, to := rd.clause(i); rd.tokenAt(some.From) >= from && rd.tokenAt(some.From) < to {
					none.Pending, none.Why = true, notUnderstood
					rd.doubtRow(findingRow(m), i)
				}
			}
		}
	}
}

// sameRow tells whether two rows are of one kind, one of them of the whole
// animal.
func (rd *reading) sameRow(n, m int) bool {
	value := func(row int, part string) string {
		f, ok := rd.out.Field(findingRow(row) + part)
		if !ok {
			return ""
		}
		return f.Value
	}
	return value(n, "/sign") == value(m, "/sign") && value(n, "/part") == ""
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
		if n > 0 && rd.joined(i) && rd.lex(i-1, kYoung) > 0 && rd.toks[i].field == "sex" && rd.saysAnywhere("teat", "fur", "furred", "unfurred", "pink", "eyes", "attached") {
			rd.doubtField("sex", i) // "young male, off the teat"
		}
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
