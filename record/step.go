package record

import (
	"slices"
	"time"
)

// Step is one phrase or edit at the bench, before release, in order. A later
// step on the same field strikes the earlier one; both are kept.
//
// A phrase is a step whose field is [Said] and whose words are exactly those
// said or typed. The steps that it gave follow it and bear its number. A step
// that is itself struck takes back the last step of its field; a struck phrase
// takes back all that it gave.
type Step struct {
	At     time.Time `json:"at"`
	By     string    `json:"by,omitempty"`
	Field  string    `json:"field,omitempty"`
	Typed  string    `json:"typed"`
	Struck bool      `json:"struck,omitempty"`
	Phrase int       `json:"phrase,omitempty"` // number of the phrase in its draft, from 1; 0: an edit in a field
	From   int       `json:"from,omitempty"`   // bytes of the phrase that gave the step;
	To     int       `json:"to,omitempty"`     // both 0: it was not said, but follows from what was
	Doubt  *Doubt    `json:"doubt,omitempty"`
}

// Said is the field of a phrase.
const Said = "said"

// Doubt is one question about a value. The value is not filled in until the
// question is answered, or somebody says to leave it.
type Doubt struct {
	About string   `json:"about"` // what was asked about, as the phrase was read
	Says  string   `json:"says,omitempty"`
	Among []string `json:"among,omitempty"` // values to choose from
	Held  bool     `json:"held,omitempty"`  // the value stands all the same; only its question is open
}

// Standing gives the places of the steps that nothing took back, in order.
func Standing(steps []Step) []int {
	var stand []int
	for i, s := range steps {
		switch {
		case !s.Struck:
			stand = append(stand, i)
		case s.Phrase > 0:
			stand = slices.DeleteFunc(stand, func(j int) bool { return steps[j].Phrase == s.Phrase })
		default:
			stand = withoutLast(stand, steps, s.Field)
		}
	}
	return stand
}

func withoutLast(stand []int, steps []Step, field string) []int {
	for j := len(stand) - 1; j >= 0; j-- {
		if steps[stand[j]].Field == field {
			return slices.Delete(stand, j, j+1)
		}
	}
	return stand
}

// Phrases are the phrases among the steps, in order, whether they stand or not.
func Phrases(steps []Step) []Step {
	var out []Step
	for _, s := range steps {
		if s.Field == Said && !s.Struck {
			out = append(out, s)
		}
	}
	return out
}
