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

// markDigits reads a mark's text digit by digit, over short pauses: "double
// three", "triple oh", "two eighteen". It tells how many words it took.
func (rd *reading) markDigits(i int) (string, int) {
	var b strings.Builder
	j := i
	for j < len(rd.toks) && (j == i || rd.toks[j].stop == 0 || rd.toks[j].stop == ',' && !rd.toks[j-1].asked) {
		text, n := rd.markDigit(j)
		if n == 0 || j > i && rd.toks[j].stop == ',' && rd.notMore(j, n) {
			break
		}
		b.WriteString(text)
		j += n
		rd.steps++
	}
	return b.String(), j
}

// digitsHeard reads the end of a transponder as a transcriber may write it, to
// the end of the breath: "for to seven" is 427. All of it must be digits or
// their sound-alikes.
func (rd *reading) digitsHeard(i int) (string, int) {
	var b strings.Builder
	j := i
	for j < len(rd.toks) && (j == i || rd.joined(j)) && rd.given.Source == Dictated {
		text, n := rd.markDigit(j)
		if value, ok := misheardDigits[rd.word(j)]; n == 0 && ok {
			text, n = strconv.Itoa(value), 1
		}
		if n == 0 {
			return "", i
		}
		b.WriteString(text)
		j += n
		rd.steps++
	}
	if b.Len() < 2 || b.Len() > tailDigits {
		return "", i
	}
	return b.String(), j
}

// notMore tells whether digits behind a pause belong to something else.
func (rd *reading) notMore(j, n int) bool {
	if rd.topic == tSample && rd.labelledBy(j) {
		return true
	}
	if rd.toks[j].num.class == digit && n == 1 && rd.joined(j+n) {
		if _, m := rd.markDigit(j + n); m == 0 {
			return true // one digit alone, and other words: no group of a number
		}
	}
	for k := j + n; k < len(rd.toks) && rd.joined(k); k++ {
		if _, m := rd.markDigit(k); m == 0 {
			if c := rd.toks[k].num.class; c == hundred || c == thousand || c == point {
				return true
			}
			if w := rd.word(k); (w == "for" || w == "on" || w == "is") && rd.lex(rd.preposition(k+1), kTrait)+rd.lex(k+2, kTrait) > 0 {
				return true
			}
			return rd.lex(k, kWeigh) > 0 || rd.lex(k, kUnit) > 0 || rd.lex(k, kForeign) > 0 || rd.lex(k, kFindSign) > 0 || rd.word(k) == "and" || rd.word(k) == "point" || rd.lex(k, kYoung) > 0 || rd.lex(k, kTrait) > 0
		}
	}
	return false
}

// labelledBy tells whether the digits before token j are a sample's label, which
// goes over no pause.
func (rd *reading) labelledBy(j int) bool {
	for k := j - 1; k >= 0 && k > j-6; k-- {
		if id, n := rd.lexID(k, kLabel); n > 0 && id == "label" {
			return true
		}
		if rd.toks[k].stop != 0 {
			return false
		}
	}
	return false
}

// markDigit is the text of one step of a mark, and how many words it has.
func (rd *reading) markDigit(i int) (string, int) {
	if i >= len(rd.toks) {
		return "", 0
	}
	times := map[string]int{"double": 2, "triple": 3, "treble": 3, "quadruple": 4}[rd.word(i)]
	num := rd.toks[i].num
	switch {
	case times > 0 && rd.joined(i+1) && rd.toks[i+1].num.class == digit:
		return strings.Repeat(strconv.Itoa(rd.toks[i+1].num.value), times), 2
	case num.class == literal && !strings.Contains(rd.word(i), "."):
		return rd.word(i), 1
	case num.class == digit && rd.joined(i+1) && rd.toks[i+1].num.class == hundred:
		return strconv.Itoa(num.value * 100), 2
	case num.class == tens && rd.joined(i+1) && rd.toks[i+1].num.class == digit && rd.toks[i+1].num.value > 0:
		return strconv.Itoa(num.value + rd.toks[i+1].num.value), 2
	case num.spelt():
		return strconv.Itoa(num.value), 1
	}
	return "", 0
}

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
		rd.take(Field{At: base + "/act", Value: string(record.MarkPut)}, i, i+n)
		rd.topic, rd.mark = tMark, base
		return rd.chipDigits(base, id, i, i+n)
	case "verified", "sealed", "not sealed":
		return rd.chipState(base, id, i, n)
	}
	return rd.chipDigits(base, id, i, i+n)
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

// whoseMark asks where several known animals, or one of another sex, or none
// but a near miss, bear the mark.
func (rd *reading) whoseMark(text string, i, j int) {
	if len(rd.given.Marks) == 0 {
		return
	}
	var index mark.Index
	sexes := map[string]string{}
	for _, k := range rd.given.Marks {
		index.Add(protocol.Transponder, k.Text, k.Text)
		sexes[mark.Canonical(k.Text)] = k.Sex
	}
	found := index.Tail(text)
	switch {
	case len(found) > 1:
		rd.askAnimal(strconv.Itoa(len(found))+" animals end "+Digits(text)+": which?", found, i, j)
	case len(found) == 1:
		if sex := sexes[found[0].Text]; sex != "" && rd.sexSaid() != "" && rd.sexSaid() != sex {
			rd.askAnimal("that number is a "+sex+"'s: read it again?", found, i, j)
		}
	default:
		rd.nearMark(&index, text, i, j)
	}
}

// nearMark asks about a number nobody bears: it may be one slip away from one
// that is known, or the animal is no recapture.
func (rd *reading) nearMark(index *mark.Index, text string, i, j int) {
	var near []mark.Entry
	if len(text) == fullDigits {
		near = index.Near(text)
	} else {
		for _, k := range rd.given.Marks {
			if len(k.Text) >= len(text) && oneSlip(k.Text[len(k.Text)-len(text):], text) {
				near = append(near, mark.Entry{Text: k.Text})
			}
		}
	}
	f, _ := rd.out.Field("status")
	if len(near) > 0 {
		rd.askAnimal("nobody known ends "+Digits(text)+"; "+Digits(near[0].Text[len(near[0].Text)-min(4, len(near[0].Text)):])+"?", near, i, j)
	} else if f != nil && f.Value == string(record.Recapture) {
		rd.askAnimal("nobody known ends "+Digits(text)+": read it again?", nil, i, j)
	}
}

// oneSlip: one digit is another, or two neighbours are swapped.
func oneSlip(a, b string) bool {
	if len(a) != len(b) {
		return false
	}
	var at []int
	for i := range a {
		if a[i] != b[i] {
			at = append(at, i)
		}
	}
	return len(at) == 1 || len(at) == 2 && at[1] == at[0]+1 && a[at[0]] == b[at[1]] && a[at[1]] == b[at[0]]
}

func (rd *reading) sexSaid() string {
	if f, ok := rd.out.Field("sex"); ok {
		return f.Value
	}
	for i := range rd.toks {
		if id, n := rd.lexID(i, kSex); n > 0 && id != "not told" {
			return id
		}
	}
	k, _ := known(rd.given.SoFar, "sex")
	return k.Value
}

func (rd *reading) askAnimal(says string, among []mark.Entry, i, j int) {
	var texts []string
	for _, e := range among {
		texts = append(texts, e.Text)
	}
	rd.ask(Question{About: WhichAnimal, Says: says, Among: texts}, i, j)
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
