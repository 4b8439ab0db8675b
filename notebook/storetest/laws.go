package storetest

import (
	"fmt"
	"iter"
	"slices"
	"testing"

	"dawnround/notebook"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// Store is what the suite tests: lines, drafts, and an end.
type Store interface {
	notebook.Store
	notebook.Drafts
	Close() error
}

// Run is the suite every store passes. open gives an empty store, to be closed
// when the test ends.
func Run(t *testing.T, open func(testing.TB) Store) {
	for name, law := range map[string]func(*testing.T, func(testing.TB) Store){
		"what is appended comes back in order": comesBack,
		"a batch is kept wholly or not at all": allOrNone,
		"a broken chain is refused":            unbroken,
		"the latest signed head stays":         latestHead,
		"reading sees one moment":              oneMoment,
		"drafts keep their steps":              draftSteps,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			law(t, open)
		})
	}
}

// Collect gives all lines of an iteration, or fails the test.
func Collect(tb rapid.TB, lines iter.Seq2[notebook.Line, error]) []notebook.Line {
	tb.Helper()
	var all []notebook.Line
	for l, err := range lines {
		if err != nil {
			tb.Fatal(err)
		}
		all = append(all, l)
	}
	return all
}

// writers are notebooks of several devices whose clocks differ.
func writers(tb rapid.TB, devices int) []*notebook.Notebook {
	now := Evening()
	var all []*notebook.Notebook
	for d := range devices {
		n, err := notebook.Create(new(notebook.Memory), Programme, Key(uint64(d+1)), now)
		if err != nil {
			tb.Fatal(err)
		}
		all = append(all, n)
	}
	return all
}

func write(tb rapid.TB, n *notebook.Notebook, lines int) ([]notebook.Line, []notebook.SignedHead) {
	tb.Helper()
	es := make([]notebook.Entry, lines)
	for i := range es {
		es[i] = Entry(fmt.Sprint("line ", i))
	}
	written, err := n.Write(es...)
	if err != nil {
		tb.Fatal(err)
	}
	_, signed, err := n.Heads()
	if err != nil {
		tb.Fatal(err)
	}
	return written, signed
}

func same(tb rapid.TB, what string, got, want []notebook.Line) {
	tb.Helper()
	equal := func(a, b notebook.Line) bool {
		return string(a.Stored) == string(b.Stored) && a.Hash == b.Hash && a.Seq == b.Seq && a.Device == b.Device &&
			a.Clock == b.Clock && string(a.Body) == string(b.Body)
	}
	if !slices.EqualFunc(got, want, equal) {
		tb.Fatalf("%s: %d lines, expected %d, or not the same ones", what, len(got), len(want))
	}
}

func comesBack(t *testing.T, open func(testing.TB) Store) {
	rapid.Check(t, func(rt *rapid.T) {
		s := open(t)
		defer s.Close()
		devices := writers(rt, rapid.IntRange(1, 4).Draw(rt, "devices"))
		var all []notebook.Line
		for range rapid.IntRange(0, 8).Draw(rt, "batches") {
			n := devices[rapid.IntRange(0, len(devices)-1).Draw(rt, "device")]
			lines, signed := write(rt, n, rapid.IntRange(1, 5).Draw(rt, "lines"))
			if err := s.Append(lines, signed); err != nil {
				rt.Fatal(err)
			}
			all = append(all, lines...)
		}
		slices.SortFunc(all, func(a, b notebook.Line) int { return a.Compare(&b) })
		same(rt, "everything", Collect(rt, s.Since(nil)), all)

		heads, _, err := s.Heads()
		if err != nil {
			rt.Fatal(err)
		}
		holder, lacks := notebook.Heads{}, all
		for _, n := range devices {
			seq := rapid.Uint64Range(0, heads[n.Device()].Seq+2).Draw(rt, "held")
			holder[n.Device()] = notebook.Head{Seq: seq}
			lacks = slices.DeleteFunc(slices.Clone(lacks), func(l notebook.Line) bool { return l.Device == n.Device() && l.Seq <= seq })
		}
		same(rt, "what a holder lacks", Collect(rt, s.Since(holder)), lacks)
		last := notebook.Heads{}
		for _, l := range all {
			last[l.Device] = notebook.Head{Seq: l.Seq, Hash: l.Hash}
		}
		if fmt.Sprint(heads) != fmt.Sprint(last) {
			rt.Fatalf("heads %v, expected %v", heads, last)
		}
		if len(all) > 0 {
			Verify(t, s)
		}
	})
}

func allOrNone(t *testing.T, open func(testing.TB) Store) {
	s := open(t)
	defer s.Close()
	devices := writers(t, 2)
	first, signed := write(t, devices[0], 3)
	other, _ := write(t, devices[1], 3)
	broken := append(slices.Clone(first), other[0], other[2])
	if err := s.Append(broken, signed); err == nil {
		t.Error("a batch with a gap was taken")
	}
	heads, held, err := s.Heads()
	if err != nil || len(heads)+len(held) > 0 || len(Collect(t, s.Since(nil))) > 0 {
		t.Errorf("of a refused batch something was kept: heads %v, signed %v, %v", heads, held, err)
	}
	if err := s.Append(first, signed); err != nil {
		t.Error(err)
	}
	same(t, "after a refused batch", Collect(t, s.Since(nil)), first)
	Verify(t, s)
}

func unbroken(t *testing.T, open func(testing.TB) Store) {
	s := open(t)
	defer s.Close()
	devices := writers(t, 2)
	lines, signed := write(t, devices[0], 3)
	if err := s.Append(lines[:2], nil); err != nil {
		t.Fatal(err)
	}
	stranger, _ := write(t, devices[1], 3)
	swapped := stranger[2]
	swapped.Device = lines[2].Device // the right number, the wrong hash before it
	for what, l := range map[string]notebook.Line{"a second line 2": lines[1], "line 3 of another chain": swapped, "line 2 without line 1": stranger[1]} {
		if err := s.Append([]notebook.Line{l}, nil); err == nil {
			t.Errorf("%s was taken", what)
		}
	}
	if err := s.Append(lines[2:], signed); err != nil {
		t.Error(err)
	}
	Verify(t, s)
}

func latestHead(t *testing.T, open func(testing.TB) Store) {
	s := open(t)
	defer s.Close()
	n := writers(t, 1)[0]
	_, zero, err := n.Heads()
	if err != nil {
		t.Fatal(err)
	}
	lines, early := write(t, n, 2)
	more, late := write(t, n, 2)
	for _, step := range []struct {
		lines []notebook.Line
		heads []notebook.SignedHead
		want  uint64
	}{{nil, zero, 0}, {lines, early, 2}, {more, late, 4}, {nil, early, 4}, {nil, zero, 4}} {
		if err := s.Append(step.lines, step.heads); err != nil {
			t.Fatal(err)
		}
		_, signed, err := s.Heads()
		if err != nil || len(signed) != 1 || signed[0].Seq != step.want || signed[0].Programme != Programme {
			t.Errorf("signed heads %v %v, expected one at %d", signed, err, step.want)
		}
		if err := signed[0].Check(); err != nil {
			t.Error(err)
		}
	}
}

func oneMoment(t *testing.T, open func(testing.TB) Store) {
	s := open(t)
	defer s.Close()
	n := writers(t, 1)[0]
	lines, signed := write(t, n, 600) // more than a store reads at a time
	if err := s.Append(lines, signed); err != nil {
		t.Fatal(err)
	}
	seen := 0
	for l, err := range s.Since(nil) {
		if err != nil {
			t.Fatal(err)
		}
		if seen++; seen == 1 {
			more, signed := write(t, n, 5)
			if err := s.Append(more, signed); err != nil {
				t.Fatal(err)
			}
			for range s.Since(notebook.Heads{l.Device: {Seq: 300}}) {
				break // an iteration inside another, broken off
			}
		}
	}
	if seen != 600 {
		t.Errorf("saw %d lines, there were 600 when the reading began", seen)
	}
	if now := len(Collect(t, s.Since(nil))); now != 605 {
		t.Errorf("%d lines, expected 605", now)
	}
}

func draftSteps(t *testing.T, open func(testing.TB) Store) {
	s := open(t)
	defer s.Close()
	a, b := uuid.UUID{1}, uuid.UUID{2}
	step := []byte("head 61.8")
	for _, do := range []error{s.Add(a, step), s.Add(b, nil), s.Add(a, []byte("mass 742"))} {
		if do != nil {
			t.Fatal(do)
		}
	}
	step[0] = 'X' // a store keeps its own copy
	all, err := s.All()
	if err != nil || len(all) != 2 || len(all[a]) != 2 || len(all[b]) != 1 ||
		string(all[a][0]) != "head 61.8" || string(all[a][1]) != "mass 742" || len(all[b][0]) != 0 {
		t.Errorf("drafts %q %v", all, err)
	}
	for range 2 {
		if err := s.Drop(a); err != nil {
			t.Errorf("dropping, also again: %v", err)
		}
	}
	if all, err := s.All(); err != nil || len(all) != 1 || len(all[b]) != 1 {
		t.Errorf("after dropping one: %q %v", all, err)
	}
}
