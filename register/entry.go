package register

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/record"

	"github.com/google/uuid"
)

// Entry is one line as the register holds it.
type Entry struct {
	ID     uuid.UUID
	Clock  notebook.Clock
	Device notebook.DeviceID
	Seq    uint64
	Who    string
	Kind   string
	Body   record.Body // as written; nil where this version cannot read it
	Err    error       // why it cannot be read

	Twins []*Entry // lines with the same id and other words, earlier by the clock

	now      record.Body // with its corrections; nil when struck or unreadable
	disagree []Disagreement
	sum      [sha256.Size]byte // of kind and body
}

// Disagreement is one field that two live lines state differently. The later
// one by the clock shows until somebody settles it.
type Disagreement struct {
	Field  string
	Lines  []uuid.UUID // in the order of the clock
	Values []string    // as JSON
}

// ReadLine makes the entry of a line. A line that cannot be read is kept as
// unread, with the reason. It may run for several lines at once.
func ReadLine(line notebook.Line) *Entry {
	e := &Entry{ID: line.ID, Clock: line.Clock, Device: line.Device, Seq: line.Seq, Who: line.Who, Kind: line.Kind}
	e.Body, e.Err = record.Read(line)
	h := sha256.New()
	h.Write([]byte(line.Kind))
	h.Write(line.Body)
	h.Sum(e.sum[:0])
	return e
}

// Now is what the line says with its corrections; nil when it is struck.
func (e *Entry) Now() record.Body { return e.now }

// At is the wall clock of the device that wrote the line.
func (e *Entry) At() time.Time { return e.Clock.Time() }

// compare orders entries by clock, then device and number.
func (e *Entry) compare(o *Entry) int {
	if c := e.Clock.Compare(o.Clock); c != 0 {
		return c
	}
	if c := bytes.Compare(e.Device[:], o.Device[:]); c != 0 {
		return c
	}
	if e.Seq != o.Seq {
		return map[bool]int{true: -1, false: 1}[e.Seq < o.Seq]
	}
	return bytes.Compare(e.ID[:], o.ID[:])
}

// join takes in another line with the same id, as when two laptops import one
// table apart. Equal words: the earliest copy stands. Other words: the latest
// shows, the others are twins.
func (e *Entry) join(o *Entry) {
	all := append(append([]*Entry{e.copy()}, e.Twins...), o)
	slices.SortStableFunc(all, (*Entry).compare)
	var kept []*Entry
	for _, x := range all {
		if !slices.ContainsFunc(kept, func(k *Entry) bool { return k.sum == x.sum }) {
			kept = append(kept, x)
		}
	}
	last := len(kept) - 1
	*e = *kept[last]
	e.Twins = kept[:last]
}

// copy is the entry without what was derived for it.
func (e *Entry) copy() *Entry {
	c := *e
	c.now, c.Twins, c.disagree = nil, nil, nil
	return &c
}

// live reports whether a line stands: not struck by a line that stands.
func (r *Register) live(id uuid.UUID, above ...uuid.UUID) bool {
	for _, s := range r.strikes[id] {
		if !slices.Contains(above, s.ID) && r.live(s.ID, append(above, id)...) {
			return false
		}
	}
	return true
}

// effective is the line's body with its live corrections, nil when struck.
func (r *Register) effective(e *Entry) record.Body {
	e.disagree = nil
	if e.Body == nil || !r.live(e.ID) {
		return nil
	}
	corrections := r.liveCorrections(e.ID)
	settled := slices.ContainsFunc(corrections, func(c *Entry) bool { return c.Body.(record.Correction).Field == "" })
	if len(e.Twins) > 0 && !settled {
		e.disagree = append(e.disagree, twinDisagreement(e))
	}
	if len(corrections) == 0 {
		return e.Body
	}
	body, err := json.Marshal(e.Body)
	if err != nil {
		return e.Body
	}
	for i, c := range corrections {
		b := c.Body.(record.Correction)
		next, err := setPointer(body, b.Field, b.Value)
		if err != nil {
			continue // a field this body does not have: the correction stays visible on the notebook page
		}
		body = next
		e.note(corrections[:i], c)
	}
	now, err := record.Read(notebook.Line{Format: notebook.Format, Kind: e.Kind, Body: body, ID: e.ID, Who: e.Who})
	if err != nil {
		return e.Body
	}
	return now
}

// liveCorrections are those that stand and that no other standing correction
// replaces, by the clock.
func (r *Register) liveCorrections(line uuid.UUID) []*Entry {
	replaced := map[uuid.UUID]bool{}
	var live []*Entry
	for _, c := range r.corrections[line] {
		if !r.live(c.ID) {
			continue
		}
		live = append(live, c)
		for _, id := range c.Body.(record.Correction).Replaces {
			replaced[id] = true
		}
	}
	return slices.DeleteFunc(live, func(c *Entry) bool { return replaced[c.ID] })
}

// note records where a correction states a field otherwise than the last
// earlier one of that field, or of a part within or around it.
func (e *Entry) note(earlier []*Entry, later *Entry) {
	told := map[string]bool{}
	for _, c := range slices.Backward(earlier) {
		if field := c.Body.(record.Correction).Field; !told[field] {
			told[field] = true
			if d, ok := disagreement(c, later); ok {
				e.disagree = append(e.disagree, d)
			}
		}
	}
}

// disagreement compares two corrections in the field that both state. One of a
// field within another's part that was made knowing what that part says goes
// on from it.
func disagreement(a, b *Entry) (Disagreement, bool) {
	ca, cb := a.Body.(record.Correction), b.Body.(record.Correction)
	field := ca.Field
	if within(cb.Field, ca.Field) {
		field = cb.Field
	} else if !within(ca.Field, cb.Field) {
		return Disagreement{}, false
	}
	was, now := stated(ca, field), stated(cb, field)
	if was == now || len(cb.Field) > len(ca.Field) && was == plainJSON(cb.Was) {
		return Disagreement{}, false
	}
	return Disagreement{Field: field, Lines: []uuid.UUID{a.ID, b.ID}, Values: []string{was, now}}, true
}

// within reports a field that is another or lies in it.
func within(field, part string) bool { return field == part || strings.HasPrefix(field, part+"/") }

// stated is what a correction of a part says of a field within it.
func stated(c record.Correction, field string) string {
	v, err := getPointer(c.Value, strings.TrimPrefix(field, c.Field))
	if err != nil || v == nil {
		return "null"
	}
	return string(v)
}

// plainJSON is a value as [stated] writes it.
func plainJSON(v json.RawMessage) string { return stated(record.Correction{Value: v}, "") }

func twinDisagreement(e *Entry) Disagreement {
	d := Disagreement{Field: ""}
	for _, t := range append(slices.Clone(e.Twins), e) {
		body, err := json.Marshal(t.Body)
		if err != nil {
			body = []byte(`""`)
		}
		d.Lines = append(d.Lines, t.ID)
		d.Values = append(d.Values, string(body))
	}
	return d
}

// Correct makes the correction that replaces a field of a line with a new
// value, naming what it was and the earlier corrections it replaces: those of
// the field and of fields within it. Value is marshalled as JSON; nil takes
// the field away.
func (r *Register) Correct(line uuid.UUID, field string, value any, why string) (record.Correction, error) {
	c := record.Correction{Line: line, Field: field, Why: why}
	e := r.entries[line]
	if e == nil || e.now == nil {
		return c, errNoLine(line)
	}
	body, err := json.Marshal(e.now)
	if err != nil {
		return c, err
	}
	if c.Was, err = getPointer(body, field); err != nil {
		return c, err
	}
	if c.Value, err = json.Marshal(value); err != nil {
		return c, err
	}
	corrected, err := setPointer(body, field, c.Value)
	if err != nil {
		return c, err
	}
	if _, err = record.Read(notebook.Line{Format: notebook.Format, Kind: e.Kind, Body: corrected, ID: e.ID, Who: e.Who}); err != nil {
		return c, fmt.Errorf("field %s to %s: %w; write it as the other lines have it", field, c.Value, err)
	}
	for _, old := range r.liveCorrections(line) {
		if within(old.Body.(record.Correction).Field, field) {
			c.Replaces = append(c.Replaces, old.ID)
		}
	}
	return c, nil
}
