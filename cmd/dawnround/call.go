package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	spoken "dawnround/call"
	"dawnround/call/score"
	"dawnround/demo"
	"dawnround/notebook/sqlite"
	"dawnround/protocol"
	"dawnround/register"
)

// say reads what a handler says: one phrase, a session of them from standard
// input, or a file of cases to be scored.
func (c *call) say() error {
	cases := c.flags.String("score", "", "a file of cases to score instead")
	scene := c.flags.String("given", "", "a JSON file with what stands before the phrase")
	yaml := c.flags.String("protocol", "", "a protocol; else that of the programme's folder, else the demo's")
	code := c.flags.String("species", "", "code of the species in hand; the protocol's first unless given")
	if err := c.parse(0, 1); err != nil {
		return err
	}
	if *cases != "" {
		return c.score(*cases)
	}
	if len(c.args) == 0 {
		return errUsage{`what was said is missing: dawnround call "head seventy-four six"`}
	}
	sheet, reader, given, err := c.scene(*yaml, *code, *scene)
	if err != nil {
		return err
	}
	if c.args[0] != "-" {
		return c.heard(reader.Read(c.args[0], sheet, given))
	}
	for lines := bufio.NewScanner(c.stdin); lines.Scan(); {
		heard := reader.Read(lines.Text(), sheet, given)
		if err := c.heard(heard); err != nil {
			return err
		}
		given = after(given, heard)
	}
	return nil
}

// scene is the sheet and the vocabulary phrases are read by, and what stands
// before them. Where a file says what stands before and no protocol is named, it
// is the invented mammal that such files are about.
func (c *call) scene(yaml, code, file string) (*protocol.Sheet, *spoken.Reader, spoken.Given, error) {
	given := spoken.Given{Stage: "adult"}
	if file == "" {
		sheet, reader, err := c.words(yaml, code)
		return sheet, reader, given, err
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, nil, given, err
	}
	if given, err = score.Given(string(text)); err != nil {
		return nil, nil, given, fmt.Errorf("%s: %w", file, err)
	}
	if yaml != "" || code != "" {
		sheet, reader, err := c.words(yaml, code)
		return sheet, reader, given, err
	}
	scorer, err := score.New()
	if err != nil {
		return nil, nil, given, err
	}
	reader, sheet, given, err := scorer.Scene(string(text))
	return sheet, reader, given, err
}

// words are the sheet and the vocabulary phrases are read by.
func (c *call) words(yaml, code string) (*protocol.Sheet, *spoken.Reader, error) {
	p, err := c.protocolInHand(yaml)
	if err != nil {
		return nil, nil, err
	}
	if len(p.Species) == 0 {
		return nil, nil, errors.New("the protocol has no species sheet; nothing can be said about an animal")
	}
	sheet := &p.Species[0]
	if code != "" {
		found, ok := p.Sheet(code)
		if !ok {
			return nil, nil, fmt.Errorf("--species %q: not on a species sheet", code)
		}
		sheet = found
	}
	return sheet, spoken.New(p), nil
}

func (c *call) protocolInHand(yaml string) (*protocol.Protocol, error) {
	if yaml != "" {
		return parseProtocol(yaml)
	}
	if _, err := os.Stat(filepath.Join(c.dir, sqlite.File)); errors.Is(err, fs.ErrNotExist) {
		return demo.Protocol()
	}
	p, done, err := c.read()
	if err != nil {
		return nil, err
	}
	defer done()
	var in *protocol.Protocol
	p.View(func(r *register.Register) { in = r.Protocol() })
	return in, nil
}

// after is the scene once a phrase was heard: what was filled stands, what was
// asked is not asked again, and next begins another animal.
func after(given spoken.Given, heard spoken.Heard) spoken.Given {
	if slices.Contains(heard.Control, spoken.NextOne) {
		return spoken.Given{Previous: given.SoFar, Order: given.Order, Stage: given.Stage}
	}
	for _, f := range heard.Fields {
		if f.Pending {
			continue
		}
		known := spoken.Known{At: f.At, Value: f.Value, Side: f.Side}
		if i := slices.IndexFunc(given.SoFar, func(k spoken.Known) bool { return k.At == f.At }); i >= 0 {
			given.SoFar[i] = known
			continue
		}
		given.SoFar = append(given.SoFar, known)
	}
	for _, q := range heard.Questions {
		given.Questions = append(given.Questions, q.About)
	}
	if heard.Next != "" {
		given.OrderAt = heard.Next
	}
	return given
}

// phraseSaid is what one phrase said, with its values beside it under the short names
// of a file of cases (call/score/README.md).
type phraseSaid struct {
	spoken.Heard
	Values json.RawMessage `json:"values"`
}

// heard prints what one phrase said.
func (c *call) heard(h spoken.Heard) error {
	return c.print(phraseSaid{h, json.RawMessage(score.Text(h))}, text(func(b *bytes.Buffer) {
		for _, f := range h.Fields {
			fmt.Fprintf(b, "%-24s %s\n", f.At, fieldWords(f))
		}
		for _, at := range h.Confirmed {
			fmt.Fprintf(b, "%-24s confirmed\n", at)
		}
		for _, x := range h.Corrected {
			fmt.Fprintf(b, "%-24s was %s\n", x.At, x.Was)
		}
		for _, q := range h.Questions {
			fmt.Fprintf(b, "asked: %s\n", q.Says)
		}
		for _, control := range h.Control {
			fmt.Fprintf(b, "heard: %s\n", control)
		}
		if left := leftWords(h); left != "" {
			fmt.Fprintf(b, "left: %s\n", left)
		}
	}))
}

func fieldWords(f spoken.Field) string {
	words := []string{f.Value, f.Unit, string(f.State), f.Why, f.Side, f.Convention}
	for _, again := range f.Again {
		words = append(words, "again", again.Typed)
	}
	if f.Roughly {
		words = append(words, "roughly")
	}
	if f.Pending {
		words = append(words, "(pending)")
	}
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), " ")
}

// leftWords are the words that were taken for chatter.
func leftWords(h spoken.Heard) string {
	var left []string
	for _, w := range h.Words {
		if w.Fate == spoken.Left {
			left = append(left, w.Text)
		}
	}
	return strings.Join(left, " ")
}

// score runs a file of cases and says how each kind was read.
func (c *call) score(name string) error {
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	r, err := score.Run(name, file)
	if err != nil {
		return err
	}
	return c.print(r, text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%d of %d cases passed; %s, %s\n", r.Passed, r.Cases,
			plural(r.SilentWrong, "silent wrong value"), plural(r.Needless, "needless question"))
		for _, by := range []struct {
			name   string
			counts map[string]score.Count
		}{{"difficulty", r.ByDifficulty}, {"category", r.ByCategory}} {
			for _, key := range slices.Sorted(maps.Keys(by.counts)) {
				fmt.Fprintf(b, "  %-10s %-20s %d of %d\n", by.name, key, by.counts[key].Passed, by.counts[key].Cases)
			}
		}
		for _, w := range r.Silent {
			fmt.Fprintf(b, "silent wrong %s: %s\n", w.ID, w.Value)
		}
		for _, f := range r.Failures {
			fmt.Fprintf(b, "\n%s (%s, difficulty %s): %s\n  expected  %s\n  got       %s\n  %s\n",
				f.ID, f.Category, f.Difficulty, f.Utterance, f.Expected, f.Got, strings.Join(f.Wrong, "; "))
		}
	}))
}
