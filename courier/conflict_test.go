package courier_test

import (
	"context"
	_ "embed"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/check"
	"dawnround/desk"
	"dawnround/notebook"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

//go:embed testdata/protocol.yaml
var protocolText string

// adoption makes the line that adopts the tests' protocol under a name.
func adoption(t rapid.TB, name, replaces string) record.Protocol {
	t.Helper()
	p, err := protocol.Parse("protocol.yaml", []byte(strings.Replace(protocolText, "North Ridge (invented)", name, 1)))
	if err != nil {
		t.Fatal(err)
	}
	return record.Protocol{Version: p.Version, Text: p.Text, Replaces: replaces}
}

// camp is a laptop and two phones of one crew, all in step before they part.
type camp struct {
	laptop, a, b *member
	first        record.Protocol
}

func newCamp(t rapid.TB) *camp {
	t.Helper()
	c := &camp{a: newMember(t, 2, 0), b: newMember(t, 3, 0)}
	c.laptop = newCrew(t, c.a, c.b)
	c.first = adoption(t, "North Ridge", "")
	c.laptop.keep(t, c.first)
	c.meet(t)
	return c
}

// meet has everybody exchange with the laptop until all hold the same.
func (c *camp) meet(t rapid.TB) {
	t.Helper()
	for _, m := range []*member{c.a, c.b, c.a} {
		if _, err := m.Sync(context.Background(), to(c.laptop), nil); err != nil {
			t.Fatal(err)
		}
	}
}

const (
	oldChip = "982000123450311"
	newChip = "982000123450329"
)

// captured is an animal that a device had in hand at a trap, with these marks.
func (m *member) captured(t rapid.TB, trap string, minutes int, marks []record.Mark, more ...func(*record.Handled)) (capture, line uuid.UUID) {
	t.Helper()
	at := evening.Add(10*time.Hour + time.Duration(minutes)*time.Minute)
	h := record.Handled{Species: "RW", Handler: "AB", Start: at, Marks: marks, Status: record.Recapture}
	for _, f := range more {
		f(&h)
	}
	id := uuid.UUID{6: 0x70, 8: 0x80}
	copy(id[9:], trap)
	id[14], id[15] = byte(minutes), m.device()[0]
	lines := m.keep(t, record.Capture{Capture: id, At: &record.Spot{Trip: "2026-05", Site: "NR", Night: night, Trap: trap, Found: at},
		Handled: &h, Released: &record.Released{At: at.Add(10 * time.Minute), Fate: record.FateReleased}})
	return id, lines[0]
}

func chip(text string) []record.Mark { return []record.Mark{{Kind: "transponder", Text: text}} }

func weighing(g string) func(*record.Handled) {
	return func(h *record.Handled) {
		q, err := record.ParseQuantity(g)
		if err != nil {
			panic(err)
		}
		h.Weighing = &record.Weighing{Net: &q}
	}
}

func biopsy(label string) func(*record.Handled) {
	return func(h *record.Handled) { h.Samples = []record.Sample{{Kind: "ear biopsy", Label: label}} }
}

// An outcome is a row of the table of outcomes in ARCHITECTURE.md: a conflict
// that a crew makes, the flag that asks about it, words of both sides that
// Evening must show, and how it is settled.
type outcome struct {
	name, rule string
	make       func(t rapid.TB, c *camp)
	shows      []string // in Evening's own words, both sides
	settle     func(t rapid.TB, c *camp, r *register.Register, f record.Flag)
}

// confirm settles a flag as the evening's button does.
func confirm(t rapid.TB, c *camp, _ *register.Register, f record.Flag) {
	c.laptop.keep(t, record.FlagAct{Flag: f.Key(), Rule: f.Rule, Of: f.Subject, Act: record.FlagSettled, How: "confirmed"})
}

var outcomes = []outcome{
	{
		name: "one animal on two phones in one night", rule: "twice in one night",
		make: func(t rapid.TB, c *camp) {
			c.a.captured(t, "K1", 5, chip(oldChip))
			c.b.captured(t, "K7", 9, chip(oldChip))
		},
		shows: []string{"K1", "K7"}, settle: confirm,
	},
	{
		name: "two people correct one weight", rule: "two versions",
		make: func(t rapid.TB, c *camp) {
			_, line := c.a.captured(t, "K1", 5, chip(oldChip), weighing("960"))
			c.meet(t)
			correct := func(m *member, g string) {
				var made record.Correction
				m.Programme.View(func(r *register.Register) {
					q, err := record.ParseQuantity(g)
					if err == nil {
						made, err = r.Correct(line, "/handled/weighing/net", q, "misread")
					}
					if err != nil {
						t.Fatal(err)
					}
				})
				m.keep(t, made)
			}
			correct(c.a, "940")
			correct(c.b, "990")
		},
		shows: []string{"940", "990"},
		settle: func(t rapid.TB, c *camp, r *register.Register, f record.Flag) {
			got, _ := r.Capture(f.Subject)
			q, err := record.ParseQuantity("940")
			if err != nil {
				t.Fatal(err)
			}
			made, err := r.Correct(got.Lines[len(got.Lines)-1], "/handled/weighing/net", q, "both asked")
			if err != nil {
				t.Fatal(err)
			}
			c.laptop.keep(t, made)
		},
	},
	{
		name: "a new chip on one phone, the old one read on another", rule: "mark read after it was gone",
		make: func(t rapid.TB, c *camp) {
			tag := record.Mark{Kind: "ear tag", Text: "417"}
			c.a.captured(t, "K1", 5, []record.Mark{tag, {Kind: "transponder", Text: oldChip, Act: record.MarkGone}, {Kind: "transponder", Text: newChip, Act: record.MarkPut}})
			c.b.captured(t, "K7", 9, chip(oldChip))
		},
		shows: []string{"K1", "K7", oldChip}, settle: confirm,
	},
	{
		name: "one sample label used twice", rule: "label used before",
		make: func(t rapid.TB, c *camp) {
			c.a.captured(t, "K1", 5, chip(oldChip), biopsy("B017"))
			c.b.captured(t, "K7", 9, chip(newChip), biopsy("B017"))
		},
		shows: []string{"B017", "K1", "K7"}, settle: confirm,
	},
	{
		name: "a trip locked while a phone is in the bush", rule: "after the lock",
		make: func(t rapid.TB, c *camp) {
			c.laptop.lock(t, "2026-05")
			c.a.captured(t, "K1", 5, chip(oldChip))
		},
		shows:  []string{"locked trip 2026-05", "K1"},
		settle: func(t rapid.TB, c *camp, _ *register.Register, _ record.Flag) { c.laptop.lock(t, "2026-05") },
	},
	{
		name: "a notebook put back from a backup", rule: "device not admitted",
		make: func(t rapid.TB, c *camp) {
			backup := copiedAs(t, c.a, 22) // it goes on as a new device
			c.a.captured(t, "K1", 5, chip(oldChip))
			c.meet(t)
			backup.captured(t, "K7", 9, chip(newChip))
			if _, err := backup.Sync(context.Background(), to(c.laptop), nil); err == nil {
				t.Fatal("a device that nobody admitted is answered")
			}
			if _, err := c.b.Import(strings.NewReader(string(stick(t, backup, nil))), backup.device()); err != nil {
				t.Fatal(err)
			}
		},
		shows: []string{"Nobody has admitted", "K7"},
		settle: func(t rapid.TB, c *camp, r *register.Register, f record.Flag) {
			line, _ := r.Line(f.Subject)
			c.laptop.keep(t, record.Admitted{Device: line.Device, Name: "phone 1, put back", Role: record.Scribe})
		},
	},
	{
		name: "one device written at two places", rule: "one device at two places",
		make: func(t rapid.TB, c *camp) {
			twin := copiedAs(t, c.a, 0)
			c.a.captured(t, "K1", 5, chip(oldChip))
			twin.captured(t, "K7", 9, chip(newChip))
			c.meet(t)
			for _, m := range []*member{twin, c.a} { // both go on as new devices
				if _, err := m.Sync(context.Background(), to(c.laptop), nil); err != nil {
					t.Fatal(err)
				}
				c.laptop.keep(t, record.Admitted{Device: m.device(), Name: "one of two", Role: record.Scribe})
			}
		},
		shows: []string{"K1", "K7", "at two places"}, settle: confirm,
	},
	{
		name: "two protocols adopted at once", rule: "two protocols",
		make: func(t rapid.TB, c *camp) {
			c.a.keep(t, adoption(t, "by the leader", c.first.Version))
			c.b.keep(t, adoption(t, "by the manager", c.first.Version))
		},
		shows: []string{"two protocols were adopted", "adopted protocol"},
		settle: func(t rapid.TB, c *camp, r *register.Register, _ record.Flag) {
			in := r.Adoptions()
			again, inForce := in[len(in)-2], in[len(in)-1]
			again.Replaces = inForce.Version
			c.laptop.keep(t, again)
		},
	},
	{
		name: "a clock an hour off", rule: "clock off",
		make: func(t rapid.TB, c *camp) {
			c.a.ahead = time.Hour
			c.a.captured(t, "K1", 5, chip(oldChip))
		},
		shows: []string{"1 h 0 min fast"}, settle: confirm,
	},
	{
		name: "a clock more than a day ahead", rule: "clock a day ahead",
		make: func(t rapid.TB, c *camp) {
			c.a.ahead = 50 * time.Hour
			c.a.captured(t, "K1", 5, chip(oldChip))
		},
		shows: []string{"2 d 2 h fast"}, settle: confirm,
	},
	{
		name: "a lost phone goes on writing", rule: "written after it was shut out",
		make: func(t rapid.TB, c *camp) {
			c.laptop.keep(t, record.ShutOut{Device: c.a.device(), Why: "left on the bus"})
			c.a.ahead = time.Minute
			c.a.captured(t, "K1", 5, chip(oldChip))
			if _, err := c.laptop.Import(strings.NewReader(string(stick(t, c.a, nil))), c.a.device()); err != nil {
				t.Fatal(err)
			}
			c.a = c.b
		},
		shows: []string{"left on the bus", "K1"}, settle: confirm,
	},
	{
		name: "a scribe admits a device", rule: "no leader's word",
		make: func(t rapid.TB, c *camp) {
			c.a.keep(t, record.Admitted{Device: notebook.DeviceID{9}, Name: "a friend's phone", Role: record.Scribe})
		},
		shows: []string{"phone 1", "a friend's phone"},
		settle: func(t rapid.TB, c *camp, _ *register.Register, _ record.Flag) {
			c.laptop.keep(t, record.Admitted{Device: notebook.DeviceID{9}, Name: "a friend's phone", Role: record.Scribe})
		},
	},
}

// lock locks a trip as this member's notebook stands.
func (m *member) lock(t rapid.TB, trip string) {
	t.Helper()
	heads, _, err := m.Programme.Notebook().Heads()
	if err != nil {
		t.Fatal(err)
	}
	var lock record.Lock
	m.Programme.View(func(r *register.Register) { lock = r.NewLock(trip, heads, "the report went out") })
	m.keep(t, lock)
}

// TestOutcomes: whatever a crew does apart, together all notebooks say the same,
// no line is lost, the flag is raised everywhere, Evening shows both sides, and
// the stated way settles it.
func TestOutcomes(t *testing.T) {
	t.Parallel()
	for _, o := range outcomes {
		t.Run(o.name, func(t *testing.T) {
			t.Parallel()
			c := newCamp(t)
			o.make(t, c)
			c.meet(t)
			alike(t, c.laptop, c.a, c.b)
			for _, m := range []*member{c.laptop, c.a, c.b} {
				flags := m.openFlags(o.rule)
				if len(flags) == 0 {
					t.Fatalf("no flag %q", o.rule)
				}
			}
			shown := c.laptop.eveningText(t)
			for _, words := range o.shows {
				if !strings.Contains(shown, words) {
					t.Errorf("Evening does not show %q:\n%s", words, shown)
				}
			}
			for _, f := range c.laptop.openFlags(o.rule) {
				var snapshot *register.Register
				c.laptop.Programme.View(func(r *register.Register) { snapshot = r })
				o.settle(t, c, snapshot, f)
			}
			if flags := c.laptop.openFlags(o.rule); len(flags) != 0 {
				t.Errorf("settled as the table says, it is still open: %s", flags[0].Says)
			}
		})
	}
}

// openFlags gives the open flags of a rule.
func (m *member) openFlags(rule string) (flags []record.Flag) {
	m.Programme.View(func(r *register.Register) {
		flags = check.Open(r, check.Register(r, evening.Add(16*time.Hour)))
	})
	return slices.DeleteFunc(flags, func(f record.Flag) bool { return f.Rule != rule })
}

// eveningText is what the evening's page holds.
func (m *member) eveningText(t rapid.TB) string {
	t.Helper()
	var open []desk.Item
	m.Programme.View(func(r *register.Register) { open = desk.EveningPage(r, night, 0, evening.Add(16*time.Hour)).Open })
	text, err := json.Marshal(open)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// copiedAs opens a copy of a member's notebook under another key, as one put
// back from a backup has; 0: under its own, as a folder copied with its key.
func copiedAs(t rapid.TB, m *member, seed byte) *member {
	t.Helper()
	c := copied(t, m)
	if seed != 0 {
		c.key = keyOf(seed)
	}
	n, err := notebook.Open(c.store, c.key, c.Now)
	if err != nil {
		t.Fatal(err)
	}
	c.open(t, n)
	return c
}

// The table of outcomes in ARCHITECTURE.md has these rows, and no others.
func TestTableOfOutcomes(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(text), "\n### What comes of writing apart\n")
	table, _, _ = strings.Cut(table, "\n## ")
	var rows []string
	for line := range strings.Lines(table) {
		if cells := strings.Split(line, " | "); len(cells) == 4 && !strings.HasPrefix(line, "| what a crew does") {
			rows = append(rows, strings.TrimPrefix(cells[0], "| ")+": "+cells[2])
		}
	}
	var want []string
	for _, o := range outcomes {
		want = append(want, o.name+": "+o.rule)
	}
	if !slices.Equal(rows, want) {
		t.Errorf("the table has\n%s\nwant\n%s", strings.Join(rows, "\n"), strings.Join(want, "\n"))
	}
}
