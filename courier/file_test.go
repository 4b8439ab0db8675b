package courier_test

import (
	"bytes"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/record"

	"pgregory.net/rapid"
)

// stick is what a member exports.
func stick(t rapid.TB, m *member, holder notebook.Heads) []byte {
	t.Helper()
	var b bytes.Buffer
	if s, err := m.Export(&b, holder); err != nil || !s.Done {
		t.Fatalf("%s, %v", s.Says(), err)
	}
	return b.Bytes()
}

// By files alone, two phones that never meet come to hold the same; a delta
// holds only what the other lacks.
func TestFiles(t *testing.T) {
	t.Parallel()
	a, b := newMember(t, 2, 0), newMember(t, 3, 0)
	laptop := newCrew(t, a, b)
	sync(t, a, laptop)
	sync(t, b, laptop)
	a.notes(t, 500)
	b.notes(t, 3)
	if s, err := b.Import(bytes.NewReader(stick(t, a, nil))); err != nil || !s.Done || s.Came != 500 {
		t.Fatalf("%s, %v", s.Says(), err)
	}
	delta := stick(t, b, b.Copies.Known(a.device()))
	if all := stick(t, b, nil); len(delta) > len(all)/10 {
		t.Errorf("a delta of 3 lines has %d bytes, everything %d", len(delta), len(all))
	}
	if s, err := a.Import(bytes.NewReader(delta)); err != nil || s.Came != 3 {
		t.Fatalf("%s, %v", s.Says(), err)
	}
	alike(t, a, b)
	if s, err := a.Import(bytes.NewReader(delta)); err != nil || s.Came != 0 {
		t.Errorf("again: %s, %v", s.Says(), err)
	}
	empty := newMember(t, 4, 0)
	if s, err := empty.Import(bytes.NewReader(stick(t, a, nil))); err != nil || !s.Done {
		t.Errorf("into an empty notebook: %s, %v", s.Says(), err)
	}
	alike(t, a, empty)
}

// A file cut at any byte gives what came whole, says so, and breaks nothing.
func TestFileCut(t *testing.T) {
	t.Parallel()
	a := newMember(t, 2, 0)
	laptop := newCrew(t, a)
	sync(t, a, laptop)
	a.notes(t, 600)
	file := stick(t, a, nil)
	rapid.Check(t, func(t *rapid.T) {
		b := newMember(t, 3, 0)
		at := rapid.IntRange(0, len(file)-1).Draw(t, "cut at")
		if _, err := b.Import(bytes.NewReader(file[:at])); err == nil {
			t.Fatal("nobody says that the file was cut")
		}
		if _, err := notebook.Verify(b.store, nil); err != nil {
			t.Fatal(err)
		}
		if s, err := b.Import(bytes.NewReader(file)); err != nil || !s.Done {
			t.Fatalf("%s, %v", s.Says(), err)
		}
		alike(t, a, b)
	})
}

// Lines of a lost phone that come on a stick stay out until a leader lets
// them in; so do a stranger's; all else comes in.
func TestHeldBack(t *testing.T) {
	t.Parallel()
	lost, other := newMember(t, 2, 0), newMember(t, 3, 0)
	laptop := newCrew(t, lost, other)
	sync(t, lost, laptop)
	lost.notes(t, 4)
	laptop.keep(t, record.ShutOut{Device: lost.device(), Why: "left on the bus"})
	sync(t, other, laptop)

	file := stick(t, lost, nil)
	s, err := other.Import(bytes.NewReader(file))
	if err != nil || s.Came != 0 || len(s.Held) != 1 || s.Held[0].Lines != 4 || !strings.Contains(s.Says(), "left on the bus") {
		t.Fatalf("%s, %v", s.Says(), err)
	}
	s, err = other.Import(bytes.NewReader(file), lost.device())
	if err != nil || s.Came != 4 || !s.Done {
		t.Fatalf("let in: %s, %v", s.Says(), err)
	}
	sync(t, other, laptop)
	alike(t, other, laptop)

	stranger := newMember(t, 5, 0)
	if _, err := stranger.Import(bytes.NewReader(stick(t, laptop, nil))); err != nil {
		t.Fatal(err)
	}
	stranger.notes(t, 2)
	s, err = laptop.Import(bytes.NewReader(stick(t, stranger, nil)))
	if err != nil || s.Came != 0 || len(s.Held) != 1 || !strings.Contains(s.Held[0].Why, "nobody has admitted it") {
		t.Errorf("a stranger's lines: %s, %v", s.Says(), err)
	}
}

// A phone that was admitted meanwhile comes in by the very file that says so.
func TestAdmittedInTheFile(t *testing.T) {
	t.Parallel()
	a := newMember(t, 9, 0)
	late := newMember(t, 2, 0)
	laptop := newCrew(t, a)
	sync(t, a, laptop)
	laptop.keep(t, record.Admitted{Device: late.device(), Name: "late phone", Role: record.Scribe})
	late.Trust = []notebook.DeviceID{laptop.device()}
	late.notes(t, 2)
	sync(t, late, laptop)
	s, err := a.Import(bytes.NewReader(stick(t, late, nil)))
	if err != nil || len(s.Held) != 0 || !s.Done {
		t.Fatalf("%s, %v", s.Says(), err)
	}
	alike(t, a, laptop)
}

func FuzzImport(f *testing.F) {
	a := newMember(f, 2, 0)
	a.notes(f, 3)
	f.Add(stick(f, a, nil))
	f.Fuzz(func(t *testing.T, file []byte) {
		b := newMember(t, 3, 0)
		b.Import(bytes.NewReader(file))
		if _, err := notebook.Verify(b.store, nil); err != nil {
			t.Fatal(err)
		}
	})
}
