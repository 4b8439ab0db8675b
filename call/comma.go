package call

import (
	"slices"
	"strconv"

	"dawnround/protocol"
)

// decimalCommas joins "head 78,2" to 78.2, as paper has it in many countries,
// where a trait stands before it and the decimal is in its range. Of the young
// one decimal is joined and no more: "cr 24,25" may be two of them.
func (rd *reading) decimalCommas() {
	joined := false
	for i := 0; i+1 < len(rd.toks); i++ {
		if rd.toks[i+1].comma && !rd.toks[i].comma && rd.decimalAt(i) {
			rd.toks[i].text += "." + rd.toks[i+1].text
			rd.toks[i].to = rd.toks[i+1].to
			rd.toks[i].asked = rd.toks[i+1].asked
			rd.toks = slices.Delete(rd.toks, i+1, i+2)
			joined = true
		}
	}
	if joined {
		rd.scan()
	}
}

// decimalAt tells whether the numbers at i and behind it, with a comma between
// them, are one decimal of the trait said before.
func (rd *reading) decimalAt(i int) bool {
	part := rd.toks[i+1].text
	v, err := strconv.ParseFloat(rd.toks[i].text+"."+part, 64)
	t := rd.traitBefore(i)
	if err != nil || t == nil || len(part) > 2 || i+2 < len(rd.toks) && rd.toks[i+2].comma {
		return false
	}
	l := rd.limits(t, "")
	return l.known && l.hold(v) && (t.Of != protocol.OfYoung || len(part) == 1)
}

// traitBefore is the trait said before token i in one breath, with nothing but
// sides and conventions between.
func (rd *reading) traitBefore(i int) *protocol.Trait {
	for k := i - 1; k >= max(0, i-4) && rd.joined(k+1); k-- {
		if id, n := rd.lexID(k, kTrait); n > 0 {
			if t := rd.traitOf(id, false); t != nil {
				return t
			}
			return rd.traitOf(id, true)
		}
		if rd.toks[k].num.class != noNumeral {
			return nil
		}
	}
	return nil
}
