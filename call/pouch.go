package call

import (
	"strconv"
	"strings"

	"dawnround/record"
)

// pouchRank orders pouch states from the least to the most that is said.
var pouchRank = map[string]int{"empty": 1, "undeveloped": 2, "occupied": 3, "empty dry": 4, "empty clean": 5, "slack": 6}

// pouch reads the pouch: its state, how it was looked at, whether it is taped.
func (rd *reading) pouch() bool {
	i := rd.at
	switch {
	case rd.pouchChecked(i), rd.pouchTaped(i), rd.pouchLoose(i):
		return true
	}
	id, n := rd.pouchWord(i)
	if n == 0 || id != "pouch" {
		return false
	}
	rd.topic = tPouch
	j := i + n
	state, to := rd.pouchState(j)
	if state == "" && j < len(rd.toks) && rd.toks[j].stop == ',' {
		state, to = rd.pouchStateAt(j)
	}
	if state == "" {
		rd.fate(i, i+n, Left, "")
		return false
	}
	rd.putPouch(state, i, to)
	return true
}

// pouchWord reads the name of a sign; a pouch may be misheard.
func (rd *reading) pouchWord(i int) (string, int) {
	if w := rd.word(i); (w == "couch" || w == "porch" || w == "pooch" || w == "pouched") && rd.hearsAlikes() && rd.lexicon.hasSign("pouch") {
		return "pouch", 1
	}
	id, n := rd.lexID(i, kSign)
	if n > 0 && rd.lex(i, kYoung) > n {
		return "", 0
	}
	return id, n
}

func (l *lexicon) hasSign(id string) bool {
	if l.sheet == nil {
		return false
	}
	_, ok := l.sheet.Sign(id)
	return ok
}

// pouchState gathers the words behind "pouch", within the breath, and keeps
// what says most.
func (rd *reading) pouchState(i int) (string, int) {
	if !rd.joined(i) {
		return "", i
	}
	return rd.pouchStateAt(i)
}

func (rd *reading) pouchStateAt(i int) (string, int) {
	best, to := "", i
	for j, first := i, true; j < len(rd.toks) && (first || rd.joined(j) || rd.statesOnly(j)); first = false {
		if state, ok := rd.valueOf(j, "pouch"); ok {
			n := rd.lex(j, kSignValue)
			if pouchRank[state] >= pouchRank[best] && !(best == "slack" && state != "slack") {
				best = state
			}
			j += n
			to = j
			continue
		}
		n := rd.lex(j, kFiller)
		if w := rd.word(j); w == "and" || w == "but" || w == "bit" || w == "very" || w == "looks" || w == "quite" {
			n = max(n, 1)
		}
		if n == 0 {
			break
		}
		j += n
	}
	return best, to
}

// statesOnly tells whether the breath behind a comma is one more state of the
// pouch: "empty, slack".
func (rd *reading) statesOnly(i int) bool {
	n := rd.lenOfValue(i, "pouch")
	return rd.toks[i].stop == ',' && n > 0 && rd.breaks(i+n)
}

// valueOf reads a value of one sign at token i.
func (rd *reading) valueOf(i int, sign string) (string, bool) {
	if i < 0 || i >= len(rd.toks) {
		return "", false
	}
	for _, e := range rd.found[i] {
		if e.kind != kSignValue {
			continue
		}
		if of, value, _ := strings.Cut(e.id, "="); of == sign {
			return value, true
		}
	}
	return "", false
}

func (rd *reading) lenOfValue(i int, sign string) int {
	for _, e := range rd.found[i] {
		if e.kind == kSignValue && strings.HasPrefix(e.id, sign+"=") {
			return len(e.words)
		}
	}
	return 0
}

func (rd *reading) putPouch(state string, i, j int) {
	rd.take(Field{At: "signs/pouch", Value: state}, i, j)
	rd.last = "signs/pouch"
	if state != "occupied" {
		rd.put(Field{At: "young/count", Value: "0", Derived: true}, 0, 0)
	}
}

// pouchChecked reads that the pouch was not opened, or only felt.
func (rd *reading) pouchChecked(i int) bool {
	for _, c := range pouchLooks {
		if rd.hasWord2(i, c.words) {
			value := c.value
			if value == "no" && rd.saysAnywhere("by feel", "felt", "feel it", "can feel", "from outside", "through the skin") {
				value = "by feel"
			}
			rd.topic = tPouch
			rd.take(Field{At: "pouch/checked", Value: value, Why: rd.why("")}, i, i+len(strings.Fields(c.words)))
			return true
		}
	}
	return false
}

var pouchLooks = []struct{ words, value string }{
	{"didn't open the pouch", "no"}, {"did not open the pouch", "no"}, {"didn't check the pouch", "no"}, {"didn't check pouch", "no"},
	{"not opening the pouch", "no"}, {"pouch not opened", "no"}, {"pouch not checked", "no"}, {"pouch n/c", "no"}, {"didn't look in the pouch", "no"},
	{"left the pouch closed", "no"}, {"leaving the pouch closed", "no"}, {"no pouch check", "no"}, {"didn't open her pouch", "no"}, {"pouch unopened", "no"},
	{"leave the pouch closed", "no"}, {"left the pouch alone", "no"}, {"leaving the pouch alone", "no"}, {"leave the pouch", "no"}, {"not checking the pouch", "no"},
	{"couldn't check the pouch", "no"}, {"skip the pouch", "no"}, {"skipped the pouch", "no"}, {"couldn't open the pouch", "no"}, {"pouch not looked at", "no"}, {"haven't opened the pouch", "no"}, {"pouch left closed", "no"},
	{"pouch by feel", "by feel"}, {"felt the pouch", "by feel"}, {"pouch checked by feel", "by feel"}, {"checked the pouch by feel", "by feel"}, {"feeling through the pouch", "by feel"}, {"pouch felt", "by feel"}, {"by feel only", "by feel"}, {"pouch checked", "yes"}, {"checked the pouch", "yes"}, {"only felt the pouch", "by feel"},
}

func (rd *reading) hasWord2(i int, phrase string) bool { return rd.follows(i, strings.Fields(phrase)) }

// saysAnywhere tells whether one of these phrases stands in what was said.
func (rd *reading) saysAnywhere(phrases ...string) bool {
	for _, p := range phrases {
		words := strings.Fields(p)
		for i := range rd.toks {
			if rd.toks[i].text == words[0] && rd.follows(i, words) {
				return true
			}
		}
	}
	return false
}

func (rd *reading) pouchTaped(i int) bool {
	w := rd.word(i)
	if w != "taped" && w != "tape" || !rd.quiet && rd.topic != tYoung && rd.topic != tPouch && rd.word(i-1) != "pouch" {
		return false
	}
	to := i + 1
	if rd.word(to) == "the" && rd.word(to+1) == "pouch" {
		to += 2
	}
	rd.take(Field{At: "pouch/taped", Value: "yes"}, i, to)
	return true
}

// pouchLoose reads words that say the pouch's state without naming it:
// "virgin", "empty pouch", and an agreed slot of it.
func (rd *reading) pouchLoose(i int) bool {
	state, ok := rd.valueOf(i, "pouch")
	if !ok {
		return false
	}
	n := rd.lenOfValue(i, "pouch")
	if id, m := rd.pouchWord(i + n); rd.joined(i+n) && id == "pouch" {
		rd.putPouch(state, i, i+n+m)
		return true
	}
	if rd.topic == tPouch && rd.breaks(i) && rd.breaks(i+n) {
		if _, said := rd.out.Field("signs/pouch"); !said {
			rd.putPouch(state, i, i+n)
			return true
		}
	}
	if w := rd.word(i); w == "virgin" || w == "nulliparous" {
		rd.putPouch(state, i, i+n)
		return true
	}
	return false
}

// teats reads teats: how many, of which state, where, and milk.
func (rd *reading) teats() bool {
	i := rd.at
	switch {
	case rd.lactating(i), rd.milk(i), rd.teatsWithYoung(i), rd.teatGroup(i):
		return true
	}
	return false
}

// isTeat reads the word for teats, which may be misheard.
func (rd *reading) isTeat(i int) int {
	switch w := rd.word(i); {
	case w == "teat", w == "teats", w == "nipple", w == "nipples":
		return 1
	case !rd.hearsAlikes():
	case w == "treats", w == "tits", w == "teets", w == "tete", w == "teeth" && rd.topic == tPouch:
		return 1
	case w == "tea" && rd.word(i+1) == "eats" && rd.joined(i+1):
		return 2
	}
	return 0
}

// teatGroup reads "one long teat", "teats tiny", "eight teats", "two small".
func (rd *reading) teatGroup(i int) bool {
	j, count := i, 0
	if s, ok := rd.number(j); ok && rd.isNumber(j) {
		n, whole := s.whole()
		if !whole || n > 20 || !rd.joined(s.to) {
			return false
		}
		count, j = n, s.to
	} else if w := rd.word(j); w == "all" || w == "both" {
		j++
	}
	state, before := rd.teatState(j)
	j += before
	if rd.word(j) == "and" && before > 0 {
		if _, n := rd.lexID(j+1, kTeat); n > 0 && rd.isTeat(j+1+n) > 0 {
			j += 1 + n
		}
	}
	position, p := rd.teatPosition(j)
	n := rd.isTeat(j + p)
	if n > 0 && (j+p == i || rd.joined(j+p)) {
		j += p + n
		if s, ok := rd.number(j); ok && state == "" && count == 0 && rd.isNumber(j) && rd.joined(j) && rd.breaks(s.to) {
			count, _ = s.whole()
			return rd.putTeats("", position, count, i, s.to)
		}
		if state == "" {
			k := rd.skip(j)
			state, before = rd.teatState(k)
			if state == "" && k < len(rd.toks) && rd.toks[k].stop == ',' {
				state, before = rd.teatState(k)
			}
			if state != "" && (rd.joined(k) || rd.toks[k].stop == ',') {
				j = k + before
			}
		}
	} else if rd.topic != tTeats || before == 0 || count == 0 && i == j {
		return false
	}
	return rd.putTeats(state, position, count, i, j)
}

// teatState reads the state of a teat at token i.
func (rd *reading) teatState(i int) (string, int) {
	if id, n := rd.lexID(i, kTeat); n > 0 {
		return id, n
	}
	if value, ok := rd.valueOf(i, "teats"); ok {
		return value, rd.lenOfValue(i, "teats")
	}
	if (rd.word(i) == "tie" || rd.word(i) == "ty") && rd.word(i+1) == "knee" && rd.hearsAlikes() {
		return "undeveloped", 2
	}
	return "", 0
}

// teatPosition reads "left front", "right back".
func (rd *reading) teatPosition(i int) (string, int) {
	side, end, n := "", "", 0
	for k := range 2 {
		w := rd.word(i + k)
		switch {
		case (w == "left" || w == "right") && side == "":
			side = w
		case end == "" && (w == "front" || w == "anterior" || w == "top" || w == "upper" || w == "fore"):
			end = "anterior"
		case end == "" && (w == "back" || w == "rear" || w == "posterior" || w == "bottom" || w == "lower" || w == "hind"):
			end = "posterior"
		default:
			return strings.Trim(side+"_"+end, "_"), n
		}
		n++
	}
	return strings.Trim(side+"_"+end, "_"), n
}

func (rd *reading) putTeats(state, position string, count, i, j int) bool {
	rd.topic = tTeats
	if state == "" {
		if count == 0 {
			return false
		}
		rd.take(Field{At: "teats/total", Value: strconv.Itoa(count)}, i, j)
		return true
	}
	rd.lost++
	row := "teats/" + strconv.Itoa(rd.teatRows()+1)
	rd.take(Field{At: row + "/state", Value: state}, i, j)
	if count > 0 {
		rd.put(Field{At: row + "/n", Value: strconv.Itoa(count)}, i, j)
	}
	if position != "" {
		rd.put(Field{At: row + "/position", Value: position}, i, j)
	}
	if state == "lactating" {
		rd.put(Field{At: "signs/lactating", Value: "yes"}, i, j)
	}
	if w := rd.word(j + 1); rd.word(j) == "and" && rd.joined(j) && (w == "wet" || w == "milky") {
		rd.put(Field{At: row + "/milk", Value: "yes"}, j, j+2)
		rd.take(Field{At: "signs/lactating", Value: "yes"}, j, j+2)
		return true
	}
	if rd.word(j) == "and" && rd.word(j+1) == "empty" && rd.joined(j) || rd.word(j) == "empty" && rd.joined(j) {
		to := j + 1
		if rd.word(j) == "and" {
			to++
		}
		rd.fate(j, to, Taken, row+"/state")
		rd.at = to
		rd.note("possible lost young")
	}
	return true
}

// teatRows is how many rows of teats there are so far.
func (rd *reading) teatRows() int {
	n := 0
	for _, f := range rd.out.Fields {
		if strings.HasPrefix(f.At, "teats/") && strings.HasSuffix(f.At, "/state") {
			n++
		}
	}
	return n
}

// lactating reads "lactating on the left front teat", "not lactating".
func (rd *reading) lactating(i int) bool {
	w := rd.word(i)
	if w != "lactating" && !(w == "in" && rd.word(i+1) == "milk") && !(w == "wet" && rd.breaks(i) && rd.breaks(i+1) && rd.topic != tNone) || rd.isTeat(i+1) > 0 || rd.isTeat(i-1) > 0 {
		return false
	}
	n := 1
	if w == "in" {
		n = 2
	}
	value := "yes"
	from := i
	if rd.negatedAt(i) {
		value, from = "no", i-1
	}
	rd.take(Field{At: "signs/lactating", Value: value}, from, i+n)
	j := i + n
	for rd.word(j) == "on" || rd.word(j) == "the" || rd.word(j) == "from" || rd.word(j) == "one" {
		j++
	}
	position, p := rd.teatPosition(j)
	if k := rd.isTeat(j + p); k > 0 && rd.joined(j) {
		rd.putTeats("lactating", position, 0, i, j+p+k)
	}
	return true
}

// milk reads "milk when I press it" of the teat in hand.
func (rd *reading) milk(i int) bool {
	if rd.word(i) != "milk" && rd.word(i) != "milky" || rd.topic != tTeats && rd.topic != tPouch {
		return false
	}
	value, from := "yes", i
	if rd.negatedAt(i) {
		value, from = "no", i-1
	}
	_, to := rd.clause(i)
	if k, ok := rd.has(i+1, to, kTrait, ""); ok {
		to = k
	}
	if n := rd.teatRows(); n > 0 {
		rd.put(Field{At: "teats/" + strconv.Itoa(n) + "/milk", Value: value}, from, to)
	}
	rd.take(Field{At: "signs/lactating", Value: value}, from, to)
	return true
}

// teatsWithYoung reads "five with young".
func (rd *reading) teatsWithYoung(i int) bool {
	s, ok := rd.number(i)
	if !ok || !rd.isNumber(i) || rd.topic != tTeats {
		return false
	}
	n, whole := s.whole()
	j := s.to
	switch {
	case !whole || !rd.joined(j):
		return false
	case rd.word(j) == "with" && rd.lex(j+1, kYoung) > 0:
		j += 1 + rd.lex(j+1, kYoung)
	case rd.word(j) == "occupied" || rd.word(j) == "taken" || rd.follows(j, []string{"in", "use"}):
		if rd.word(j) == "in" {
			j++
		}
		j++
		rd.take(Field{At: "teats/in use", Value: strconv.Itoa(n)}, i, j)
		return true
	default:
		return false
	}
	rd.put(Field{At: "young/count", Value: strconv.Itoa(n)}, i, j)
	rd.take(Field{At: "teats/in use", Value: strconv.Itoa(n)}, i, j)
	return true
}

// testes reads where the testes lie, and two of them by side.
func (rd *reading) testes() bool {
	i := rd.at
	if value, ok := rd.valueOf(i, "testes"); ok && rd.testesValue(i) {
		n := rd.lenOfValue(i, "testes")
		if rd.negatedAt(i) {
			return false
		}
		rd.take(Field{At: "signs/testes", Value: value}, i, i+n)
		rd.topic = tTestes
		return true
	}
	if id, n := rd.lexID(i, kTrait); n > 0 && id == "testis" {
		rd.topic = tTestes
		return false
	}
	return rd.topic == tTestes && rd.testesBySide(i)
}

// testesValue tells whether a word tells of testes: those that mean nothing
// else always, "up" and "down" only beside them.
func (rd *reading) testesValue(i int) bool {
	switch rd.word(i) {
	case "scrotal", "abdominal", "undescended", "inguinal":
		return true
	case "not":
		return rd.word(i+1) == "scrotal"
	}
	return rd.topic == tTestes && rd.toks[i].fate != Taken
}

// testesBySide reads "left thirty by twenty, right twenty-nine by nineteen"
// and "length thirty" once testes are spoken of.
func (rd *reading) testesBySide(i int) bool {
	t := rd.traitOf("testis", false)
	if t == nil {
		return false
	}
	m := mention{trait: t, from: i}
	j := i
	if id, n := rd.lexID(j, kSide); n > 0 {
		m.side = id
		j += n
	}
	if w := rd.word(j); w == "one" && (rd.isNumber(j+1) || rd.word(j+1) == "is") && m.side != "" {
		j++
	}
	if n := rd.lex(j, kMissingAfter); n > 0 && m.side != "" {
		rd.notTaken(addressOf(t, m.side), m.side, i, j+n)
		rd.topic = tTestes
		return true
	}
	if s, ok := rd.number(j); ok && m.side == "" && rd.isNumber(j) && rd.word(s.to) == "by" && rd.joined(s.to) {
		rd.enter(t, m, s, i, s.to)
		rd.byWidth(t, m)
		return true
	}
	if id, n := rd.lexID(j, kDimension); n > 0 {
		if id == "width" {
			m.trait = rd.traitOf("testis width", false)
		}
		j += n
		if !rd.joined(j) {
			return false
		}
	} else if m.side == "" {
		return rd.dimensionAfter(i)
	}
	j = rd.skip(j)
	if m.trait == nil || !rd.isNumber(j) || j > i && !rd.joined(j) && rd.toks[j].stop != ',' {
		return false
	}
	s, ok := rd.number(j)
	if !ok || rd.isForeign(s.to) || s.unended {
		return false
	}
	to := s.to
	if n := rd.lex(to, kDimension); n > 0 && rd.joined(to) {
		to += n
	}
	rd.enter(m.trait, m, s, i, to)
	rd.byWidth(t, m)
	rd.topic = tTestes
	return true
}

// dimensionAfter reads "thirty long, twenty wide".
func (rd *reading) dimensionAfter(i int) bool {
	s, ok := rd.number(i)
	if !ok || !rd.isNumber(i) || !rd.joined(s.to) {
		return false
	}
	id, n := rd.lexID(s.to, kDimension)
	if n == 0 {
		return false
	}
	t := rd.traitOf("testis", false)
	if id == "width" {
		t = rd.traitOf("testis width", false)
	}
	if t == nil {
		return false
	}
	_, side, _ := strings.Cut(rd.last, ".")
	rd.enter(t, mention{trait: t, side: side, from: i}, s, i, s.to+n)
	rd.topic = tTestes
	return true
}

// condition reads the condition of the animal, in a word or as a score.
func (rd *reading) condition() bool {
	i := rd.at
	id, n := rd.lexID(i, kSign)
	w := rd.word(i)
	named := n > 0 && id == "condition"
	if w == "bcs" || w == "condition" {
		named, n = true, max(n, 1)
		if rd.word(i+1) == "score" && rd.joined(i+1) {
			n = 2
		}
	} else if w == "body" && rd.word(i+1) == "condition" {
		named, n = true, 2
		if rd.word(i+2) == "score" {
			n = 3
		}
	}
	if w == "in" || w == "good" || w == "poor" || w == "bad" || w == "fair" || w == "great" {
		if value, ok := rd.valueOf(i, "condition"); ok && rd.lenOfValue(i, "condition") > 1 {
			rd.take(Field{At: "signs/condition", Value: value}, i, i+rd.lenOfValue(i, "condition"))
			return true
		}
		if value, ok := rd.valueOf(i, "condition"); ok && rd.joined(i+1) && (rd.word(i+1) == "condition" || rd.word(i+1) == "nick") {
			rd.take(Field{At: "signs/condition", Value: value}, i, i+2)
			return true
		}
	}
	if w == "skinny" || w == "bony" || w == "emaciated" || w == "scrawny" {
		rd.take(Field{At: "signs/condition", Value: "poor"}, i, i+1)
		return true
	}
	if !named {
		return false
	}
	j := i + n
	if j < len(rd.toks) && rd.toks[j].stop == ',' && (rd.isNumber(j) || rd.lenOfValue(j, "condition") > 0) {
		return rd.conditionAt(i, j)
	}
	return rd.conditionAt(i, rd.skip(j))
}

func (rd *reading) conditionAt(i, j int) bool {
	if j >= len(rd.toks) {
		return false
	}
	if rd.word(j) == "very" || rd.word(j) == "pretty" || rd.word(j) == "quite" {
		j++
	}
	if value, ok := rd.valueOf(j, "condition"); ok {
		rd.take(Field{At: "signs/condition", Value: value}, i, j+rd.lenOfValue(j, "condition"))
		return true
	}
	s, ok := rd.number(j)
	if !ok || !rd.isNumber(j) {
		return false
	}
	rd.take(Field{At: "condition/score", Value: s.text()}, i, s.to)
	if rd.word(s.to) == "out" && rd.word(s.to+1) == "of" {
		if of, ok := rd.number(s.to + 2); ok {
			rd.take(Field{At: "condition/scale", Value: of.text(), State: record.Unknown}, i, of.to)
		}
	}
	return true
}
