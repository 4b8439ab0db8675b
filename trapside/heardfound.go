package trapside

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/call"
	"dawnround/record"
)

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
