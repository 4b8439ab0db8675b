package desk

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// Sheets is what is carried on paper, so that the record goes on when the
// battery is flat: the traps of a site, who may be caught, and a form for each
// animal in the crew's own calling order.
type Sheets struct {
	Programme string      `json:"programme"`
	Ask       AskSheets   `json:"ask"`
	TripName  string      `json:"trip_name,omitempty"`
	SiteName  string      `json:"site_name,omitempty"`
	Traps     []SheetTrap `json:"traps"`
	Known     []PaperForm `json:"known"` // one for each animal that may be caught
	Blank     []PaperForm `json:"blank"`
	trips     []page.Option
	sites     []page.Option
	species   []page.Option
}

// AskSheets is what is to be printed.
type AskSheets struct {
	Trip    string `json:"trip,omitempty"`
	Site    string `json:"site,omitempty"`
	Species string `json:"species"`
	Blank   int    `json:"blank"`  // forms without a name
	Filled  bool   `json:"filled"` // a form for each animal that may be caught, with what was read last
}

// SheetTrap is one trap of the trap sheet.
type SheetTrap struct {
	Trap string `json:"trap"`
	Kind string `json:"kind,omitempty"`
}

// PaperForm is the form of one animal on paper.
type PaperForm struct {
	Species string      `json:"species"`
	Animal  uuid.UUID   `json:"animal,omitzero"`
	Name    string      `json:"name,omitempty"` // the tail of its mark
	Mark    string      `json:"mark,omitempty"` // in full
	Seen    string      `json:"seen,omitempty"` // sex, stage and when it was last seen
	ToDo    []string    `json:"to_do,omitempty"`
	Rows    []PaperRow  `json:"rows"`
	Young   *PaperYoung `json:"young,omitempty"`
}

// PaperRow is one row of a form: what is called, what was read last time, and
// either blanks to fill or words to ring.
type PaperRow struct {
	Name   string   `json:"name"`
	Hint   string   `json:"hint,omitempty"`
	Last   string   `json:"last,omitempty"`
	Blanks []string `json:"blanks,omitempty"`
	Ring   []string `json:"ring,omitempty"`
}

// PaperYoung is the table for the young: a row each, a column for everything
// that is told of one.
type PaperYoung struct {
	Heads []string `json:"heads"`
	Rows  int      `json:"rows"`
}

const (
	blankForms = 8  // unless another number is asked for
	mostForms  = 60 // of each sort; more is a slip of the finger
	mostYoung  = 5  // rows for young on a form; the next form takes more
	knownFor   = 400
)

func (d *desk) sheets(w http.ResponseWriter, r *http.Request) {
	ask := readAskSheets(r.URL.Query())
	d.show(w, r, func(words words) shown {
		s := words.sheets(ask)
		return shown{"Paper sheets", page.Trip, s, func(f page.Frame) templ.Component { return sheetsPage(f, s) }}
	})
}

func readAskSheets(q url.Values) AskSheets {
	a := AskSheets{Trip: q.Get("trip"), Site: q.Get("site"), Species: q.Get("species"), Blank: blankForms, Filled: q.Get("filled") == "yes"}
	if n, err := strconv.Atoi(q.Get("blank")); err == nil {
		a.Blank = min(max(n, 0), mostForms)
	}
	return a
}

// sheets makes what is printed for one site of a trip, by default the latest
// trip, its first site and the first species that is studied.
func (w words) sheets(ask AskSheets) Sheets {
	out := Sheets{Programme: w.Programme().Name, Ask: ask}
	w.askTrip(&out)
	w.askSite(&out)
	sheet := w.askSpecies(&out)
	out.Traps = w.sheetTraps(out.Ask.Site)
	if out.Ask.Filled {
		for _, c := range w.mayBeCaught(out.Ask.Site, sheet.Code) {
			out.Known = append(out.Known, w.formFor(sheet, c))
		}
	}
	for range out.Ask.Blank {
		out.Blank = append(out.Blank, w.formOf(sheet, "", nil))
	}
	return out
}

func (w words) askTrip(s *Sheets) {
	trips := w.Trips()
	if s.Ask.Trip == "" && len(trips) > 0 {
		s.Ask.Trip = trips[len(trips)-1].Trip.Trip
	}
	for _, t := range slices.Backward(trips) {
		on := t.Trip.Trip == s.Ask.Trip
		name := cmp.Or(t.Name, t.Trip.Trip)
		s.trips = append(s.trips, page.Option{Value: t.Trip.Trip, Says: name, On: on})
		if on {
			s.TripName = name
			if s.Ask.Site == "" && len(t.Sites) > 0 {
				s.Ask.Site = t.Sites[0]
			}
		}
	}
}

func (w words) askSite(s *Sheets) {
	sites := w.Sites()
	if s.Ask.Site == "" && len(sites) > 0 {
		s.Ask.Site = sites[0].Site
	}
	for _, site := range sites {
		name := spaced(site.Site, site.Name)
		if site.Site == s.Ask.Site {
			s.SiteName = name
		}
		s.sites = append(s.sites, page.Option{Value: site.Site, Says: name, On: site.Site == s.Ask.Site})
	}
}

func (w words) askSpecies(s *Sheets) *protocol.Sheet {
	for _, sheet := range w.Protocol().Species {
		if sheet.Bycatch {
			continue
		}
		if s.Ask.Species == "" {
			s.Ask.Species = sheet.Code
		}
		s.species = append(s.species, page.Option{Value: sheet.Code, Says: cmp.Or(sheet.Name, sheet.Code), On: sheet.Code == s.Ask.Species})
	}
	return w.sheet(s.Ask.Species)
}

// sheetTraps are the traps that stand at a site today.
func (w words) sheetTraps(site string) []SheetTrap {
	var out []SheetTrap
	for _, t := range w.Traps(site, record.NightOf(w.now)) {
		out = append(out, SheetTrap{t.Trap, t.Type})
	}
	slices.SortFunc(out, func(a, b SheetTrap) int { return record.Naturally(a.Trap, b.Trap) })
	return out
}

// mayBeCaught is the last capture of each animal of a species that was last
// seen at a site within knownFor nights and left it alive, by name.
func (w words) mayBeCaught(site, species string) []*register.Capture {
	since := record.NightOf(w.now).Add(-knownFor)
	var out []*register.Capture
	for _, g := range w.glances() {
		c := g.last
		gone := c.Released != nil && (c.Released.Fate.Ends() || c.Released.Fate == record.FateKept)
		if g.captures > 0 && c.At.Site == site && g.species == species && c.At.Night.Compare(since) >= 0 && !gone {
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(a, b *register.Capture) int {
		return cmp.Or(record.Naturally(w.name(a.Animal), w.name(b.Animal)), a.Compare(b))
	})
	return out[:min(len(out), mostForms)]
}

// formFor is the form of an animal that is known.
func (w words) formFor(sheet *protocol.Sheet, last *register.Capture) PaperForm {
	a, _ := w.Animal(last.Animal)
	known := w.known(glanceOf(w, last.Animal))
	f := w.formOf(sheet, record.Sex(known.Sex), a.Captures)
	f.Animal, f.Name, f.Mark = last.Animal, known.Name, known.Mark
	f.Seen = joined(", ", known.Sex, known.stageWords(), "last seen "+short(known.Seen)+" at "+spot(last))
	for _, t := range w.FollowUps() {
		if id, err := uuid.Parse(t.On); err == nil && t.Done == nil {
			if of, ok := w.AnimalOf(id); ok && of == last.Animal {
				f.ToDo = append(f.ToDo, t.What)
			}
		}
	}
	return f
}

func glanceOf(w words, animal uuid.UUID) glance {
	g := glance{id: animal}
	for _, m := range w.Members(animal) {
		if c, ok := w.Capture(m); ok {
			g.take(c)
		}
	}
	return g
}

// formOf is the form of a species in its calling order, without the rows of the
// other sex where the sex is known; past are the animal's captures, earliest
// first.
func (w words) formOf(s *protocol.Sheet, sex record.Sex, past []*register.Capture) PaperForm {
	f := PaperForm{Species: cmp.Or(s.Name, s.Code)}
	for _, word := range s.CallingOrder() {
		if word == "young" {
			f.Young = youngRows(s)
			continue
		}
		row, ok := w.paperRow(s, word, sex)
		if !ok {
			continue
		}
		row.Last = w.lastSaid(s, word, past)
		f.Rows = append(f.Rows, row)
	}
	if sex == record.Male {
		f.Young = nil
	}
	return f
}

// paperRow is the row of one word of the calling order; false where the sex has
// no such thing, or the form has a place for it anyway.
func (w words) paperRow(s *protocol.Sheet, word string, sex record.Sex) (PaperRow, bool) {
	if t, ok := s.Trait(word); ok && word != "weight" {
		return traitRow(t, sex)
	}
	if g, ok := s.Sign(word); ok {
		return signRow(g, sex)
	}
	switch word {
	case "marks":
		return PaperRow{Name: "marks", Blanks: w.markBlanks(s), Hint: "old, new or gone"}, true
	case "sex":
		return PaperRow{Name: "sex", Ring: []string{"female", "male", "not told"}}, true
	case "stage":
		return PaperRow{Name: "stage", Ring: stageIDs(s)}, true
	case "weight":
		return PaperRow{Name: "weight", Hint: "g", Blanks: []string{"with bag", "bag no.", "bag", "net"}}, true
	case "findings":
		return PaperRow{Name: "findings", Hint: "part, side, what, how many", Blanks: []string{"", "", ""}, Ring: []string{"none seen", "not checked"}}, true
	case "samples":
		return PaperRow{Name: "samples", Hint: "label", Blanks: w.sampleKinds()}, true
	case "release":
		return PaperRow{Name: "release", Blanks: []string{"time", "where", "how it went"}}, true
	}
	return PaperRow{}, false
}

func traitRow(t *protocol.Trait, sex record.Sex) (PaperRow, bool) {
	if t.Sex != "" && sex != "" && t.Sex != string(sex) {
		return PaperRow{}, false
	}
	row := PaperRow{Name: cmp.Or(t.Name, t.ID), Blanks: []string{unit(t.Unit)}}
	row.Hint = joined("; ", onlySex(t.Sex, sex), t.Convention)
	if t.Sided {
		row.Blanks = []string{"L " + unit(t.Unit), "R " + unit(t.Unit)}
	}
	return row, true
}

func signRow(g *protocol.Sign, sex record.Sex) (PaperRow, bool) {
	if g.Sex != "" && sex != "" && g.Sex != string(sex) {
		return PaperRow{}, false
	}
	row := PaperRow{Name: cmp.Or(g.Name, g.ID), Hint: onlySex(g.Sex, sex)}
	for _, v := range g.Values {
		row.Ring = append(row.Ring, v.ID)
	}
	row.Ring = append(row.Ring, "not checked")
	return row, true
}

// onlySex says whose row it is where the sex of the animal is not known.
func onlySex(of string, sex record.Sex) string {
	if of == "" || sex != "" {
		return ""
	}
	return of + " only"
}

func stageIDs(s *protocol.Sheet) []string {
	var out []string
	for _, g := range s.Stages {
		if !g.Young {
			out = append(out, g.ID)
		}
	}
	return out
}

func (w words) markBlanks(s *protocol.Sheet) []string {
	var out []string
	for _, m := range w.Protocol().Marks {
		if slices.Contains(s.Marks, m.ID) || len(s.Marks) == 0 {
			out = append(out, cmp.Or(m.Name, m.ID))
		}
	}
	return out
}

func (w words) sampleKinds() []string {
	var out []string
	for _, k := range w.Protocol().Samples {
		out = append(out, cmp.Or(k.Name, k.ID))
	}
	return out
}

// youngRows is a row for each young there may be, up to mostYoung.
func youngRows(s *protocol.Sheet) *PaperYoung {
	y := &PaperYoung{Heads: []string{"where, teat", "sex"}, Rows: min(max(s.Litter, 1), mostYoung)}
	for _, t := range s.Traits {
		if t.Of == protocol.OfYoung {
			y.Heads = append(y.Heads, spaced(cmp.Or(t.Name, t.ID), unit(t.Unit)))
		}
	}
	for _, g := range s.Signs {
		if g.Of == protocol.OfYoung {
			y.Heads = append(y.Heads, cmp.Or(g.Name, g.ID))
		}
	}
	return y
}

// lastSaid is what a row said when it was last said anything, with its month.
func (w words) lastSaid(s *protocol.Sheet, word string, past []*register.Capture) string {
	for _, c := range slices.Backward(past) {
		if c.Handled == nil {
			continue
		}
		if said := w.saidAt(s, word, c.Handled); said != "" {
			return said + " · " + c.At.Night.Noon(w.zone).Format("Jan 06")
		}
	}
	return ""
}

// saidAt is what one capture said of a row.
func (w words) saidAt(s *protocol.Sheet, word string, h *record.Handled) string {
	switch word {
	case "sex":
		return string(h.Sex)
	case "stage":
		return h.Stage
	case "weight":
		if net, ok := h.MassMilli(); ok {
			return page.Grams(net)
		}
		return ""
	}
	if sign, ok := h.Signs[word]; ok {
		return signValue(sign)
	}
	var sides []string
	for _, key := range []string{word, word + ".left", word + ".right"} {
		if r, ok := h.Measures[key]; ok {
			_, u := trait(s, key, false)
			_, side, _ := strings.Cut(key, ".")
			sides = append(sides, spaced(side, reading(r, u)))
		}
	}
	return strings.Join(sides, ", ")
}

// Title is what stands on top of a printed page.
func (s Sheets) Title() string {
	return joined(" · ", s.Programme, s.TripName, s.SiteName)
}

// Count says how much paper it is.
func (s Sheets) Count() string {
	return fmt.Sprintf("%s, %s and %s", page.Count(len(s.Traps), "trap", "traps"),
		page.Count(len(s.Known), "filled form", "filled forms"), page.Count(len(s.Blank), "blank form", "blank forms"))
}
