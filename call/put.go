package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/record"
)

// take puts a field said by the tokens from i to j, and goes on behind them.
func (rd *reading) take(f Field, i, j int) {
	rd.put(f, i, j)
	rd.at = max(rd.at, j)
}

// put enters a field. A value that was said before, in this phrase or
// recorded, is corrected, and what was is kept.
func (rd *reading) put(f Field, i, j int) {
	if !f.Derived {
		rd.lastPut, rd.lastSign = f.At, ""
		if strings.HasPrefix(f.At, "signs/") || strings.HasPrefix(f.At, "teats/") && strings.HasSuffix(f.At, "/state") {
			rd.lastSign = f.At
		}
	}
	if i < j && i < len(rd.toks) {
		f.From, f.To = rd.toks[i].from, rd.toks[min(j, len(rd.toks))-1].to
		rd.fate(i, j, Taken, f.At)
	}
	for k := range rd.out.Fields {
		if old := &rd.out.Fields[k]; old.At == f.At && old.Convention == f.Convention {
			if old.Value != f.Value && old.Value != "" && f.Value != "" {
				rd.corrected(f.At, old.Value, f.Value)
			}
			*old = f
			return
		}
	}
	if rd.agrees(f) {
		return
	}
	rd.out.Fields = append(rd.out.Fields, f)
}

// agrees compares a field with what is recorded: the same again is agreement
// and no new field; another value is a correction.
func (rd *reading) agrees(f Field) bool {
	was, ok := known(rd.recorded(), f.At)
	switch {
	case !ok || f.Pending || f.Convention != "" && f.At != "measures/pes":
		return false
	case same(was.Value, f.Value) && f.State == record.Unknown && (f.Side == "" || f.Side == was.Side):
		rd.confirm(f.At)
		return true
	}
	rd.corrected(f.At, was.Value, f.Value)
	return false
}

// recorded is what stands of the animal that is spoken of.
func (rd *reading) recorded() []Known {
	if rd.previous {
		return rd.given.Previous
	}
	return append(slices.Clone(rd.given.SoFar), rd.given.ReadBack...)
}

// same compares two values, numbers by what they are worth.
func same(a, b string) bool {
	if strings.EqualFold(a, b) {
		return true
	}
	x, errA := strconv.ParseFloat(a, 64)
	y, errB := strconv.ParseFloat(b, 64)
	return errA == nil && errB == nil && x == y
}

func (rd *reading) corrected(at, was, now string) {
	rd.out.Confirmed = slices.DeleteFunc(rd.out.Confirmed, func(o string) bool { return o == at })
	for i := range rd.out.Corrected {
		if c := &rd.out.Corrected[i]; c.At == at && c.Was == was {
			c.Now = now
			return
		}
	}
	rd.out.Corrected = append(rd.out.Corrected, Correction{At: at, Was: was, Now: now})
}

func (rd *reading) confirm(at string) {
	if !slices.Contains(rd.out.Confirmed, at) {
		rd.out.Confirmed = append(rd.out.Confirmed, at)
	}
}

func (rd *reading) note(s string) {
	if !slices.Contains(rd.out.Notes, s) {
		rd.out.Notes = append(rd.out.Notes, s)
	}
}
