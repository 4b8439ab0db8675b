package call

import (
	"strings"
)

// youngAtFoot reads a young that is out of the pouch.
func (rd *reading) youngAtFoot(i int) bool {
	id, n := rd.lexID(i, kYoung)
	if n == 0 || id != "at foot" {
		return false
	}
	value := "seen"
	switch {
	case rd.negatedAt(i):
		value = "none"
	case rd.saysAnywhere("can't be sure", "not sure", "maybe", "might be", "could be", "i think", "looks like hers", "possibly", "probably hers", "not certain", "suspect", "suspected", "smells like hers"):
		value = "suspected"
	case rd.saysAnywhere("must have", "must be", "should have", "probably has", "probably", "likely", "has to have", "bound to have", "suggests", "would have"):
		value = "inferred"
	}
	rd.take(Field{At: "young/at foot", Value: value}, i, i+n)
	if value == "suspected" {
		rd.put(Field{At: "young/link", Value: "suspected"}, i, i+n)
	}
	rd.topic = tYoung
	if rd.saysAnywhere("same trap", "with her", "with mum", "with the mother", "with mother", "together in the trap", "in with her") && value == "seen" {
		rd.put(Field{At: "young/1/where", Value: "with mother"}, i, i+n)
	}
	if value != "inferred" && value != "none" {
		rd.young = litter{open: true, row: 1, apart: rd.given.Source == "" && rd.saysAnywhere("next trap", "trap along", "next door", "neighbouring trap", "adjacent trap", "trap over", "another trap", "other trap", "in the next", "own trap", "trap next")}
	}
	return true
}

// youngTrap enters the other trap a young was in.
func (rd *reading) youngTrap(name string, i, j int) {
	rd.take(Field{At: "young/1/where", Value: "neighbouring trap"}, i, j)
	rd.put(Field{At: "young/1/trap", Value: name}, i, j)
	rd.mustExist("young/1/trap", name, i, j)
}

// withMother tells where "was in the trap with her" ends behind a young: one
// that is out of the pouch.
func (rd *reading) withMother(i int) int {
	j := i
	for w := rd.word(j); w == "was" || w == "is" || w == "'s" || w == "found" || w == "also"; w = rd.word(j) {
		j++
	}
	for _, p := range []string{"in the trap with her", "in the same trap as her", "in the same trap", "in with her", "in there with her", "in the trap with mum", "in with mum", "in the trap too", "sharing the trap", "with her in the trap", "in the trap as well"} {
		if rd.says(j, p) && rd.joined(j) && rd.breaks(j+len(strings.Fields(p))) {
			return j + len(strings.Fields(p))
		}
	}
	return 0
}
