package call

import (
	"strconv"

	"dawnround/record"
)

// release reads how an animal left the hand.
func (rd *reading) release() bool {
	i := rd.at
	id, n := rd.lexID(i, kRelease)
	if n == 0 {
		return false
	}
	if _, other := rd.out.Field("species"); id == "not processed" && rd.says(i, "not measured") && !other && rd.topic != tRelease {
		return false
	}
	if id == "not processed" && (rd.word(i) != "straight") {
		rd.take(Field{At: "brief", Value: "yes"}, i, i+n)
		return true
	}
	if id == "released" {
		return rd.letGo(i, n)
	}
	if rd.leftByItself(id, i) {
		rd.topic = tRelease
	}
	if rd.topic != tRelease {
		return false
	}
	return rd.howReleased(id, i, n)
}

// letGo begins a release.
func (rd *reading) letGo(i, n int) bool {
	w := rd.word(i)
	switch {
	case rd.word(i+n-1) == "gone" && rd.lex(i+n-1, kIncident) > 1:
		return false // gone limp
	case rd.denied(i), w == "gone" && rd.topic != tRelease, w == "back" && !rd.breaks(i), w == "out":
		return false
	case (w == "let" || w == "release") && rd.word(i+n) == "of":
		return false
	}
	rd.take(Field{At: "released/fate", Value: string(record.FateReleased)}, i, i+n)
	rd.topic = tRelease
	rd.young.open = false
	rd.timeBehind(rd.at)
	rd.place(rd.at)
	return true
}

// timeBehind reads "released six forty at the trap": a time without "at".
func (rd *reading) timeBehind(i int) {
	if !rd.joined(i) {
		return
	}
	if text, to := rd.timeText(i); to > i && (rd.breaks(to) || rd.lex(to, kRelease) > 0) {
		rd.take(Field{At: "released/time", Value: text}, i, to)
	}
}

// place reads where an animal was let go, when not at its trap: the words up
// to a stop, a time, or something else that is known of releases.
func (rd *reading) place(i int) {
	switch w := rd.word(i); {
	case !rd.joined(i), rd.lex(i, kRelease) > 0:
		return
	case w == "in" || w == "near" || w == "by" || w == "from" || w == "into" || w == "under" || w == "beside" || w == "behind" || w == "next" || w == "down" || w == "up" || w == "on":
	default:
		if s, ok := rd.number(i); !ok || !rd.isNumber(i) || rd.lex(s.to, kForeign) == 0 {
			return
		}
	}
	j := i
	for j < len(rd.toks) && rd.joined(j) && rd.word(j) != "at" && rd.word(j) != "with" && (j == i || rd.lex(j, kRelease) == 0) {
		j++
	}
	rd.take(Field{At: "released/where", Value: rd.text(i, j)}, i, j)
}

// plainPraise are words of behaviour that are said of anything.
var plainPraise = wordSet("good fine well alert calm fast quick slow strong")

func (rd *reading) howReleased(id string, i, n int) bool {
	switch id {
	case "here":
		rd.take(Field{At: "released/where", Value: "here"}, i, i+n)
	case "with young":
		rd.take(Field{At: "released/with young", Value: "yes"}, i, i+n)
	case "behaviour":
		if w := rd.word(i); plainPraise[w] && n == 1 && rd.joined(i+1) && rd.lex(i+1, kRelease) == 0 && rd.lex(i+1, kFiller) == 0 && !denials[rd.word(i+1)] && rd.word(i+1) != "and" && rd.word(i+1) != "but" && rd.word(i+1) != "enough" {
			return false // good girl, good head on him
		}
		at := "released/behaviour"
		text := rd.text(i, i+n)
		if f, ok := rd.out.Field(at); ok {
			text = f.Value + ", " + text
			f.Value = text
			rd.fate(i, i+n, Taken, at)
			rd.at = i + n
			return true
		}
		rd.take(Field{At: at, Value: text}, i, i+n)
	default:
		return false
	}
	return true
}

// closingLine reads "closing the D line", where it is what will be done.
func (rd *reading) closingLine(i int) (string, int) {
	switch rd.word(i) {
	case "closing", "close", "shutting", "shut":
	default:
		return "", 0
	}
	j := i + 1
	if rd.word(j) == "down" || rd.word(j) == "up" || rd.word(j) == "off" {
		j++
	}
	if _, next, ok := rd.lineName(j); ok && rd.joined(j) {
		return "close line", next - i
	}
	return "", 0
}

// action reads what the crew will do.
func (rd *reading) action() bool {
	i := rd.at
	id, n := rd.lexID(i, kAction)
	if n == 0 {
		id, n = rd.closingLine(i)
	}
	if n == 0 || rd.denied(i) || rd.joined(i+n) && rd.lex(i+n, kTrait) > 0 {
		return false // "call the ear forty" calls nobody
	}
	rd.lost++
	rd.take(Field{At: "actions/" + strconv.Itoa(rd.lost), Value: id}, i, i+n)
	return true
}
