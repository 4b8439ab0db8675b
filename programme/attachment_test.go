package programme_test

import (
	"bytes"
	"errors"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"
)

func TestAttach(t *testing.T) {
	t.Parallel()
	store := &notebook.Memory{}
	p := open(t, store, 1)
	photo, blob := storetest.Photo(1, 500)
	if _, err := p.Attach("AB", dawn, photo, "image/jpeg", record.Attachment{}); !errors.Is(err, programme.ErrNoBlobs) {
		t.Errorf("without a place for its bytes: %v", err)
	}
	p.Blobs = store
	if _, err := p.Attach("AB", dawn, photo, "image/jpeg", record.Attachment{Caption: "healed wound"}); err != nil {
		t.Fatal(err)
	}
	p.View(func(r *register.Register) {
		if named := r.Blobs(); len(named) != 1 || named[0] != blob {
			t.Errorf("lines name %v, expected %v", named, blob)
		}
	})
	if got, err := p.Bytes(blob); err != nil || !bytes.Equal(got, photo) {
		t.Errorf("%d bytes, %v", len(got), err)
	}
}

// fullBlobs takes no bytes.
type fullBlobs struct{ notebook.Blobs }

func (fullBlobs) Put(notebook.Hash, []byte) error { return errFull }

func TestNoLineWithoutItsBytes(t *testing.T) {
	t.Parallel()
	p := open(t, &notebook.Memory{}, 1)
	p.Blobs = fullBlobs{}
	if _, err := p.Attach("AB", dawn, []byte("x"), "image/jpeg", record.Attachment{}); !errors.Is(err, errFull) {
		t.Errorf("a full disk: %v", err)
	}
	p.View(func(r *register.Register) {
		if named := r.Blobs(); len(named) != 0 {
			t.Errorf("a line names %v, whose bytes are not on disk", named)
		}
	})
}

// TestPicturesComeAfterTheirLines: lines first, and until the bytes come they
// are wanted, no fault.
func TestPicturesComeAfterTheirLines(t *testing.T) {
	t.Parallel()
	phone, laptop := open(t, &notebook.Memory{}, 1), open(t, &notebook.Memory{}, 2)
	phone.Blobs, laptop.Blobs = &notebook.Memory{}, &notebook.Memory{}
	photo, blob := storetest.Photo(1, 500)
	if _, err := phone.Attach("AB", dawn, photo, "image/jpeg", record.Attachment{}); err != nil {
		t.Fatal(err)
	}
	_, signed, err := phone.Notebook().Heads()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := laptop.Merge(lines(t, phone.Notebook().Since(nil)), signed); err != nil {
		t.Fatal(err)
	}
	wanted, err := laptop.Wanted()
	if here, hereErr := laptop.Here(blob); err != nil || hereErr != nil || here || len(wanted) != 1 || wanted[0].Blob != blob {
		t.Fatalf("wanted %v, %v; here %v", wanted, err, here)
	}
	if _, err := laptop.Bytes(blob); !errors.Is(err, notebook.ErrNotHere) {
		t.Errorf("before they came: %v", err)
	}
	if have, err := notebook.Accept(laptop.Blobs, wanted[0].Blob, 0, photo); err != nil || have != blob.Size {
		t.Fatal(have, err)
	}
	if wanted, err := laptop.Wanted(); err != nil || len(wanted) != 0 {
		t.Errorf("still wanted: %v, %v", wanted, err)
	}
}
