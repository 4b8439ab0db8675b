package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnround/parasite"
	"dawnround/proportion"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// What it takes to be quoted, by common practice.
const (
	prevalenceAnimals = 5  // for a share with its interval; below, the count alone
	loadAnimals       = 15 // for a distribution
	loadInfested      = 5  // of them with any
)

// Health is what was found on the animals.
type Health struct {
	State string `json:"state"`
	Which
	Handled   int         `json:"handled"` // animals, once a trip
	Parasites []Parasite  `json:"parasites"`
	Findings  []FindingOf `json:"findings"`
	Wounds    []Wound     `json:"wounds"`
	Warnings  []string    `json:"warnings,omitempty"`
	LeftOut   []LeftOut   `json:"left_out,omitempty"`

	trips []string
}

// Parasite is one kind of parasite over the trips.
type Parasite struct {
	Sign  string         `json:"sign"`
	Name  string         `json:"name"`
	Trips []ParasiteTrip `json:"trips"`
	Load  *parasite.Load `json:"load,omitempty"` // all trips together, one count an animal: its first
	Thin  string         `json:"load_refused,omitempty"`
}

// ParasiteTrip is one trip: an animal counts once, at its first examination.
type ParasiteTrip struct {
	Trip       string            `json:"trip"`
	Examined   int               `json:"examined"`
	With       int               `json:"with"`
	NotChecked int               `json:"not_checked"` // handled, and not examined for it
	Exact      *proportion.Share `json:"exact,omitempty"`
	Wilson     *proportion.Share `json:"wilson,omitempty"`
	Refused    string            `json:"refused,omitempty"`
}

// FindingOf is one sign at one part of the body, all trips together; an animal
// counts once a trip, at the first capture that says something of it.
type FindingOf struct {
	Part       string `json:"part"`
	Sign       string `json:"sign"`
	With       int    `json:"with"`
	NoneSeen   int    `json:"none_seen"` // written so; what nobody wrote is not among them
	NotChecked int    `json:"not_checked"`
	Animals    int    `json:"animals"` // different animals with it
}

// Wound is one graded sign at one place on one animal, from capture to capture.
type Wound struct {
	Animal string      `json:"animal"`
	ID     uuid.UUID   `json:"id"`
	Part   string      `json:"part"`
	Side   string      `json:"side,omitempty"`
	Sign   string      `json:"sign"`
	Looks  []WoundLook `json:"looks"`
	Says   string      `json:"says"`
}

// WoundLook is what one capture says of it.
type WoundLook struct {
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Grade   string       `json:"grade"` // none seen among them
}

// HowHealthy answers whether the animals are healthy: for each parasite of the
// protocol how many carry it on each trip, with the exact and Wilson's interval,
// and how many they carry; what was found where; and how graded signs went from
// capture to capture. The unit is the animal on a trip at its first
// examination. A class enters as the counts it stands for. What nobody wrote is
// not taken for none.
func HowHealthy(r *register.Register, q Which) Health {
	a := ask(r, q)
	out := Health{State: r.State(), Which: q, Parasites: []Parasite{}, trips: a.trips}
	visits := a.visits()
	out.Handled = len(visits)
	for _, s := range r.Protocol().Findings.Signs {
		if s.Parasite {
			if p, ok := a.parasite(s, visits); ok {
				out.Parasites = append(out.Parasites, p)
			}
		}
	}
	out.Findings = a.findings(visits)
	out.Wounds = a.wounds()
	out.Warnings = out.warn()
	out.LeftOut = a.left
	return out
}

// visit is one animal on one trip: its captures, in order, at which it was
// handled.
type visit struct {
	trip     string
	animal   uuid.UUID
	captures []*register.Capture
}

func (a *asked) visits() []visit {
	var out []visit
	for _, captures := range a.byAnimal() {
		at := map[string]int{}
		for _, c := range captures {
			if c.Handled == nil {
				continue
			}
			i, known := at[c.At.Trip]
			if !known {
				i = len(out)
				at[c.At.Trip] = i
				out = append(out, visit{trip: c.At.Trip, animal: c.Animal})
			}
			out[i].captures = append(out[i].captures, c)
		}
	}
	return out
}

// examined is what the first examination of a visit found of a sign: the count
// over all parts looked at, and whether nothing but "not checked" is written.
func (v visit) examined(sign string) (count parasite.Count, seen, shut bool) {
	for _, c := range v.captures {
		for _, f := range c.Handled.Findings {
			if f.Sign != sign {
				continue
			}
			if f.State == record.NotChecked {
				shut = true
				continue
			}
			seen = true
			one := counted(f)
			count.Low += one.Low
			count.High += one.High
			count.Open = count.Open || one.Open
		}
		if seen {
			return count, true, false
		}
	}
	return count, false, shut
}

// counted is the parasites that one finding tells of. One that is only seen is
// at least one.
func counted(f record.Finding) parasite.Count {
	switch {
	case f.State == record.NoneSeen:
		return parasite.Count{}
	case f.Count != nil:
		return parasite.Count{Low: *f.Count, High: *f.Count}
	case f.Low != nil && f.High != nil:
		return parasite.Count{Low: *f.Low, High: *f.High}
	case f.Low != nil:
		return parasite.Count{Low: *f.Low, Open: true}
	}
	return parasite.Count{Low: 1, Open: true}
}

// parasite gathers one kind; ok is false where nothing is written of it.
func (a *asked) parasite(s protocol.FindSign, visits []visit) (Parasite, bool) {
	p := Parasite{Sign: s.ID, Name: cmp.Or(s.Name, s.ID), Trips: []ParasiteTrip{}}
	rows := make([]ParasiteTrip, len(a.trips))
	first := map[uuid.UUID]bool{}
	var counts []parasite.Count
	with := 0
	for _, v := range visits {
		row := &rows[a.place[v.trip]]
		count, seen, _ := v.examined(s.ID)
		if !seen {
			row.NotChecked++
			continue
		}
		row.Examined++
		if count.Low > 0 {
			row.With++
		}
		if !first[v.animal] {
			first[v.animal] = true
			counts = append(counts, count)
			with += min(count.Low, 1)
		}
	}
	if len(counts) == 0 {
		return p, false
	}
	for i := range rows {
		rows[i].Trip = a.trips[i]
		if rows[i].Examined+rows[i].NotChecked > 0 {
			rows[i].share()
			p.Trips = append(p.Trips, rows[i])
		}
	}
	p.load(counts, with)
	return p, true
}

func (t *ParasiteTrip) share() {
	if t.Refused = thin("a prevalence", t.Examined, prevalenceAnimals, "animals examined"); t.Refused != "" {
		return
	}
	exact, err := proportion.ClopperPearson(t.With, t.Examined)
	wilson, err2 := proportion.Wilson(t.With, t.Examined)
	if err == nil && err2 == nil {
		t.Exact, t.Wilson = &exact, &wilson
	}
}

func (p *Parasite) load(counts []parasite.Count, with int) {
	p.Thin = cmp.Or(
		thin("how parasites are shared out", len(counts), loadAnimals, "animals examined"),
		thin("how parasites are shared out", with, loadInfested, "animals with any"))
	if p.Thin != "" {
		return
	}
	l, err := parasite.Measure(counts)
	if err != nil { // a class open from none at all
		p.Thin = err.Error()
		return
	}
	p.Load = &l
}

// findings counts every sign at every part, at the first capture of a visit
// that says something of it.
func (a *asked) findings(visits []visit) []FindingOf {
	type place struct{ part, sign string }
	at := map[place]int{}
	animals := map[place]map[uuid.UUID]bool{}
	out := []FindingOf{}
	for _, v := range visits {
		for k, state := range v.found() {
			p := place{k[0], k[1]}
			i, known := at[p]
			if !known {
				i = len(out)
				at[p], animals[p] = i, map[uuid.UUID]bool{}
				out = append(out, FindingOf{Part: p.part, Sign: p.sign})
			}
			switch state {
			case record.NoneSeen:
				out[i].NoneSeen++
			case record.NotChecked:
				out[i].NotChecked++
			default:
				out[i].With++
				animals[p][v.animal] = true
				out[i].Animals = len(animals[p])
			}
		}
	}
	parts := a.Protocol().Findings.Parts
	rank := func(id string) int { return slices.IndexFunc(parts, func(p protocol.Part) bool { return p.ID == id }) }
	slices.SortFunc(out, func(x, y FindingOf) int {
		return cmp.Or(cmp.Compare(rank(x.Part), rank(y.Part)), cmp.Compare(x.Part, y.Part), cmp.Compare(x.Sign, y.Sign))
	})
	return out
}

// found is what a visit says of each part and sign, sides together: seen where
// any side has it, at the first capture that looked.
func (v visit) found() map[[2]string]record.State {
	out := map[[2]string]record.State{}
	for _, c := range v.captures {
		now := map[[2]string]record.State{}
		for _, f := range c.Handled.Findings {
			k := [2]string{f.Part, f.Sign}
			now[k] = stronger(now[k], stateOf(f))
		}
		for k, state := range now {
			if had, told := out[k]; !told || had == record.NotChecked {
				out[k] = state
			}
		}
	}
	return out
}

// stateOf is seen for a finding with anything on it.
func stateOf(f record.Finding) record.State {
	switch {
	case f.State == record.NotChecked || f.State == record.NoneSeen:
		return f.State
	case f.Count != nil && *f.Count == 0 || f.High != nil && *f.High == 0:
		return record.NoneSeen
	}
	return record.Seen
}

// stronger is what two sides say together.
func stronger(a, b record.State) record.State {
	for _, s := range []record.State{record.Seen, record.NoneSeen, record.NotChecked} {
		if a == s || b == s {
			return s
		}
	}
	return record.Unknown
}

// wounds follows every sign with grades from capture to capture.
func (a *asked) wounds() []Wound {
	grades := map[string][]string{}
	for _, s := range a.Protocol().Findings.Signs {
		if len(s.Grades) > 0 {
			grades[s.ID] = s.Grades
		}
	}
	out := []Wound{}
	for _, captures := range a.byAnimal() {
		at := map[[3]string]int{}
		for _, c := range captures {
			if c.Handled == nil {
				continue
			}
			for _, f := range c.Handled.Findings {
				if grades[f.Sign] == nil || f.State == record.NotChecked {
					continue
				}
				k := [3]string{f.Part, f.Side, f.Sign}
				i, known := at[k]
				if !known {
					i = len(out)
					at[k] = i
					out = append(out, Wound{Animal: a.name(c.Animal), ID: c.Animal, Part: f.Part, Side: f.Side, Sign: f.Sign})
				}
				grade := cmp.Or(f.Grade, string(stateOf(f)))
				out[i].Looks = append(out[i].Looks, WoundLook{c.ID(), c.At.Night, grade})
			}
		}
	}
	for i := range out {
		out[i].Says = out[i].course(grades[out[i].Sign])
	}
	return out
}

// course says how a sign went, by the order of its grades.
func (w Wound) course(grades []string) string {
	says := ""
	for i, l := range w.Looks {
		if i == 0 {
			says = fmt.Sprintf("%s on %s", l.Grade, l.Night)
			continue
		}
		before := w.Looks[i-1]
		from, to := slices.Index(grades, before.Grade), slices.Index(grades, l.Grade)
		word := ", then " + l.Grade
		switch {
		case l.Grade == before.Grade:
			word = ", still " + l.Grade
		case from >= 0 && to >= 0 && to < from:
			word = ", " + l.Grade + " again (another one, or worse)"
		}
		says += fmt.Sprintf("%s after %d days", word, l.Night.Days(before.Night))
	}
	return says
}

// warn says what must be kept in mind.
func (out Health) warn() []string {
	var says []string
	for _, p := range out.Parasites {
		if p.Load == nil {
			continue
		}
		says = append(says, p.Load.Warnings...)
		if p.Load.Classed > 0 {
			says = append(says, fmt.Sprintf("%s: %d of %d counts are classes; the median is known only as far as they tell", p.Name, p.Load.Classed, p.Load.Animals))
		}
	}
	if len(out.Parasites) > 0 {
		says = append(says, "longer looks find more: compare trips only where the same parts were looked at in the same way")
	}
	return says
}

// share of a trip as a person reads it, NaN where it is refused.
func (t ParasiteTrip) value() (value, lower, upper float64) {
	if t.Wilson == nil {
		return math.NaN(), math.NaN(), math.NaN()
	}
	return t.Wilson.Value, t.Wilson.Lower, t.Wilson.Upper
}
