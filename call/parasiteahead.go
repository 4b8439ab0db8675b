package call

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

// clawsMeasured tells whether a length of a foot, with or without its claw,
// begins at token i.
func (rd *reading) clawsMeasured(i int) bool {
	n := rd.lex(i, kConvention)
	return n > 1 && rd.isNumber(i+n)
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
