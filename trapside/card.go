package trapside

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dawnround/check"
	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Card is the bench: one animal in the hand, last time beside now.
type Card struct {
	usual    *check.Population
	Frame    page.Frame
	ID       uuid.UUID
	Trap     string
	Night    string
	Round    uuid.UUID
	where    Where       // site and night
	Name     string      // who it is
	Sheet    string      // species' name; empty: not told yet
	Facts    []string    // what to know of it, in the order it is asked for
	Since    time.Time   // found, or bagged
	In       string      // "in bag 3" or "in trap"
	Waits    string      // how long
	Over     string      // the limit that is passed
	Bags     []Bag       // all that wait
	Brief    bool        // the short path
	Rows     []Row       // in the crew's calling order
	Flags    []Flag      // those that concern no row
	Young    []YoungRow  // her young
	Last     []LastYoung // those of last time, not named again yet
	Pick     []Candidate // bearers of the tail asked for, or near misses
	Asked    string      // the tail
	Marks    []MarkRow
	Kinds    []page.Option // mark kinds of the species
	Samples  []SampleRow
	Offers   []Offer // kinds of sample with the next free label
	Findings []FindingRow
	Parts    []page.Option
	Sides    []page.Option
	Signs    []page.Option
	Scan     []page.Option // what may be said of a chip that was not read
	Leaving  []Row         // how young left with her
	Guides   []Guide       // through what went wrong
	Blind    bool          // what was read before is hidden until the new value stands
	Missing  []string      // before release
	Ask      string        // what is missing, once somebody has pressed release
	Halt     bool          // a stop has been shown: keep all the same?
	CanUndo  string        // what an undo takes back
	Doubts   []Doubt       // questions that concern no row
	Heard    Echo          // the phrase said last, with what it gave
	Photos   string        // how many pictures were taken of it; empty: this device keeps none
	Crew     []page.Option
	Fates    []page.Option
	Draft    record.Capture
	Kept     []string `json:",omitempty"` // what was kept, once it has left the hand
	Lines    []string `json:",omitempty"` // the lines that hold it
}

// Row is one line of the card.
type Row struct {
	Key    string // "pes", "weight", "pouch"
	Kind   string // measure, sign, weight, marks, sex, …
	Label  string
	Last   string
	Should string // what it should read today: "61.2–64.8"
	Why    string // what that rests on
	Now    string
	Sum    string // how the value now was got: "1065 − 100"
	Next   bool   // it is this row's turn
	Open   bool   // its choices are at hand
	Stay   bool   // once opened by a person it stays open
	Inputs []Input
	Values []page.Option // words to choose from
	Field  string        // the field that a chosen word goes to
	States bool          // none seen and not checked may be said
	Wrong  string        // why the word that was said cannot be read
	Struck []string
	Flags  []Flag
	Doubts []Doubt // what was called and is under question
	Heard  bool    // the phrase said last concerns it
}

// Input is one field of a row.
type Input struct {
	ID, Field, Label, Value, Unit, Wrong, Hint string
	Side                                       string // which was measured, where it is not kept by side
	Then                                       string // id of what Enter goes to
	Struck                                     []string
	Next                                       bool
}

// Flag is a flag with what may be done about it.
type Flag struct {
	page.Note
	Key   string
	Field string
	Kept  bool // somebody has said to leave it
}

// YoungRow is one of her young.
type YoungRow struct {
	Number string
	Inputs []Input
	Words  []Row // sex, attached, where, and the signs
	Known  string
	Next   bool // it was written last
	Aged   AgeOfYoung
}

// LastYoung is a young of last time that may be met again.
type LastYoung struct {
	Young uuid.UUID
	Says  string
}

// Candidate is an animal that may be the one in the hand.
type Candidate struct {
	Kind, Text, Name, Says string
	Near                   bool // one slip away from what was read
}

// MarkRow is a mark on the card.
type MarkRow struct {
	Number, Kind, Text, Act, How string
	Known                        string // whose it is
	Met                          bool   // somebody bears it
	Read                         bool   // said to have been on it already
	Field                        string // its field, to take it away again
}

// SampleRow is a sample taken.
type SampleRow struct {
	Field, Kind, Label, Medium string
	At                         string // what its other fields begin with
	Sides                      []page.Option
}

// Offer is a kind of sample with the next free label of its series.
type Offer struct{ Kind, Name, Label, Medium string }

// FindingRow is a finding on the card.
type FindingRow struct{ Field, Says string }

// begin makes of a draft what a phrase is read against: the rows, with the
// marks, the flags and what is asked.
func (c *Card) begin(r *register.Register, d Draft, now time.Time) *cardOf {
	p := r.Protocol()
	d.Finish(r, p)
	c.Draft, c.ID = d.Capture, d.Capture.Capture
	animal, _ := bearer(r, d.Capture)
	sheet, has := p.Sheet(speciesSaid(d.Capture))
	if has {
		c.Sheet = sheet.Name
	}
	c.Brief = brief(d, sheet)
	k := &cardOf{r: r, p: p, d: &d, sheet: sheet, animal: animal, card: c, held: c.usual.Hold(r, d.Capture, now), now: now}
	k.rows()
	k.marks()
	k.flags()
	k.doubts()
	return k
}

// fill makes the card of a draft.
func (c *Card) fill(r *register.Register, d Draft, now time.Time) {
	k := c.begin(r, d, now)
	d = *k.d
	c.place(r, d, now)
	c.who(r, d, k.animal, k.animal != nil, now)
	k.samples()
	k.findings()
	k.young()
	k.ages()
	k.expectations()
	k.guides()
	c.Blind = k.blind()
	k.leaving()
	k.turns()
	k.fold()
	c.Missing = k.missing()
	c.Halt = k.halted()
	if len(c.Missing) > 0 && d.Acts[lacks(c.Missing)] != "" {
		c.Ask = "Release with " + page.List(c.Missing) + " missing?"
	}
	c.crew(r, d)
	if s, ok := Undo(d.Steps); ok {
		c.CanUndo = undoWords(s)
	}
	k.heard()
}

func speciesSaid(c record.Capture) string {
	if c.Handled != nil && c.Handled.Species != "" {
		return c.Handled.Species
	}
	if c.Bagged != nil {
		return c.Bagged.Species
	}
	return ""
}

// brief tells whether the short path is in use: for a retrap, unless somebody
// widened it, and for bycatch.
func brief(d Draft, sheet *protocol.Sheet) bool {
	if said, ok := d.Said["brief"]; ok {
		return said == "yes"
	}
	if sheet == nil || d.Capture.Handled == nil {
		return false
	}
	return sheet.Bycatch || d.Capture.Handled.Status == record.Retrap && len(sheet.Retrap) > 0
}

func (c *Card) place(r *register.Register, d Draft, now time.Time) {
	kept, ok := r.Capture(c.ID)
	if !ok {
		return
	}
	c.Trap, c.Round, c.where = kept.At.Trap, kept.At.Round, Where{Site: kept.At.Site, Night: kept.At.Night}
	c.Night = page.NightWords(kept.At.Night.Noon(time.UTC))
	c.Since, c.In = kept.Time(), "in trap"
	if kept.Bagged != nil {
		c.In = strings.TrimSpace("in bag " + kept.Bagged.Bag)
		if !kept.Bagged.At.IsZero() {
			c.Since = kept.Bagged.At
		}
	}
	c.Waits = page.Minutes(now.Sub(c.Since))
	for limit, since := range map[string]time.Time{"bag minutes": c.Since, "handling minutes": d.began()} {
		value, source, on := r.Protocol().Limit(limit)
		if on && !since.IsZero() && now.Sub(since) > time.Duration(value*float64(time.Minute)) {
			c.Over = fmt.Sprintf("%s: over %v, the limit from %s; %s.", limit, value, source, protocol.LimitsSay)
		}
	}
}

// who says whom the marks name, and what to know of it.
func (c *Card) who(r *register.Register, d Draft, a *register.Animal, known bool, now time.Time) {
	h := d.Capture.Handled
	if !known {
		c.Name = "Who is it?"
		if h != nil && len(h.Marks) > 0 {
			c.Name = strings.TrimSpace(page.Tail(h.Marks[len(h.Marks)-1].Text)+" "+sexSign(h.Sex)) + ", new here"
		}
		return
	}
	c.Name = strings.TrimSpace(tailOf(r, a) + " " + sexSign(sexOf(a, c.ID)))
	if stage := stageOf(a, c.ID); stage != "" {
		c.Facts = append(c.Facts, stage)
	}
	if seen := seenWords(a, c.ID, now); seen != "" {
		c.Facts = append(c.Facts, seen)
	}
	if c.ID != uuid.Nil {
		c.Facts = append(c.Facts, sampleWords(r, a)...)
	}
	if young := youngWords(a, c.ID); young != "" {
		c.Facts = append(c.Facts, young)
	}
}

// sampleWords says whether an animal has given what is taken once.
func sampleWords(r *register.Register, a *register.Animal) []string {
	var out []string
	lacks := unsampled(r, a.ID)
	for _, k := range r.Protocol().Samples {
		switch {
		case !k.Once:
		case slices.Contains(lacks, k.Name):
			out = append(out, "no "+k.Name+" yet")
		default:
			out = append(out, k.Name+" taken already")
		}
	}
	return out
}

// youngWords says what young she had last time.
func youngWords(a *register.Animal, but uuid.UUID) string {
	last, ok := lastOf(a, but)
	if !ok || last.Handled == nil || len(last.Handled.Young) == 0 {
		return ""
	}
	return "last time " + page.Count(len(last.Handled.Young), "young", "young") + ", in the night of " + last.At.Night.Words()
}

// handlerSaid is who holds the animal, as it stands beside the word.
func handlerSaid(c Card) string {
	for _, o := range c.Crew {
		if o.On && o.Value != "" {
			return " (" + o.Value + ")"
		}
	}
	return ""
}

func (c *Card) crew(r *register.Register, d Draft) {
	handler := ""
	if h := d.Capture.Handled; h != nil {
		handler = h.Handler
	}
	c.Crew = append(c.Crew, page.Option{Says: "not said", On: handler == ""})
	for _, p := range r.People() {
		c.Crew = append(c.Crew, page.Option{Value: p.Initials, Says: strings.TrimSpace(p.Initials + " " + p.Name), On: p.Initials == handler})
	}
	fate := record.FateReleased
	if d.Capture.Released != nil && d.Capture.Released.Fate != "" {
		fate = d.Capture.Released.Fate
	}
	for _, f := range fates {
		c.Fates = append(c.Fates, page.Option{Value: string(f), Says: fateWords(f), On: f == fate})
	}
}

var fates = []record.Fate{
	record.FateReleased, record.FateElsewhere, record.FateEscaped, record.FateToVet, record.FateKept, record.FateDied, record.FateEuthanased,
}

func fateWords(f record.Fate) string {
	switch f {
	case record.FateReleased:
		return "released at its trap"
	case record.FateKept:
		return "kept back, not let go"
	case record.FateToVet:
		return "to the vet"
	}
	return string(f)
}

// fieldWords is a field's address as people read it.
func fieldWords(field string) string {
	field = strings.NewReplacer("measures/", "", "signs/", "", "weighing/", "", "released/", "", "bag_after", "bag after", "with_young", "young").Replace(field)
	switch parts := strings.Split(field, "/"); {
	case field == "asked":
		return "mark ends in"
	case parts[0] == "heard":
		return strings.Join(parts[1:], " ")
	case parts[0] == "marks" && len(parts) > 2:
		return "mark " + strings.Replace(parts[2], "act", "", 1)
	case parts[0] == "samples" && len(parts) > 2:
		return parts[2]
	case parts[0] == "findings" && len(parts) > 3:
		return strings.TrimSpace(strings.ReplaceAll(strings.Join([]string{parts[2], parts[1], parts[3]}, " "), "-", ""))
	}
	return strings.Join(strings.FieldsFunc(field, func(c rune) bool { return c == '/' || c == '.' }), " ")
}

// undoWords is what an undo takes back, without the id of a young.
func undoWords(s record.Step) string {
	if s.Phrase > 0 {
		return "“" + page.Short(strings.TrimSpace(s.Typed)) + "”"
	}
	if strings.HasPrefix(s.Field, "young/") && strings.Count(s.Field, "/") == 1 {
		return fieldWords(s.Field)
	}
	return page.Short(strings.Join(strings.Fields(fieldWords(s.Field)+" "+s.Typed), " "))
}

// flagsOf are the flags of a draft, with what was done about them.
func flagsOf(held check.Held, d Draft) []Flag {
	var out []Flag
	for _, f := range held.Flags() {
		out = append(out, Flag{
			Note: noteOf(f), Key: f.Key(), Field: f.Field, Kept: d.Acts[f.Key()] == record.FlagKept,
		})
	}
	slices.SortStableFunc(out, func(a, b Flag) int { return grade(a) - grade(b) })
	return out
}

// noteOf is a flag's note; a limit of the approval that was passed is no
// impossibility, so it has a word of its own.
func noteOf(f record.Flag) page.Note {
	n := page.NoteOf(string(f.Grade), f.Says)
	if check.OfApproval(f.Rule) {
		n.Word = page.LimitWord(n.Grade)
	}
	return n
}

func grade(f Flag) int { return slices.Index([]string{"stop", "look", "note"}, f.Grade) }
