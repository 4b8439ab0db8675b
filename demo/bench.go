package demo

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// bench is one animal in the hand and the scribe beside it: what is said is
// put into the card and kept among its words, in order.
type bench struct {
	protocol *protocol.Protocol
	sheet    *protocol.Sheet
	who      team
	tare     record.Quantity // of the bag it came in
	start    time.Time
	at       time.Time // of the next words
	card     record.Handled
	released record.Released
	incident int
}

// say keeps words as they were typed, a quarter of a minute apart.
func (b *bench) say(field, typed string) {
	b.card.Steps = append(b.card.Steps, record.Step{At: b.at, By: b.who.scribe, Field: field, Typed: typed})
	b.at = b.at.Add(16 * time.Second)
}

func (b *bench) species() { b.card.Species = b.sheet.Code; b.say("species", b.sheet.Code) }
func (b *bench) status(s record.Status) {
	b.card.Status = s
	b.say("status", string(s))
}
func (b *bench) sex(s record.Sex)   { b.card.Sex = s; b.say("sex", string(s)) }
func (b *bench) stage(id string)    { b.card.Stage = id; b.say("stage", id) }
func (b *bench) notes(words string) { b.card.Notes = words; b.say("notes", words) }

// brief says the short path was taken.
func (b *bench) brief() { b.card.Brief = true; b.say("brief", "yes") }

// mark says a mark was read, put or found gone.
func (b *bench) mark(m record.Mark) {
	b.card.Marks = append(b.card.Marks, m)
	at := fmt.Sprintf("marks/%d/", len(b.card.Marks))
	b.say(at+m.Kind+"/"+m.How, m.Text)
	if m.Act != record.MarkRead {
		b.say(at+"act", string(m.Act))
	}
	if m.Side != "" {
		b.say(at+"side", m.Side)
	}
}

// weigh reads a scale to its step with the animal in its bag.
func (b *bench) weigh(netG float64, step int64) {
	gross := record.MilliQuantity(int64(math.Round((netG*1000+float64(b.tare.Milli))/float64(step*1000))) * step * 1000)
	tare := b.tare
	b.card.Weighing = &record.Weighing{Gross: &gross, Bag: &tare}
	b.say("weighing/gross", gross.Typed)
	b.say("weighing/bag", tare.Typed)
}

// read is a reading in the convention of a trait.
func (b *bench) read(t *protocol.Trait, typed string) record.Reading {
	number, damaged := strings.CutSuffix(typed, " damaged")
	q, err := record.ParseQuantity(number)
	if err != nil {
		panic("demo: " + err.Error()) // the stories are ours
	}
	return record.Reading{Quantity: q, Convention: t.Convention, Damaged: damaged}
}

// measure says what an instrument showed.
func (b *bench) measure(key, typed string) {
	id, _, _ := strings.Cut(key, ".")
	t, ok := b.sheet.Trait(id)
	if !ok {
		panic("demo: no trait " + id + " on the sheet of " + b.sheet.Code)
	}
	b.keepReading(key, b.read(t, typed))
	b.say("measures/"+key, typed)
}

func (b *bench) keepReading(key string, r record.Reading) {
	if b.card.Measures == nil {
		b.card.Measures = map[string]record.Reading{}
	}
	b.card.Measures[key] = r
}

// notChecked says why something was not measured.
func (b *bench) notChecked(key, why string) {
	b.keepReading(key, record.Reading{State: record.NotChecked, Why: why})
	b.say("measures/"+key, "nc "+why)
}

// sign says a state in a word; "nc …" says why it was not looked at.
func (b *bench) sign(id, typed string) {
	if b.card.Signs == nil {
		b.card.Signs = map[string]record.Sign{}
	}
	b.card.Signs[id] = signOf(typed)
	b.say("signs/"+id, typed)
}

func signOf(typed string) record.Sign {
	if why, ok := strings.CutPrefix(typed, "nc "); ok {
		return record.Sign{State: record.NotChecked, Why: why}
	}
	return record.Sign{Value: typed}
}

// find says a finding: a count, a class, a grade or "none seen".
func (b *bench) find(part, side, sign, typed string) {
	f := record.Finding{Part: part, Side: side, Sign: sign}
	n, err := strconv.Atoi(typed)
	switch {
	case err == nil:
		f.Count = &n
	case typed == "none seen":
		f.State = record.NoneSeen
	case typed != "seen":
		b.graded(&f, typed)
	}
	b.card.Findings = append(b.card.Findings, f)
	if side == "" {
		side = "-"
	}
	b.say("findings/"+part+"/"+side+"/"+sign, typed)
}

// graded takes a grade, or a counted class with its bounds.
func (b *bench) graded(f *record.Finding, typed string) {
	for _, c := range b.protocol.Findings.Classes {
		if c.ID == typed {
			low := c.Low
			f.Class, f.Low, f.High = c.ID, &low, c.High
			return
		}
	}
	f.Grade = typed
}

// sample says a specimen and its label.
func (b *bench) sample(s record.Sample) {
	if kind, ok := b.protocol.Sample(s.Kind); ok {
		s.Medium = kind.Medium
	}
	s.By, s.At = b.who.handler, b.at
	b.card.Samples = append(b.card.Samples, s)
	at := fmt.Sprintf("samples/%d/", len(b.card.Samples))
	b.say(at+s.Kind, s.Label)
	if s.Side != "" {
		b.say(at+"side", s.Side)
		b.say(at+"part", s.Part)
	}
}

// happened says what went wrong, and what was done.
func (b *bench) happened(kind, says, aid, outcome string) {
	b.incident++
	at := fmt.Sprintf("incidents/%d/", b.incident)
	b.card.Incidents = append(b.card.Incidents, record.Incident{Kind: kind, At: b.at, Says: says, Aid: aid, Outcome: outcome})
	b.say(at+kind, says)
	b.say(at+"aid", aid)
	b.say(at+"outcome", outcome)
}

// young begins a row.
func (b *bench) young(id uuid.UUID) *row {
	b.card.Young = append(b.card.Young, record.Young{Young: id})
	n := len(b.card.Young)
	at := fmt.Sprintf("young/%d", n)
	b.say(at, id.String())
	return &row{bench: b, young: &b.card.Young[n-1], at: at + "/"}
}

// row is one young in her pouch or at her feet.
type row struct {
	bench *bench
	young *record.Young
	at    string
}

func (r *row) is(where, attached string) {
	r.young.Where, r.young.Attached, r.young.Sure = where, attached, record.Likely
	r.bench.say(r.at+"where", where)
	if attached != "" {
		r.bench.say(r.at+"attached", attached)
	}
	if where == "in pouch" {
		r.young.Sure = record.Certain
	}
}

func (r *row) sex(s record.Sex) { r.young.Sex = s; r.bench.say(r.at+"sex", string(s)) }

func (r *row) measure(trait, typed string) {
	t, ok := r.bench.sheet.YoungTrait(trait)
	if !ok {
		panic("demo: no trait " + trait + " of young on the sheet of " + r.bench.sheet.Code)
	}
	if r.young.Measures == nil {
		r.young.Measures = map[string]record.Reading{}
	}
	r.young.Measures[trait] = r.bench.read(t, typed)
	r.bench.say(r.at+"measures/"+trait, typed)
}

func (r *row) sign(id, typed string) {
	if r.young.Signs == nil {
		r.young.Signs = map[string]record.Sign{}
	}
	r.young.Signs[id] = signOf(typed)
	r.bench.say(r.at+"signs/"+id, typed)
}

// letGo says how it left the hand.
func (b *bench) letGo(fate record.Fate, withYoung, behaviour, why string) {
	b.released = record.Released{Fate: fate, WithYoung: withYoung, Behaviour: behaviour, Why: why, By: b.who.handler}
	b.say("released/fate", string(fate))
	for _, w := range [][2]string{{"with_young", withYoung}, {"behaviour", behaviour}, {"why", why}} {
		if w[1] != "" {
			b.say("released/"+w[0], w[1])
		}
	}
}

// done gives the card and the release; the animal goes a minute or two after
// the last word.
func (b *bench) done(pause time.Duration) (*record.Handled, *record.Released) {
	h, r := b.card, b.released
	h.Protocol, h.Handler, h.Scribe = b.protocol.Version, b.who.handler, b.who.scribe
	h.Start, h.End = b.start, b.at
	r.At = b.at.Add(pause)
	return &h, &r
}
