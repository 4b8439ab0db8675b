package call

import (
	"strconv"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// youngDetail reads what is said of the young in hand.
func (rd *reading) youngDetail(i int) bool {
	if w := rd.word(i); w == "sexes" || w == "sexed" {
		rd.young.sexes, rd.young.sexAt = true, 0
		rd.fate(i, i+1, Taken, "young")
		rd.at = i + 1
		return true
	}
	if row := ordinal(rd.word(i)); row > 0 && rd.young.count >= row && rd.young.count > 1 {
		rd.young.row = row
		rd.fate(i, i+1, Taken, "young")
		rd.at = i + 1
		return true
	}
	if n := rd.oneOfThem(i); n > 0 {
		return true
	}
	if rd.word(i) == "on" && rd.word(i+1) == "the" {
		_, p := rd.teatPosition(i + 2)
		if k := rd.isTeat(i + 2 + p); k > 0 && p > 0 {
			rd.youngWord("attached", i, i+2+p+k)
			return true
		}
	}
	if why, n := rd.lexID(i, kWhy); why == "too_small" && n > 1 && rd.breaks(i+n) && rd.lex(i, kYoungWord) == 0 {
		if f, ok := rd.out.Field(rd.youngAt(max(1, rd.young.row)) + "/sex"); ok && f.Value == string(record.Unsexed) {
			rd.take(Field{At: rd.youngAt(max(1, rd.young.row)) + "/sex reason", Value: "too_small"}, i, i+n)
			return true
		}
	}
	id, n := rd.lexID(i, kYoungWord)
	if n == 0 {
		id, n = rd.youngSign(i)
	}
	if n == 0 || rd.lex(i, kFindSign) > n || rd.lex(i, kRelease) > n {
		return false
	}
	if id == "in pouch" && rd.joined(i) && strings.HasSuffix(rd.toks[i-1].field, "/returned") {
		rd.fate(i, i+n, Taken, rd.toks[i-1].field)
		rd.at = i + n
		return true
	}
	if rd.listsSexes(id, i, n) {
		return true
	}
	if (id == "attached" || id == "detached") && n == 1 && !rd.breaks(i+1) && rd.word(i) != "attached" && rd.word(i) != "detached" && rd.word(i) != "unattached" {
		return false
	}
	if (id == "attached" || id == "detached") && n == 1 && (rd.word(i) == "on" || rd.word(i) == "off" || rd.word(i) == "free" || rd.word(i) == "loose") && !rd.breaks(i) && !rd.joinsYoungWord(i) {
		return false
	}
	if strings.HasPrefix(id, "sex=") && (rd.calledToAnimal(i) || rd.wondered(i, n) || id == "sex=not told" && !strings.Contains(rd.text(i, i+n), "sex") && !rd.saysAnywhere("sex", "sexes", "sexed")) {
		return false
	}
	if isState(id) && (!rd.standsAlone(i, i+n) || (id == "warm" || id == "cold") && !rd.quiet && !rd.youngInBreath(i)) {
		return false
	}
	if rd.denied(i) {
		return rd.youngDenied(id, i, i+n)
	}
	rd.youngWord(id, i, i+n)
	rd.at = i + n
	return true
}

// isState tells whether a word of young is also one of the weather or the crew.
func isState(id string) bool { return id == "warm" || id == "cold" || id == "alive" || id == "dead" }

// youngInBreath tells whether the breath names a young.
func (rd *reading) youngInBreath(i int) bool {
	from, to := rd.clause(i)
	_, ok := rd.has(from, to, kYoung, "")
	return ok
}

// youngDenied reads "not back in yet" and "couldn't get it back on": what has
// a yes and a no is no; of anything else nothing is known.
func (rd *reading) youngDenied(id string, i, j int) bool {
	opposite := map[string]string{"attached": "detached", "detached": "attached"}[id]
	switch {
	case opposite != "":
		rd.youngWord(opposite, i, j)
	case id == "returned":
		for _, r := range rd.youngRows() {
			rd.put(Field{At: rd.youngAt(r) + "/returned", Value: "no"}, i, j)
		}
	default:
		rd.leave(i, j)
	}
	rd.at = j
	return true
}

// youngRows are the young that are spoken of: the one in hand, or all.
func (rd *reading) youngRows() []int {
	if rd.young.row != 0 || rd.young.count < 2 {
		return []int{max(rd.young.row, 1)}
	}
	var rows []int
	for r := 1; r <= rd.young.count; r++ {
		rows = append(rows, r)
	}
	return rows
}

// joinsYoungWord tells whether "and" joins token i to a state of the young:
// "pink and on".
func (rd *reading) joinsYoungWord(i int) bool {
	w := rd.word(i - 1)
	if w == "still" || w == "all" || w == "both" {
		return rd.breaks(i-1) || rd.toks[i-2].fate == Taken || rd.word(i-2) == "and"
	}
	if (w == "one" || w == "other") && rd.joined(i) && rd.toks[i-1].fate == Taken {
		return true // one on, one off
	}
	return (w == "and" || w == "but") && rd.joined(i) && i > 1 && rd.toks[i-2].fate == Taken && strings.HasPrefix(rd.toks[i-2].field, "young/")
}

// oneOfThem reads "one attached, the other loose" of a litter: what follows is
// of the next young; "both" and "all" are of all again.
func (rd *reading) oneOfThem(i int) int {
	n := 0
	switch w := rd.word(i); {
	case rd.young.count < 2 || !rd.breaks(i):
		return 0
	case w == "both" || w == "all":
		rd.young.row = 0
		return 0
	case w == "one" || w == "other":
		n = 1
	case rd.says(i, "the other"):
		n = 2
	default:
		return 0
	}
	if w := rd.word(i + n); rd.joined(i+n) && (w == "is" || w == "'s" || w == "one") {
		n++
	}
	if !rd.joined(i+n) || rd.lex(i+n, kYoungWord) == 0 || rd.young.each >= rd.young.count {
		return 0
	}
	rd.young.each++
	rd.young.row = rd.young.each
	rd.fate(i, i+n, Taken, "young")
	rd.at = i + n
	return n
}

// youngSign reads a value of the programme's own signs of young.
func (rd *reading) youngSign(i int) (string, int) { return rd.lexID(i, kYoungSign) }

func ordinal(w string) int {
	return map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5}[w]
}

// listsSexes gives each young of a litter its sex, in the order said.
func (rd *reading) listsSexes(id string, i, n int) bool {
	sex, ok := strings.CutPrefix(id, "sex=")
	if !ok {
		return false
	}
	row := rd.young.row
	if rd.young.count > 1 && rd.young.row == 0 {
		rd.young.sexAt++
		row = rd.young.sexAt
		if row > rd.young.count {
			return false
		}
	}
	if rd.calledToAnimal(i) || rd.wondered(i, n) {
		return false
	}
	if rd.word(i) == "unknown" || sex == "not told" && !rd.young.sexes && !rd.saysAnywhere("sex") {
		return false
	}
	rd.correcting = false
	rd.take(Field{At: rd.youngAt(max(row, 1)) + "/sex", Value: sex}, i, i+n)
	return true
}

func (rd *reading) youngAt(row int) string { return "young/" + strconv.Itoa(row) }

// youngWord enters a state of the young in hand, or of all of them.
func (rd *reading) youngWord(id string, i, j int) {
	part, value := youngPart(id)
	if part == "" {
		return
	}
	rd.correcting = false
	for _, r := range rd.youngRows() {
		rd.put(Field{At: rd.youngAt(r) + "/" + part, Value: value}, i, j)
		if id == "too small" {
			rd.put(Field{At: rd.youngAt(r) + "/sex reason", Value: "too_small"}, i, j)
		}
	}
	rd.at = max(rd.at, j)
}

// youngPart is the address of a state of a young, below its row.
func youngPart(id string) (part, value string) {
	if sign, value, ok := strings.Cut(id, "="); ok {
		if sign == "sex" {
			return "sex", value
		}
		return "signs/" + sign, value
	}
	switch id {
	case "attached":
		return "attached", "yes"
	case "detached":
		return "attached", "no"
	case "in pouch":
		return "where", "in pouch"
	case "too small":
		return "sex", string(record.Unsexed)
	case "warm", "cold", "dead", "alive":
		return "state", id
	case "returned", "warming":
		return id, "yes"
	}
	return "", ""
}

// youngLimits is what a young can measure: its own range, else less than a
// grown animal's.
func (rd *reading) youngLimits(t *protocol.Trait) limits {
	stage := rd.stage
	if s := rd.lexicon.sheet; s != nil {
		for _, g := range s.Stages {
			if g.Young {
				stage = g.ID
				break
			}
		}
	}
	kept := rd.stage
	rd.stage = stage
	lim := rd.limits(t, "")
	rd.stage = kept
	if lim.known {
		return lim
	}
	if grown := rd.traitOf(t.ID, false); grown != nil {
		if l := rd.limits(grown, ""); l.known {
			return limits{0, l.high, true}
		}
	}
	return limits{0, 250, true}
}

// youngMeasure enters a measurement of the young in hand; several numbers in
// one breath are of several young.
func (rd *reading) youngMeasure(t *protocol.Trait, s spoken, m mention, to int) {
	if !rd.young.open {
		rd.young = rd.litterKnown(s, m)
	}
	rd.topic = tYoung
	row := rd.young.row
	if row == 0 {
		row = rd.freeRow(t)
	}
	rd.youngNumber(t, row, s, heardAs(m.misheard, s), m.from, to)
	for rd.young.row == 0 && row < rd.young.count && (rd.word(rd.at) == "and" || rd.at < len(rd.toks) && rd.toks[rd.at].stop == ',') {
		i := rd.at
		if rd.word(i) == "and" {
			i++
		}
		next, ok := rd.number(i)
		if !ok || !rd.isNumber(i) || rd.isForeign(next.to) || rd.joined(next.to) && rd.lex(next.to, kFiller) == 0 && rd.word(next.to) != "and" {
			return
		}
		row++
		rd.youngNumber(t, row, next, "", i, next.to)
	}
}

// litterKnown opens the young that are spoken of: of a litter whose size is
// known each, where several numbers follow or they are named as many.
func (rd *reading) litterKnown(s spoken, m mention) litter {
	n := rd.given.LitterSize
	if k, ok := known(rd.recorded(), "young/count"); ok && n == 0 {
		n, _ = strconv.Atoi(k.Value)
	}
	many := strings.HasSuffix(rd.word(s.from-1), "s") && rd.word(s.from-1) != "pes"
	if next := s.to; next < len(rd.toks) && (rd.toks[next].stop == ',' && rd.isNumber(next) || rd.word(next) == "and" && rd.isNumber(next+1)) {
		many = true
	}
	if n < 2 || !many {
		return litter{open: true, row: 1}
	}
	return litter{open: true, count: n}
}

// freeRow is the first young of the litter without this measurement.
func (rd *reading) freeRow(t *protocol.Trait) int {
	for r := 1; r <= rd.young.count; r++ {
		if _, ok := rd.out.Field(rd.youngAt(r) + "/measures/" + t.ID); !ok {
			return r
		}
	}
	return 1
}

func (rd *reading) youngNumber(t *protocol.Trait, row int, s spoken, misheard string, i, j int) {
	at := rd.youngAt(row) + "/measures/" + t.ID
	rd.young.last, rd.last = at, at
	rd.at = max(rd.at, j)
	f := Field{At: at, Unit: t.Unit, Roughly: s.rough, Misheard: misheard, SaidAs: otherUnit(s, t)}
	if s.unended {
		f.Pending, f.Why = true, "not finished"
		rd.put(f, i, j)
		return
	}
	before, said := rd.out.Field(at)
	text, v := rd.choose(t, rd.youngLimits(t), s)
	if said && !rd.correcting && v == fits && !same(before.Value, text) {
		before.Pending = true
		rd.ask(Question{About: at, Says: "young's " + t.Name + ", " + Digits(before.Value) + " or " + Digits(text) + "?"}, i, j)
		return
	}
	rd.judge(t, rd.youngLimits(t), f, s, i, j)
}

// youngCorrected gives a number after a correction word to the young's field.
func (rd *reading) youngCorrected(s spoken) bool {
	id := rd.young.last[strings.LastIndex(rd.young.last, "/")+1:]
	t := rd.traitOf(id, true)
	if t == nil {
		rd.correcting = false
		return false
	}
	row, _ := strconv.Atoi(strings.Split(rd.young.last, "/")[1])
	rd.youngNumber(t, max(row, 1), s, "", s.from, s.to)
	return true
}
