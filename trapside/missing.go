package trapside

import (
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
)

// said reports whether anything was said of a row.
func (k *cardOf) said(word string) bool {
	h := k.d.Capture.Handled
	if h == nil {
		return word == "species" && k.sheet != nil
	}
	switch word {
	case "species":
		return k.sheet != nil
	case "marks":
		return len(h.Marks) > 0 || h.Scan != ""
	case "sex":
		return h.Sex != ""
	case "stage":
		return h.Stage != ""
	case "weight":
		_, ok := h.MassMilli()
		return ok || h.Measures[protocol.Mass].Is() != record.Unknown
	case "young":
		return len(h.Young) > 0 || !k.hasYoung()
	case "findings":
		return len(h.Findings) > 0
	case "samples":
		return len(h.Samples) > 0
	case "release":
		return true
	}
	for id := range h.Measures {
		if base, _, _ := strings.Cut(id, "."); base == word {
			return true
		}
	}
	return h.Signs[word].Is() != record.Unknown
}

// hasYoung tells whether a sign says that there are young, whose rows follow.
func (k *cardOf) hasYoung() bool {
	for id, s := range k.d.Capture.Handled.Signs {
		if sign, ok := k.sheet.Sign(id); ok {
			if w, ok := sign.Word(s.Value); ok && w.Young {
				return true
			}
		}
	}
	return false
}

// missing are the rows of the sheet that must be had before release and of
// which nothing is said, and how dependent young left with her.
func (k *cardOf) missing() []string {
	if k.sheet == nil {
		return []string{"species"}
	}
	required := k.sheet.Required
	if k.card.Brief {
		required = slices.DeleteFunc(slices.Clone(required), func(w string) bool { return !slices.Contains(k.order(), w) })
	}
	var out []string
	for _, word := range required {
		if row, fits := k.row(word); fits && !k.said(word) {
			out = append(out, row.Label)
		}
	}
	for _, m := range k.card.Marks {
		if m.waits() {
			out = append(out, page.Tail(m.Text)+" put on now or read")
		}
	}
	out = append(out, k.underQuestion()...)
	if k.d.Wrong["released/fate"] != "" {
		out = append(out, "what became of it")
	}
	if h := k.d.Capture.Handled; h != nil && len(h.Young) > 0 && (k.d.Capture.Released == nil || k.d.Capture.Released.WithYoung == "") {
		out = append(out, "how the young left")
	}
	return out
}

// underQuestion are the values that were said and are not filled in until
// somebody answers.
func (k *cardOf) underQuestion() []string {
	var out []string
	for _, q := range k.d.Doubts {
		if !q.Held {
			of := ""
			if strings.Contains(q.Field, "/") {
				of = fieldWords(q.Field)
			}
			out = append(out, strings.TrimSpace(of+" "+named(q.Value, q.Words))+"?")
		}
	}
	return out
}

// lacks is the key under which it is kept that what is missing has been shown.
func lacks(missing []string) string { return "missing " + strings.Join(missing, ", ") }
