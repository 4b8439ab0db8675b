package notebook

import (
	"iter"

	"github.com/google/uuid"
)

// Store is where lines lie. It keeps what a [Notebook] hands it and judges only
// that no chain breaks. Every store passes the suite in notebook/storetest.
type Store interface {
	// Append keeps the lines and heads, all or none, and returns nil only once a
	// power cut can no longer take them. The lines of one device come in order
	// and follow on ([Heads.Follow]). A head replaces an earlier one of its device.
	Append(lines []Line, heads []SignedHead) error

	// Since gives the lines whose number is above the holder's for their device
	// (the hash is not looked at), ordered by clock, device and number, as they
	// stand when the iteration begins. It ends after an error.
	Since(holder Heads) iter.Seq2[Line, error]

	// Heads gives where each chain ends, and the latest signed head of each
	// device, in order of devices.
	Heads() (Heads, []SignedHead, error)
}

// Drafts keeps what is typed but not yet a line: the steps of each open draft,
// in order. Dropping a draft that is not there does nothing, so a release may
// write its lines, which bear the draft's id, and then drop the draft; when the
// power fails in between, dropping it again at the next start puts it right.
type Drafts interface {
	// Add keeps one more step and returns nil only once a power cut can no longer take it.
	Add(draft uuid.UUID, step []byte) error
	// All gives every open draft's steps in the order they were added.
	All() (map[uuid.UUID][][]byte, error)
	// Drop forgets a draft.
	Drop(draft uuid.UUID) error
}

// InOrder merges chains, each in its own order, into one ordered by clock, device
// and number; a line that several chains hold comes once. It ends after an error.
func InOrder(chains ...iter.Seq2[Line, error]) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		fronts := make([]front, 0, len(chains))
		for _, chain := range chains {
			f := front{}
			f.next, f.stop = iter.Pull2(chain)
			defer f.stop()
			if f.step(); f.more {
				fronts = append(fronts, f)
			}
		}
		var last Hash
		for len(fronts) > 0 {
			at := first(fronts)
			f := &fronts[at]
			if (f.err != nil || f.line.Hash != last) && !yield(f.line, f.err) || f.err != nil {
				return
			}
			last = f.line.Hash
			if f.step(); !f.more {
				fronts = append(fronts[:at], fronts[at+1:]...)
			}
		}
	}
}

// front is the next line of one chain.
type front struct {
	line Line
	err  error
	more bool
	next func() (Line, error, bool)
	stop func()
}

func (f *front) step() { f.line, f.err, f.more = f.next() }

// first finds the earliest of the fronts; an error comes before any line.
func first(fronts []front) int {
	at := 0
	for i := range fronts {
		if fronts[i].err != nil {
			return i
		}
		if fronts[i].line.Compare(&fronts[at].line) < 0 {
			at = i
		}
	}
	return at
}
