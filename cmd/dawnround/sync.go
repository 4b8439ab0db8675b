package main

import (
	"bytes"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/register"
	"dawnround/server"
)

// copiesFile remembers what other devices were known to hold. It is
// disposable.
const copiesFile = "exchanges.json"

func (c *call) sync() error {
	trust := c.flags.String("trust", "", "the certificate of a camp's authority, as its laptop gives it")
	to := c.flags.String("for", "", "export only what this device lacked when last met; a name or a key")
	all := c.flags.Bool("all", false, "export everything")
	var let names
	c.flags.Var(&let, "let", "import lines of this device too, though it is shut out or not admitted; a name or a key")
	if err := c.parse(0, 2); err != nil {
		return err
	}
	switch word := append(c.args, "", "")[0]; {
	case word == "":
		return c.syncState()
	case word == "export" && len(c.args) == 2:
		return c.syncExport(c.args[1], *to, *all)
	case word == "import" && len(c.args) == 2:
		return c.syncImport(c.args[1], let)
	case strings.Contains(word, "://") && len(c.args) == 1:
		return c.syncWith(word, *trust)
	}
	return errUsage{fmt.Sprintf("sync %s: expected an address like https://camp.local:4171, or export FILE, or import FILE", strings.Join(c.args, " "))}
}

// syncWith exchanges lines, then pictures, with another program.
func (c *call) syncWith(address, trust string) error {
	origin, err := originOf(address)
	if err != nil {
		return err
	}
	if d, err := c.desk(); err == nil {
		return c.syncServed(d, origin)
	}
	client, err := trusting(trust, c.now)
	if err != nil {
		return err
	}
	return c.exchange(func(s courier.Side) (courier.State, error) {
		carry := server.Carry(client, origin)
		tell := c.progress("lines")
		state, err := s.Sync(c.ctx, carry, func(s courier.State) {
			if all := s.Sent + s.Came + s.ToSend + s.ToCome; all > 0 {
				tell(s.Sent+s.Came, all)
			}
		})
		if err == nil {
			_, err = s.SyncBlobs(c.ctx, carry, nil)
		}
		return state, err
	})
}

// syncServed has the program that serves this folder exchange lines.
func (c *call) syncServed(d *atDesk, origin string) error {
	if _, err := d.post("/devices/sync", url.Values{"address": {origin}}); err != nil {
		return err
	}
	for {
		var page server.Devices
		if err := d.get("/devices", &page); err != nil {
			return err
		}
		if x := page.Exchange; !x.Running {
			err := c.print(x.State, text(func(b *bytes.Buffer) { fmt.Fprintln(b, withName(x.State)+x.Says) }))
			if x.Failed != "" {
				err = errors.Join(errors.New(x.Failed), err)
			}
			return err
		}
		select {
		case <-c.ctx.Done():
			return c.ctx.Err()
		case <-time.After(200 * time.Millisecond):
		}
	}
}

// exchange opens the notebook, lets do exchange, and tells what came of it,
// also beside an error.
func (c *call) exchange(do func(courier.Side) (courier.State, error)) error {
	f, err := c.open()
	if err != nil {
		return err
	}
	copies := c.copies()
	state, failed := do(courier.Side{Programme: f.Programme, Who: c.who, Now: c.now, Copies: copies, Trust: c.trusted()})
	if state.Sent+state.Came > 0 || failed == nil {
		err = c.print(state, text(func(b *bytes.Buffer) { fmt.Fprintln(b, withName(state)+state.Says()) }))
	}
	return errors.Join(failed, err, c.saveCopies(copies), f.close())
}

func withName(s courier.State) string {
	if s.WithName == "" {
		return ""
	}
	return s.WithName + ": "
}

func (c *call) syncExport(name, to string, all bool) error {
	if to != "" && all || to == "" && !all {
		return errUsage{"export either for one device, --for NAME, or --all"}
	}
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	s := courier.Side{Programme: p, Who: c.who, Now: c.now}
	var holder notebook.Heads
	var site string
	if to != "" {
		device, err := deviceCalled(p, to)
		if err != nil {
			return err
		}
		if holder = c.copies().Known(device); holder == nil {
			fmt.Fprintf(c.stderr, "%s was never met, so everything is exported\n", to)
		}
		p.View(func(r *register.Register) { site = r.Member(device, p.Notebook().Device()).Site })
	}
	var state courier.State
	err = c.write(name, func(w io.Writer) error {
		state, err = s.ExportFor(w, holder, site)
		return err
	})
	if err != nil {
		return err
	}
	return c.print(state, text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s in %s; whoever has this file can read them\n", plural(state.Sent, "line"), name)
	}))
}

func (c *call) syncImport(name string, let names) error {
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	return c.exchange(func(s courier.Side) (courier.State, error) {
		var ids []notebook.DeviceID
		for _, n := range let {
			id, err := deviceCalled(s.Programme, n)
			if err != nil {
				return courier.State{}, err
			}
			ids = append(ids, id)
		}
		return s.Import(file, ids...)
	})
}

// synced is what sync prints as JSON without an address.
type synced struct {
	Waiting int            `json:"waiting"` // lines that no other device is known to hold
	Copies  []courier.Copy `json:"copies"`
}

// syncState tells what lies elsewhere.
func (c *call) syncState() error {
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	copies := c.copies()
	waiting, err := copies.Waiting(p)
	if err != nil {
		return err
	}
	return c.print(synced{waiting, copies.Of}, text(func(b *bytes.Buffer) {
		for _, copy := range copies.Of {
			fmt.Fprintf(b, "also on %s, %s\n", nameOf(p, copy.Device), copy.At.Format(time.DateTime))
		}
		fmt.Fprintf(b, "%s not known to be anywhere but here\n", plural(waiting, "line"))
	}))
}

func nameOf(p *programme.Programme, id notebook.DeviceID) (name string) {
	p.View(func(r *register.Register) { name = r.Member(id, p.Notebook().Device()).Name })
	if name == "" {
		name = "device " + id.String()
	}
	return name
}

// deviceCalled finds a device by its name or key.
func deviceCalled(p *programme.Programme, name string) (id notebook.DeviceID, err error) {
	if id.UnmarshalText([]byte(name)) == nil {
		return id, nil
	}
	var found []register.Device
	p.View(func(r *register.Register) {
		for _, d := range r.Party(p.Notebook().Device()) {
			if d.Name == name {
				found = append(found, d)
			}
		}
	})
	if len(found) != 1 {
		return id, hinted{fmt.Errorf("device %q: %s of that name", name, plural(len(found), "device")), "dawnround devices lists them with their keys"}
	}
	return found[0].ID, nil
}

// copies reads what other devices hold, as far as it was remembered.
func (c *call) copies() *courier.Copies {
	var copies courier.Copies
	if text, err := os.ReadFile(filepath.Join(c.dir, copiesFile)); err == nil && json.Unmarshal(text, &copies) != nil {
		return &courier.Copies{}
	}
	return &copies
}

func (c *call) saveCopies(copies *courier.Copies) error {
	text, err := json.Marshal(copies)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(c.dir, copiesFile), text, 0o600)
}

// trustedFile names the devices that this one was paired with.
const trustedFile = "paired.json"

func (c *call) trusted() []notebook.DeviceID {
	var ids []notebook.DeviceID
	text, err := os.ReadFile(filepath.Join(c.dir, trustedFile))
	if errors.Is(err, fs.ErrNotExist) || json.Unmarshal(text, &ids) != nil {
		return nil
	}
	return ids
}

// names are flags that may stand several times.
type names []string

func (n *names) String() string { return strings.Join(*n, " ") }

func (n *names) Set(name string) error {
	*n = append(*n, name)
	return nil
}

func originOf(address string) (string, error) {
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
		return "", fmt.Errorf("address %q: write it like https://camp.local:4171", address)
	}
	return u.Scheme + "://" + u.Host, nil
}

// trusting is a client that takes the system's authorities and, where one is
// named, a camp's.
func trusting(file string, now func() time.Time) (*http.Client, error) {
	roots, err := x509.SystemCertPool()
	if err != nil {
		roots = x509.NewCertPool()
	}
	if file != "" {
		text, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		if !roots.AppendCertsFromPEM(text) {
			camp, err := x509.ParseCertificate(text)
			if err != nil {
				return nil, fmt.Errorf("--trust %s: not a certificate: %w", file, err)
			}
			roots.AddCert(camp)
		}
	}
	return &http.Client{Timeout: time.Minute, Transport: &http.Transport{
		TLSClientConfig: &tls.Config{RootCAs: roots, Time: now, MinVersion: tls.VersionTLS12},
	}}, nil
}
