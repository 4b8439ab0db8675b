package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/register"
	"dawnround/server"
)

// atDesk is a browser of this process at the pages of the program that serves
// this folder.
type atDesk struct {
	origin string
	client http.Client
}

// desk enters by a link, as a person would.
func (c *call) desk() (*atDesk, error) {
	if err := c.wantNotebook(); err != nil {
		return nil, err
	}
	link, err := server.AskLink(c.ctx, filepath.Join(c.dir, servingFile))
	if err != nil {
		return nil, hinted{err, "start it with dawnround serve --camp, and ask again beside it"}
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	origin, err := originOf(link)
	if err != nil {
		return nil, err
	}
	d := &atDesk{origin: origin, client: http.Client{Jar: jar, Timeout: time.Minute, Transport: &http.Transport{Proxy: nil},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
	if _, err := d.post(strings.TrimPrefix(link, origin), nil); err != nil {
		return nil, err
	}
	who := c.who
	if who == "" {
		who = "DESK"
	}
	_, err = d.post("/pen", url.Values{"who": {who}})
	return d, err
}

// post sends a form and gives where it leads.
func (d *atDesk) post(path string, form url.Values) (to string, err error) {
	ask, err := http.NewRequest(http.MethodPost, d.origin+path, strings.NewReader(form.Encode()))
	if err != nil {
		return "", err
	}
	ask.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	ask.Header.Set("Origin", d.origin)
	answer, err := d.client.Do(ask)
	if err != nil {
		return "", err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusSeeOther {
		return "", fmt.Errorf("%s was answered %s; stop the program and start it again", path, answer.Status)
	}
	return answer.Header.Get("Location"), nil
}

// get reads a page as data.
func (d *atDesk) get(path string, into any) error {
	ask, err := http.NewRequest(http.MethodGet, d.origin+path, nil)
	if err != nil {
		return err
	}
	ask.Header.Set("Accept", "application/json")
	answer, err := d.client.Do(ask)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("%s was answered %s", path, answer.Status)
	}
	return json.NewDecoder(answer.Body).Decode(into)
}

// listed is one device as devices prints it.
type listed struct {
	Name    string            `json:"name,omitempty"`
	Role    string            `json:"role"` // scribe, leader, reader, not admitted, or shut out and why
	Site    string            `json:"coordinates_of,omitempty"`
	Founder bool              `json:"founder,omitempty"`
	Key     notebook.DeviceID `json:"key"`
}

// listDevices shows who takes part.
func (c *call) listDevices() error {
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	reader := p.Notebook().Device() // the key of this very reading, thrown away
	var list []listed
	p.View(func(r *register.Register) {
		for _, d := range r.Party(notebook.DeviceID{}) {
			if d.ID != reader {
				list = append(list, listed{d.Name, role(d), d.Site, d.Founder, d.ID})
			}
		}
	})
	if c.csv {
		rows := [][]string{{"name", "role", "coordinates of", "key"}}
		for _, d := range list {
			rows = append(rows, []string{d.Name, d.Role, d.Site, d.Key.String()})
		}
		return csv.NewWriter(c.stdout).WriteAll(rows)
	}
	return c.print(list, text(func(b *bytes.Buffer) {
		for _, d := range list {
			fmt.Fprintf(b, "%-20s %-24s %-8s %s\n", d.Name, d.Role, d.Site, d.Key)
		}
	}))
}

func role(d register.Device) string {
	switch {
	case d.Lost != "":
		return "shut out: " + d.Lost
	case d.Role == "":
		return "not admitted"
	}
	return string(d.Role)
}
