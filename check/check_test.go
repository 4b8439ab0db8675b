package check_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/check"
	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// protocolText is an invented protocol with one large and one small species.
const protocolText = `name: invented ridges
zone: Australia/Brisbane
species:
  - code: RW
    name: rock-wallaby
    litter: 1
    teats: 4
    stages: [{id: pouch young, with mother: true}, {id: juvenile}, {id: adult, adult: true}]
    traits:
      - {id: mass, name: weight, unit: g, may shrink: true, ranges: [{from: 300, to: 5200}, {stage: adult, from: 2400, to: 5200, never outside: [1500, 8000]}]}
      - {id: head, unit: mm, bone: true, technical error: 0.5, source: invented trial}
      - {id: pes, unit: mm, convention: without claw, bone: true, limit between visits: 1.5, source: start value, ranges: [{from: 70, to: 150, never outside: [50, 180]}, {stage: adult, from: 90, to: 148, source: invented}]}
      - {id: forearm, unit: mm, bone: true}
      - {id: hand, unit: mm, bone: true}
      - {id: tail, unit: mm, may shrink: true, limit between visits: 6, source: start value}
      - {id: ear, unit: mm, may shrink: true, limit between visits: 3, source: start value}
      - {id: testis, name: testis length, unit: mm, sex: male, sided: true, may shrink: true}
      - {id: head, of: young, unit: mm, ranges: [{stage: pouch young, from: 7, to: 70, never outside: [5, 85]}]}
    signs:
      - {id: pouch, sex: female, values: [{id: undeveloped, never bred: true}, {id: empty}, {id: occupied, parous: true, young: true}]}
      - {id: wear, never goes back: true, values: [{id: none}, {id: some}, {id: heavy}]}
      - {id: fur, of: young, never goes back: true, values: [{id: pink}, {id: fuzz}, {id: furred}]}
    marks: [chip, tag]
  - {code: NB, name: bandicoot, like: RW, litter: 7, teats: 8}
  - code: PO
    name: possum
    litter: 1
    stages: [{id: pouch young, with mother: true}, {id: juvenile}, {id: adult, adult: true}]
    traits:
      - {id: pes, unit: mm, bone: true, technical error: 0.5, source: invented trial, ranges: [{from: 30, to: 90}]}
      - {id: head, of: young, unit: mm, technical error: 0.4, source: invented trial}
    signs: [{id: pouch, sex: female, values: [{id: empty}, {id: occupied, parous: true, young: true}]}]
    marks: [chip]
    ageing:
      - {trait: head, unit: mm, form: linear, fitted: age on size, parameters: [{name: a, value: -19.355, unit: d}, {name: b, value: 2.917, unit: d/mm}], sizes: [8, 78.6], ages: [0, 210], residual sd: 3, source: "How 1976, its residual invented"}
    pouch life: {exit days: [175, 200], source: invented}
  - code: PM
    name: planigale
    stages: [{id: adult, adult: true}]
    traits: [{id: mass, unit: g, step: 1, may shrink: true, ranges: [{from: 4, to: 14}]}]
marks:
  - {id: chip, name: transponder, form: transponder}
  - {id: tag, name: ear tag, form: tag, within species: true, none: ["0"]}
samples:
  - {id: biopsy, once per animal: true}
  - {id: hair}
findings:
  parts: [{id: ear}]
  signs: [{id: tick, counted: true}]
welfare limits:
  - {id: handling minutes, value: 15, source: invented approval}
  - {id: bag minutes, value: 45, source: invented approval}
  - {id: consecutive nights, value: 3, source: invented approval}
  - {id: mass fall in trip percent, value: 10, source: invented approval}
`

// notebookOf writes bodies into a notebook in memory and gives its lines.
// Each line has an id of its own that sorts by its place.
func notebookOf(bodies ...record.Body) []notebook.Line {
	now := time.Date(2026, 5, 10, 8, 0, 0, 0, time.UTC)
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{1}, ed25519.SeedSize))
	n, err := notebook.Create(&notebook.Memory{}, id(1_000_000), key, func() time.Time { return now })
	if err != nil {
		panic(err)
	}
	var entries []notebook.Entry
	for i, b := range bodies {
		e, err := record.Entry("AB", b)
		if err != nil {
			panic(err)
		}
		e.ID = id(2_000_000 + i)
		entries = append(entries, e)
	}
	lines, err := n.Write(entries...)
	if err != nil {
		panic(err)
	}
	return lines
}

func fold(lines []notebook.Line) *register.Register {
	r := register.New()
	entries := make([]*register.Entry, len(lines))
	for i, l := range lines {
		entries[i] = register.ReadLine(l)
	}
	r.Apply(entries...)
	return r
}

// folded is the register of bodies under the invented protocol.
func folded(bodies ...record.Body) *register.Register {
	return fold(notebookOf(append([]record.Body{record.Protocol{Version: "1", Text: protocolText}}, bodies...)...))
}

// id makes readable ids that sort by their number.
func id(n int) (id uuid.UUID) {
	binary.BigEndian.PutUint32(id[:], uint32(n))
	id[6], id[8] = 0x70, 0x80
	return id
}

func night(day int) record.Night {
	return record.NightOf(time.Date(2026, 5, day, 12, 0, 0, 0, time.UTC))
}

// dawn is a time in the morning after the night of a day of May 2026, told in
// the programme's zone.
func dawn(day, hour, minute int) time.Time {
	return time.Date(2026, 5, day+1, hour-10, minute, 0, 0, time.UTC) // Brisbane is UTC+10 all year
}

// later is long after every night here.
var later = time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)

type with func(*record.Capture)

// caught is the capture of an adult rock-wallaby with chip 1 in trap K1, trip
// T1 for nights before the 20th and T2 after.
func caught(n, day int, what ...with) record.Capture {
	c := record.Capture{
		Capture:  id(n),
		At:       &record.Spot{Trip: "T1", Site: "K", Night: night(day), Trap: "K1"},
		Handled:  &record.Handled{Handler: "AB", Species: "RW", Stage: "adult", Measures: map[string]record.Reading{}, Signs: map[string]record.Sign{}},
		Released: &record.Released{Fate: record.FateReleased},
	}
	if day >= 20 {
		c.At.Trip = "T2"
	}
	for _, w := range what {
		w(&c)
	}
	if len(c.Handled.Marks) == 0 {
		chip(1)(&c)
	}
	return c
}

func chip(n int, act ...record.MarkAct) with {
	return mark("chip", fmt.Sprintf("999%012d", n), act...)
}

func mark(kind, text string, act ...record.MarkAct) with {
	return func(c *record.Capture) {
		m := record.Mark{Kind: kind, Text: text}
		if len(act) > 0 {
			m.Act = act[0]
		}
		c.Handled.Marks = append(c.Handled.Marks, m)
	}
}

func unmarked(c *record.Capture) { c.Handled.Marks = []record.Mark{{Kind: "tag", Text: "0"}} }

// measure reads a trait, then reads it again for each further word.
func measure(key string, typed ...string) with {
	return func(c *record.Capture) {
		r := record.Reading{Quantity: quantity(typed[0])}
		for _, a := range typed[1:] {
			switch {
			case a == "damaged":
				r.Damaged = true
			case a == "roughly":
				r.Roughly = true
			case strings.HasPrefix(a, "with "):
				r.Convention = a
			default:
				r.Again = append(r.Again, quantity(a))
			}
		}
		c.Handled.Measures[key] = r
	}
}

func quantity(typed string) record.Quantity {
	q, err := record.ParseQuantity(typed)
	if err != nil {
		panic(err)
	}
	return q
}

// weigh says gross, bag, net; "" is not said.
func weigh(gross, bag, net string) with {
	return func(c *record.Capture) {
		c.Handled.Weighing = &record.Weighing{}
		for _, x := range []struct {
			typed string
			into  **record.Quantity
		}{{gross, &c.Handled.Weighing.Gross}, {bag, &c.Handled.Weighing.Bag}, {net, &c.Handled.Weighing.Net}} {
			if x.typed != "" {
				q := quantity(x.typed)
				*x.into = &q
			}
		}
	}
}

func sign(id, value string) with {
	return func(c *record.Capture) { c.Handled.Signs[id] = record.Sign{Value: value} }
}
func sex(s record.Sex) with       { return func(c *record.Capture) { c.Handled.Sex = s } }
func stage(s string) with         { return func(c *record.Capture) { c.Handled.Stage = s } }
func species(s string) with       { return func(c *record.Capture) { c.Handled.Species = s } }
func status(s record.Status) with { return func(c *record.Capture) { c.Handled.Status = s } }
func fate(f record.Fate) with     { return func(c *record.Capture) { c.Released.Fate = f } }
func at(site, trap string) with {
	return func(c *record.Capture) { c.At.Site, c.At.Trap = site, trap }
}
func round(n int) with { return func(c *record.Capture) { c.At.Round = id(n) } }
func sample(kind, label string) with {
	return func(c *record.Capture) {
		c.Handled.Samples = append(c.Handled.Samples, record.Sample{Kind: kind, Label: label})
	}
}
func young(y ...record.Young) with { return func(c *record.Capture) { c.Handled.Young = y } }

// pouched is a young in the pouch.
func pouched(n int) record.Young { return record.Young{Young: id(n), Where: "in pouch"} }

func furred(n int, fur string) record.Young {
	y := pouched(n)
	y.Signs = map[string]record.Sign{"fur": {Value: fur}}
	return y
}

// times says when it was found, bagged, taken in hand, done and released.
func times(found, bagged, start, end, released time.Time) with {
	return func(c *record.Capture) {
		c.At.Found = found
		c.Bagged = &record.Bagged{At: bagged}
		c.Handled.Start, c.Handled.End = start, end
		c.Released.At = released
	}
}

// of gives the flags of one rule.
func of(flags []record.Flag, rule string) []record.Flag {
	return slices.DeleteFunc(slices.Clone(flags), func(f record.Flag) bool { return f.Rule != rule })
}

func names(flags []record.Flag) []string {
	var out []string
	for _, f := range flags {
		out = append(out, f.Rule+": "+f.Says)
	}
	return out
}

// A trial is one rule at work: what was kept before, what is in the hand now,
// and the row in which the rule must speak, "" where it must not.
type trial struct {
	rule, name string
	before     []record.Body
	now        record.Capture
	field      string
	says       string // part of the sentence
}

// try runs trials on the draft, then keeps the capture and asks again: the
// same rules must say the same.
func try(t *testing.T, trials []trial) {
	t.Helper()
	for _, c := range trials {
		t.Run(c.rule+"/"+c.name, func(t *testing.T) {
			t.Parallel()
			r := folded(c.before...)
			judge(t, c, of(check.Draft(r, c.now, later), c.rule))
			if c.rule == "sampled before" || c.name == "still in the hand" {
				return // said at the bench only
			}
			judge(t, c, of(check.Kept(folded(append(slices.Clone(c.before), c.now)...), c.now.Capture, later), c.rule))
		})
	}
}

func judge(t *testing.T, c trial, flags []record.Flag) {
	t.Helper()
	switch {
	case c.field == "" && len(flags) > 0:
		t.Errorf("flagged, and should be silent: %q", names(flags))
	case c.field != "" && len(flags) != 1:
		t.Errorf("%d flags, want 1: %q", len(flags), names(flags))
	case c.field != "":
		f := flags[0]
		if f.Field != c.field || f.Subject != c.now.Capture || !strings.Contains(f.Says, c.says) || f.Evidence == "" {
			t.Errorf("field %q, evidence %q, says %q; want field %q, and %q said", f.Field, f.Evidence, f.Says, c.field, c.says)
		}
	}
}

func clone(c record.Capture) record.Capture {
	text, err := json.Marshal(c)
	if err != nil {
		panic(err)
	}
	var out record.Capture
	if err := json.Unmarshal(text, &out); err != nil {
		panic(err)
	}
	return out
}

func bodies(list ...record.Body) []record.Body { return list }
