package notebook_test

import (
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

// A device's word on a part of its chain lets that part be taken alone.
func TestVouchedPartIsTaken(t *testing.T) {
	t.Parallel()
	now := storetest.Evening()
	a, b := newDesk(t, 1, now), newDesk(t, 2, now)
	a.note(t, "one")
	a.note(t, "two")
	a.note(t, "three")
	word, err := a.Vouch(2)
	if err != nil {
		t.Fatal(err)
	}
	part := storetest.Collect(t, a.Since(nil))[:2]
	merged, err := b.Merge(part, []notebook.SignedHead{word})
	if err != nil || len(merged.New) != 2 || len(merged.Waiting) != 0 {
		t.Errorf("merged %+v, %v", merged, err)
	}
	if _, err := a.Vouch(4); err == nil {
		t.Error("a line that is not written is vouched for")
	}
}

// Once a fork is adopted, the ends of both branches are told.
func TestBranchesEnd(t *testing.T) {
	t.Parallel()
	a, b, fork := forked(t)
	ours, theirs := fork.OurHead.Hash, fork.TheirHead.Hash
	if _, err := a.AdoptFork("AB", fork); err != nil {
		t.Fatal(err)
	}
	if ends := a.Branches(); len(ends) != 2 || !ends[ours] || !ends[theirs] {
		t.Errorf("branches end at %v, want %s and %s", ends, ours, theirs)
	}
	if ends := b.Branches(); len(ends) != 0 {
		t.Errorf("a notebook that knows of no fork names %v", ends)
	}
}
