package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/protocol"
)

// swapping reads "swap those": the two measurements said last change places.
func (rd *reading) swapping() bool {
	i := rd.at
	n := rd.lex(i, kSwap)
	if n == 0 {
		return false
	}
	defer func() { rd.correcting = rd.correcting && !rd.swapped }()
	if rd.swapped {
		rd.fate(i, i+n, Taken, "")
		rd.at = i + n
		return true
	}
	if rd.swapTags(i, n) {
		return true
	}
	if rd.swapRows(i, n) || rd.swapSides(i, n) {
		return true
	}
	a, b := rd.pair(i + n)
	if a == "" {
		return rd.swapUnclear(i, n)
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

// swapSides reads "left testis thirty-two by twenty, right thirty-one by
// nineteen, swap those": what was said of the sides changes places, lengths and
// widths together.
func (rd *reading) swapSides(i, n int) bool {
	t := rd.traitAt(rd.last)
	if t == nil || !t.Sided || !rd.breaks(i+n) {
		return false
	}
	var swapped []string
	for _, id := range []string{t.ID, t.ID + " width", strings.TrimSuffix(t.ID, " width")} {
		base := "measures/" + id
		x, okX := rd.standing(base + ".left")
		y, okY := rd.standing(base + ".right")
		if !okX || !okY || slices.Contains(swapped, base) {
			continue
		}
		swapped = append(swapped, base)
		rd.exchange(base+".left", y, i, i+n)
		rd.exchange(base+".right", x, i, i+n)
		for _, side := range []string{"left", "right"} {
			if f, ok := rd.out.Field(base + "." + side); ok {
				f.Side = side
			}
		}
	}
	if len(swapped) == 0 {
		return false
	}
	rd.fate(i, i+n, Taken, rd.last)
	rd.at, rd.swapped = i+n, true
	return true
}

// swapRows reads "mites left ear one, right ear nine, swap them": the counts
// of the two rows of parasites said last change places, or the labels of the
// two samples.
func (rd *reading) swapRows(i, n int) bool {
	list, part, rows := "findings/", "/count", rd.findings
	if rd.topic == tSample {
		list, part, rows = "samples/", "/label", rd.samples
	} else if rd.topic != tParasite {
		return false
	}
	a, okA := rd.out.Field(list + strconv.Itoa(rows-1) + part)
	b, okB := rd.out.Field(list + strconv.Itoa(rows) + part)
	if !okA || !okB || a.State != b.State || !rd.breaks(i+n) {
		return false
	}
	rd.corrected(a.At, a.Value, b.Value)
	rd.corrected(b.At, b.Value, a.Value)
	a.Value, b.Value = b.Value, a.Value
	a.Roughly, b.Roughly = b.Roughly, a.Roughly
	rd.fate(i, i+n, Taken, b.At)
	rd.at, rd.swapped = i+n, true
	return true
}

// swapUnclear asks where something was said to change places and it is not
// clear what.
func (rd *reading) swapUnclear(i, n int) bool {
	f, ok := rd.out.Field(rd.lastPut)
	if s, numbered := rd.number(i + n); ok && numbered && rd.isNumber(i+n) && rd.traitAt(f.At) != nil {
		if _, v := rd.choose(rd.traitAt(f.At), rd.limits(rd.traitAt(f.At), f.Convention), s); v == fits {
			rd.fate(i, i+n, Taken, f.At) // ninety-three four, other way round, ninety-four three
			rd.at, rd.last, rd.correcting = i+n, f.At, true
			return true
		}
	}
	if !ok || f.Value == "" || f.Pending || rd.word(i) == "swap" && rd.isNumber(i+1) {
		return false
	}
	f.Pending, f.Why = true, "to change places"
	rd.ask(Question{About: f.At, Says: "swap what?"}, i, i+n)
	rd.at, rd.swapped = i+n, true
	return true
}

// swapTags reads "swap those tags": what stands in the left ear belongs in the
// right one, and the other way round.
func (rd *reading) swapTags(i, n int) bool {
	kind, ok := rd.markKind(protocol.Tag)
	if !ok {
		return false
	}
	left, right := "marks/"+kind.ID+".left/text", "marks/"+kind.ID+".right/text"
	x, okX := rd.standing(left)
	y, okY := rd.standing(right)
	from, to := rd.clause(i)
	_, named := rd.has(from, to, kMark, kind.ID)
	a, _ := rd.pair(i + n)
	if !okX || !okY || !named && a != "" {
		return false
	}
	rd.swapped = true
	rd.topic, rd.mark = tMark, "marks/"+kind.ID
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(o Field) bool { return o.At == left || o.At == right })
	rd.take(Field{At: left, Value: y, Side: "left"}, from, to)
	rd.take(Field{At: right, Value: x, Side: "right"}, from, to)
	rd.corrected(left, x, y)
	rd.corrected(right, y, x)
	rd.checkTag(to)
	return true
}

// checkTag reads "twelve's in the right" after two tags were swapped, and asks
// where it is not so.
func (rd *reading) checkTag(i int) {
	j := i + rd.lex(i, kWear)
	text, k := rd.markDigits(j)
	if k == j {
		return
	}
	for rd.word(k) == "'s" || rd.word(k) == "is" || rd.word(k) == "goes" {
		k++
	}
	to, side := rd.tagSide("", k)
	at := rd.mark + "." + side + "/text"
	f, ok := rd.out.Field(at)
	if side == "" || !ok {
		return
	}
	rd.fate(i, to, Taken, at)
	rd.at = to
	if f.Value != text && !strings.HasSuffix(f.Value, " "+text) {
		f.Pending = true
		rd.ask(Question{About: at, Says: side + " tag " + f.Value + ", or " + text + "?", Among: []string{f.Value, text}}, i, to)
	}
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
