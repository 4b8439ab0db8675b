package call

import (
	"slices"
	"strings"
)

// speakOfPrevious reads "on the last animal".
func (rd *reading) speakOfPrevious() bool {
	i := rd.at
	n := rd.lex(i, kPrevious)
	if n == 0 && rd.breaks(i) && len(rd.given.Previous) > 0 {
		for _, p := range []string{"the last one", "last one"} {
			if k := len(strings.Fields(p)); rd.says(i, p) && rd.breaks(i+k) && i+k < len(rd.toks) {
				n = k
			}
		}
	}
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
	k := i + n
	if rd.word(k) == "the" {
		k++
	}
	if id, m := rd.lexID(k, kWeigh); m > 0 && weighAt[id] != "" && rd.joined(k) && rd.breaks(k+m) {
		rd.last = weighAt[id]
		n = k + m - i
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

// askedBack is how many words open a question to the scribe of the kind "say
// the tail again" and "what weight did I give you".
func (rd *reading) askedBack(i int) int {
	_, to := rd.clause(i)
	named := func(k int) bool {
		e, ok := rd.entry(k, kTrait)
		return ok && !e.alike && !e.short || rd.lex(k, kWeigh) > 0 || rd.lex(k, kMark) > 0
	}
	for _, p := range []string{"say the", "say that", "give me the", "read the", "read me the", "tell me the"} {
		if w := rd.word(to - 1); rd.says(i, p) && (w == "again" || w == "back" || w == "please") && named(i+len(strings.Fields(p))) {
			return len(strings.Fields(p))
		}
	}
	if rd.word(i) == "what" && named(i+1) && rd.joined(i+1) {
		for k := i + 2; k < to; k++ {
			if w := rd.word(k); w == "did" || w == "have" || w == "was" {
				return 1
			}
		}
	}
	return 0
}

// querying reads a question to the scribe: "repeat the pes", "what was
// the tail".
func (rd *reading) querying() bool {
	i := rd.at
	n := rd.lex(i, kQuery)
	if n == 0 {
		n = rd.askedBack(i)
	}
	if n == 0 || !rd.breaks(i) && rd.lex(i-1, kFiller) == 0 {
		return false
	}
	_, to := rd.clause(i)
	about := ""
	if rd.word(i) == "what" && rd.lex(i+n, kControl) > 0 {
		return false // what's next
	}
	for k := i + n; k < to; k++ {
		if e, ok := rd.entry(k, kTrait); ok && !e.alike && !e.short {
			if t := rd.traitOf(e.id, false); t != nil {
				about = addressOf(t, "")
			}
		} else if id, m := rd.lexID(k, kWeigh); m > 0 && weighAt[id] != "" && about == "" {
			about = weighAt[id]
		} else if id, m := rd.lexID(k, kMark); m > 0 {
			about = "marks/" + id + "/text"
			if _, ok := known(rd.recorded(), "marks/"+id+"/tail"); ok {
				about = "marks/" + id + "/tail"
			}
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
