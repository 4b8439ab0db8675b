package browser

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

// sealedBlobs are the attachments of a disk and the vault that they lie in.
type sealedBlobs struct {
	*Blobs
	vault *Vault
}

func (s sealedBlobs) Close() error { return errors.Join(s.Blobs.Close(), s.vault.Close()) }

func blobsIn(disk Disk) (sealedBlobs, error) {
	open := Unlock
	if there, err := Sealed(disk); err != nil {
		return sealedBlobs{}, err
	} else if !there {
		open = Seal
	}
	v, err := open(disk, passphrase, quick)
	if err != nil {
		return sealedBlobs{}, err
	}
	b, err := OpenBlobs(v)
	return sealedBlobs{b, v}, err
}

func TestBlobs(t *testing.T) {
	t.Parallel()
	t.Run("in memory", func(t *testing.T) {
		t.Parallel()
		storetest.RunBlobs(t, func(tb testing.TB) storetest.BlobStore { return must(blobsIn(newCutDisk()))(tb) })
	})
	t.Run("on files", func(t *testing.T) {
		t.Parallel()
		storetest.RunBlobs(t, func(tb testing.TB) storetest.BlobStore { return must(blobsIn(folder(tb.TempDir())))(tb) })
	})
}

// Wherever the power is cut, a picture that was acknowledged is there whole, one
// that was not is there whole or not at all, a part reaches at least as far as
// was said, and work goes on.
func TestBlobPowerCut(t *testing.T) {
	t.Parallel()
	first, firstBlob := storetest.Photo(1, 300_000)
	second, secondBlob := storetest.Photo(2, 1000)
	cut := true
	for k := 1; cut; k++ {
		disk := newCutDisk()
		s := must(blobsIn(disk))(t)
		disk.cut(k, rand.New(rand.NewPCG(uint64(k), 1)))
		putErr := s.Put(firstBlob.SHA256, first)
		have, partErr := s.AddPart(secondBlob.SHA256, 0, second[:400])
		if partErr == nil {
			have, partErr = s.AddPart(secondBlob.SHA256, 400, second[400:700])
		}
		cut = disk.restore()
		s = must(blobsIn(disk))(t)
		got, err := s.Get(firstBlob.SHA256)
		if whole := err == nil && bytes.Equal(got, first); !whole && (putErr == nil || !errors.Is(err, notebook.ErrNotHere)) {
			t.Fatalf("cut at write %d: put said %v, then %d bytes, %v", k, putErr, len(got), err)
		}
		part := must(s.Part(secondBlob.SHA256))(t)
		if int64(len(part)) < have || !bytes.HasPrefix(second, part) {
			t.Fatalf("cut at write %d: a part of %d bytes, %d were acknowledged (%v)", k, len(part), have, partErr)
		}
		if _, err := notebook.Accept(s, secondBlob, int64(len(part)), second[len(part):]); err != nil {
			t.Fatalf("cut at write %d: %v", k, err)
		}
		if err := s.Put(firstBlob.SHA256, first); err != nil {
			t.Fatalf("cut at write %d: %v", k, err)
		}
		s = must(blobsIn(disk))(t)
		for _, want := range [][]byte{first, second} {
			if got, err := s.Get(notebook.BlobOf(want, "").SHA256); err != nil || !bytes.Equal(got, want) {
				t.Fatalf("cut at write %d, put again: %d bytes, %v", k, len(got), err)
			}
		}
	}
}

// A picture whose bytes were changed is named as damaged, concerns no other, and
// is mended by putting it again.
func TestBlobDamage(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	s := must(blobsIn(disk))(t)
	photo, blob := storetest.Photo(1, 300_000)
	other, otherBlob := storetest.Photo(2, 5000)
	for hash, b := range map[notebook.Hash][]byte{blob.SHA256: photo, otherBlob.SHA256: other} {
		if err := s.Put(hash, b); err != nil {
			t.Fatal(err)
		}
	}
	disk.files["blobs"].now[s.of[blob.SHA256].Pieces[1]+100] ^= 1
	s = must(blobsIn(disk))(t)
	var bad *notebook.BadBlob
	if _, err := s.Get(blob.SHA256); !errors.As(err, &bad) || bad.Hash != blob.SHA256 {
		t.Errorf("damaged: %v; expected it to be named", err)
	}
	if err := s.Put(blob.SHA256, photo); err != nil {
		t.Fatal(err)
	}
	for hash, want := range map[notebook.Hash][]byte{blob.SHA256: photo, otherBlob.SHA256: other} {
		if got, err := s.Get(hash); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%d bytes, %v", len(got), err)
		}
	}
}

// What was taken here lies nowhere else until an exchange says so; what came in
// parts came from somewhere.
func TestBlobsAlone(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	s := must(blobsIn(disk))(t)
	taken, takenBlob := storetest.Photo(1, 1000)
	came, cameBlob := storetest.Photo(2, 2000)
	if err := s.Put(takenBlob.SHA256, taken); err != nil {
		t.Fatal(err)
	}
	for offset := int64(0); offset < cameBlob.Size; offset += 500 {
		must(notebook.Accept(s, cameBlob, offset, came[offset:offset+500]))(t)
	}
	for want := 1; want >= 0; want-- {
		s = must(blobsIn(disk))(t)
		if here, size, alone := s.Count(); here != 2 || size != 3000 || alone != want {
			t.Errorf("%d here, %d bytes, %d alone; expected 2, 3000, %d", here, size, alone, want)
		}
		if err := s.LieElsewhere([]notebook.Hash{takenBlob.SHA256, cameBlob.SHA256, {1}}); err != nil {
			t.Fatal(err)
		}
	}
}

// Neither a picture nor its name lies in the files in clear.
func TestNoPictureInClear(t *testing.T) {
	t.Parallel()
	where := t.TempDir()
	s := must(blobsIn(folder(where)))(t)
	photo, blob := storetest.Photo(1, 200_000)
	if err := s.Put(blob.SHA256, photo); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"blobs", "blobindex"} {
		text := must(os.ReadFile(filepath.Join(where, name)))(t)
		for _, secret := range [][]byte{photo[:32], photo[150_000:150_032], blob.SHA256[:], []byte(blob.SHA256.String())} {
			if bytes.Contains(text, secret) {
				t.Errorf("file %s holds %x in clear", name, secret)
			}
		}
	}
}
