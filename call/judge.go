package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// judge tests the number of a field and enters it, or asks.
func (rd *reading) judge(t *protocol.Trait, lim limits, f Field, s spoken, from, to int) {
	text, v := rd.choose(t, lim, s)
	if v == outside && rd.correcting {
		if mended, ok := rd.mendedTail(lim, f.At, text); ok {
			text, v = mended, fits
		}
	}
	f.number(text)
	if other := rd.soundsLike(t, lim, s); v == fits && other != "" {
		s.readings, v = []string{text, other}, ambiguous
	}
	if v == fits && s.alternative != "" {
		if other, ok := rd.choose(t, lim, spoken{readings: []string{s.alternative}, unit: s.unit}); ok == fits {
			s.readings, v = []string{text, other}, ambiguous
		}
	}
	switch v {
	case unfit:
		rd.fate(from, to, Left, "")
		rd.at = max(rd.at, to)
	case outside:
		f.Flag = "outside its range"
		rd.doubt(f, Question{About: f.At, Says: t.Name + " " + Digits(text) + ": again?"}, from, to)
	case ambiguous:
		f.Flag = "two readings"
		says := t.Name + " " + Digits(s.readings[0]) + " or " + Digits(s.readings[1]) + "?"
		rd.doubt(f, Question{About: f.At, Says: says, Among: s.readings}, from, to)
	default:
		rd.keep(t, f, from, to)
	}
}

// doubt puts a value under question.
func (rd *reading) doubt(f Field, q Question, from, to int) {
	f.Pending = true
	if rd.correcting {
		delete(rd.heard, keyOf(f))
	}
	rd.heard[keyOf(f)] = append(rd.heard[keyOf(f)], utterance{value: f.Value, asked: rd.toks[to-1].asked, from: from, to: to})
	rd.unask(f.At)
	rd.put(f, from, to)
	rd.fate(from, to, Asked, f.At)
	rd.ask(q, from, to)
	rd.correcting = false
}

// keep enters a value that is in range, and asks where the last visit says
// otherwise.
func (rd *reading) keep(t *protocol.Trait, f Field, from, to int) {
	said := utterance{value: f.Value, asked: to > 0 && rd.toks[to-1].asked, from: from, to: to}
	before := rd.heard[keyOf(f)]
	switch {
	case len(before) == 0 || rd.correcting:
		rd.heard[keyOf(f)] = []utterance{said}
		rd.put(f, from, to)
		rd.unask(f.At)
	default:
		rd.heard[keyOf(f)] = append(before, said)
		rd.fate(from, to, Taken, f.At)
		rd.bothSides(f)
		rd.finer(f)
	}
	rd.correcting = false
	if why := rd.sinceLast(t, f); why != "" {
		rd.flagLast(f.At, why)
		rd.ask(Question{About: f.At, Says: t.Name + " " + Digits(f.Value) + "; " + why + ". Again?"}, from, to)
	}
}

// bothSides: a trait that is not kept by side was read on both; the numbers are
// then of neither.
func (rd *reading) bothSides(f Field) {
	old, ok := rd.out.Field(f.At)
	switch {
	case !ok || old.Side == "" || f.Side == "" || old.Side == f.Side:
	case same(old.Value, f.Value):
		old.Side = "both"
	default:
		old.Side = ""
	}
}

// finer: the same number again with its tenths is what was read.
func (rd *reading) finer(f Field) {
	if old, ok := rd.out.Field(f.At); ok && same(old.Value, f.Value) && len(f.Value) > len(old.Value) && strings.Contains(f.Value, ".") {
		old.number(f.Value)
	}
}

func keyOf(f Field) string { return f.At + "|" + f.Convention }

// flagLast notes what is odd about a value that stays.
func (rd *reading) flagLast(at, why string) {
	for i := range rd.out.Fields {
		if rd.out.Fields[i].At == at {
			rd.out.Fields[i].Flag = why
		}
	}
}

// unask takes back a question about a field that was said anew.
func (rd *reading) unask(at string) {
	for i := range rd.toks {
		if rd.toks[i].fate == Asked && rd.toks[i].field == at {
			rd.toks[i].fate = Taken
		}
	}
	rd.out.Questions = slices.DeleteFunc(rd.out.Questions, func(q Question) bool { return q.About == at })
	rd.out.Again = slices.DeleteFunc(rd.out.Again, func(a string) bool { return a == at })
}

// number gives the field a number as it was said, with its reading step.
func (f *Field) number(text string) {
	f.Value = text
	if q, err := record.ParseQuantity(text); err == nil {
		f.Number = &q
	}
	f.Step = "1"
	if _, frac, ok := strings.Cut(text, "."); ok {
		f.Step = "0." + strings.Repeat("0", max(0, len(frac)-1)) + "1"
	}
}

// mendedTail reads "no, fifty" after "one fifteen" as one fifty: the end of
// the number said before is replaced, where only that fits.
func (rd *reading) mendedTail(lim limits, at, text string) (string, bool) {
	old, ok := rd.standing(at)
	if !ok || len(text) != 2 || strings.Contains(old, ".") || len(old) < 3 {
		return "", false
	}
	mended := old[:len(old)-2] + text
	v, err := strconv.ParseFloat(mended, 64)
	return mended, err == nil && lim.known && lim.hold(v)
}

// standing is the value of a field as it stands: said in this phrase, or
// recorded.
func (rd *reading) standing(at string) (string, bool) {
	if f, ok := rd.out.Field(at); ok && f.Value != "" {
		return f.Value, true
	}
	k, ok := known(rd.recorded(), at)
	return k.Value, ok
}
