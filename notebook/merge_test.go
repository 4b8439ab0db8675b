package notebook_test

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/notebook/storetest"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// desk is one notebook in a test of many.
type desk struct {
	*notebook.Notebook
	store *notebook.Memory
}

func newDesk(tb rapid.TB, seed uint64, now func() time.Time) *desk {
	tb.Helper()
	store := new(notebook.Memory)
	n, err := notebook.Create(store, storetest.Programme, storetest.Key(seed), now)
	if err != nil {
		tb.Fatal(err)
	}
	return &desk{n, store}
}

// copied gives a copy of a notebook that writes with the same key.
func (d *desk) copied(tb rapid.TB, now func() time.Time) *desk {
	tb.Helper()
	var text bytes.Buffer
	store := new(notebook.Memory)
	if err := errors.Join(notebook.Export(&text, d.store), notebook.Restore(&text, store)); err != nil {
		tb.Fatal(err)
	}
	n, err := notebook.Open(store, d.Key(), now)
	if err != nil {
		tb.Fatal(err)
	}
	return &desk{n, store}
}

func (d *desk) note(tb rapid.TB, text string) notebook.Line {
	tb.Helper()
	lines, err := d.Write(storetest.Entry(text))
	if err != nil {
		tb.Fatal(err)
	}
	return lines[0]
}

// pull takes from another notebook what d lacks, adopting what forks there are.
func (d *desk) pull(tb rapid.TB, from *desk, without ...notebook.DeviceID) {
	tb.Helper()
	heads, _, err := d.Heads()
	if err != nil {
		tb.Fatal(err)
	}
	for _, device := range without {
		delete(heads, device)
	}
	_, signed, err := from.Heads()
	if err != nil {
		tb.Fatal(err)
	}
	d.settle(tb, from, storetest.Collect(tb, from.Since(heads)), signed)
}

// settle merges, and settles one fork after another.
func (d *desk) settle(tb rapid.TB, from *desk, lines []notebook.Line, signed []notebook.SignedHead) {
	tb.Helper()
	_, err := d.Merge(lines, signed)
	var fork *notebook.Fork
	switch {
	case err == nil:
	case errors.As(err, &fork) && fork.Complete():
		if _, err := d.AdoptFork("AB", fork); err != nil {
			tb.Fatal(err)
		}
		d.settle(tb, from, lines, signed)
	case errors.As(err, &fork):
		d.pull(tb, from, fork.Device)
	default:
		tb.Fatal(err)
	}
}

// pullFile takes everything from an export of the other.
func (d *desk) pullFile(tb rapid.TB, from *desk) {
	tb.Helper()
	var text bytes.Buffer
	if err := notebook.Export(&text, from.store); err != nil {
		tb.Fatal(err)
	}
	lines, signed, err := notebook.ReadExport(&text)
	if err != nil {
		tb.Fatal(err)
	}
	d.settle(tb, from, lines, signed)
}

// set gives all lines of all branches, in the order a reader folds them.
func (d *desk) set(tb rapid.TB) []string {
	tb.Helper()
	var all []string
	for _, l := range storetest.Collect(tb, d.Lines()) {
		all = append(all, string(l.Stored))
	}
	return all
}

// Merging twice, in any order, by any route, through people or files, also where
// a notebook was copied and written in at two places, gives every notebook the
// same lines in the same order; no line that was written is missing.
func TestMergeLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		now := storetest.Evening()
		desks := []*desk{newDesk(rt, 1, now), newDesk(rt, 2, now), newDesk(rt, 3, now)}
		var written []string
		pick := func(name string) *desk { return desks[rapid.IntRange(0, len(desks)-1).Draw(rt, name)] }
		rt.Repeat(map[string]func(*rapid.T){
			"write": func(rt *rapid.T) {
				l := pick("who").note(rt, fmt.Sprint("line ", len(written)))
				written = append(written, string(l.Stored))
			},
			"pull":      func(rt *rapid.T) { pick("to").pull(rt, pick("from")) },
			"pull file": func(rt *rapid.T) { pick("to").pullFile(rt, pick("from")) },
			"copy": func(rt *rapid.T) {
				if len(desks) < 5 {
					desks = append(desks, pick("original").copied(rt, now))
				}
			},
			"reopen": func(rt *rapid.T) {
				d := pick("which")
				n, err := notebook.Open(d.store, d.Key(), now)
				if err != nil {
					rt.Fatal(err)
				}
				d.Notebook = n
			},
			"": func(rt *rapid.T) {
				for _, d := range desks {
					storetest.Verify(t, d.store)
				}
			},
		})
		converge(rt, desks, written)
	})
}

// converge has all notebooks pull from each other until nothing changes.
func converge(rt *rapid.T, desks []*desk, written []string) {
	for round := 0; ; round++ {
		before := sizes(rt, desks)
		for _, to := range desks {
			for _, from := range desks {
				to.pull(rt, from)
			}
		}
		if slices.Equal(before, sizes(rt, desks)) {
			break
		}
		if round == 6 {
			rt.Fatalf("the notebooks go on changing: %v", before)
		}
	}
	all := desks[0].set(rt)
	for i, d := range desks {
		if got := d.set(rt); !slices.Equal(got, all) {
			rt.Fatalf("notebook %d has %d lines, notebook 0 has %d, or in another order", i, len(got), len(all))
		}
	}
	for _, l := range written {
		if !slices.Contains(all, l) {
			rt.Fatalf("lost: %s", l)
		}
	}
}

func sizes(rt *rapid.T, desks []*desk) []int {
	var n []int
	for _, d := range desks {
		n = append(n, len(d.set(rt)))
	}
	return n
}

// What a merge says of a device at a time: taken, known, waiting.
func TestMergePortions(t *testing.T) {
	t.Parallel()
	a := newDesk(t, 1, storetest.Evening())
	var lines []notebook.Line
	for i := range 4 {
		lines = append(lines, a.note(t, fmt.Sprint(i)))
	}
	_, signed, _ := a.Heads()
	for _, c := range []struct {
		what                string
		lines               []notebook.Line
		heads               []notebook.SignedHead
		new, known, waiting int
	}{
		{"out of order and twice", []notebook.Line{lines[2], lines[0], lines[3], lines[1], lines[2]}, signed, 4, 1, 0},
		{"a gap at the front", lines[1:], signed, 0, 0, 3},
		{"a gap within", []notebook.Line{lines[0], lines[1], lines[3]}, signed, 0, 0, 3},
		{"no signed head", lines, nil, 0, 0, 4},
		{"the signed head is beyond", lines[:2], signed, 0, 0, 2},
		{"heads only", nil, signed, 0, 0, 0},
	} {
		b := newDesk(t, 2, storetest.Evening())
		m, err := b.Merge(c.lines, c.heads)
		waiting := 0
		for _, w := range m.Waiting {
			waiting += w.Lines
		}
		if err != nil || len(m.New) != c.new || m.Known != c.known || waiting != c.waiting {
			t.Errorf("%s: %d new, %d known, waiting %v, %v; expected %d, %d, %d", c.what, len(m.New), m.Known, m.Waiting, err, c.new, c.known, c.waiting)
		}
		if m, err := b.Merge(lines, signed); err != nil || len(m.New)+m.Known != 4 {
			t.Errorf("%s, then all: %+v %v", c.what, m, err)
		}
		if m, err := b.Merge(lines, signed); err != nil || m.Known != 4 || len(m.New) != 0 {
			t.Errorf("%s, then all again: %+v %v", c.what, m, err)
		}
		storetest.Verify(t, b.store)
	}
}

func TestMergeRefusesAnotherProgramme(t *testing.T) {
	t.Parallel()
	other, err := notebook.Create(new(notebook.Memory), uuid.UUID{7}, storetest.Key(2), storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	foreign, err := other.Write(storetest.Entry("elsewhere"))
	if err != nil {
		t.Fatal(err)
	}
	_, foreignHeads, _ := other.Heads()
	a, b := newDesk(t, 1, storetest.Evening()), newDesk(t, 3, storetest.Evening())
	own := a.note(t, "ours")
	_, heads, _ := a.Heads()
	for what, err := range map[string]error{
		"lines": second(b.Merge(append(foreign, own), heads)),
		"heads": second(b.Merge([]notebook.Line{own}, append(foreignHeads, heads...))),
	} {
		if err == nil || !strings.Contains(err.Error(), "nothing was merged") {
			t.Errorf("foreign %s: %v", what, err)
		}
	}
	if len(b.set(t)) != 0 {
		t.Error("something was merged all the same")
	}
}

func second[A any](_ A, err error) error { return err }

// A relay cannot write as another, nor change a line under way: the report shows
// the line, and the other devices' lines are taken all the same.
func TestMergeRefusesForgery(t *testing.T) {
	t.Parallel()
	a, c := newDesk(t, 1, storetest.Evening()), newDesk(t, 3, storetest.Evening())
	lines := []notebook.Line{a.note(t, "one"), a.note(t, "two"), a.note(t, "three")}
	_, signed, _ := a.Heads()
	good := c.note(t, "by another device")
	_, goodHeads, _ := c.Heads()
	altered := func(i int) []notebook.Line {
		changed := slices.Clone(lines)
		l, err := notebook.ParseLine(bytes.Replace(lines[i].Stored, []byte("AB"), []byte("XY"), 1))
		if err != nil {
			t.Fatal(err)
		}
		changed[i] = l
		return changed
	}
	broken := slices.Clone(signed)
	broken[0].Signature = bytes.Repeat([]byte{1}, ed25519.SignatureSize)
	for _, c := range []struct {
		what  string
		lines []notebook.Line
		heads []notebook.SignedHead
		want  string
	}{
		{"the middle altered", altered(1), signed, "line 2 (id"},
		{"the last altered", altered(2), signed, "line 3 (id"},
		{"the signature altered", lines, broken, "not signed by that device"},
	} {
		b := newDesk(t, 2, storetest.Evening())
		m, err := b.Merge(append(c.lines, good), append(c.heads, goodHeads...))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.what, err)
		}
		if len(m.New) != 1 || m.New[0].Hash != good.Hash {
			t.Errorf("%s: took %d lines, expected only the other device's", c.what, len(m.New))
		}
		if m, err := b.Merge(lines, signed); err != nil || len(m.New) != 3 {
			t.Errorf("%s, then the true lines: %v", c.what, err)
		}
	}
}

// A later format and an unknown kind are kept, verified and passed on.
func TestMergeRelaysLaterFormat(t *testing.T) {
	t.Parallel()
	key := storetest.Key(9)
	var device notebook.DeviceID
	copy(device[:], key.Public().(ed25519.PublicKey))
	l, err := notebook.ParseLine(fmt.Appendf(nil, `{"v":2,"programme":"%s","id":"019e2829-8a2b-7c3d-8e4f-5a6b7c8d9e0f","device":"%s","seq":1,"prev":"%s","at":"2027-01-01T00:00:00.000Z","tick":0,"who":"AB","kind":"dream","sealed":true,"body":[1]}`,
		storetest.Programme, device, notebook.Hash{}))
	if err != nil {
		t.Fatal(err)
	}
	head := notebook.SignedHead{Programme: storetest.Programme, Device: device, Head: notebook.Head{Seq: 1, Hash: l.Hash}}
	// The signed text is part of the format: five lines, each with its line break.
	head.Signature = ed25519.Sign(key, fmt.Appendf(nil, "dawnround head 1\n%s\n%s\n1\n%s\n", storetest.Programme, device, l.Hash))
	a, b := newDesk(t, 1, storetest.Evening()), newDesk(t, 2, storetest.Evening())
	m, err := a.Merge([]notebook.Line{l}, []notebook.SignedHead{head})
	if err != nil || len(m.New) != 1 || m.New[0].Format != 2 {
		t.Fatalf("%+v %v", m, err)
	}
	if len(m.Ahead) != 1 || m.Ahead[0].Device != device {
		t.Errorf("its clock is months ahead, reported %v", m.Ahead)
	}
	b.pull(t, a)
	if got := b.set(t); len(got) != 1 || got[0] != string(l.Stored) {
		t.Errorf("relayed %q", got)
	}
	if report, err := notebook.Verify(b.store, nil); err != nil || report.Later != 1 {
		t.Errorf("%+v %v", report, err)
	}
	if at := a.note(t, "now").Clock.Time(); at.Year() != 2026 {
		t.Errorf("a clock months ahead was adopted: %s", at)
	}
}
