package exchange

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// rowKinds are the kinds of line a row may become.
var rowKinds = []string{record.Capture{}.Kind(), record.Effort{}.Kind(), record.Setting{}.Kind()}

// changes gives the lines that bring the register to what the row says: its
// own line where it is new, corrections where it changed since it was
// imported, nothing where it is already there.
func (in *importing) changes(r *register.Register, d *draft, now line) (lines []line, corrected bool, err error) {
	if c, ok := now.body.(record.Capture); ok && in.own {
		if kept, known := r.Capture(c.Capture); known {
			return in.ownChanges(r, kept, c)
		}
	}
	e, known := r.Line(now.id)
	others := in.otherwise(r, d.key, now.body.Kind())
	switch {
	case !known:
		return append(others, now), len(others) > 0, nil
	case e.Now() == nil && !in.struckHere(r, now.id):
		return nil, false, nil // somebody struck it, and knows better
	case e.Now() == nil:
		for _, s := range r.Struck(now.id) {
			others = append(others, line{body: record.Strike{Line: s.ID, Why: in.why()}})
		}
		return others, true, nil
	}
	lines, err = in.corrections(r, e, now.body)
	return append(others, lines...), len(lines)+len(others) > 0, err
}

// why marks what an import changed.
func (in *importing) why() string { return "changed in " + in.m.Source }

// struckHere reports a line that only this import struck, since its row was
// something else for a while.
func (in *importing) struckHere(r *register.Register, id uuid.UUID) bool {
	return !slices.ContainsFunc(r.Struck(id), func(s *register.Entry) bool {
		b, ok := s.Body.(record.Strike)
		return !ok || b.Why != in.why()
	})
}

// otherwise strikes the lines of a row that was something else before: a
// capture that turns out to be a night without one.
func (in *importing) otherwise(r *register.Register, key, kind string) []line {
	var out []line
	for _, k := range rowKinds {
		if k == kind {
			continue
		}
		id := in.lineID(key, k)
		if e, known := r.Line(id); known && e.Now() != nil {
			out = append(out, line{body: record.Strike{Line: id, Why: in.why()}})
		}
	}
	return out
}

// byImport accepts the corrections that an import of this source made.
func (in *importing) byImport(e *register.Entry) bool {
	c, ok := e.Body.(record.Correction)
	return ok && c.Why == in.why()
}

// corrections gives what changed between what was imported last and the row.
// A row equal to what was imported last is already there, whatever a person
// corrected since; so is one equal to what the register says now.
func (in *importing) corrections(r *register.Register, e *register.Entry, now record.Body) ([]line, error) {
	want, err := json.Marshal(now)
	if err != nil {
		return nil, err
	}
	for _, told := range append(slices.Clone(e.Twins), e) {
		if same, err := sameJSON(told.Body, want); same && len(r.Corrected(e.ID)) == 0 || err != nil {
			return nil, err
		}
	}
	last, err := r.SaidBy(e.ID, in.byImport)
	if err != nil {
		return nil, err
	}
	for _, said := range []record.Body{last, e.Now()} {
		if same, err := sameJSON(said, want); same || err != nil {
			return nil, err
		}
	}
	return in.correct(r, e.ID, "", last, now)
}

// correct gives the corrections of a line that take each field in which two
// bodies differ to the second one.
func (in *importing) correct(r *register.Register, id uuid.UUID, within string, last, now any) ([]line, error) {
	fields, err := differences(last, now)
	if err != nil {
		return nil, err
	}
	var out []line
	for _, f := range fields {
		c, err := r.CorrectPart(id, within+f.pointer, f.value, in.why(), in.byImport)
		if err != nil {
			return nil, err
		}
		if bytes.Equal(c.Was, c.Value) || len(c.Was) == 0 && string(c.Value) == "null" {
			continue // a person has corrected it to the same already
		}
		words, err := json.Marshal(c)
		if err != nil {
			return nil, err
		}
		out = append(out, line{in.derive("correction", string(words)), c})
	}
	return out, nil
}

func sameJSON(b any, want []byte) (bool, error) {
	have, err := json.Marshal(b)
	return bytes.Equal(have, want), err
}

// A difference is one field and its new value; nil takes it away.
type difference struct {
	pointer string
	value   any
}

// differences gives the smallest fields in which two values differ as JSON,
// by JSON Pointer (RFC 6901). A list is one field.
func differences(a, b any) ([]difference, error) {
	va, err := plain(a)
	if err != nil {
		return nil, err
	}
	vb, err := plain(b)
	if err != nil {
		return nil, err
	}
	var out []difference
	compare("", va, vb, &out)
	slices.SortFunc(out, func(x, y difference) int { return strings.Compare(x.pointer, y.pointer) })
	return out, nil
}

func plain(v any) (out any, err error) {
	words, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("comparing with the row as imported before: %w", err)
	}
	return out, json.Unmarshal(words, &out)
}

var escape = strings.NewReplacer("~", "~0", "/", "~1")

func compare(pointer string, a, b any, out *[]difference) {
	ma, okA := a.(map[string]any)
	mb, okB := b.(map[string]any)
	if !okA || !okB {
		if !reflect.DeepEqual(a, b) {
			*out = append(*out, difference{pointer, b})
		}
		return
	}
	for k, v := range ma {
		compare(pointer+"/"+escape.Replace(k), v, mb[k], out)
	}
	for k, v := range mb {
		if _, both := ma[k]; !both {
			*out = append(*out, difference{pointer + "/" + escape.Replace(k), v})
		}
	}
}
