package call

import (
	"strings"

	"dawnround/protocol"
)

// runInOrder reads numbers that follow the calling order without a pause:
// "seventy-two ninety-six one sixty". It takes them where the words can be cut
// in one way only into numbers that fit the slots from here on.
func (rd *reading) runInOrder(s spoken) bool {
	t := rd.slotTrait()
	if s.to-s.from < 2 || s.unended || rd.fitsSlot(rd.slot, s) || t == nil {
		return false
	}
	cuts := rd.cuts(s.from, s.to, rd.slot, 2)
	if len(cuts) != 1 || len(cuts[0]) < 2 {
		return false
	}
	for _, piece := range cuts[0] {
		at := rd.given.Order[rd.slot]
		t := rd.slotTrait()
		if at == atGross || at == atBag {
			rd.weighedAs(strings.TrimPrefix(at, "weighing/"), piece, piece.from, piece.to)
			continue
		}
		rd.measuredAt(at, t, piece)
	}
	rd.at = max(rd.at, s.to)
	return true
}

// cuts are the ways, at most so many, to cut the tokens from i to j into
// numbers that fit the slots of the order from one on.
func (rd *reading) cuts(i, j, slot, most int) [][]spoken {
	if i == j {
		return [][]spoken{nil}
	}
	if slot >= len(rd.given.Order) {
		return nil
	}
	var found [][]spoken
	for end := i + 1; end <= j && len(found) < most; end++ {
		rd.steps++
		n := numberReader{toks: rd.toks[:end], at: i, steps: &rd.steps}
		if !n.read() || n.at != end || n.unended {
			continue
		}
		s := spoken{from: i, to: end, readings: n.readings()}
		if !rd.fitsSlot(slot, s) {
			continue
		}
		for _, rest := range rd.cuts(end, j, slot+1, most-len(found)) {
			found = append(found, append([]spoken{s}, rest...))
		}
	}
	return found
}

// fitsSlot tells whether a number is in the range of a slot of the order.
func (rd *reading) fitsSlot(slot int, s spoken) bool {
	at := rd.given.Order[slot]
	if at == atGross || at == atBag {
		return rd.isMass(s) && rd.holdsMass(strings.TrimPrefix(at, "weighing/"), s)
	}
	t := rd.traitAt(at)
	if t == nil || t.Of == protocol.OfYoung || !rd.limits(t, "").known {
		return false
	}
	_, v := rd.choose(t, rd.limits(t, ""), s)
	return v == fits
}
