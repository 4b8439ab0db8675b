package register

import (
	"cmp"
	"encoding/json"
	"reflect"
	"slices"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// Capture is one capture put together from its lines.
type Capture struct {
	record.Capture             // its parts; At is never nil
	Animal         uuid.UUID   // whose capture it is
	Lines          []uuid.UUID // the lines that state it, by the clock
	Who            []string    // who wrote them, in the same order
	Written        time.Time   // wall clock of the first line
	Disagree       []Disagreement

	marks []MarkKey // the marks that link it, each once
}

// Capture gives a capture by its id.
func (r *Register) Capture(id uuid.UUID) (*Capture, bool) {
	c, ok := r.captures[id]
	return c, ok
}

// Captures gives every capture, as [Capture.Compare] orders them.
func (r *Register) Captures() []*Capture {
	out := make([]*Capture, 0, len(r.captures))
	for _, c := range r.captures {
		out = append(out, c)
	}
	slices.SortFunc(out, (*Capture).Compare)
	return out
}

// CapturesOn gives the captures of one site and night, by time.
func (r *Register) CapturesOn(site string, night record.Night) []*Capture {
	out := slices.Clone(r.nights[subject{a: site, b: night.String()}])
	slices.SortFunc(out, (*Capture).Compare)
	return out
}

// Compare orders captures by night and the time of finding. Where no time
// tells them apart, a fate that ends a life comes last, and rows of tables
// stand by their source and key; only then the id decides.
func (c *Capture) Compare(o *Capture) int {
	return cmp.Or(
		c.At.Night.Compare(o.At.Night),
		c.Time().Compare(o.Time()),
		cmp.Compare(c.ends(), o.ends()),
		record.Naturally(c.source().File, o.source().File),
		record.Naturally(c.source().Row, o.source().Row),
		compareIDs(c.ID(), o.ID()),
	)
}

// ends is 1 for a capture that the animal did not survive.
func (c *Capture) ends() int {
	if c.Released != nil && c.Released.Fate.Ends() {
		return 1
	}
	return 0
}

// source is the row the capture was read from, the zero one where it was
// written at the trap.
func (c *Capture) source() record.Source {
	if c.From == nil {
		return record.Source{}
	}
	return *c.From
}

// ID is the capture's id.
func (c *Capture) ID() uuid.UUID { return c.Capture.Capture }

// Time is when the animal was first met: found, bagged, handled or released.
// It is the zero time where nobody wrote one.
func (c *Capture) Time() time.Time {
	if !c.At.Found.IsZero() {
		return c.At.Found
	}
	if c.Bagged != nil && !c.Bagged.At.IsZero() {
		return c.Bagged.At
	}
	if c.Handled != nil && !c.Handled.Start.IsZero() {
		return c.Handled.Start
	}
	if c.Released != nil {
		return c.Released.At
	}
	return time.Time{}
}

// Species is the species as handled, else the first impression at the bag.
func (c *Capture) Species() string {
	if c.Handled != nil && c.Handled.Species != "" {
		return c.Handled.Species
	}
	if c.Bagged != nil {
		return c.Bagged.Species
	}
	return ""
}

// Open reports a capture that was bagged or found and never released.
func (c *Capture) Open() bool { return c.Released == nil && c.From == nil }

// putTogether makes a capture anew from its live lines and enters it in the
// indexes.
func (r *Register) putTogether(id uuid.UUID) {
	old := r.captures[id]
	if old != nil {
		r.leave(old)
	}
	if len(r.parts[id]) == 0 {
		delete(r.parts, id)
		delete(r.captures, id)
		r.dirtyNodes[id] = true
		return
	}
	c := &Capture{Capture: record.Capture{Capture: id}}
	for _, e := range r.parts[id] {
		c.state(e)
	}
	if c.At == nil {
		c.At = &record.Spot{}
	}
	r.captures[id] = c
	r.enter(c)
}

// state adds what one line says of the capture. Where two lines state one
// part differently the later shows, and the disagreement is kept.
func (c *Capture) state(e *Entry) {
	if len(c.Lines) == 0 {
		c.Written = e.At()
	}
	switch b := e.now.(type) {
	case record.Check:
		part(c, &c.At, &record.Spot{
			Trip: b.Trip, Site: b.Site, Night: b.Night, Round: b.Round, Trap: b.Trap, Found: b.At,
		}, "/at", e)
	case record.Capture:
		part(c, &c.At, b.At, "/at", e)
		part(c, &c.Bagged, b.Bagged, "/bagged", e)
		part(c, &c.Handled, b.Handled, "/handled", e)
		part(c, &c.Released, b.Released, "/released", e)
		if b.From != nil {
			c.From = b.From
		}
	}
	c.Lines = append(c.Lines, e.ID)
	c.Who = append(c.Who, e.Who)
	c.Disagree = append(c.Disagree, e.disagree...)
}

// part sets one part of a capture.
func part[P any](c *Capture, have **P, said *P, field string, e *Entry) {
	if said == nil {
		return
	}
	if *have != nil && !reflect.DeepEqual(*have, said) {
		c.Disagree = append(c.Disagree, Disagreement{
			Field: field, Lines: []uuid.UUID{c.Lines[len(c.Lines)-1], e.ID}, Values: []string{asJSON(*have), asJSON(said)},
		})
	}
	*have = said
}

func asJSON(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

// enter puts a capture into the indexes by night, mark and young.
func (r *Register) enter(c *Capture) {
	id := c.ID()
	s := subject{a: c.At.Site, b: c.At.Night.String()}
	r.nights[s] = append(r.nights[s], c)
	r.spent(c.At.Trip, c.At.Site, c.At.Night, +1)
	r.dirtyNodes[id] = true
	c.marks = r.markKeys(c)
	for _, k := range c.marks {
		r.bear(k, id)
	}
	for _, y := range c.young() {
		join(r.rows, y.Young, id)
		r.dirtyNodes[y.Young] = true
	}
	for _, s := range c.samples() {
		join(r.labelled, s.Label, id)
	}
}

// leave takes a capture out of the indexes it was entered in.
func (r *Register) leave(c *Capture) {
	id := c.ID()
	r.spent(c.At.Trip, c.At.Site, c.At.Night, -1)
	s := subject{a: c.At.Site, b: c.At.Night.String()}
	if r.nights[s] = slices.DeleteFunc(r.nights[s], func(o *Capture) bool { return o == c }); len(r.nights[s]) == 0 {
		delete(r.nights, s)
	}
	for _, k := range c.marks {
		r.unbear(k, id)
	}
	for _, y := range c.young() {
		unjoin(r.rows, y.Young, id)
		r.dirtyNodes[y.Young] = true
	}
	for _, s := range c.samples() {
		unjoin(r.labelled, s.Label, id)
	}
}

// join and unjoin keep a set of captures for each key of an index.
func join[K comparable](index map[K]map[uuid.UUID]bool, k K, capture uuid.UUID) {
	if index[k] == nil {
		index[k] = map[uuid.UUID]bool{}
	}
	index[k][capture] = true
}

func unjoin[K comparable](index map[K]map[uuid.UUID]bool, k K, capture uuid.UUID) {
	if delete(index[k], capture); len(index[k]) == 0 {
		delete(index, k)
	}
}

// young are the rows for young of the animal in hand.
func (c *Capture) young() []record.Young {
	if c.Handled == nil {
		return nil
	}
	return c.Handled.Young
}

// samples are the specimens taken at a capture.
func (c *Capture) samples() []record.Sample {
	if c.Handled == nil {
		return nil
	}
	return c.Handled.Samples
}
