package call

import (
	"slices"

	"dawnround/protocol"
)

// partBefore is a part that was named in the same breath before a sign.
func (rd *reading) partBefore(i int) (id, side string, n int) {
	if id, side := rd.partMeasured(i); id != "" {
		return id, side, 1
	}
	if _, n := rd.signAt(i); rd.part.id == "" || !rd.joined(i) || !rd.stillOfPart(i) || rd.lex(i+n, kMark) > 0 && rd.joined(i+n) {
		return "", "", 0
	}
	return rd.part.id, rd.part.side, 1
}

// stillOfPart tells whether the breath of the sign at token i names a part
// before it, or goes on about the one before in so many words: "it's cloudy
// too", and not "is that blood".
func (rd *reading) stillOfPart(i int) bool {
	from, _ := rd.clause(i)
	if _, ok := rd.has(from, i, kPart, ""); ok {
		return true
	}
	sign, _ := rd.signAt(i)
	if !hurts[sign] && sign != "cloudy" && sign != "discharge" && sign != "ulcer" && sign != "red" && sign != "closed" {
		return false
	}
	for k := from; k < i; k++ {
		if rd.toks[k].fate != Taken && !linkWords[rd.word(k)] && rd.lex(k, kFiller) == 0 && rd.lex(k, kSide) == 0 && rd.lex(k, kSample) == 0 && !rd.isSizeWord(k) || rd.word(k) == "that" || rd.word(k) == "this" {
			return false
		}
	}
	return true
}

// hurts are the signs that are told of a part beside its length.
var hurts = map[string]bool{"tip missing": true, "torn": true, "hole": true, "wound": true, "broken": true, "swollen": true, "docked": true, "missing": true, "scab": true, "scar": true, "bald": true, "graze": true, "claw lost": true, "bleeding": true, "bite": true}

// partMeasured is the part that was just measured, where what is seen of it
// follows: "tail one sixty but the tip's missing", "ear forty, torn".
func (rd *reading) partMeasured(i int) (id, side string) {
	t := rd.traitAt(rd.last)
	if t == nil || rd.topic != tMeasure || rd.correcting || t.ID == protocol.Mass {
		return "", ""
	}
	sign, n := rd.signAt(i)
	if !hurts[sign] || rd.lex(i, kConvention) > 0 && rd.conventional(t) {
		return "", ""
	}
	j := i - 1
	for w := rd.word(j); w == "but" || w == "the" || w == "and" || w == "a" || w == "bit" || w == "it" || w == "'s" || w == "is"; w = rd.word(j) {
		j--
	}
	part := map[string]string{"pes": "foot"}[t.ID]
	if part == "" {
		part = t.ID
	}
	known := slices.ContainsFunc(rd.lexicon.protocol.Findings.Parts, func(p protocol.Part) bool { return p.ID == part })
	if j < 0 || rd.toks[j].fate != Taken || rd.toks[j].field != rd.last || !known || !rd.breaks(i+n) {
		return "", ""
	}
	f, ok := rd.out.Field(rd.last)
	if !ok || f.Value == "" {
		return "", ""
	}
	return part, f.Side
}

// otherSide reads "left's clear" after "right eye weepy".
func (rd *reading) otherSide(i int) bool {
	side, n := rd.lexID(i, kSide)
	if w := rd.word(i); n == 0 && (w == "other" || w == "t'other") && rd.part.side != "" {
		side, n = map[string]string{"left": "right", "right": "left"}[rd.part.side], 1
		if rd.word(i+1) == "one" || rd.word(i+1) == "side" {
			n = 2
		}
	}
	if n == 0 || rd.part.id == "" || rd.lex(i+n, kPart) > 0 {
		return false
	}
	if rd.word(i+n) == "one" {
		n++
	}
	was := rd.part
	rd.part.side = side
	if rd.seenAt(i, i+n) {
		return true
	}
	rd.part = was
	return false
}
