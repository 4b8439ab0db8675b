package score

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// unscored are hints of the file (shorthand.md §11).
var unscored = []string{"note", "heard", "candidates", "candidates_field", "candidates_value", "animal_match", "carcass", "abort", "link_confidence"}

// loose are compared by one key word (shorthand.md §13, given.md).
var loose = []string{"findings", "release", "signs", "condition", "coat", "eyes", "reason", "suspected_cause_text", "weather", "first_aid", "flag", "warn", "measurements", "sex_reason", "person_site", "state", "dehydration", "place_text", "behaviour", "source", "medium", "young_at_foot"}

// compare tells what of the expected is not got, what was got and not
// expected, and which values were filled where a question was due.
func compare(want map[string]any, g got) (wrong, silent []string, needless int) {
	asked := texts(want["ask"])
	g = g.asNamed(want)
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if slices.Contains(unscored, name) {
			continue
		}
		if why := differs(name, want[name], g[name], g); why != "" {
			wrong = append(wrong, name+": "+why)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(g)) {
		if _, expected := want[name]; expected || g[name] == nil || !isMeasured(name) || nothingAbnormal(name, g[name]) {
			continue
		}
		wrong = append(wrong, fmt.Sprintf("%s: %s is extra", name, show(g[name])))
	}
	silent = silentlyWrong(want, g)
	for _, name := range texts(any(g["ask"])) {
		if !slices.Contains(asked, name) {
			needless++
		}
	}
	return wrong, silent, needless
}

// wholeOf are names for what was seen of a part as a whole, beside the rows of
// findings that say the same.
var wholeOf = map[string]string{"eyes": "eye", "coat": "coat"}

// asNamed says the same in the other of two ways the file has for it, where the
// case is written so: "eyes" and "coat" beside rows of findings, and counts of
// sexes beside the sex of each young.
func (g got) asNamed(want map[string]any) got {
	g = maps.Clone(g)
	for name, site := range wholeOf {
		if _, wanted := want[name]; wanted {
			g.whole(name, site)
		}
	}
	if _, wanted := want["young_sex"]; wanted && g["young_sex"] == nil {
		g.countSexes()
	}
	return g
}

// whole takes the findings of a site, without a side, under its name.
func (g got) whole(name, site string) {
	list, _ := g["findings"].([]any)
	var rest []any
	for _, row := range list {
		r, _ := row.(map[string]any)
		if r["site"] != site || r["side"] != nil {
			rest = append(rest, row)
			continue
		}
		g[name] = fmt.Sprint(r["finding"], " ", r["words"])
	}
	delete(g, "findings")
	if len(rest) > 0 {
		g["findings"] = rest
	}
}

// countSexes turns the sex of each young into counts.
func (g got) countSexes() {
	list, _ := g["young"].([]any)
	counts := map[string]any{}
	var rest []any
	for _, row := range list {
		r := maps.Clone(row.(map[string]any))
		if sex, ok := r["sex"].(string); ok && (sex == "female" || sex == "male") {
			n, _ := counts[sex].(int)
			counts[sex] = n + 1
			delete(r, "sex")
		}
		if len(r) > 0 {
			rest = append(rest, r)
		}
	}
	if len(counts) == 0 {
		return
	}
	g["young_sex"] = counts
	delete(g, "young")
	if len(rest) > 0 {
		g["young"] = rest
	}
}

// nothingAbnormal tells whether what was found is that nothing was, of the
// animal as a whole (NAD): it is neither a measurement nor an identity.
func nothingAbnormal(name string, v any) bool {
	list, ok := v.([]any)
	if name != "findings" || !ok {
		return false
	}
	return !slices.ContainsFunc(list, func(row any) bool {
		r, ok := row.(map[string]any)
		return !ok || r["finding"] != "normal" || r["site"] != nil
	})
}

func texts(v any) []string {
	switch list := v.(type) {
	case []string:
		return list
	case []any:
		var out []string
		for _, x := range list {
			out = append(out, fmt.Sprint(x))
		}
		return out
	case string:
		return []string{list}
	}
	return nil
}

// differs says how a value differs from the expected one; empty if it does
// not.
func differs(name string, want, have any, g got) string {
	switch {
	case name == "ask" || name == "confirm" || name == "pending" || name == "corrects" || name == "action":
		w, h := texts(want), texts(have)
		slices.Sort(w)
		h = slices.Sorted(slices.Values(h))
		if !slices.Equal(w, h) && !(name != "ask" && name != "action" && contains(h, w)) {
			return fmt.Sprintf("want %v, got %v", w, h)
		}
		return ""
	case want == nil:
		if v, ok := g[name]; !ok || v != nil {
			return fmt.Sprintf("want it stored as missing, got %s", show(have))
		}
		return ""
	case name == "findings":
		return rows(want, have, true)
	case name == "testes":
		return rows(bySide(want), bySide(have), false)
	case name == "release":
		return object(want, have, true)
	case name == "trap_range":
		if !sameRange(want, have) {
			return fmt.Sprintf("want %s, got %s", show(want), show(have))
		}
		return ""
	case name == "was":
		if !oneOf(want, have) {
			return fmt.Sprintf("want %s, got %s", show(want), show(have))
		}
		return ""
	}
	if list, ok := want.([]any); ok && len(list) > 0 {
		if _, isRow := list[0].(map[string]any); isRow {
			return rows(want, have, false)
		}
	}
	if !equal(name, want, have) {
		return fmt.Sprintf("want %s, got %s", show(want), show(have))
	}
	return ""
}

func contains(h, w []string) bool {
	for _, x := range w {
		if !slices.Contains(h, x) {
			return false
		}
	}
	return len(w) > 0
}

func oneOf(want, have any) bool {
	if equal("was", want, have) {
		return true
	}
	list, ok := have.([]any)
	return ok && slices.ContainsFunc(list, func(v any) bool { return equal("was", want, v) })
}

func sameRange(want, have any) bool {
	clean := func(v any) string {
		var b strings.Builder
		for _, r := range strings.ToUpper(show(v)) {
			if r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
				b.WriteRune(r)
			}
		}
		return strings.ReplaceAll(b.String(), "TO", "")
	}
	return clean(want) == clean(have)
}

// equal compares exactly; loose fields by one key word.
func equal(name string, want, have any) bool {
	if slices.Contains(loose, name) {
		return keyWord(want, have)
	}
	switch w := want.(type) {
	case map[string]any:
		return object(want, have, false) == ""
	case []any:
		h, ok := have.([]any)
		if !ok || len(h) != len(w) {
			return false
		}
		for i := range w {
			if !equal(name, w[i], h[i]) {
				return false
			}
		}
		return true
	}
	return show(want) == show(have)
}

// keyWord tells whether two texts share a word, or the beginning of one.
func keyWord(want, have any) bool {
	if have == nil {
		return false
	}
	w, h := strings.ToLower(fmt.Sprint(want)), strings.ToLower(fmt.Sprint(have))
	if w == h {
		return true
	}
	split := func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') }
	for _, a := range strings.FieldsFunc(w, split) {
		for _, b := range strings.FieldsFunc(h, split) {
			n := min(len(a), len(b))
			if a == b || n >= 4 && a[:4] == b[:4] {
				return true
			}
		}
	}
	return false
}

// exactInRows are compared exactly in every row.
var exactInRows = []string{"side", "site", "kind", "count", "count_min", "count_max", "class", "type", "label", "n", "trap", "outcome", "fur", "eyes", "attached", "location", "sex", "state", "position", "species_text", "crown_rump_mm", "head_mm", "pes_mm", "weight_g", "l_mm", "w_mm", "seconds", "milk", "returned", "warming"}

// rows compares lists of rows, in order.
func rows(want, have any, lax bool) string {
	w, _ := want.([]any)
	h, _ := have.([]any)
	if len(w) != len(h) {
		return fmt.Sprintf("want %s, got %s", show(want), show(have))
	}
	for i := range w {
		if why := object(w[i], h[i], lax); why != "" {
			return fmt.Sprintf("row %d: %s", i+1, why)
		}
	}
	return ""
}

// bySide puts rows of left and right in one order; which is said first does not
// matter.
func bySide(list any) any {
	rows, ok := list.([]any)
	if !ok {
		return list
	}
	side := func(row any) string {
		r, _ := row.(map[string]any)
		return show(r["side"])
	}
	return slices.SortedFunc(slices.Values(rows), func(a, b any) int { return strings.Compare(side(a), side(b)) })
}

// object compares one row. What is extra in a row and scored exactly is wrong
// too.
func object(want, have any, lax bool) string {
	w, _ := want.(map[string]any)
	h, ok := have.(map[string]any)
	if !ok {
		return fmt.Sprintf("want %s, got %s", show(want), show(have))
	}
	for _, name := range slices.Sorted(maps.Keys(w)) {
		if slices.Contains(unscored, name) {
			continue
		}
		v := h[name]
		switch {
		case lax && name == "finding":
			if !keyWord(w[name], v) && !keyWord(w[name], h["words"]) {
				return fmt.Sprintf("finding %s, got %s", show(w[name]), show(v))
			}
		case lax && name != "side" && name != "site" && name != "seconds":
			if !keyWord(w[name], v) && show(w[name]) != show(v) && !keyWord(w[name], h["words"]) {
				return fmt.Sprintf("%s %s, got %s", name, show(w[name]), show(v))
			}
		case name == "state" && h["state"] != nil && !equal("", w[name], v), name != "state" && !equal(name, w[name], v) || v == nil && w[name] != nil:
			return fmt.Sprintf("%s %s, got %s", name, show(w[name]), show(v))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(h)) {
		if _, expected := w[name]; !expected && slices.Contains(exactInRows, name) && h[name] != nil && !lax {
			return fmt.Sprintf("%s %s is extra", name, show(h[name]))
		}
	}
	return ""
}

// silentlyWrong are the values that were filled wrongly without a question:
// another value than the expected one, one where a question was due, or one
// that nothing was said of.
func silentlyWrong(want map[string]any, g got) []string {
	asked := texts(any(g["ask"]))
	due := texts(want["ask"])
	var out []string
	for _, name := range slices.Sorted(maps.Keys(g)) {
		have := g[name]
		if have == nil || !isMeasured(name) || nothingAbnormal(name, have) || slices.Contains(asked, name) {
			continue
		}
		w, expected := want[name]
		switch {
		case !expected:
			out = append(out, fmt.Sprintf("%s %s", name, show(have)))
		case differs(name, w, have, g) != "":
			if partAsked(name, asked) && onlyMissing(w, have) {
				continue // the part that is missing is under question
			}
			out = append(out, fmt.Sprintf("%s %s, said %s", name, show(have), show(w)))
		case slices.Contains(due, name):
			out = append(out, fmt.Sprintf("%s %s, without the question", name, show(have)))
		}
	}
	return out
}

// partAsked tells whether a question is about a part of a list: "young.head".
func partAsked(name string, asked []string) bool {
	return slices.ContainsFunc(asked, func(a string) bool { return strings.HasPrefix(a, name+".") })
}

// onlyMissing tells whether rows differ from the expected ones only by what they
// do not say.
func onlyMissing(want, have any) bool {
	w, okW := want.([]any)
	h, okH := have.([]any)
	if !okW || !okH || len(h) > len(w) {
		return false
	}
	for i := range h {
		said, ok := h[i].(map[string]any)
		due, okDue := w[i].(map[string]any)
		if !ok || !okDue {
			return false
		}
		for part, v := range said {
			if v != nil && slices.Contains(exactInRows, part) && !equal(part, due[part], v) {
				return false
			}
		}
	}
	return true
}

// show is a value as JSON.
func show(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	return string(b)
}
