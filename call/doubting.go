package call

import (
	"slices"
	"strings"
)

// doubting reads that the speaker is not sure of the value just said: "ear
// forty-one, or was it forty-seven", "ends seven one, or is it one seven". The
// value is under question, with both to choose from.
func (rd *reading) doubting() bool {
	i := rd.at
	j, ok := rd.orElse(i)
	at := rd.last
	if !ok || at == "" {
		return false
	}
	f, said := rd.out.Field(at)
	if !said || f.Value == "" {
		return false
	}
	other, to := rd.otherValue(at, j)
	if to == j || same(other, f.Value) || rd.toks[to-1].asked && to < len(rd.toks) {
		return false
	}
	f.Pending, f.Why = true, "two readings"
	rd.out.Questions = slices.DeleteFunc(rd.out.Questions, func(q Question) bool { return q.About == at })
	about := at
	if strings.HasPrefix(at, "samples/") {
		about = "samples/label"
	}
	rd.ask(Question{About: about, Says: Digits(f.Value) + " or " + Digits(other) + "?", Among: []string{f.Value, other}}, i, to)
	delete(rd.heard, keyOf(*f))
	rd.at = to
	return true
}

// orElse passes over the words that bring in another value: or, or was it,
// might have been. It tells whether they stand at token i.
func (rd *reading) orElse(i int) (int, bool) {
	j := i
	if rd.word(j) == "or" || rd.word(j) == "if" && rd.word(j+1) == "not" {
		j++
	} else if w := rd.word(j); w != "might" && w != "could" && w != "maybe" && w != "perhaps" && w != "possibly" && w != "unless" {
		return i, false
	}
	for start := j; j < start+maxFillers && j < len(rd.toks); j++ {
		if !orWords[rd.word(j)] {
			break
		}
	}
	return j, j > i && !rd.breaks(j)
}

var orWords = wordSet("or was were is it that maybe perhaps possibly might could have been be did say i you said called 's not the unless")

// otherValue is the other value for a field at token j, and where it ends; j
// where there is none.
func (rd *reading) otherValue(at string, j int) (string, int) {
	if strings.HasPrefix(at, "marks/") || strings.HasSuffix(at, "/label") {
		return rd.markDigits(j)
	}
	s, ok := rd.number(j)
	if !ok || !rd.isNumber(j) || rd.isForeign(s.to) {
		return "", j
	}
	if t := rd.traitAt(at); t != nil {
		text, v := rd.choose(t, rd.limits(t, ""), s)
		if v == unfit {
			return "", j
		}
		return text, s.to
	}
	switch {
	case at == atGross, at == atBag, at == "young/count", strings.HasPrefix(at, "young/"), strings.HasPrefix(at, "findings/"):
		return s.text(), s.to
	}
	return "", j
}
