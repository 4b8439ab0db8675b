package call

import (
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// tag reads an ear tag: its side, colour and number.
func (rd *reading) tag() bool {
	i := rd.at
	kind, ok := rd.tagKind(i)
	id, n := rd.lexID(i, kMark)
	if ok && rd.topic == tMark && rd.mark == "marks/"+kind.ID && rd.otherTag(i) {
		return true
	}
	if n := rd.tagPronoun(i); ok && n > 0 {
		return rd.tagText(rd.mark, "", i, i+n)
	}
	if ok && (rd.colourFirst("marks/"+kind.ID, i) || rd.sideAndColour("marks/"+kind.ID, i)) {
		return true
	}
	if !ok || n == 0 || id != kind.ID {
		return false
	}
	from, side := rd.sideBefore(i)
	if side == "" && rd.joined(i) && rd.lex(i-1, kPart) > 0 {
		from, side = rd.sideBefore(i - 1)
		if side != "" {
			n, i = n+1, i-1
		}
	}
	base := "marks/" + kind.ID
	no := rd.joined(from) && rd.word(from-1) == "no"
	if wear, k := rd.lexID(rd.skip(i+n), kWear); !no && k > 0 && wear == "gone" {
		no = true
		n = rd.skip(i+n) + k - i
	}
	if no && (side == "" || side == "both") && strings.HasSuffix(rd.word(i+rd.lex(i, kMark)-1), "s") {
		rd.topic, rd.mark = tMark, base
		rd.take(Field{At: base + ".left/text", State: record.NoneSeen, Side: "left"}, from, i+n)
		rd.put(Field{At: base + ".right/text", State: record.NoneSeen, Side: "right"}, from, i+n)
		return true
	}
	if no {
		return rd.noTag(base, side, from, i+n)
	}
	rd.topic, rd.mark = tMark, base
	return rd.tagText(base, side, from, i+n)
}

// tagPronoun is how many words stand for a tag where tags are spoken of: "new
// one in the right".
func (rd *reading) tagPronoun(i int) int {
	if rd.topic != tMark || !strings.HasPrefix(rd.mark, "marks/") || strings.Contains(rd.mark, "transponder") {
		return 0
	}
	j := i
	switch rd.word(j) {
	case "new", "old", "other", "second", "another":
		j++
	}
	if rd.word(j) == "one" {
		j++
	}
	if w := rd.word(j); j == i || rd.word(j-1) != "one" && rd.word(j-1) != "another" || w != "in" && w != "on" || !rd.joined(j) {
		return 0
	}
	if _, side := rd.tagSide("", j); side == "" {
		return 0
	}
	return j - i
}

// tagKind is the kind of tag that is named at token i; where none is, the
// programme's first.
func (rd *reading) tagKind(i int) (protocol.MarkKind, bool) {
	id, n := rd.lexID(i, kMark)
	for _, m := range rd.lexicon.protocol.Marks {
		if n > 0 && m.ID == id && m.Form == protocol.Tag {
			return m, true
		}
	}
	return rd.markKind(protocol.Tag)
}

// sidedMark tells whether the marks at an address are kept by side.
func (rd *reading) sidedMark(base string) bool {
	id := strings.TrimPrefix(base, "marks/")
	for _, m := range rd.lexicon.protocol.Marks {
		if m.ID == id {
			return m.Sided
		}
	}
	return true
}

func (rd *reading) noTag(base, side string, from, to int) bool {
	to, side = rd.tagSide(side, to)
	if side == "" && !rd.sidedMark(base) {
		rd.topic, rd.mark = tMark, base
		rd.take(Field{At: base + "/text", State: record.NoneSeen}, from, to)
		return true
	}
	if side == "" {
		return false
	}
	rd.topic, rd.mark, rd.tagSaid = tMark, base, side
	rd.take(Field{At: base + "." + side + "/text", State: record.NoneSeen, Side: side}, from, to)
	return true
}

// otherTag reads "left is red one oh two" after the tag of the other ear.
func (rd *reading) otherTag(i int) bool {
	if rd.lex(i, kMark) > 0 {
		return false
	}
	if rd.noneIn(i) {
		return true
	}
	side, n := rd.lexID(i, kSide)
	if w := rd.word(i); w == "other" || rd.says(i, "the other") || w == "t'other" {
		side, n = otherOf(rd.tagSaid), len(strings.Fields(map[bool]string{true: "the other", false: "other"}[w == "the"]))
	}
	if n == 0 || side == "" || side == "both" || !rd.breaks(i) && rd.word(i-1) != "and" {
		return false
	}
	j := i + n
	if part, m := rd.lexID(j, kPart); rd.measuredHere(j) || m > 0 && part != "ear" {
		return false
	}
	if rd.joined(j) && (rd.lex(j, kPart) > 0 || (rd.word(j) == "one" || rd.word(j) == "side") && (rd.breaks(j+1) || !rd.isNumber(j+1))) {
		j++
	}
	j = rd.skip(j)
	if bareEar[rd.word(j)] && rd.breaks(j+1) && rd.joined(j) {
		return rd.noTag(rd.mark, side, i, j+1)
	}
	wear, k := rd.lexID(j, kWear)
	if k > 0 && wear == "gone" && rd.breaks(j+k) {
		return rd.noTag(rd.mark, side, i, j+k)
	}
	if _, d := rd.markDigits(j); d == j && k == 0 {
		return false
	}
	return rd.tagText(rd.mark, side, i, j)
}

// bareEar are words for an ear without a tag.
var bareEar = wordSet("bare empty nothing none nil untagged clean clear blank naked")

// noneIn reads "nothing in the left" after the tag of the other ear.
func (rd *reading) noneIn(i int) bool {
	n := 1
	switch w := rd.word(i); {
	case rd.says(i, "no tag"):
		n = 2
	case !bareEar[w]:
		return false
	}
	if w := rd.word(i + n); w != "in" && w != "on" {
		return false
	}
	to, side := rd.tagSide("", i+n)
	return side != "" && rd.noTag(rd.mark, side, i, to)
}

func otherOf(side string) string {
	return map[string]string{"left": "right", "right": "left"}[side]
}

// colourFirst reads a tag that is not called one: "green nine in the right
// ear".
func (rd *reading) colourFirst(base string, i int) bool {
	wear, n := rd.lexID(i, kWear)
	if n == 0 || wear != "colour" || !rd.breaks(i) && rd.word(i-1) != "and" && rd.lex(i-1, kFiller) == 0 {
		return false
	}
	j := i + n
	text, k := rd.markDigits(j)
	if k == j || !rd.joined(j) {
		return false
	}
	for rd.word(k) == "'s" || rd.word(k) == "is" || rd.word(k) == "goes" {
		k++
	}
	bare := rd.topic == tMark && rd.mark == base && rd.lex(k, kSide) > 0 && rd.joined(k)
	if w := rd.word(k); w != "in" && w != "on" && !bare || !rd.joined(k) {
		return false
	}
	to, side := rd.tagSide("", k)
	if side == "" {
		return false
	}
	rd.topic, rd.mark = tMark, base
	return rd.tagged(base, side, rd.word(i)+" "+text, false, i, to)
}

// sideAndColour reads "left ear green two": a colour with a number in an ear is
// a tag.
func (rd *reading) sideAndColour(base string, i int) bool {
	side, n := rd.lexID(i, kSide)
	part, m := rd.lexID(i+n, kPart)
	if n == 0 || side == "both" || m == 0 || part != "ear" || !rd.joined(i+n) {
		return false
	}
	j := rd.skip(i + n + m)
	wear, k := rd.lexID(j, kWear)
	text, to := rd.markDigits(j + k)
	if k == 0 || wear != "colour" || to == j+k || !rd.joined(j) || !rd.joined(j+k) || !rd.breaks(to) {
		return false
	}
	rd.topic, rd.mark = tMark, base
	return rd.tagged(base, side, rd.word(j)+" "+text, false, i, to)
}

// tagText goes on to a tag's colour, number and side.
func (rd *reading) tagText(base, side string, from, i int) bool {
	var words []string
	unread, to, start := false, i, i
	if wear, n := rd.lexID(from-1, kWear); n == 1 && wear == "colour" && rd.joined(from) {
		words = append(words, rd.word(from-1))
		from--
	}
	for i < len(rd.toks) && i < start+10 {
		wear, n := rd.lexID(i, kWear)
		text, j := rd.markDigits(i)
		letter := len(rd.word(i)) == 1 && rd.joined(i+1) && len(words) <= 1 && rd.word(i) != "l" && rd.word(i) != "a"
		switch {
		case n > 0 && wear == "colour":
			words = append(words, rd.word(i))
			i += n
		case n > 0 && wear == "faded":
			unread = true
			i += n
		case j > i:
			words = append(words, text)
			if wear, n := rd.lexID(j, kWear); n > 0 && wear == "colour" && rd.joined(j) {
				words = append([]string{rd.word(j)}, words...)
				j += n
			}
			to, side = rd.tagSide(side, j)
			return rd.tagged(base, side, strings.Join(words, " "), unread, from, to)
		case letter && rd.lettered(i):
			digits, j := rd.markDigits(i + 1)
			words = append(words, strings.ToUpper(rd.word(i))+digits)
			to, side = rd.tagSide(side, j)
			return rd.tagged(base, side, strings.Join(words, " "), unread, from, to)
		case rd.lex(i, kFiller) > 0 || rd.lex(i, kLabel) > 0 || stillThere[rd.word(i)]:
			i++
			continue
		case rd.lex(i, kSide) > 0 && side == "":
			side, n = rd.lexID(i, kSide)
			i += n
			if rd.lex(i, kPart) > 0 {
				i++
			}
		case rd.word(i) == "in" || rd.word(i) == "the" || rd.word(i) == "on":
			i++
			continue
		default:
			i = len(rd.toks)
			continue
		}
		to = i
	}
	if len(words) == 0 && !unread {
		return false
	}
	to, side = rd.tagSide(side, to)
	return rd.tagged(base, side, strings.Join(words, " "), true, from, to)
}

// stillThere are words between a tag and what is read on it.
var stillThere = wordSet("though with still there present intact ok fine good reads reading legible says and it's clear")

// lettered tells whether digits follow the letter at token i: T oh four.
func (rd *reading) lettered(i int) bool {
	_, j := rd.markDigits(i + 1)
	return j > i+1
}

// tagSide reads the ear behind a tag: "in the left", "left ear".
func (rd *reading) tagSide(side string, i int) (int, string) {
	j := i
	for k := 0; k < 3 && (rd.word(j) == "in" || rd.word(j) == "the" || rd.word(j) == "on" || rd.word(j) == "from" || rd.word(j) == "her" || rd.word(j) == "his"); k++ {
		j++
	}
	id, n := rd.lexID(j, kSide)
	if n == 0 || side != "" || !rd.joined(j) && j != i || id == "both" || rd.lex(j+n, kMark) > 0 && rd.joined(j+n) || rd.lex(j, kMark) > 0 {
		return i, side
	}
	j += n
	if rd.lex(j, kPart) > 0 && rd.joined(j) {
		j++
	}
	return j, id
}

// tagged enters a tag, and asks for its side or for what was not read.
func (rd *reading) tagged(base, side, text string, unread bool, from, to int) bool {
	at := base
	if side != "" && rd.sidedMark(base) {
		at += "." + side
	}
	f := Field{At: at + "/text", Value: text, Side: side}
	if unread {
		f.Value = strings.TrimSpace(text + " ?")
		f.Flag = "not read in full"
	}
	f.Pending = side == "" && rd.sidedMark(base)
	rd.tagSaid = side
	rd.take(f, from, to)
	rd.last = f.At
	switch {
	case f.Pending:
		rd.fate(from, to, Asked, f.At)
		rd.ask(Question{About: WhichTagSide, Says: "tag " + text + ": which ear?", Among: []string{"left", "right"}}, from, to)
	case unread:
		rd.fate(from, to, Asked, f.At)
		rd.ask(Question{About: f.At, Says: side + " tag " + f.Value + ": what number?"}, from, to)
	}
	return true
}
