package trapside

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/call"
	"dawnround/record"
)

// young writes what was said of her young: how many, and of each its state and
// measures.
func (m *hearing) young(f call.Field) {
	parts := strings.SplitN(f.At, "/", 3)
	switch {
	case f.At == "young/count":
		m.count(f)
	case f.At == "young/at foot":
		m.atFoot(f)
	case parts[1] == "link":
	case parts[1] == "sex":
		m.sexes(f)
	default:
		m.ofYoung(parts[1], parts[2], f)
	}
}

// rowsNow are the numbers of the young on the card, those of this phrase too.
func (m *hearing) rowsNow() []string {
	said := map[string]string{}
	for _, s := range append(standingSteps(m.d.Steps), m.steps...) {
		if rest, ok := strings.CutPrefix(s.Field, "young/"); ok && !strings.Contains(rest, "/") {
			said[rest] = s.Typed
		}
	}
	var out []string
	for _, n := range sortedNumbers(said) {
		if said[n] != "" {
			out = append(out, n)
		}
	}
	return out
}

func standingSteps(steps []record.Step) []record.Step {
	var out []record.Step
	for _, i := range record.Standing(steps) {
		out = append(out, steps[i])
	}
	return out
}

// count opens rows for young not met before until there are as many as were
// counted, or strikes those that are too many.
func (m *hearing) count(f call.Field) {
	n, err := strconv.Atoi(f.Value)
	if f.Pending || err != nil {
		m.put(f, "young", f.Value)
		return
	}
	have := m.rowsNow()
	for len(have) > n {
		m.put(f, "young/"+have[len(have)-1], "")
		have = have[:len(have)-1]
	}
	for len(have) < n {
		have = append(have, m.addYoung(f))
	}
	for i, number := range have {
		m.rows["young/"+strconv.Itoa(i+1)] = number
	}
	m.occupied(f, n)
}

func (m *hearing) addYoung(f call.Field) string {
	number := strconv.Itoa(next(append(slices.Clone(m.d.Steps), m.steps...), "young"))
	m.put(f, "young/"+number, newID().String())
	return number
}

// occupied: a pouch that holds young is occupied, where nothing was said of it.
func (m *hearing) occupied(f call.Field, n int) {
	if m.sheet == nil || n == 0 || m.d.Said["signs/pouch"] != "" {
		return
	}
	if _, said := m.h.Field("signs/pouch"); said {
		return
	}
	if pouch, ok := m.sheet.Sign("pouch"); ok {
		for _, w := range pouch.Values {
			if w.Young {
				m.put(call.Field{At: "signs/pouch", From: f.From, To: f.To}, "signs/pouch", w.ID)
				return
			}
		}
	}
}

// atFoot opens a row for a young that is out of the pouch.
func (m *hearing) atFoot(f call.Field) {
	if f.Value == "none" || f.Value == "inferred" {
		m.asWords(f)
		return
	}
	number := m.addYoung(f)
	m.rows["young/1"] = number
	m.put(f, "young/"+number+"/where", "at foot")
}

// sexes gives the young their sexes where all of them are counted and none is
// told yet; which is which is not said.
func (m *hearing) sexes(f call.Field) {
	sex := strings.TrimPrefix(f.At, "young/sex/")
	n, err := strconv.Atoi(f.Value)
	free := slices.DeleteFunc(m.rowsNow(), func(row string) bool {
		at := "young/" + row + "/sex"
		return m.d.Said[at] != "" || slices.ContainsFunc(m.steps, func(s record.Step) bool { return s.Field == at })
	})
	if err != nil || n > len(free) {
		m.asWords(f)
		return
	}
	for _, row := range free[:n] {
		m.put(f, "young/"+row+"/sex", sex)
	}
}

// ofYoung writes one thing said of a young. Where the phrase did not count them
// it is of the first of which this was not said yet, else of the last.
func (m *hearing) ofYoung(row, part string, f call.Field) {
	field, typed := youngPlace(part, f)
	if part == "signs/pigment" && m.sheet != nil {
		if _, ok := m.sheet.YoungSign("pigment"); !ok {
			field = "signs/skin"
		}
	}
	if field == "" {
		return
	}
	at := "young/" + m.youngRow(row, field, f) + "/" + field
	if field == "notes" {
		if said := m.saidNow(at); said != "" {
			typed = said + ", " + typed
		}
	}
	m.put(f, at, typed)
}

// saidNow is what stands in a field, this phrase included.
func (m *hearing) saidNow(field string) string {
	for _, s := range slices.Backward(m.steps) {
		if s.Field == field {
			return s.Typed
		}
	}
	return m.d.Said[field]
}

// youngPlace is the field of a young, and how it is typed, for a part of a
// phrase's row; no field where the card says it otherwise.
func youngPlace(part string, f call.Field) (field, typed string) {
	switch {
	case strings.HasPrefix(part, "measures/"):
		return part, readingTyped(f)
	case part == "where" && f.Value == "with mother":
		return part, "at foot"
	case part == "returned" && f.Value == "yes":
		return "where", "in pouch"
	case part == "returned":
		return "notes", "not returned"
	case part == "warming":
		return "notes", "warmed"
	case part == "state":
		return "notes", f.Value
	case part == "trap":
		return "notes", "trap " + f.Value
	case part == "sex reason":
		return "", ""
	}
	return part, f.Value
}

func (m *hearing) youngRow(row, field string, f call.Field) string {
	if number := m.rows["young/"+row]; number != "" {
		return number
	}
	if number := m.rowAnswered("young"); number != "" {
		return number
	}
	have := m.rowsNow()
	if n, err := strconv.Atoi(row); err == nil && n > 1 && n <= len(have) {
		return have[n-1]
	}
	for _, number := range have {
		if m.saidNow("young/"+number+"/"+field) == "" && !m.d.pending("young/"+number+"/"+field) {
			return number
		}
	}
	if len(have) > 0 {
		return have[len(have)-1]
	}
	number := m.addYoung(f)
	m.rows["young/"+row] = number
	return number
}
