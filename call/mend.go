package call

import (
	"strings"
)

// sideCorrected reads "no, right" after "left pes ninety-eight".
func (rd *reading) sideCorrected(i int) bool {
	side, n := rd.lexID(i, kSide)
	if rd.recordedSide(i, side, n) {
		return true
	}
	f, ok := rd.out.Field(rd.last)
	if n == 0 || !ok || rd.traitAt(rd.last) == nil || side == f.Side || !rd.breaks(i+n) && !rd.breaks(i+n+1) {
		return false
	}
	to := i + n
	if rd.joined(to) {
		if rd.lex(to, kTrait) == 0 && rd.lex(to, kPart) == 0 && rd.word(to) != "one" && rd.word(to) != "side" {
			return false
		}
		to++
	}
	rd.correcting = false
	if bare, _, sided := strings.Cut(f.At, "."); sided || rd.traitAt(f.At).Sided {
		rd.corrected(f.At, f.Value, "")
		rd.heard[bare+"."+side+"|"] = rd.heard[keyOf(*f)]
		f.At = bare + "." + side
		rd.last = f.At
	}
	if f.Side != "" {
		rd.corrected(f.At+"/side", f.Side, side)
	}
	f.Side = side
	rd.fate(i, to, Taken, f.At)
	rd.at = to
	return true
}

// recordedSide reads "sorry, that was the right foot" of a foot that is
// recorded: only its side changes.
func (rd *reading) recordedSide(i int, side string, n int) bool {
	m, next, ok := rd.mentionAt(i + n)
	if n == 0 || !ok || m.trait == nil || m.trait.Sided || !rd.joined(i+n) || !rd.breaks(next) || side == "both" {
		return false
	}
	at := addressOf(m.trait, "")
	k, recorded := known(rd.recorded(), at)
	if _, said := rd.out.Field(at); said || !recorded || k.Side == "" || k.Side == side {
		return false
	}
	rd.correcting = false
	rd.take(Field{At: at + "/side", Value: side}, i, next)
	rd.corrected(at+"/side", k.Side, side)
	return true
}

// sideOfRecorded reads "pes was the left one" of a foot that is recorded.
func (rd *reading) sideOfRecorded(i int) bool {
	m, next, ok := rd.mentionAt(i)
	j := rd.skip(next)
	side, n := rd.lexID(j, kSide)
	if !ok || m.trait == nil || m.trait.Sided || n == 0 || side == "both" || !rd.joined(j) || j == next {
		return false
	}
	to := j + n
	if w := rd.word(to); rd.joined(to) && (w == "one" || w == "side") {
		to++
	}
	at := addressOf(m.trait, "")
	k, recorded := known(rd.recorded(), at)
	if _, said := rd.out.Field(at); said || !recorded || k.Side == side || !rd.breaks(to) {
		return false
	}
	rd.correcting = false
	rd.take(Field{At: at + "/side", Value: side}, i, to)
	if k.Side != "" {
		rd.corrected(at+"/side", k.Side, side)
	}
	return true
}

// signCorrected reads "pouch dry, sorry, moist": another value of the sign that
// was said last.
func (rd *reading) signCorrected(i int) bool {
	sign, ok := strings.CutPrefix(rd.lastSign, "signs/")
	if ok {
		value, found := rd.valueOf(i, sign)
		n := rd.lenOfValue(i, sign)
		if !found || !rd.breaks(i+n) {
			return false
		}
		rd.correcting = false
		if sign == "pouch" {
			rd.putPouch(value, i, i+n)
			return true
		}
		rd.take(Field{At: rd.lastSign, Value: value}, i, i+n)
		return true
	}
	if strings.HasPrefix(rd.lastSign, "teats/") {
		state, n := rd.teatState(i)
		if n == 0 || !rd.breaks(i+n) {
			return false
		}
		rd.correcting = false
		rd.take(Field{At: rd.lastSign, Value: state}, i, i+n)
		return true
	}
	return false
}

// findingCorrected reads "left ear cloudy, no, left eye": another side, part or
// sign of the finding said last.
func (rd *reading) findingCorrected(i int) bool {
	row := rd.lastFinding
	if row == "" || !strings.HasPrefix(rd.lastPut, row+"/") {
		return false
	}
	side, n := rd.lexID(i, kSide)
	part, m := rd.lexID(i+n, kPart)
	if n > 0 && m > 0 && !rd.joined(i+n) {
		part, m = "", 0
	}
	sign, k := "", 0
	if n+m == 0 {
		sign, k = rd.signAt(i)
	}
	to := i + n + m + k
	if to == i || !rd.breaks(to) {
		return false
	}
	for _, f := range []Field{{At: row + "/side", Value: side}, {At: row + "/part", Value: part}, {At: row + "/sign", Value: sign}} {
		if f.Value != "" {
			rd.take(f, i, to)
		}
	}
	rd.part = partInHand{}
	rd.correcting = false
	return true
}
