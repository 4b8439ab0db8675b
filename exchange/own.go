package exchange

import (
	_ "embed"
	"slices"
	"strings"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// ownSource is the name of the mapping for the table that [WriteCaptures]
// gives, and of its source.
const ownSource = "own"

//go:embed own.yaml
var ownMapping []byte

// Shipped gives a mapping that comes with the program, by its name: "own" is
// for the table of captures that an export gives.
func Shipped(name string) (*Mapping, bool) {
	if name != ownSource {
		return nil, false
	}
	m, err := ParseMapping("own.yaml", ownMapping)
	if err != nil {
		panic(err)
	}
	return m, true
}

// asKept gives the fields that a capture of the register has in this table.
func (in *importing) asKept(r *register.Register, kept *register.Capture) []string {
	if in.ownColumns == nil {
		in.ownColumns = columnsByName(captureColumns(r, Places{}))
	}
	fields := make([]string, len(in.header))
	for i, name := range in.header {
		if c, ok := in.ownColumns[name]; ok {
			fields[i] = c.cell(kept)
		}
	}
	return fields
}

// untouched reports a row of our own table that nobody changed since it went
// out, in all that is read back.
func (in *importing) untouched(r *register.Register, row row, d *draft) bool {
	kept, known := r.Capture(d.capture)
	if !in.own || !known || len(row.fields) != len(in.header) {
		return false
	}
	fields := in.asKept(r, kept)
	return !slices.ContainsFunc(in.columns, func(l laid) bool { return l.c.Is != "nothing" && row.fields[l.at] != fields[l.at] })
}

// ownChanges gives the corrections that take a capture of the register to what
// a row of an exported table says. What the table does not hold is not touched.
func (in *importing) ownChanges(r *register.Register, kept *register.Capture, now record.Capture) ([]line, bool, error) {
	last, ok := in.line(in.read(row{fields: in.asKept(r, kept)})).body.(record.Capture)
	if !ok {
		return nil, false, nil
	}
	var out []line
	for _, p := range []struct {
		pointer   string
		last, now any
	}{{"/at", last.At, now.At}, {"/handled", last.Handled, now.Handled}, {"/released", last.Released, now.Released}} {
		lines, err := in.ownPart(r, kept, p.pointer, p.last, p.now, now)
		if err != nil {
			return nil, false, err
		}
		out = append(out, lines...)
	}
	return out, len(out) > 0, nil
}

// ownPart corrects one part of a capture in the latest line that states it. A
// part that no line states yet is a line of its own.
func (in *importing) ownPart(r *register.Register, kept *register.Capture, pointer string, last, now any, row record.Capture) ([]line, error) {
	changed, err := differences(last, now)
	if err != nil || len(changed) == 0 {
		return nil, err
	}
	for i := len(kept.Lines) - 1; i >= 0; i-- {
		e, _ := r.Line(kept.Lines[i])
		switch b := e.Now().(type) {
		case record.Capture:
			if states(b, pointer) {
				return in.correct(r, e.ID, pointer, last, now)
			}
		case record.Check:
			if pointer == "/at" {
				return in.correct(r, e.ID, "", asCheck(last), asCheck(now))
			}
		}
	}
	part := record.Capture{Capture: row.Capture}
	switch pointer {
	case "/at":
		part.At = row.At
	case "/handled":
		part.Handled = row.Handled
	case "/released":
		part.Released = row.Released
	}
	return []line{{in.derive("line", ownSource, row.Capture.String(), pointer), part}}, nil
}

func states(c record.Capture, pointer string) bool {
	return pointer == "/at" && c.At != nil || pointer == "/handled" && c.Handled != nil || pointer == "/released" && c.Released != nil
}

// asCheck gives a spot the names its fields have in a trap check.
func asCheck(spot any) any {
	s, ok := spot.(*record.Spot)
	if !ok || s == nil {
		return map[string]any{}
	}
	return map[string]any{"trip": s.Trip, "site": s.Site, "night": s.Night.String(), "trap": s.Trap, "at": s.Found}
}

func columnsByName(columns []column) map[string]column {
	out := map[string]column{}
	for _, c := range columns {
		out[c.name] = c
	}
	return out
}

// several joins texts of one kind of mark in one field.
func several(texts []string) string { return strings.Join(texts, "; ") }

// idText is an id, or nothing where there is none.
func idText(id uuid.UUID) string {
	if id == uuid.Nil {
		return ""
	}
	return id.String()
}
