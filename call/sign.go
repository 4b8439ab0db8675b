package call

import (
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// namedSign reads a sign of the species sheet by its own name and one of its
// own values: "vagina swollen", "swollen vagina", "pregnant". Pouch, teats and
// condition have rules of their own before this one.
func (rd *reading) namedSign() bool {
	i := rd.at
	if rd.answersSign(i) {
		return true
	}
	id, n := rd.lexID(i, kSign)
	if n == 0 {
		return rd.valueFirst(i)
	}
	if id == "pouch" || id == "teats" || len(rd.word(i)) == 1 && !rd.toks[i].capital {
		return false
	}
	if rd.lexicon.sheet == nil {
		return false
	}
	sign, ok := rd.lexicon.sheet.Sign(id)
	if !ok {
		return false
	}
	j := rd.skip(i + n)
	if value, ok := rd.valueOf(j, id); ok && rd.joined(j) && rd.writtenAs(j) && !rd.denied(j) {
		rd.putSign(id, value, i, j+rd.lenOfValue(j, id))
		return true
	}
	return rd.yesOrNo(sign, i, i+n)
}

// answersSign reads a value of the sign that was asked for.
func (rd *reading) answersSign(i int) bool {
	sign, ok := strings.CutPrefix(rd.given.Asked, "signs/")
	n := rd.lenOfValue(i, sign)
	if !ok || n == 0 || !rd.breaks(i) || !rd.breaks(i+n) || rd.lastPut != "" {
		return false
	}
	value, _ := rd.valueOf(i, sign)
	if sign == "pouch" {
		rd.putPouch(value, i, i+n)
		return true
	}
	rd.putSign(sign, value, i, i+n)
	return true
}

// valueFirst reads a value that stands before the name of its sign.
func (rd *reading) valueFirst(i int) bool {
	for _, e := range rd.found[i] {
		if e.kind != kSignValue || len(e.words[0]) == 1 {
			continue
		}
		sign, value, _ := strings.Cut(e.id, "=")
		j := i + len(e.words)
		if id, n := rd.lexID(j, kSign); n > 0 && id == sign && rd.joined(j) && sign != "pouch" && sign != "teats" && !rd.denied(i) {
			rd.putSign(sign, value, i, j+n)
			return true
		}
	}
	return false
}

// writtenAs: a value of one letter is one only as a capital.
func (rd *reading) writtenAs(j int) bool {
	return len(rd.word(j)) > 1 || rd.toks[j].capital
}

func (rd *reading) putSign(id, value string, i, j int) {
	rd.take(Field{At: "signs/" + id, Value: value}, i, j)
	if id == "testes" {
		rd.topic = tTestes
	}
}

// yesOrNo reads a sign that is only there or not: "pregnant", "not pregnant".
func (rd *reading) yesOrNo(sign *protocol.Sign, i, j int) bool {
	has := func(id string) bool {
		for _, v := range sign.Values {
			if v.ID == id {
				return true
			}
		}
		return false
	}
	if !has("yes") || !rd.breaks(j) && rd.word(j) != "and" {
		return false
	}
	at := "signs/" + sign.ID
	switch {
	case rd.negatedAt(i) && has("no"):
		rd.take(Field{At: at, Value: "no"}, i-1, j)
	case rd.negatedAt(i):
		rd.take(Field{At: at, State: record.NoneSeen}, i-1, j)
	case !rd.denied(i) && (rd.breaks(i) || rd.toks[i-1].fate == Taken || rd.word(i-1) == "and" || rd.lex(i-1, kFiller) > 0):
		rd.take(Field{At: at, Value: "yes"}, i, j)
	default:
		return false
	}
	return true
}
