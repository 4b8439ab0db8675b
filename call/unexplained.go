package call

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"dawnround/record"
)

// What is not understood must not stand as if it had not been said. A word that
// no vocabulary knows may have been the rest of a number, a side, a "healed": so
// the value it stands beside is under question, and so is the row of the breath
// it stands in. Words of every day are known to change nothing (everyday.go).

// notUnderstood is why a value is under question.
const notUnderstood = "not understood"

// unexplained puts under question what a word that nobody knows may have
// changed.
func (rd *reading) unexplained() {
	doubted := -1 // the breath whose rows are under question already
	for i := range rd.toks {
		rd.steps++
		strange := rd.strange(i)
		if strange {
			rd.besideNumber(i)
			rd.besideMark(i)
			rd.afterBreath(i)
		}
		if from, _ := rd.clause(i); from != doubted && (strange || rd.loose(i)) {
			rd.withinRow(i)
			doubted = from
		}
	}
}

// loose tells whether the word at token i tells something of a row, and was not
// taken.
func (rd *reading) loose(i int) bool {
	if t := rd.toks[i]; t.fate != Between && t.fate != Left || rd.insidePhrase(i) {
		return false
	}
	kinds := []kind{kSide, kPart, kFindSign, kTeat, kMedium}
	if from, to := rd.clause(i); from == 0 && to == len(rd.toks) && to > mostAside {
		kinds = append(kinds, kYoungWord, kYoungSign) // no stops were written
	}
	for _, k := range kinds {
		e, ok := rd.entry(i, k)
		if ok && !e.alike && !e.short && e.id != "both" && e.id != "normal" && e.id != "pouch" && !everyday[rd.toks[i].text] && rd.lex(i, kFiller) == 0 {
			return !rd.saidAnywhere(e.id)
		}
	}
	return false
}

// saidAnywhere tells whether a meaning is the value of some field.
func (rd *reading) saidAnywhere(id string) bool {
	_, value, ok := strings.Cut(id, "=")
	if !ok {
		value = id
	}
	return slices.ContainsFunc(rd.out.Fields, func(f Field) bool { return f.Value == value || strings.HasSuffix(f.At, "/"+value) })
}

// mostAside is how many words a breath may have that adds to the one before; a
// longer one tells a story.
const mostAside = 4

// afterBreath puts under question what the breath before said, where the word at
// token i stands in a short breath of which nothing was understood: it may say
// "healed", "moist", "no milk", or correct the number.
func (rd *reading) afterBreath(i int) {
	from, to := rd.clause(i)
	if from == 0 || to-from > mostAside || rd.breaths[i].person || storyOpeners[rd.word(from)] {
		return
	}
	number := to < len(rd.toks) && rd.leftNumber(to)
	for k := from; k < to; k++ {
		if rd.toks[k].fate == Taken || rd.toks[k].fate == Asked || rd.lex(k, kChatter) > 0 {
			return
		}
		number = number || rd.leftNumber(k)
	}
	at := rd.saidBeforeToken(from)
	row, _, _ := strings.Cut(at, "/")
	switch {
	case number && row != "released" && row != "time":
		rd.doubtField(at, i)
	case row == "findings" || row == "samples" || row == "young" || row == "teats" || row == "checks" || row == "except" || at == "signs/pouch" || at == "trap":
		rd.doubtField(at, i)
	}
}

// leftNumber tells whether a number at token k was left that counts nothing of a
// story.
func (rd *reading) leftNumber(k int) bool {
	if rd.toks[k].fate == Taken || rd.toks[k].fate == Asked || rd.toks[k].num.class == noNumeral {
		return false
	}
	s, ok := rd.number(k)
	return ok && !rd.isForeign(s.to)
}

// saidBeforeToken is the address of what was said last before token i.
func (rd *reading) saidBeforeToken(i int) string {
	for i--; i >= 0; i-- {
		if rd.toks[i].field != "" && rd.toks[i].fate == Taken {
			return rd.toks[i].field
		}
	}
	return ""
}

// strange tells whether nothing is known of the word at token i.
func (rd *reading) strange(i int) bool {
	if i < 0 || i >= len(rd.toks) {
		return false
	}
	t := rd.toks[i]
	if t.fate != Between && t.fate != Left || len(rd.found[i]) > 0 || t.num.class != noNumeral || everyday[t.text] || !isWord(t.text) {
		return false
	}
	if t.capital && i > 0 && utf8.RuneCountInString(t.text) > 1 && !rd.toks[0].capital {
		return false // somebody's name
	}
	return !rd.insidePhrase(i)
}

// isWord tells a word from a symbol.
func isWord(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return unicode.IsLetter(r)
}

// insidePhrase tells whether token i is a later word of a known phrase.
func (rd *reading) insidePhrase(i int) bool {
	for k := i - 1; k >= 0 && k > i-maxFillers; k-- {
		for _, e := range rd.found[k] {
			if k+len(e.words) > i {
				return true
			}
		}
	}
	return false
}

// besideNumber puts the measurements under question whose number may go on, or
// begin, with the word at token i.
func (rd *reading) besideNumber(i int) {
	if k := rd.backOverLeft(i); k >= 0 && rd.toks[k].fate == Taken && rd.partOfNumber(k) && !rd.complete(k) {
		rd.doubtField(rd.toks[k].field, i)
	}
	j := i + 1
	for rd.joined(j) && rd.toks[j].fate != Taken && rd.toks[j].fate != Asked && rd.lex(j, kFiller) == 0 && j < i+maxFillers {
		j++
	}
	if rd.joined(j) && rd.toks[j].fate == Taken && rd.toks[j].num.class != noNumeral {
		rd.doubtField(rd.toks[j].field, i)
	}
}

// besideMark puts a mark under question whose digits the word at token i may
// belong to: marks are said with pauses.
func (rd *reading) besideMark(i int) {
	for _, k := range []int{rd.backOverDigits(i), rd.overDigits(i)} {
		if k < 0 || k >= len(rd.toks) || rd.toks[k].fate != Taken || rd.toks[k].num.class == noNumeral {
			continue
		}
		if at := rd.toks[k].field; strings.HasPrefix(at, "marks/") {
			f, ok := rd.out.Field(at)
			if ok && !f.Pending && f.Value != "" {
				f.Pending, f.Why = true, notUnderstood
				rd.ask(Question{About: at, Says: Digits(f.Value) + "? Again, all of it"}, i, i+1)
			}
		}
	}
}

// backOverDigits goes back from token i over digits that were left.
func (rd *reading) backOverDigits(i int) int {
	for i--; i >= 0 && rd.toks[i].fate != Taken && rd.toks[i].num.class != noNumeral; i-- {
	}
	return i
}

// overDigits goes on from token i over digits that were left.
func (rd *reading) overDigits(i int) int {
	for i++; i < len(rd.toks) && rd.toks[i].fate != Taken && rd.toks[i].num.class != noNumeral; i++ {
	}
	return i
}

// backOverLeft goes back from token i over words of the same breath that were
// left; -1 where the breath begins before.
func (rd *reading) backOverLeft(i int) int {
	k := i
	for rd.joined(k) {
		k--
		if f := rd.toks[k].fate; f == Taken || f == Asked {
			return k
		}
	}
	return -1
}

func (rd *reading) partOfNumber(k int) bool {
	return rd.toks[k].num.class != noNumeral
}

// complete tells whether the number that ends at token k can have nothing behind
// it: it was read to a tenth, written in digits, or has its unit.
func (rd *reading) complete(k int) bool {
	f, ok := rd.out.Field(rd.toks[k].field)
	if !ok || f.Number == nil {
		return false
	}
	t := rd.traitAt(f.At)
	return strings.Contains(f.Value, ".") || rd.toks[k].num.class == literal || t != nil && t.Step >= 1 && rd.toks[k].num.class == digit
}

// doubtField puts one field under question because of the word at token i.
func (rd *reading) doubtField(at string, i int) {
	f := rd.nearestField(at, rd.toks[i].from)
	if f == nil || f.Pending || f.Value == "" || f.Derived {
		return
	}
	if n := len(strings.Split(at, "/")); n == 3 {
		rd.doubtRow(at[:strings.LastIndex(at, "/")], i)
		return
	}
	f.Pending, f.Why = true, notUnderstood
	rd.ask(Question{About: at, Says: Digits(f.Value) + ", and \"" + rd.toks[i].text + "\"?"}, i, i+1)
}

// nearestField is the field of an address that was said nearest before a byte of
// the phrase: a foot may have two conventions.
func (rd *reading) nearestField(at string, byteAt int) *Field {
	var found *Field
	for i := range rd.out.Fields {
		if f := &rd.out.Fields[i]; f.At == at && (found == nil || f.From < byteAt) {
			found = f
		}
	}
	return found
}

// qualitative are the fields that a word of the same breath may change.
func qualitative(at string) bool {
	return at == "signs/pouch" || at == "trap" || at == "outcome" || strings.HasPrefix(at, "line/") || at == "time" || at == "time/out of trap"
}

// withinRow puts the rows under question that were said in the breath of the
// word at token i.
func (rd *reading) withinRow(i int) {
	from, to := rd.clause(i)
	for k := from; k < to; k++ {
		rd.steps++
		at := rd.toks[k].field
		if rd.toks[k].fate != Taken || at == "" {
			continue
		}
		switch row, _, _ := strings.Cut(at, "/"); row {
		case "findings", "samples", "young", "teats", "checks", "except":
			if parts := strings.Split(at, "/"); len(parts) == 3 {
				rd.doubtRow(parts[0]+"/"+parts[1], i)
			} else if at == "young/count" {
				rd.doubtRow("young/1", i)
			}
		default:
			if qualitative(at) || at == "signs/lactating" && k == i+1 {
				rd.doubtField(at, i)
			}
		}
	}
}

// doubtRow puts all that is said of a row under question.
func (rd *reading) doubtRow(row string, i int) {
	if count, ok := rd.out.Field(row + "/count"); rd.quiet || ok && count.Value == "0" {
		return // it is recorded as it was said, with its words
	}
	said := false
	for k := range rd.out.Fields {
		if f := &rd.out.Fields[k]; strings.HasPrefix(f.At, row+"/") && !f.Pending && f.State == record.Unknown {
			f.Pending, f.Why = true, notUnderstood
			said = true
		}
	}
	if said && !slices.ContainsFunc(rd.out.Questions, func(q Question) bool { return strings.HasPrefix(q.About, row+"/") }) {
		rd.ask(Question{About: row, Says: "and \"" + rd.toks[i].text + "\"?"}, i, i+1)
	}
}
