package courier_test

import (
	"bytes"
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/record"

	"pgregory.net/rapid"
)

// attach keeps a picture of so many bytes.
func (m *member) attach(t rapid.TB, seed uint64, size int) notebook.Blob {
	t.Helper()
	picture := make([]byte, size)
	rng := rand.New(rand.NewPCG(seed, 2))
	for i := range picture {
		picture[i] = byte(rng.Uint32())
	}
	if _, err := m.Programme.Attach("AB", m.Now(), picture, "image/jpeg", record.Attachment{Caption: "left ear"}); err != nil {
		t.Fatal(err)
	}
	return notebook.BlobOf(picture, "image/jpeg")
}

// Pictures follow the lines both ways, however often the way is cut; what
// nobody has is waited for, and is no fault.
func TestPicturesFollow(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := newMember(t, 2, 0), newMember(t, 3, 0)
		laptop := newCrew(t, a, b)
		taken := []notebook.Blob{a.attach(t, 1, rapid.IntRange(1, 300_000).Draw(t, "bytes")), laptop.attach(t, 2, 100_000)}
		sync(t, b, laptop)
		sync(t, a, laptop)
		sync(t, b, laptop)
		var told []courier.Blobs
		got, err := b.SyncBlobs(context.Background(), to(laptop), func(far courier.Blobs) { told = append(told, far) })
		if err != nil || got.Came != 1 || got.Waiting != 1 || !slices.Equal(got.Lacks, []notebook.Hash{taken[0].SHA256}) || !got.Given || got.Why != "" {
			t.Fatalf("b, before a has sent: %+v, %v", got, err)
		}
		if len(told) != 3 || told[0].ToSend != 1 || told[1].ToCome != 2 || told[2].ToCome != 1 {
			t.Fatalf("told %+v", told)
		}
		way := &flaky{rng: rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)), to: to(laptop)}
		for range 5 {
			a.SyncBlobs(context.Background(), way.carry, nil)
		}
		for _, m := range []*member{a, b} {
			if _, err := m.SyncBlobs(context.Background(), to(laptop), nil); err != nil {
				t.Fatal(err)
			}
		}
		for _, m := range []*member{a, b, laptop} {
			for _, blob := range taken {
				if got, err := m.Programme.Bytes(blob); err != nil || int64(len(got)) != blob.Size {
					t.Fatalf("a picture is not everywhere: %v", err)
				}
			}
		}
	})
}

// A device is given only what lines name, and gives nothing that nobody asked for.
func TestUnaskedPictures(t *testing.T) {
	t.Parallel()
	a := newMember(t, 2, 0)
	laptop := newCrew(t, a)
	secret := []byte("a key, not a picture")
	if err := laptop.store.Put(notebook.BlobOf(secret, "").SHA256, secret); err != nil {
		t.Fatal(err)
	}
	sync(t, a, laptop)
	laptop.keep(t, record.Admitted{Device: a.device(), Name: "guest", Role: record.Reader})
	a.attach(t, 1, 1000)
	a.Sync(context.Background(), to(laptop), nil)
	if got, err := a.SyncBlobs(context.Background(), to(laptop), nil); err != nil || got.Sent != 0 || got.Why == "" {
		t.Errorf("a reader's picture was taken, or nobody said why not: %+v, %v", got, err)
	}
	a.keep(t, record.Attachment{Blob: notebook.BlobOf(secret, "image/jpeg")}) // a line of its own names it, the laptop's do not
	a.SyncBlobs(context.Background(), to(laptop), nil)
	if got, err := a.Programme.Bytes(notebook.BlobOf(secret, "image/jpeg")); err == nil && bytes.Equal(got, secret) {
		t.Error("bytes were given that no line there names")
	}
}
