package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"
)

// fullDigits is the length of a transponder number (ISO 11784, as printed);
// tailDigits the most that handlers call of its end.
const (
	fullDigits = 15
	tailDigits = 6
)

// markKind is the programme's mark of a form.
func (rd *reading) markKind(form string) (protocol.MarkKind, bool) {
	i := slices.IndexFunc(rd.lexicon.protocol.Marks, func(m protocol.MarkKind) bool { return m.Form == form })
	if i < 0 {
		return protocol.MarkKind{}, false
	}
	return rd.lexicon.protocol.Marks[i], true
}

// chip reads a transponder: its number or its end, that there is none, that
// one was put in, checked or sealed.
func (rd *reading) chip() bool {
	i := rd.at
	kind, ok := rd.markKind(protocol.Transponder)
	if !ok {
		return false
	}
	base := "marks/" + kind.ID
	if rd.given.Asked == base+"/text" || rd.given.Asked == base+"/tail" {
		if text, j := rd.markDigits(i); j > i && len(text) >= 3 && rd.bareDigits(i, j) {
			rd.chipNumber(base, text, rd.given.Asked == base+"/tail", i, j)
			return true
		}
	}
	id, n := rd.lexID(i, kChip)
	if n == 0 {
		return rd.wholeNumber(base, i)
	}
	if id == "put" && rd.tagPronoun(i) > 0 {
		return false
	}
	if id == "felt" && !strings.Contains(rd.text(i, i+n), "chip") && rd.saysAnywhere("pouch", "young", "joey", "bean") {
		return false // a young was felt
	}
	if strings.HasPrefix(rd.word(i), "scan") && rd.nothingNext(base, i, n) {
		return true
	}
	if strings.HasPrefix(rd.word(i), "scan") && rd.nothing(i+n) > 0 {
		id, n = "none", n+rd.nothing(i+n)
	}
	switch id {
	case "none", "felt", "lost":
		return rd.noChip(base, id, i, n)
	case "put":
		if rd.notYet(i) {
			return false
		}
		rd.take(Field{At: base + "/act", Value: string(record.MarkPut)}, i, i+n)
		rd.topic, rd.mark = tMark, base
		return rd.chipDigits(base, id, i, i+n)
	case "verified", "sealed", "not sealed":
		return rd.chipState(base, id, i, n)
	}
	return rd.chipDigits(base, id, i, i+n)
}

// notYet tells whether what stands at token i was only to be done: "before we
// chipped it", "we need to chip her".
func (rd *reading) notYet(i int) bool {
	from, _ := rd.clause(i)
	for k := from; k < i; k++ {
		switch rd.word(k) {
		case "before", "until", "till", "need", "needs", "should", "gonna", "want", "wanted", "might", "must", "almost", "nearly":
			return true
		}
	}
	return false
}

// wholeNumber reads a run of digits as long as a transponder's number, which
// nothing else is.
func (rd *reading) wholeNumber(base string, i int) bool {
	if !rd.breaks(i) || !rd.toks[i].num.begins() {
		return false
	}
	text, j := rd.markDigits(i)
	if len(text) < fullDigits-1 || !rd.bareDigits(i, j) || !rd.singleDigits(i, j) {
		return false
	}
	rd.chipNumber(base, text, false, i, j)
	return true
}

// singleDigits tells whether a run was said digit by digit, or written as one.
func (rd *reading) singleDigits(i, j int) bool {
	for ; i < j; i++ {
		num := rd.toks[i].num
		if num.class > digit && num.class != literal || num.class == literal && strings.Contains(rd.word(i), ".") {
			return false
		}
	}
	return true
}

// nothingNext reads "scanned her all over, nothing".
func (rd *reading) nothingNext(base string, i, n int) bool {
	_, to := rd.clause(i)
	if to >= len(rd.toks) || !rd.breaks(to+1) {
		return false
	}
	switch rd.word(to) {
	case "nothing", "nil", "blank", "none", "zip":
	default:
		return false
	}
	rd.topic, rd.mark = tMark, base
	rd.take(Field{At: base + "/text", State: record.NoneSeen, Why: "scanned"}, i, to+1)
	return true
}

// nothing reads that a scan gave nothing.
func (rd *reading) nothing(i int) int {
	switch rd.word(rd.skip(i)) {
	case "nothing", "nil", "blank", "negative", "none", "zip", "silent":
		return rd.skip(i) + 1 - i
	}
	return 0
}

// bareDigits tells whether a run of digits stands by itself.
func (rd *reading) bareDigits(i, j int) bool {
	before := rd.breaks(i) || rd.toks[i-1].fate == Taken || rd.lex(i-1, kFiller) > 0 || rd.lex(i-1, kMark) > 0 || rd.lex(i-1, kChip) > 0 || rd.lex(i-1, kLabel) > 0
	return before && (rd.breaks(j) || rd.lex(j, kConfirm) > 0)
}

// chipState reads what was done to a transponder, where one is spoken of.
func (rd *reading) chipState(base, id string, i, n int) bool {
	if rd.topic != tMark && !rd.spokenOf(kChip, "chip", "put", "ends") {
		return false
	}
	if f, ok := rd.out.Field(base + "/text"); ok && f.State == record.NoneSeen && id == "verified" {
		rd.fate(i, i+n, Taken, f.At) // scanned twice, and none found
		rd.at = i + n
		return true
	}
	part := map[string]string{"verified": "how", "sealed": "sealed", "not sealed": "sealed"}[id]
	value := map[string]string{"verified": "read twice", "sealed": "yes", "not sealed": "no"}[id]
	rd.take(Field{At: base + "/" + part, Value: value}, i, i+n)
	return true
}

// spokenOf tells whether the phrase names one of these meanings anywhere; any
// of the kind if none is given.
func (rd *reading) spokenOf(k kind, ids ...string) bool {
	for i := range rd.toks {
		if id, n := rd.lexID(i, k); n > 0 && (len(ids) == 0 || slices.Contains(ids, id)) {
			return true
		}
	}
	return false
}

// noChip enters that no transponder was read, and what that may mean.
func (rd *reading) noChip(base, id string, i, n int) bool {
	switch {
	case id == "felt":
		rd.note("possible failed chip")
		rd.fate(i, i+n, Taken, base+"/text")
	case id == "lost":
		if rd.spokenOf(kChip, "none") || strings.Contains(rd.text(i, i+n), "chip") {
			rd.note("possible lost chip")
		}
		return false
	}
	rd.at = i + n
	if id != "none" {
		return true
	}
	if said := rd.text(i, i+n); strings.Contains(said, "chip") && (strings.Contains(said, "won't") || strings.Contains(said, "not reading")) || rd.saysAnywhere("old chip", "her chip", "his chip", "existing chip") {
		rd.note("possible failed chip")
	}
	f := Field{At: base + "/text", State: record.NoneSeen}
	if rd.saysAnywhere("scan", "scans", "scanned", "scanner", "scanning", "passes", "swipes", "swiped", "wand", "wanded", "beep", "reader") || strings.Contains(rd.text(i, i+n), "read") || strings.Contains(rd.text(i, i+n), "beep") {
		f.Why = "scanned"
	}
	if strings.Contains(rd.text(i, i+n), "before we") {
		f.State = record.NotChecked
	}
	rd.take(f, i, i+n)
	rd.topic, rd.mark = tMark, base
	return true
}

// chipDigits goes from a chip word to the digits of its number.
func (rd *reading) chipDigits(base, id string, i, j int) bool {
	tail := id == "ends"
	start := j
	for j < len(rd.toks) && j < start+8 {
		if next, n := rd.lexID(j, kChip); n > 0 && (next == "ends" || next == "chip") {
			tail = tail || next == "ends"
			j += n
			continue
		}
		text, to := rd.markDigits(j)
		if heard, k := rd.digitsHeard(j); k > to && tail {
			text, to = heard, k
		}
		if to > j {
			if rd.isForeign(to) || rd.joined(to) && rd.word(to) == "point" || len(text) < 2 {
				return id == "put"
			}
			if rd.joined(to) && rd.word(to) == "something" {
				at := base + "/tail"
				rd.put(Field{At: at, Value: text, Pending: true, Why: "not read in full"}, i, to+1)
				rd.ask(Question{About: at, Says: "ends " + Digits(text) + " and what?"}, i, to+1)
				rd.at, rd.last, rd.topic, rd.mark = to+1, at, tMark, base
				return true
			}
			rd.chipNumber(base, text, tail, i, to)
			return true
		}
		n := max(rd.lex(j, kFiller), rd.lex(j, kLabel))
		if w := rd.word(j); w == "with" || w == "in" || w == "digits" || w == "four" || w == "says" || w == "old" || w == "and" {
			n = max(n, 1)
		}
		if n == 0 || rd.toks[j].stop != 0 && rd.toks[j].stop != ',' {
			break
		}
		j += n
	}
	return id == "put"
}

// chipNumber enters a transponder's number or its end, and compares it with
// the marks on file.
func (rd *reading) chipNumber(base, text string, tail bool, i, j int) {
	at := base + "/text"
	if rd.saysJoined(j, "at the end") {
		tail = true
		j += 3
	}
	rd.topic, rd.mark = tMark, base
	switch {
	case tail || len(text) <= tailDigits && !rd.given.FullNumber:
		at = base + "/tail"
	case len(text) != fullDigits:
		rd.oddNumber(at, text, strconv.Itoa(len(text))+" digits heard, not fifteen", i, j)
		return
	default:
		if _, err := mark.ParseTransponder(text); err != nil {
			rd.oddNumber(at, text, "no chip carries this number", i, j)
			return
		}
	}
	correcting := rd.correcting
	rd.last = at
	rd.correcting = false
	if f, ok := rd.out.Field(at); ok && f.Value != "" && f.Value != text && !correcting {
		rd.fate(i, j, Asked, at)
		rd.at = max(rd.at, j)
		f.Pending, f.Why = true, "two numbers"
		rd.ask(Question{About: at, Says: Digits(f.Value) + " or " + Digits(text) + "?", Among: []string{f.Value, text}}, i, j)
		return
	}
	if f, ok := rd.out.Field(base + "/text"); ok && f.State == record.NoneSeen && f.Why == "scanned" {
		rd.put(Field{At: base + "/scan", Value: "none found"}, rd.tokenAt(f.From), rd.tokenAt(f.To))
	}
	rd.take(Field{At: at, Value: text}, i, j)
	rd.whoseMark(text, i, j)
}

// saysJoined tells whether these words stand at token i.
func (rd *reading) saysJoined(i int, phrase string) bool {
	return rd.follows(i, strings.Fields(phrase)) && rd.joined(i)
}

func (rd *reading) oddNumber(at, text, why string, i, j int) {
	rd.put(Field{At: at, Value: text, Pending: true, Why: why}, i, j)
	rd.fate(i, j, Asked, at)
	rd.ask(Question{About: "marks", Says: why + ": scan again"}, i, j)
	rd.at, rd.last = max(rd.at, j), at
}

// markCorrected gives digits after a correction word to the mark in hand.
func (rd *reading) markCorrected(at string, s spoken) bool {
	text, j := rd.markDigits(s.from)
	if j == s.from {
		return false
	}
	rd.correcting = true
	defer func() { rd.correcting = false }()
	switch {
	case strings.HasPrefix(at, "samples/"):
		rd.label(text, s.from, j)
	case strings.HasSuffix(at, "/tail"), strings.HasSuffix(at, "/text") && len(text) <= tailDigits:
		rd.chipNumber(strings.TrimSuffix(strings.TrimSuffix(at, "/tail"), "/text"), text, true, s.from, j)
	default:
		rd.take(Field{At: at, Value: text}, s.from, j)
	}
	return true
}
