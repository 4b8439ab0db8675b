package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"dawnround/demo"
	"dawnround/notebook"
	"dawnround/notebook/sqlite"
	"dawnround/programme"
	"dawnround/record"

	"github.com/google/uuid"
)

// demoFolder holds the invented programme unless -C names another.
const demoFolder = "demo-programme"

// demo grows the invented programme, if it is not there yet, and serves it.
func (c *call) demo() error {
	seed := c.flags.Uint64("seed", 1, "the same seed grows the same lives")
	last := c.flags.String("last", "", "evening of the last night set, like 2026-05-13; yesterday unless given")
	port := c.flags.Int("port", defaultPort, "port on this machine; 0 for any free one")
	only := c.flags.Bool("grow-only", false, "grow it and stop, without serving it")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if c.dir == "." {
		c.dir = demoFolder
	}
	night := record.NightOf(c.now()).Add(-1)
	if *last != "" {
		var err error
		if night, err = record.ParseNight(*last); err != nil {
			return err
		}
	}
	_, err := os.Stat(filepath.Join(c.dir, sqlite.File))
	if errors.Is(err, fs.ErrNotExist) {
		err = c.grow(*seed, night)
	} else if err == nil {
		fmt.Fprintf(c.stderr, "%s is there already and is opened as it is; remove it to grow another\n", c.dir)
	}
	if err != nil || *only {
		return err
	}
	f, err := c.open()
	if err != nil {
		return err
	}
	return errors.Join(c.serveFolder(f, network{}, "127.0.0.1", *port), f.close())
}

// grow writes the invented programme and, beside it, who really was who: a
// file that the program never reads.
func (c *call) grow(seed uint64, night record.Night) error {
	if err := os.MkdirAll(c.dir, 0o755); err != nil {
		return err
	}
	store, err := sqlite.Open(c.dir, c.now())
	if err != nil {
		return err
	}
	truth, err := c.growIn(store, seed, night)
	if err := errors.Join(err, store.Close()); err != nil {
		return err
	}
	return c.write(filepath.Join(c.dir, "truth.json"), func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(truth)
	})
}

func (c *call) growIn(store *sqlite.Store, seed uint64, night record.Night) (demo.Truth, error) {
	home, err := notebook.DefaultInstallation()
	if err != nil {
		return demo.Truth{}, err
	}
	var clock demo.Clock
	n, err := home.Create(store, uuid.New(), c.dir, clock.Now)
	if err != nil {
		return demo.Truth{}, err
	}
	p, err := programme.Open(n)
	if err != nil {
		return demo.Truth{}, err
	}
	truth, err := demo.Grow(c.ctx, p, &clock, seed, night, c.progress("night"))
	return truth, errors.Join(err, n.Close())
}
