package trapside

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/call"
	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// A Saying is what one phrase said of the animal of a card, before anything is
// written.
type Saying struct {
	Heard call.Heard
	Card  uuid.UUID     // the animal it is about, which may be another than the one in hand
	Steps []record.Step // what it adds to that animal's draft
	sheet *protocol.Sheet
}

// maxPhrase is the most bytes of a phrase that are read: ten minutes of speech.
const maxPhrase = 8 << 10

// vocabulary reads phrases by the protocol in force.
type vocabulary struct {
	of     *protocol.Protocol
	reader *call.Reader
}

// reader is the vocabulary of the protocol in force, made once.
func (t *Trapside) reader(p *protocol.Protocol) *call.Reader {
	if t.spoken.of != p {
		t.spoken = vocabulary{p, call.New(p)}
	}
	return t.spoken.reader
}

// hear reads a phrase that is said with one animal in hand. It writes nothing,
// so that the line can be echoed while it is typed.
func (t *Trapside) hear(r *register.Register, id uuid.UUID, phrase string, now time.Time) Saying {
	s := t.hearOf(r, id, phrase, now)
	if s.Heard.Previous {
		return s
	}
	if other, ok := t.whichCard(r, id, s.Heard); ok {
		return t.hearOf(r, other, phrase, now)
	}
	return s
}

// hearOf reads a phrase as said of one animal.
func (t *Trapside) hearOf(r *register.Register, id uuid.UUID, phrase string, now time.Time) Saying {
	card := Card{ID: id, usual: t.usual}
	steps := t.steps[id]
	k := card.begin(r, Fold(id, steps), now)
	k.turns()
	given := k.given()
	given.Previous = t.previously(r, id)
	h, sheet := t.read(k, phrase, given)
	s := Saying{Heard: h, Card: id, sheet: sheet}
	var to *Doubt
	if q, ok := k.d.lastDoubt(); ok && saysNothing(h) {
		if both, ok := t.together(k, q, phrase, given); ok {
			s.Heard, to = both, &q
		}
	}
	if s.Heard.Previous {
		s.Steps = []record.Step{{Field: record.Said, Typed: phrase, Phrase: phrases(steps) + 1}}
		return s
	}
	s.Steps = stepsOf(r, sheet, *k.d, phrases(steps)+1, s.Heard, to)
	s.Steps = append(s.Steps, t.wrongTrap(r, k, s)...)
	s.Steps = append(s.Steps, k.left(s)...)
	return s
}

// read reads a phrase, and once more where it says itself which species it is
// about, or names marks or labels that are on file. Bare digits are a mark, when
// one is expected, only if they are nothing else.
func (t *Trapside) read(k *cardOf, phrase string, given call.Given) (call.Heard, *protocol.Sheet) {
	reader, sheet := t.reader(k.p), k.sheet
	expected := given.Asked
	if strings.HasPrefix(expected, "marks/") {
		given.Asked = ""
	}
	h := reader.Read(phrase, sheet, given)
	if given.Asked != expected && saysNothing(h) {
		given.Asked = expected
		h = reader.Read(phrase, sheet, given)
	}
	if given.Asked != "" && unsure(h) { // no answer: it may be the next in the calling order
		other := given
		other.Asked, other.ReadBack = "", nil
		if next := reader.Read(phrase, sheet, other); len(next.Fields) > 0 && !unsure(next) {
			h, given = next, other
		}
	}
	if sheet == nil {
		if s, ok := k.speciesIn(h); ok {
			sheet = s
			given.Litter = s.Litter > 1
			h = reader.Read(phrase, sheet, given)
		}
	}
	if onFile(k.r, k.night(), t.labelsInDrafts(), h, &given) {
		h = reader.Read(phrase, sheet, given)
	}
	return h, sheet
}

// speciesIn is the sheet of the species that a phrase names, or of the animal
// whose mark it reads.
func (k *cardOf) speciesIn(h call.Heard) (*protocol.Sheet, bool) {
	if f, ok := h.Field("species"); ok {
		return k.p.Sheet(f.Value)
	}
	for _, f := range h.Fields {
		if !strings.HasPrefix(f.At, "marks/") || !strings.HasSuffix(f.At, "/text") {
			continue
		}
		for _, key := range k.r.MarksReading(f.Value) {
			if id, ok := k.r.Bearer(key, record.MarkRead, k.night()); ok {
				if a, ok := k.r.Animal(id); ok {
					return k.p.Sheet(lastSpecies(a))
				}
			}
		}
	}
	return nil, false
}

// phrases is the highest number of a phrase among the steps.
func phrases(steps []record.Step) int {
	most := 0
	for _, s := range steps {
		most = max(most, s.Phrase)
	}
	return most
}

// saysNothing tells whether a phrase by itself records nothing, or only leaves
// open where its number belongs, or names a trap that is none.
func saysNothing(h call.Heard) bool {
	noTrap := slices.ContainsFunc(h.Questions, func(q call.Question) bool { return q.About == "trap" })
	return len(h.Confirmed)+len(h.Control) == 0 && h.Query == "" && !h.Previous &&
		!slices.ContainsFunc(h.Fields, func(f call.Field) bool { return f.At != "trap" || !noTrap }) &&
		!slices.ContainsFunc(h.Corrected, func(c call.Correction) bool { return c.At != "trap" || !noTrap }) &&
		!slices.ContainsFunc(h.Questions, func(q call.Question) bool { return q.About != call.WhichField && q.About != "trap" })
}

// unsure tells whether anything that was heard is under question.
func unsure(h call.Heard) bool {
	return len(h.Questions) > 0 || slices.ContainsFunc(h.Fields, func(f call.Field) bool { return f.Pending })
}

// together reads an answer with the words that were asked about: "1060" and
// then "with the bag", or "sixty-eight" and then "tail". A value that was wrong
// is corrected by it. It holds only if the answer fills something and nothing is
// left to ask.
func (t *Trapside) together(k *cardOf, q Doubt, phrase string, given call.Given) (call.Heard, bool) {
	given.ReadBack, given.Asked = nil, ""
	given.Questions = slices.DeleteFunc(given.Questions, func(about string) bool { return about == q.About })
	for _, before := range q.openings() {
		h, _ := t.read(k, before+phrase, given)
		answered := slices.ContainsFunc(h.Fields, func(f call.Field) bool { return f.To > len(before) })
		if answered && !unsure(h) {
			return since(h, phrase, len(before)), true
		}
	}
	return call.Heard{}, false
}

// since is what was heard as if the words before a byte had not been said now.
func since(h call.Heard, phrase string, from int) call.Heard {
	h.Said = phrase
	h.Words = slices.DeleteFunc(slices.Clone(h.Words), func(w call.Word) bool { return w.To <= from })
	for i := range h.Words {
		w := &h.Words[i]
		w.From, w.To = max(w.From-from, 0), w.To-from
		w.Text = phrase[w.From:w.To]
	}
	h.Fields = slices.Clone(h.Fields)
	for i := range h.Fields {
		f := &h.Fields[i]
		if f.From, f.To = max(f.From-from, 0), max(f.To-from, 0); f.To == 0 {
			f.To = len(phrase)
		}
	}
	return h
}

// whichCard is the animal that waits in the trap a phrase names, where that is
// not the trap of the card in hand.
func (t *Trapside) whichCard(r *register.Register, id uuid.UUID, h call.Heard) (uuid.UUID, bool) {
	f, ok := h.Field("trap")
	here, known := r.Capture(id)
	if _, held := h.Field("outcome"); !ok || held || !known || here.At.Trap == f.Value {
		return id, false
	}
	for _, c := range r.CapturesOn(here.At.Site, here.At.Night) {
		if c.Open() && c.At.Trap == f.Value {
			return c.ID(), true
		}
	}
	return id, false
}

// wrongTrap asks where a phrase names a trap in which no animal waits: the card
// says where its own was caught, and that is a line already.
func (t *Trapside) wrongTrap(r *register.Register, k *cardOf, s Saying) []record.Step {
	f, ok := s.Heard.Field("trap")
	_, held := s.Heard.Field("outcome")
	asked := slices.ContainsFunc(s.Steps, func(s record.Step) bool { return s.Field == doubtful("trap") })
	if !ok || held || asked || k.d.Capture.At == nil || f.Value == k.d.Capture.At.Trap {
		return nil
	}
	says := fmt.Sprintf("this is %s's card, and no animal waits in %s. Write that trap on the round", k.d.Capture.At.Trap, f.Value)
	return []record.Step{{
		Field: doubtful("trap"), Typed: f.Value, From: f.From, To: f.To, Phrase: s.Steps[0].Phrase,
		Doubt: &record.Doubt{About: "trap", Says: says},
	}}
}

// left are the steps of "leave it", and those by which the flags of a value that
// was kept so are kept with it.
func (k *cardOf) left(s Saying) []record.Step {
	all := append(slices.Clone(k.d.Steps), s.Steps...)
	d := Fold(k.card.ID, all)
	var out []record.Step
	var fields []string
	if slices.Contains(s.Heard.Control, call.LeaveIt) {
		for _, q := range leftOpen(d, s.Steps[0].Phrase) {
			out = append(out, q.kept()...)
			fields = append(fields, q.Field)
		}
		if _, field := k.lastWritten(); len(fields) == 0 && field != "" {
			fields = append(fields, strings.TrimPrefix(field, "doubts/"))
		}
	}
	for _, q := range k.d.Doubts { // said once more, or agreed to
		same := func(f record.Step) bool {
			return q.Held && f.Field == doubtful(q.Field) && f.Doubt == nil || f.Field == q.Field && q.Value != "" && f.Typed == q.Value
		}
		if slices.ContainsFunc(s.Steps, same) {
			fields = append(fields, q.Field)
		}
	}
	out = append(out, k.flagsKept(append(all, out...), fields)...)
	for i := range out {
		out[i].Phrase = s.Steps[0].Phrase
		if out[i].To == 0 {
			out[i].To = len(s.Heard.Said)
		}
	}
	return out
}

// leftOpen are the questions that "leave it" is about: those of the same
// phrase, else the last one.
func leftOpen(d Draft, phrase int) []Doubt {
	var now []Doubt
	for _, q := range d.Doubts {
		if q.Phrase == phrase {
			now = append(now, q)
		}
	}
	if q, ok := d.lastDoubt(); ok && len(now) == 0 {
		return []Doubt{q}
	}
	return now
}

// flagsKept keeps the flags that fields get from steps.
func (k *cardOf) flagsKept(steps []record.Step, fields []string) []record.Step {
	if len(fields) == 0 {
		return nil
	}
	d := Fold(k.card.ID, steps)
	d.Finish(k.r, k.p)
	var out []record.Step
	for _, f := range flagsOf(k.card.usual.Hold(k.r, d.Capture, k.now), d) {
		row := k.rowOf(f.Field)
		concerned := slices.ContainsFunc(fields, func(field string) bool { return row != nil && k.rowOf(field) == row })
		if concerned && !f.Kept && f.Grade != string(record.Remark) {
			out = append(out, record.Step{Field: "flags/" + f.Key, Typed: record.FlagKept})
		}
	}
	return out
}

// call takes a phrase. All that it says is on disk before the page answers.
func (t *Trapside) call(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	id, err := captureOf(r)
	phrase := r.FormValue("words")
	if len(phrase) > maxPhrase {
		err = fmt.Errorf("phrase: %d bytes, and the longest that is read has %d; say it in parts", len(phrase), maxPhrase)
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	switch err := t.open(id); {
	case err != nil:
		wrong(w, r, err)
	case strings.TrimSpace(phrase) == "":
		page.Go(w, r, "/bench/"+id.String())
	default:
		t.take(w, r, who, id, phrase)
	}
}

// take writes what a phrase says, and does what it asks for.
func (t *Trapside) take(w http.ResponseWriter, r *http.Request, who string, id uuid.UUID, phrase string) {
	now := t.local()
	var s Saying
	var last previous
	var lines []record.Body
	t.programme.View(func(reg *register.Register) {
		s = t.hear(reg, id, phrase, now)
		if s.Heard.Previous {
			last = t.onPrevious(reg, id, s.Heard, now)
		}
		var odd []record.Step
		lines, odd = t.roundSaid(reg, s, now)
		s.Steps = append(s.Steps, odd...)
	})
	if last.draft != uuid.Nil {
		s.Steps = append(s.Steps, record.Step{Field: "other/" + last.draft.String(), Typed: strconv.Itoa(last.steps[0].Phrase), Phrase: s.Steps[0].Phrase})
	}
	err := errors.Join(t.write(last.draft, who, last.steps), t.write(s.Card, who, s.Steps))
	if err == nil {
		err = t.keepSaid(who, s, append(lines, last.lines...))
	}
	if err != nil {
		notKept(w, r, err)
		return
	}
	t.afterwards(w, r, who, s, last)
}

// keepSaid keeps the lines that a phrase wrote beside the draft, and notes them
// in the draft, so that an undo can strike them.
func (t *Trapside) keepSaid(who string, s Saying, lines []record.Body) error {
	if len(lines) == 0 {
		return nil
	}
	kept, err := t.programme.Keep(who, t.now(), lines...)
	if err != nil {
		return err
	}
	var steps []record.Step
	for _, line := range kept.Lines {
		steps = append(steps, record.Step{Field: "other/line/" + line.String(), Typed: "kept", Phrase: s.Steps[0].Phrase})
	}
	return t.write(s.Card, who, steps)
}

// write stamps steps and writes them into a draft: all of one phrase are on
// disk, or none.
func (t *Trapside) write(id uuid.UUID, who string, steps []record.Step) error {
	if len(steps) == 0 {
		return nil
	}
	for i := range steps {
		steps[i].At, steps[i].By = t.now(), who
	}
	return t.add(id, steps...)
}

// afterwards goes on as a phrase asks: it lets the animal go, opens the next
// card, or shows the row that was filled.
func (t *Trapside) afterwards(w http.ResponseWriter, r *http.Request, who string, s Saying, last previous) {
	to := "/bench/" + s.Card.String()
	fate, released := s.Heard.Field("released/fate")
	_, dead := s.Heard.Field("outcome")
	switch {
	case last.says != "":
		page.Go(w, r, page.Said(to, last.says))
	case released && !fate.Pending && !dead:
		t.letGo(w, r, who, s.Card)
	case slices.Contains(s.Heard.Control, call.NextOne):
		page.Go(w, r, t.nextCard(s.Card))
	default:
		page.Go(w, r, to+"#call")
	}
}

// nextCard is the card of the animal that has waited longest beside this one,
// or the round.
func (t *Trapside) nextCard(id uuid.UUID) string {
	to := "/round"
	t.programme.View(func(r *register.Register) {
		here, ok := r.Capture(id)
		if !ok {
			return
		}
		to += "?round=" + here.At.Round.String()
		for _, b := range t.bags(r, Where{Site: here.At.Site, Night: here.At.Night}, t.local()) {
			if b.ID != id {
				to = "/bench/" + b.ID.String()
				return
			}
		}
	})
	return to
}
