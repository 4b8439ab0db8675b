package call

import (
	"strconv"
	"strings"
)

// leftNumbers asks about a field where a number that hangs on it was not
// understood: what is not understood must not stand as if it had not been said.
func (rd *reading) leftNumbers() {
	for i := 1; i < len(rd.toks); i++ {
		if rd.toks[i].fate == Left && hangs[rd.word(i-1)] && rd.joined(i) && rd.isNumber(i) {
			rd.hangsOn(i)
		}
	}
	for n := 1; n <= rd.findings; n++ {
		rd.uncounted(n)
	}
}

// hangs are the words by which a number hangs on what was said before it.
var hangs = wordSet("and or to maybe then but perhaps nearly closer plus")

// hangsOn puts the field before a left number under question, where the number
// is none of something else.
func (rd *reading) hangsOn(i int) {
	s, ok := rd.number(i)
	k := i - 1
	for k > 0 && rd.toks[k].fate != Taken && rd.joined(k) && hangs[rd.word(k)] {
		k--
	}
	if !ok || rd.isForeign(s.to) || !rd.breaks(s.to+rd.lex(s.to, kSide)) || rd.toks[k].fate != Taken || !rd.joined(k+1) {
		return
	}
	f, said := rd.out.Field(rd.toks[k].field)
	if !said || f.Pending || f.Value == "" || f.Derived || strings.HasPrefix(f.At, "time") || strings.HasPrefix(f.At, "released/") {
		return
	}
	f.Pending, f.Why = true, notUnderstood
	rd.ask(Question{About: f.At, Says: Digits(f.Value) + " or " + Digits(s.text()) + "?", Among: []string{f.Value, s.text()}}, i, s.to)
}

// uncounted asks how many, where parasites were named without a count and a
// number in the same breath or the next was not understood.
func (rd *reading) uncounted(n int) {
	row := "findings/" + strconv.Itoa(n)
	sign, ok := rd.out.Field(row + "/sign")
	if !ok || !rd.counted(sign.Value) {
		return
	}
	for _, part := range []string{"/count", "/low", "/class"} {
		if _, said := rd.out.Field(row + part); said {
			return
		}
	}
	from, to := rd.clause(min(rd.tokenAt(sign.From), max(0, len(rd.toks)-1)))
	if to < len(rd.toks) {
		if _, next := rd.clause(to); next-to <= 3 {
			to = next
		}
	}
	for i := from; i < to; i++ {
		if rd.toks[i].fate != Taken && rd.toks[i].fate != Asked && rd.isNumber(i) {
			if s, ok := rd.number(i); ok && !rd.isForeign(s.to) {
				rd.ask(Question{About: row + "/count", Says: "how many? " + Digits(s.text()) + "?"}, i, s.to)
				return
			}
		}
	}
}
