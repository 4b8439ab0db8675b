package call

import (
	"strconv"
	"strings"
)

// markDigits reads a mark's text digit by digit, over short pauses: "double
// three", "triple oh", "two eighteen". It tells how many words it took.
func (rd *reading) markDigits(i int) (string, int) {
	var b strings.Builder
	j := i
	for j < len(rd.toks) && (j == i || rd.toks[j].stop == 0 || rd.toks[j].stop == ',' && !rd.toks[j-1].asked) {
		text, n := rd.markDigit(j)
		if n == 0 || j > i && rd.toks[j].stop == ',' && rd.notMore(j, n) {
			break
		}
		b.WriteString(text)
		j += n
		rd.steps++
	}
	return b.String(), j
}

// digitsHeard reads the end of a transponder as a transcriber may write it, to
// the end of the breath: "for to seven" is 427. All of it must be digits or
// their sound-alikes.
func (rd *reading) digitsHeard(i int) (string, int) {
	var b strings.Builder
	j := i
	for j < len(rd.toks) && (j == i || rd.joined(j)) && rd.given.Source == Dictated {
		text, n := rd.markDigit(j)
		if value, ok := misheardDigits[rd.word(j)]; n == 0 && ok {
			text, n = strconv.Itoa(value), 1
		}
		if n == 0 {
			return "", i
		}
		b.WriteString(text)
		j += n
		rd.steps++
	}
	if b.Len() < 2 || b.Len() > tailDigits {
		return "", i
	}
	return b.String(), j
}

// notMore tells whether digits behind a pause belong to something else.
func (rd *reading) notMore(j, n int) bool {
	if rd.topic == tSample && rd.labelledBy(j) {
		return true
	}
	if rd.toks[j].num.class == digit && n == 1 && rd.joined(j+n) {
		if _, m := rd.markDigit(j + n); m == 0 {
			return true // one digit alone, and other words: no group of a number
		}
	}
	for k := j + n; k < len(rd.toks) && rd.joined(k); k++ {
		if _, m := rd.markDigit(k); m == 0 {
			if c := rd.toks[k].num.class; c == hundred || c == thousand || c == point {
				return true
			}
			if w := rd.word(k); (w == "for" || w == "on" || w == "is") && rd.lex(rd.preposition(k+1), kTrait)+rd.lex(k+2, kTrait) > 0 {
				return true
			}
			if rd.joined(k) && rd.lex(k, kChip)+rd.lex(k, kConfirm)+rd.lex(k, kCorrect)+rd.lex(k, kSide)+rd.lex(k, kWear)+rd.lex(k, kMark)+rd.lex(k, kFiller) == 0 && rd.word(k) != "in" && rd.word(k) != "on" && rd.word(k) != "not" {
				return true // ten out of ten
			}
			return rd.lex(k, kWeigh) > 0 || rd.lex(k, kUnit) > 0 || rd.lex(k, kForeign) > 0 || rd.lex(k, kFindSign) > 0 || rd.word(k) == "and" || rd.word(k) == "point" || rd.lex(k, kYoung) > 0 || rd.lex(k, kTrait) > 0
		}
	}
	return false
}

// labelledBy tells whether the digits before token j are a sample's label, which
// goes over no pause.
func (rd *reading) labelledBy(j int) bool {
	for k := j - 1; k >= 0 && k > j-6; k-- {
		if id, n := rd.lexID(k, kLabel); n > 0 && id == "label" {
			return true
		}
		if rd.toks[k].stop != 0 {
			return false
		}
	}
	return false
}

// markDigit is the text of one step of a mark, and how many words it has.
func (rd *reading) markDigit(i int) (string, int) {
	if i >= len(rd.toks) {
		return "", 0
	}
	times := map[string]int{"double": 2, "triple": 3, "treble": 3, "quadruple": 4}[rd.word(i)]
	num := rd.toks[i].num
	switch {
	case times > 0 && rd.joined(i+1) && rd.toks[i+1].num.class == digit:
		return strings.Repeat(strconv.Itoa(rd.toks[i+1].num.value), times), 2
	case num.class == literal && !strings.Contains(rd.word(i), "."):
		return rd.word(i), 1
	case num.class == digit && rd.joined(i+1) && rd.toks[i+1].num.class == hundred:
		return strconv.Itoa(num.value * 100), 2
	case num.class == tens && rd.joined(i+1) && rd.toks[i+1].num.class == digit && rd.toks[i+1].num.value > 0:
		return strconv.Itoa(num.value + rd.toks[i+1].num.value), 2
	case num.spelt():
		return strconv.Itoa(num.value), 1
	}
	return "", 0
}
