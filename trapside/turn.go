package trapside

import (
	"slices"
	"strings"

	"dawnround/record"
)

// turns says whose turn it is, and where Enter goes from each field. The row
// that was written last keeps its turn while it is not finished; then comes the
// first row after it of which nothing is said, else the first of all.
func (k *cardOf) turns() {
	rows := k.card.Rows
	at, field := k.lastWritten()
	if at >= 0 && k.d.Asked == "" && k.unfinished(&rows[at], field) {
		rows[at].Next = true
		k.within(&rows[at], field)
	} else if i := k.after(at); i >= 0 {
		rows[i].Next = true
		rows[i].firstEmpty()
	}
	for i := range rows {
		k.onward(i)
	}
	for i := range k.card.Young {
		k.card.Young[i].onward()
	}
}

// lastWritten is the place of the row that was written last, and the field; -1
// where the card has none. A step "done" ends the turn of the row that it names.
func (k *cardOf) lastWritten() (at int, field string) {
	for _, i := range slices.Backward(record.Standing(k.d.Steps)) {
		field = k.d.Steps[i].Field
		of := strings.TrimPrefix(field, "doubts/")
		if of == "done" {
			of = k.d.Steps[i].Typed
		}
		if row := k.rowOf(of); row != nil {
			return slices.IndexFunc(k.card.Rows, func(r Row) bool { return r.Key == row.Key }), field
		}
	}
	return -1, ""
}

// unfinished tells whether a row that was just written in wants more: a field
// that could not be read, the other part of a weighing, the other side, a word
// about a new mark, or rows of its own, typed in, until somebody says that they
// are done.
func (k *cardOf) unfinished(row *Row, field string) bool {
	switch {
	case field == "done":
		return false
	case slices.ContainsFunc(row.Doubts, func(q Doubt) bool { return !q.Held }):
		return true
	case k.d.Wrong[field] != "":
		return len(row.Inputs) > 0 || row.Kind == "young"
	case row.Kind == "weight":
		return !k.said("weight")
	case row.Kind == "measure":
		h := k.d.Capture.Handled
		_, right := k.d.Said[strings.TrimSuffix(field, ".left")+".right"]
		return strings.HasSuffix(field, ".left") && !right && h != nil && h.Measures[strings.TrimPrefix(field, "measures/")].Is() == record.Seen
	case row.Kind == "marks":
		return k.newMark()
	}
	return (row.Kind == "young" || row.Kind == "findings") && !k.called(field)
}

// called tells whether a field was filled by a phrase. Whoever calls names what
// comes next, so a row of several is not held open.
func (k *cardOf) called(field string) bool {
	for _, i := range slices.Backward(record.Standing(k.d.Steps)) {
		if s := k.d.Steps[i]; s.Field == field {
			return s.Phrase > 0
		}
	}
	return false
}

// within marks the field of an unfinished row that comes next: the one that
// could not be read, else the first with nothing in it.
func (k *cardOf) within(row *Row, field string) {
	if row.Kind == "young" {
		number, _, _ := strings.Cut(strings.TrimPrefix(field, "young/"), "/")
		for i := range k.card.Young {
			if y := &k.card.Young[i]; y.Number == number {
				y.Next = true
				markNext(y.Inputs, k.d.Wrong[field] != "", field)
			}
		}
		return
	}
	markNext(row.Inputs, k.d.Wrong[field] != "", field)
}

func markNext(inputs []Input, wrong bool, field string) {
	for i := range inputs {
		if in := &inputs[i]; wrong && in.Field == field || !wrong && in.Value == "" {
			in.Next = true
			return
		}
	}
}

// firstEmpty marks the first field of a row with nothing in it.
func (r *Row) firstEmpty() { markNext(r.Inputs, false, "") }

// after is the first row after a place of which nothing is said; -1: none.
func (k *cardOf) after(at int) int {
	rows := k.card.Rows
	for i := range rows {
		if j := (at + 1 + i) % len(rows); j != at && k.turn(&rows[j]) {
			return j
		}
	}
	return -1
}

// onward says where Enter goes from the fields of a row: to its next part with
// nothing in it, then to the next row.
func (k *cardOf) onward(i int) {
	row := &k.card.Rows[i]
	out := "row-release"
	if j := k.after(i); j >= 0 {
		out = k.card.Rows[j].goal()
	}
	for n := range row.Inputs {
		row.Inputs[n].Then = out
		if n+1 < len(row.Inputs) && row.Inputs[n+1].Value == "" && (row.Kind != "weight" || n == 0) {
			row.Inputs[n].Then = row.Inputs[n+1].ID
		}
	}
}

// goal is what is turned to when it is a row's turn: its first field with
// nothing in it, or the row itself; never a button, which a stray Enter presses.
func (r *Row) goal() string {
	if r.Key == "marks" {
		return "call"
	}
	for _, in := range r.Inputs {
		if in.Value == "" {
			return in.ID
		}
	}
	return "row-" + slug(r.Key)
}

// onward keeps Enter among the fields of a young, then goes to the buttons
// that end it.
func (y *YoungRow) onward() {
	for n := range y.Inputs {
		y.Inputs[n].Then = "young-done"
		if n+1 < len(y.Inputs) {
			y.Inputs[n].Then = y.Inputs[n+1].ID
		}
	}
}
