package desk

import (
	"encoding/json"
	"fmt"
	"strings"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// correct makes the correction of one field from a form.
func correct(w words, f form) ([]record.Body, error) {
	line, err := f.id("line")
	if err != nil {
		return nil, err
	}
	why := f.text("why")
	if why == "" {
		return nil, errNoReason
	}
	field := w.fieldOf(line, f.Get("field"))
	if f.text("value") == field.Typed {
		return nil, fmt.Errorf("%s: it already says %q; nothing was written", field.Label, field.Typed)
	}
	value, err := w.parse(field, f.Get("value"))
	if err != nil {
		return nil, err
	}
	c, err := w.Correct(line, f.Get("field"), value, why)
	return []record.Body{c}, err
}

var errNoReason = fmt.Errorf("the reason is missing; say why, in a few words, so that whoever reads this in ten years understands")

// strike makes the line that takes another out.
func strike(w words, f form) ([]record.Body, error) {
	line, err := f.id("line")
	if err != nil {
		return nil, err
	}
	why := f.text("why")
	if why == "" {
		return nil, errNoReason
	}
	e, ok := w.Line(line)
	if !ok || e.Body != nil && e.Now() == nil {
		return nil, fmt.Errorf("line %s is not in this notebook, or struck already", line)
	}
	return []record.Body{record.Strike{Line: line, Why: why}}, nil
}

// choose settles two versions of one field: the one chosen stands. Where a
// whole part was stated by two lines the other line loses the part.
func choose(w words, f form) ([]record.Body, error) {
	line, err := f.id("line")
	if err != nil {
		return nil, err
	}
	why := f.text("why")
	if why == "" {
		why = "chosen of two versions"
	}
	var value any
	if err := json.Unmarshal([]byte(f.Get("value")), &value); err != nil {
		return nil, fmt.Errorf("the version chosen is not readable; load the page again")
	}
	c, err := w.Correct(line, f.Get("field"), value, why)
	return []record.Body{c}, err
}

// Version is one of two ways in which live lines state a field.
type Version struct {
	Line  uuid.UUID `json:"line"` // the line that states it
	Who   string    `json:"who"`
	At    string    `json:"at"`
	Says  string    `json:"says"`
	Shows bool      `json:"shows"` // it is what the register shows meanwhile

	On    uuid.UUID `json:"-"` // the line to correct so that this version stands
	Field string    `json:"-"`
	Value string    `json:"-"` // JSON
}

// versions tells the two sides of a disagreement: two corrections of one
// field, two lines that each state a part of a capture, or two lines of one id.
func (w words) versions(d register.Disagreement) []Version {
	var out []Version
	for i, id := range d.Lines {
		v := Version{Line: id, Says: w.jsonWords(json.RawMessage(d.Values[i])), Shows: i == len(d.Lines)-1, Field: d.Field}
		v.On, v.Value = d.Lines[len(d.Lines)-1-i], "null" // the other line gives up its part
		if e, ok := w.Line(id); ok {
			v.Who, v.At = e.Who, w.clock(e.At(), record.Night{})
			switch c, ok := e.Body.(record.Correction); {
			case ok:
				v.On, v.Value = c.Line, d.Values[i]
			case d.Field == "": // twins: lines of one id
				v.On, v.Value = id, d.Values[i]
			}
		}
		out = append(out, v)
	}
	return out
}

// part is the name of a part of a capture in words: "/handled" is "processing".
func part(field string) string {
	name, ok := map[string]string{"/at": "where it was caught", "/bagged": "bag", "/handled": "processing", "/released": "release", "": "the whole line"}[field]
	if !ok {
		return strings.TrimPrefix(field, "/")
	}
	return name
}
