package main

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/notebook/sqlite"
	"dawnround/programme"
	"dawnround/record"
)

// folder is a programme's folder opened for writing.
type folder struct {
	*programme.Programme
	store *sqlite.Store
}

// open opens the programme's folder for writing, and says when the notebook
// goes on as a new device.
func (c *call) open() (*folder, error) {
	if err := c.wantNotebook(); err != nil {
		return nil, err
	}
	store, err := sqlite.Open(c.dir, c.now())
	if err != nil {
		return nil, err
	}
	f, err := c.openStore(store)
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	return f, nil
}

func (c *call) openStore(store *sqlite.Store) (*folder, error) {
	home, err := notebook.DefaultInstallation()
	if err != nil {
		return nil, err
	}
	fold := programme.Begin()
	n, device, err := home.Open(store, c.dir, c.now, fold.Line)
	f := &folder{Programme: fold.Done(n), store: store}
	f.Blobs = store
	if err == nil && device.New {
		fmt.Fprintf(c.stderr, "this notebook goes on as a new device: %s\n", device.Why)
		_, err = f.Keep(c.who, c.now(), record.Device{Name: deviceName()})
	}
	return f, err
}

// close remembers where the notebook ends and lets others write.
func (f *folder) close() error { return errors.Join(f.Notebook().Close(), f.store.Close()) }

// read opens the programme's folder for reading, also while it is served.
func (c *call) read() (*programme.Programme, func() error, error) {
	if err := c.wantNotebook(); err != nil {
		return nil, nil, err
	}
	store, err := sqlite.OpenReading(c.dir)
	if err != nil {
		return nil, nil, err
	}
	p, err := reading(store, c.now)
	if err != nil {
		return nil, nil, errors.Join(err, store.Close())
	}
	p.Blobs = store
	return p, store.Close, nil
}

// reading opens a notebook under a key that is thrown away: nothing is
// written.
func reading(store notebook.Store, now func() time.Time) (*programme.Programme, error) {
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		return nil, err
	}
	fold := programme.Begin()
	n, err := notebook.Open(store, key, now, fold.Line)
	return fold.Done(n), err
}

func (c *call) wantNotebook() error {
	_, err := os.Stat(filepath.Join(c.dir, sqlite.File))
	if errors.Is(err, fs.ErrNotExist) {
		return hinted{
			fmt.Errorf("no notebook in %s", c.dir),
			"name the programme's folder with -C DIR, or start one: dawnround -C DIR new --protocol FILE",
		}
	}
	return err
}

// deviceName is what people call this machine.
func deviceName() string {
	name, err := os.Hostname()
	if err != nil || name == "" {
		return "a laptop"
	}
	return name
}

// write makes a file that appears only once it is whole; "-" is standard
// output. It never writes over a file.
func (c *call) write(name string, body func(io.Writer) error) error {
	if name == "-" {
		return body(c.stdout)
	}
	if _, err := os.Stat(name); err == nil {
		return fmt.Errorf("%s: already there; choose another name, nothing is written over", name)
	}
	temp, err := os.CreateTemp(filepath.Dir(name), ".writing-*")
	if err != nil {
		return err
	}
	defer os.Remove(temp.Name())
	if err := errors.Join(body(temp), temp.Sync(), temp.Close()); err != nil {
		return err
	}
	return os.Rename(temp.Name(), name)
}

// readFile reads a file named on the command line; "-" is standard input.
func (c *call) readFile(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(c.stdin)
	}
	return os.ReadFile(name)
}

// progress shows on standard error how far long work is, when somebody looks.
func (c *call) progress(what string) func(done, of int) {
	last := time.Time{}
	return func(done, of int) {
		if now := c.now(); now.Sub(last) > 300*time.Millisecond || done == of {
			last = now
			fmt.Fprintf(c.stderr, "\r%s %d of %d", what, done, of)
			if done >= of {
				fmt.Fprintln(c.stderr)
			}
		}
	}
}

// text gathers what a person reads, so that a failure prints nothing by half.
func text(write func(*bytes.Buffer)) func(io.Writer) error {
	return func(w io.Writer) error {
		var b bytes.Buffer
		write(&b)
		_, err := w.Write(b.Bytes())
		return err
	}
}

// plural is "1 row", "2 rows".
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	if strings.HasSuffix(one, "y") {
		return fmt.Sprintf("%d %sies", n, strings.TrimSuffix(one, "y"))
	}
	return fmt.Sprintf("%d %ss", n, one)
}
