package trapside

import (
	"maps"
	"slices"
	"strings"
	"time"

	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Finish completes a draft with what follows from the register: where it was
// caught, and, unless somebody said so, its species and status by its mark,
// who handles it, and the bounds of a counted class. Entries without words are left out.
func (d *Draft) Finish(r *register.Register, p *protocol.Protocol) {
	c := &d.Capture
	if kept, ok := r.Capture(c.Capture); ok {
		at := *kept.At // the register's own is not to be held
		c.At = &at
		if kept.Bagged != nil {
			bagged := *kept.Bagged
			c.Bagged = &bagged
		}
	}
	h := c.Handled
	if h == nil {
		h = &record.Handled{}
	}
	h.Marks = slices.DeleteFunc(h.Marks, func(m record.Mark) bool { return m.Text == "" })
	h.Samples = slices.DeleteFunc(h.Samples, func(s record.Sample) bool { return s.Label == "" })
	h.Incidents = slices.DeleteFunc(h.Incidents, func(i record.Incident) bool { return i.Kind == "" || i.Says == "" })
	for i := range h.Samples {
		h.Samples[i].Medium = named(h.Samples[i].Medium, mediumOf(p, h.Samples[i].Kind))
	}
	h.Young = d.young()
	if c.Released != nil {
		said := []string{d.Said["released/pouch"], d.Said["released/with_young"]}
		c.Released.WithYoung = strings.Join(slices.DeleteFunc(said, func(s string) bool { return s == "" }), ", ")
	}
	if h.Weighing != nil && *h.Weighing == (record.Weighing{}) {
		h.Weighing = nil
	}
	classes(h.Findings, p)
	if c.Handled != nil || len(d.rows) > 0 {
		c.Handled = h
		d.tell(r)
		d.stage(p)
		d.convention(p)
		if c.At != nil && h.Handler == "" && d.Said["handler"] == "" {
			h.Handler = lastHandler(r, c.At.Round)
		}
	}
}

// lastHandler is who handled the animal kept last in a round: the pair at the
// bench stays together until somebody says otherwise, and the card shows it.
func lastHandler(r *register.Register, round uuid.UUID) string {
	b, _, ok := r.Round(round)
	if !ok {
		return ""
	}
	var last record.Handled
	for _, o := range r.CapturesOn(b.Site, b.Night) {
		if h := o.Handled; h != nil && h.Handler != "" && o.At.Round == round && h.End.After(last.End) {
			last = *h
		}
	}
	return last.Handler
}

// young are the rows in order that have an id, and how sure it is that they
// are hers: attached, or in the pouch, is certain.
func (d *Draft) young() []record.Young {
	var out []record.Young
	for _, n := range sortedNumbers(d.rows) {
		y := *d.rows[n]
		if y.Young == uuid.Nil {
			continue
		}
		if y.Where == "" && y.Attached == "yes" {
			y.Where = "in pouch"
		}
		if y.Attached == "yes" || y.Where == "in pouch" {
			y.Sure = record.Certain
		} else if y.Where != "" {
			y.Sure = record.Likely
		}
		out = append(out, y)
	}
	return out
}

// classes turns a grade that is a counted class into that class with its
// bounds, which are kept with the value.
func classes(findings []record.Finding, p *protocol.Protocol) {
	for i := range findings {
		f := &findings[i]
		for _, c := range p.Findings.Classes {
			if f.Grade == c.ID {
				f.Class, f.Grade, f.Low, f.High = c.ID, "", &c.Low, c.High
			}
		}
	}
}

// tell fills species and status by the mark that was read.
func (d *Draft) tell(r *register.Register) {
	h, c := d.Capture.Handled, &d.Capture
	animal, known := bearer(r, *c)
	if known && h.Species == "" {
		if last := lastSpecies(animal); last != "" {
			h.Species, h.SpeciesBy = last, "by its mark"
		}
	}
	if h.Species == "" && c.Bagged != nil {
		h.Species = c.Bagged.Species
	}
	if h.Status != "" {
		return
	}
	switch {
	case known && onTrip(animal, *c):
		h.Status = record.Retrap
	case known:
		h.Status = record.Recapture
	case slices.ContainsFunc(h.Marks, func(m record.Mark) bool { return m.Act == record.MarkPut }):
		h.Status = record.New
	}
}

// bearer is the animal that the marks read on a capture speak for.
func bearer(r *register.Register, c record.Capture) (*register.Animal, bool) {
	if c.Handled == nil || c.At == nil {
		return nil, false
	}
	for _, m := range c.Handled.Marks {
		for _, species := range speciesOf(r, m, c.Handled.Species) {
			key, ok := r.MarkKey(m, species)
			if !ok || m.Act == record.MarkOld {
				continue
			}
			if id, ok := r.Bearer(key, m.Act, c.At.Night); ok {
				return r.Animal(id)
			}
		}
	}
	return nil, false
}

// speciesOf are the species a mark may speak within: the one that was said, or
// all in which the text was met.
func speciesOf(r *register.Register, m record.Mark, said string) []string {
	if said != "" {
		return []string{said}
	}
	species := []string{""}
	for _, k := range r.MarksReading(m.Text) {
		if k.Kind == m.Kind && k.Species != "" {
			species = append(species, k.Species)
		}
	}
	return species
}

func lastSpecies(a *register.Animal) string {
	for _, c := range slices.Backward(a.Captures) {
		if s := c.Species(); s != "" {
			return s
		}
	}
	return ""
}

// onTrip tells whether an animal was caught earlier on the capture's trip.
func onTrip(a *register.Animal, c record.Capture) bool {
	return slices.ContainsFunc(a.Captures, func(o *register.Capture) bool {
		return o.ID() != c.Capture && o.At.Trip == c.At.Trip && c.At.Trip != ""
	})
}

// stage holds the stage against the species' sheet: another word is wrong, and
// stays as it was said.
func (d *Draft) stage(p *protocol.Protocol) {
	h := d.Capture.Handled
	sheet, ok := p.Sheet(h.Species)
	if !ok || h.Stage == "" || len(sheet.Stages) == 0 {
		return
	}
	var ids []string
	for _, s := range sheet.Stages {
		ids = append(ids, s.ID)
	}
	if !slices.Contains(ids, h.Stage) {
		d.Wrong["stage"] = notOneOf(h.Stage, ids).Error()
		h.Stage = ""
	}
}

// convention keeps beside each reading how it was measured.
func (d *Draft) convention(p *protocol.Protocol) {
	h := d.Capture.Handled
	sheet, ok := p.Sheet(h.Species)
	if !ok {
		return
	}
	h.Species = sheet.Code
	conventions(h.Measures, sheet.Trait)
	for i := range h.Young {
		conventions(h.Young[i].Measures, sheet.YoungTrait)
	}
}

func conventions(measures map[string]record.Reading, trait func(string) (*protocol.Trait, bool)) {
	for id, m := range measures {
		base, by, _ := strings.Cut(id, ".")
		if t, ok := trait(base); ok && m.Is() == record.Seen {
			m.Convention = t.Convention
			if by != "" && !t.Sided {
				m.Convention = by // a reading by another convention stands beside the sheet's
			}
			measures[id] = m
		}
	}
}

// began is when the processing began: at the first thing read, measured or
// seen, for the species may be told while it still hangs in its bag; the zero
// time where there is none.
func (d *Draft) began() time.Time {
	for _, i := range record.Standing(d.Steps) {
		head, _, _ := strings.Cut(d.Steps[i].Field, "/")
		if slices.Contains([]string{"marks", "scan", "measures", "weighing", "sex", "stage", "signs", "young", "findings", "samples"}, head) {
			return d.Steps[i].At
		}
	}
	return time.Time{}
}

func unreadMark(typed string) string {
	if _, err := mark.ParseTransponder(typed); err != nil {
		return err.Error()
	}
	return typed
}

// sortedNumbers are row numbers in their order.
func sortedNumbers[V any](rows map[string]V) []string {
	return slices.SortedFunc(maps.Keys(rows), record.Naturally)
}
