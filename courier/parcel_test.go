package courier

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/ed25519"
	"io"
	"reflect"
	"testing"
	"time"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// samples are parcels as they travel: one that only tells, one with lines.
func samples(tb testing.TB) []Parcel {
	tb.Helper()
	now := func() time.Time { return time.Date(2026, 5, 13, 19, 0, 0, 0, time.UTC) }
	n, err := notebook.Create(&notebook.Memory{}, uuid.UUID{1}, ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize)), now)
	if err != nil {
		tb.Fatal(err)
	}
	for range 5 {
		if _, err := n.Write(notebook.Entry{ID: uuid.UUID{2}, Who: "AB", Kind: "note", Body: []byte(`{"on":"trap NR/K1","text":"ants"}`)}); err != nil {
			tb.Fatal(err)
		}
	}
	heads, _, err := n.Heads()
	if err != nil {
		tb.Fatal(err)
	}
	only := Parcel{Note: Note{Parcel: 1, Programme: n.Programme(), Device: n.Device(), Now: now(), Holds: heads}}
	full := only
	if err := full.load(n, holding{}, false); err != nil {
		tb.Fatal(err)
	}
	return []Parcel{only, full}
}

func TestPackedIsUnpacked(t *testing.T) {
	t.Parallel()
	for _, p := range samples(t) {
		packed, err := p.pack()
		if err != nil {
			t.Fatal(err)
		}
		got, err := unpackBytes(packed)
		if err != nil || !reflect.DeepEqual(got.Note, p.Note) || len(got.Lines) != len(p.Lines) || len(got.Heads) != len(p.Heads) {
			t.Errorf("%v\n got %+v\nwant %+v", err, got, p)
		}
	}
}

// Cut at any byte, or with any byte changed, a parcel is not read.
func TestDamagedParcelIsNotRead(t *testing.T) {
	t.Parallel()
	p := samples(t)[1]
	packed, err := p.pack()
	if err != nil {
		t.Fatal(err)
	}
	for i := range packed {
		if _, err := unpackBytes(packed[:i]); err == nil {
			t.Fatalf("cut at byte %d of %d, it is read", i, len(packed))
		}
		wrong := bytes.Clone(packed)
		wrong[i] ^= 0x55
		if got, err := unpackBytes(wrong); err == nil && !reflect.DeepEqual(got.Note, p.Note) {
			t.Fatalf("with byte %d changed, another parcel is read", i)
		}
	}
	if _, err := unpackBytes(append(packed, packed...)); err == nil {
		t.Error("two parcels are read as one")
	}
}

func FuzzUnpack(f *testing.F) {
	for _, p := range samples(f) {
		packed, err := p.pack()
		if err != nil {
			f.Fatal(err)
		}
		f.Add(packed)
	}
	f.Fuzz(func(t *testing.T, packed []byte) {
		in := bufio.NewReader(bytes.NewReader(packed))
		for {
			if _, err := unpack(in); err != nil {
				return
			}
		}
	})
}

// What is inside the gzip is read alike strictly.
func FuzzReadParcel(f *testing.F) {
	for _, p := range samples(f) {
		packed, err := p.pack()
		if err != nil {
			f.Fatal(err)
		}
		z, err := gzip.NewReader(bytes.NewReader(packed))
		if err != nil {
			f.Fatal(err)
		}
		text, err := io.ReadAll(z)
		if err != nil {
			f.Fatal(err)
		}
		body, _, _ := lastLine(text)
		f.Add(body)
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		p, err := readParcel(ended(bytes.Clone(body)))
		if err != nil {
			return
		}
		again, err := p.pack()
		if err != nil {
			t.Fatal(err)
		}
		if q, err := unpackBytes(again); err != nil || len(q.Lines) != len(p.Lines) || len(q.Heads) != len(p.Heads) {
			t.Errorf("read and packed again, it is not the same: %v", err)
		}
	})
}

func FuzzCredential(f *testing.F) {
	key := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	f.Add(credential(key, uuid.UUID{1}, "abc-def", "/sync", nil), []byte(nil))
	f.Add("Dawnround a.b.c", []byte("x"))
	f.Fuzz(func(t *testing.T, authorization string, body []byte) {
		device, challenge, err := readCredential(authorization, uuid.UUID{1}, "/sync", body)
		if err == nil && (device != deviceOf(key) || len(body) > 0 && challenge == "abc-def") {
			t.Errorf("%q is taken for device %s", authorization, device)
		}
	})
}
