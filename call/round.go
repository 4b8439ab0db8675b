package call

import (
	"strconv"
	"strings"
)

// round reads what the traps held: "M one empty, M two sprung, M three
// quoll", "all of the E line empty but E nine", "E line closed".
func (rd *reading) round() bool {
	i := rd.at
	if id, n := rd.lexID(i-1, kLabel); rd.labelFollows(i) || rd.joined(i) && n > 0 && id == "label" && rd.word(i-1) != "number" && rd.word(i-1) != "no" {
		return false
	}
	switch {
	case rd.restOfLine(i), rd.animalsInTraps(i), rd.lineEvent(i), rd.emptyLine(i), rd.wholeLine(i), rd.trapRange(i), rd.oneIn(i), rd.trapList(i), rd.looseOutcome(i):
		return true
	}
	if name, next, ok := rd.lineName(i); ok {
		rd.lineInHand = name
		rd.fate(i, next, Taken, "line/name")
		rd.at = next
		return true
	}
	return false
}

// lineName reads the name of a line: the G line, line G.
func (rd *reading) lineName(i int) (string, int, bool) {
	if w := rd.word(i); w == "the" || w == "on" || w == "of" {
		i++
	}
	if rd.word(i) == "the" {
		i++
	}
	letter, line := rd.word(i), rd.word(i+1)
	at := i
	if isLine(letter) {
		letter, line = line, letter
		at = i + 1
	}
	if !rd.joined(i+1) || len(letter) != 1 || letter[0] < 'a' || letter[0] > 'z' || !isLine(line) || letter == "a" && !rd.toks[at].capital {
		return "", i, false
	}
	return strings.ToUpper(letter), i + 2, true
}

func isLine(w string) bool { return w == "line" || w == "row" || w == "transect" }

// lineEvent reads "we set twelve on the E line", "E line closed".
func (rd *reading) lineEvent(i int) bool {
	id, n := rd.lexID(i, kRound)
	if n == 0 || id != "set" && id != "closed" || rd.topic == tRelease {
		return false
	}
	if _, k := rd.closingLine(i); k > 0 && rd.breaks(i) {
		return false
	}
	from, to := rd.clause(i)
	line := rd.lineInHand
	count := -1
	traps := id == "closed" && rd.word(i) == "traps" || rd.word(i+n) == "traps" || rd.word(i) == "traps" || rd.word(i) == "all"
	for k := from; k < to; k++ {
		if name, _, ok := rd.lineName(k); ok {
			line = name
		}
		if rd.word(k) == "traps" {
			traps = true
		}
		if rd.isNumber(k) && count < 0 && (k == from || rd.word(k-1) == "all" || rd.word(k-1) != "at" && rd.toks[k-1].num.class == noNumeral && len(rd.word(k-1)) > 1) {
			if s, ok := rd.number(k); ok && rd.word(s.to) != "o'clock" {
				count, _ = s.whole()
			}
		}
	}
	if line == "" && !traps {
		return false
	}
	if rd.denied(i) || rd.word(i-1) == "no" {
		if line == "" || id != "set" {
			return false
		}
		rd.put(Field{At: "line/name", Value: line}, from, to)
		rd.take(Field{At: "line/outcome", Value: "not set"}, from, to)
		rd.line = true
		return true
	}
	end := i + n
	for end < to && rd.word(end) != "at" {
		end++
	}
	if line != "" {
		rd.put(Field{At: "line/name", Value: line}, from, end)
	}
	rd.put(Field{At: "line/event", Value: "traps " + id}, from, end)
	if n, k, ok := rd.trapsCounted(to); ok && count < 0 {
		count = n
		rd.fate(to, k, Taken, "line/count")
		if rd.word(end) != "at" {
			end = k
		}
	}
	if count >= 0 {
		rd.put(Field{At: "line/count", Value: strconv.Itoa(count)}, from, end)
	}
	rd.at, rd.line = max(end, i+n), true
	return true
}

// trapsCounted reads "ten traps" or "all twelve" behind a comma.
func (rd *reading) trapsCounted(i int) (n, to int, ok bool) {
	if i >= len(rd.toks) || rd.toks[i].stop != ',' {
		return 0, i, false
	}
	j, all := i, false
	if rd.word(j) == "all" || rd.word(j) == "that's" || rd.word(j) == "total" {
		all = true
		j++
	}
	s, isNumber := rd.number(j)
	if !isNumber || !rd.isNumber(j) {
		return 0, i, false
	}
	n, whole := s.whole()
	to = s.to
	if w := rd.word(to); w == "traps" && rd.joined(to) {
		to++
	} else if w == "of" && rd.word(to+1) == "them" {
		to += 2
	} else if !all && !rd.breaks(to) {
		return 0, i, false
	}
	return n, to, whole && rd.breaks(to)
}

// allBefore reads "all ten" before the name of a line.
func (rd *reading) allBefore(i int) (int, bool) {
	from, _ := rd.clause(i)
	if rd.word(from) != "all" {
		return 0, false
	}
	s, ok := rd.number(from + 1)
	n, whole := s.whole()
	return n, ok && whole && s.to <= i && rd.isNumber(from+1)
}

// wholeLine reads "all of the E line empty but E nine, a quoll".
func (rd *reading) wholeLine(i int) bool {
	j := i
	if id, n := rd.lexID(i, kRound); n > 0 && id == "all" {
		j += n
	}
	name, next, ok := rd.lineName(j)
	if !ok {
		name, next, ok = rd.lineByLetter(i, j)
	}
	if !ok {
		return false
	}
	k := rd.skip(next)
	if w := rd.word(k); w == "all" || w == "completely" || w == "totally" {
		k++
	}
	if k < len(rd.toks) && rd.toks[k].stop == ',' && rd.lex(k, kOutcome) == 0 {
		k = next
	}
	id, n := rd.lexID(k, kOutcome)
	if ev, m := rd.lexID(k, kRound); m > 0 && (ev == "closed" || ev == "set") && n <= m {
		rd.put(Field{At: "line/name", Value: name}, i, next)
		rd.take(Field{At: "line/event", Value: "traps " + ev}, k, k+m)
		if n, ok := rd.allBefore(i); ok {
			rd.put(Field{At: "line/count", Value: strconv.Itoa(n)}, k, k+m)
		} else if n, to, ok := rd.trapsCounted(k + m); ok {
			rd.take(Field{At: "line/count", Value: strconv.Itoa(n)}, k+m, to)
		}
		rd.line = true
		return true
	}
	if n == 0 {
		return false
	}
	rd.put(Field{At: "line/name", Value: name}, i, next)
	rd.take(Field{At: "line/outcome", Value: id}, k, k+n)
	rd.line = true
	rd.exceptions()
	return true
}

// lineByLetter reads "all of F empty": a letter alone, where all of it held
// the same.
func (rd *reading) lineByLetter(i, j int) (string, int, bool) {
	w := rd.word(j)
	if j == i || len(w) != 1 || w[0] < 'a' || w[0] > 'z' || !rd.toks[j].capital || !rd.joined(j+1) {
		return "", j, false
	}
	k := rd.skip(j + 1)
	if rd.word(k) == "all" {
		k++
	}
	id, n := rd.lexID(k, kOutcome)
	return strings.ToUpper(w), j + 1, n > 0 && rd.joined(k) && id == "empty"
}

// emptyLine reads "nothing on the G line except …".
func (rd *reading) emptyLine(i int) bool {
	id, n := rd.lexID(i, kOutcome)
	if name, next, ok := rd.lineName(i + n); n > 0 && ok && id == "not set" && rd.joined(i+n) {
		rd.put(Field{At: "line/name", Value: name}, i, next)
		rd.take(Field{At: "line/outcome", Value: id}, i, next)
		rd.line = true
		return true
	}
	if n == 0 || id != "empty" || rd.word(i+n) != "on" && rd.word(i+n) != "in" && rd.word(i+n) != "along" {
		return false
	}
	j := i + n + 1
	for w := rd.word(j); w == "the" || w == "whole" || w == "all" || w == "entire" || w == "of" && rd.joined(j); w = rd.word(j) {
		j++
	}
	name, next, ok := rd.lineName(j)
	if !ok {
		return false
	}
	rd.put(Field{At: "line/name", Value: name}, i, next)
	rd.take(Field{At: "line/outcome", Value: id}, i, next)
	rd.line = true
	rd.exceptions()
	return true
}

// exceptions are the traps of a line that held something else.
func (rd *reading) exceptions() {
	i := rd.at
	id, n := rd.lexID(i, kRound)
	if w := rd.word(i); n == 0 && (w == "only" || w == "just" || w == "but") {
		if _, _, ok := rd.trapName(i + 1); ok {
			id, n = "except", 1
		}
	}
	if n == 0 || id != "except" {
		return
	}
	rd.fate(i, i+n, Taken, "line")
	rd.at = i + n
	for {
		if rd.beastInTrap() {
			continue
		}
		name, next, ok := rd.trapName(rd.at)
		if !ok {
			rd.allOfThem()
			return
		}
		rd.lost++
		row := "except/" + strconv.Itoa(rd.lost)
		rd.take(Field{At: row + "/trap", Value: name}, rd.at, next)
		rd.held(row, next)
		if rd.word(rd.at) == "and" {
			rd.at++
		}
	}
}

// allOfThem reads "both rats" behind exceptions of which nothing was said.
func (rd *reading) allOfThem() {
	i := rd.at
	if w := rd.word(i); w != "both" && w != "all" {
		return
	}
	to, text, ok := rd.speciesText(i + 1)
	if !ok || !rd.breaks(to) {
		return
	}
	for n := 1; n <= rd.lost; n++ {
		row := "except/" + strconv.Itoa(n)
		_, named := rd.out.Field(row + "/trap")
		if _, said := rd.out.Field(row + "/outcome"); named && !said {
			rd.put(Field{At: row + "/outcome", Value: "capture"}, i, to)
			rd.take(Field{At: row + "/species", Value: text}, i, to)
		}
	}
}

// beastInTrap reads an exception that names the animal first: "bar a bush rat
// in C six".
func (rd *reading) beastInTrap() bool {
	i := rd.at
	j := rd.someKindOf(i)
	to, text, ok := rd.speciesText(j)
	if w := rd.word(to); !ok || w != "in" && w != "at" {
		return false
	}
	name, next, ok := rd.trapName(to + 1)
	if !ok {
		return false
	}
	rd.lost++
	row := "except/" + strconv.Itoa(rd.lost)
	rd.put(Field{At: row + "/trap", Value: name}, to+1, next)
	rd.put(Field{At: row + "/outcome", Value: "capture"}, i, to)
	rd.take(Field{At: row + "/species", Value: text}, i, next)
	if rd.word(rd.at) == "and" {
		rd.at++
	}
	return true
}

func (rd *reading) event() string {
	f, ok := rd.out.Field("line/event")
	if !ok {
		return ""
	}
	return f.Value
}

// trapRange reads "B one to B nine empty".
func (rd *reading) trapRange(i int) bool {
	if rd.rangeOnLine(i) {
		return true
	}
	first, next, ok := rd.trapName(i)
	if !ok || !rd.joined(next) || rd.word(next) != "to" && rd.word(next) != "through" && rd.word(next) != "–" {
		return false
	}
	last, after, ok := rd.trapName(next + 1)
	if !ok {
		s, isNumber := rd.trapNumberAt(next + 1)
		if !isNumber {
			return false
		}
		n, _ := s.whole()
		last, after = first[:1]+strconv.Itoa(n), s.to
	}
	k := rd.skip(after)
	if rd.word(k) == "all" {
		k++
	}
	id, n := rd.lexID(k, kOutcome)
	if n == 0 {
		return false
	}
	rd.put(Field{At: "line/range", Value: first + "-" + last}, i, after)
	rd.take(Field{At: "line/outcome", Value: id}, k, k+n)
	rd.line = true
	rd.exceptions()
	return true
}

// rangeOnLine reads "one to six on the H line empty".
func (rd *reading) rangeOnLine(i int) bool {
	first, ok := rd.trapNumberAt(i)
	if w := rd.word(first.to); !ok || !rd.breaks(i) && rd.word(i-1) != "traps" || w != "to" && w != "through" || !rd.joined(first.to) {
		return false
	}
	last, ok := rd.trapNumberAt(first.to + 1)
	if w := rd.word(last.to); !ok || w != "on" && w != "of" && w != "in" && w != "along" {
		return false
	}
	name, next, ok := rd.lineName(last.to)
	if !ok {
		return false
	}
	k := rd.skip(next)
	if rd.word(k) == "all" {
		k++
	}
	id, n := rd.lexID(k, kOutcome)
	if n == 0 {
		return false
	}
	rd.put(Field{At: "line/range", Value: name + first.text() + "-" + name + last.text()}, i, next)
	rd.take(Field{At: "line/outcome", Value: id}, k, k+n)
	rd.line = true
	rd.exceptions()
	return true
}

// text is the phrase from token i to j, as it was said.
func (rd *reading) text(i, j int) string {
	if i >= j || j > len(rd.toks) {
		return ""
	}
	return rd.out.Said[rd.toks[i].from:rd.toks[j-1].to]
}
