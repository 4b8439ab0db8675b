package trapside

import (
	"slices"
	"strings"

	"dawnround/call"
	"dawnround/record"
)

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
