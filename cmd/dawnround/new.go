package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"dawnround/notebook"
	"dawnround/notebook/sqlite"
	"dawnround/programme"
	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// started is what new and demo print as JSON.
type started struct {
	Programme uuid.UUID `json:"programme"`
	Name      string    `json:"name"`
	Folder    string    `json:"folder"`
	Protocol  string    `json:"protocol"`
}

func (c *call) new() error {
	file := c.flags.String("protocol", "", "the protocol, a YAML file")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if *file == "" {
		return errUsage{"--protocol FILE is missing; examples/ has protocols to begin with"}
	}
	p, err := parseProtocol(*file)
	if err != nil {
		return err
	}
	f, err := c.create(p)
	if err != nil {
		return err
	}
	s := started{Programme: f.Notebook().Programme(), Name: p.Name, Folder: c.dir, Protocol: p.Version}
	if err := f.close(); err != nil {
		return err
	}
	return c.print(s, text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s: a new notebook in %s\n", s.Name, s.Folder)
	}))
}

// create makes the folder and its notebook, adopts the protocol and enters
// what it seeds.
func (c *call) create(p *protocol.Protocol) (*folder, error) {
	if err := os.MkdirAll(c.dir, 0o755); err != nil {
		return nil, err
	}
	if _, err := os.Stat(filepath.Join(c.dir, sqlite.File)); err == nil {
		return nil, fmt.Errorf("%s already holds a notebook; choose another folder", c.dir)
	}
	seed, err := p.Seed()
	if err != nil {
		return nil, err
	}
	store, err := sqlite.Open(c.dir, c.now())
	if err != nil {
		return nil, err
	}
	f, err := c.begin(store, p, seed)
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	return f, nil
}

func (c *call) begin(store *sqlite.Store, p *protocol.Protocol, seed []record.Body) (*folder, error) {
	home, err := notebook.DefaultInstallation()
	if err != nil {
		return nil, err
	}
	n, err := home.Create(store, uuid.New(), c.dir, c.now)
	if err != nil {
		return nil, err
	}
	opened, err := programme.Open(n)
	if err != nil {
		return nil, err
	}
	opened.Blobs = store
	lines := append([]record.Body{
		record.Programme{Name: p.Name, Zone: p.Zone},
		record.Device{Name: deviceName()},
		record.Protocol{Version: p.Version, Text: p.Text},
	}, seed...)
	_, err = opened.Keep(c.who, c.now(), lines...)
	return &folder{Programme: opened, store: store}, err
}
