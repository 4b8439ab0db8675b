package notebook_test

import (
	"errors"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

func TestMemoryBlobs(t *testing.T) {
	t.Parallel()
	storetest.RunBlobs(t, func(testing.TB) storetest.BlobStore { return new(notebook.Memory) })
}

func TestLinesNameBlobs(t *testing.T) {
	t.Parallel()
	const hash = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855" // of nothing: FIPS 180-4's empty message, as published by NIST
	line := func(kind, body string) notebook.Line {
		return notebook.Line{Format: notebook.Format, Kind: kind, Body: []byte(body)}
	}
	l := line("attachment", `{"sha256":"`+hash+`","size":7,"type":"image/jpeg","caption":"wound"}`)
	if b, ok := l.Blob(); !ok || b.SHA256.String() != hash || b.Size != 7 || b.Type != "image/jpeg" {
		t.Errorf("%+v, %v", b, ok)
	}
	for what, l := range map[string]notebook.Line{
		"another kind":   line("note", `{"sha256":"`+hash+`","size":7}`),
		"no hash":        line("attachment", `{"size":7}`),
		"half a hash":    line("attachment", `{"sha256":"e3b0","size":7}`),
		"no bytes":       line("attachment", `{"sha256":"`+hash+`","size":0}`),
		"too many":       line("attachment", `{"sha256":"`+hash+`","size":99999999}`),
		"a later format": {Format: 2, Kind: "attachment", Body: []byte(`{"sha256":"` + hash + `","size":7}`)},
	} {
		if b, ok := l.Blob(); ok {
			t.Errorf("%s names the blob %+v", what, b)
		}
	}
	if got := notebook.BlobOf(nil, "").SHA256.String(); got != hash {
		t.Errorf("the hash of nothing is %s, expected %s", got, hash)
	}
}

// TestWhatIsWanted: what is here is not, what came in part says how far, and
// each damage is named while the rest is counted.
func TestWhatIsWanted(t *testing.T) {
	t.Parallel()
	s := new(notebook.Memory)
	whole, a := storetest.Photo(1, 300)
	half, b := storetest.Photo(2, 300)
	_, c := storetest.Photo(3, 300)
	if err := s.Put(a.SHA256, whole); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddPart(b.SHA256, 0, half[:120]); err != nil {
		t.Fatal(err)
	}
	wanted, err := notebook.Missing(s, []notebook.Blob{c, a, b})
	if err != nil || len(wanted) != 2 || wanted[0] != (notebook.Wanted{Blob: c}) || wanted[1] != (notebook.Wanted{Blob: b, Have: 120}) {
		t.Errorf("wanted %v, %v; expected the third and the rest of the second", wanted, err)
	}
	report, err := notebook.VerifyBlobs(s, []notebook.Blob{a, b, a, c})
	if err != nil || report.Here != 1 || report.Bytes != 300 || len(report.NotHere) != 2 || len(report.Bad) != 0 {
		t.Errorf("%+v, %v", report, err)
	}
	if _, err := notebook.Chunk(s, c.SHA256, 0, 10); !errors.Is(err, notebook.ErrNotHere) {
		t.Errorf("a chunk of what is not here: %v", err)
	}
	if _, err := notebook.Chunk(s, a.SHA256, -1, 10); err == nil {
		t.Error("a chunk from before the beginning was given")
	}
}
