package score

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/call"
	"dawnround/check"
	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// The bench does not stop at what a phrase said: after each it checks the draft
// against the animal's life. bench.go does the same with the record that a case
// gives and the phrase has filled, so that a question of the checks counts as
// one of the bench.

// handledAt is when the animal of a case is in the hand. Any time does.
var handledAt = time.Date(2026, 5, 10, 22, 0, 0, 0, time.UTC)

// someChip ties the animal in hand to its last visit, where no mark is told.
const someChip = "999000000000001"

// checked are the names of the fields that this phrase filled and that the
// bench's checks would have somebody look at. Of another species than the sheet
// is about nothing is known.
func (s *Scorer) checked(sc scene, h call.Heard) ([]string, error) {
	if sc.species != "" || h.Previous || sc.given.Incident {
		return nil, nil
	}
	r, err := s.register(sc.given)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, f := range check.Draft(r, s.draft(sc.given, h), handledAt) {
		at := benchField(f.Field)
		said, ok := h.Field(at)
		name := nameOf[at]
		if f.Grade == record.Remark || !ok || said.State != record.Unknown || name == "" || slices.Contains(names, name) {
			continue
		}
		names = append(names, name)
	}
	return names, nil
}

// benchField is the address of a row of the bench's card in a call.Heard.
func benchField(field string) string {
	switch field {
	case "weighing", "measures/mass":
		return "weighing/net"
	}
	return field
}

// register is the programme with the animal's last visit, as far as a case
// tells it.
func (s *Scorer) register(g call.Given) (*register.Register, error) {
	if len(g.Last) == 0 && s.noLife != nil {
		return s.noLife, nil
	}
	lines := []record.Body{record.Protocol{Version: s.protocol.Version, Text: s.protocol.Text}}
	if len(g.Last) > 0 {
		lines = append(lines, lastVisit(g))
	}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{1}, ed25519.SeedSize))
	n, err := notebook.Create(&notebook.Memory{}, number(1), key, func() time.Time { return handledAt })
	if err != nil {
		return nil, err
	}
	r := register.New()
	for i, body := range lines {
		e, err := record.Entry("AB", body)
		if err != nil {
			return nil, err
		}
		e.ID = number(100 + i)
		written, err := n.Write(e)
		if err != nil {
			return nil, err
		}
		r.Apply(register.ReadLine(written[0]))
	}
	if len(g.Last) == 0 {
		s.noLife = r
	}
	return r, nil
}

// number makes an id that sorts by its number.
func number(n int) (id uuid.UUID) {
	binary.BigEndian.PutUint32(id[:], uint32(n))
	id[6], id[8] = 0x70, 0x80
	return id
}

// lastVisit is the capture before this one.
func lastVisit(g call.Given) record.Capture {
	hours := 24.0 * 30
	if k, ok := find(g.Last, "hours ago"); ok {
		if v, err := strconv.ParseFloat(k.Value, 64); err == nil {
			hours = v
		}
	}
	then := handledAt.Add(-time.Duration(hours * float64(time.Hour)))
	trip := "before"
	if hours <= 24*4 {
		trip = "now"
	}
	c := capture(10, trip, then)
	c.Handled.Stage = g.LastStage
	for _, k := range g.Last {
		enter(&c, k.At, k.Value, k.Side, "")
	}
	c.Released = &record.Released{Fate: record.FateReleased}
	return c
}

// draft is the record of the open animal with what the phrase has filled.
func (s *Scorer) draft(g call.Given, h call.Heard) record.Capture {
	c := capture(20, "now", handledAt)
	c.Handled.Stage = g.Stage
	for _, k := range g.SoFar {
		enter(&c, k.At, k.Value, k.Side, "")
	}
	for _, f := range h.Fields {
		if !f.Pending && f.State == record.Unknown && !f.Roughly {
			enter(&c, f.At, f.Value, f.Side, f.Convention)
		}
	}
	return c
}

func capture(n int, trip string, at time.Time) record.Capture {
	return record.Capture{
		Capture: number(n),
		At:      &record.Spot{Trip: trip, Site: "S", Night: record.NightOf(at.Add(-12 * time.Hour)), Trap: "A1"},
		Handled: &record.Handled{
			Species: "TM", Measures: map[string]record.Reading{}, Signs: map[string]record.Sign{}, Weighing: &record.Weighing{},
			Marks: []record.Mark{{Kind: "transponder", Text: someChip}},
		},
	}
}

// enter puts a value of a case, or of a phrase, into a capture.
func enter(c *record.Capture, at, value, side, convention string) {
	q, err := record.ParseQuantity(value)
	switch {
	case at == "sex":
		c.Handled.Sex = record.Sex(value)
	case at == "stage":
		c.Handled.Stage = value
	case err != nil:
	case at == "weighing/gross":
		c.Handled.Weighing.Gross = &q
	case at == "weighing/bag":
		c.Handled.Weighing.Bag = &q
	case at == "weighing/net":
		c.Handled.Weighing.Net = &q
	case strings.HasPrefix(at, "measures/"):
		c.Handled.Measures[strings.TrimPrefix(at, "measures/")] = record.Reading{Quantity: q, Side: side, Convention: convention}
	}
}

func find(list []call.Known, at string) (call.Known, bool) {
	i := slices.IndexFunc(list, func(k call.Known) bool { return k.At == at })
	if i < 0 {
		return call.Known{}, false
	}
	return list[i], true
}
