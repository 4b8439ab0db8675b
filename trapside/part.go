package trapside

import (
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
)

// incidentKinds are what goes wrong and is written with words; a death is how it
// left the hand.
var incidentKinds = slices.DeleteFunc(slices.Clone(protocol.IncidentKinds), func(kind string) bool { return kind == "death" })

// leaving are the two answers to how young left with their mother: how the
// pouch was, and whether they were seen to go with her.
func (k *cardOf) leaving() {
	for _, r := range []Row{
		{Label: "pouch", Field: "released/pouch", Values: options("pouch closed", "pouch not closed")},
		{Label: "young", Field: "released/with_young", Values: options("let go together in one bag", "young followed her", "young not seen to follow")},
	} {
		choose(r.Values, k.d.Said[r.Field])
		k.card.Leaving = append(k.card.Leaving, r)
	}
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
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
	if c.Halt || c.Ask != "" {
		return "keep all the same"
	}
	i := slices.IndexFunc(c.Fates, func(o page.Option) bool { return o.On })
	if i < 0 || c.Fates[i].Value == string(record.FateReleased) {
		return "released: keep"
	}
	return "keep"
}

// ready tells whether nothing stands between the animal and its release.
func (c Card) ready() bool { return len(c.Missing) == 0 || c.Ask != "" }

// expects is what stands in the empty call line: whose turn it is.
func (c Card) expects() string {
	for _, r := range c.Rows {
		if r.Next {
			return r.Label + " …"
		}
	}
	return "say it …"
}

// took tells whether a kind of sample was taken now.
func (c Card) took(kind string) bool {
	return slices.ContainsFunc(c.Samples, func(s SampleRow) bool { return s.Kind == kind })
}

// waits tells whether a number that nobody bears waits for a word: put on now,
// or read.
func (m MarkRow) waits() bool { return m.Kind != "" && m.Act == "" && !m.Met && !m.Read }

// youngField tells whether a field of hers young is next.
func (c Card) youngField() bool {
	return slices.ContainsFunc(c.Young, func(y YoungRow) bool {
		return slices.ContainsFunc(y.Inputs, func(in Input) bool { return in.Next })
	})
}

// more is what the fold of a young holds, said or to be said.
func (y YoungRow) more() string {
	var said, all []string
	for i, r := range y.Words {
		if i > 0 && r.Now != "" {
			said = append(said, r.Now)
		}
		if i > 0 {
			all = append(all, r.Label)
		}
	}
	if len(said) > 0 {
		return strings.Join(said, ", ")
	}
	return strings.Join(all, ", ")
}

// turnOf tells whether it is a row's turn.
func (c *Card) turnOf(row string) bool {
	return slices.ContainsFunc(c.Rows, func(r Row) bool { return r.Key == row && r.Next })
}

// nextItself tells whether the row itself is turned to, none of its fields.
func (r Row) nextItself(c Card) bool {
	return r.Next && r.Key != "marks" && r.Key != "findings" && !c.youngNext() && !slices.ContainsFunc(r.Inputs, func(in Input) bool { return in.Next })
}

// youngNext tells whether it is the turn of one of her young.
func (c Card) youngNext() bool {
	return slices.ContainsFunc(c.Young, func(y YoungRow) bool { return y.Next })
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
