package notebook_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

// forked gives a notebook and a copy of it, each with a line of its own after
// two they share, and the report that the first makes of it.
func forked(t *testing.T) (a, b *desk, fork *notebook.Fork) {
	t.Helper()
	now := storetest.Evening()
	a = newDesk(t, 1, now)
	a.note(t, "shared")
	b = a.copied(t, now)
	a.note(t, "at the hut")
	b.note(t, "at the camp")
	b.note(t, "at the camp, later")
	heads, _, _ := a.Heads()
	_, signed, _ := b.Heads()
	_, err := a.Merge(storetest.Collect(t, b.Since(heads)), signed)
	if !errors.As(err, &fork) {
		t.Fatalf("two versions of line 2 were not reported: %v", err)
	}
	return a, b, fork
}

func TestForkReportShowsBoth(t *testing.T) {
	t.Parallel()
	_, _, fork := forked(t)
	if fork.Seq != 2 || len(fork.Ours) != 1 || len(fork.Theirs) != 2 || !fork.Complete() {
		t.Errorf("fork at %d, ours %d, theirs %d", fork.Seq, len(fork.Ours), len(fork.Theirs))
	}
	for _, want := range []string{"two different lines 2", "at the hut", "at the camp", "ours, signed up to line 2", "theirs, signed up to line 3", "adopt"} {
		if !strings.Contains(fork.Error(), want) {
			t.Errorf("the report does not say %q:\n%s", want, fork)
		}
	}
}

// One act at one place is enough: after it, every notebook has both branches, and
// the two that shared a key go on as two devices.
func TestAdoptForkOnce(t *testing.T) {
	t.Parallel()
	a, b, fork := forked(t)
	old := a.Device()
	lines, err := a.AdoptFork("AB", fork)
	if err != nil || len(lines) != 3 {
		t.Fatalf("adopting brought %d lines, expected the fork line and 2 of theirs: %v", len(lines), err)
	}
	if again, err := a.AdoptFork("AB", fork); err != nil || again != nil {
		t.Errorf("adopting again: %v %v", again, err)
	}
	if a.Device() == old {
		t.Error("the notebook goes on with a key that another one holds too")
	}
	heads, _, _ := b.Heads()
	_, signed, _ := a.Heads()
	m, err := b.Merge(storetest.Collect(t, a.Since(heads)), signed)
	if err != nil || len(m.New) != 2 || !m.Renewed || b.Device() == old || b.Device() == a.Device() {
		t.Errorf("the other notebook: %d new, renewed %v, %v", len(m.New), m.Renewed, err)
	}
	a.note(t, "after")
	b.note(t, "after, too")
	a.pull(t, b)
	b.pull(t, a)
	third := newDesk(t, 3, storetest.Evening())
	third.pull(t, b)
	if x, y, z := a.set(t), b.set(t), third.set(t); strings.Join(x, "\n") != strings.Join(y, "\n") || len(x) != 7 || len(z) != 7 {
		t.Errorf("%d, %d and %d lines, expected the same 7", len(x), len(y), len(z))
	}
	for _, d := range []*desk{a, b, third} {
		storetest.Verify(t, d.store)
	}
	// What is exchanged from now on is little, though the branches stay apart.
	heads, _, _ = a.Heads()
	if again := storetest.Collect(t, b.Since(heads)); len(again) > 2 {
		t.Errorf("%d lines sent again, expected those of the branch at most", len(again))
	}
}

// The copy goes on writing as the old device, unaware; that too can be adopted.
func TestForkGrows(t *testing.T) {
	t.Parallel()
	a, b, fork := forked(t)
	if _, err := a.AdoptFork("AB", fork); err != nil {
		t.Fatal(err)
	}
	b.note(t, "still unaware")
	a.pull(t, b)
	b.pull(t, a)
	if x, y := a.set(t), b.set(t); strings.Join(x, "\n") != strings.Join(y, "\n") {
		t.Errorf("%d and %d lines, or not the same", len(x), len(y))
	}
	if !strings.Contains(strings.Join(a.set(t), "\n"), "still unaware") {
		t.Error("a line was lost")
	}
}

// A head alone is proof of a fork, but not enough to adopt it.
func TestForkByHeadAlone(t *testing.T) {
	t.Parallel()
	a, b, _ := forked(t)
	a.note(t, "one more")
	a.note(t, "and one more")
	_, signed, _ := b.Heads()
	_, err := a.Merge(nil, signed)
	var fork *notebook.Fork
	if !errors.As(err, &fork) || fork.Complete() || fork.Seq != 3 {
		t.Fatalf("%v", err)
	}
	if _, err := a.AdoptFork("AB", fork); err == nil || !strings.Contains(err.Error(), "exchange again") {
		t.Errorf("adopted without their lines: %v", err)
	}
}

// The export of a notebook with a fork carries both branches.
func TestForkExport(t *testing.T) {
	t.Parallel()
	a, _, fork := forked(t)
	if _, err := a.AdoptFork("AB", fork); err != nil {
		t.Fatal(err)
	}
	var text bytes.Buffer
	store := new(notebook.Memory)
	if err := errors.Join(notebook.Export(&text, a.store), notebook.Restore(&text, store)); err != nil {
		t.Fatal(err)
	}
	n, err := notebook.Open(store, storetest.Key(5), storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	restored := &desk{n, store}
	if strings.Join(restored.set(t), "\n") != strings.Join(a.set(t), "\n") {
		t.Error("the restored notebook has other lines")
	}
	// Opened with the old key, it takes a new one of itself.
	if n, err := notebook.Open(store, storetest.Key(1), storetest.Evening()); err != nil || n.Device() == fork.Device {
		t.Errorf("opened as the forked device: %v", err)
	}
}
