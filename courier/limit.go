package courier

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"dawnround/notebook"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// A device may be given the coordinates of one site only. Of lines that hold
// others it is told only their place in the chain (notebook.Line.Withheld):
// positions of traps of other sites, corrections of such lines, protocols whose
// seeds hold them, and branches of forked devices, which may hold anything.
//
// What people type in notes and reasons is not looked at, nor are columns of
// imported tables that have no place of their own: those are withheld whole.

// limited reports a device that is itself given the coordinates of one site
// only. It passes on no lines but its own, since it may not hold them whole.
func (s Side) limited() bool { return s.site() != "" }

// site is the one of which this device is given the coordinates; empty: of all.
func (s Side) site() string {
	return cmp.Or(s.Site, s.member(s.Programme.Notebook().Device()).Site)
}

// withhold replaces the lines of a parcel that a device limited to a site may
// not read; no site: it may read all. Its own it has written itself.
func (s Side) withhold(p *Parcel, site string, device notebook.DeviceID) {
	if site == "" {
		return
	}
	for i, l := range p.Lines {
		if l.Device == device || l.Kind == notebook.WithheldKind {
			continue
		}
		if body, err := record.Read(l); err != nil || s.holds(body, site) { // what nobody here can read may hold anything
			p.Lines[i] = l.Withheld()
		}
	}
}

// holds reports a body with coordinates of another site.
func (s Side) holds(body record.Body, site string) bool {
	switch b := body.(type) {
	case record.Trap:
		return b.Site != site && (b.Lat != 0 || b.Lon != 0)
	case record.Protocol:
		return seedsElsewhere(b, site)
	case record.Fork:
		return true
	case record.Capture:
		return b.Handled != nil && len(b.Handled.Unread) > 0 && s.siteOf(b) != site
	case record.Correction:
		return s.corrects(b, site)
	}
	return false
}

// siteOf is where a capture was, by all its lines.
func (s Side) siteOf(b record.Capture) (site string) {
	s.Programme.View(func(r *register.Register) {
		if c, ok := r.Capture(b.Capture); ok {
			site = c.At.Site
		}
	})
	return site
}

// places are the fields in which a line can hold coordinates.
var places = []string{"/lat", "/lon", "/text", "/handled/unread"}

// corrects reports a correction of a line that is itself withheld; of one that
// is not here yet, a correction of such a field.
func (s Side) corrects(b record.Correction, site string) (held bool) {
	var line record.Body
	s.Programme.View(func(r *register.Register) {
		if e, ok := r.Line(b.Line); ok {
			line = e.Body
		}
	})
	if line != nil {
		return s.holds(line, site)
	}
	return b.Field == "" || b.Field == "/handled" || slices.ContainsFunc(places, func(f string) bool { return strings.HasPrefix(b.Field, f) })
}

// Limits says why a device cannot be limited to a site now, or nothing. It
// cannot where the protocol in force tells the places of other sites among its
// seeds, since the device needs the protocol.
func Limits(r *register.Register, site string) error {
	lines := r.AdoptionLines()
	if site == "" || len(lines) == 0 || !seedsElsewhere(lines[len(lines)-1].Now().(record.Protocol), site) {
		return nil
	}
	return fmt.Errorf("site %s only: the protocol in force tells the places of other sites among its seeds; adopt it once more without them, since they are lines by now", site)
}

// seedsElsewhere reports a protocol whose text holds coordinates of another
// site than this one.
func seedsElsewhere(b record.Protocol, site string) bool {
	p, err := protocol.Parse("the protocol", []byte(b.Text))
	if err != nil {
		return true
	}
	for _, place := range p.Seeds.Sites {
		if place.Site != site && len(place.Traps) > 0 {
			return true
		}
	}
	return false
}
