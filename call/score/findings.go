package score

import (
	"slices"
	"strings"

	"dawnround/call"
)

// findings parts parasites from other findings.
func (g got) findings(h call.Heard) {
	rows := map[string]map[string]any{}
	var order []string
	for _, f := range h.Fields {
		rest, ok := strings.CutPrefix(f.At, "findings/")
		if !ok {
			continue
		}
		number, part, _ := strings.Cut(rest, "/")
		if rows[number] == nil {
			rows[number] = map[string]any{}
			order = append(order, number)
		}
		g.findingPart(rows[number], part, f)
	}
	for _, number := range order {
		row := rows[number]
		finding, isFinding := row["finding"].(string)
		if !isFinding || parasites[finding] {
			if isFinding {
				delete(row, "finding")
				delete(row, "words")
				row["kind"] = finding
			}
			g.add("parasites", row)
			continue
		}
		row["finding"] = finding
		g.add("findings", row)
	}
	g.dropNotTaken()
}

var parasites = map[string]bool{"tick": true, "mite": true, "flea": true, "louse": true}

func (g got) findingPart(row map[string]any, part string, f call.Field) {
	switch part {
	case "sign":
		row["finding"] = f.Value
		row["words"] = f.Why
	case "part":
		row["site"] = f.Value
	case "size":
		row["size_text"] = f.Value
	case "low":
		row["count_min"] = value(f)
	case "high":
		row["count_max"] = value(f)
	case "count":
		row["count"] = value(f)
		if f.Roughly {
			row["approx"] = true
		}
	default:
		row[part] = value(f)
	}
}

// dropNotTaken takes the rows of samples that were not taken out of the list.
func (g got) dropNotTaken() {
	list, ok := g["samples"].([]any)
	if !ok {
		return
	}
	list = slices.DeleteFunc(list, func(row any) bool {
		m := row.(map[string]any)
		return m["dropped"] != nil || len(m) == 0
	})
	if len(list) == 0 {
		delete(g, "samples")
		return
	}
	g["samples"] = list
}
