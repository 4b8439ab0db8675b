package answer

import (
	"slices"

	"dawnround/protocol"
	"dawnround/record"
)

// A pouch as a capture tells it.
type pouchState int

const (
	pouchUnknown  pouchState = iota // nothing is written
	pouchShut                       // not checked
	pouchEmpty                      // looked into: no young
	pouchOccupied                   // young in it
)

// pouch is what a capture says of the young a female carries; known is false
// for a species whose sheet has no sign that tells of them.
func (a *asked) pouch(h *record.Handled) (state pouchState, known bool) {
	if slices.ContainsFunc(h.Young, inPouch) {
		return pouchOccupied, true
	}
	for _, g := range a.sheet.Signs {
		if g.Of == protocol.OfYoung || !slices.ContainsFunc(g.Values, func(w protocol.Word) bool { return w.Young }) {
			continue
		}
		known = true
		s := h.Signs[g.ID]
		switch w, seen := g.Word(s.Value); {
		case seen && w.Young:
			return pouchOccupied, true
		case seen || s.Is() == record.NoneSeen:
			state = max(state, pouchEmpty)
		case s.Is() == record.NotChecked:
			state = max(state, pouchShut)
		}
	}
	return state, known
}
