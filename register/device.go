package register

import (
	"bytes"
	"cmp"
	"maps"
	"slices"
	"time"

	"dawnround/notebook"
	"dawnround/record"
)

// Device is one device of the programme as the lines tell it.
type Device struct {
	ID      notebook.DeviceID
	Name    string      // as it was admitted, else as it calls itself
	Role    record.Role // empty: nobody whose word counts has admitted it
	Site    string      // it is given the coordinates of this site only; empty: of all
	Founder bool        // it began the notebook
	Lost    string      // why it is shut out; empty: it is not
	Since   time.Time   // of the line that says so, by the clock of its writer
}

// Admitted reports a device that may exchange lines.
func (d Device) Admitted() bool { return d.Role != "" && d.Lost == "" }

// Party gives every device that wrote, or of which a line says that it is
// admitted or shut out, by id. Only a leader's lines count: the device that
// began the notebook is one. Those of own, the device that asks, count there
// too, since whoever works at it decides whom it answers. A device that is shut
// out leads no more.
func (r *Register) Party(own notebook.DeviceID) []Device {
	at, _ := r.party(own)
	out := make([]Device, 0, len(at))
	for _, id := range slices.SortedFunc(maps.Keys(at), compareDevices) {
		out = append(out, *at[id])
	}
	return out
}

// party walks through the lines about devices; overruled are those that do not
// count, since no leader's device wrote them. A zero own trusts nobody beside
// the founder.
func (r *Register) party(own notebook.DeviceID) (at map[notebook.DeviceID]*Device, overruled []*Entry) {
	at = map[notebook.DeviceID]*Device{}
	of := func(id notebook.DeviceID) *Device {
		if at[id] == nil {
			at[id] = &Device{ID: id}
		}
		return at[id]
	}
	for _, e := range r.entries {
		of(e.Device)
	}
	if first := r.earliest("programme"); first != nil {
		founder := of(first.Device)
		founder.Role, founder.Founder = record.Leader, true
	}
	for _, e := range r.rights() {
		if by := of(e.Device); by.ID != own && (by.Role != record.Leader || by.Lost != "") {
			overruled = append(overruled, e)
			continue
		}
		switch b := e.now.(type) {
		case record.Admitted:
			d := of(b.Device)
			d.Name, d.Role, d.Site, d.Lost, d.Since = b.Name, b.Role, b.Site, "", e.At()
		case record.ShutOut:
			d := of(b.Device)
			d.Lost, d.Since = cmp.Or(b.Why, "no reason written"), e.At()
		}
	}
	for id, name := range r.Devices() {
		d := &Device{}
		if err := d.ID.UnmarshalText([]byte(id)); err == nil && at[d.ID] != nil {
			at[d.ID].Name = cmp.Or(at[d.ID].Name, name)
		}
	}
	return at, overruled
}

// Overruled gives the standing lines that admit a device or shut one out and
// do not count, since no leader's device wrote them.
func (r *Register) Overruled() []*Entry {
	_, overruled := r.party(notebook.DeviceID{})
	return overruled
}

func compareDevices(a, b notebook.DeviceID) int { return bytes.Compare(a[:], b[:]) }

// Member gives one device of the party as own sees it.
func (r *Register) Member(id, own notebook.DeviceID) Device {
	at, _ := r.party(own)
	if d := at[id]; d != nil {
		return *d
	}
	return Device{ID: id}
}

// rights are the standing lines that admit devices or shut them out, by the clock.
func (r *Register) rights() []*Entry {
	var out []*Entry
	for _, kind := range []string{"admitted", "shut-out"} {
		for _, list := range r.about[kind] {
			out = append(out, list...)
		}
	}
	slices.SortFunc(out, (*Entry).compare)
	return out
}

// earliest is the first standing line of a kind by the clock, nil where there is none.
func (r *Register) earliest(kind string) *Entry {
	var first *Entry
	for _, list := range r.about[kind] {
		if first == nil || list[0].compare(first) < 0 {
			first = list[0]
		}
	}
	return first
}

// Forks gives the lines by which both branches of a device written at two
// places were kept, by the clock.
func (r *Register) Forks() []*Entry {
	return slices.Clone(r.about[notebook.ForkKind][subject{}])
}

// LinesBy gives the first and the last line of a device that bear a time after
// since, by its own clock, and how many there are.
func (r *Register) LinesBy(device notebook.DeviceID, since time.Time) (first, last *Entry, n int) {
	for _, e := range r.entries {
		if e.Device != device || !e.At().After(since) {
			continue
		}
		n++
		if first == nil || e.Seq < first.Seq {
			first = e
		}
		if last == nil || e.Seq > last.Seq {
			last = e
		}
	}
	return first, last, n
}
