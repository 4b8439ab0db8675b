package register

import (
	"encoding/json"
	"fmt"

	"dawnround/notebook"
	"dawnround/record"

	"github.com/google/uuid"
)

// SaidBy is what a line says with only some of its corrections, in the order
// of the clock: what an import last said, whatever a person corrected since.
// Struck corrections are left out. The error is of a line that is not here or
// cannot be read.
func (r *Register) SaidBy(line uuid.UUID, by func(*Entry) bool) (record.Body, error) {
	e := r.entries[line]
	if e == nil || e.Body == nil {
		return nil, errNoLine(line)
	}
	body, err := json.Marshal(e.Body)
	if err != nil {
		return nil, err
	}
	for _, c := range r.corrections[line] {
		if !r.live(c.ID) || !by(c) {
			continue
		}
		b := c.Body.(record.Correction)
		if next, err := setPointer(body, b.Field, b.Value); err == nil {
			body = next
		}
	}
	said, err := record.Read(notebook.Line{Format: notebook.Format, Kind: e.Kind, Body: body, ID: e.ID, Who: e.Who})
	if err != nil {
		return nil, fmt.Errorf("line %s with the corrections asked for: %w", line, err)
	}
	return said, nil
}

// CorrectPart makes the correction that replaces a field of a line as
// [Register.Correct] does, but strikes only those earlier corrections that by
// accepts, among them those of fields within this one. Another person's
// correction stays and the two are a disagreement.
func (r *Register) CorrectPart(line uuid.UUID, field string, value any, why string, by func(*Entry) bool) (record.Correction, error) {
	c, err := r.Correct(line, field, value, why)
	if err != nil {
		return c, err
	}
	c.Replaces = nil
	for _, old := range r.liveCorrections(line) {
		if by(old) && within(old.Body.(record.Correction).Field, field) {
			c.Replaces = append(c.Replaces, old.ID)
		}
	}
	return c, nil
}
