package desk

import (
	"fmt"
	"strings"

	"dawnround/page"
	"dawnround/record"

	"github.com/google/uuid"
)

// says is what a line says, in words. Its night tells which times need a date.
func (w words) says(b record.Body, night record.Night) string {
	switch b := b.(type) {
	case record.Capture:
		return w.saysCapture(b, night)
	case record.Setting, record.Round, record.RoundEnd, record.Closing, record.Check, record.Effort, record.Weather:
		return w.saysTraps(b, night)
	case record.Mother, record.Same, record.Apart:
		return w.saysIdentity(b)
	case record.Correction:
		return w.saysCorrection(b)
	case record.Strike:
		return "struck “" + w.saysLine(b.Line) + "”: " + b.Why
	case record.FlagAct:
		return spaced("flag", "“"+b.Rule+"”", "of", w.subject(b.Of.String())) + " " + joined(": ", b.Act, b.How)
	case record.Note:
		return "note on " + w.subject(b.On) + ": “" + b.Text + "”"
	case record.Attachment:
		return "photo of " + joined(": ", w.shows(b), b.Caption)
	case record.FollowUp:
		due := ""
		if !b.Due.IsZero() {
			due = " by " + b.Due.In(w.zone).Format("2 Jan 2006 15:04")
		}
		return "to do" + due + ", " + w.subject(b.On) + ": " + joined(" – ", b.What, b.Who)
	case record.Done:
		return "done: " + b.Result
	}
	return w.saysPlan(b)
}

// saysPlan is what the lines of the programme's book-keeping say.
func (w words) saysPlan(b record.Body) string {
	switch b := b.(type) {
	case record.Programme:
		return "notebook of " + b.Name + "; nights are told in " + b.Zone
	case record.Device:
		return "this device is called " + b.Name
	case record.ClockOffset:
		if name := w.Devices()[b.Of.String()]; name != "" {
			return "the clock of " + name + " was " + offset(b.Seconds) + ": " + b.Why
		}
		return "this device’s clock was " + offset(b.Seconds) + ": " + b.Why
	case record.Protocol:
		return "adopted protocol " + version(b.Version) + replaced(b.Replaces)
	case record.Person:
		return joined(", ", b.Initials, b.Name, b.Role)
	case record.Site:
		return "site " + joined(": ", b.Site, b.Name, b.Note)
	case record.Trap:
		return "trap " + joined(", ", trapAt(b.Site, b.Trap), b.Type, position(b), valid(b))
	case record.Trip:
		return "trip " + joined(", ", b.Trip, b.Name, strings.Join(b.Sites, " "), nights(b.First, b.Last), b.Leader, b.Outside)
	case record.Labels:
		return joined(" ", "labels", b.Series, b.Sample, "for", b.Team)
	case record.Curve:
		return "adopted a curve of " + joined(", ", b.Species, b.Trait, string(b.Sex), b.Why)
	case record.Tare:
		return "bag " + b.Bag + " weighs " + b.Mass.Typed + " g empty"
	}
	return w.saysParty(b)
}

func (w words) saysTraps(b record.Body, night record.Night) string {
	switch b := b.(type) {
	case record.Setting:
		out := fmt.Sprintf("set %s at %s", page.Count(len(b.Set), "trap", "traps"), b.Site)
		if len(b.Set) > 0 {
			out += " (" + traps(b.Set) + ")"
		}
		if !b.First.IsZero() {
			out += ", " + joined("–", w.clock(b.First, night), w.clock(b.Last, night))
		}
		for _, n := range b.Not {
			out += "; not set: " + joined(", ", n.Trap, n.Why)
		}
		return out
	case record.Round:
		return fmt.Sprintf("opened round %d at %s", b.Number, b.Site)
	case record.RoundEnd:
		round, _, _ := w.Round(b.Round)
		return fmt.Sprintf("ended round %d at %s", round.Number, round.Site)
	case record.Closing:
		return fmt.Sprintf("closed %s at %s (%s)", page.Count(len(b.Traps), "trap", "traps"), b.Site, traps(b.Traps))
	case record.Check:
		return "trap " + trapAt(b.Site, b.Trap) + ": " + joined(", ", string(b.Outcome), b.Why)
	case record.Effort:
		out := spaced(b.Site+":", "trapped", b.Trapped)
		if b.Traps > 0 {
			out += ", " + page.Count(b.Traps, "trap", "traps")
		}
		return joined("; ", out, b.Doubt)
	case record.Weather:
		out := []string{b.Site + " at " + b.At}
		if b.TempC != nil {
			out = append(out, b.TempC.Typed+" °C")
		}
		if b.RainMM != nil {
			out = append(out, "rain "+b.RainMM.Typed+" mm")
		}
		for _, s := range []string{b.Wind, b.Cloud, b.Source} {
			if s != "" {
				out = append(out, s)
			}
		}
		return strings.Join(out, ", ")
	}
	return b.Kind()
}

// saysCapture says the parts of a capture that one line states.
func (w words) saysCapture(c record.Capture, night record.Night) string {
	var out []string
	if c.At != nil {
		out = append(out, "caught at "+joined(", ", trapAt(c.At.Site, c.At.Trap), w.clock(c.At.Found, night), c.At.Doubt))
	}
	if c.Bagged != nil {
		bag := "bagged"
		if c.Bagged.Bag != "" {
			bag += " in bag " + c.Bagged.Bag
		}
		out = append(out, joined(", ", bag, w.clock(c.Bagged.At, night), c.Bagged.Species))
	}
	if c.Handled != nil {
		out = append(out, w.saysHandled(c.Handled, night))
	}
	if c.Released != nil {
		r := c.Released
		out = append(out, joined(", ", string(r.Fate), w.clock(r.At, night), r.Where, r.WithYoung, r.Behaviour, r.Why))
	}
	if name := w.subject(c.Capture.String()); name != "" {
		return name + ": " + strings.Join(out, "; ")
	}
	return strings.Join(out, "; ")
}

// saysHandled is the card in one sentence, in the order of the record.
func (w words) saysHandled(h *record.Handled, night record.Night) string {
	s := w.sheet(h.Species)
	out := []string{joined(", ", w.species(h.Species), string(h.Status), string(h.Sex), h.Stage)}
	for _, m := range h.Marks {
		out = append(out, markWords(m))
	}
	if h.Scan != "" {
		out = append(out, "chip: "+h.Scan)
	}
	if mass := weighing(h.Weighing); mass != "" {
		out = append(out, "mass "+mass)
	}
	for _, id := range sorted(h.Measures) {
		name, u := trait(s, id, false)
		out = append(out, name+" "+reading(h.Measures[id], u))
	}
	for _, id := range sorted(h.Signs) {
		out = append(out, signName(s, id, false)+" "+signValue(h.Signs[id]))
	}
	for i, y := range h.Young {
		out = append(out, fmt.Sprintf("young %d %s", i+1, w.youngRow(s, y)))
	}
	for _, f := range h.Findings {
		out = append(out, finding(f))
	}
	for _, x := range h.Samples {
		out = append(out, sample(x))
	}
	for _, x := range h.Incidents {
		out = append(out, joined(", ", x.Kind, x.Says, incidentSaid(x), x.Aid, x.Outcome))
	}
	if h.Notes != "" {
		out = append(out, "“"+h.Notes+"”")
	}
	if by := joined(" and ", h.Handler, h.Scribe); by != "" {
		out = append(out, "by "+by)
	}
	if when := joined("–", w.clock(h.Start, night), w.clock(h.End, night)); when != "" {
		out = append(out, when)
	}
	return joined("; ", out...)
}

func (w words) saysIdentity(b record.Body) string {
	switch b := b.(type) {
	case record.Mother:
		return w.subject(b.Of.String()) + " is young of " + w.subject(b.Mother.String()) + " " + parens(joined(": ", string(b.Sure), b.Evidence))
	case record.Same:
		return "the same animal: " + w.subjects(b.Of) + " (" + joined("; ", append(b.Evidence, string(b.Sure))...) + ")"
	case record.Apart:
		return "not the same: " + w.subjects(b.These) + " and " + w.subject(b.From.String()) + " (" + strings.Join(b.Evidence, "; ") + ")"
	}
	return b.Kind()
}

func (w words) saysCorrection(b record.Correction) string {
	f := w.fieldOf(b.Line, b.Field)
	return fmt.Sprintf("corrected %s: %s, was %s: %s", joined(" of ", f.Label, w.ofCapture(b.Line)), w.jsonWords(b.Value), w.jsonWords(b.Was), b.Why)
}

// ofCapture names the animal and night of a capture's line.
func (w words) ofCapture(line uuid.UUID) string {
	if e, ok := w.Line(line); ok {
		if b, ok := e.Body.(record.Capture); ok {
			if c, ok := w.Capture(b.Capture); ok {
				return w.name(c.Animal) + ", " + short(c.At.Night)
			}
		}
	}
	return ""
}

// saysLine is what another line says now, or said before it was struck.
func (w words) saysLine(id uuid.UUID) string {
	e, ok := w.Line(id)
	switch {
	case !ok:
		return "a line not here yet"
	case e.Now() != nil:
		return w.says(e.Now(), record.Night{})
	case e.Body != nil:
		return w.says(e.Body, record.Night{})
	}
	return "a line this version cannot read"
}

// subject is what a line is about: an animal's name where it is a capture or a
// young, else the words as they stand.
func (w words) subject(on string) string {
	id, err := uuid.Parse(on)
	if err != nil {
		return on
	}
	if animal, ok := w.AnimalOf(id); ok {
		return w.name(animal)
	}
	return ""
}

func (w words) subjects(ids []uuid.UUID) string {
	var out []string
	for _, id := range ids {
		name := w.subject(id.String())
		if c, ok := w.Capture(id); ok {
			name += " on " + short(c.At.Night)
		}
		out = append(out, name)
	}
	return page.List(out)
}

// offset is how wrong a clock was.
func offset(seconds int) string {
	if seconds < 0 {
		return fmt.Sprintf("%d s slow", -seconds)
	}
	return fmt.Sprintf("%d s fast", seconds)
}

// version is a protocol's version, short enough to read out.
func version(v string) string {
	if len(v) > 8 {
		return v[:8]
	}
	return v
}

func replaced(v string) string {
	if v == "" {
		return ""
	}
	return " in place of " + version(v)
}

func position(t record.Trap) string {
	if t.Lat == 0 && t.Lon == 0 {
		return ""
	}
	out := fmt.Sprintf("%.5f, %.5f %s", t.Lat, t.Lon, t.Datum)
	if t.ErrM > 0 {
		out += fmt.Sprintf(" ± %g m", t.ErrM)
	}
	return out
}

func valid(t record.Trap) string { return nights(t.From, t.To) }

// nights is a span of nights: "from 13 May 26", "13 May 26 – 16 May 26".
func nights(first, last record.Night) string {
	switch {
	case first.IsZero() && last.IsZero():
		return ""
	case last.IsZero():
		return "from " + short(first)
	case first.IsZero():
		return "to " + short(last)
	}
	return short(first) + " – " + short(last)
}
