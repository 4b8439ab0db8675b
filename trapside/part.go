package trapside

import (
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/record"
)

// incidentKinds are what goes wrong; of a person only that it happened.
var incidentKinds = []string{"young ejected", "torpor", "distress", "escape", "injury", "person hurt"}

func incidents(c Card) []record.Incident {
	if c.Draft.Handled == nil {
		return nil
	}
	return c.Draft.Handled.Incidents
}

// withYoung are the ways young leave with their mother.
func withYoung(c Card) []page.Option {
	list := options("pouch closed", "young followed her", "let go together in one bag", "young not seen to follow")
	if c.Draft.Released != nil {
		choose(list, c.Draft.Released.WithYoung)
	}
	return list
}

func dead(c Card) bool { return c.Draft.Released != nil && c.Draft.Released.Fate.Ends() }

func releaseInputs(c Card) []Input {
	r := record.Released{}
	if c.Draft.Released != nil {
		r = *c.Draft.Released
	}
	return []Input{
		{ID: "f-released-where", Field: "released/where", Label: "where, if not at its trap", Value: r.Where},
		{ID: "f-released-why", Field: "released/why", Label: "why: cause of death, reason kept or removed", Value: r.Why},
		{ID: "f-released-behaviour", Field: "released/behaviour", Label: "how it went", Value: r.Behaviour},
	}
}

func moreInputs(c Card) []Input {
	notes := ""
	if c.Draft.Handled != nil {
		notes = c.Draft.Handled.Notes
	}
	return []Input{{ID: "f-notes", Field: "notes", Label: "notes, word for word", Value: notes}}
}

// keepWord is what the button that ends the handling says.
func (c *Card) keepWord() string {
	if c.Halt {
		return "keep all the same"
	}
	i := slices.IndexFunc(c.Fates, func(o page.Option) bool { return o.On })
	if i < 0 || c.Fates[i].Value == string(record.FateReleased) {
		return "released: keep"
	}
	return "keep"
}

// turnOf tells whether it is a row's turn.
func (c *Card) turnOf(row string) bool {
	return slices.ContainsFunc(c.Rows, func(r Row) bool { return r.Key == row && r.Next })
}

// stateField is the field that a state without a value goes to: the first of
// the row with nothing in it, or the net weight.
func (r Row) stateField() string {
	for _, in := range r.Inputs {
		if in.Next && r.Kind != "weight" {
			return in.Field
		}
	}
	return r.Field
}

// about is what stands under the name: the species, and what to know.
func (c *Card) about() string {
	words := append([]string{c.Sheet}, c.Facts...)
	return join(slices.DeleteFunc(words, func(w string) bool { return w == "" }))
}

// says is the kind of a mark, how it was read and what was done with it.
func (m MarkRow) says() string {
	return join(slices.DeleteFunc([]string{m.Kind, m.How, m.Act}, func(w string) bool { return w == "" }))
}

func join(words []string) string { return strings.Join(words, " · ") }
