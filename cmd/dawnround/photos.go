package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"dawnround/notebook"
	"dawnround/notebook/sqlite"
)

// photosOf is what verify, backup and restore print as JSON of the photos that
// lines name.
type photosOf struct {
	Here    int             `json:"here"`
	Bytes   int64           `json:"bytes"`
	NotHere []notebook.Hash `json:"not_here_yet"`
	Damaged []notebook.Hash `json:"damaged"`
}

func photosIn(r notebook.BlobReport) photosOf {
	p := photosOf{Here: r.Here, Bytes: r.Bytes, NotHere: []notebook.Hash{}, Damaged: []notebook.Hash{}}
	for _, b := range r.NotHere {
		p.NotHere = append(p.NotHere, b.SHA256)
	}
	for _, b := range r.Bad {
		p.Damaged = append(p.Damaged, b.Hash)
	}
	return p
}

func (p photosOf) person(b *bytes.Buffer) {
	if p.Here > 0 {
		fmt.Fprintf(b, "%s, %.1f MB, every byte sound\n", plural(p.Here, "photo"), float64(p.Bytes)/1e6)
	}
	if n := len(p.NotHere); n > 0 {
		fmt.Fprintf(b, "%s not here yet; %s with an exchange with the device that has %s\n",
			plural(n, "photo"), map[bool]string{true: "it comes", false: "they come"}[n == 1], map[bool]string{true: "it", false: "them"}[n == 1])
	}
}

// damaged names the photos whose bytes are not those that were kept; nil where
// there are none.
func damaged(r notebook.BlobReport) error {
	var all []error
	for _, b := range r.Bad {
		all = append(all, b)
	}
	return errors.Join(all...)
}

// photoFolder is where an export's photos lie, beside the file of its lines.
func photoFolder(export string) string { return export + ".photos" }

// photoName is the name of a photo's file.
func photoName(b notebook.Blob) string {
	ending := map[string]string{"image/jpeg": ".jpg", "image/png": ".png"}[b.Type]
	if ending == "" {
		ending = ".bin"
	}
	return b.SHA256.String() + ending
}

// exportPhotos writes the photos that are here into a folder beside the export,
// which appears once it is whole, and says which are not.
func (c *call) exportPhotos(store *sqlite.Store, export string) error {
	named, err := notebook.Named(store)
	if err != nil || len(named) == 0 {
		return err
	}
	if export == "-" {
		fmt.Fprintf(c.stderr, "%s not in it: name a file with -o, and they lie in a folder beside it\n", are(len(named), "photo"))
		return nil
	}
	folder := photoFolder(export)
	if _, err := os.Stat(folder); err == nil {
		return fmt.Errorf("%s: already there; choose another name for the export, nothing is written over", folder)
	}
	temp, err := os.MkdirTemp(filepath.Dir(export), ".writing-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temp)
	written, err := c.writePhotos(store, named, temp)
	if err != nil || written == 0 {
		return err
	}
	fmt.Fprintf(c.stderr, "%s in %s\n", plural(written, "photo"), folder)
	return os.Rename(temp, folder)
}

// writePhotos writes those that are here, and tells of the others.
func (c *call) writePhotos(from notebook.Blobs, named []notebook.Blob, folder string) (written int, err error) {
	for _, blob := range named {
		b, err := from.Get(blob.SHA256)
		var bad *notebook.BadBlob
		if errors.Is(err, notebook.ErrNotHere) || errors.As(err, &bad) {
			fmt.Fprintf(c.stderr, "photo %s is left out: %v\n", blob.SHA256, err)
			continue
		}
		if err != nil {
			return written, err
		}
		if err := writeSynced(filepath.Join(folder, photoName(blob)), b); err != nil {
			return written, err
		}
		written++
	}
	return written, notebook.SyncFolder(folder)
}

func writeSynced(name string, b []byte) error {
	f, err := os.OpenFile(name, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	return errors.Join(err, f.Sync(), f.Close())
}

// restorePhotos brings what lies beside an export, or in a backup, and tells
// which of them are damaged.
func (c *call) restorePhotos(into *sqlite.Store, from string) error {
	named, err := notebook.Named(into)
	if err != nil || len(named) == 0 {
		return err
	}
	get := func(b notebook.Blob) ([]byte, error) {
		return os.ReadFile(filepath.Join(photoFolder(from), photoName(b)))
	}
	if backup, err := sqlite.OpenBackup(from); err == nil {
		defer backup.Close()
		get = func(b notebook.Blob) ([]byte, error) { return backup.Get(b.SHA256) }
	}
	for _, blob := range named {
		b, err := get(blob)
		if err == nil {
			err = into.Put(blob.SHA256, b)
		}
		var bad *notebook.BadBlob
		switch {
		case err == nil || errors.Is(err, notebook.ErrNotHere) || errors.Is(err, os.ErrNotExist):
		case errors.As(err, &bad):
			fmt.Fprintf(c.stderr, "photo %s is left out: %v\n", blob.SHA256, err)
		default:
			return err
		}
	}
	return nil
}

// are is "1 photo is", "2 photos are".
func are(n int, one string) string {
	if n == 1 {
		return "1 " + one + " is"
	}
	return plural(n, one) + " are"
}
