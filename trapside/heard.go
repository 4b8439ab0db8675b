package trapside

import (
	"slices"
	"strings"

	"dawnround/call"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// A hearing turns what one phrase said into the steps of a draft. The table
// below is the whole mapping: the first part of a phrase's address, and where
// it goes on the card. Rows of a list are numbered within the phrase; on the
// card they follow those that are there.
type hearing struct {
	r     *register.Register
	sheet *protocol.Sheet // nil: the species is not told
	d     Draft           // as it was before
	h     call.Heard
	steps []record.Step
	at    map[string]string // by the phrase's address: the card's field
	rows  map[string]string // by the phrase's row, such as "samples/1": its number on the card
	done  map[string]bool   // lists that are entered whole
	to    *Doubt            // the question that the phrase answers
}

var places map[string]func(*hearing, call.Field)

func init() {
	places = map[string]func(*hearing, call.Field){
		"status":      (*hearing).word,      // status
		"sex":         (*hearing).word,      // sex
		"stage":       (*hearing).word,      // stage
		"brief":       (*hearing).word,      // brief
		"species":     (*hearing).species,   // species
		"marks":       (*hearing).mark,      // marks/N/KIND/called, /act, /side, /how; asked; scan
		"weighing":    (*hearing).weigh,     // weighing/gross, /bag, /net, /tared
		"measures":    (*hearing).measure,   // measures/TRAIT, TRAIT.SIDE, TRAIT.CONVENTION, /side
		"signs":       (*hearing).sign,      // signs/SIGN
		"condition":   (*hearing).condition, // signs/condition score
		"dehydration": (*hearing).asSign,    // signs/dehydration
		"pouch":       (*hearing).pouch,     // signs/pouch, /how; released/pouch
		"teats":       (*hearing).teats,     // signs/teats, /how, signs/teats in use, signs/teats total
		"young":       (*hearing).young,     // young/N, /attached, /sex, /where, /notes, /measures/TRAIT, /signs/SIGN
		"findings":    (*hearing).findings,  // findings/PART/SIDE/SIGN, /notes
		"samples":     (*hearing).samples,   // samples/N/KIND, /side, /part, /amount, /medium
		"incidents":   (*hearing).incident,  // incidents/N/KIND, /aid
		"released":    (*hearing).release,   // released/fate, /where, /with_young, /behaviour, /why
		"outcome":     (*hearing).outcome,   // status and fate of the animal, else heard
		"trap":        nil,                  // which card is meant; see [Trapside.whichCard]
		"checks":      nil,                  // lines of the round; see [Trapside.roundSaid]
	}
}

// stepsOf are the steps that one phrase gives to a draft: its words, byte for
// byte, then what they said, then what is asked. phrase is its number, to the
// question that it answers together with the words asked about, if it does.
func stepsOf(r *register.Register, sheet *protocol.Sheet, d Draft, phrase int, h call.Heard, to *Doubt) []record.Step {
	m := hearing{r: r, sheet: sheet, d: d, h: h, at: map[string]string{}, rows: map[string]string{}, done: map[string]bool{}, to: to}
	m.steps = []record.Step{{Field: record.Said, Typed: h.Said}}
	for _, f := range h.Fields {
		if f.Derived && f.At != "weighing/bag" {
			continue
		}
		head, _, _ := strings.Cut(f.At, "/")
		if place, ok := places[head]; !ok {
			m.asWords(f)
		} else if place != nil {
			place(&m, f)
		}
	}
	m.takenAway()
	m.confirmed()
	m.repeated()
	m.control()
	m.questions()
	if to != nil && len(m.steps) > 1 && !m.askedAnew(to.Field) {
		m.steps = append(m.steps, to.settled())
	}
	for i := range m.steps {
		m.steps[i].Phrase = phrase
	}
	return m.steps
}

// askedAnew tells whether the phrase itself puts a field under question.
func (m *hearing) askedAnew(field string) bool {
	return slices.ContainsFunc(m.steps, func(s record.Step) bool { return s.Field == doubtful(field) && s.Doubt != nil })
}

// put writes a field, or its question where the value is not sure.
func (m *hearing) put(f call.Field, field, typed string) {
	m.at[f.At] = field
	s := record.Step{Field: field, Typed: typed, From: f.From, To: f.To}
	if slices.ContainsFunc(m.steps, func(o record.Step) bool { return o.Field == field && o.Typed == typed }) {
		return // the phrase says it twice
	}
	if !f.Pending {
		m.steps = append(m.steps, s)
		return
	}
	q, asked := m.question(f.At)
	again := slices.Contains(m.h.Again, f.At)
	if f.Value == "" && !asked { // struck, to be measured again, or what it was called is another
		if s.From == s.To {
			s.To = len(m.h.Said)
		}
		s.Typed = ""
		m.steps = append(m.steps, s)
		if !again {
			return
		}
	}
	if old, open := m.open(field); open && typed != "" && bareValue(old.Value) == bareValue(typed) && len(old.Among) < 2 {
		m.steps = append(m.steps, s, old.settled()) // said once more: it is so
		return
	}
	s.Field, s.Doubt = doubtful(field), &record.Doubt{About: f.At, Says: q.Says, Among: q.Among}
	if s.From == s.To {
		s.To = len(m.h.Said)
	}
	m.steps = append(m.steps, s)
}

// word is a field that has the same name and words on the card.
func (m *hearing) word(f call.Field) { m.put(f, f.At, f.Value) }

// asWords keeps what the card has no place for, so that a reader of the steps
// finds it: the time, the weather, what the crew will do.
func (m *hearing) asWords(f call.Field) {
	m.put(f, "heard/"+f.At, strings.TrimSpace(strings.Join([]string{f.Value, string(f.State), reason(f.Why)}, " ")))
}

// species is a code of the protocol; another animal stays in words.
func (m *hearing) species(f call.Field) {
	if s, ok := m.r.Protocol().Sheet(f.Value); ok {
		m.put(f, "species", s.Code)
		return
	}
	m.asWords(f)
}

func (m *hearing) weigh(f call.Field) {
	if f.At == "weighing/tared" {
		m.put(f, f.At, f.Value)
		return
	}
	m.put(f, f.At, readingTyped(f))
}

// measure writes a reading. One by another convention than the sheet's is a
// measure of its own; a trait that is kept by side needs one.
func (m *hearing) measure(f call.Field) {
	id, part, _ := strings.Cut(strings.TrimPrefix(f.At, "measures/"), "/")
	switch base, side, _ := strings.Cut(id, "."); {
	case f.At == "measures":
		m.nothingMeasured(f)
		return
	case part == "side":
		m.put(f, f.At, f.Value)
		return
	case side == "" && m.sided(base) && f.State == record.Unknown && !f.Pending:
		f.Pending = true
		m.h.Questions = append(m.h.Questions, call.Question{About: f.At, Says: "left or right?", Among: []string{"left", "right"}})
	case f.Convention != "" && !m.usual(base, f.Convention):
		id = base + "." + f.Convention
	}
	m.put(f, "measures/"+id, readingTyped(f))
	if f.Side != "" && !strings.HasSuffix(id, "."+f.Side) && f.State == record.Unknown {
		m.put(call.Field{At: f.At + "/side", From: f.From, To: f.To}, "measures/"+id+"/side", f.Side)
	}
}

func (m *hearing) sided(trait string) bool {
	if m.sheet == nil {
		return false
	}
	t, ok := m.sheet.Trait(trait)
	return ok && t.Sided
}

// usual tells whether a convention is the sheet's own.
func (m *hearing) usual(trait, convention string) bool {
	if m.sheet == nil {
		return false
	}
	t, ok := m.sheet.Trait(trait)
	return ok && strings.HasPrefix(t.Convention, convention)
}

// nothingMeasured writes why no measure was taken into each of which nothing is
// said.
func (m *hearing) nothingMeasured(f call.Field) {
	if m.sheet == nil {
		m.asWords(f)
		return
	}
	for _, id := range m.sheet.Order {
		if t, ok := m.sheet.Trait(id); ok && t.Of != protocol.OfYoung && m.d.Said["measures/"+id] == "" {
			m.put(f, "measures/"+id, readingTyped(f))
		}
	}
}

// readingTyped is a reading as it is typed: "61.8 61.6", "~61", "nc too cold".
func readingTyped(f call.Field) string {
	switch f.State {
	case record.NotChecked:
		return strings.TrimSpace("nc " + reason(f.Why))
	case record.NoneSeen:
		return "none seen"
	}
	if f.Number == nil {
		return f.Value
	}
	return record.Reading{Quantity: *f.Number, Roughly: f.Roughly, Again: f.Again}.String()
}

// reason is why something was not done, in words; that it was not done is none.
func reason(why string) string {
	why = strings.ReplaceAll(why, "_", " ")
	if why == "not measured" || why == "not checked" {
		return ""
	}
	return why
}

func (m *hearing) sign(f call.Field) { m.put(f, f.At, f.Value) }

func (m *hearing) asSign(f call.Field) { m.put(f, "signs/"+f.At, f.Value) }

// text is the words of the phrase that gave a field.
func (m *hearing) text(f call.Field) string {
	if f.From < 0 || f.From >= f.To || f.To > len(m.h.Said) {
		return f.Value
	}
	return strings.TrimSpace(m.h.Said[f.From:f.To])
}

func (m *hearing) release(f call.Field) {
	switch part := strings.TrimPrefix(f.At, "released/"); {
	case part == "with young":
		m.put(f, "released/with_young", m.text(f))
	case part == "where" && f.Value == "here":
	case part == "where" && m.fate() == string(record.FateReleased):
		m.put(f, f.At, f.Value)
	case slices.Contains([]string{"fate", "where", "behaviour", "why"}, part):
		m.put(f, f.At, f.Value)
	default:
		m.asWords(f)
	}
}

func (m *hearing) fate() string {
	f, ok := m.h.Field("released/fate")
	if !ok {
		return m.d.Said["released/fate"]
	}
	return f.Value
}

// outcome is what the trap held: the animal of this card died or got away.
func (m *hearing) outcome(f call.Field) {
	switch f.Value {
	case "dead":
		m.put(f, "status", string(record.FoundDead))
		m.put(f, "released/fate", string(record.FateDied))
	case "escaped":
		m.put(f, "released/fate", string(record.FateEscaped))
	case "capture":
	default:
		m.asWords(f)
	}
}
