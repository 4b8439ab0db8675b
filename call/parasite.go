package call

import (
	"strconv"
	"strings"

	"dawnround/record"
)

// counted tells whether a sign of the vocabulary is counted: a parasite.
func (rd *reading) counted(sign string) bool {
	for _, s := range rd.lexicon.protocol.Findings.Signs {
		if s.ID == sign {
			return s.Counted
		}
	}
	return false
}

// parasite reads rows of parasites in any order of their parts: "ticks on
// the neck five, rump two", "a few mites on the tail base".
func (rd *reading) parasite() bool {
	i := rd.at
	if rd.notLookedFor(i) {
		return true
	}
	if !rd.parasiteAhead(i) || rd.ofAPerson(i) {
		return false
	}
	if rd.topic != tParasite {
		rd.row = foundRow{}
	}
	rd.topic = tParasite
	start := i
	for i < len(rd.toks) {
		rd.steps++
		if i > start && rd.toks[i].stop != 0 && !rd.goesOn(i) {
			break
		}
		j := rd.parasiteItem(i)
		if j == i {
			break
		}
		i = j
	}
	if i == start {
		return false
	}
	rd.at = i
	rd.flush()
	return true
}

// notLookedFor reads "didn't check for ticks or mites".
func (rd *reading) notLookedFor(i int) bool {
	for _, p := range []string{"didn't look for", "didn't check for", "not checked for", "not checking for", "haven't checked for", "haven't looked for", "no time for", "skip the", "skipped the", "skip", "didn't do the", "not doing"} {
		j := i + len(strings.Fields(p))
		id, n := rd.lexID(j, kFindSign)
		if !rd.says(i, p) || n == 0 || !rd.counted(id) || !rd.joined(j) {
			continue
		}
		for from := i; n > 0 && rd.counted(id); {
			rd.putRow(foundRow{kind: id, state: record.NotChecked, from: from, to: j + n}, "")
			rd.at, rd.topic = j+n, tParasite
			if w := rd.word(j + n); w != "or" && w != "and" {
				break
			}
			from, j = j+n, j+n+1
			id, n = rd.lexID(j, kFindSign)
		}
		return true
	}
	return false
}

// ofAPerson tells whether the breath is about somebody of the crew.
func (rd *reading) ofAPerson(i int) bool {
	return i >= 0 && i < len(rd.breaths) && rd.breaths[i].person
}

// parasiteWord passes over one word that can stand in a row of parasites.
func (rd *reading) parasiteWord(i int) (next int, part bool) {
	if n := rd.lex(i, kPart); n > 0 {
		return i + n, true
	}
	if _, n := rd.misheardPart(i); n > 0 {
		return i + n, true
	}
	if n := rd.lex(i, kSide); n > 0 {
		return i + n, false
	}
	if rd.isDitto(i) {
		return i + 1, false
	}
	if n := max(rd.lex(i, kAmount), rd.lex(i, kRoughAfter)); n > 0 {
		return i + n, false
	}
	if s, ok := rd.number(i); ok && rd.isNumber(i) {
		return s.to, false
	}
	switch w := rd.word(i); w {
	case "upwards", "between", "a", "single", "count", "engorged", "fat", "big", "small", "tiny", "adult", "or", "and", "plus", "over", "more", "than", "to", "each", "per", "live", "at", "least", "only", "just", "fed":
		return i + 1, false
	}
	return rd.preposition(i), false
}

// misheardPart reads an ear that was written "here".
func (rd *reading) misheardPart(i int) (string, int) {
	if e, ok := rd.entry(i, kTrait); ok && e.alike && e.id == "ear" && rd.joined(i) && (rd.lex(i-1, kSide) > 0 && rd.topic == tParasite || rd.given.Source == Dictated && rd.row.kind != "" && rd.lex(i-1, kFindSign) > 0) {
		return "ear", len(e.words)
	}
	return "", 0
}

// preposition passes over "on the", "round the".
func (rd *reading) preposition(i int) int {
	for start := i; i < min(len(rd.toks), start+maxFillers); {
		switch w := rd.word(i); w {
		case "all", "over":
			if next := rd.word(i + 1); next != "the" && next != "over" && next != "her" && next != "his" || !rd.joined(i+1) || rd.lex(i, kAmount) > 0 {
				return i
			}
			i++
		case "across", "above", "below", "beneath", "beside", "out", "on", "in", "the", "of", "round", "around", "behind", "under", "inside", "her", "his", "its", "at", "near", "along", "got", "seen", "found", "has", "with", "there", "some", "up", "off", "is", "'s", "are", "was", "both":
			if rd.lex(i, kPart) > 0 || rd.lex(i, kSide) > 0 {
				return i
			}
			i++
		default:
			return i
		}
	}
	return i
}

// goesOn tells whether the rows go on behind a stop.
func (rd *reading) goesOn(i int) bool {
	if rd.measuredHere(i+rd.lex(i, kSide)) || rd.plainPart(i) || rd.keptHere(i) || rd.clawsMeasured(i) {
		return false
	}
	if rd.toks[i].stop != ',' && rd.lex(i, kFindSign) == 0 || rd.lex(i, kChatter) > 0 || rd.lex(i, kConfirm) > 0 || rd.ofAPerson(i) {
		return false
	}
	if rd.lex(i, kCorrect) > 0 && rd.word(i) == "no" && rd.word(i+1) != "" && i+1 < len(rd.toks) && rd.toks[i+1].stop != 0 {
		return false
	}
	if e, ok := rd.entry(i, kTrait); ok && !e.alike && rd.row.quantified() && rd.row.side == "" {
		m := mention{}
		j, ok := rd.toNumber(i+len(e.words), &m)
		t := rd.traitOf(e.id, false)
		if s, isNumber := rd.number(min(j, len(rd.toks)-1)); ok && isNumber && t != nil {
			if _, v := rd.choose(t, rd.limits(t, ""), s); v == fits && rd.limits(t, "").known {
				return false
			}
		}
	}
	if _, heard := misheardDigits[rd.word(i)]; heard && rd.given.Source == Dictated && rd.breaks(i+1) && rd.row.site != "" && !rd.row.quantified() {
		return true
	}
	_, to := rd.clause(i)
	to = min(to, i+maxRowWords)
	part, amount, side := false, false, false
	for k := i; k < to; {
		if id, n := rd.lexID(k, kFindSign); n > 0 && (rd.counted(id) || rd.lex(k, kAmount) == 0) {
			return rd.counted(id)
		}
		j, isPart := rd.parasiteWord(k)
		if rd.word(k) == "engorged" || rd.word(k) == "fed" {
			part = part || rd.row.open
		}
		if j == k {
			return part && amount
		}
		part = part || isPart
		side = side || rd.lex(k, kSide) > 0
		amount = amount || rd.isNumber(k) || rd.lex(k, kAmount) > 0 || rd.isDitto(k)
		k = j
	}
	return part || side && amount && (rd.lastSite != "" || rd.row.site != "") || amount && !rd.row.quantified() || amount && rd.row.site == "" && !rd.row.quantified()
}

// parasiteItem takes one word of a row and begins the next row where its place
// is filled.
func (rd *reading) parasiteItem(i int) int {
	if rd.toks[i].stop != 0 && rd.row.quantified() && (rd.row.site != "" || rd.row.side != "" || rd.placesAhead(i)) {
		rd.flush()
	}
	switch id, n := rd.lexID(i, kFindSign); {
	case n > 0 && !rd.counted(id) && rd.lex(i, kAmount) == 0:
		return i
	case n > 0 && rd.counted(id):
		e, _ := rd.entry(i, kFindSign)
		return rd.kindItem(id, strings.Join(e.words, " "), i, i+n)
	}
	if w := rd.word(i); (w == "no" || w == "nope") && rd.row.quantified() && rd.joined(i) && rd.lex(i+1, kFindSign) == 0 {
		return i // two, no, four
	}
	if rd.row.quantified() && rd.measuredHere(i) {
		return i
	}
	if rd.word(i) == "each" && rd.row.quantified() {
		return rd.span(i, i+1)
	}
	if n := rd.notChecked(i); n > 0 {
		rd.row.state = record.NotChecked
		return rd.span(i, i+n)
	}
	if j := rd.amountItem(i); j > i {
		return j
	}
	id, n := rd.lexID(i, kPart)
	if n == 0 {
		if id, n = rd.misheardPart(i); n > 0 {
			rd.row.misheard = append(rd.row.misheard, rd.word(i))
		}
	}
	if n > 0 {
		if rd.row.site != "" || rd.row.side != "" && rd.row.quantified() && rd.row.site != "" {
			rd.flush()
		}
		rd.row.site = id
		return rd.span(i, i+n)
	}
	if id, n := rd.lexID(i, kSide); n > 0 {
		if rd.row.side != "" || rd.row.site != "" && rd.row.quantified() && rd.lex(i+n, kPart) > 0 {
			rd.flush()
		}
		rd.row.side = id
		return rd.span(i, i+n)
	}
	if rd.says(i, "to count") {
		rd.row.class = "uncountable"
		return rd.span(i, i+2)
	}
	if rd.word(i) == "each" {
		return rd.span(i, i+1)
	}
	if w := rd.word(i); (w == "single" || w == "lone") && !rd.row.quantified() && rd.lex(i+1, kFindSign) > 0 && rd.joined(i+1) {
		return rd.oneOnly(i)
	}
	if rd.word(i) == "a" && !rd.row.quantified() && (rd.lex(i+1, kFindSign) > 0 || rd.lex(i+2, kFindSign) > 0) && rd.joined(i+1) {
		return rd.oneOnly(i)
	}
	if w := rd.word(i); w == "engorged" || w == "fed" {
		rd.row.engorged = true
		return rd.span(i, i+1)
	}
	if j := rd.preposition(i); j > i {
		return j
	}
	switch w := rd.word(i); w {
	case "and", "each", "plus", "live", "adult", "tiny", "small", "big", "fat", "only", "just":
		return i + 1
	}
	return i
}

func (rd *reading) notChecked(i int) int {
	if rd.word(i) == "checked" && rd.row.count != nil && *rd.row.count == 0 {
		rd.row.count = nil
		return 1
	}
	for _, p := range []string{"not checked", "n/c", "didn't check", "didn't look", "didn't check for", "not looked for"} {
		if rd.says(i, p) {
			return len(strings.Fields(p))
		}
	}
	return 0
}

// span widens the row to the tokens from i to j and gives j.
func (rd *reading) span(i, j int) int {
	if !rd.row.open {
		rd.row.open, rd.row.from = true, i
	}
	rd.row.to = max(rd.row.to, j)
	return j
}

// kindItem takes the name of a parasite.
func (rd *reading) kindItem(id, word string, i, j int) int {
	if !rd.row.open && rd.lastRow.kind == "" && rd.lastRow.quantified() && rd.findings > 0 && rd.breaks(i) && rd.breaks(j) {
		rd.put(Field{At: "findings/" + strconv.Itoa(rd.findings) + "/sign", Value: id}, i, j)
		rd.lastRow.kind = id
		rd.unask(WhichSign)
		return j
	}
	if w := rd.word(i - 1); (w == "or" || w == "nor" || w == "and") && rd.row.count != nil && *rd.row.count == 0 && rd.row.kind != "" && rd.row.kind != id {
		rd.flush()
	}
	if rd.row.kind != "" && rd.row.kind != id && !rd.row.passedOn || rd.row.kind != "" && rd.row.open && rd.row.quantified() && rd.row.site != "" {
		rd.flush()
	}
	if word == "tics" || word == "kicks" || word == "tix" || word == "flees" || word == "might" || word == "mights" {
		rd.row.misheard = append(rd.row.misheard, word)
	}
	rd.row.kind, rd.row.passedOn = id, false
	if rd.alsoNone(i) && !rd.isNumber(j) && rd.lex(j, kAmount) == 0 && rd.lex(rd.preposition(j), kPart) == 0 {
		none := 0
		rd.row.count = &none
	}
	return rd.span(i, j)
}
