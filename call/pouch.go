package call

import (
	"strings"
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
			if n > 1 && rd.word(j+n-1) == "tea" && rd.word(j+n) == "eats" {
				n--
			}
			if pouchRank[state] >= pouchRank[best] && !(best == "slack" && state != "slack") {
				best = state
			}
			j += n
			to = j
			continue
		}
		n := rd.lex(j, kFiller)
		if w := rd.word(j); w == "and" || w == "but" || w == "a" || w == "little" || w == "still" || w == "bit" || w == "very" || w == "looks" || w == "quite" || w == "pink" && rd.joined(j+1) || w == "inside" {
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
	if rd.toks[i].stop != ',' {
		return false
	}
	for w := rd.word(i); w == "a" || w == "bit" || w == "little" || w == "very" || w == "quite" || w == "still" || w == "looks"; w = rd.word(i) {
		i++
	}
	n := rd.lenOfValue(i, "pouch")
	return n > 0 && rd.breaks(i+n)
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
		if rd.says(i, c.words) {
			if strings.HasSuffix(c.words, " it") && rd.topic != tPouch && rd.topic != tYoung {
				continue
			}
			value := c.value
			if value == "no" && rd.saysAnywhere("by feel", "felt", "feel it", "can feel", "could feel", "from outside", "through the skin") {
				value = "by feel"
			}
			rd.topic = tPouch
			rd.take(Field{At: "pouch/checked", Value: value, Why: rd.why("")}, i, i+len(strings.Fields(c.words)))
			return true
		}
	}
	return false
}

// A pouchLook is a way to say whether the pouch was looked into.
type pouchLook struct{ words, value string }

var pouchLooks = append(pouchUnopened(), []pouchLook{
	{"pouch not opened", "no"}, {"pouch not checked", "no"}, {"pouch n/c", "no"}, {"no pouch check", "no"}, {"pouch unopened", "no"}, {"pouch not looked at", "no"}, {"pouch left closed", "no"}, {"pouch not been opened", "no"}, {"pouch hasn't been opened", "no"}, {"pouch wasn't opened", "no"}, {"pouch unchecked", "no"},
	{"pouch by feel", "by feel"}, {"felt the pouch", "by feel"}, {"pouch checked by feel", "by feel"}, {"checked the pouch by feel", "by feel"}, {"feeling through the pouch", "by feel"}, {"pouch felt", "by feel"}, {"by feel only", "by feel"}, {"pouch checked", "yes"}, {"checked the pouch", "yes"}, {"only felt the pouch", "by feel"},
	{"didn't open it", "no"}, {"did not open it", "no"}, {"not opening it", "no"}, {"without opening it", "no"}, {"haven't opened it", "no"},
}...)

// pouchUnopened are the ways to say that the pouch was not looked into.
func pouchUnopened() []pouchLook {
	var out []pouchLook
	for _, pouch := range []string{" the pouch", " her pouch", " pouch"} {
		for _, verb := range []string{"didn't open", "did not open", "didn't check", "did not check", "didn't look in", "not opening", "not checking", "not looking in", "couldn't check", "couldn't open", "can't open", "won't open", "haven't opened", "haven't checked", "haven't looked in", "skip", "skipped", "skipping", "without opening"} {
			out = append(out, pouchLook{verb + pouch, "no"})
		}
		for _, verb := range []string{"left", "leaving", "leave"} {
			for _, how := range []string{" closed", " alone", " shut", " be", ""} {
				if verb != "left" || how != "" {
					out = append(out, pouchLook{verb + pouch + how, "no"})
				}
			}
		}
	}
	return out
}

// says tells whether these words stand at token i.
func (rd *reading) says(i int, phrase string) bool {
	for first := true; ; first = false {
		w, rest, more := strings.Cut(phrase, " ")
		if rd.word(i) != w || !first && !rd.joined(i) {
			return false
		}
		if !more {
			return true
		}
		i, phrase = i+1, rest
	}
}

// saysAnywhere tells whether one of these phrases stands in what was said.
func (rd *reading) saysAnywhere(phrases ...string) bool {
	for i := range rd.toks {
		for _, p := range phrases {
			if rd.says(i, p) {
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
	} else if w == "tape" && rd.word(to) != "on" && rd.word(i-1) != "pouch" {
		return false
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
	if w := rd.word(i + n); rd.joined(i+n) && w == "in" && state == "empty" && (rd.word(i+n+1) == "the" || rd.word(i+n+1) == "her") {
		if id, m := rd.pouchWord(i + n + 2); m > 0 && id == "pouch" {
			rd.putPouch(state, i, i+n+2+m)
			return true
		}
	}
	if id, m := rd.pouchWord(i + n); rd.joined(i+n) && id == "pouch" {
		to := i + n + m
		if more, end := rd.pouchStateAt(to); to < len(rd.toks) && rd.statesOnly(to) && pouchRank[more] > pouchRank[state] {
			state, to = more, end
		}
		rd.putPouch(state, i, to)
		rd.topic = tPouch
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
