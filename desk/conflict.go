package desk

import (
	"cmp"
	"fmt"

	"dawnround/check"
	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// openParty finds what comes of several devices writing one notebook.
func (w words) openParty() []Item {
	var out []Item
	for _, f := range check.Party(w.Register) {
		flag := w.flag(f)
		if flag.Settled {
			continue
		}
		subject := f.Subject
		item := Item{Kind: LookAgain, Line: &subject, What: f.Says, Flag: &flag, Do: w.partyDo(f)}
		for _, id := range append([]uuid.UUID{f.Subject}, f.Beside...) {
			item.Both = append(item.Both, w.sideOf(id))
		}
		if e, ok := w.Line(subject); ok {
			if fork, ok := e.Now().(record.Fork); ok {
				item.Both = w.branches(fork)
			}
		}
		out = append(out, item)
	}
	return out
}

// partyDo says how such a thing is settled.
func (w words) partyDo(f record.Flag) string {
	switch f.Rule {
	case "after the lock":
		return "Look through the lines. Lock the trip again to take them in, or confirm that they stay out."
	case "one device at two places":
		return "Nothing is lost. Confirm once you know which machine goes on and which is put away."
	case "clock off", "clock a day ahead":
		return "Set that device’s clock, then confirm. Correct a time or a night by its line where it matters."
	case "device not admitted", "no leader's word":
		return "Open Devices on a leader’s machine."
	}
	return "Ask whoever let them in, then confirm."
}

// sideOf tells one line as one of two sides.
func (w words) sideOf(id uuid.UUID) Version {
	e, ok := w.Line(id)
	if !ok {
		return Version{Line: id, Says: w.saysLine(id)}
	}
	w = w.clockOf(e)
	return Version{Line: id, Says: w.saysLine(id), Who: e.Who, At: w.clock(e.At(), record.Night{})}
}

// branches tells where each branch of a forked device ends.
func (w words) branches(f record.Fork) []Version {
	var out []Version
	for _, b := range f.Branches {
		last, err := b.Last()
		if err != nil {
			continue // it could not be unpacked; verify tells
		}
		side := w.sideOf(last.ID)
		side.Says = fmt.Sprintf("up to line %d: %s", b.Head.Seq, side.Says)
		out = append(out, side)
	}
	return out
}

// bothOf tells a capture and those beside it that a flag is about.
func (w words) bothOf(f Flag, c *register.Capture) []Version {
	if len(f.beside) == 0 {
		return nil
	}
	out := []Version{w.captureSide(c)}
	for _, id := range f.beside {
		if o, ok := w.Capture(id); ok {
			out = append(out, w.captureSide(o))
		}
	}
	return out
}

// captureSide tells a capture by its last line.
func (w words) captureSide(c *register.Capture) Version {
	last := c.Lines[len(c.Lines)-1]
	v := w.sideOf(last)
	v.Says = w.at(c) + ", " + short(c.At.Night) + ": " + v.Says
	return v
}

// settledParty makes the line that settles a flag about devices.
func settledParty(w words, of uuid.UUID, key, how string) ([]record.Body, bool) {
	for _, x := range check.Party(w.Register) {
		if x.Subject == of && x.Key() == key {
			return []record.Body{record.FlagAct{Flag: key, Rule: x.Rule, Of: of, Act: record.FlagSettled, How: how, At: w.now.UTC()}}, true
		}
	}
	return nil, false
}

// saysParty is what the lines about devices, clocks, locks and forks say.
func (w words) saysParty(b record.Body) string {
	device := func(name string, id notebook.DeviceID) string {
		return cmp.Or(name, w.Member(id, notebook.DeviceID{}).Name, fmt.Sprintf("device %.8s…", id))
	}
	switch b := b.(type) {
	case record.Admitted:
		site := ""
		if b.Site != "" {
			site = ", coordinates of " + b.Site + " only"
		}
		return "admitted " + device(b.Name, b.Device) + " as " + string(b.Role) + site
	case record.ShutOut:
		return "shut out " + device("", b.Device) + ": " + b.Why
	case record.Lock:
		return joined(": ", "locked trip "+b.Trip+" at state "+b.State, b.Why)
	case record.Fork:
		if len(b.Branches) == 2 {
			h := b.Branches[0].Head
			return fmt.Sprintf("kept both branches of %s, to line %d and to line %d", device("", h.Device), h.Seq, b.Branches[1].Head.Seq)
		}
		return "kept the branches of a copied device"
	}
	return b.Kind()
}
