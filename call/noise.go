package call

import (
	"slices"

	"dawnround/protocol"
)

// soundsLike is the other number in range that was perhaps said, where noise
// was over the voice and a teen and its tens can be taken for each other:
// thirteen and thirty, fifteen and fifty. Empty where there is none.
func (rd *reading) soundsLike(t *protocol.Trait, lim limits, s spoken) string {
	if !rd.given.Noisy || !lim.known {
		return ""
	}
	for i := s.from; i < s.to; i++ {
		num := rd.toks[i].num
		alone := i+1 >= len(rd.toks) || rd.toks[i+1].stop != 0 || rd.toks[i+1].num.class != digit
		other := numeral{}
		switch {
		case num.class == teen && num.value >= 13:
			other = numeral{tens, (num.value - 10) * 10}
		case num.class == tens && num.value >= 30 && alone:
			other = numeral{teen, num.value/10 + 10}
		default:
			continue
		}
		toks := slices.Clone(rd.toks)
		toks[i].num = other
		n := numberReader{toks: toks, at: s.from, steps: &rd.steps}
		if !n.read() {
			continue
		}
		text, v := rd.choose(t, lim, spoken{readings: n.readings(), unit: s.unit})
		if v == fits && !same(text, s.text()) {
			return text
		}
	}
	return ""
}
