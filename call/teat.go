package call

import (
	"strconv"
	"strings"
)

// teats reads teats: how many, of which state, where, and milk.
func (rd *reading) teats() bool {
	i := rd.at
	switch {
	case rd.teatPlace(i), rd.lactating(i), rd.milk(i), rd.teatsWithYoung(i), rd.teatGroup(i):
		return true
	}
	return false
}

// teatPlace reads ", left anterior" behind a teat.
func (rd *reading) teatPlace(i int) bool {
	n := rd.teatRows()
	position, p := rd.teatPosition(i)
	if p == 1 && rd.saysAnywhere("teats") {
		return false // of many teats a side alone is none
	}
	if rd.topic != tTeats || n == 0 || p == 0 || !rd.breaks(i) || !rd.breaks(i+p) {
		return false
	}
	at := "teats/" + strconv.Itoa(n) + "/position"
	if _, said := rd.out.Field(at); said {
		return false
	}
	rd.take(Field{At: at, Value: position}, i, i+p)
	return true
}

// isTeat reads the word for teats, which may be misheard.
func (rd *reading) isTeat(i int) int {
	switch w := rd.word(i); {
	case (w == "nipple" || w == "nipples") && rd.lexicon.hasSign("nipples"):
		return 0 // a sign of its own on this sheet
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
	if before > 0 && rd.negatedAt(j) {
		return false
	}
	j += before
	if rd.word(j) == "and" && before > 0 {
		if _, n := rd.lexID(j+1, kTeat); n > 0 && rd.isTeat(j+1+n) > 0 {
			j += 1 + n
		}
	}
	wet := 0
	if w := rd.word(j); before > 0 && (w == "wet" || w == "milky") && rd.isTeat(j+1) > 0 {
		wet = 1
		j++
	}
	position, p := rd.teatPosition(j)
	if j > i && !rd.joined(j) {
		position, p = "", 0
	}
	if w := rd.word(j - 1); w == "and" && rd.lex(j-2, kSide) > 0 && rd.joined(j) {
		position = ""
	}
	n := rd.isTeat(j + p)
	if rows := rd.teatRows(); state == "lactating" && count == 0 && before == j-i && n == 0 && p == 0 && rows > 0 && rd.topic == tTeats && (rd.breaks(i) || rd.word(i) != "wet") {
		rd.put(Field{At: "teats/" + strconv.Itoa(rows) + "/milk", Value: "yes"}, i, j)
		rd.take(Field{At: "signs/lactating", Value: "yes"}, i, j)
		return true
	}
	if wet > 0 && n > 0 {
		rd.putTeats(state, position, count, i, j+p+n)
		rd.put(Field{At: "teats/" + strconv.Itoa(rd.teatRows()) + "/milk", Value: "yes"}, j-1, j)
		rd.put(Field{At: "signs/lactating", Value: "yes"}, j-1, j)
		return true
	}
	if n > 0 && (j+p == i || rd.joined(j+p)) {
		j += p + n
		if state == "" && count > 0 && (rd.says(j, "in use") || rd.word(j) == "occupied") && rd.joined(j) {
			to := j + 1
			if rd.word(j) == "in" {
				to++
			}
			rd.topic = tTeats
			rd.take(Field{At: "teats/in use", Value: strconv.Itoa(count)}, i, to)
			return true
		}
		if s, ok := rd.number(j); ok && state == "" && count == 0 && rd.isNumber(j) && rd.joined(j) && rd.breaks(s.to) {
			count, _ = s.whole()
			return rd.putTeats("", position, count, i, s.to)
		}
		if state == "" {
			k := rd.skip(j)
			for w := rd.word(k); (w == "a" || w == "bit" || w == "little" || w == "slightly" || w == "quite" || w == "very" || w == "all" || w == "both" || w == "still") && rd.joined(k); w = rd.word(k) {
				if _, n := rd.teatState(k); n > 0 {
					break
				}
				k++
			}
			state, before = rd.teatState(k)
			if state == "" && k < len(rd.toks) && rd.toks[k].stop == ',' {
				state, before = rd.teatState(k)
			}
			if state != "" && (rd.joined(k) || rd.toks[k].stop == ',') {
				j = k + before
			}
		}
	} else if rd.topic != tTeats || before == 0 || count == 0 && (i == j || !rd.standsAlone(i, j) || rd.word(i) == "wet" && !rd.breaks(i)) {
		return false
	}
	return rd.putTeats(state, position, count, i, j)
}

// standsAlone tells whether the tokens from i to j are a breath of their own, but
// for little words that join them to others.
func (rd *reading) standsAlone(i, j int) bool {
	for i > 0 && rd.joined(i) {
		switch w := rd.word(i - 1); {
		case rd.toks[i-1].fate == Taken, w == "and", w == "but":
			i = 0
			continue
		case rd.lex(i-1, kTrait) > 0 || rd.isTeat(i-1) > 0:
			i = 0
			continue
		case linkWords[w] || rd.lex(i-1, kSide) > 0 || rd.lex(i-1, kFiller) > 0:
		default:
			return false
		}
		i--
	}
	w := rd.word(j)
	return rd.breaks(j) || rd.lex(j, kYoungWord) > 0 || w == "and" || w == "but" || w == "though" || w == "on" || w == "now" || w == "still" || w == "both" || w == "all" || rd.lex(j, kSide) > 0
}

// linkWords join a state to what it is said of.
var linkWords = wordSet("and but both all still very quite bit a one some well fully half mostly nearly looks slightly little rather also other just now them they only rest others remaining ones are the old fresh healed small tiny")

// teatState reads the state of a teat at token i.
func (rd *reading) teatState(i int) (string, int) {
	if id, n := rd.lexID(i, kTeat); n > 0 && !(rd.word(i) == "out" && rd.word(i+1) == "of") {
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
		if count == 0 || count < 2 && !rd.breaks(j) {
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
	if w != "lactating" && !(w == "in" && rd.word(i+1) == "milk") && !(w == "wet" && rd.breaks(i) && rd.breaks(i+1) && rd.topic != tNone) || (rd.isTeat(i+1) > 0 || rd.isTeat(i-1) > 0) && !rd.negatedAt(i) {
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
	if value == "no" {
		return true
	}
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
	if rd.word(i) != "milk" && rd.word(i) != "milky" || rd.topic != tTeats && rd.topic != tPouch && !rd.saysAnywhere("teat", "teats", "pouch", "nipple", "nipples") {
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
