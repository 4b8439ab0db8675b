package call

import (
	"strconv"
	"strings"
)

// A litter is the young that are spoken of.
type litter struct {
	open  bool
	row   int // the one in hand, from 1; 0: all
	count int // how many were said; 0: not said
	last  string
	sexes bool // a list of sexes is being read
	sexAt int
	each  int  // young told apart by "one …, one …"
	apart bool // in another trap
}

// youngOnes reads young: how many, and what is said of each.
func (rd *reading) youngOnes() bool {
	i := rd.at
	switch {
	case rd.youngCount(i), rd.youngAtFoot(i), rd.youngNamed(i), rd.sexCounts(i):
		return true
	}
	if rd.litterSpokenOf(i) {
		rd.young, rd.topic = litter{open: true, count: rd.given.LitterSize, sexes: rd.word(i) == "sexes"}, tYoung
	}
	if id, n := rd.lexID(i, kYoungWord); n > 0 && id == "too small" && !rd.young.open {
		rd.young, rd.topic = litter{open: true, row: 1}, tYoung
	}
	return (rd.young.open || rd.topic == tYoung) && rd.youngDetail(i)
}

// litterSpokenOf tells whether the young of a litter whose size is known are
// spoken of without being named: "both furred", "sexes male, female".
func (rd *reading) litterSpokenOf(i int) bool {
	if rd.young.open || rd.given.LitterSize < 2 || !rd.breaks(i) {
		return false
	}
	switch rd.word(i) {
	case "both", "all":
		return rd.joined(i+1) && rd.lex(i+1, kYoungWord) > 0
	case "sexes":
		return rd.lex(i+1, kSex) > 0 || rd.lex(i+1, kYoungWord) > 0
	}
	return false
}

// youngCount reads "one pouch young", "two young", "three furred ones".
func (rd *reading) youngCount(i int) bool {
	n, j := 0, i
	switch s, ok := rd.number(i); {
	case rd.given.Source == Dictated && rd.breaks(i) && misheardDigits[rd.word(i)] > 0 && rd.lex(i+1, kYoung) > 0 && rd.joined(i+1):
		n, j = misheardDigits[rd.word(i)], i+1
	case ok && rd.isNumber(i):
		whole, isWhole := s.whole()
		if !isWhole || whole > 14 || !rd.joined(s.to) && rd.topic != tPouch {
			return false
		}
		n, j = whole, s.to
	case rd.word(i) == "no" || rd.word(i) == "nil":
		j = i + 1
		if !rd.joined(j) {
			return false
		}
	case (rd.word(i) == "a" || rd.word(i) == "single") && rd.word(i-1) != "of" && !(rd.word(i+1) == "little" && (rd.word(i-1) == "'s" || rd.word(i-1) == "is")):
		n, j = 1, i+1
	case rd.word(i) == "twins":
		return rd.putCount(2, i, i+1)
	case (rd.word(i) == "twin" || rd.says(i, "pair of")) && rd.lex(i+rd.pairWords(i), kYoung) > 0:
		n := rd.pairWords(i)
		return rd.putCount(2, i, i+n+rd.lex(i+n, kYoung))
	case rd.says(i, "litter of"):
		s, ok := rd.number(i + 2)
		if whole, isWhole := s.whole(); ok && isWhole && whole < 15 {
			return rd.putCount(whole, i, s.to)
		}
		return false
	default:
		return false
	}
	if n == 1 && rd.young.count > 1 && rd.word(i) == "one" && rd.lex(j, kYoungWord) > 0 {
		return false
	}
	if n > 0 && rd.joined(j) && rd.inPouch(n, i, j) {
		return true
	}
	if w := rd.word(i - 1); n > 0 && (w == "feel" || w == "felt") && rd.breaks(j) && rd.saysAnywhere("pouch") {
		rd.putCount(n, i, j)
		rd.put(Field{At: "pouch/checked", Value: "by feel"}, i, j)
		return true
	}
	if w := rd.word(i - 1); n > 0 && rd.topic == tPouch && (w == "has" || w == "got" || w == "holds") && rd.breaks(j) && rd.hersToHave(i-1) {
		return rd.putCount(n, i, j)
	}
	k := j
	for rd.joined(k) {
		id, m := rd.lexID(k, kYoungWord)
		if w := rd.word(k); m == 0 && (w == "tiny" || w == "little" || w == "big" || w == "small" || w == "single" || w == "large" || w == "wee" || w == "teeny" || w == "lone" || w == "healthy" || w == "nice") {
			m = 1
		}
		if m == 0 || strings.HasPrefix(id, "sex=") && rd.lex(k+m, kYoung) == 0 {
			break
		}
		k += m
	}
	id, m := rd.lexID(k, kYoung)
	ones := k > j && (rd.word(k) == "ones" || rd.word(k) == "one" || rd.byFeel() || (rd.topic == tPouch || rd.given.Litter && rd.young.count == 0) && rd.breaks(k)) && (rd.saidYoung() || rd.given.Litter || rd.young.open || rd.byFeel() || rd.topic == tPouch)
	switch {
	case m > 0 && id == "young" && rd.joined(k):
		return rd.enterCount(n, i, j, k, k+m)
	case ones && n > 0:
		to := k
		if w := rd.word(k); w == "ones" || w == "one" {
			to++
		}
		return rd.enterCount(n, i, j, k, to)
	}
	return false
}

// pairWords is how many words say "twin" or "pair of".
func (rd *reading) pairWords(i int) int {
	if rd.word(i) == "twin" {
		return 1
	}
	return 2
}

// hersToHave tells whether "got" at token i is said of the animal or its pouch.
func (rd *reading) hersToHave(i int) bool {
	from, _ := rd.clause(i)
	for k := from; k < i; k++ {
		switch rd.word(k) {
		case "she", "he", "it", "'s", "has", "the", "her", "and", "still":
		default:
			if id, n := rd.pouchWord(k); n == 0 || id != "pouch" {
				return false
			}
		}
	}
	return true
}

// inPouch reads "one in the pouch" and "three on the teats".
func (rd *reading) inPouch(n, i, k int) bool {
	for _, p := range []string{"in the pouch", "in her pouch", "in the litter", "in this litter", "in her litter", "on board", "aboard", "in there", "in it", "inside", "through the pouch", "in pouch", "on the teat", "on the teats", "on teats", "attached"} {
		if !rd.says(k, p) || (strings.Contains(p, "there") || p == "in it" || p == "inside") && rd.topic != tPouch && !rd.pouchBefore(i) {
			continue
		}
		rd.putCount(n, i, k+len(strings.Fields(p)))
		if p == "through the pouch" {
			rd.put(Field{At: "pouch/checked", Value: "by feel"}, i, rd.at)
		}
		if strings.Contains(p, "teat") || p == "attached" {
			rd.youngWord("attached", k, k+len(strings.Fields(p)))
		}
		return true
	}
	return false
}

// pouchBefore tells whether the pouch is the subject of the words before token
// i: "pouch has two in it".
func (rd *reading) pouchBefore(i int) bool {
	for k := i - 1; k >= 0 && rd.joined(k+1) && k > i-4; k-- {
		if id, n := rd.pouchWord(k); n > 0 && id == "pouch" {
			return true
		}
	}
	return false
}

// byFeel tells whether the young were only felt.
func (rd *reading) byFeel() bool { return rd.saysAnywhere("by feel") }

func (rd *reading) saidYoung() bool {
	for i := range rd.toks {
		if rd.lex(i, kYoung) > 0 {
			return true
		}
	}
	return false
}

// enterCount enters the count and the words that stand between number and noun.
func (rd *reading) enterCount(n, i, from, noun, to int) bool {
	rd.putCount(n, i, to)
	for k := from; k < noun; {
		id, m := rd.lexID(k, kYoungWord)
		if m == 0 {
			m = 1
		} else {
			rd.youngWord(id, k, k+m)
		}
		k += m
	}
	rd.at = max(rd.at, to)
	if id, m := rd.lexID(to, kYoungWord); m > 0 && id == "in pouch" && rd.joined(to) {
		rd.fate(to, to+m, Taken, "young/count")
		rd.at = max(rd.at, to+m)
	}
	return true
}

func (rd *reading) putCount(n, i, j int) bool {
	at := "young/count"
	if f, ok := rd.out.Field(at); ok && !f.Derived && f.Value != strconv.Itoa(n) && !rd.correcting && !rd.outOfTotal(f.Value, n) {
		f.Pending = true
		rd.ask(Question{About: at, Says: f.Value + " young or " + strconv.Itoa(n) + "?"}, i, j)
		rd.at = j
		return true
	}
	correcting := rd.correcting
	rd.correcting = false
	rd.unask(at)
	rd.put(Field{At: at, Value: strconv.Itoa(n)}, i, j)
	rd.at, rd.last = max(rd.at, j), at
	rd.young = litter{open: n > 0, count: n, row: 1}
	if n > 1 {
		rd.young.row = 0
	}
	rd.pouchAgrees(n, correcting, i, j)
	rd.topic = tYoung
	if n == 0 {
		return true
	}
	rd.bean(i, j)
	return true
}

// pouchAgrees: who finds a young in a pouch that was called empty corrects
// that.
func (rd *reading) pouchAgrees(n int, correcting bool, i, j int) {
	f, ok := rd.out.Field("signs/pouch")
	if k, recorded := known(rd.recorded(), "signs/pouch"); !ok && recorded && n > 0 && strings.HasPrefix(k.Value, "empty") && rd.saysAnywhere("in there", "in the pouch", "in her pouch", "pouch") {
		rd.put(Field{At: "signs/pouch", Value: "occupied"}, i, j)
		return
	}
	if !ok || n == 0 || f.Value == "occupied" || rd.topic != tPouch || !correcting && !strings.HasPrefix(f.Value, "empty") {
		return
	}
	rd.put(Field{At: f.At, Value: "occupied"}, i, j)
}

// bean: young that are called beans or pinkies have no fur.
func (rd *reading) bean(i, j int) {
	for k := i; k < j; k++ {
		switch rd.word(k) {
		case "bean", "beans", "jellybean", "jellybeans", "pinky", "pinkie", "pinkies", "pinkys", "jelly":
			rd.youngWord("fur=unfurred", i, j)
			return
		}
	}
}

// outOfTotal: "three young, one male": one of those counted.
func (rd *reading) outOfTotal(total string, n int) bool {
	t, err := strconv.Atoi(total)
	return err == nil && n < t && rd.young.open
}

// litterCounted reads "five, all pink" where the young of a litter are spoken of
// already.
func (rd *reading) litterCounted(s spoken) bool {
	n, whole := s.whole()
	if !rd.given.Litter || !whole || n < 1 || n > 14 || s.to >= len(rd.toks) || rd.toks[s.to].stop != ',' {
		return false
	}
	j := s.to
	for w := rd.word(j); w == "all" || w == "both"; w = rd.word(j) {
		j++
	}
	return rd.lex(j, kYoungWord) > 0 && rd.putCount(n, s.from, s.to)
}

// countCorrected gives a number after a correction word to the count.
func (rd *reading) countCorrected(s spoken) bool {
	n, ok := s.whole()
	if !ok || n > 14 {
		rd.correcting = false
		return false
	}
	to := s.to
	if m := rd.lex(to, kYoung); m > 0 && rd.joined(to) {
		to += m
	}
	return rd.putCount(n, s.from, to)
}

// youngNamed reads a young that is named without a number: "pouch young male"
// is one; "the joey" is one already spoken of.
func (rd *reading) youngNamed(i int) bool {
	id, n := rd.lexID(i, kYoung)
	if n == 0 || rd.word(i) == "little" && rd.word(i-1) == "a" || id != "young" || rd.topic == tRelease && rd.releaseAhead(i) {
		return false
	}
	known := rd.word(i-1) == "the" || rd.word(i-1) == "her" || rd.word(i-1) == "his" || rd.word(i-1) == "this" || rd.word(i+n) == "'s" || rd.word(i+n) == "one" && rd.word(i+n+1) == "'s" || rd.word(i-1) == "that"
	if rd.word(i) == "young" && n == 1 && !known && !rd.breaks(i) && rd.word(i-1) != "with" && rd.word(i-1) != "has" && rd.word(i-1) != "got" {
		return false // a young male
	}
	if rd.negatedAt(i) {
		return rd.putCount(0, i-1, i+n)
	}
	if to := rd.withMother(i + n); to > 0 {
		rd.young, rd.topic = litter{open: true, row: 1}, tYoung
		rd.take(Field{At: "young/1/where", Value: "with mother"}, i, to)
		return true
	}
	next := i + n
	follows := rd.breaks(next) || rd.word(i) == "pouch" && rd.breaks(i) || rd.isNumber(next) || rd.lex(next, kYoungWord) > 0 || rd.lex(next, kYoungTrait) > 0 || rd.lex(next, kSex) > 0 || rd.lex(rd.skip(next), kYoungWord) > 0 || rd.lex(next, kFiller) > 0
	if !follows && !known {
		return false
	}
	if (rd.word(i) == "young" || rd.word(i) == "baby") && n == 1 && rd.joined(next) && (rd.lex(next, kSex) > 0 && rd.word(next) != "unsexed" || rd.lex(next, kStage) > 0) && !known {
		return false // "young female, adult …"
	}
	if s, ok := rd.number(next); ok && rd.isNumber(next) && rd.joined(next) && (rd.breaks(s.to) || rd.toks[next].num.class == literal) {
		if whole, isWhole := s.whole(); isWhole && whole < 15 {
			return rd.putCount(whole, i, s.to)
		}
	}
	if w := rd.word(i); (w == "joey" || w == "baby") && rd.joined(next) && rd.lex(next, kYoungTrait) > 0 {
		known = true
	}
	already := rd.young.open || rd.quiet
	if !known && !already && rd.breaks(i) && !strings.HasSuffix(rd.word(i+n-1), "s") {
		return rd.putCount(1, i, next)
	}
	if !already {
		rd.young = litter{open: true, row: 1}
	}
	rd.topic = tYoung
	rd.young.open = true
	rd.fate(i, next, Taken, "young")
	rd.at = next
	return true
}

func (rd *reading) releaseAhead(i int) bool { return rd.word(i-1) == "with" || rd.word(i-1) == "the" }

// sexCounts reads "two females and a male" of a litter.
func (rd *reading) sexCounts(i int) bool {
	if !(rd.young.open || rd.given.Litter || rd.topic == tYoung) {
		return false
	}
	n, j := 0, i
	if s, ok := rd.number(i); ok && rd.isNumber(i) && rd.joined(s.to) {
		n, _ = s.whole()
		j = s.to
	} else if rd.word(i) == "a" {
		n, j = 1, i+1
	}
	if n == 0 || n > 14 || !rd.joined(j) || n == 1 && rd.saysAnywhere("one too small", "other too small", "one unknown", "one not sure", "other's too small", "one couldn't tell", "one can't tell") {
		return false
	}
	w := strings.TrimSuffix(rd.word(j), "s")
	sex := map[string]string{"female": "female", "male": "male", "girl": "female", "boy": "male"}[w]
	if sex != "" && rd.wondered(j, 1) {
		return false
	}
	if sex == "" || rd.young.count < 2 && n < 2 && !rd.given.Litter && !rd.saysAnywhere("males", "females", "girls", "boys") {
		return false
	}
	rd.take(Field{At: "young/sex/" + sex, Value: strconv.Itoa(n)}, i, j+1)
	rd.topic = tYoung
	return true
}
