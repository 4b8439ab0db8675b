package desk

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"dawnround/answer"
	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// Life is one animal from its first line to its last. Every value names the
// capture it came from.
type Life struct {
	ID         uuid.UUID       `json:"id"`
	Name       string          `json:"name"`
	Species    string          `json:"species"`
	Sex        string          `json:"sex,omitempty"`
	Stage      string          `json:"stage,omitempty"`
	Sites      []string        `json:"sites"`
	Sentence   string          `json:"sentence"`
	First      record.Night    `json:"first"`
	Last       record.Night    `json:"last"`
	Born       *BirthWindow    `json:"born,omitempty"`
	Warnings   []Warning       `json:"warnings,omitempty"`
	Captures   []CaptureRow    `json:"captures"`
	Columns    []string        `json:"columns"` // traits measured, in the sheet's order
	Series     []Series        `json:"series"`
	AsYoung    []YoungRow      `json:"as_young,omitempty"`
	Mothers    []Link          `json:"mothers,omitempty"`
	Young      []Child         `json:"young,omitempty"`
	Litters    []answer.Litter `json:"litters,omitempty"`
	Marks      []MarkSpan      `json:"marks"`
	Samples    []SampleRow     `json:"samples,omitempty"`
	Findings   []FindingRow    `json:"findings,omitempty"`
	Identity   []Written       `json:"identity,omitempty"` // standing lines that say who it is
	Candidates []Candidate     `json:"candidates,omitempty"`
	Notes      []Remark        `json:"notes,omitempty"`
	Photos     []Photo         `json:"photos,omitempty"`
	Rep        uuid.UUID       `json:"-"` // the capture or young by which lines about identity name it
}

// Warning is something to know before the bag is opened.
type Warning struct {
	Says    string     `json:"says"`
	Capture *uuid.UUID `json:"capture,omitempty"`
}

// CaptureRow is one capture in the table of a life.
type CaptureRow struct {
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Trip    string       `json:"trip,omitempty"`
	Place   string       `json:"place"`
	Site    string       `json:"site"`
	Status  string       `json:"status,omitempty"`
	Stage   string       `json:"stage,omitempty"`
	Mass    string       `json:"mass,omitempty"`
	Values  []string     `json:"values"` // by Columns
	Signs   string       `json:"signs,omitempty"`
	Young   int          `json:"young,omitempty"`
	Fate    string       `json:"fate,omitempty"`
	Notes   string       `json:"notes,omitempty"`
	Flags   []Flag       `json:"flags,omitempty"`

	Corrected []string `json:"corrected,omitempty"` // what was written first, and why it was corrected
}

// MarkSpan is one mark over the nights on which it spoke for the animal.
type MarkSpan struct {
	Kind string       `json:"kind"`
	Text string       `json:"text"`
	From record.Night `json:"from"`
	To   record.Night `json:"to"`
	Put  bool         `json:"put"`  // put on at From, and not just read
	Gone bool         `json:"gone"` // found gone at To
	On   uuid.UUID    `json:"capture"`
	Off  uuid.UUID    `json:"last_capture"`
}

// SampleRow is one specimen of the animal.
type SampleRow struct {
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Says    string       `json:"says"`
	Label   string       `json:"label"`
	Twice   bool         `json:"twice,omitempty"` // the label was used for another capture too
}

// FindingRow is one finding, wounds among them.
type FindingRow struct {
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Says    string       `json:"says"`
	None    bool         `json:"none,omitempty"` // looked for and not seen, or not looked for
}

// Remark is a note written later about a capture or the animal.
type Remark struct {
	Night record.Night `json:"night"`
	Text  string       `json:"text"`
}

func (d *desk) life(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, func(words words) shown {
		l, ok := words.life(pathID(r))
		if !ok {
			return shown{}
		}
		return shown{l.Name, page.Animals, l, func(f page.Frame) templ.Component { return lifePage(f, l) }}
	})
}

// LifePage is one animal, by its own id or that of any of its captures or its
// rows as a young; false where there is none.
func LifePage(r *register.Register, id uuid.UUID, now time.Time) (Life, bool) {
	return wordsOf(r, now).life(id)
}

func (w words) life(id uuid.UUID) (Life, bool) {
	a, ok := w.Animal(id)
	if !ok || len(a.Captures)+len(a.Rows) == 0 {
		return Life{}, false
	}
	g := glance{id: a.ID}
	for _, c := range a.Captures {
		g.take(c)
	}
	if g.last == nil {
		w.takeYoung(&g)
	}
	l := Life{ID: a.ID, Name: w.nameOf(a), Species: w.species(g.species), Sex: g.sex, Stage: g.stage, Rep: rep(a)}
	l.First, l.Last = span(a)
	sheet := w.sheet(g.species)
	l.Columns = columns(sheet, a)
	for _, c := range a.Captures {
		l.Captures = append(l.Captures, w.captureRow(sheet, l.Columns, c))
		l.Samples = append(l.Samples, w.sampleRows(c)...)
		l.Findings = append(l.Findings, findingRows(c)...)
		if !slices.Contains(l.Sites, c.At.Site) && c.At.Site != "" {
			l.Sites = append(l.Sites, c.At.Site)
		}
		for _, n := range w.Notes(c.ID().String()) {
			l.Notes = append(l.Notes, Remark{c.At.Night, n.Text})
		}
	}
	l.Photos = w.photos(w.AttachmentsOf(a.ID))
	w.family(&l, a)
	w.kin(&l, g.species)
	l.Born = w.born(sheet, a)
	l.Series = w.series(sheet, a, l.Captures)
	for i := range l.Series {
		w.expects(&l.Series[i], sheet, l)
	}
	for _, s := range a.Spans {
		l.Marks = append(l.Marks, markSpan(s))
	}
	for _, e := range w.IdentityLines(a.ID) {
		l.Identity = append(l.Identity, w.line(e, record.Night{}))
	}
	l.Candidates = w.candidates(a, g)
	l.Warnings = w.warnings(l, a, sheet)
	l.Sentence = l.sentence(a)
	return l, true
}

// rep is the capture or young that names an animal in a line about identity.
func rep(a *register.Animal) uuid.UUID {
	if len(a.Captures) > 0 {
		return a.Captures[0].ID()
	}
	return a.Rows[0].Young.Young
}

func span(a *register.Animal) (first, last record.Night) {
	var nights []record.Night
	for _, c := range a.Captures {
		nights = append(nights, c.At.Night)
	}
	for _, r := range a.Rows {
		nights = append(nights, r.Mother.At.Night)
	}
	return slices.MinFunc(nights, record.Night.Compare), slices.MaxFunc(nights, record.Night.Compare)
}

// columns are the keys of the traits measured on the animal, in the order of
// its sheet, others after them.
func columns(s *protocol.Sheet, a *register.Animal) []string {
	var keys []string
	for _, c := range a.Captures {
		if c.Handled != nil {
			for k := range c.Handled.Measures {
				if !slices.Contains(keys, k) && k != "mass" {
					keys = append(keys, k)
				}
			}
		}
	}
	place := func(key string) int {
		id, _, _ := strings.Cut(key, ".")
		if i := slices.IndexFunc(s.Traits, func(t protocol.Trait) bool { return t.ID == id }); i >= 0 {
			return i
		}
		return len(s.Traits)
	}
	slices.SortFunc(keys, func(a, b string) int { return cmp.Or(place(a)-place(b), strings.Compare(a, b)) })
	return keys
}

func (w words) captureRow(s *protocol.Sheet, columns []string, c *register.Capture) CaptureRow {
	row := CaptureRow{Capture: c.ID(), Night: c.At.Night, Trip: c.At.Trip, Place: spot(c), Site: c.At.Site, Flags: w.flagsOf(c.ID()), Values: make([]string, len(columns))}
	if c.Released != nil {
		row.Fate = string(c.Released.Fate)
	}
	h := c.Handled
	if h == nil {
		return row
	}
	row.Status, row.Stage, row.Notes, row.Young = string(h.Status), h.Stage, h.Notes, len(h.Young)
	row.Corrected = w.corrected(c)
	if m, ok := h.MassMilli(); ok {
		row.Mass = page.Number(m)
	}
	for i, key := range columns {
		if r, ok := h.Measures[key]; ok {
			row.Values[i] = reading(r, "")
		}
	}
	var signs []string
	for _, id := range sorted(h.Signs) {
		signs = append(signs, signName(s, id, false)+" "+signValue(h.Signs[id]))
	}
	row.Signs = strings.Join(signs, ", ")
	return row
}

// corrected says what was corrected of a capture, and why.
func (w words) corrected(c *register.Capture) []string {
	var out []string
	for _, id := range c.Lines {
		e, ok := w.Line(id)
		if !ok {
			continue
		}
		for _, change := range w.changes(e, c.At.Night) {
			if !change.Struck {
				out = append(out, change.Field+" was "+change.Was+": "+change.Why)
			}
		}
	}
	return out
}

func (w words) sampleRows(c *register.Capture) []SampleRow {
	if c.Handled == nil {
		return nil
	}
	var out []SampleRow
	for _, s := range c.Handled.Samples {
		out = append(out, SampleRow{c.ID(), c.At.Night, sample(s), s.Label, s.Label != "" && len(w.LabelUse(s.Label)) > 1})
	}
	return out
}

func findingRows(c *register.Capture) []FindingRow {
	if c.Handled == nil {
		return nil
	}
	var out []FindingRow
	for _, f := range c.Handled.Findings {
		out = append(out, FindingRow{c.ID(), c.At.Night, finding(f), f.State == record.NoneSeen || f.State == record.NotChecked})
	}
	for _, i := range c.Handled.Incidents {
		out = append(out, FindingRow{c.ID(), c.At.Night, "incident: " + joined(", ", i.Kind, i.Says, i.Outcome), false})
	}
	return out
}

func markSpan(s register.Span) MarkSpan {
	first, last := s.Captures[0], s.Captures[len(s.Captures)-1]
	return MarkSpan{
		Kind: s.Key.Kind, Text: s.Key.Text, From: first.At.Night, To: last.At.Night,
		Put: s.Put == first, Gone: s.Gone != nil, On: first.ID(), Off: last.ID(),
	}
}

// sentence is the life in plain words.
func (l Life) sentence(a *register.Animal) string {
	who := []string{l.Sex, l.Stage, l.Species}
	if len(a.Captures) == 0 {
		who = []string{l.Sex, l.Species, "young"}
	}
	out := []string{sentence(spaced(who...))}
	if b := l.Born.says(); b != "" {
		out = append(out, b)
	}
	if len(l.Mothers) > 0 {
		m := l.Mothers[0]
		out = append(out, "Young of "+m.Name+" ("+joined(": ", m.Sure, m.Evidence)+").")
	}
	if n := len(a.Captures); n > 0 {
		out = append(out, handledWords(a))
	} else {
		out = append(out, "Never caught itself; seen in her row on "+page.Count(len(a.Rows), "night", "nights")+", last on "+l.Last.Words()+".")
	}
	if kinds := l.sampled(); kinds != "" {
		out = append(out, "Sampled: "+kinds+".")
	}
	return strings.Join(out, " ")
}

func handledWords(a *register.Animal) string {
	last := a.Captures[len(a.Captures)-1]
	nights, trips := map[record.Night]bool{}, map[string]bool{}
	for _, c := range a.Captures {
		nights[c.At.Night] = true
		if c.At.Trip != "" {
			trips[c.At.Trip] = true
		}
	}
	out := "Last seen " + last.At.Night.Words() + " at " + spot(last)
	if last.Released != nil {
		out += ", " + string(last.Released.Fate)
	}
	if last.Handled != nil && len(last.Handled.Young) > 0 {
		out += ", with " + page.Count(len(last.Handled.Young), "young", "young")
	}
	out += ". Caught on " + page.Count(len(nights), "night", "nights")
	if len(trips) > 0 {
		out += " in " + page.Count(len(trips), "trip", "trips")
	}
	return out + ", first on " + a.Captures[0].At.Night.Words() + "."
}

// sampled lists what was taken and when last.
func (l Life) sampled() string {
	var out []string
	for _, s := range l.Samples {
		out = append(out, s.Says+" on "+short(s.Night))
	}
	return strings.Join(out, ", ")
}

// Text writes the life for a terminal.
func (l Life) Text(out io.Writer) {
	fmt.Fprintf(out, "%s\n%s\n", joined(", ", l.Name, l.Sex), l.Sentence)
	for _, w := range l.Warnings {
		fmt.Fprintf(out, "! %s\n", w.Says)
	}
	fmt.Fprintln(out)
	for _, c := range l.Captures {
		values := []string{}
		for i, v := range c.Values {
			if v != "" {
				values = append(values, l.Columns[i]+" "+v)
			}
		}
		if c.Mass != "" {
			values = append([]string{"mass " + c.Mass + " g"}, values...)
		}
		fmt.Fprintf(out, "%s  %-8s %-10s %s\n", c.Night, c.Place, c.Status, joined("; ", c.Stage, strings.Join(values, ", "), c.Signs, c.Fate, quoted(c.Notes), strings.Join(c.Corrected, "; ")))
		for _, f := range c.Flags {
			fmt.Fprintf(out, "            %s%s\n", f.says(), map[bool]string{true: " (settled)"}[f.Settled])
		}
	}
	for _, m := range l.Marks {
		fmt.Fprintf(out, "mark   %s\n", m.says())
	}
	writePhotos(out, l.Photos)
	for _, y := range l.Young {
		fmt.Fprintf(out, "young  %s: %s (%s)\n", y.Name, y.Fate, joined(": ", y.Sure, y.By))
	}
	for _, b := range l.Litters {
		fmt.Fprintf(out, "litter %s\n", litterSays(b))
	}
	for _, c := range l.Candidates {
		fmt.Fprintf(out, "same?  %s: %s\n", c.Name, c.Evidence)
	}
}

// litterSays is a litter in a line: when, how many, and what became of it.
func litterSays(b answer.Litter) string {
	most := "number not written"
	if b.Most > 0 {
		most = page.Count(b.Most, "young", "young")
	}
	return "born " + b.Born() + ", " + most + ": " + joined("; ", b.Fate, b.Evidence)
}

func quoted(s string) string {
	if s == "" {
		return ""
	}
	return "“" + s + "”"
}

func (m MarkSpan) says() string {
	from, to := "read from ", " to "
	if m.Put {
		from = "put on "
	}
	if m.Gone {
		to = ", found gone "
	}
	if m.From == m.To && !m.Gone {
		return spaced(m.Kind, m.Text) + ", " + map[bool]string{true: "put on ", false: "read "}[m.Put] + short(m.From)
	}
	return spaced(m.Kind, m.Text) + ", " + from + short(m.From) + to + short(m.To)
}
