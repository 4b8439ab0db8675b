package score

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/call"
)

// talk enters questions, confirmations and corrections.
func (g got) talk(h call.Heard) {
	var asked []string
	for _, q := range h.Questions {
		asked = append(asked, rowName(h, q.About))
	}
	if asked != nil {
		g["ask"] = asked
	}
	g.named("confirm", h.Confirmed)
	g.named("pending", h.Again)
	if h.Query != "" {
		g["query"] = fieldName(h.Query)
	}
	if h.Previous {
		g["applies_to"] = "previous_animal"
	}
	if h.ByOrder {
		g["assumed_order"] = true
	}
	g.corrections(h)
}

func (g got) named(name string, addresses []string) {
	var names []string
	for _, at := range addresses {
		names = append(names, fieldName(at))
	}
	if names != nil {
		g[name] = names
	}
}

// rowName names a question about a whole row.
func rowName(h call.Heard, about string) string {
	list, number, ok := strings.Cut(about, "/")
	if !ok || strings.Trim(number, "0123456789") != "" {
		return askedName(about)
	}
	if sign, said := h.Field(about + "/sign"); list == "findings" && (!said || parasites[theirs("kind", sign.Value)]) {
		return "parasites"
	}
	return map[string]string{"checks": "traps", "except": "exceptions"}[list] + map[bool]string{true: list}[list != "checks" && list != "except"]
}

func askedName(about string) string {
	if name, ok := asTopic[about]; ok {
		return name
	}
	return fieldName(about)
}

// fieldName is the file's name of an address; a side of a testis has no name
// of its own there.
func fieldName(at string) string {
	if name, ok := nameOf[at]; ok {
		return name
	}
	bare, _, _ := strings.Cut(at, ".")
	if name, ok := nameOf[bare]; ok {
		return name
	}
	if rest, ok := strings.CutPrefix(at, "young/"); ok && strings.Contains(rest, "/") {
		return "young." + lastPart(rest)
	}
	if strings.HasPrefix(at, "findings/") {
		return "parasites." + lastPart(at)
	}
	if strings.HasPrefix(at, "samples/") {
		return "samples." + lastPart(at)
	}
	return at
}

func (g got) corrections(h call.Heard) {
	var names []string
	var was []any
	for _, c := range h.Corrected {
		if f, ok := h.Field(c.At); ok && f.Derived {
			continue
		}
		if c.At == "measures/pes/side" {
			names, was = append(names, "pes_side"), append(was, c.Was)
			continue
		}
		names = append(names, fieldName(c.At))
		was = append(was, correctedValue(c))
	}
	switch len(names) {
	case 0:
	case 1:
		g["corrects"], g["was"] = names[0], was[0]
	default:
		g["corrects"], g["was"] = names, was
	}
}

func correctedValue(c call.Correction) any {
	if strings.HasPrefix(c.At, "marks/") || strings.HasPrefix(c.At, "samples/") {
		return c.Was
	}
	if n, err := strconv.ParseFloat(c.Was, 64); err == nil {
		return n
	}
	return theirs(c.At, c.Was)
}

func (g got) notes(h call.Heard) {
	for _, n := range h.Notes {
		if kind, ok := strings.CutPrefix(n, "already sampled: "); ok {
			_ = kind
			g["warn"] = "already_sampled"
			continue
		}
		g["flag"] = strings.ReplaceAll(n, " ", "_")
	}
}

// alsoCalled enters what the file has a further name for: a number that was
// read twice, the words of an incident, an injury that the trap did, and what
// was seen of eyes and coat as a whole.
func (g got) alsoCalled(h call.Heard) {
	if _, put := g["chip_action"]; !put && g["chip_verified"] == true {
		g["verified"] = true
	}
	if kind := g["incident"]; kind == "torpor" || kind == "distress" {
		var words []string
		for _, w := range h.Words {
			if w.Field == "incidents/1/kind" {
				words = append(words, w.Text)
			}
		}
		g["signs"] = strings.Join(words, " ")
	}
	for _, f := range h.Fields {
		if strings.HasPrefix(f.At, "findings/") && strings.HasSuffix(f.At, "/cause") && ofTheTrap(f.Value) {
			g["trap_injury"] = true
		}
		if strings.HasPrefix(f.At, "actions/") && f.Value == "stop" {
			g["abort"] = true
		}
	}
}

// ofTheTrap tells whether a cause is a part of a trap.
func ofTheTrap(cause string) bool {
	return slices.ContainsFunc(strings.Fields(strings.ToLower(cause)), func(w string) bool {
		return slices.Contains([]string{"trap", "mesh", "wire", "door", "treadle", "cage", "bar", "bars", "floor"}, w)
	})
}
