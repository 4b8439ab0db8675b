package trapside

import (
	"slices"
	"strconv"
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
	if to != nil && len(m.steps) > 1 {
		m.steps = append(m.steps, to.settled())
	}
	for i := range m.steps {
		m.steps[i].Phrase = phrase
	}
	return m.steps
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

// open is the open question about a field of the card.
func (m *hearing) open(field string) (Doubt, bool) {
	i := slices.IndexFunc(m.d.Doubts, func(q Doubt) bool { return q.Field == field && !q.Held })
	if i < 0 {
		return Doubt{}, false
	}
	return m.d.Doubts[i], true
}

// question finds and takes the question about an address.
func (m *hearing) question(at string) (call.Question, bool) {
	for i, q := range m.h.Questions {
		of := q.About == call.WeightBasis && at == "weighing/net" || q.About == call.WhichTagSide && strings.HasPrefix(at, "marks/")
		if q.About == at || of {
			m.h.Questions = slices.Delete(slices.Clone(m.h.Questions), i, i+1)
			return q, true
		}
	}
	return call.Question{}, false
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

// condition is a score with its scale: "3 of 5".
func (m *hearing) condition(f call.Field) {
	if f.At != "condition/score" {
		return
	}
	score := f.Value
	if scale, ok := m.h.Field("condition/scale"); ok {
		score += " of " + scale.Value
	}
	m.put(f, "signs/condition score", score)
}

// pouch is how it was looked at, and that it was taped shut.
func (m *hearing) pouch(f call.Field) {
	switch {
	case f.At == "pouch/taped":
		m.put(f, "released/pouch", "pouch taped")
	case f.Value == "no":
		m.put(f, "signs/pouch", strings.TrimSpace("nc "+reason(f.Why)))
	case f.Value == "by feel":
		m.put(f, "signs/pouch/how", f.Value)
	}
}

// teats are one state, the counts, and what tells one teat from another.
func (m *hearing) teats(f call.Field) {
	switch {
	case f.At == "teats/total" || f.At == "teats/in use":
		m.put(f, "signs/"+strings.Replace(f.At, "/", " ", 1), f.Value)
	case !m.done["teats"]:
		m.done["teats"] = true
		var each []string
		for _, row := range m.list("teats") {
			state := row.parts["state"]
			if state.Value != "" {
				m.put(state, "signs/teats", state.Value)
			}
			each = append(each, strings.ReplaceAll(strings.Join(row.words("n", "position", "state", "milk"), " "), "_", " "))
		}
		if said := strings.Join(each, "; "); said != m.d.Said["signs/teats"] && strings.Contains(said, " ") {
			m.put(call.Field{At: "teats", From: f.From, To: f.To}, "signs/teats/how", said)
		}
	}
}

// A spokenRow is one row of a list, as a phrase said it.
type spokenRow struct {
	number string
	parts  map[string]call.Field
	first  call.Field // with the words of all its parts
}

// list gathers the rows of a list in the order said.
func (m *hearing) list(head string) []spokenRow {
	var rows []spokenRow
	for _, f := range m.h.Fields {
		parts := strings.SplitN(f.At, "/", 3)
		if parts[0] != head || len(parts) != 3 {
			continue
		}
		i := slices.IndexFunc(rows, func(r spokenRow) bool { return r.number == parts[1] })
		if i < 0 {
			i = len(rows)
			rows = append(rows, spokenRow{number: parts[1], parts: map[string]call.Field{}, first: f})
		}
		rows[i].parts[parts[2]] = f
		rows[i].first.From, rows[i].first.To = min(rows[i].first.From, f.From), max(rows[i].first.To, f.To)
		rows[i].first.Pending = rows[i].first.Pending || f.Pending
	}
	return rows
}

// words are the values of some parts that were said. A yes is said by the
// part's name.
func (r spokenRow) words(parts ...string) []string {
	var out []string
	for _, p := range parts {
		switch f := r.parts[p]; f.Value {
		case "":
		case "yes":
			out = append(out, p)
		case "no":
			out = append(out, "no "+p)
		default:
			out = append(out, f.Value)
		}
	}
	return out
}

// findings are the rows of what was found, each with its count, class, grade or
// state.
func (m *hearing) findings(call.Field) {
	if m.done["findings"] {
		return
	}
	m.done["findings"] = true
	for _, row := range m.list("findings") {
		sign := row.parts["sign"].Value
		typed := amount(row)
		if sign == "normal" {
			sign, typed = "", "none seen"
		}
		field := "findings/" + named(row.parts["part"].Value, "-") + "/" + named(row.parts["side"].Value, "-") + "/" + sign
		f := row.first
		for _, q := range m.h.Questions {
			if strings.HasPrefix(q.About, "findings/"+row.number+"/") || q.About == call.WhichSign && row.parts["sign"].Value == "" {
				f.At, f.Pending, f.Value = q.About, true, typed
			}
		}
		m.put(f, field, typed)
		if notes := strings.Join(row.words("size", "cause", "healed", "scabby", "engorged", "seconds"), ", "); notes != "" && !f.Pending {
			m.put(call.Field{At: "findings", From: f.From, To: f.To}, field+"/notes", notes)
		}
	}
}

// amount is how much was found, as it is typed.
func amount(row spokenRow) string {
	count, low, high, class := row.parts["count"], row.parts["low"], row.parts["high"], row.parts["class"]
	switch {
	case count.State != record.Unknown:
		return readingTyped(count)
	case count.Value == "0":
		return "none seen"
	case count.Value != "" && count.Roughly:
		return "~" + count.Value
	case count.Value != "":
		return count.Value
	case low.Value != "" && high.Value != "":
		return low.Value + "–" + high.Value
	case low.Value != "":
		return low.Value + "+"
	}
	return named(class.Value, named(row.parts["age"].Value, "seen"))
}

// samples are specimens, each under its label; one without a label is asked
// for it.
func (m *hearing) samples(call.Field) {
	if m.done["samples"] {
		return
	}
	m.done["samples"] = true
	number := next(m.d.Steps, "samples")
	if row := m.rowAnswered("samples"); row != "" {
		number, _ = strconv.Atoi(row)
	}
	for _, row := range m.list("samples") {
		kind, label := row.parts["kind"], row.parts["label"]
		if kind.State != record.Unknown || kind.Value == "" {
			m.asWords(row.first)
			continue
		}
		at := "samples/" + strconv.Itoa(number) + "/"
		f := row.first
		f.At, f.Value, f.Pending = "samples/"+row.number+"/label", label.Value, label.Pending
		if i := m.labelAsked(label.Value); i >= 0 {
			f.Pending = true
			m.h.Questions = slices.Clone(m.h.Questions)
			m.h.Questions[i].About = f.At
		} else if label.Value == "" {
			f.Pending = true
			m.h.Questions = append(m.h.Questions, call.Question{About: f.At, Says: kind.Value + ": which label?"})
		}
		m.put(f, at+kind.Value, label.Value)
		for _, part := range []string{"side", "part", "medium", "amount"} {
			if p, ok := row.parts[part]; ok && p.Value != "" {
				m.put(p, at+part, p.Value)
			}
		}
		if p, ok := row.parts["source"]; ok {
			m.put(p, at+"part", p.Value)
		}
		number++
	}
}

// labelAsked is the place of the question whether a label was read rightly.
func (m *hearing) labelAsked(label string) int {
	return slices.IndexFunc(m.h.Questions, func(q call.Question) bool {
		return q.About == "samples/label" && label != "" && strings.Contains(q.Says, call.Digits(label))
	})
}

// rowAnswered is the number of the row that the answered question is about.
func (m *hearing) rowAnswered(list string) string {
	if m.to == nil {
		return ""
	}
	parts := strings.Split(m.to.Field, "/")
	if parts[0] != list || len(parts) < 2 {
		return ""
	}
	return parts[1]
}

// incident is what went wrong. Of a person it says only that it happened.
func (m *hearing) incident(f call.Field) {
	parts := strings.SplitN(f.At, "/", 3)
	row := parts[0] + "/" + parts[1]
	if m.rows[row] == "" {
		m.rows[row] = strconv.Itoa(next(append(slices.Clone(m.d.Steps), m.steps...), "incidents"))
	}
	at := "incidents/" + m.rows[row] + "/"
	switch {
	case parts[2] == "aid":
		m.put(f, at+"aid", f.Value)
	case parts[2] == "kind" && f.Value == "person hurt":
		m.put(f, at+f.Value, "said at the bench")
	case parts[2] == "kind":
		m.put(f, at+f.Value, m.text(f))
	}
}

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

// takenAway writes nothing into a field whose value was only taken away.
func (m *hearing) takenAway() {
	for _, c := range m.h.Corrected {
		_, said := m.h.Field(c.At)
		if field := m.fieldAt(c.At); !said && c.Now == "" && m.d.Said[field] != "" {
			m.steps = append(m.steps, record.Step{Field: field, To: len(m.h.Said)})
		}
	}
}

// fieldAt is the field of the card that a phrase's address means.
func (m *hearing) fieldAt(at string) string {
	if field := m.at[at]; field != "" {
		return field
	}
	if strings.HasPrefix(at, "marks/") {
		return m.lastMark(at)
	}
	return at
}

// confirmed fills a value that was asked about and agreed to.
func (m *hearing) confirmed() {
	for _, q := range m.d.Doubts {
		if slices.Contains(m.h.Confirmed, q.About) && (q.Held || len(q.Among) < 2) {
			for _, s := range q.kept() {
				s.To = len(m.h.Said)
				m.steps = append(m.steps, s)
			}
		}
	}
	if bearers := bearersOf(m.r, m.d); len(bearers) == 1 && slices.ContainsFunc(m.h.Confirmed, isTail) {
		m.chosen(bearers[0])
	}
}

// repeated closes the question where a number belongs, as soon as the same
// number is said with its field.
func (m *hearing) repeated() {
	for _, q := range m.d.Doubts {
		same := func(f call.Field) bool {
			return f.Number != nil && !f.Pending && strings.HasPrefix(q.Says, call.Digits(f.Value)+":")
		}
		if q.Field == call.WhichField && slices.ContainsFunc(m.h.Fields, same) {
			m.steps = append(m.steps, q.settled())
		}
	}
}

// control keeps that the handler said to hold, or asked something back.
func (m *hearing) control() {
	all := call.Field{To: len(m.h.Said)}
	for _, c := range m.h.Control {
		if c != call.LeaveIt {
			m.put(all, "heard/control", string(c))
		}
	}
	if m.h.Query == "" {
		return
	}
	answer := "nothing yet"
	if said := m.d.Said[m.fieldAt(m.h.Query)]; said != "" {
		answer = said
	}
	m.put(all, "heard/back", fieldWords(m.fieldAt(m.h.Query))+" "+answer)
}

// questions keeps what is asked beside a value that stands, or of no field.
func (m *hearing) questions() {
	for _, q := range m.h.Questions {
		if q.About == call.WhichAnimal && (m.at["marks/transponder/tail"] != "" || m.at["marks/transponder/text"] != "") {
			continue // those who bear it are named in their row
		}
		s := record.Step{Field: doubtful(q.About), Doubt: &record.Doubt{About: q.About, Says: q.Says, Among: q.Among}}
		if field := m.at[q.About]; field != "" {
			s.Field, s.Doubt.Held = doubtful(field), true
			if f, ok := m.h.Field(q.About); ok {
				s.Typed = f.Value
			}
		}
		s.From, s.To = m.askedWords(q.About)
		m.steps = append(m.steps, s)
	}
}

// askedWords are the bounds of the words that a question is about.
func (m *hearing) askedWords(about string) (from, to int) {
	from = len(m.h.Said)
	for _, w := range m.h.Words {
		if w.Fate == call.Asked && w.Field == about {
			from, to = min(from, w.From), max(to, w.To)
		}
	}
	if from >= to {
		return 0, len(m.h.Said)
	}
	return from, to
}
