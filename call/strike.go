package call

import (
	"slices"
)

// strike takes away what was said, where the phrase ends with the striking or
// with the name of what is struck: "scrap that ear". Where more follows, a new
// value may be in it.
func (rd *reading) strike() {
	i := rd.at
	if m, next, ok := rd.mentionAt(i); ok && m.trait != nil && m.misheard == "" && !m.short && rd.joined(i) && rd.breaks(next) {
		rd.last = addressOf(m.trait, m.side)
		rd.fate(i, next, Taken, rd.last)
		rd.at = next
	}
	if rd.at >= len(rd.toks) {
		rd.strikeLast()
		return
	}
	rd.struck, rd.struckAt = rd.lastPut, rd.at
	if rd.struck == "" {
		rd.struck = rd.fieldBefore()
	}
}

// stillStruck takes away what was struck, where nothing of what followed was a
// new value for it: "tail one fifty-eight, ignore that, it's kinked".
func (rd *reading) stillStruck() {
	at := rd.struck
	if at == "" || len(rd.out.Questions) > 0 || slices.Contains(rd.out.Again, at) {
		return
	}
	anew := func(u utterance) bool { return u.from >= rd.struckAt }
	changed := func(c Correction) bool { return c.At == at }
	heard := rd.heard[at+"|"]
	measured := len(heard) > 0 && !slices.ContainsFunc(heard, anew) && !slices.ContainsFunc(rd.out.Corrected, changed)
	if measured || rd.correcting && (rd.lastPut == at || rd.lastPut == "") {
		rd.last = at
		rd.strikeLast()
	}
}

// strikeLast takes the last value away, where nothing follows the striking.
func (rd *reading) strikeLast() {
	at := rd.fieldBefore()
	if at == "" {
		return
	}
	was, ok := rd.standing(at)
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(f Field) bool { return f.At == at })
	delete(rd.heard, at+"|")
	rd.out.Fields = append(rd.out.Fields, Field{At: at, Pending: true, Why: "struck"})
	if ok {
		rd.corrected(at, was, "")
	}
	rd.unask(at)
}
