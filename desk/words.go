package desk

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dawnround/mark"
	"dawnround/notebook"
	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// words says things of one register in the programme's own zone and terms.
type words struct {
	*register.Register
	zone *time.Location
	now  time.Time
	here func(notebook.Blob) bool // tells whether a picture's bytes are here; nil where nobody looks
	fast time.Duration            // by how much the clock was fast whose times are being told
}

func wordsOf(r *register.Register, now time.Time) words {
	zone := r.Zone()
	return words{Register: r, zone: zone, now: now.In(zone)}
}

// clockOf tells the times of a line with the clock of its device put right, as
// far as lines say by how much it was off. The times of a table are the table's.
func (w words) clockOf(e *register.Entry) words {
	if c, ok := e.Body.(record.Capture); !ok || c.From == nil {
		w.fast = w.Offset(e.Device, e.At())
	}
	return w
}

// clock is the time of day; with its date where that is neither the night's
// evening nor the morning after.
func (w words) clock(t time.Time, night record.Night) string {
	if t.IsZero() {
		return ""
	}
	t = t.Add(-w.fast).In(w.zone)
	if on := record.NightOf(t); !night.IsZero() && (on == night || on == night.Add(1)) {
		return t.Format("15:04")
	}
	return t.Format("2 Jan 2006 15:04")
}

// name is how an animal is called: the tail of the mark that speaks for it
// now, or what is known of an unmarked one.
func (w words) name(id uuid.UUID) string {
	a, ok := w.Animal(id)
	if !ok {
		return "an animal not in this notebook"
	}
	return w.nameOf(a)
}

func (w words) nameOf(a *register.Animal) string {
	if m, ok := w.CalledBy(a); ok {
		return page.Tail(m.Text)
	}
	if len(a.Captures) > 0 {
		c := a.Captures[0]
		return "unmarked, " + spot(c) + ", " + short(c.At.Night)
	}
	if len(a.Rows) > 0 {
		return "young of " + w.name(a.Rows[0].Mother.ID()) + ", " + short(a.Rows[0].Mother.At.Night)
	}
	return "unmarked"
}

func spot(c *register.Capture) string { return trapAt(c.At.Site, c.At.Trap) }

// trapAt names a trap of a site; a name that is the site's letters and a number
// says both, where 11 may be trap 1 of site 1.
func trapAt(site, trap string) string {
	if rest, ok := strings.CutPrefix(trap, site); ok && site != "" && !number(site[len(site)-1:]) && rest != "" && number(rest[:1]) {
		return trap
	}
	return spaced(site, trap)
}

// short is a night as a table has it: "13 May 26".
func short(n record.Night) string {
	if n.IsZero() {
		return "night not stated"
	}
	return n.Noon(time.UTC).Format("2 Jan 06")
}

// sheet is the species sheet, an empty one for a species the protocol lacks.
func (w words) sheet(species string) *protocol.Sheet {
	if s, ok := w.Protocol().Sheet(species); ok {
		return s
	}
	return &protocol.Sheet{Code: species, Name: species}
}

// bycatch tells a capture of a species that is not studied.
func (w words) bycatch(c *register.Capture) bool { return w.sheet(c.Species()).Bycatch }

// species is its name in the protocol, else the word that was written.
func (w words) species(code string) string {
	if s := w.sheet(code); s.Name != "" {
		return s.Name
	}
	return code
}

// trait gives name and unit of a measure by the key it is kept under.
func trait(s *protocol.Sheet, key string, young bool) (name, unit string) {
	id, side, _ := strings.Cut(key, ".")
	t, ok := s.Trait(id)
	if young {
		t, ok = s.YoungTrait(id)
	}
	name = id
	if ok {
		name, unit = t.Name, t.Unit
		if name == "" {
			name = id
		}
	}
	if side != "" {
		name += " " + side
	}
	return name, unit
}

// unit is a UCUM code as people write it.
func unit(code string) string {
	switch code {
	case "Cel":
		return "°C"
	case "1", "":
		return ""
	}
	return code
}

func signName(s *protocol.Sheet, id string, young bool) string {
	g, ok := s.Sign(id)
	if young {
		g, ok = s.YoungSign(id)
	}
	if ok && g.Name != "" {
		return g.Name
	}
	return id
}

// reading is a measure in words: "61.8 mm", "not checked: wriggling".
func reading(r record.Reading, ucum string) string {
	if r.Is() != record.Seen {
		return state(r.State, r.Why)
	}
	out := strings.TrimSpace(r.Typed + " " + unit(ucum))
	for _, q := range r.Again {
		out += ", again " + q.Typed
	}
	if r.Roughly {
		out = "about " + out
	}
	if r.Damaged {
		out += ", damaged"
	}
	return out
}

func signValue(s record.Sign) string {
	if s.Is() != record.Seen {
		return state(s.State, s.Why)
	}
	if s.How != "" {
		return s.Value + " (" + s.How + ")"
	}
	return s.Value
}

// state says what stands in place of a value.
func state(s record.State, why string) string {
	out := string(s)
	if s == record.Unknown {
		out = "unknown"
	}
	if why != "" {
		out += ": " + why
	}
	return out
}

func finding(f record.Finding) string {
	parts := []string{f.Side, f.Part}
	if f.State == record.NoneSeen || f.State == record.NotChecked {
		parts = []string{"no", f.Sign, "on", f.Side, f.Part}
		if f.State == record.NotChecked {
			parts = []string{f.Side, f.Part, f.Sign, state(f.State, f.Why)}
		}
	} else {
		parts = append(parts, f.Sign, f.Grade, f.Class)
		if f.Count != nil {
			parts = append(parts, fmt.Sprint(*f.Count))
		}
	}
	if f.Notes != "" {
		parts = append(parts, "“"+f.Notes+"”")
	}
	return spaced(parts...)
}

func sample(s record.Sample) string {
	return spaced(s.Kind, s.Side, s.Part, s.Amount, s.Medium, s.Label)
}

func markWords(m record.Mark) string {
	act := map[record.MarkAct]string{record.MarkPut: "put on", record.MarkGone: "gone", record.MarkOld: "earlier mark"}[m.Act]
	return spaced(m.Kind, m.Text, act, m.Side, m.Part, m.State, m.How)
}

// weighing shows how a net mass came about: "965 g (1065 − 100)".
func weighing(w *record.Weighing) string {
	net, ok := w.NetMilli()
	if !ok {
		return ""
	}
	out := page.Grams(net)
	bag := w.Bag
	if w.BagAfter != nil {
		bag = w.BagAfter
	}
	if w.Gross != nil && bag != nil {
		out += " (" + w.Gross.Typed + " − " + bag.Typed + ")"
	}
	return out
}

// youngRow says one row of the pouch.
func (w words) youngRow(s *protocol.Sheet, y record.Young) string {
	out := []string{}
	if y.Attached == "yes" {
		out = append(out, "attached")
	}
	for _, part := range []string{y.Where, y.Teat, string(y.Sex)} {
		if part != "" {
			out = append(out, part)
		}
	}
	for _, id := range sorted(y.Measures) {
		name, u := trait(s, id, true)
		out = append(out, name+" "+reading(y.Measures[id], u))
	}
	for _, id := range sorted(y.Signs) {
		out = append(out, signName(s, id, true)+" "+signValue(y.Signs[id]))
	}
	if y.Notes != "" {
		out = append(out, "“"+y.Notes+"”")
	}
	return strings.Join(out, ", ")
}

func sorted[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// spaced joins the words that are there.
func spaced(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " ")
}

// incidentSaid is what was answered in a word when something went wrong.
func incidentSaid(i record.Incident) string {
	var out []string
	for _, ask := range sorted(i.Said) {
		out = append(out, ask+": "+i.Said[ask])
	}
	return strings.Join(out, ", ")
}

// joined joins the parts that are there with a mark between them.
func joined(between string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), between)
}

// traps says trap names in short: "A1–A12, B3". Names of one prefix that count
// up without a gap are a run.
func traps(names []string) string {
	names = slices.Clone(names)
	slices.SortFunc(names, record.Naturally)
	var out []string
	for i := 0; i < len(names); {
		j := i
		for j+1 < len(names) && follows(names[j], names[j+1]) {
			j++
		}
		switch {
		case j > i+1:
			out = append(out, names[i]+"–"+names[j])
		case j == i+1:
			out = append(out, names[i], names[j])
		default:
			out = append(out, names[i])
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}

// follows reports B8 after B7.
func follows(a, b string) bool {
	s, err := mark.ParseSeries(a + "–" + a)
	if err != nil {
		return false
	}
	s.Last++
	next, ok := s.Next(strings.ToUpper(a))
	return ok && next == strings.ToUpper(b)
}
