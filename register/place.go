package register

import (
	"slices"
	"time"

	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// Programme is what the notebook's first line says of it.
func (r *Register) Programme() record.Programme {
	if e := r.latest("programme", subject{}); e != nil {
		return e.now.(record.Programme)
	}
	return record.Programme{}
}

// Zone is the time zone in which the programme's nights are told; UTC where
// nobody has named one that is known.
func (r *Register) Zone() *time.Location { return r.zone }

// tellZone takes the zone anew where its name has changed: the programme's
// own, else its protocol's.
func (r *Register) tellZone() {
	for _, name := range []string{r.Programme().Zone, r.protocol.Zone} {
		if name == r.zone.String() {
			return
		}
		if zone, err := time.LoadLocation(name); err == nil && name != "" {
			r.zone = zone
			return
		}
	}
	r.zone = time.UTC
}

// Protocol is the protocol in force; an empty one where none was adopted.
func (r *Register) Protocol() *protocol.Protocol { return r.protocol }

// Adoptions gives every adoption of a protocol, by the clock. Two that replace
// the same version are a question for the evening.
func (r *Register) Adoptions() []record.Protocol { return all[record.Protocol](r, subject{}) }

// AdoptionLines gives the standing lines that adopted a protocol, by the clock.
func (r *Register) AdoptionLines() []*Entry { return slices.Clone(r.about["protocol"][subject{}]) }

// RivalProtocols gives each two lines that adopted different protocols in place
// of the same one, the later second, unless a later adoption replaces either:
// whoever made that knew of them.
func (r *Register) RivalProtocols() [][2]*Entry {
	var out [][2]*Entry
	lines := r.AdoptionLines()
	for i, e := range lines {
		later := e.now.(record.Protocol)
		for _, d := range lines[:i] {
			sooner := d.now.(record.Protocol)
			rivals := sooner.Replaces == later.Replaces && sooner.Version != later.Version
			if rivals && !replaces(lines[i:], sooner.Version, later.Version) {
				out = append(out, [2]*Entry{d, e})
			}
		}
	}
	return out
}

// replaces reports an adoption in place of one of these versions.
func replaces(lines []*Entry, versions ...string) bool {
	return slices.ContainsFunc(lines, func(e *Entry) bool {
		return slices.Contains(versions, e.now.(record.Protocol).Replaces)
	})
}

// People gives the crew by initials.
func (r *Register) People() []record.Person { return standing[record.Person](r) }

// Devices gives the name of each device by its id.
func (r *Register) Devices() map[string]string {
	out := map[string]string{}
	for s, list := range r.about["device"] {
		out[s.a] = list[len(list)-1].now.(record.Device).Name
	}
	return out
}

// Sites gives the sites by code.
func (r *Register) Sites() []record.Site { return standing[record.Site](r) }

// Site gives one site.
func (r *Register) Site(code string) (record.Site, bool) {
	e := r.latest("site", subject{a: code})
	if e == nil {
		return record.Site{}, false
	}
	return e.now.(record.Site), true
}

// Traps gives the traps of a site that stand on a night, by name. Of two
// positions of one name the later begun stands. The zero night asks for the
// latest position of each trap that still stands.
func (r *Register) Traps(site string, night record.Night) []record.Trap {
	var out []record.Trap
	for _, t := range standing[record.Trap](r) { // by site, name and first night
		if t.Site != site || !night.IsZero() && (night.Before(t.From) || !t.To.IsZero() && t.To.Before(night)) {
			continue
		}
		if night.IsZero() && !t.To.IsZero() {
			continue
		}
		if n := len(out); n > 0 && out[n-1].Trap == t.Trap {
			out[n-1] = t
			continue
		}
		out = append(out, t)
	}
	return out
}

// AllTraps gives every position a trap ever had, by site, name and first night.
func (r *Register) AllTraps() []record.Trap { return standing[record.Trap](r) }

// Labels gives the reserved label series.
func (r *Register) Labels() []record.Labels { return standing[record.Labels](r) }

// Tares gives the latest mass of each empty bag.
func (r *Register) Tares() []record.Tare { return standing[record.Tare](r) }

// Notes gives the later remarks on a capture, young, trap or trip.
func (r *Register) Notes(on string) []record.Note { return all[record.Note](r, subject{a: on}) }

// FollowUps gives what was to be done, and the result where it was.
func (r *Register) FollowUps() []Task {
	var out []Task
	for _, f := range standing[record.FollowUp](r) {
		t := Task{FollowUp: f}
		if e := r.latest("done", subject{a: f.FollowUp.String()}); e != nil {
			d := e.now.(record.Done)
			t.Done = &d
		}
		out = append(out, t)
	}
	slices.SortStableFunc(out, func(a, b Task) int { return a.Due.Compare(b.Due) })
	return out
}

// Task is a follow-up and its result.
type Task struct {
	record.FollowUp
	Done *record.Done
}

// FlagActs gives what was done about one flag, by the clock: acts of their own
// lines, and those kept within the capture they concern.
func (r *Register) FlagActs(f record.Flag) []record.FlagAct {
	out := all[record.FlagAct](r, subject{a: f.Subject.String(), b: f.Key()})
	if c := r.captures[f.Subject]; c != nil && c.Handled != nil {
		for _, a := range c.Handled.Flags {
			if a.Flag == f.Key() {
				out = append(out, a)
			}
		}
	}
	return out
}

// Settled reports a flag that somebody settled.
func (r *Register) Settled(f record.Flag) bool {
	return slices.ContainsFunc(r.FlagActs(f), func(a record.FlagAct) bool { return a.Act == record.FlagSettled })
}

// LabelUse gives every capture at which a sample label was used.
func (r *Register) LabelUse(label string) []*Capture {
	var out []*Capture
	for id := range r.labelled[label] {
		out = append(out, r.captures[id])
	}
	slices.SortFunc(out, (*Capture).Compare)
	return out
}

// Unread counts the lines this version cannot read, by kind.
func (r *Register) Unread() map[string]int {
	out := map[string]int{}
	for _, e := range r.entries {
		if e.Body == nil {
			out[e.Kind]++
		}
	}
	return out
}

// Line gives one line.
func (r *Register) Line(id uuid.UUID) (*Entry, bool) {
	e, ok := r.entries[id]
	return e, ok
}
