package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

func (c *call) protocol() error {
	if err := c.parse(1, 2); err != nil {
		return err
	}
	switch {
	case c.args[0] == "show" && len(c.args) == 1:
		return c.showProtocol()
	case c.args[0] == "check" && len(c.args) == 2:
		return c.checkProtocol()
	case c.args[0] == "adopt" && len(c.args) == 2:
		return c.adoptProtocol()
	}
	return errUsage{"write protocol check FILE, protocol adopt FILE or protocol show"}
}

// adopted is what protocol prints as JSON.
type adopted struct {
	Name    string   `json:"name"`
	Version string   `json:"version"`
	Species []string `json:"species"`
	Text    string   `json:"text,omitempty"`
	Remarks []remark `json:"remarks,omitempty"`
}

func adoptedOf(p *protocol.Protocol) adopted {
	a := adopted{Name: p.Name, Version: p.Version}
	for _, s := range p.Species {
		a.Species = append(a.Species, s.Code)
	}
	return a
}

func (c *call) showProtocol() error {
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	var a adopted
	p.View(func(r *register.Register) {
		a = adoptedOf(r.Protocol())
		a.Text = r.Protocol().Text
	})
	return c.print(a, func(w io.Writer) error { _, err := io.WriteString(w, a.Text); return err })
}

func (c *call) checkProtocol() error {
	p, err := parseProtocol(c.args[1])
	if err != nil {
		return err
	}
	a := adoptedOf(p)
	for _, r := range protocol.SoundAlikes(c.args[1], []byte(p.Text)) {
		a.Remarks = append(a.Remarks, remark{r.Line, r.Key, r.Says, r.Mend})
	}
	return c.print(a, a.person("can be adopted"))
}

// remark is one thing of a protocol that may stand, and that makes trouble when
// it is called out.
type remark struct {
	Line int    `json:"line"`
	Key  string `json:"key,omitempty"`
	Says string `json:"says"`
	Mend string `json:"mend"`
}

func (a adopted) person(says string) func(io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s %s (version %.8s, %d species)\n", a.Name, says, a.Version, len(a.Species))
		for _, r := range a.Remarks {
			fmt.Fprintf(b, "line %d: %s: %s; %s\n", r.Line, r.Key, r.Says, r.Mend)
		}
	})
}

func parseProtocol(file string) (*protocol.Protocol, error) {
	yaml, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return protocol.Parse(file, yaml)
}

// adoptProtocol writes the line that names the version it replaces.
func (c *call) adoptProtocol() error {
	p, err := parseProtocol(c.args[1])
	if err != nil {
		return err
	}
	f, err := c.open()
	if err != nil {
		return err
	}
	var replaces string
	f.View(func(r *register.Register) { replaces = r.Protocol().Version })
	if replaces == p.Version {
		return errors.Join(fmt.Errorf("%s is the version in force already", c.args[1]), f.close())
	}
	_, err = f.Keep(c.who, c.now(), record.Protocol{Version: p.Version, Replaces: replaces, Text: p.Text})
	if err = errors.Join(err, f.close()); err != nil {
		return err
	}
	a := adoptedOf(p)
	return c.print(a, a.person("is in force"))
}
