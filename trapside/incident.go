package trapside

import (
	"fmt"
	"slices"
	"strings"

	"dawnround/protocol"
)

// Guide leads through something that went wrong: what to do, what to write, and
// by when whom to tell. It reminds; the approval and a veterinarian decide.
type Guide struct {
	Number, Kind, Says string
	Steps              []string
	Asks               []Row // to be answered in a word
	Inputs             []Input
	Report             string // by when whom to tell
	Source             string
}

// asksOf are what is to be written of an ejected young, beside the words: the
// questions of the trade's records, for an approval's procedure to answer.
var asksOf = map[string][][]string{
	"young ejected": {
		{"found", "in the trap", "in the bag", "in the hand", "on the ground"},
		{"attached before", "yes", "no", "not known"},
		{"young is", "furless", "furred"},
		{"to the touch", "warm", "cool", "cold"},
		{"returned", "on the teat", "in the pouch", "not returned", "to a carer"},
		{"pouch left", "closed", "closed with tape", "open"},
		{"both last seen", "together", "apart", "not seen"},
	},
	"torpor": {{"warmed", "in the bag", "against skin", "with a warm pack"}, {"came round", "within 15 minutes", "later", "did not"}},
	"injury": {{"veterinarian", "called", "not reached", "not needed"}},
}

// guides are those of the incidents on the card, in the order they were written.
func (k *cardOf) guides() {
	var out []Guide
	for field, says := range k.d.Said {
		rest, ok := strings.CutPrefix(field, "incidents/")
		number, kind, _ := strings.Cut(rest, "/")
		if ok && says != "" && slices.Contains(protocol.IncidentKinds, kind) {
			out = append(out, k.guide(number, kind, says))
		}
	}
	slices.SortFunc(out, func(a, b Guide) int {
		return strings.Compare(fmt.Sprintf("%4s", a.Number), fmt.Sprintf("%4s", b.Number))
	})
	k.card.Guides = out
}

func (k *cardOf) guide(number, kind, says string) Guide {
	i := k.p.IncidentOf(kind)
	at := "incidents/" + number + "/"
	g := Guide{Number: number, Kind: kind, Says: says, Steps: i.Steps, Source: i.Source}
	if i.Report > 0 {
		g.Report = fmt.Sprintf("Tell the %s within %v hours; a reminder is written when it is let go.", i.To, i.Report)
	}
	for _, ask := range asksOf[kind] {
		field := at + "said/" + ask[0]
		row := Row{Key: field, Label: ask[0], Field: field, Values: options(ask[1:]...), Now: k.d.Said[field]}
		choose(row.Values, row.Now)
		g.Asks = append(g.Asks, row)
	}
	g.Inputs = []Input{
		{ID: "f-aid-" + number, Field: at + "aid", Label: "what was done", Value: k.d.Said[at+"aid"]},
		{ID: "f-outcome-" + number, Field: at + "outcome", Label: "how it ended", Value: k.d.Said[at+"outcome"]},
	}
	return g
}
