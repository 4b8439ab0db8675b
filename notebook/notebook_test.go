package notebook_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/notebook/storetest"

	"github.com/google/uuid"
)

func write(t testing.TB, n *notebook.Notebook, words ...string) []notebook.Line {
	t.Helper()
	var entries []notebook.Entry
	for _, w := range words {
		entries = append(entries, storetest.Entry(w))
	}
	lines, err := n.Write(entries...)
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

func TestWriteThenRead(t *testing.T) {
	t.Parallel()
	d := newDesk(t, 1, storetest.Evening())
	written := write(t, d.Notebook, "one", "two")
	written = append(written, write(t, d.Notebook, "three")...)
	all := storetest.Collect(t, d.Lines())
	if len(all) != 3 {
		t.Fatalf("read %d lines, wrote 3", len(all))
	}
	for i, l := range all {
		if l.Hash != written[i].Hash || l.Seq != uint64(i+1) {
			t.Errorf("line %d: read\n%s\nwrote\n%s", i+1, l.Stored, written[i].Stored)
		}
		if l.ID.Version() != 7 || l.ID.Variant() != uuid.RFC4122 {
			t.Errorf("line %d: id %s is no UUIDv7", i+1, l.ID)
		}
		if sec, nsec := l.ID.Time().UnixTime(); time.Unix(sec, nsec).UnixMilli() != l.Clock.Wall {
			t.Errorf("line %d: id %s of %s, clock %s", i+1, l.ID, time.Unix(sec, nsec), l.Clock)
		}
	}
	storetest.Verify(t, d.store)
}

func TestWriteRefuses(t *testing.T) {
	t.Parallel()
	d := newDesk(t, 1, storetest.Evening())
	good := storetest.Entry("good")
	for _, c := range []struct {
		who, kind, body, want string
	}{
		{`A"B`, "note", "{}", "leave out quotes"},
		{"A\nB", "note", "{}", "leave out quotes"},
		{"AB", "Note", "{}", "lower-case"},
		{"AB", "", "{}", "lower-case"},
		{"AB", "note", "", "not JSON"},
		{"AB", "note", "{", "not JSON"},
		{"AB", "note", "\"\xff\"", "not JSON"},
		{"AB", "note", "{\n}", "line break at byte 1"},
		{"AB", "fork", "{}", "AdoptFork"},
	} {
		_, err := d.Write(good, notebook.Entry{Who: c.who, Kind: c.kind, Body: []byte(c.body)})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q %q %q: message %v does not say %q", c.who, c.kind, c.body, err, c.want)
		}
	}
	if got := d.set(t); len(got) != 0 {
		t.Errorf("of refused entries %d lines were written", len(got))
	}
}

func TestCreateAndOpenRefuse(t *testing.T) {
	t.Parallel()
	d := newDesk(t, 1, storetest.Evening())
	for what, err := range map[string]error{
		"there is a notebook": second(notebook.Create(d.store, storetest.Programme, storetest.Key(2), storetest.Evening())),
		"all zeros":           second(notebook.Create(new(notebook.Memory), uuid.Nil, storetest.Key(2), storetest.Evening())),
		"no notebook here":    second(notebook.Open(new(notebook.Memory), storetest.Key(2), storetest.Evening())),
	} {
		if err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("message %v does not say %q", err, what)
		}
	}
}

// failing is a store whose append fails, having kept the lines or not.
type failing struct {
	notebook.Store
	fails, keeps bool
}

func (f *failing) Append(lines []notebook.Line, heads []notebook.SignedHead) error {
	if !f.fails {
		return f.Store.Append(lines, heads)
	}
	if f.keeps {
		if err := f.Store.Append(lines, heads); err != nil {
			return err
		}
	}
	return errors.New("the disk is full")
}

// After a write that failed, whether or not its lines reached the disk, the
// notebook goes on and its chain stays whole.
func TestWriteAfterFailure(t *testing.T) {
	t.Parallel()
	for _, keeps := range []bool{false, true} {
		store := &failing{Store: new(notebook.Memory), keeps: keeps}
		n, err := notebook.Create(store, storetest.Programme, storetest.Key(1), storetest.Evening())
		if err != nil {
			t.Fatal(err)
		}
		write(t, n, "one")
		store.fails = true
		if lines, err := n.Write(storetest.Entry("two")); err == nil || lines != nil {
			t.Errorf("a failing store: %v %v", lines, err)
		}
		store.fails = false
		write(t, n, "three")
		storetest.Verify(t, store)
	}
}

func BenchmarkOpen(b *testing.B) {
	const count = 100_000
	b.Run("100k_lines", func(b *testing.B) {
		store := new(notebook.Memory)
		storetest.Fill(b, store, 3, count)
		for b.Loop() {
			if _, err := notebook.Open(store, storetest.Key(1), storetest.Evening()); err != nil {
				b.Fatal(err)
			}
		}
	})
}
