package score

import (
	"encoding/json"
	"strconv"
	"strings"

	"dawnround/call"
	"dawnround/record"
)

// got is what was heard, in the names of the case file.
type got map[string]any

// inFileNames turns a Heard into the names, units and words of the case file.
func inFileNames(h call.Heard) got {
	g := got{}
	for _, f := range h.Fields {
		g.field(f)
	}
	g.whyNot(h)
	g.foot(h)
	g.testes(h)
	g.findings(h)
	g.talk(h)
	g.notes(h)
	g.alsoCalled(h)
	return g
}

// field enters one field by the first part of its address.
func (g got) field(f call.Field) {
	kind, rest, _ := strings.Cut(f.At, "/")
	switch kind {
	case "young":
		g.young(rest, f)
	case "teats":
		g.teats(rest, f)
	case "samples":
		g.sample(rest, f)
	case "checks":
		g.row("traps", rest, f)
	case "except":
		g.row("exceptions", rest, f)
	case "incidents":
		g.incident(rest, f)
	case "released":
		g.released(rest, f)
	case "actions":
		g.add("action", theirs("actions", f.Value))
	case "findings":
	case "measures":
		g.measure(f)
	default:
		g.plain(f)
	}
}

func (g got) add(name string, value any) {
	list, _ := g[name].([]any)
	g[name] = append(list, value)
}

// plain enters a field that the table of names has.
func (g got) plain(f call.Field) {
	name, ok := nameOf[f.At]
	switch {
	case f.At == "brief":
		g["processed"] = false
		return
	case f.At == "line/outcome":
		name, ok = "outcome", true
	}
	if !ok {
		return
	}
	g[name] = value(f)
	if f.At == "weather/says" {
		g[name] = f.Value + ": " + f.Why
	}
	if f.At == "marks/transponder/text" && f.State == record.NoneSeen && f.Why == "scanned" {
		g["scan_result"] = "none_found"
	}
	g.reason(f)
}

// whyNot adds the words of a reason to its code, so that either may be
// expected (reasons are scored by a key word).
func (g got) whyNot(h call.Heard) {
	if f, ok := h.Field("pouch/checked"); ok && f.Why != "" && g["reason"] == nil {
		g["reason"] = f.Why
	}
	code, ok := g["reason"].(string)
	if !ok {
		return
	}
	for _, w := range h.Words {
		if w.Field == "why" {
			code += " " + w.Text
		}
	}
	if strings.Contains(strings.ToLower(h.Said), "not measur") {
		code += " not_measured"
	}
	g["reason"] = code
}

func (g got) reason(f call.Field) {
	if f.State != record.Unknown && f.Why != "" {
		g["reason"] = f.Why
	}
}

// value is a field's value as JSON: a number, true, text or null.
func value(f call.Field) any {
	switch {
	case f.Pending || f.State != record.Unknown:
		return nil
	case len(f.Again) > 0:
		list := []any{f.Number.Value()}
		for _, q := range f.Again {
			list = append(list, q.Value())
		}
		return list
	case f.Number != nil:
		return f.Number.Value()
	}
	text := theirs(f.At, f.Value)
	switch {
	case text == "yes" || text == "true":
		return true
	case text == "no" || text == "false":
		return false
	case strings.HasPrefix(f.At, "marks/") || strings.HasSuffix(f.At, "/label"):
		return text
	}
	if n, err := strconv.ParseFloat(text, 64); err == nil {
		return n
	}
	return text
}

func (g got) measure(f call.Field) {
	at, side, _ := strings.Cut(f.At, ".")
	switch {
	case at == "measures":
		g["measurements"] = "not_taken_same_session"
	case at == "measures/pes/side":
		g["pes_side"] = value(f)
	case at == "measures/pes":
		g["pes_mm"] = value(f)
	case nameOf[at] != "" && side == "":
		g[nameOf[at]] = value(f)
	}
	g.reason(f)
}

// foot enters side and convention of the foot; two conventions at once have
// names of their own.
func (g got) foot(h call.Heard) {
	var feet []call.Field
	for _, f := range h.Fields {
		if f.At == "measures/pes" && f.State == record.Unknown {
			feet = append(feet, f)
		}
	}
	if len(feet) == 2 {
		delete(g, "pes_mm")
		for _, f := range feet {
			name := map[string]string{"with claw": "pes_with_claw_mm", "without claw": "pes_no_claw_mm"}[f.Convention]
			if name == "" {
				name = "pes_mm"
			}
			g[name] = value(f)
			if f.Side != "" {
				g["pes_side"] = f.Side
			}
		}
		return
	}
	for _, f := range feet {
		if f.Side != "" {
			g["pes_side"] = f.Side
		}
		if f.Convention != "" && !(f.Pending && f.Why == "not understood") {
			g["pes_convention"] = theirs("convention", f.Convention)
		}
	}
}

// testes enters testes by side: two sides are rows, one side is as if no side
// was said.
func (g got) testes(h call.Heard) {
	rows := map[string]map[string]any{}
	for _, side := range []string{"left", "right"} {
		for at, name := range map[string]string{"measures/testis." + side: "l_mm", "measures/testis width." + side: "w_mm"} {
			if f, ok := h.Field(at); ok {
				if rows[side] == nil {
					rows[side] = map[string]any{"side": side}
				}
				rows[side][name] = value(*f)
			}
		}
	}
	switch len(rows) {
	case 2:
		g["testes"] = []any{rows["left"], rows["right"]}
	case 1:
		for _, row := range rows {
			for from, to := range map[string]string{"l_mm": "testis_l_mm", "w_mm": "testis_w_mm"} {
				if v, ok := row[from]; ok {
					g[to] = v
				}
			}
		}
	}
}

// rowAt gives the n-th row of a list, which the address counts from 1.
func (g got) rowAt(name, number string) map[string]any {
	n, _ := strconv.Atoi(number)
	list, _ := g[name].([]any)
	for len(list) < n {
		list = append(list, map[string]any{})
	}
	g[name] = list
	if n < 1 {
		return map[string]any{}
	}
	return list[n-1].(map[string]any)
}

func (g got) row(name, rest string, f call.Field) {
	number, part, _ := strings.Cut(rest, "/")
	row := g.rowAt(name, number)
	if part == "species" {
		part = "species_text"
	}
	row[part] = value(f)
}

func (g got) young(rest string, f call.Field) {
	number, part, _ := strings.Cut(rest, "/")
	if name := nameOf[f.At]; name != "" {
		g[name] = value(f)
		return
	}
	if number == "sex" {
		counts, _ := g["young_sex"].(map[string]any)
		if counts == nil {
			counts = map[string]any{}
			g["young_sex"] = counts
		}
		counts[part] = value(f)
		return
	}
	row := g.rowAt("young", number)
	part = strings.TrimPrefix(strings.TrimPrefix(part, "signs/"), "measures/")
	names := map[string]string{"crown-rump": "crown_rump_mm", "head": "head_mm", "pes": "pes_mm", "mass": "weight_g", "where": "location", "sex reason": "sex_reason"}
	if names[part] != "" {
		part = names[part]
	}
	row[part] = value(f)
	if f.Roughly {
		row["estimated"] = true
	}
}

func (g got) teats(rest string, f call.Field) {
	if name := nameOf[f.At]; name != "" {
		g[name] = value(f)
		return
	}
	number, part, _ := strings.Cut(rest, "/")
	g.rowAt("teats", number)[part] = value(f)
}

func (g got) sample(rest string, f call.Field) {
	number, part, _ := strings.Cut(rest, "/")
	if part == "kind" && f.State == record.NotChecked {
		g.add("not_taken", map[string]any{"type": theirs("samples/kind", f.Value), "reason": f.Why})
		g.rowAt("samples", number)["dropped"] = true
		return
	}
	names := map[string]string{"kind": "type", "part": "site", "amount": "n"}
	if names[part] != "" {
		part = names[part]
	}
	g.rowAt("samples", number)[part] = value(f)
}

func (g got) incident(rest string, f call.Field) {
	_, part, _ := strings.Cut(rest, "/")
	name := map[string]string{"kind": "incident", "person site": "person_site", "aid": "first_aid"}[part]
	if name != "" {
		g[name] = value(f)
	}
}

func (g got) released(part string, f call.Field) {
	if part == "why" {
		g["suspected_cause_text"] = f.Value
		return
	}
	r, _ := g["release"].(map[string]any)
	if r == nil {
		r = map[string]any{}
		g["release"] = r
	}
	switch part {
	case "fate":
		r["done"] = true
	case "where":
		if f.Value == "here" {
			r["at_capture_point"] = true
		} else {
			r["place_text"] = f.Value
			r["at_capture_point"] = false
		}
	case "with young":
		r["with_young"] = true
	default:
		r[part] = f.Value
	}
}

// Text is what was heard, in the names of the case file, as JSON.
func Text(h call.Heard) string { return inFileNames(h).text() }

// text is what was got as JSON, for the side-by-side list.
func (g got) text() string {
	b, err := json.Marshal(g)
	if err != nil {
		return err.Error()
	}
	return string(b)
}
