package call

import "strings"

// ambiguousShort are abbreviations that two fields share on paper: T is tail,
// but also ticks, trap and testis; LT and RT are a testis or a teat (and RT a
// retrap). Common practice.
var ambiguousShort = map[string][]string{
	"t":  {"measures/tail", "findings", "trap", "measures/testis"},
	"lt": {"measures/testis.left", "teats"},
	"rt": {"measures/testis.right", "teats"},
}

// shorthand reads what only a scribe's hand writes: an abbreviation directly
// before a number in digits. Where two fields share it, the number or the sex
// decides, or it is asked.
func (rd *reading) shorthand() bool {
	i := rd.at
	w := rd.word(i)
	if i+1 >= len(rd.toks) || rd.toks[i+1].stop != 0 {
		return false
	}
	written := rd.toks[i+1].num.class == literal
	if t := rd.traitOf("tail", false); w == "t" && t != nil && rd.toks[i].capital && (rd.word(i+1) == "–" || rd.word(i+1) == "n/c") {
		rd.notTaken(addressOf(t, ""), "", i, i+2)
		return true
	}
	switch w {
	case "t":
		return written && rd.shortTail(i)
	case "lt", "rt":
		return rd.isNumber(i+1) && rd.shortTestis(i, w)
	case "b":
		if s, ok := rd.number(i + 1); ok && written && rd.isMass(s) {
			rd.weighedAs("bag", s, i, s.to)
			return true
		}
	case "le", "re":
		return written && rd.shortEar(i, w)
	}
	return false
}

// mostShort is more ticks, traps and millimetres of testis than a T is written
// for: a greater number is a tail.
const mostShort = 80

// shortTail reads T with a number: a tail if the number is one's, else a
// question.
func (rd *reading) shortTail(i int) bool {
	t := rd.traitOf("tail", false)
	s, ok := rd.number(i + 1)
	if t == nil || !ok || rd.isForeign(s.to) {
		return false
	}
	n, whole := s.whole()
	if _, v := rd.choose(t, rd.limits(t, ""), s); v == fits && (rd.limits(t, "").known || whole && n > mostShort) {
		rd.measured(mention{trait: t, from: i}, s)
		return true
	}
	rd.ask(Question{About: WhichField, Says: "T " + Digits(s.text()) + ": tail, ticks, trap or testis?", Among: ambiguousShort["t"]}, i, s.to)
	rd.at = s.to
	return true
}

// shortTestis reads LT and RT: a testis of a male, else a question.
func (rd *reading) shortTestis(i int, w string) bool {
	t := rd.traitOf("testis", false)
	s, ok := rd.number(i + 1)
	if t == nil || !ok {
		return false
	}
	side := map[string]string{"lt": "left", "rt": "right"}[w]
	if _, v := rd.choose(t, rd.limits(t, ""), s); rd.sex == "male" && v == fits {
		rd.measured(mention{trait: t, side: side, from: i}, s)
		rd.topic = tTestes
		return true
	}
	rd.ask(Question{About: WhichField, Says: side + " teat or " + side + " testis, " + Digits(s.text()) + "?", Among: ambiguousShort[w]}, i, s.to)
	rd.at = s.to
	return true
}

// shortEar reads LE and RE: the ear of a side.
func (rd *reading) shortEar(i int, w string) bool {
	t := rd.traitOf("ear", false)
	s, ok := rd.number(i + 1)
	if t == nil || !ok {
		return false
	}
	rd.measured(mention{trait: t, side: map[string]string{"l": "left", "r": "right"}[strings.ToLower(w[:1])], from: i}, s)
	return true
}
