package trapside

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/call"
	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// mark writes a mark that was called: its whole number, the end of it, which
// asks who bears it, that there is none, or what was done with the one in hand.
func (m *hearing) mark(f call.Field) {
	parts := strings.Split(f.At, "/")
	kind, side, _ := strings.Cut(parts[1], ".")
	switch part := parts[len(parts)-1]; {
	case part == "scan", part == "text" && f.State != record.Unknown:
		m.noMark(kind, f)
	case part == "tail":
		m.put(f, "asked", f.Value)
	case part == "text":
		m.wholeMark(kind, side, f)
	case part == "act" || part == "how":
		if text, ok := m.h.Field("marks/" + parts[1] + "/text"); ok && m.rows["marks/"+kind] == "" {
			m.mark(*text)
		}
		if row := m.markRow(kind); row != "" {
			m.put(f, "marks/"+row+"/"+part, f.Value)
			return
		}
		m.asWords(f)
	default:
		m.asWords(f)
	}
}

// noMark is that a transponder was looked for in vain, or not at all; that a
// tag is not there stays in words.
func (m *hearing) noMark(kind string, f call.Field) {
	switch k, _ := m.r.Protocol().MarkKind(kind); {
	case k == nil || k.Form != protocol.Transponder:
		m.asWords(f)
	case f.State == record.NotChecked:
		m.put(f, "scan", strings.TrimSpace("nc "+reason(f.Why)))
	default:
		m.put(f, "scan", "none found")
	}
}

// wholeMark opens a row for a mark, once. What it corrects is struck.
func (m *hearing) wholeMark(kind, side string, f call.Field) {
	if m.done[f.At] {
		return
	}
	m.done[f.At] = true
	if slices.ContainsFunc(m.h.Corrected, func(c call.Correction) bool { return c.At == f.At }) {
		if old := m.lastMark(f.At); old != "" {
			m.steps = append(m.steps, record.Step{Field: old, From: f.From, To: f.To})
		}
	}
	if m.d.Asked != "" {
		m.steps = append(m.steps, record.Step{Field: "asked", From: f.From, To: f.To})
	}
	number := named(m.rowAnswered("marks"), strconv.Itoa(next(append(slices.Clone(m.d.Steps), m.steps...), "marks")))
	if k, ok := m.r.Protocol().MarkKind(kind); ok && k.Form == protocol.Transponder {
		if _, err := mark.ParseTransponder(f.Value); err != nil {
			f.Pending = false // it stands in its row as what cannot be read
			m.h.Questions = slices.DeleteFunc(slices.Clone(m.h.Questions), func(q call.Question) bool { return q.About == "marks" })
			m.put(f, "marks/"+number+"/unread", f.Value)
			return
		}
	}
	m.rows["marks/"+kind] = number
	pending := f.Pending
	m.put(f, "marks/"+number+"/"+kind+"/called", f.Value)
	if side != "" && !pending {
		m.put(call.Field{At: f.At + "/side", From: f.From, To: f.To}, "marks/"+number+"/side", side)
	}
}

func isTail(at string) bool { return strings.HasPrefix(at, "marks/") && strings.HasSuffix(at, "/tail") }

// bearersOf are the marks on file that end as asked.
func bearersOf(r *register.Register, d Draft) []register.MarkKey {
	if d.Asked == "" {
		return nil
	}
	return r.MarksEnding(d.Asked)
}

// chosen takes the only mark that ends as asked, once that is agreed to.
func (m *hearing) chosen(key register.MarkKey) {
	number := strconv.Itoa(next(append(slices.Clone(m.d.Steps), m.steps...), "marks"))
	all := call.Field{To: len(m.h.Said)}
	m.put(all, "asked", "")
	m.put(all, "marks/"+number+"/"+key.Kind+"/tail "+m.d.Asked, key.Text)
}

// markRow is the row of the mark in hand: of this phrase, else the last on the
// card.
func (m *hearing) markRow(kind string) string {
	if row := m.rows["marks/"+kind]; row != "" {
		return row
	}
	if field := m.lastMark("marks/" + kind + "/text"); field != "" {
		return strings.Split(field, "/")[1]
	}
	return ""
}

// lastMark is the field of the last mark of a kind and side on the card.
func (m *hearing) lastMark(at string) string {
	parts := strings.Split(at, "/")
	kind, side, _ := strings.Cut(parts[1], ".")
	if parts[len(parts)-1] == "tail" {
		return "asked"
	}
	last := ""
	for _, field := range sortedNumbers(m.d.Said) {
		p := strings.Split(field, "/")
		if p[0] == "marks" && len(p) == 4 && p[2] == kind && m.d.Said[field] != "" && m.d.Said["marks/"+p[1]+"/side"] == side {
			last = field
		}
	}
	return last
}
