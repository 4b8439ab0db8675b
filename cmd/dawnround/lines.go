package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"dawnround/notebook"
	"dawnround/notebook/sqlite"
)

// verified is what verify, restore and backup print as JSON.
type verified struct {
	File    string `json:"file"`
	Lines   int    `json:"lines"`
	Devices int    `json:"devices"`
	Later   int    `json:"later_format"`
	Forks   int    `json:"forks"`

	Photos photosOf `json:"photos"`
}

func verifiedOf(file string, r notebook.Report) verified {
	return verified{File: file, Lines: r.Lines, Devices: len(r.Heads), Later: r.Later, Forks: r.Forks, Photos: photosIn(r.Blobs)}
}

func (v verified) person(did string) func(io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s %s: %s by %s, every one sound\n", did, v.File, plural(v.Lines, "line"), plural(v.Devices, "device"))
		if v.Later > 0 {
			fmt.Fprintf(b, "%s in a format of a later version, kept as they are\n", plural(v.Later, "line"))
		}
		if v.Forks > 0 {
			fmt.Fprintf(b, "%s adopted: a copied notebook was written at two places\n", plural(v.Forks, "fork"))
		}
		v.Photos.person(b)
	})
}

func (c *call) verify() error {
	against := c.flags.String("against", "", "a backup or an export to show another version of a bad line from")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if err := c.wantNotebook(); err != nil {
		return err
	}
	store, err := sqlite.OpenReading(c.dir)
	if err != nil {
		return err
	}
	defer store.Close()
	var other notebook.Store
	if *against != "" {
		if other, err = second(*against); err != nil {
			return err
		}
	}
	report, err := notebook.Verify(store, other)
	if err != nil {
		return err
	}
	v := verifiedOf(filepath.Join(c.dir, sqlite.File), report)
	return errors.Join(c.print(v, v.person("verified")), damaged(report.Blobs))
}

// second opens a backup, or an export restored into memory.
func second(name string) (notebook.Store, error) {
	if store, err := sqlite.OpenBackup(name); err == nil {
		return store, nil
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	memory := &notebook.Memory{}
	return memory, notebook.Restore(file, memory)
}

func (c *call) backup() error {
	if err := c.parse(1, 1); err != nil {
		return err
	}
	if err := c.wantNotebook(); err != nil {
		return err
	}
	report, err := sqlite.Backup(c.ctx, c.dir, c.args[0])
	if err != nil {
		return err
	}
	v := verifiedOf(c.args[0], report)
	return errors.Join(c.print(v, v.person("backed up into")), damaged(report.Blobs))
}

func (c *call) restore() error {
	if err := c.parse(1, 1); err != nil {
		return err
	}
	if _, err := os.Stat(filepath.Join(c.dir, sqlite.File)); err == nil {
		return fmt.Errorf("%s already holds a notebook; restore into another folder", c.dir)
	}
	lines, err := c.exported(c.args[0])
	if err != nil {
		return err
	}
	// Into memory first, so that a bad file leaves no folder behind.
	if err := notebook.Restore(bytes.NewReader(lines), &notebook.Memory{}); err != nil {
		return fmt.Errorf("%s: %w", c.args[0], err)
	}
	if err := os.MkdirAll(c.dir, 0o755); err != nil {
		return err
	}
	store, err := sqlite.Open(c.dir, c.now())
	if err != nil {
		return err
	}
	if err := notebook.Restore(bytes.NewReader(lines), store); err != nil {
		return errors.Join(err, store.Close())
	}
	if err := c.restorePhotos(store, c.args[0]); err != nil {
		return errors.Join(err, store.Close())
	}
	report, err := notebook.Verify(store, nil)
	if err = errors.Join(err, store.Close()); err != nil {
		return err
	}
	v := verifiedOf(filepath.Join(c.dir, sqlite.File), report)
	return c.print(v, v.person("restored into"))
}

// exported is an export's lines, or those of a backup as an export has them.
func (c *call) exported(name string) ([]byte, error) {
	lines, err := c.readFile(name)
	if err != nil || !bytes.HasPrefix(lines, []byte("SQLite format 3\x00")) {
		return lines, err
	}
	store, err := sqlite.OpenBackup(name)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	var out bytes.Buffer
	err = notebook.Export(&out, store)
	return out.Bytes(), err
}

// exportLines gives the lines out as they are stored, and photos beside them.
func (c *call) exportLines(to string) error {
	store, err := sqlite.OpenReading(c.dir)
	if err != nil {
		return err
	}
	defer store.Close()
	return c.write(to, func(w io.Writer) error { return errors.Join(notebook.Export(w, store), c.exportPhotos(store, to)) })
}
