package desk

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/mark"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// Find is what to look for among the animals; an empty field asks for any.
type Find struct {
	Mark    string       `json:"mark,omitempty"` // the end of any mark
	Species string       `json:"species,omitempty"`
	Sex     string       `json:"sex,omitempty"`
	Stage   string       `json:"stage,omitempty"`
	Site    string       `json:"site,omitempty"`
	Since   record.Night `json:"since,omitzero"` // last seen on that night or after it
	Page    int          `json:"page"`           // from 1
}

// Animals is those found, one page of them, the last seen first.
type Animals struct {
	Find    Find     `json:"find"`
	Wrong   string   `json:"wrong,omitempty"` // what of the question could not be read
	Found   int      `json:"found"`
	Of      int      `json:"of"` // animals in the notebook
	Pages   int      `json:"pages"`
	Rows    []Known  `json:"animals"`
	Species []string `json:"-"` // what can be asked for
	Stages  []string `json:"-"`
	Sites   []string `json:"-"`
}

// Known is one animal as a row.
type Known struct {
	ID       uuid.UUID    `json:"id"`
	Name     string       `json:"name"`
	Mark     string       `json:"mark,omitempty"` // in full
	Species  string       `json:"species"`
	Sex      string       `json:"sex,omitempty"`
	Stage    string       `json:"stage,omitempty"`
	Site     string       `json:"site"`
	Seen     record.Night `json:"seen"`
	MassG    string       `json:"mass_g,omitempty"`
	MassOn   record.Night `json:"mass_on,omitzero"`
	Captures int          `json:"captures"`
	Young    bool         `json:"young,omitempty"` // known from its mother's row only
	Dead     bool         `json:"dead,omitempty"`
}

const animalsPerPage = 50

func (d *desk) animals(w http.ResponseWriter, r *http.Request) {
	find, wrong := readFind(r.URL.Query())
	d.show(w, r, func(words words) shown {
		a := words.animals(find)
		a.Wrong = wrong
		return shown{"Animals", page.Animals, a, func(f page.Frame) templ.Component { return animalsPage(f, a) }}
	})
}

func readFind(q url.Values) (Find, string) {
	f := Find{
		Mark: strings.TrimSpace(q.Get("mark")), Species: q.Get("species"), Sex: q.Get("sex"), Stage: q.Get("stage"), Site: q.Get("site"), Page: 1,
	}
	if n, err := strconv.Atoi(q.Get("page")); err == nil && n > 1 {
		f.Page = n
	}
	since := strings.TrimSpace(q.Get("since"))
	if since == "" {
		return f, ""
	}
	night, err := record.ParseNight(since)
	if err != nil {
		return f, err.Error()
	}
	f.Since = night
	return f, ""
}

// AnimalsPage finds animals.
func AnimalsPage(r *register.Register, find Find, now time.Time) Animals {
	return wordsOf(r, now).animals(find)
}

// glance is what can be told of an animal from its captures alone, without
// telling its marks: enough to sift many thousands while a person waits.
type glance struct {
	id                         uuid.UUID
	last                       *register.Capture // the latest; of an uncaught young its mother's
	species, sex, stage, young string
	captures                   int
}

func (w words) animals(find Find) Animals {
	out := Animals{Find: find}
	all := w.glances()
	out.Of = len(all)
	out.Species, out.Stages, out.Sites = asked(all)
	found := all[:0:0]
	marked := w.marked(find.Mark)
	for _, g := range all {
		if (marked == nil || marked[g.id]) && find.takes(g, w.species(g.species)) {
			found = append(found, g)
		}
	}
	slices.SortFunc(found, func(a, b glance) int {
		return cmp.Or(b.last.At.Night.Compare(a.last.At.Night), b.last.Time().Compare(a.last.Time()), slices.Compare(a.id[:], b.id[:]))
	})
	out.Found = len(found)
	out.Pages = max(1, (len(found)+animalsPerPage-1)/animalsPerPage)
	out.Find.Page = min(max(1, find.Page), out.Pages)
	from := (out.Find.Page - 1) * animalsPerPage
	for _, g := range found[from:min(from+animalsPerPage, len(found))] {
		out.Rows = append(out.Rows, w.known(g))
	}
	return out
}

// marked are the animals that bear or bore a mark ending so; nil where any do.
func (w words) marked(tail string) map[uuid.UUID]bool {
	tail = strings.TrimLeft(mark.Canonical(tail), "….")
	if tail == "" {
		return nil
	}
	out := map[uuid.UUID]bool{}
	for _, k := range w.MarksEnding(tail) {
		for _, s := range w.Spans(k) {
			for _, c := range s.Captures {
				out[c.Animal] = true
			}
		}
	}
	return out
}

// glances looks over every animal once.
func (w words) glances() []glance {
	ids := w.AnimalIDs()
	out := make([]glance, 0, len(ids))
	for _, id := range ids {
		g := glance{id: id}
		for _, m := range w.Members(id) {
			if c, ok := w.Capture(m); ok {
				g.take(c)
			}
		}
		if g.last == nil {
			w.takeYoung(&g)
		}
		if g.last != nil {
			out = append(out, g)
		}
	}
	return out
}

// take adds one capture; what was last stated stands.
func (g *glance) take(c *register.Capture) {
	g.captures++
	later := g.last == nil || c.At.Night.Compare(g.last.At.Night) >= 0
	if later {
		g.last = c
	}
	if s := c.Species(); s != "" && (later || g.species == "") {
		g.species = s
	}
	if h := c.Handled; h != nil {
		if h.Sex != "" && (later || g.sex == "") {
			g.sex = string(h.Sex)
		}
		if h.Stage != "" && (later || g.stage == "") {
			g.stage = h.Stage
		}
	}
}

// takeYoung looks at a young that was never caught itself.
func (w words) takeYoung(g *glance) {
	a, _ := w.Animal(g.id)
	if len(a.Rows) == 0 {
		return
	}
	row := a.Rows[len(a.Rows)-1]
	g.last, g.species, g.sex, g.young = row.Mother, row.Mother.Species(), string(row.Sex), "young"
	g.stage = joined(" ", "young", row.Where)
}

// asked are the words that can be asked for, in order.
func asked(all []glance) (species, stages, sites []string) {
	seen := map[string]map[string]bool{"species": {}, "stage": {}, "site": {}}
	for _, g := range all {
		seen["species"][g.species] = true
		if g.young == "" {
			seen["stage"][g.stage] = true
		}
		seen["site"][g.last.At.Site] = true
	}
	for _, of := range seen {
		delete(of, "")
	}
	return sorted(seen["species"]), sorted(seen["stage"]), sorted(seen["site"])
}

// takes reports an animal that the question asks for; a species is asked for
// by its code or by its name.
func (f Find) takes(g glance, species string) bool {
	return (f.Species == "" || strings.EqualFold(f.Species, g.species) || strings.EqualFold(f.Species, species)) &&
		(f.Sex == "" || f.Sex == g.sex) &&
		(f.Stage == "" || f.Stage == g.stage || f.Stage == g.young) &&
		(f.Site == "" || f.Site == g.last.At.Site) &&
		(f.Since.IsZero() || !g.last.At.Night.Before(f.Since))
}

// known is the row of one animal.
func (w words) known(g glance) Known {
	a, _ := w.Animal(g.id)
	called, _ := w.CalledBy(a)
	k := Known{
		ID: g.id, Name: w.nameOf(a), Mark: called.Text, Species: w.species(g.species), Sex: g.sex, Stage: g.stage,
		Site: g.last.At.Site, Seen: g.last.At.Night, Captures: g.captures, Young: g.young != "",
	}
	for _, c := range a.Captures {
		if m, ok := c.Handled.MassMilli(); ok {
			k.MassG, k.MassOn = page.Number(m), c.At.Night
		}
		k.Dead = k.Dead || c.Released != nil && c.Released.Fate.Ends() || c.Handled != nil && c.Handled.Status == record.FoundDead
	}
	return k
}

// Text writes the list for a terminal.
func (a Animals) Text(out io.Writer) {
	fmt.Fprintf(out, "%s of %d; page %d of %d\n", page.Count(a.Found, "animal", "animals"), a.Of, a.Find.Page, a.Pages)
	for _, k := range a.Rows {
		fmt.Fprintf(out, "%-26s %-14s %-8s %-14s %-6s %-10s %s\n", k.Name, k.Species, k.Sex, k.Stage, k.Site, k.Seen, massWords(k))
	}
}

func massWords(k Known) string {
	switch {
	case k.MassG == "":
		return ""
	case k.MassOn != k.Seen:
		return k.MassG + " g on " + short(k.MassOn)
	}
	return k.MassG + " g"
}

// at is the address of another page of the same question.
func (f Find) at(n int) string {
	q := url.Values{}
	for name, v := range map[string]string{
		"mark": f.Mark, "species": f.Species, "sex": f.Sex, "stage": f.Stage, "site": f.Site, "page": strconv.Itoa(n),
	} {
		if v != "" {
			q.Set(name, v)
		}
	}
	if !f.Since.IsZero() {
		q.Set("since", f.Since.String())
	}
	return "/animals?" + q.Encode()
}
