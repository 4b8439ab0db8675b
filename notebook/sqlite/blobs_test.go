package sqlite

import (
	"bytes"
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

func TestBlobs(t *testing.T) {
	t.Parallel()
	storetest.RunBlobs(t, func(tb testing.TB) storetest.BlobStore { return opened(tb, tb.TempDir()) })
}

// A file of the first schema holds no attachments: read only it says so, and
// opened for writing it learns to keep them.
func TestOlderSchema(t *testing.T) {
	t.Parallel()
	folder := filled(t, 20)
	s := opened(t, folder)
	if _, err := s.write.Exec("drop table blob; drop table blob_part; pragma user_version = 1"); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	photo, blob := storetest.Photo(1, 3000)
	old, err := OpenReading(folder)
	if err != nil {
		t.Fatal(err)
	}
	if has, err := old.Has(blob.SHA256); has || err != nil {
		t.Errorf("an older file has an attachment: %v, %v", has, err)
	}
	if report, err := notebook.VerifyBlobs(old, []notebook.Blob{blob}); err != nil || len(report.NotHere) != 1 {
		t.Errorf("an older file: %+v, %v", report, err)
	}
	if wanted, err := notebook.Missing(old, []notebook.Blob{blob}); err != nil || len(wanted) != 1 {
		t.Errorf("wanted of an older file: %v, %v", wanted, err)
	}
	if err := old.Close(); err != nil {
		t.Fatal(err)
	}
	s = opened(t, folder)
	defer s.Close()
	if err := s.Put(blob.SHA256, photo); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Get(blob.SHA256); err != nil || !bytes.Equal(got, photo) {
		t.Errorf("%d bytes, %v", len(got), err)
	}
	storetest.Verify(t, s)
}

// A bit turned over in the file is found when a photo is read, and putting the
// photo again mends it.
func TestDamagedBlob(t *testing.T) {
	t.Parallel()
	s := opened(t, t.TempDir())
	defer s.Close()
	photo, blob := storetest.Photo(1, 30_000)
	if err := s.Put(blob.SHA256, photo); err != nil {
		t.Fatal(err)
	}
	if _, err := s.write.Exec("update blob set bytes = cast(substr(bytes, 1, 9999) || x'00' || substr(bytes, 10001) as blob)"); err != nil {
		t.Fatal(err)
	}
	var bad *notebook.BadBlob
	if _, err := s.Get(blob.SHA256); !errors.As(err, &bad) || bad.Hash != blob.SHA256 || !strings.Contains(err.Error(), blob.SHA256.String()) {
		t.Errorf("damaged: %v; expected it to be named", err)
	}
	if err := s.Put(blob.SHA256, photo); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Get(blob.SHA256); err != nil {
		t.Errorf("put again: %v", err)
	}
}

// attach writes a line that names a blob.
func attach(tb testing.TB, n *notebook.Notebook, blob notebook.Blob) {
	tb.Helper()
	body, err := json.Marshal(blob)
	if err != nil {
		tb.Fatal(err)
	}
	if _, err := n.Write(notebook.Entry{Who: "AB", Kind: notebook.AttachmentKind, Body: body}); err != nil {
		tb.Fatal(err)
	}
}

// A backup takes photos along. One that is damaged is named and one that has not
// come is counted: neither keeps the lines from being backed up.
func TestBackupTakesBlobs(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	s := opened(t, folder)
	defer s.Close()
	n, err := notebook.Create(s, storetest.Programme, storetest.Key(1), storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	var blobs []notebook.Blob
	for seed := range uint64(3) {
		photo, blob := storetest.Photo(seed, 5000)
		blobs = append(blobs, blob)
		attach(t, n, blob)
		if seed < 2 {
			if err := s.Put(blob.SHA256, photo); err != nil {
				t.Fatal(err)
			}
		}
	}
	attach(t, n, blobs[0]) // shown twice, it is there once
	hash := blobs[1].SHA256
	if _, err := s.write.Exec("update blob set bytes = cast('other' as blob) where hash = ?", hash[:]); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "backup.sqlite")
	report, err := Backup(t.Context(), folder, file)
	if err != nil {
		t.Fatal(err)
	}
	got := report.Blobs
	if report.Lines != 4 || len(report.Named) != 3 || got.Here != 1 || len(got.Bad) != 1 || got.Bad[0].Hash != hash || len(got.NotHere) != 1 || got.NotHere[0] != blobs[2] {
		t.Errorf("%+v", report)
	}
	copied, err := OpenBackup(file)
	if err != nil {
		t.Fatal(err)
	}
	defer copied.Close()
	if b, err := copied.Get(blobs[0].SHA256); err != nil || int64(len(b)) != blobs[0].Size {
		t.Errorf("of the photo %d bytes are in the backup, %v", len(b), err)
	}
}
