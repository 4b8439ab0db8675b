package main

import (
	"errors"
	"fmt"
	"io"
	"net"
	"path/filepath"
	"strconv"

	"dawnround/server"
)

// servingFile tells another process of the same person where the program
// answers.
const servingFile = "serving.json"

// defaultPort is where the pages are unless told otherwise.
const defaultPort = 4170

func (c *call) serve() error {
	port := c.flags.Int("port", defaultPort, "port on this machine; 0 for any free one")
	address := c.flags.String("address", "127.0.0.1", "loopback only: there are no accounts yet")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	f, err := c.open()
	if err != nil {
		return err
	}
	return errors.Join(c.serveFolder(f, *address, *port), f.close())
}

// served is what serve prints as JSON, once.
type served struct {
	Link   string `json:"link"`
	Origin string `json:"origin"`
}

func (c *call) serveFolder(f *folder, address string, port int) error {
	listener, err := server.Listen(net.JoinHostPort(address, strconv.Itoa(port)))
	if err != nil {
		return err
	}
	pages, err := screens(f, c.now)
	if err != nil {
		return err
	}
	s := server.New(server.Options{Programme: f.Programme, Pages: pages, Now: c.now, Log: c.stderr})
	origin := "http://" + listener.Addr().String()
	withdraw, err := s.Announce(filepath.Join(c.dir, servingFile), origin)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	link := served{Link: origin + s.NewLink(), Origin: origin}
	if err := c.print(link, openThis(link.Link)); err != nil {
		return errors.Join(err, listener.Close(), withdraw())
	}
	fmt.Fprintln(c.stderr, "stop with Ctrl-C; every line that was acknowledged is kept. On a shared device, who writes is stated, not proven.")
	return errors.Join(s.Serve(c.ctx, listener), withdraw())
}

func (c *call) link() error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if err := c.wantNotebook(); err != nil {
		return err
	}
	link, err := server.AskLink(c.ctx, filepath.Join(c.dir, servingFile))
	if err != nil {
		return err
	}
	return c.print(struct {
		Link string `json:"link"`
	}{link}, openThis(link))
}

func openThis(link string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "open this in your browser within five minutes: %s\n", link)
		return err
	}
}
