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

// maxRowWords bounds how far ahead a row of parasites is looked for.
const maxRowWords = 16

// parasiteAhead tells whether the words from here on are about parasites: a
// kind comes before anything else, or one was spoken of and a part follows.
func (rd *reading) parasiteAhead(i int) bool {
	from := i
	part := false
	if rd.measuredHere(i+rd.lex(i, kSide)) || rd.plainPart(i) || rd.clawsMeasured(i) {
		return false
	}
	if s, ok := rd.number(i); ok && rd.isNumber(i) && rd.fitsTraitAt(rd.preposition(s.to), s) {
		return false // thirty-eight point five on the ear
	}
	for i < min(len(rd.toks), from+maxRowWords) && (i == from || rd.joined(i)) {
		if id, n := rd.lexID(i, kFindSign); n > 0 && rd.counted(id) {
			return !rd.signOfThem(i + n)
		} else if n > 0 && rd.lex(i, kAmount) == 0 {
			return false // a part with a sign of its own
		}
		j, isPart := rd.parasiteWord(i)
		if j == i {
			break
		}
		part = part || isPart
		i = j
	}
	waits := rd.correcting || rd.topic == tParasite && rd.lastRow.quantified() && rd.lastRow.site == ""
	if part && !waits && !rd.amountIn(from, i) && !rd.countBehind(from, i) {
		return false // a part alone
	}
	spoken := (rd.topic == tParasite || rd.kindInPhrase() != "" && rd.amountIn(from, i)) && part && i > from
	return spoken || part && rd.bareRows(from)
}

// signOfThem tells whether a trace of parasites is named and not they: "flea
// dirt", "tick scars".
func (rd *reading) signOfThem(i int) bool {
	switch rd.word(i) {
	case "dirt", "scar", "scars", "bite", "bites", "tweezers", "treatment", "season", "spray", "damage", "remover", "jar", "vial", "pot":
		return rd.joined(i)
	}
	return false
}

// countBehind tells whether the breath behind the part named between tokens i
// and j is a count of its own, and no length of that part.
func (rd *reading) countBehind(i, j int) bool {
	if j >= len(rd.toks) || rd.toks[j].stop != ',' {
		return false
	}
	s, ok := rd.number(j)
	n, whole := s.whole()
	if !ok || !rd.isNumber(j) {
		return rd.lex(j, kAmount) > 0 && rd.breaks(j+rd.lex(j, kAmount))
	}
	k := i + rd.lex(i, kSide)
	return whole && n <= mostCounted && rd.breaks(s.to) && !rd.fitsTraitAt(k, s)
}

// amountIn tells whether a count or class stands among these tokens.
func (rd *reading) amountIn(i, j int) bool {
	for ; i < j; i++ {
		if rd.lex(i, kAmount) > 0 || rd.isNumber(i) {
			return true
		}
	}
	return false
}

// kindInPhrase is the only kind of parasite the phrase names.
func (rd *reading) kindInPhrase() string {
	kind := ""
	for i := range rd.toks {
		id, n := rd.lexID(i, kFindSign)
		if n == 0 || !rd.counted(id) || rd.ofAPerson(i) {
			continue
		}
		if kind != "" && kind != id {
			return ""
		}
		kind = id
	}
	return kind
}

// bareRows reads "ears clean, nine on the rump": counts of something on parts.
func (rd *reading) bareRows(i int) bool {
	if rd.given.Repeats != "" {
		return false
	}
	clean, number := false, false
	for k := i; k < min(len(rd.toks), i+maxRowWords); k++ {
		if w := rd.word(k); (w == "clean" || w == "clear") && rd.lex(k-1, kPart) > 0 && (rd.word(k-1) == "ears" || rd.word(k-1) == "ear") {
			clean = true
		}
		if s, ok := rd.number(k); ok && rd.isNumber(k) {
			if w := rd.word(s.to); w == "on" || w == "in" || w == "round" || w == "around" || w == "under" || w == "behind" {
				if j := rd.preposition(s.to); rd.fitsTraitAt(j, s) {
					return false
				} else if rd.lex(j, kPart) > 0 && rd.word(j) != "pouch" || rd.lex(j, kSide) > 0 && rd.lex(j+1, kPart) > 0 {
					number = true
				}
			}
			k = s.to - 1
		}
	}
	return clean && number || number && rd.onlyCounts(i)
}

// fitsTraitAt tells whether a number is rather a measurement of what is named
// at token i: "seventy-two four on the head".
func (rd *reading) fitsTraitAt(i int, s spoken) bool {
	m, _, ok := rd.mentionAt(i)
	return ok && m.trait != nil && rd.limits(m.trait, "").known && rd.fitsMention(m, s)
}

// onlyCounts tells whether the breath is nothing but a count on a part: "nine
// on the rump".
func (rd *reading) onlyCounts(i int) bool {
	_, to := rd.clause(i)
	if to-i > maxRowWords {
		return false
	}
	for i < to {
		j, _ := rd.parasiteWord(i)
		if j == i {
			return false
		}
		i = j
	}
	return true
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

// measuredHere tells whether a part that is also measured stands at token i with
// its length: "ticks six ear forty-one".
func (rd *reading) measuredHere(i int) bool {
	m, next, ok := rd.mentionAt(i)
	if !ok || m.trait == nil || m.misheard != "" || m.short {
		return false
	}
	if !rd.limits(m.trait, "").known && next-i <= rd.lex(i, kPart) {
		return false
	}
	j, ok := rd.toNumber(next, &m)
	if !ok || m.comma {
		return false
	}
	s, ok := rd.number(j)
	return ok && rd.fitsMention(m, s) && !rd.isForeign(s.to)
}

// plainPart reads ahead whether eyes, nose, mouth or gums are only said to be
// clear: that is no count of parasites.
func (rd *reading) plainPart(i int) bool {
	_, to := rd.clause(i)
	to = min(to, i+maxRowWords)
	for k := i; k < to; k++ {
		if id, n := rd.lexID(k, kPart); n > 0 && (id == "eye" || id == "nose" || id == "mouth" || id == "gums") {
			for ; k < to; k++ {
				if w := rd.word(k); w == "clear" || w == "clean" || w == "bright" || w == "good" || w == "fine" {
					return true
				}
				if rd.lex(k, kFindSign) > 0 || rd.isNumber(k) {
					return false
				}
			}
		}
		if id, n := rd.lexID(k, kFindSign); n > 0 && rd.counted(id) || rd.isNumber(k) {
			return false
		}
	}
	return false
}

// clawsMeasured tells whether a length of a foot, with or without its claw,
// begins at token i.
func (rd *reading) clawsMeasured(i int) bool {
	n := rd.lex(i, kConvention)
	return n > 1 && rd.isNumber(i+n)
}

// keptHere tells whether parasites were put into a vial: "two ticks in
// ethanol".
func (rd *reading) keptHere(i int) bool {
	j := i
	if s, ok := rd.number(j); ok && rd.isNumber(j) {
		j = s.to
	} else if n := rd.lex(j, kAmount); n > 0 {
		j += n
	}
	id, n := rd.lexID(j, kFindSign)
	return n > 0 && rd.counted(id) && rd.intoVial(j+n)
}

// placesAhead tells whether the breath at token i counts on a place of its own:
// "six ticks, left armpit two, right armpit four".
func (rd *reading) placesAhead(i int) bool {
	_, to := rd.clause(i)
	part, number := false, false
	for k := i; k < to; {
		if rd.lex(k, kFindSign) > 0 || rd.word(k) == "engorged" {
			return false
		}
		j, isPart := rd.parasiteWord(k)
		if j == k {
			return false
		}
		part, number = part || isPart, number || rd.isNumber(k)
		k = j
	}
	return part && number
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
