package desk

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Candidate is another animal that may be this one, with the evidence. It is
// never taken for it until a person says so.
type Candidate struct {
	Animal   uuid.UUID    `json:"animal"`
	Name     string       `json:"name"`
	Last     record.Night `json:"last"`
	Evidence string       `json:"evidence"`
	Rep      uuid.UUID    `json:"-"`
	order    float64      // the smaller the more it speaks for
}

const mostCandidates = 6

// candidates offers animals that may be the same: an earlier mark named as
// evidence, a mark one slip away, a young that grew up, an animal that may
// have lost its mark.
func (w words) candidates(a *register.Animal, g glance) []Candidate {
	found := map[uuid.UUID]Candidate{}
	add := func(id uuid.UUID, order float64, evidence string) {
		had, again := found[id]
		if id == a.ID || again && had.order <= order {
			return
		}
		if other, ok := w.Animal(id); ok {
			_, last := span(other)
			found[id] = Candidate{id, w.nameOf(other), last, evidence, rep(other), order}
		}
	}
	w.byMarks(a, g, add)
	for _, o := range w.glances() {
		if o.id == a.ID || o.species != g.species || o.last.At.Site != g.last.At.Site || o.sex != "" && g.sex != "" && o.sex != g.sex {
			continue
		}
		w.byYoung(a, g, o, add)
		w.bySize(a, g, o, add)
	}
	out := make([]Candidate, 0, len(found))
	for _, c := range found {
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(a.order, b.order), slices.Compare(a.Animal[:], b.Animal[:]))
	})
	return out[:min(len(out), mostCandidates)]
}

// byMarks offers animals whose mark was named as an earlier one, or is one
// slip away. Marks of a run that were bought together differ by one digit, so
// the other sex is left out, and two marks that were both put on.
func (w words) byMarks(a *register.Animal, g glance, add func(uuid.UUID, float64, string)) {
	bearers := func(k register.MarkKey, put bool, order float64, evidence string) {
		for _, s := range w.Spans(k) {
			if put && s.Put != nil {
				continue
			}
			for _, c := range s.Captures {
				if h := c.Handled; c.Species() == g.species && (h.Sex == "" || g.sex == "" || string(h.Sex) == g.sex) {
					add(c.Animal, order, evidence)
				}
			}
		}
	}
	for _, c := range a.Captures {
		if c.Handled == nil {
			continue
		}
		for _, m := range c.Handled.Marks {
			if m.Act == record.MarkOld {
				for _, k := range w.MarksReading(m.Text) {
					bearers(k, false, 0, "its mark "+page.Tail(m.Text)+" was named as an earlier one on "+short(c.At.Night))
				}
			}
		}
	}
	for _, s := range a.Spans {
		for _, k := range w.MarksNear(s.Key.Text) {
			bearers(k, s.Put != nil, 1, "marks "+page.Tail(s.Key.Text)+" and "+page.Tail(k.Text)+" differ by one slip")
		}
	}
}

// A young is offered as the earlier life of an animal that was first caught so
// many days after it was last seen in the row; one in the pouch is not on its
// own within two months. Common practice, no source.
const grownWithin, inPouchFor = 730, 60 // days

// byYoung offers an unmarked young of the site for an animal first caught
// later, and the other way round.
func (w words) byYoung(a *register.Animal, g, o glance, add func(uuid.UUID, float64, string)) {
	switch {
	case len(a.Captures) == 0 && o.young == "":
		other, _ := w.Animal(o.id)
		if len(other.Rows) == 0 {
			w.grown(a, other, o.id, add)
		}
	case len(a.Captures) > 0 && len(a.Rows) == 0 && o.young != "":
		other, _ := w.Animal(o.id)
		w.grown(other, a, o.id, add)
	}
}

// grown offers one of the two where the dates fit: the young was in its
// mother's row, and the animal was caught first, not yet adult, after that.
func (w words) grown(young, caught *register.Animal, offered uuid.UUID, add func(uuid.UUID, float64, string)) {
	row, first := young.Rows[len(young.Rows)-1], caught.Captures[0]
	days := first.At.Night.Days(row.Mother.At.Night)
	if days <= 0 || days > grownWithin || days < inPouchFor && strings.Contains(row.Where, "pouch") || row.Mother.Animal == caught.ID {
		return
	}
	if h := first.Handled; h != nil {
		if i := slices.IndexFunc(w.sheet(first.Species()).Stages, func(s protocol.Stage) bool { return s.ID == h.Stage }); i >= 0 && w.sheet(first.Species()).Stages[i].Adult {
			return
		}
	}
	add(offered, 2+float64(days)/1e4, fmt.Sprintf("dates fit: in the row of %s on %s, first caught %d days later at %s",
		w.name(row.Mother.Animal), short(row.Mother.At.Night), days, spot(first)))
}

// lostWithin is how long after it was last seen an animal is offered as one
// that lost its mark: common practice, no source.
const lostWithin = 1100 // days

// bySize offers an animal of the same site that was last seen before this one
// was first seen, and whose bones agree within the limits between visits.
func (w words) bySize(a *register.Animal, g, o glance, add func(uuid.UUID, float64, string)) {
	if len(a.Captures) == 0 || o.young != "" || a.Captures[0].Handled == nil {
		return
	}
	days := a.Captures[0].At.Night.Days(o.last.At.Night)
	if days <= 0 || days > lostWithin || a.Captures[0].Handled.Status == record.Recapture {
		return
	}
	s := w.sheet(g.species)
	if !adult(s, a.Captures[0].Handled.Stage) || !adult(s, o.stage) {
		return
	}
	worst, said := 0.0, []string{}
	other, _ := w.Animal(o.id)
	for _, t := range s.Traits {
		limit, _ := t.BetweenVisits()
		x, okX := lastReading(a.Captures[:1], t.ID)
		y, okY := lastReading(other.Captures, t.ID)
		if !t.Bone || t.Of == "young" || limit <= 0 || !okX || !okY {
			continue
		}
		worst = max(worst, math.Abs(x.Value()-y.Value())/limit)
		said = append(said, t.Name+" "+x.Typed+" and "+y.Typed)
	}
	if len(said) >= 2 && worst <= 1 {
		add(o.id, 3+worst, "last seen "+short(o.last.At.Night)+", before this one was new; bones agree: "+strings.Join(said, ", "))
	}
}

func adult(s *protocol.Sheet, stage string) bool {
	i := slices.IndexFunc(s.Stages, func(x protocol.Stage) bool { return x.ID == stage })
	return i >= 0 && s.Stages[i].Adult
}

func lastReading(captures []*register.Capture, key string) (record.Reading, bool) {
	for _, c := range slices.Backward(captures) {
		if c.Handled != nil {
			if r, ok := c.Handled.Measures[key]; ok && r.Is() == record.Seen {
				return r, true
			}
		}
	}
	return record.Reading{}, false
}

// warnings are what to know before the bag is opened.
func (w words) warnings(l Life, a *register.Animal, s *protocol.Sheet) []Warning {
	var out []Warning
	for _, c := range slices.Backward(a.Captures) {
		if c.Released != nil && c.Released.Fate.Ends() {
			id := c.ID()
			out = append(out, Warning{"Written dead on " + short(c.At.Night) + ": if it is in the bag, its mark or that line is wrong.", &id})
		}
	}
	out = append(out, w.youngWarning(a)...)
	once := map[string]bool{}
	for _, c := range a.Captures {
		if c.Handled == nil {
			continue
		}
		id := c.ID()
		for _, x := range c.Handled.Samples {
			if k, ok := w.Protocol().Sample(x.Kind); ok && k.Once && !once[x.Kind] {
				once[x.Kind] = true
				out = append(out, Warning{k.Name + " was taken on " + short(c.At.Night) + " (" + x.Label + "): once is enough.", &id})
			}
		}
		for _, i := range c.Handled.Incidents {
			out = append(out, Warning{sentence(short(c.At.Night) + ": " + joined(", ", i.Kind, i.Says, i.Outcome)), &id})
		}
	}
	for _, t := range w.FollowUps() {
		if on, err := uuid.Parse(t.On); err == nil && t.Done == nil {
			if animal, ok := w.AnimalOf(on); ok && animal == a.ID {
				out = append(out, Warning{Says: "To do: " + joined(", ", t.What, w.task(t).Due) + "."})
			}
		}
	}
	return out
}

// youngWarning tells of young when the pouch was last looked into; a capture at
// which nobody looked says nothing.
func (w words) youngWarning(a *register.Animal) []Warning {
	for _, c := range slices.Backward(a.Captures) {
		looked, had := w.looked(c)
		if !looked {
			continue
		}
		if !had {
			return nil
		}
		id := c.ID()
		what, where := "young", ""
		if rows := c.Handled.Young; len(rows) > 0 {
			what = page.Count(len(rows), "young", "young")
			where = joined(", ", rows[0].Where, map[string]string{"yes": "attached"}[rows[0].Attached])
		}
		return []Warning{{fmt.Sprintf("She had %s on %s, %s before today. By now it may be loose in the pouch, or at foot: keep the pouch closed until you know.",
			spaced(what, parens(where)), short(c.At.Night), page.Count(record.NightOf(w.now).Days(c.At.Night), "day", "days")), &id}}
	}
	return nil
}

// looked reports whether the pouch or nest of an animal was looked into, and
// whether there were young. Blank is not "none".
func (w words) looked(c *register.Capture) (looked, had bool) {
	h := c.Handled
	if h == nil {
		return false, false
	}
	if len(h.Young) > 0 {
		return true, true
	}
	for id, sign := range h.Signs {
		g, ok := w.sheet(h.Species).Sign(id)
		if !ok || sign.Is() != record.Seen && sign.Is() != record.NoneSeen {
			continue
		}
		for _, word := range g.Values {
			looked = looked || word.Young
			had = had || word.Young && word.ID == sign.Value
		}
	}
	return looked, had
}

// same makes the line that takes two animals for one.
func same(w words, f form) ([]record.Body, error) {
	this, other, evidence, err := w.pair(f)
	if err != nil {
		return nil, err
	}
	return []record.Body{record.Same{Of: []uuid.UUID{this, other}, Evidence: evidence, Sure: record.Certainty(f.text("sure"))}}, nil
}

// apart makes the line that takes captures out of their mark's animal.
func apart(w words, f form) ([]record.Body, error) {
	a, err := w.thisAnimal(f)
	if err != nil {
		return nil, err
	}
	var these []uuid.UUID
	for _, s := range f.Values["these"] {
		if id, err := uuid.Parse(s); err == nil {
			these = append(these, id)
		}
	}
	var from uuid.UUID
	for _, c := range a.Captures {
		if !slices.Contains(these, c.ID()) && bears(c, f.Get("mark")) {
			from = c.ID()
			break
		}
	}
	switch {
	case len(these) == 0:
		return nil, fmt.Errorf("no capture is ticked; tick those that belong to another animal")
	case from == uuid.UUID{}:
		return nil, fmt.Errorf("every capture of that animal is ticked; leave at least one that stays its own")
	case f.text("evidence") == "":
		return nil, errNoEvidence
	}
	return []record.Body{record.Apart{These: these, From: from, Evidence: []string{f.text("evidence")}}}, nil
}

// bears reports a capture on which a mark was read; any does where none is
// named.
func bears(c *register.Capture, text string) bool {
	return text == "" || slices.ContainsFunc(c.Marks(), func(k register.MarkKey) bool { return k.Text == text })
}

// bearers are the marks by which an animal can be named that captures are not.
func (l Life) bearers() []page.Option {
	out := []page.Option{{Says: "any of its marks", On: true}}
	for _, m := range l.Marks {
		out = append(out, page.Option{Value: m.Text, Says: m.Kind + " " + m.Text})
	}
	return out
}

// mother makes the line that links this animal to its mother: to her last
// capture that was not later than this one's first night.
func mother(w words, f form) ([]record.Body, error) {
	this, other, evidence, err := w.pair(f)
	if err != nil {
		return nil, err
	}
	if f.text("sure") == "" {
		return nil, fmt.Errorf("how sure is missing; choose certain, likely or suspected")
	}
	child, _ := w.Animal(this)
	her, _ := w.Animal(other)
	if len(her.Captures) == 0 {
		return nil, fmt.Errorf("%s was never caught herself; a mother is named by one of her captures", w.nameOf(her))
	}
	first, _ := span(child)
	at := her.Captures[0]
	for _, c := range her.Captures {
		if !first.Before(c.At.Night) {
			at = c
		}
	}
	return []record.Body{record.Mother{Of: this, Mother: at.ID(), Sure: record.Certainty(f.text("sure")), Evidence: strings.Join(evidence, "; ")}}, nil
}

var errNoEvidence = fmt.Errorf("the evidence is missing; say what speaks for it, so that somebody may judge it anew")

func (w words) thisAnimal(f form) (*register.Animal, error) {
	id, err := f.id("this")
	if err != nil {
		return nil, err
	}
	a, ok := w.Animal(id)
	if !ok {
		return nil, fmt.Errorf("animal %s: not in this notebook; load the page again", id)
	}
	return a, nil
}

// pair reads this animal, the other one, by its id or by the end of a mark,
// and the evidence.
func (w words) pair(f form) (this, other uuid.UUID, evidence []string, err error) {
	a, err := w.thisAnimal(f)
	if err != nil {
		return this, other, nil, err
	}
	var b *register.Animal
	if id, err := f.id("other"); err == nil {
		b, _ = w.Animal(id)
	} else if b, err = w.byMark(f.text("mark")); err != nil {
		return this, other, nil, err
	}
	switch {
	case b == nil:
		return this, other, nil, fmt.Errorf("the other animal is not in this notebook; load the page again")
	case b.ID == a.ID:
		return this, other, nil, fmt.Errorf("%s is this animal already", w.nameOf(b))
	case f.text("evidence") == "":
		return this, other, nil, errNoEvidence
	}
	return rep(a), rep(b), []string{f.text("evidence")}, nil
}

// byMark finds the one animal that bears a mark ending so.
func (w words) byMark(tail string) (*register.Animal, error) {
	found := w.marked(tail)
	ids := make([]uuid.UUID, 0, len(found))
	for id := range found {
		ids = append(ids, id)
	}
	switch len(ids) {
	case 0:
		return nil, fmt.Errorf("mark %q: no animal bears a mark that ends so; write its last digits, as 0311", tail)
	case 1:
		a, _ := w.Animal(ids[0])
		return a, nil
	}
	return nil, fmt.Errorf("mark %q: %d animals bear a mark that ends so; write more of it", tail, len(ids))
}
