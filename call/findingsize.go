package call

import "strings"

// sizeAndCause reads how big a finding is and what made it, before its sign or
// behind it: "two centimetre cut", "about the size of a coin", "rubbed raw on
// the mesh". It gives the token behind.
func (rd *reading) sizeAndCause(row string, i, j int) int {
	rd.sizeBefore(row, i)
	j = rd.sideBehind(row, rd.endBehind(j))
	for range 2 {
		if to := rd.sizeBehind(row, j); to > j {
			j = to
		}
		if to := rd.causeBehind(row, j); to > j {
			j = to
		}
	}
	rd.at = max(rd.at, j)
	return j
}

// endBehind passes over the end of a part: "near the tip".
func (rd *reading) endBehind(j int) int {
	switch rd.word(j) {
	case "near", "at", "by", "along", "towards":
	default:
		return j
	}
	k := j + 1
	if rd.word(k) == "the" {
		k++
	}
	switch rd.word(k) {
	case "tip", "base", "end", "edge", "middle", "top", "bottom", "root":
		if rd.joined(j) && rd.joined(k) {
			return k + 1
		}
	}
	return j
}

// sideBehind reads ", left one" or ", on the left" behind a finding that has no
// side.
func (rd *reading) sideBehind(row string, j int) int {
	if _, said := rd.out.Field(row + "/side"); said || j >= len(rd.toks) || rd.toks[j].stop == '.' {
		return j
	}
	k := j
	for w := rd.word(k); w == "the" || w == "on" || w == "that's" || w == "it's"; w = rd.word(k) {
		k++
	}
	side, n := rd.lexID(k, kSide)
	if n == 0 {
		return j
	}
	to := k + n
	if w := rd.word(to); rd.joined(to) && (w == "one" || w == "side") {
		to++
	}
	if part, ok := rd.out.Field(row + "/part"); !rd.breaks(to) || ok && !rd.sidedPart(part.Value) {
		return j
	}
	rd.put(Field{At: row + "/side", Value: side}, k, to)
	rd.part.side = side
	return to
}

// sidedPart tells whether there is one of a part on each side.
func (rd *reading) sidedPart(id string) bool {
	for _, p := range rd.lexicon.protocol.Findings.Parts {
		if p.ID == id {
			return p.Sided
		}
	}
	return false
}

// isSizeWord tells whether token i belongs to a length said before a sign:
// "two centimetre cut".
func (rd *reading) isSizeWord(i int) bool {
	if id, n := rd.lexID(i, kUnit); n > 0 && (id == "mm" || id == "cm") {
		return true
	}
	return rd.toks[i].num.begins() && rd.joined(i+1) && (rd.isSizeWord(i+1) || rd.toks[i+1].num.begins())
}

// sizeBefore reads "two centimetre" just before token i or at it.
func (rd *reading) sizeBefore(row string, i int) {
	for i < len(rd.toks) && !rd.isNumber(i) && rd.joined(i+1) && (rd.word(i) == "a" || rd.word(i) == "about" || rd.word(i) == "small") {
		i++
	}
	if s, ok := rd.number(i); ok && rd.isNumber(i) && (s.unit == "mm" || s.unit == "cm") && rd.joined(s.to) {
		rd.put(Field{At: row + "/size", Value: rd.text(i, s.to)}, i, s.to)
	}
}

// sizeBehind reads a length or a likeness at token j, also after a comma.
func (rd *reading) sizeBehind(row string, j int) int {
	if j >= len(rd.toks) || rd.toks[j].stop == '.' || rd.toks[j].stop == '?' {
		return j
	}
	k := j
	for w := rd.word(k); w == "is" || w == "'s" || w == "it" || w == "maybe" || w == "and"; w = rd.word(k) {
		k++
	}
	to := rd.likeness(k)
	if to == k {
		to = rd.lengthText(k)
	}
	if to == k {
		return j
	}
	for w := rd.word(to); rd.joined(to) && (w == "long" || w == "across" || w == "wide" || w == "round" || w == "deep"); w = rd.word(to) {
		to++
	}
	if !rd.breaks(to) && rd.word(to) != "and" && rd.word(to) != "on" {
		return j
	}
	rd.put(Field{At: row + "/size", Value: rd.text(k, to)}, k, to)
	return to
}

// lengthText passes over "about a centimetre", "five mil", "a few mil".
func (rd *reading) lengthText(i int) int {
	j := i + rd.lex(i, kRough)
	if s, ok := rd.number(j); ok && rd.isNumber(j) && (s.unit == "mm" || s.unit == "cm") {
		if rd.word(s.to) == "by" {
			if w, ok := rd.number(s.to + 1); ok && rd.isNumber(s.to+1) {
				return w.to
			}
		}
		return s.to
	}
	if s, ok := rd.number(j); ok && rd.isNumber(j) && rd.word(s.to) == "by" {
		if w, ok := rd.number(s.to + 1); ok && rd.isNumber(s.to+1) && (w.unit == "mm" || w.unit == "cm") {
			return w.to
		}
	}
	for w := rd.word(j); w == "a" || w == "half" || w == "couple" || w == "few" || w == "of" || w == "an"; w = rd.word(j) {
		j++
	}
	if id, n := rd.lexID(j, kUnit); n > 0 && (id == "mm" || id == "cm") && j > i {
		return j + n
	}
	if w := rd.word(j); j > i && (w == "inch" || w == "inches") {
		return j + 1
	}
	return i
}

// likeness passes over "the size of a coin", "as big as my thumb",
// "thumbnail size".
func (rd *reading) likeness(i int) int {
	_, to := rd.clause(min(i, max(0, len(rd.toks)-1)))
	j := i + rd.lex(i, kRough)
	for _, p := range []string{"the size of", "size of", "as big as", "as long as", "big as", "no bigger than"} {
		if rd.says(j, p) && j+len(strings.Fields(p)) < to {
			return to
		}
	}
	for k := i; k < min(to, i+5); k++ {
		if w := rd.word(k); w == "sized" || w == "size" && k > i && rd.breaks(k+1) {
			return k + 1
		}
	}
	return i
}

// trapMakers are things of traps and bags that hurt.
var trapMakers = wordSet("mesh wire door trap treadle cage bag bars bar floor netting net tag calliper callipers band collar ring fight fighting cat dog fox barb fence")

// causeBehind reads "on the mesh", "from the wire", "from fighting".
func (rd *reading) causeBehind(row string, i int) int {
	switch rd.word(i) {
	case "on", "from", "off", "by", "in", "against", "with":
	default:
		return i
	}
	if !rd.joined(i) && (rd.word(i) != "from" || i >= len(rd.toks) || rd.toks[i].stop != ',') {
		return i
	}
	j := i + 1
	for w := rd.word(j); w == "the" || w == "a" || w == "her" || w == "his" || w == "its" || w == "that" || w == "trap" && trapMakers[rd.word(j+1)]; w = rd.word(j) {
		j++
	}
	if !trapMakers[rd.word(j)] || !rd.joined(j) {
		return i
	}
	to := j + 1
	if rd.joined(to) && trapMakers[rd.word(to)] {
		to++
	}
	rd.put(Field{At: row + "/cause", Value: rd.text(j, to)}, i, to)
	return to
}

// scabbable are the signs that a scab belongs to, of the same part.
var scabbable = wordSet("wound graze bite torn bald")

// addsScab reads "bit scabby" behind a graze or a wound: no other finding, but
// a word about that one.
func (rd *reading) addsScab(sign string, i, n int) bool {
	if sign != "scab" || rd.topic != tFinding || rd.lastFinding == "" || !rd.breaks(i+n) {
		return false
	}
	f, ok := rd.out.Field(rd.lastFinding + "/sign")
	if !ok || !scabbable[f.Value] || rd.lex(rd.preposition(i+n), kPart) > 0 && rd.joined(i+n) {
		return false
	}
	rd.take(Field{At: rd.lastFinding + "/scabby", Value: "yes"}, i, i+n)
	return true
}
