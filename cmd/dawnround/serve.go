package main

import (
	"errors"
	"fmt"
	"io"
	"net"
	"path/filepath"
	"strconv"

	"dawnround/field"
	"dawnround/server"
)

// servingFile tells another process of the same person where the program
// answers.
const servingFile = "serving.json"

// defaultPort is where the pages are unless told otherwise.
const defaultPort = 4170

func (c *call) serve() error {
	port := c.flags.Int("port", defaultPort, "port on this machine; 0 for any free one")
	address := c.flags.String("address", "127.0.0.1", "loopback only; the network is opened beside it with --camp, or --listen")
	var n network
	n.ask(c.flags)
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if err := n.check(); err != nil {
		return err
	}
	f, err := c.open()
	if err != nil {
		return err
	}
	return errors.Join(c.serveFolder(f, n, *address, *port), f.close())
}

// served is what serve prints as JSON, once.
type served struct {
	Link    string   `json:"link"`
	Origin  string   `json:"origin"`
	Network []string `json:"network,omitempty"` // where other devices reach it
	Trust   string   `json:"trust,omitempty"`   // where a phone gets the camp's certificate
}

func (c *call) serveFolder(f *folder, n network, address string, port int) error {
	listener, err := server.Listen(net.JoinHostPort(address, strconv.Itoa(port)))
	if err != nil {
		return err
	}
	pages, bench, err := screens(f, c.now)
	if err != nil {
		return err
	}
	copies := c.copies()
	o := server.Options{Programme: f.Programme, Pages: pages, Field: field.Handler(), Now: c.now, Log: c.stderr, Copies: copies}
	o.Trust = c.trusted()
	if o.Client, err = trusting(n.trusted, c.now); err != nil {
		return errors.Join(err, listener.Close())
	}
	if err := n.open(&o, c.now); err != nil {
		return errors.Join(err, listener.Close())
	}
	s := server.New(o)
	bench.Join(s.House())
	origin := "http://" + listener.Addr().String()
	withdraw, err := s.Announce(filepath.Join(c.dir, servingFile), origin)
	if err != nil {
		return errors.Join(err, listener.Close(), n.close())
	}
	told := served{Link: origin + s.NewLink(), Origin: origin, Trust: n.trust()}
	if o.Addresses != nil {
		told.Network = o.Addresses()
	}
	if err := c.print(told, told.person()); err != nil {
		return errors.Join(err, listener.Close(), n.close(), withdraw())
	}
	fmt.Fprintln(c.stderr, "stop with Ctrl-C; every line that was acknowledged is kept. On a shared device, who writes is stated, not proven.")
	away := n.serve(c.ctx, s)
	return errors.Join(s.Serve(c.ctx, listener), away(), withdraw(), c.saveCopies(copies))
}

func (s served) person() func(io.Writer) error {
	return func(w io.Writer) error {
		err := openThis(s.Link)(w)
		for _, a := range s.Network {
			_, e := fmt.Fprintf(w, "other devices reach it at %s\n", a)
			err = errors.Join(err, e)
		}
		if s.Trust != "" {
			_, e := fmt.Fprintf(w, "a phone that does not trust this laptop yet opens %s\n", s.Trust)
			err = errors.Join(err, e)
		}
		return err
	}
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
