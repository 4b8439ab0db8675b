package desk

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"dawnround/answer"
	"dawnround/chart"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// question is one a manager asks, and how it is answered.
type question struct {
	Path, Asks, Says string
	verb             string // how the program is asked the same
	make             func(*register.Register, answer.Which) (Reply, error)
}

// questions in the order they are asked.
var questions = []question{
	{"how-many", "How many are there?", "an estimate for each trip with its interval, or the count of those known alive", "answer how-many", replyMany},
	{"survival", "Do they survive? Does their number grow?", "the share alive and still there a year later, and growth from year to year", "answer survival", replyLasting},
	{"density", "How dense are they, and where do they live?", "how many live on a hectare of one site, and a generalised picture of where", "answer density", replyDense},
	{"breeding", "Are they breeding?", "the share of females breeding, of those that were checked; litters and what became of them", "breeding", replyBreeding},
	{"health", "Are they healthy?", "parasites and what was found on them, trip by trip", "health", replyHealth},
	{"enough", "Is our trapping enough?", "whether trapping as it is would show a fall by 30 %, and what it would take", "answer enough", replyEnough},
}

// Reply is an answer as its page shows it.
type Reply struct {
	Asks     string           `json:"question"`
	Which    answer.Which     `json:"which"`
	Lede     []string         `json:"says"`
	Wide     *chart.Scene     `json:"-"`
	Narrow   *chart.Scene     `json:"-"`
	Caption  string           `json:"-"`
	Assumes  []answer.Assumed `json:"assumes,omitempty"`
	Tables   []ReplyTable     `json:"tables,omitempty"`
	Warnings []string         `json:"warnings,omitempty"`
	LeftOut  []answer.LeftOut `json:"left_out,omitempty"`
	State    string           `json:"state"`
	Source   string           `json:"source,omitempty"`
	Repeat   string           `json:"repeat"` // the program's line that gives the same
	Captures int              `json:"captures"`

	finish func(context.Context, *Reply) // what takes long, done when the register is no longer held; nil for most

	path                          string
	query                         url.Values
	sites, species, sexes, trips1 []page.Option
	trips2                        []page.Option
}

// ReplyTable is a table of an answer.
type ReplyTable struct {
	Caption string     `json:"caption"`
	Head    []string   `json:"head"`
	Rows    [][]string `json:"rows"`
}

// answers lists the questions.
func (d *desk) answers(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, func(words) shown {
		return shown{"Answers", page.Answers, questions, func(f page.Frame) templ.Component { return answersPage(f) }}
	})
}

// reply answers one question.
func (d *desk) reply(w http.ResponseWriter, r *http.Request) {
	i := slices.IndexFunc(questions, func(q question) bool { return q.Path == r.PathValue("question") })
	d.show(w, r, func(words words) shown {
		if i < 0 {
			return shown{}
		}
		a := words.answer(questions[i], r.URL.Query())
		return shown{a.Asks, page.Answers, &a, func(f page.Frame) templ.Component {
			if a.finish != nil {
				a.finish(r.Context(), &a)
			}
			return replyPage(f, a)
		}}
	})
}

// answer asks a question of what the address names, by default of the first
// species that is studied, at every site and on every trip.
func (w words) answer(of question, asked url.Values) Reply {
	q := answer.Which{Site: asked.Get("site"), Species: asked.Get("species"), Sex: record.Sex(asked.Get("sex"))}
	if q.Sex != record.Female && q.Sex != record.Male {
		q.Sex = record.SexUnknown
	}
	for _, s := range w.Protocol().Species {
		if q.Species == "" && !s.Bycatch {
			q.Species = s.Code
		}
	}
	q.Trips = w.tripsBetween(asked.Get("from"), asked.Get("to"))
	a, err := of.make(w.Register, q)
	if err != nil {
		a = Reply{Lede: []string{sentence(err.Error())}, State: w.State()}
	}
	captures, left := answer.Behind(w.Register, q)
	a.Asks, a.Which, a.Captures, a.Repeat, a.path = of.Asks, q, len(captures), of.line(q), of.Path
	if a.LeftOut == nil {
		a.LeftOut = left
	}
	a.query = asked
	w.choices(&a, asked)
	return a
}

// tripsBetween are the trips from one to another, both included; nil for all.
func (w words) tripsBetween(from, to string) []string {
	if from == "" && to == "" {
		return nil
	}
	var out []string
	in := from == ""
	for _, t := range w.Trips() {
		in = in || t.Trip.Trip == from
		if in {
			out = append(out, t.Trip.Trip)
		}
		if t.Trip.Trip == to {
			break
		}
	}
	return out
}

// line is how the program is asked the same.
func (q question) line(which answer.Which) string {
	line := "dawnround " + q.verb + " --species " + which.Species
	if which.Site != "" {
		line += " --site " + which.Site
	}
	if which.Sex != record.SexUnknown {
		line += " --sex " + string(which.Sex)
	}
	if len(which.Trips) > 0 {
		line += " --trips " + strings.Join(which.Trips, ",")
	}
	return line
}

func (w words) choices(a *Reply, asked url.Values) {
	a.sites = []page.Option{{Says: "all sites together", On: a.Which.Site == ""}}
	for _, s := range w.Sites() {
		a.sites = append(a.sites, page.Option{Value: s.Site, Says: spaced(s.Site, s.Name), On: s.Site == a.Which.Site})
	}
	for _, s := range w.Protocol().Species {
		if !s.Bycatch {
			a.species = append(a.species, page.Option{Value: s.Code, Says: cmp.Or(s.Name, s.Code), On: s.Code == a.Which.Species})
		}
	}
	a.sexes = []page.Option{{Says: "both"}, {Value: "female", Says: "females", On: a.Which.Sex == record.Female}, {Value: "male", Says: "males", On: a.Which.Sex == record.Male}}
	a.trips1, a.trips2 = []page.Option{{Says: "the first"}}, []page.Option{{Says: "the last"}}
	for _, t := range w.Trips() {
		name := cmp.Or(t.Name, t.Trip.Trip)
		a.trips1 = append(a.trips1, page.Option{Value: t.Trip.Trip, Says: name, On: t.Trip.Trip == asked.Get("from")})
		a.trips2 = append(a.trips2, page.Option{Value: t.Trip.Trip, Says: name, On: t.Trip.Trip == asked.Get("to")})
	}
}

// Behind is the captures on which an answer rests.
type Behind struct {
	Asks string      `json:"question"`
	Says string      `json:"says"`
	Rows []BehindRow `json:"captures"`
	Out  []BehindRow `json:"left_out"`
	back string
}

// BehindRow is one capture.
type BehindRow struct {
	Capture uuid.UUID    `json:"capture"`
	Animal  uuid.UUID    `json:"animal"`
	Name    string       `json:"name"`
	Night   record.Night `json:"night"`
	Place   string       `json:"place"`
	Why     string       `json:"why,omitempty"` // it is left out
}

// behind lists the captures of an answer, and those left out.
func (d *desk) behind(w http.ResponseWriter, r *http.Request) {
	i := slices.IndexFunc(questions, func(q question) bool { return q.Path == r.PathValue("question") })
	d.show(w, r, func(words words) shown {
		if i < 0 {
			return shown{}
		}
		a := words.answer(questions[i], r.URL.Query())
		captures, _ := answer.Behind(words.Register, a.Which)
		b := Behind{Asks: a.Asks, Says: a.Which.Says(), back: "/answers/" + a.path + "?" + r.URL.RawQuery}
		out := map[uuid.UUID]string{}
		for _, l := range a.LeftOut {
			for _, id := range l.Captures {
				out[id] = l.Why
				b.Out = append(b.Out, words.behindRow(id, l.Why))
			}
		}
		for _, id := range captures {
			if out[id] == "" {
				b.Rows = append(b.Rows, words.behindRow(id, ""))
			}
		}
		return shown{"Behind: " + a.Asks, page.Answers, b, func(f page.Frame) templ.Component { return behindPage(f, b) }}
	})
}

func (w words) behindRow(id uuid.UUID, why string) BehindRow {
	c, ok := w.Capture(id)
	if !ok {
		return BehindRow{Capture: id, Why: why}
	}
	return BehindRow{id, c.Animal, w.name(c.Animal), c.At.Night, spot(c), why}
}

// percent writes a share as people say it.
func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }
