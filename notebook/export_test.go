package notebook_test

import (
	"bytes"
	"errors"
	"iter"
	"regexp"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

func exported(t testing.TB, store notebook.Store) string {
	t.Helper()
	var text bytes.Buffer
	if err := notebook.Export(&text, store); err != nil {
		t.Fatal(err)
	}
	return text.String()
}

// some is a store with lines of two devices and the bare word of a third.
func some(t testing.TB) *notebook.Memory {
	t.Helper()
	a, b, c := newDesk(t, 1, storetest.Evening()), newDesk(t, 2, storetest.Evening()), newDesk(t, 3, storetest.Evening())
	for range 3 {
		a.note(t, "by a")
		b.note(t, "by b")
	}
	a.pull(t, b)
	a.pull(t, c)
	return a.store
}

func TestExportRestoreExport(t *testing.T) {
	t.Parallel()
	text := exported(t, some(t))
	if lines := strings.Count(text, "\n"); lines != 6+3 {
		t.Errorf("%d lines, expected 6 and 3 heads", lines)
	}
	store := new(notebook.Memory)
	if err := notebook.Restore(strings.NewReader(text), store); err != nil {
		t.Fatal(err)
	}
	if again := exported(t, store); again != text {
		t.Errorf("exported again:\n%s\nfirst:\n%s", again, text)
	}
	n, err := notebook.Open(store, storetest.Key(4), storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	if again := exported(t, store); again != text {
		t.Error("opening a restored notebook wrote in it")
	}
	if _, err := n.Write(storetest.Entry("as a new device")); err != nil {
		t.Error(err)
	}
	storetest.Verify(t, store)
}

// Whatever byte of an export is changed or wherever it is cut off, it is refused,
// or nothing is missing; what is refused leaves the store empty.
func TestRestoreDamaged(t *testing.T) {
	t.Parallel()
	text := exported(t, some(t))
	whole := len(text)
	for at := 0; at < whole; at++ {
		flipped := []byte(text)
		flipped[at] ^= 1 << (at % 7)
		refused(t, at, string(flipped))
		if at%5 == 0 {
			refused(t, at, text[:at])
		}
	}
}

func refused(t *testing.T, at int, text string) {
	t.Helper()
	store := new(notebook.Memory)
	if err := notebook.Restore(strings.NewReader(text), store); err == nil {
		// Names of JSON keys may differ in case; the lines may not.
		if _, err := notebook.Verify(store, nil); err != nil || len(storetest.Collect(t, store.Since(nil))) != 6 {
			t.Errorf("damaged at byte %d and restored all the same: %v", at, err)
		}
		return
	}
	heads, signed, err := store.Heads()
	if err != nil || len(heads)+len(signed) > 0 {
		t.Errorf("damaged at byte %d: something was kept", at)
	}
}

func TestRestoreSaysWhere(t *testing.T) {
	t.Parallel()
	text := exported(t, some(t))
	lines := strings.SplitAfter(text, "\n")
	for _, c := range []struct{ text, want string }{
		{strings.Replace(text, `"tick"`, `"tock"`, 1), "export line 1: line: byte "},
		{text[:len(text)-1], "the file ends without a line break"},
		{strings.Join(lines[1:], ""), "line 1 was expected here"},
		{regexp.MustCompile(`\{"head":.*"seq":3.*\n`).ReplaceAllString(text, ""), "has signed no head"},
		{strings.Join(append(lines[:5:5], lines[6:]...), ""), "the chain ends here, but its device signed 3 lines"},
		{regexp.MustCompile(`(?m)^\{"head":.*\n`).ReplaceAllString(text, ""), "the file ends before its devices' signed heads"},
		{"", "no notebook here yet"},
	} {
		err := notebook.Restore(strings.NewReader(c.text), new(notebook.Memory))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("message %q does not say %q", err, c.want)
		}
	}
	if err := notebook.Restore(strings.NewReader(text), some(t)); err == nil {
		t.Error("restored over a notebook")
	}
}

func FuzzReadExport(f *testing.F) {
	f.Add([]byte(exported(f, some(f))))
	f.Add([]byte("{\"head\":{\"seq\":1}}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		store := new(notebook.Memory)
		if err := notebook.Restore(bytes.NewReader(text), store); err != nil {
			return
		}
		storetest.Verify(t, store)
		again := new(notebook.Memory)
		if err := notebook.Restore(strings.NewReader(exported(t, store)), again); err != nil {
			t.Errorf("what was restored and exported cannot be restored: %v", err)
		}
	})
}

// Verify names the first bad line with what is stored, what was expected, and
// what another source has.
func TestVerifyShowsBothVersions(t *testing.T) {
	t.Parallel()
	good := some(t)
	lines := storetest.Collect(t, good.Since(nil))
	for i, l := range lines {
		changed, err := notebook.ParseLine(bytes.Replace(l.Stored, []byte(`"AB"`), []byte(`"XY"`), 1))
		if err != nil {
			t.Fatal(err)
		}
		_, err = notebook.Verify(altered{good, l.Hash, changed}, good)
		var found *notebook.BadLine
		if !errors.As(err, &found) || found.Device != l.Device || found.Seq != l.Seq || found.ID != l.ID ||
			!bytes.Equal(found.Stored, changed.Stored) || found.Want != l.Hash || !bytes.Equal(found.Other, l.Stored) {
			t.Errorf("line %d altered: %v", i, err)
		}
	}
}

// altered is a store in which one line was changed behind the notebook's back.
type altered struct {
	notebook.Store
	at notebook.Hash
	as notebook.Line
}

func (a altered) Since(holder notebook.Heads) iter.Seq2[notebook.Line, error] {
	return func(yield func(notebook.Line, error) bool) {
		for l, err := range a.Store.Since(holder) {
			if l.Hash == a.at {
				l = a.as
			}
			if !yield(l, err) {
				return
			}
		}
	}
}
