package notebook_test

import (
	"bytes"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

// A notebook that may not read all holds the whole chain, verified to its
// signed head, and nothing of what was withheld.
func TestWithheld(t *testing.T) {
	t.Parallel()
	now := storetest.Evening()
	laptop, phone := newDesk(t, 1, now), newDesk(t, 2, now)
	laptop.note(t, "before")
	laptop.note(t, "where the den is")
	laptop.note(t, "after")
	lines := storetest.Collect(t, laptop.Since(nil))
	secret := lines[1]
	lines[1] = secret.Withheld()
	_, signed, err := laptop.Heads()
	if err != nil {
		t.Fatal(err)
	}

	merged, err := phone.Merge(lines, signed)
	if err != nil || len(merged.New) != 0 || len(merged.Waiting) == 0 || !strings.Contains(merged.Waiting[0].Why, "withheld") {
		t.Errorf("a notebook that may read all takes less: %+v, %v", merged, err)
	}
	phone.Limit()
	if merged, err = phone.Merge(lines, signed); err != nil || len(merged.New) != 3 {
		t.Fatalf("%+v, %v", merged, err)
	}
	var export bytes.Buffer
	if err := notebook.Export(&export, phone.store); err != nil || strings.Contains(export.String(), "den") {
		t.Errorf("the phone holds what was withheld, or cannot be exported: %v", err)
	}
	if _, err := notebook.Verify(phone.store, nil); err != nil {
		t.Error(err)
	}
	if ours, _, _ := laptop.Heads(); ours[laptop.Device()].Hash != lines[2].Hash {
		t.Error("the heads differ")
	}

	// Another line in the place of a withheld one breaks the chain.
	third := newDesk(t, 3, now)
	third.Limit()
	forged := []byte(strings.Replace(string(lines[1].Stored), secret.Hash.String(), strings.Repeat("0f", 32), 1))
	if lines[1], err = notebook.ParseLine(forged); err != nil {
		t.Fatal(err)
	}
	if merged, err := third.Merge(lines, signed); err == nil || len(merged.New) > 0 {
		t.Errorf("a forged line is taken: %+v", merged)
	}
	if _, err := phone.Write(notebook.Entry{Who: "AB", Kind: notebook.WithheldKind, Body: []byte("{}")}); err == nil {
		t.Error("a line of that kind can be written")
	}
}

// What is read of a withheld line is what was told of it.
func TestWithheldIsRead(t *testing.T) {
	t.Parallel()
	d := newDesk(t, 1, storetest.Evening())
	d.note(t, "one")
	line := storetest.Collect(t, d.Since(nil))[0]
	told := line.Withheld()
	read, err := notebook.ParseLine(told.Stored)
	if err != nil || read.Hash != line.Hash || read.ID != line.ID || read.Seq != line.Seq || read.Clock != line.Clock || read.Body != nil || read.Kind != notebook.WithheldKind {
		t.Errorf("%+v, %v", read, err)
	}
	for i := range told.Stored {
		if _, err := notebook.ParseLine(told.Stored[:i]); err == nil {
			t.Errorf("cut at byte %d it is read", i)
		}
	}
	if _, err := notebook.ParseLine(append(told.Stored, ' ')); err == nil {
		t.Error("with more behind it, it is read")
	}
}
