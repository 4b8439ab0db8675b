package check

import (
	"encoding/json"
	"fmt"
	"strings"

	"dawnround/register"
)

// versions says a disagreement: two corrections of one field, or two lines
// that state one part.
func versions(d register.Disagreement) found {
	last := len(d.Values) - 1
	return found{
		field:    row(d.Field),
		says:     fmt.Sprintf("Two versions: %s, and later %s. The later shows; which is right?", brief(d.Values[0]), brief(d.Values[last])),
		evidence: fmt.Sprintf("%s: %s", d.Field, strings.Join(d.Values, " | ")),
	}
}

// brief says a value that stands as JSON: the words as typed where there are
// any, and never more than a sentence can bear.
func brief(value string) string {
	var word string
	var typed struct{ Typed string }
	switch {
	case json.Unmarshal([]byte(value), &word) == nil:
		value = word
	case json.Unmarshal([]byte(value), &typed) == nil && typed.Typed != "":
		value = typed.Typed
	case value == "null":
		value = "nothing"
	}
	const most = 80
	if r := []rune(value); len(r) > most {
		return string(r[:most]) + "…"
	}
	return value
}

// row is the row of the card that shows the field at a JSON Pointer of a
// capture's line.
func row(pointer string) string {
	steps := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
	if steps[0] != "handled" || len(steps) == 1 {
		return steps[0]
	}
	switch steps = steps[1:]; steps[0] {
	case "measures", "signs", "young":
		return strings.Join(steps[:min(2, len(steps))], "/")
	}
	return steps[0]
}
