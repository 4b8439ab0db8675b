package trapside

import (
	"slices"
	"strings"
	"time"

	"dawnround/check"
	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// cardOf is a card while it is being made.
type cardOf struct {
	r      *register.Register
	p      *protocol.Protocol
	d      *Draft
	sheet  *protocol.Sheet // nil: the species is not told
	animal *register.Animal
	card   *Card
	held   check.Held // the draft, as it is checked
	now    time.Time
}

// unknownOrder is the card of an animal whose species nobody has told.
var unknownOrder = []string{"marks", "species"}

// order is the crew's calling order, short for a retrap.
func (k *cardOf) order() []string {
	switch {
	case k.sheet == nil:
		return unknownOrder
	case k.card.Brief && k.sheet.Bycatch:
		return []string{"species", "release"}
	case k.card.Brief:
		return k.alsoSaid(k.sheet.Retrap)
	case len(k.sheet.Order) == 0:
		return []string{"species", "marks", "sex", "stage", "weight", "findings", "samples", "release"}
	}
	return k.sheet.Order
}

// alsoSaid is the short order with what was called beside it, before the
// release: what is written is to be seen.
func (k *cardOf) alsoSaid(short []string) []string {
	out := slices.Clone(short)
	for _, word := range k.sheet.Order {
		if slices.Contains(out, word) || !k.calledRow(word) {
			continue
		}
		at := slices.Index(out, "release")
		if at < 0 {
			at = len(out)
		}
		out = slices.Insert(out, at, word)
	}
	return out
}

// calledRow tells whether a phrase that stands filled or asked about a row.
func (k *cardOf) calledRow(word string) bool {
	for _, i := range record.Standing(k.d.Steps) {
		s := k.d.Steps[i]
		if s.Phrase > 0 && wordOf(strings.TrimPrefix(s.Field, "doubts/")) == word {
			return true
		}
	}
	return false
}

// wordOf is the word of the calling order for a field of the card.
func wordOf(field string) string {
	kind, rest, _ := strings.Cut(field, "/")
	rest, _, _ = strings.Cut(rest, "/")
	word := map[string]string{"weighing": "weight", "measures": rest, "signs": rest, "scan": "marks"}[kind]
	if word == "" {
		word = kind
	}
	word, _, _ = strings.Cut(word, ".")
	if word == protocol.Mass {
		word = "weight"
	}
	return word
}

// rows makes the card row by row.
func (k *cardOf) rows() {
	for _, word := range k.order() {
		if row, ok := k.row(word); ok {
			k.card.Rows = append(k.card.Rows, row)
		}
	}
}

// turn tells whether a row may be next: nothing is said of it, and it is not
// one of those that may stay empty. A tail that was asked comes first.
func (k *cardOf) turn(row *Row) bool {
	if k.d.Asked != "" {
		return row.Kind == "marks"
	}
	return !k.said(row.Key) && !slices.Contains([]string{"release", "findings", "samples"}, row.Kind)
}

// row makes one row of the card; false for what this animal does not have.
func (k *cardOf) row(word string) (Row, bool) {
	switch word {
	case "species", "sex", "stage":
		return k.word(word), true
	case "weight":
		return k.weight(), true
	case "marks", "findings", "samples", "release":
		return Row{Key: word, Kind: word, Label: word, Last: k.lastWords(word)}, true
	case "young":
		return Row{Key: word, Kind: word, Label: word, Last: k.lastWords(word)}, k.sex() != record.Male
	}
	if t, ok := k.sheet.Trait(word); ok && t.Of != protocol.OfYoung {
		return k.measure(t), k.fits(t.Sex)
	}
	if s, ok := k.sheet.Sign(word); ok && s.Of != protocol.OfYoung {
		return k.sign(s), k.fits(s.Sex)
	}
	return Row{}, false
}

// sex is what was told now, else at an earlier capture.
func (k *cardOf) sex() record.Sex {
	if h := k.d.Capture.Handled; h != nil && h.Sex != "" {
		return h.Sex
	}
	if k.animal != nil {
		return sexOf(k.animal, k.card.ID)
	}
	return record.SexUnknown
}

// fits tells whether a trait or sign of one sex concerns this animal.
func (k *cardOf) fits(sex string) bool {
	now := k.sex()
	return sex == "" || now == record.SexUnknown || now == record.Unsexed || string(now) == sex
}

// word is a row that is one word chosen.
func (k *cardOf) word(word string) Row {
	row := Row{Key: word, Kind: "word", Label: word, Field: word, Last: k.lastWords(word), Now: k.d.Said[word], Struck: k.d.Struck[word]}
	switch word {
	case "species":
		for _, s := range k.p.Species {
			row.Values = append(row.Values, page.Option{Value: s.Code, Says: s.Name})
		}
		row.Now = k.card.Sheet
		if h := k.d.Capture.Handled; h != nil && h.SpeciesBy != "" {
			row.Now += " (" + h.SpeciesBy + ")"
		}
	case "sex":
		row.Values = []page.Option{{Value: "female", Says: "♀ female"}, {Value: "male", Says: "♂ male"}, {Value: "not told", Says: "not told"}}
	case "stage":
		for _, s := range k.sheet.Stages {
			row.Values = append(row.Values, page.Option{Value: s.ID, Says: named(s.Name, s.ID)})
		}
	}
	choose(row.Values, k.d.Said[word])
	return row
}

func named(name, id string) string {
	if name != "" {
		return name
	}
	return id
}

func choose(values []page.Option, said string) {
	for i := range values {
		values[i].On = values[i].Value == said
	}
}

// measure is a trait's row: one field, or two where it is sided.
func (k *cardOf) measure(t *protocol.Trait) Row {
	row := Row{Key: t.ID, Kind: "measure", Label: named(t.Name, t.ID), Last: k.lastWords(t.ID), States: true, Field: "measures/" + t.ID}
	sides := []string{""}
	if t.Sided {
		sides = []string{"left", "right"}
		row.Field = "measures/" + t.ID + ".left"
	}
	for _, side := range sides {
		field := "measures/" + t.ID
		if side != "" {
			field += "." + side
		}
		in := k.input(field, side, t.Unit, t.Convention)
		in.Side = k.d.Said[field+"/side"]
		row.Inputs = append(row.Inputs, in)
	}
	for _, field := range sortedNumbers(k.d.Said) { // by another convention
		if by, ok := strings.CutPrefix(field, "measures/"+t.ID+"."); ok && !t.Sided && !strings.Contains(by, "/") && k.d.Said[field] != "" {
			in := k.input(field, by, t.Unit, "")
			in.Side = k.d.Said[field+"/side"]
			row.Inputs = append(row.Inputs, in)
		}
	}
	if k.blind() && !k.said(t.ID) {
		row.Last = ""
	}
	return row
}

// blind tells whether what was read before is hidden until the new value stands:
// only such pairs tell how exactly the crew measures.
func (k *cardOf) blind() bool { return k.d.Said["blind"] == "yes" }

// input is one field with what was written in it.
func (k *cardOf) input(field, label, unit, hint string) Input {
	return Input{
		ID: "f-" + slug(field), Field: field, Label: label, Unit: unitWords(unit), Hint: hint,
		Value: k.d.Said[field], Wrong: k.d.Wrong[field], Struck: k.d.Struck[field],
	}
}

// slug is a field's address as an element's id.
func slug(field string) string {
	return strings.Map(func(c rune) rune {
		if strings.ContainsRune("/. ", c) {
			return '-'
		}
		return c
	}, field)
}

// sign is a row of words to choose from.
func (k *cardOf) sign(s *protocol.Sign) Row {
	field := "signs/" + s.ID
	row := Row{
		Key: s.ID, Kind: "sign", Label: named(s.Name, s.ID), Field: field, States: true, Last: k.lastWords(s.ID),
		Now: wordsOf(s, k.d.Said[field]), Struck: k.d.Struck[field],
	}
	for _, v := range s.Values {
		row.Values = append(row.Values, page.Option{Value: v.ID, Says: named(v.Name, v.ID)})
	}
	choose(row.Values, k.d.Said[field])
	return row
}

// wordsOf is a sign's value as people say it.
func wordsOf(s *protocol.Sign, value string) string {
	if state, why, ok := record.ParseState(value); ok && value != "no" && value != "none" {
		return stateWords(state, why)
	}
	if w, ok := s.Word(value); ok {
		return named(w.Name, w.ID)
	}
	return value
}

func stateWords(state record.State, why string) string {
	if why == "" {
		return string(state)
	}
	return string(state) + ": " + why
}

// weight is gross, bag and net; the sum is told.
func (k *cardOf) weight() Row {
	row := Row{Key: "weight", Kind: "weight", Label: "weight", Last: k.lastWords("weight"), Field: "weighing/net", States: true}
	for _, part := range []struct{ field, label string }{{"gross", "gross"}, {"bag", "bag"}, {"bag_after", "bag after"}, {"net", "net, if said"}} {
		row.Inputs = append(row.Inputs, k.input("weighing/"+part.field, part.label, "g", ""))
	}
	row.Inputs[1].Hint = k.tare()
	h := k.d.Capture.Handled
	if h == nil {
		return row
	}
	if net, ok := h.MassMilli(); ok {
		row.Now = page.Grams(net)
	}
	if w := h.Weighing; w != nil && w.Net == nil && w.Gross != nil {
		if bag := w.Bag; w.BagAfter != nil || bag != nil {
			if w.BagAfter != nil {
				bag = w.BagAfter
			}
			row.Sum = page.Number(w.Gross.Milli) + " − " + page.Number(bag.Milli)
		}
	}
	if m, ok := h.Measures[protocol.Mass]; ok && m.Is() != record.Seen {
		row.Now = stateWords(m.State, m.Why)
	}
	return row
}

// tare is the mass of the bag it is in, as last weighed.
func (k *cardOf) tare() string {
	b := k.d.Capture.Bagged
	if b == nil || b.Bag == "" {
		return ""
	}
	for _, t := range k.r.Tares() {
		if t.Bag == b.Bag {
			return "bag " + b.Bag + " weighed " + t.Mass.Typed + " g empty"
		}
	}
	return ""
}

// doubts puts each question into the row it concerns. One about a value that a
// flag asks about too is not asked twice.
func (k *cardOf) doubts() {
	for _, q := range k.d.Doubts {
		row := k.rowOf(q.Field)
		switch {
		case row == nil:
			k.card.Doubts = append(k.card.Doubts, q)
		case !q.Held || len(row.Flags) == 0:
			row.Doubts = append(row.Doubts, q)
		}
	}
}

// flags puts each flag into the row it concerns.
func (k *cardOf) flags() {
	for _, f := range flagsOf(k.held, *k.d) {
		if row := k.rowOf(f.Field); row != nil {
			row.Flags = append(row.Flags, f)
		} else {
			k.card.Flags = append(k.card.Flags, f)
		}
	}
}

// rowOf finds the row of a flag's field, nil where the card has none.
func (k *cardOf) rowOf(field string) *Row {
	word := wordOf(field)
	for i := range k.card.Rows {
		if k.card.Rows[i].Key == word {
			return &k.card.Rows[i]
		}
	}
	return nil
}

// fold says what the folded rows hold, and which of them are open: the one
// whose turn it is, and those with something to be answered.
func (k *cardOf) fold() {
	for i := range k.card.Rows {
		row := &k.card.Rows[i]
		row.Open = row.Next
		switch row.Kind {
		case "marks":
			row.Now = k.marksNow()
			row.Open = row.Next || len(k.card.Pick) > 0 || k.d.Asked != "" || k.newMark()
		case "young":
			if n := len(k.card.Young); n > 0 {
				row.Now = page.Count(n, "young", "young")
			}
			row.Open = row.Next || len(k.card.Young) > 0
		case "findings":
			var said []string
			for _, f := range k.card.Findings {
				said = append(said, f.Says)
			}
			row.Now, row.Stay = strings.Join(said, ", "), true
		case "samples":
			var said []string
			for _, s := range k.card.Samples {
				said = append(said, s.Kind+" "+s.Label)
			}
			row.Now, row.Stay = strings.Join(said, ", "), true
		case "word":
			row.Wrong = k.d.Wrong[row.Field]
		case "release":
			row.Wrong = k.d.Wrong["released/fate"]
			row.Now, row.Stay = fateWords(k.fate()), true
			row.Open = len(k.card.Young) > 0 || k.fate() != record.FateReleased
		}
	}
}

func (k *cardOf) fate() record.Fate {
	if r := k.d.Capture.Released; r != nil && r.Fate != "" {
		return r.Fate
	}
	return record.FateReleased
}

// marksNow is the marks on the card by their tails.
func (k *cardOf) marksNow() string {
	var said []string
	for _, m := range k.card.Marks {
		said = append(said, strings.TrimSpace(page.Tail(m.Text)+" "+m.Act))
	}
	if scan := k.d.Said["scan"]; scan != "" {
		said = append(said, scanWords(scan))
	}
	return strings.Join(said, ", ")
}

// scanWords is what was said of a chip that was looked for, or was not.
func scanWords(scan string) string {
	if state, why, ok := record.ParseState(scan); ok && state == record.NotChecked {
		return stateWords(state, why)
	}
	return "no chip found"
}

// newMark tells whether a mark on the card waits for a word: put on now, or
// not readable.
func (k *cardOf) newMark() bool {
	return slices.ContainsFunc(k.card.Marks, func(m MarkRow) bool { return m.Kind == "" || m.waits() })
}

// haltWord is how the stops begin: where all of them are passed limits, none of
// them is impossible.
func (c *Card) haltWord() string {
	word := page.LimitWord(string(record.Stop))
	stops := slices.Clone(c.Flags)
	for _, r := range c.Rows {
		stops = append(stops, r.Flags...)
	}
	for _, f := range stops {
		if f.Grade == string(record.Stop) && f.Word != word {
			return f.Word
		}
	}
	return word
}

// halted tells whether every stop has been shown by an attempt to keep.
func (k *cardOf) halted() bool {
	all := slices.Clone(k.card.Flags)
	for _, r := range k.card.Rows {
		all = append(all, r.Flags...)
	}
	stops := slices.DeleteFunc(all, func(f Flag) bool { return f.Grade != string(record.Stop) })
	return len(stops) > 0 && !slices.ContainsFunc(stops, func(f Flag) bool { return k.d.Acts[f.Key] == "" })
}
