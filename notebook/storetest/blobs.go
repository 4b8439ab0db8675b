package storetest

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"dawnround/notebook"

	"pgregory.net/rapid"
)

// BlobStore is what [RunBlobs] tests: the bytes of attachments, and an end.
type BlobStore interface {
	notebook.Blobs
	Close() error
}

// Photo gives bytes that stand for a photo's, and their name: the same in every
// run.
func Photo(seed uint64, size int) ([]byte, notebook.Blob) {
	chance := rand.New(rand.NewPCG(seed, 2))
	b := make([]byte, size)
	for i := range b {
		b[i] = byte(chance.Uint32())
	}
	return b, notebook.BlobOf(b, "image/jpeg")
}

// RunBlobs is the suite that every store of attachments passes. open gives an
// empty store, to be closed when the test ends.
func RunBlobs(t *testing.T, open func(testing.TB) BlobStore) {
	for name, law := range map[string]func(*testing.T, func(testing.TB) BlobStore){
		"what is put comes back":            putComesBack,
		"other bytes than named are not":    otherBytes,
		"a part grows only at its end":      partGrows,
		"a cut at any byte is gone on from": cutAnywhere,
		"any order of chunks ends whole":    anyOrder,
		"bytes of another hash begin anew":  beginAnew,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			law(t, open)
		})
	}
}

func putComesBack(t *testing.T, open func(testing.TB) BlobStore) {
	s := open(t)
	defer s.Close()
	for seed, size := range []int{1, 4096, 500_000} {
		b, blob := Photo(uint64(seed), size)
		if _, err := s.Get(blob.SHA256); !errors.Is(err, notebook.ErrNotHere) {
			t.Errorf("before it came: %v, expected that it is not here yet", err)
		}
		given := bytes.Clone(b)
		for range 2 {
			if err := s.Put(blob.SHA256, given); err != nil {
				t.Fatal(err)
			}
		}
		given[0]++ // a store keeps its own copy
		wantHere(t, s, b, blob)
	}
}

func wantHere(tb rapid.TB, s notebook.Blobs, b []byte, blob notebook.Blob) {
	tb.Helper()
	got, err := s.Get(blob.SHA256)
	if err != nil || !bytes.Equal(got, b) {
		tb.Errorf("%d bytes came back, %v; expected the %d put", len(got), err, len(b))
	}
	if has, err := s.Has(blob.SHA256); !has || err != nil {
		tb.Errorf("has %v, %v; expected that it is here", has, err)
	}
	if part, err := s.Part(blob.SHA256); len(part) > 0 || err != nil {
		tb.Errorf("a part of %d bytes stays beside the whole, %v", len(part), err)
	}
}

func otherBytes(t *testing.T, open func(testing.TB) BlobStore) {
	s := open(t)
	defer s.Close()
	b, blob := Photo(1, 1000)
	b[999] ^= 1
	var bad *notebook.BadBlob
	if err := s.Put(blob.SHA256, b); !errors.As(err, &bad) || bad.Hash != blob.SHA256 {
		t.Errorf("other bytes: %v, expected a bad blob", err)
	}
	if has, err := s.Has(blob.SHA256); has || err != nil {
		t.Errorf("other bytes were kept: %v, %v", has, err)
	}
}

func partGrows(t *testing.T, open func(testing.TB) BlobStore) {
	s := open(t)
	defer s.Close()
	b, blob := Photo(2, 100)
	for _, step := range []struct{ offset, to, want int64 }{
		{7, 20, 0}, {0, 10, 10}, {10, 30, 30}, {20, 40, 30}, {31, 40, 30}, {30, 30, 30}, {0, 5, 5}, {5, 60, 60}, {0, 0, 0}, {0, 99, 99},
	} {
		have, err := s.AddPart(blob.SHA256, step.offset, b[step.offset:step.to])
		part, partErr := s.Part(blob.SHA256)
		if err != nil || partErr != nil || have != step.want || !bytes.Equal(part, b[:have]) {
			t.Fatalf("bytes %d to %d: reaches %d, %v, part of %d bytes, %v; expected %d", step.offset, step.to, have, err, len(part), partErr, step.want)
		}
	}
	if has, err := s.Has(blob.SHA256); has || err != nil {
		t.Errorf("a part counts as here: %v, %v", has, err)
	}
	if err := s.Put(blob.SHA256, b); err != nil {
		t.Fatal(err)
	}
	wantHere(t, s, b, blob)
}

// cutAnywhere carries a blob whose transfer is cut behind each of its bytes in
// turn, once in the middle of what was asked for.
func cutAnywhere(t *testing.T, open func(testing.TB) BlobStore) {
	s := open(t)
	defer s.Close()
	giving := new(notebook.Memory)
	for cut := int64(0); cut <= 60; cut++ {
		b, blob := Photo(uint64(1000+cut), 60)
		if err := giving.Put(blob.SHA256, b); err != nil {
			t.Fatal(err)
		}
		have, err := notebook.Accept(s, blob, 0, b[:cut])
		if err != nil || have != cut {
			t.Fatalf("cut behind byte %d: reaches %d, %v", cut, have, err)
		}
		carry(t, giving, s, blob, 17)
		wantHere(t, s, b, blob)
	}
}

// carry brings what is missing of one blob, at most so many bytes at a time.
func carry(tb rapid.TB, giving, asking notebook.Blobs, blob notebook.Blob, most int) {
	tb.Helper()
	wanted, err := notebook.Missing(asking, []notebook.Blob{blob})
	if err != nil {
		tb.Fatal(err)
	}
	for _, w := range wanted {
		for have := w.Have; have < w.Size; {
			chunk, err := notebook.Chunk(giving, w.SHA256, have, most)
			if err != nil || len(chunk) == 0 || len(chunk) > most {
				tb.Fatalf("chunk of %d bytes from %d on, %v; expected up to %d", len(chunk), have, err, most)
			}
			if have, err = notebook.Accept(asking, w.Blob, have, chunk); err != nil {
				tb.Fatal(err)
			}
		}
	}
}

func anyOrder(t *testing.T, open func(testing.TB) BlobStore) {
	s := open(t)
	defer s.Close()
	seed := uint64(5000)
	rapid.Check(t, func(rt *rapid.T) {
		seed++
		b, blob := Photo(seed, rapid.IntRange(1, 300).Draw(rt, "size"))
		giving := new(notebook.Memory)
		if err := giving.Put(blob.SHA256, b); err != nil {
			rt.Fatal(err)
		}
		var have int64
		for range rapid.IntRange(0, 20).Draw(rt, "messages") { // lost, doubled, late
			offset := rapid.Int64Range(0, blob.Size+3).Draw(rt, "offset")
			chunk, err := notebook.Chunk(giving, blob.SHA256, offset, rapid.IntRange(0, 120).Draw(rt, "most"))
			if err != nil {
				rt.Fatal(err)
			}
			reaches, err := notebook.Accept(s, blob, offset, chunk)
			if err != nil || reaches < have {
				rt.Fatalf("reaches %d, %v; it had come to %d", reaches, err, have)
			}
			have = reaches
		}
		carry(rt, giving, s, blob, 50)
		wantHere(rt, s, b, blob)
	})
}

func beginAnew(t *testing.T, open func(testing.TB) BlobStore) {
	s := open(t)
	defer s.Close()
	b, blob := Photo(3, 1000)
	wrong := slices.Clone(b)
	wrong[5] ^= 1
	if have, err := notebook.Accept(s, blob, 0, wrong[:600]); have != 600 || err != nil {
		t.Fatal(have, err)
	}
	var bad *notebook.BadBlob
	if have, err := notebook.Accept(s, blob, 600, wrong[600:]); have != 0 || !errors.As(err, &bad) {
		t.Fatalf("wrong bytes: reaches %d, %v; expected a bad blob, to begin anew", have, err)
	}
	if have, err := notebook.Accept(s, blob, 600, b[600:]); have != 0 || err != nil {
		t.Fatalf("behind a gap: reaches %d, %v", have, err)
	}
	if have, err := notebook.Accept(s, blob, 0, b); have != blob.Size || err != nil {
		t.Fatal(have, err)
	}
	wantHere(t, s, b, blob)
}
