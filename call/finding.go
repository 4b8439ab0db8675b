package call

import (
	"strconv"
	"strings"
)

// A partInHand is the part of the body that was named last.
type partInHand struct {
	id, side string
}

// finding reads what is seen on a part: "right eye weepy, left's clear", "graze
// on the nose", "skin tents for three seconds".
func (rd *reading) finding() bool {
	i := rd.at
	if rd.ofAPerson(i) {
		return false
	}
	switch {
	case rd.nothingAbnormal(i), rd.dehydrated(i), rd.partFirst(i), rd.signFirst(i), rd.otherSide(i):
		return true
	}
	return false
}

// nothingAbnormal reads NAD.
func (rd *reading) nothingAbnormal(i int) bool {
	for _, p := range []string{"nothing wrong with", "nothing wrong in", "no problems with", "nothing on", "nothing abnormal in"} {
		j := i + len(strings.Fields(p))
		if rd.word(j) == "the" || rd.word(j) == "her" || rd.word(j) == "his" {
			j++
		}
		side, n := rd.lexID(j, kSide)
		if id, m := rd.lexID(j+n, kPart); rd.says(i, p) && m > 0 && p != "nothing on" {
			rd.enterFinding(id, side, "normal", i, j+n+m)
			return true
		}
	}
	if rd.word(i) != "nad" && !rd.says(i, "nothing abnormal") {
		return false
	}
	n := 1
	if rd.word(i) == "nothing" {
		n = 2
	}
	rd.enterFinding(rd.part.id, rd.part.side, "normal", i, i+n)
	return true
}

func (rd *reading) dehydrated(i int) bool {
	grade := ""
	n := 1
	switch {
	case rd.says(i, "a bit dry"), rd.says(i, "bit dehydrated"), rd.says(i, "little dehydrated"), rd.says(i, "mildly dehydrated"), rd.says(i, "slightly dehydrated"), rd.says(i, "little dry"):
		grade, n = "mild", 2
		if rd.word(i) == "a" {
			n = 3
		}
	case rd.says(i, "very dehydrated"), rd.says(i, "severely dehydrated"), rd.says(i, "badly dehydrated"):
		grade, n = "severe", 2
	case rd.says(i, "moderately dehydrated"):
		grade, n = "moderate", 2
	case rd.word(i) == "dehydrated":
		grade = "mild"
	default:
		return false
	}
	if rd.negatedAt(i) {
		grade = "none"
	}
	rd.take(Field{At: "dehydration", Value: grade}, i, i+n)
	return true
}

// partFirst reads a part, then what is seen there.
func (rd *reading) partFirst(i int) bool {
	j, side := i, ""
	if id, n := rd.lexID(j, kSide); n > 0 && rd.joined(j+n) {
		side = id
		j += n
		if w := rd.word(j); (w == "hind" || w == "back" || w == "front" || w == "fore" || w == "rear") && rd.lex(j, kPart) <= 1 && rd.lex(j+1, kPart) > 0 {
			j++
		}
	} else if from, before := rd.sideBefore(i); before != "" && rd.toks[from].fate != Taken {
		side = before
	} else if rd.word(i) == "ear" && rd.topic == tMark {
		side = rd.tagSaid // the ear that the tag is spoken of in
	}
	id, n := rd.lexID(j, kPart)
	if n == 0 {
		return false
	}
	j += n
	if id == "pouch" && !rd.woundAt(rd.skip(j)) {
		return false
	}
	if rd.lex(i, kTrait) > 0 && rd.joined(j) && rd.isNumber(j) {
		return false
	}
	rd.part = partInHand{id, side}
	if k, _ := rd.lexID(j, kSide); k != "" && side == "" && rd.joined(j) {
		rd.part.side = k
		j++
	}
	if k := rd.andPart(j); k > j {
		return rd.bothParts(i, j, k)
	}
	return rd.seenAt(i, j)
}

// andPart passes over "and the nose" behind a part.
func (rd *reading) andPart(j int) int {
	if rd.word(j) != "and" || !rd.joined(j) {
		return j
	}
	k := j + 1
	if rd.word(k) == "the" {
		k++
	}
	if n := rd.lex(k, kPart); n > 0 && rd.joined(k) {
		if _, m := rd.signAt(rd.skip(k + n)); m > 0 && rd.joined(rd.skip(k+n)) {
			return k + n
		}
	}
	return j
}

// bothParts reads "eyes and nose clear": the same of two parts.
func (rd *reading) bothParts(i, j, k int) bool {
	at := rd.skip(k)
	sign, n := rd.signAt(at)
	if rd.denied(at) && sign != "normal" {
		return false
	}
	first := rd.enterFinding(rd.part.id, rd.part.side, sign, i, j)
	if f, ok := rd.out.Field(first + "/sign"); ok {
		f.Why = rd.text(i, at+n)
	}
	id, _ := rd.lexID(k-1, kPart)
	for b := k - 1; id == "" && b > j; b-- {
		id, _ = rd.lexID(b, kPart)
	}
	rd.part = partInHand{id: id}
	rd.enterFinding(id, "", sign, j, at+n)
	return true
}

// woundAt tells whether a sign is a hurt; other words of a pouch are its state.
func (rd *reading) woundAt(i int) bool {
	switch id, _ := rd.signAt(i); id {
	case "wound", "graze", "scab", "scar", "swollen", "swelling", "bleeding", "ulcer", "discharge", "bite":
		return true
	}
	return false
}

// seenAt reads the sign of the part in hand at token j; the finding began at
// token i.
func (rd *reading) seenAt(i, j int) bool {
	k := rd.skip(j)
	if _, n := rd.signAt(j); n > 0 {
		k = j // ok is a sign here
	}
	for w := rd.word(k); w == "just" || w == "a" || w == "bit" || w == "little" || w == "an" || w == "old" || w == "small" || w == "slightly" || w == "quite" || w == "very" || w == "some" || w == "with" || w == "has" || w == "got" || w == "of" || w == "looks" || w == "fresh" || w == "big"; w = rd.word(k) {
		if rd.lex(k, kFindSign) > 0 {
			break
		}
		k++
	}
	if k >= len(rd.toks) || k > j && !rd.joined(k) || k == j && rd.toks[k].stop == '.' {
		return false
	}
	sign, n := rd.signAt(k)
	if n == 0 {
		return false
	}
	if rd.lex(k, kFiller) > n {
		return false // notch to tip
	}
	if rd.topic == tParasite && rd.word(k) == "clean" {
		return false
	}
	if rd.denied(k) && sign != "normal" && rd.word(k-1) != "without" {
		return false
	}
	row := rd.enterFinding(rd.part.id, rd.part.side, sign, i, k+n)
	rd.elsewhere(row, k+n)
	rd.qualify(row, i, rd.at)
	rd.tagLost(sign)
	rd.moreSigns(rd.at)
	return true
}

// elsewhere reads the part that a small part belongs to: "claw missing on the
// left back foot".
func (rd *reading) elsewhere(row string, i int) {
	j := rd.preposition(i)
	if !rd.joined(i) || j == i && rd.lex(i, kSide) == 0 {
		return
	}
	side := ""
	if id, n := rd.lexID(j, kSide); n > 0 {
		side = id
		j += n
	}
	id, n := rd.lexID(j, kPart)
	if n == 0 || rd.isNumber(j+n) {
		return
	}
	if _, m := rd.signAt(rd.skip(j + n)); m > 0 && rd.joined(rd.skip(j+n)) && j == i+rd.lex(i, kSide) {
		return // "cloudy left eye fine": that part has a sign of its own
	}
	if f, ok := rd.out.Field(row + "/part"); ok {
		f.Value = id
		rd.fate(i, j+n, Taken, f.At)
	}
	if side != "" {
		rd.put(Field{At: row + "/side", Value: side}, i, j+n)
	}
	rd.at = j + n
}

// signAt reads a sign that is no parasite.
func (rd *reading) signAt(i int) (string, int) {
	id, n := rd.lexID(i, kFindSign)
	if n == 0 || rd.counted(id) {
		return "", 0
	}
	return id, n
}

// moreSigns reads further signs of the same part: "red and weepy".
func (rd *reading) moreSigns(i int) {
	for i < len(rd.toks) {
		from := i
		if w := rd.word(i); rd.joined(i) && (w == "and" || w == "but") {
			i++
		} else if rd.toks[i].stop != ',' {
			return
		}
		sign, n := rd.signAt(i)
		if n == 0 || rd.lex(i, kPart) > 0 || from == i && (!rd.breaks(i+n) && !rd.aBit(i+n) || sign == "normal" || rd.lex(i, kMedium) > 0) {
			return
		}
		if k := rd.preposition(i + n); k > i+n && rd.joined(i+n) && rd.lex(k, kPart) > 0 {
			return // "rough and patchy on the rump": of that part
		}
		rd.enterFinding(rd.part.id, rd.part.side, sign, i, i+n)
		i += n
	}
}

// aBit tells whether "a bit" and its like end the breath.
func (rd *reading) aBit(i int) bool {
	for _, p := range []string{"a bit", "a little", "slightly", "a touch", "a lot", "badly"} {
		if rd.says(i, p) && rd.breaks(i+len(strings.Fields(p))) {
			return true
		}
	}
	return false
}

// signFirst reads a sign, then its part: "scab on the rump".
func (rd *reading) signFirst(i int) bool {
	sign, n := rd.signAt(i)
	if n == 0 || sign == "normal" || rd.denied(i) {
		return false
	}
	if rd.addsScab(sign, i, n) {
		return true
	}
	j := rd.preposition(i + n)
	if !rd.joined(i + n) {
		j = i + n
	}
	if w := rd.word(i + n); w == "is" || w == "'s" || w == "was" || w == "are" || w == "has" {
		return false
	}
	side := ""
	if id, k := rd.lexID(j, kSide); k > 0 && rd.joined(j) {
		side = id
		j += k
	}
	if w := rd.word(j); (w == "hind" || w == "back" || w == "front" || w == "fore" || w == "rear") && rd.lex(j, kPart) == 0 && rd.lex(j+1, kPart) > 0 {
		j++
	}
	id, k := rd.lexID(j, kPart)
	if k == 0 && side != "" && rd.part.id != "" && rd.breaks(j) && rd.preposition(i+n) > i+n {
		id = rd.part.id // a split in the right
	} else if k == 0 || !rd.joined(j) {
		if id, side, k = rd.partBefore(i); k == 0 {
			return false
		}
		j, k = i+n, 0
	}
	from := i
	for from > 0 && rd.joined(from) && (rd.isSizeWord(from-1) || rd.word(from-1) == "a" || rd.word(from-1) == "old" || rd.word(from-1) == "fresh" || rd.word(from-1) == "small" || rd.word(from-1) == "healed") {
		from--
	}
	row := rd.enterFinding(id, side, sign, from, j+k)
	rd.part = partInHand{id, side}
	if k > 0 && rd.alsoOn(sign, j+k) {
		return true
	}
	rd.qualify(row, from, j+k)
	return true
}

// alsoOn reads "fur loss on the rump and tail base": the same sign on another
// part.
func (rd *reading) alsoOn(sign string, i int) bool {
	if rd.word(i) != "and" || !rd.joined(i) {
		return false
	}
	j, side := rd.preposition(i+1), ""
	if id, n := rd.lexID(j, kSide); n > 0 {
		side = id
		j += n
	}
	id, n := rd.lexID(j, kPart)
	if n == 0 || !rd.breaks(j+n) {
		return false
	}
	rd.enterFinding(id, side, sign, i, j+n)
	rd.part = partInHand{id, side}
	return true
}

// enterFinding enters one row and gives its address.
func (rd *reading) enterFinding(part, side, sign string, i, j int) string {
	rd.findings++
	row := "findings/" + strconv.Itoa(rd.findings)
	if part != "" {
		rd.put(Field{At: row + "/part", Value: part}, i, j)
	}
	if side != "" {
		rd.put(Field{At: row + "/side", Value: side}, i, j)
	}
	rd.take(Field{At: row + "/sign", Value: sign, Why: rd.text(i, j)}, i, j)
	rd.topic, rd.lastFinding = tFinding, row
	return row
}
