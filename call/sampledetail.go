package call

import (
	"strings"
)

// sampleDetail reads what belongs to the sample that is open.
func (rd *reading) sampleDetail(i int) bool {
	row := rd.sampleRow()
	if rd.ofAPerson(i) || rd.lex(i, kChatter) > 0 || rd.beginsOther(rd.untakenFrom(i)) {
		return false
	}
	if rd.manyLabels(i) {
		return true
	}
	_, has := rd.out.Field(row + "/label")
	passing := has && rd.word(i) == "number" && !rd.correcting && !rd.breaks(i)
	if id, n := rd.lexID(i, kLabel); n > 0 && !passing && id == "label" && !(rd.word(i) == "no" && !rd.joined(i+1)) {
		if text, j := rd.labelText(i + n); j > i+n {
			if has && rd.word(i) == "number" && !rd.correcting && !rd.breaks(j) {
				return false // number four today
			}
			rd.labelAt(text, i, j)
			return true
		}
	}
	if rd.labelFollows(i) {
		text, j := rd.labelText(i)
		rd.labelAt(text, i, j)
		return true
	}
	bag := i
	if rd.word(bag) == "in" && rd.joined(bag+1) {
		bag++
	}
	if _, labelled := rd.out.Field(row + "/label"); !labelled && rd.word(bag) == "bag" {
		if text, j := rd.labelText(bag + 1); j > bag+1 {
			rd.labelAt(text, i, j)
			return true
		}
	}
	if id, n := rd.lexID(i, kMedium); n > 0 {
		rd.take(Field{At: row + "/medium", Value: id}, i, i+n)
		return true
	}
	if rd.sampleCount(i) {
		return true
	}
	if id, n := rd.lexID(i, kSide); n > 0 && id != "both" && (rd.lex(i+n, kPart) > 0 || rd.sampleSided(row) && rd.detailEnds(i, i+n)) && rd.detailBegins(i) {
		if f, said := rd.out.Field(row + "/side"); said && f.Value != id && !rd.correcting && rd.toks[i].stop != 0 {
			f.Pending, f.Why = true, "two sides"
			rd.ask(Question{About: f.At, Says: f.Value + " or " + id + "?", Among: []string{f.Value, id}}, i, i+n)
			rd.at = i + n
			return true
		}
		rd.take(Field{At: row + "/side", Value: id}, i, i+n)
		return true
	}
	if id, n := rd.lexID(i, kPart); n > 0 && rd.detailBegins(i) && rd.detailEnds(i, i+n) && !rd.measureFollows(i, i+n) && rd.lex(i, kSample) == 0 && (rd.lex(rd.skip(i+n), kFindSign) == 0 || !rd.joined(rd.skip(i+n)) || rd.lex(i+n, kMedium) > 0) && rd.lex(i, kMark) == 0 {
		if f, ok := rd.out.Field(row + "/kind"); ok && f.Value == "ear biopsy" && id == "ear" {
			rd.fate(i, i+n, Taken, row+"/side")
			rd.at = i + n
			return true
		}
		rd.take(Field{At: row + "/part", Value: id}, i, i+n)
		return true
	}
	for _, w := range []string{"trap floor", "trap", "bag", "floor of the trap"} {
		if (rd.word(i) == "from" || rd.word(i) == "in" || rd.word(i) == "off") && rd.follows(i+1, append([]string{"the"}, strings.Fields(w)...)) {
			n := 2 + len(strings.Fields(w))
			rd.take(Field{At: row + "/source", Value: w}, i, i+n)
			return true
		}
	}
	if _, labelled := rd.out.Field(row + "/label"); !labelled && rd.isNumber(i) && rd.labelNotSlot(i) {
		if text, j := rd.markDigits(i); j > i && len(text) >= 2 && (rd.breaks(j) || len(text) > 2 && rd.lex(j, kSample) > 0) {
			rd.labelAt(text, i, j)
			return true
		}
	}
	if rd.correcting && rd.isNumber(i) {
		if text, j := rd.markDigits(i); j > i {
			rd.labelAt(text, i, j)
			return true
		}
	}
	return false
}

// untakenFrom is where the breath of token i opens, if nothing of it is taken.
func (rd *reading) untakenFrom(i int) int {
	from, _ := rd.clause(i)
	for k := from; k < i; k++ {
		if rd.toks[k].fate == Taken {
			return i
		}
	}
	return from
}

// beginsOther tells whether a breath that opens at token i with a side or a part
// is about that part itself, and not about where a sample came from: a length,
// a sign or parasites follow.
func (rd *reading) beginsOther(i int) bool {
	if i >= len(rd.toks) || rd.toks[i].stop == 0 || rd.lex(i, kSide) == 0 && rd.lex(i, kPart) == 0 {
		return false
	}
	if n := rd.lex(i, kSign); n > 0 && rd.lex(i+n, kSignValue) > 0 {
		return true // pouch dry
	}
	_, to := rd.clause(i)
	trait := false
	for k := i; k < to; {
		if id, n := rd.lexID(k, kFindSign); n > 0 && (rd.counted(id) || rd.lex(k, kMedium) == 0) {
			return true
		}
		n := max(rd.lex(k, kSide), rd.lex(k, kPart))
		switch {
		case rd.lex(k, kTrait) > 0 && rd.measuredHere(k):
			return true
		case n > 0:
			trait = trait || rd.lex(k, kTrait) > 0
			k += n
		case rd.lex(k, kLabel) > 0 || rd.lex(k, kMedium) > 0 || rd.lex(k, kSample) > 0 || rd.lex(k, kMark) > 0 && rd.lex(k, kLabel) > 0:
			return false
		default:
			return rd.lex(k, kMark) > 0 || rd.lex(rd.skip(k), kFindSign) > 0
		}
	}
	return trait && to < len(rd.toks) && (rd.isNumber(to) && rd.lex(to, kLabel) == 0 && (rd.labelledAlready() || rd.tailMeasured(i, to)) || rd.lex(to, kFiller) > 2 || rd.lex(to, kSide) > 0 && rd.lex(to+rd.lex(to, kSide), kPart) == 0)
}

// tailMeasured tells whether the number at token j is a length of the part named
// at token i, from which no sample is taken: "tail, one fifty-five".
func (rd *reading) tailMeasured(i, j int) bool {
	m, _, ok := rd.mentionAt(i)
	s, isNumber := rd.number(j)
	return ok && isNumber && m.trait != nil && rd.word(i) != "ear" && rd.limits(m.trait, "").known && rd.fitsMention(m, s)
}

func (rd *reading) labelledAlready() bool {
	_, ok := rd.out.Field(rd.sampleRow() + "/label")
	return ok
}

// detailBegins tells whether what stands at token i can belong to the sample:
// it opens a breath, or follows what was taken, a side or a preposition.
func (rd *reading) detailBegins(i int) bool {
	if rd.breaks(i) || rd.toks[i-1].fate == Taken || rd.toks[i-1].fate == Asked || rd.lex(i-1, kSide) > 0 {
		return true
	}
	switch rd.word(i - 1) {
	case "from", "off", "of", "on", "in", "the", "her", "his", "at", "and", "no", "sorry", "is", "'s", "was":
		return rd.word(i-1) != "the" || rd.detailBegins(i-1)
	}
	return rd.lex(i-1, kFiller) > 0
}

// detailEnds tells whether the breath ends behind a detail, or goes on with
// another one.
func (rd *reading) detailEnds(i, j int) bool {
	if rd.breaks(j) || rd.lex(j, kLabel) > 0 || rd.lex(j, kMedium) > 0 || rd.lex(j, kSide) > 0 || rd.lex(j, kPart) > 0 || rd.lex(j, kSample) > 0 || rd.lex(j, kCorrect) > 0 || rd.isNumber(j) {
		return true
	}
	k := rd.preposition(j)
	if w := rd.word(j); w == "and" || w == "into" || w == "in" || w == "no" {
		return true
	}
	return k > j && (rd.lex(k, kPart) > 0 || rd.lex(k, kSide) > 0 || rd.lex(k, kLabel) > 0) || rd.lex(j, kFiller) > 0
}

// sampleSided tells whether a side alone can belong to a sample: one of an ear,
// or of another part there are two of.
func (rd *reading) sampleSided(row string) bool {
	if part, ok := rd.out.Field(row + "/part"); ok {
		return rd.sidedPart(part.Value)
	}
	kind, ok := rd.out.Field(row + "/kind")
	return ok && (strings.HasPrefix(kind.Value, "ear") || kind.Value == "swab" || kind.Value == "hair" || kind.Value == "ectoparasite")
}

// measureFollows tells whether a part is rather a trait with its number.
func (rd *reading) measureFollows(i, j int) bool {
	j = rd.skip(j)
	e, ok := rd.entry(i, kTrait)
	if !rd.joined(j) || !rd.isNumber(j) || !ok {
		return false
	}
	s, isNumber := rd.number(j)
	t := rd.traitOf(e.id, false)
	if !isNumber || t == nil {
		return false
	}
	_, v := rd.choose(t, rd.limits(t, ""), s)
	return v == fits
}

// labelNotSlot tells whether a number behind a sample is its label although a
// calling order is on: in one breath with it, or one that the slot cannot hold.
func (rd *reading) labelNotSlot(i int) bool {
	s, ok := rd.number(i)
	return !rd.slotOpen() || rd.joined(i) || ok && !rd.fitsSlot(rd.slot, s)
}
