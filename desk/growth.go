package desk

import (
	"encoding/json"
	"math"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Series is one trait of one animal over time.
type Series struct {
	Key    string     `json:"key"`
	Name   string     `json:"name"`
	Unit   string     `json:"unit"`
	Bone   bool       `json:"bone,omitempty"`
	Error  float64    `json:"error,omitempty"` // 95 % of one reading, either way, in Unit; 0: not known
	Basis  string     `json:"basis,omitempty"` // where Error comes from
	Points []Measured `json:"points"`

	Expected   []Expected `json:"expected,omitempty"` // what a curve expects
	ExpectedBy string     `json:"expected_by,omitempty"`
}

// Measured is one value on one night.
type Measured struct {
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Value   float64      `json:"value"`
	Doubt   string       `json:"doubt,omitempty"` // why it is drawn hollow: flagged, struck, damaged
}

// series gives mass and every trait measured more than never, with the values
// that were struck or corrected beside those that stand.
func (w words) series(s *protocol.Sheet, a *register.Animal, rows []CaptureRow) []Series {
	out := []Series{w.massSeries(a, rows)}
	for _, key := range columns(s, a) {
		name, u := trait(s, key, false)
		one := Series{Key: key, Name: name, Unit: unit(u)}
		id, _, _ := strings.Cut(key, ".")
		if t, ok := s.Trait(id); ok {
			one.Bone = t.Bone
			if limit, basis := t.BetweenVisits(); limit > 0 {
				one.Error, one.Basis = limit/math.Sqrt2, basis
			}
		}
		for i, c := range a.Captures {
			one.Points = append(one.Points, w.measured(c, key, rows[i])...)
		}
		out = append(out, one)
	}
	shown := out[:0]
	for _, one := range out {
		if len(one.Points) > 0 {
			shown = append(shown, one)
		}
	}
	return shown
}

func (w words) massSeries(a *register.Animal, rows []CaptureRow) Series {
	out := Series{Key: "mass", Name: "mass", Unit: "g"}
	for i, c := range a.Captures {
		if m, ok := c.Handled.MassMilli(); ok {
			out.Points = append(out.Points, Measured{c.ID(), c.At.Night, float64(m) / 1000, doubt(rows[i].Flags, "mass", "weighing")})
		}
	}
	return out
}

// measured gives what a capture says of one trait: the value that stands, and
// before it those that corrections replaced.
func (w words) measured(c *register.Capture, key string, row CaptureRow) []Measured {
	var out []Measured
	pointer := "/handled/measures/" + escapePointer.Replace(key)
	for _, id := range c.Lines {
		for _, e := range w.Corrected(id) {
			b, ok := e.Body.(record.Correction)
			if ok && (b.Field == pointer || b.Field == "/handled") {
				if v, ok := wasMeasured(b, pointer, key); ok {
					out = append(out, Measured{c.ID(), c.At.Night, v, "struck: " + b.Why})
				}
			}
		}
	}
	if c.Handled == nil {
		return out
	}
	r, ok := c.Handled.Measures[key]
	if !ok || r.Is() != record.Seen {
		return out
	}
	why := doubt(row.Flags, "measures/"+key)
	if r.Damaged {
		why = "damaged"
	}
	return append(out, Measured{c.ID(), c.At.Night, r.Counts().Value(), why})
}

// wasMeasured is the value that a correction replaced.
func wasMeasured(b record.Correction, pointer, key string) (float64, bool) {
	if b.Field == pointer {
		var r record.Reading
		err := json.Unmarshal(b.Was, &r)
		return r.Counts().Value(), err == nil && r.Is() == record.Seen
	}
	var h record.Handled
	if err := json.Unmarshal(b.Was, &h); err != nil {
		return 0, false
	}
	r := h.Measures[key]
	return r.Counts().Value(), r.Is() == record.Seen
}

// doubt is the open flag that a value bears, "" where there is none.
func doubt(flags []Flag, fields ...string) string {
	for _, f := range flags {
		for _, field := range fields {
			if !f.Settled && f.Grade != record.Remark && strings.HasPrefix(f.Field, field) {
				return "flagged: " + f.Says
			}
		}
	}
	return ""
}
