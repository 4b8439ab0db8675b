package call

import (
	"strconv"

	"dawnround/record"
)

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
	if s, ok := rd.number(i); ok && rd.isNumber(i) && rd.word(s.to) == "out" && rd.word(s.to+1) == "of" && rd.saysAnywhere("condition", "bcs", "nick") {
		return rd.conditionAt(i, i)
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
	if value, ok := misheardDigits[rd.word(j)]; ok && value > 0 && rd.given.Source == Dictated && rd.breaks(j+1) {
		rd.take(Field{At: "condition/score", Value: strconv.Itoa(value), Misheard: rd.word(j)}, i, j+1)
		rd.last = "condition/score"
		return true
	}
	s, ok := rd.number(j)
	if !ok || !rd.isNumber(j) {
		return false
	}
	rd.take(Field{At: "condition/score", Value: s.text()}, i, s.to)
	rd.last = "condition/score"
	if s.to < len(rd.toks) && rd.toks[s.to].slashed {
		rd.take(Field{At: "condition/scale", Value: rd.word(s.to)}, s.to, s.to+1)
		return true
	}
	if rd.word(s.to) == "out" && rd.word(s.to+1) == "of" {
		if of, ok := rd.number(s.to + 2); ok {
			rd.take(Field{At: "condition/scale", Value: of.text(), State: record.Unknown}, i, of.to)
		}
	}
	return true
}
