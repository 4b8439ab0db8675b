package demo

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"

	"github.com/google/uuid"
)

// pen gathers the lines of some days and keeps them in the order of their
// clock, whoever wrote them.
type pen struct {
	programme *programme.Programme
	clock     *Clock
	ids       chance
	lines     []written
	err       error
}

type written struct {
	at    time.Time
	body  record.Body
	entry notebook.Entry
}

// write has a line written at a moment, and gives its id.
func (p *pen) write(at time.Time, who string, b record.Body) uuid.UUID {
	e, err := record.Entry(who, b)
	if err != nil && p.err == nil {
		p.err = err
	}
	e.ID = p.ids.id(at)
	p.lines = append(p.lines, written{at, b, e})
	return e.ID
}

// correct has one field of a line corrected; nil where nothing stood there.
func (p *pen) correct(at time.Time, who string, line uuid.UUID, field string, was, value any, why string) uuid.UUID {
	c := record.Correction{Line: line, Field: field, Value: asJSON(value), Why: why}
	if was != nil {
		c.Was = asJSON(was)
	}
	return p.write(at, who, c)
}

func asJSON(v any) json.RawMessage {
	b, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("demo: %v as JSON: %v", v, err)) // plain words and numbers only
	}
	return b
}

// keep takes what was gathered for the time until a moment through the
// ordinary door; what is for later waits.
func (p *pen) keep(until time.Time) error {
	if p.err != nil {
		return p.err
	}
	slices.SortStableFunc(p.lines, func(a, b written) int { return cmp.Compare(a.at.UnixMilli(), b.at.UnixMilli()) })
	n := 0
	for n < len(p.lines) && !p.lines[n].at.After(until) {
		n++
	}
	entries := make([]notebook.Entry, n)
	p.clock.due = p.clock.due[:0]
	for i, l := range p.lines[:n] {
		entries[i] = l.entry
		p.clock.due = append(p.clock.due, l.at)
	}
	p.lines = slices.Clone(p.lines[n:])
	return p.programme.KeepBatch(entries)
}
