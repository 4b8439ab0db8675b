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

// Once a fork is adopted, the lines of both branches are known, and none before.
func TestOnBranch(t *testing.T) {
	t.Parallel()
	a, b, fork := forked(t)
	if _, err := a.AdoptFork("AB", fork); err != nil {
		t.Fatal(err)
	}
	for _, line := range append(fork.Ours, fork.Theirs...) {
		if !a.OnBranch(line.Hash) || b.OnBranch(line.Hash) {
			t.Errorf("line %d of a branch: known %t where the fork is, %t where it is not", line.Seq, a.OnBranch(line.Hash), b.OnBranch(line.Hash))
		}
	}
	if a.OnBranch(fork.Ours[0].Prev) {
		t.Error("a line that both share is told to be on a branch")
	}
}
