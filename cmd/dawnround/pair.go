package main

import (
	"bufio"
	"bytes"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/notebook/sqlite"
	"dawnround/pairing"
	"dawnround/pairing/qr"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/server"
)

// pair invites a device, or, with an invitation, asks to take part.
func (c *call) pair() error {
	role := c.flags.String("role", string(record.Scribe), "what the device may do: scribe, leader or reader")
	site := c.flags.String("site", "", "give it the coordinates of this site only")
	name := c.flags.String("name", deviceName(), "what people call this device, when it asks")
	trust := c.flags.String("trust", "", "the certificate of a camp's authority, as its laptop gives it")
	if err := c.parse(0, 2); err != nil {
		return err
	}
	if len(c.args) == 0 {
		return c.invite(url.Values{"role": {*role}, "site": {*site}})
	}
	by, err := pairing.ReadInvitation(c.args[0])
	if len(c.args) == 2 {
		by, err = pairing.ByCode(c.args[0], c.args[1])
	}
	if err != nil {
		return err
	}
	return c.join(by, *name, *trust)
}

// join begins a notebook in an empty folder, as a device that somebody at
// another one has let in.
func (c *call) join(by pairing.Invitation, name, trust string) error {
	if _, err := os.Stat(filepath.Join(c.dir, sqlite.File)); err == nil {
		return fmt.Errorf("%s already holds a notebook; a new device begins in an empty folder", c.dir)
	}
	client, err := trusting(trust, c.now)
	if err != nil {
		return err
	}
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		return err
	}
	asked := pairing.Ask(by, key, name)
	fmt.Fprintf(c.stderr, "the other device must show %s beside %q; say yes there\n", asked.Check, name)
	joined, err := asked.Join(c.ctx, server.Carry(client, by.Address))
	if err != nil {
		return err
	}
	if err := c.begun(joined, key, name); err != nil {
		return err
	}
	fmt.Fprintf(c.stderr, "%s lets this device in as %s\n", joined.WithName, joined.Role)
	return c.syncWith(by.Address, trust)
}

// begun makes the notebook of a device that was let in.
func (c *call) begun(joined pairing.Joined, key ed25519.PrivateKey, name string) error {
	if err := os.MkdirAll(c.dir, 0o755); err != nil {
		return err
	}
	store, err := sqlite.Open(c.dir, c.now())
	if err != nil {
		return err
	}
	home, err := notebook.DefaultInstallation()
	if err != nil {
		return errors.Join(err, store.Close())
	}
	n, err := home.CreateAs(store, joined.Programme, key, c.dir, c.now)
	if err != nil {
		return errors.Join(err, store.Close())
	}
	p, err := programme.Open(n)
	if err == nil {
		_, err = p.Keep(c.who, c.now(), record.Device{Name: name})
	}
	trusted, e := json.Marshal([]notebook.DeviceID{joined.With})
	return errors.Join(err, e, os.WriteFile(filepath.Join(c.dir, trustedFile), trusted, 0o600), n.Close(), store.Close())
}

// invite has the running program invite a device, shows the invitation, and
// asks whoever is here whether to let in who comes.
func (c *call) invite(terms url.Values) error {
	d, err := c.desk()
	if err != nil {
		return err
	}
	to, err := d.post("/devices/invite", terms)
	if err != nil {
		return err
	}
	var page server.Devices
	if err := d.get(to, &page); err != nil {
		return err
	}
	if c.json {
		return c.print(page, nil)
	}
	code, err := qr.Text(page.Shown.Link)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.stdout, "%s\n%s\n", code, page.Shown.Link)
	fmt.Fprintf(c.stdout, "or, without a camera, %s and %s within two minutes\n", strings.Split(page.Shown.Link, "#")[0], page.Shown.Code)
	return c.letIn(d, page.Shown.Until)
}

// letIn waits for a device that asks, and for a word about it.
func (c *call) letIn(d *atDesk, until time.Time) error {
	answers := bufio.NewReader(c.stdin)
	for c.now().Before(until) {
		var page server.Devices
		if err := d.get("/devices", &page); err != nil {
			return err
		}
		for _, caller := range page.Callers {
			fmt.Fprintf(c.stdout, "%q asks to take part as %s. Does it show %s? yes or no: ", caller.Name, caller.Role, caller.Check)
			word, err := answers.ReadString('\n')
			if err != nil && word == "" {
				return errors.New("nobody answered; it was not let in")
			}
			in := strings.TrimSpace(word)
			_, err = d.post("/devices/decide", url.Values{"device": {caller.Device.String()}, "name": {caller.Name}, "in": {in}})
			if err == nil && in != "yes" {
				err = errors.New("it was turned away; nothing was told to it")
			}
			if err == nil {
				fmt.Fprintln(c.stdout, "it is in, and fetches the notebook now")
			}
			return err
		}
		select {
		case <-c.ctx.Done():
			return c.ctx.Err()
		case <-time.After(time.Second):
		}
	}
	return errors.New("nobody came within ten minutes; invite again")
}

// devices lists, admits and shuts out.
func (c *call) devices() error {
	role := c.flags.String("role", string(record.Scribe), "what the device may do: scribe, leader or reader")
	site := c.flags.String("site", "", "give it the coordinates of this site only")
	name := c.flags.String("name", "", "what people call it")
	why := c.flags.String("why", "lost", "why it is shut out")
	c.table()
	if err := c.parse(0, 2); err != nil {
		return err
	}
	switch append(c.args, "")[0] {
	case "":
		return c.listDevices()
	case "admit", "shut-out":
		if len(c.args) != 2 {
			return errUsage{"name the device by its name or key: dawnround devices " + c.args[0] + " DEVICE"}
		}
	default:
		return errUsage{fmt.Sprintf("devices %s: expected admit or shut-out", c.args[0])}
	}
	p, done, err := c.read()
	if err != nil {
		return err
	}
	id, err := deviceCalled(p, c.args[1])
	if err == nil && c.args[0] == "admit" {
		err = pairing.Terms{Role: record.Role(*role), Site: *site}.Check(p)
	}
	if err == nil && *name == "" {
		*name = nameOf(p, id)
	}
	if err = errors.Join(err, done()); err != nil {
		return err
	}
	body := record.Body(record.Admitted{Device: id, Name: *name, Role: record.Role(*role), Site: *site})
	form := url.Values{"device": {id.String()}, "name": {*name}, "role": {*role}, "site": {*site}, "why": {*why}}
	if c.args[0] == "shut-out" {
		body = record.ShutOut{Device: id, Why: *why}
	}
	return c.writeDevice("/devices/"+c.args[0], form, body)
}

// writeDevice has the running program write a line, or writes it where none runs.
func (c *call) writeDevice(path string, form url.Values, body record.Body) error {
	said := text(func(b *bytes.Buffer) { fmt.Fprintln(b, "written; it holds elsewhere once lines are exchanged") })
	if d, err := c.desk(); err == nil {
		if _, err := d.post(path, form); err != nil {
			return err
		}
		return c.print(body, said)
	}
	f, err := c.open()
	if err != nil {
		return err
	}
	_, err = f.Keep(c.who, c.now(), body)
	if err = errors.Join(err, f.close()); err != nil {
		return err
	}
	return c.print(body, said)
}
