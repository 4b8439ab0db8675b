package register_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"encoding/json"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

type line = notebook.Line

// world writes lines on several devices of one programme.
type world struct {
	devices []*notebook.Notebook
	now     time.Time
	lines   []line
}

func newWorld(devices int) *world {
	w := &world{now: time.Date(2026, 5, 10, 8, 0, 0, 0, time.UTC)}
	for i := range devices {
		key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{byte(i + 1)}, ed25519.SeedSize))
		n, err := notebook.Create(&notebook.Memory{}, captureID(1000), key, func() time.Time { return w.now })
		if err != nil {
			panic(err)
		}
		w.devices = append(w.devices, n)
	}
	return w
}

// write keeps a body on one device and gives its line's id.
func (w *world) write(device int, b record.Body) uuid.UUID {
	e, err := record.Entry("AB", b)
	if err != nil {
		panic(err)
	}
	return w.enter(device, e)
}

func (w *world) enter(device int, e notebook.Entry) uuid.UUID {
	if e.ID == (uuid.UUID{}) {
		e.ID = captureID(500 + len(w.lines)) // told apart in shrunk failures
	}
	lines, err := w.devices[device].Write(e)
	if err != nil {
		panic(err)
	}
	w.now = w.now.Add(time.Second)
	w.lines = append(w.lines, lines...)
	return lines[0].ID
}

// enterEach keeps bodies in one write.
func (w *world) enterEach(device int, bodies ...record.Body) {
	var entries []notebook.Entry
	for _, b := range bodies {
		e, err := record.Entry("AB", b)
		if err != nil {
			panic(err)
		}
		entries = append(entries, e)
	}
	lines, err := w.devices[device].Write(entries...)
	if err != nil {
		panic(err)
	}
	w.now = w.now.Add(time.Second)
	w.lines = append(w.lines, lines...)
}

// copyLast writes the last line's words, under its id, on another device, as
// two laptops do that import one table apart.
func (w *world) copyLast(device int) {
	l := w.lines[len(w.lines)-1]
	w.enter(device, notebook.Entry{ID: l.ID, Who: l.Who, Kind: l.Kind, Body: bytes.Clone(l.Body)})
}

// twinLast writes other words under the last line's id.
func (w *world) twinLast(device int, b record.Body) {
	e, err := record.Entry("CD", b)
	if err != nil {
		panic(err)
	}
	e.ID = w.lines[len(w.lines)-1].ID
	w.enter(device, e)
}

// captureID makes readable ids that sort by their number.
func captureID(n int) (id uuid.UUID) {
	binary.BigEndian.PutUint32(id[:], uint32(n))
	id[6], id[8] = 0x70, 0x80
	return id
}

func correction(line uuid.UUID, field string, value any) record.Correction {
	v, err := json.Marshal(value)
	if err != nil {
		panic(err)
	}
	return record.Correction{Line: line, Field: field, Value: v, Why: "misheard"}
}

func fold(lines []line) *register.Register {
	r := register.New()
	for _, l := range lines {
		r.Apply(register.ReadLine(l))
	}
	return r
}

// fataler is what testing and rapid share.
type fataler interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}

func same(t fataler, want, got *register.Register) {
	t.Helper()
	var a, b bytes.Buffer
	if err := want.Save(&a); err != nil {
		t.Fatal(err)
	}
	if err := got.Save(&b); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		i := 0
		for a.Bytes()[i] == b.Bytes()[i] {
			i++
		}
		t.Fatalf("two registers of one set of lines, from byte %d on:\n%.300s\n%.300s", i, a.Bytes()[i:], b.Bytes()[i:])
	}
	if want.State() != got.State() {
		t.Fatalf("state %s and %s of one set of lines", want.State(), got.State())
	}
}

const protocolText = `
name: two species
zone: Australia/Brisbane
species:
- {code: RW, name: rock-wallaby}
- {code: NB, name: bandicoot}
marks:
- {id: tag, name: ear tag, form: tag, within species: true}
- {id: chip, name: transponder, form: transponder}
`

func night(day int) record.Night { return record.Night{Year: 2026, Month: 5, Day: day} }

// caught is a capture with marks, on a night of May 2026.
func caught(id, day int, marks ...record.Mark) record.Capture {
	return record.Capture{
		Capture: captureID(id), At: &record.Spot{Site: "NR", Night: night(day), Trap: "K1"},
		Handled: &record.Handled{Species: "RW", Marks: marks},
	}
}

func tag(text string, act ...record.MarkAct) record.Mark {
	m := record.Mark{Kind: "tag", Text: text}
	for _, a := range act {
		m.Act = a
	}
	return m
}

func animals(t testing.TB, r *register.Register, ids ...int) []int {
	t.Helper()
	var out []int
	for _, id := range ids {
		a, ok := r.AnimalOf(captureID(id))
		if !ok {
			t.Fatalf("capture %d belongs to no animal", id)
		}
		out = append(out, int(binary.BigEndian.Uint32(a[:])))
	}
	return out
}
