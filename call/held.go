package call

import (
	"strconv"
	"strings"
)

// held reads what a trap held, from token i, into a row. It tells whether
// anything was said of it.
func (rd *reading) held(row string, i int) bool {
	i = rd.skip(i)
	if j := rd.thatIs(i); j > i && rd.breaks(i) && (rd.lex(j, kOutcome) > 0 || rd.speciesAt(rd.someKindOf(j))) {
		i = j
	}
	for rd.word(i) == "had" || rd.word(i) == "with" || rd.word(i) == "got" || rd.word(i) == "a" || rd.word(i) == "an" || rd.word(i) == "one" && rd.lex(i, kOutcome) == 0 || rd.word(i) == "has" || rd.word(i) == "been" {
		i++
	}
	i = rd.partOfTrap(i)
	if rd.lex(i, kChatter) > 0 {
		return false
	}
	if id, n := rd.lexID(i, kOutcome); n > 0 && !(id == "escaped" && rd.lex(i, kSpecies) > 0) && !(rd.word(i) == "gone" && n == 1 && !rd.breaks(i+1)) {
		if id == "disabled" && rd.event() == "traps set" {
			id = "not set"
		}
		rd.take(Field{At: row + "/outcome", Value: id}, i, i+n)
		if j, text, ok := rd.speciesText(rd.skip(i + n)); ok && (id == "dead" || id == "capture") {
			rd.take(Field{At: row + "/species", Value: text}, i+n, j)
		}
		rd.alsoHeld(row)
		return true
	}
	if rd.shutEmpty(row, i) || rd.openEmpty(row, i) {
		return true
	}
	if s, ok := rd.number(i); ok && rd.isNumber(i) && rd.joined(s.to) {
		i = s.to
	}
	if j, text, ok := rd.speciesText(i); ok {
		rd.put(Field{At: row + "/outcome", Value: "capture"}, i, j)
		rd.take(Field{At: row + "/species", Value: text}, i, j)
		return true
	}
	return false
}

func (rd *reading) speciesAt(i int) bool {
	_, _, ok := rd.speciesText(i)
	return ok
}

// partOfTrap passes over the part of a trap that is not as it should be: "door's
// jammed", "treadle was stuck".
func (rd *reading) partOfTrap(i int) int {
	if !trapParts[rd.word(i)] {
		return i
	}
	j := i + 1
	for rd.word(j) == "'s" || rd.word(j) == "is" || rd.word(j) == "was" || rd.word(j) == "been" || rd.word(j) == "has" || rd.word(j) == "won't" && rd.word(j+1) == "shut" {
		j++
	}
	if id, n := rd.lexID(j, kOutcome); n > 0 && rd.joined(j) && id == "disabled" {
		return j
	}
	return i
}

var trapParts = wordSet("door doors treadle trigger latch spring flap hook pin lid pedal plate hinge mechanism trap")

// shutEmpty reads "shut, nothing in it": sprung.
func (rd *reading) shutEmpty(row string, i int) bool {
	j := i
	if rd.word(j) == "door" {
		j++
	}
	if w := rd.word(j); w != "shut" && w != "closed" && w != "down" {
		return false
	}
	if x := rd.word(j + 1); x == "but" || x == "and" || x == "with" {
		j++
	}
	id, n := rd.lexID(j+1, kOutcome)
	if n == 0 || id != "empty" && id != "capture" {
		return false
	}
	rd.take(Field{At: row + "/outcome", Value: map[string]string{"empty": "sprung", "capture": "capture"}[id]}, i, j+1+n)
	return true
}

// openEmpty reads "open, untouched" and "still open, nothing in it".
func (rd *reading) openEmpty(row string, i int) bool {
	j := i
	for w := rd.word(j); w == "still" || w == "door" || w == "'s" || w == "is" || w == "was"; w = rd.word(j) {
		j++
	}
	if rd.word(j) != "open" || j+1 >= len(rd.toks) || rd.toks[j+1].stop != ',' && rd.toks[j+1].stop != 0 {
		return false
	}
	id, n := rd.lexID(j+1, kOutcome)
	if n == 0 || id != "empty" && id != "bait taken" {
		return false
	}
	rd.take(Field{At: row + "/outcome", Value: id}, i, j+1+n)
	return true
}

// alsoHeld passes over what repeats the outcome: "bait gone, door open".
func (rd *reading) alsoHeld(row string) {
	i := rd.at
	if j := rd.calledIt(i); j > i {
		if id, n := rd.lexID(j, kOutcome); n > 0 {
			if f, ok := rd.out.Field(row + "/outcome"); ok {
				f.Value = id
				rd.fate(i, j+n, Taken, f.At)
				rd.at = j + n
				return
			}
		}
	}
	if id, n := rd.lexID(i, kOutcome); n > 0 && id == "empty" && rd.breaks(i) && rd.breaks(i+n) {
		if f, ok := rd.out.Field(row + "/outcome"); ok && f.Value != "capture" {
			rd.fate(i, i+n, Taken, f.At) // sprung, nothing in it
			rd.at = i + n
			return
		}
	}
	if rd.word(i) == "door" || rd.word(i) == "doors" {
		for k := i + 1; k <= i+3; k++ {
			if w := rd.word(k); (w == "open" || w == "shut" || w == "closed" || w == "down" || w == "up") && rd.joined(k) {
				if f, ok := rd.out.Field(row + "/outcome"); ok && f.Value == "bait taken" && (w == "shut" || w == "closed" || w == "down") {
					f.Value = "sprung"
				}
				rd.fate(i, k+1, Taken, row+"/outcome")
				rd.at = k + 1
				return
			}
		}
	}
}

// calledIt passes over "call it", "put it down as", "mark it".
func (rd *reading) calledIt(i int) int {
	for _, p := range []string{"call it", "call that", "put it down as", "mark it as", "mark it", "put that down as", "so", "so call it", "make it", "log it as"} {
		if rd.says(i, p) {
			return i + len(strings.Fields(p))
		}
	}
	return i
}

// heldByAll enters one check for each trap, if what they held was said.
func (rd *reading) heldByAll(names []string, i, k int) bool {
	id, _ := rd.lexID(rd.skip(k), kOutcome)
	if len(rd.out.Fields) > 0 && rd.checks == 0 && !rd.line && (rd.toks[i].stop != 0 || rd.word(i-1) == "in") || id == "dead" {
		return false
	}
	if len(names) == 1 && rd.checks == 0 && id == "" && !trapParts[rd.word(rd.skip(k))] && (rd.animalThere() || rd.letGoSpoken() || rd.sexSpoken()) {
		return false
	}
	if len(names) == 1 && rd.spokenOf(kOutcome, "dead") && id != "empty" && id != "sprung" {
		return false
	}
	at := rd.at
	for n, name := range names {
		row := "checks/" + strconv.Itoa(rd.checks+1)
		rd.at = at
		if !rd.held(row, k) {
			return n > 0
		}
		rd.checks++
		rd.put(Field{At: row + "/trap", Value: name}, i, k)
		rd.mustExist(row+"/trap", name, i, k)
	}
	rd.topic = tTrap
	return true
}
