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
	rd.doubtBoth(a, b, i, to)
	return true
}

// doubtBoth puts the other of two that changed places under question where one
// of them is: that it does not fit speaks against the swap.
func (rd *reading) doubtBoth(a, b string, i, j int) {
	x, okX := rd.out.Field(a)
	y, okY := rd.out.Field(b)
	if !okX || !okY || x.Pending == y.Pending {
		return
	}
	if x.Pending {
		x = y
	}
	x.Pending = true
	rd.ask(Question{About: x.At, Says: rd.traitAt(x.At).Name + " " + Digits(x.Value) + ": again?"}, i, j)
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
