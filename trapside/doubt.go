package trapside

import (
	"slices"
	"strings"

	"dawnround/call"
	"dawnround/record"
)

// Doubt is a question about what was called that nobody has answered.
type Doubt struct {
	record.Doubt
	Field  string // the field it would fill, or what is asked
	Value  string // as it was heard; empty: nothing, or to be measured again
	Words  string // of the phrase, those that are asked about
	Phrase int
}

// doubtful is the field that keeps a question about a field of the card.
func doubtful(field string) string { return "doubts/" + field }

// doubts finds the questions that are open: those whose field has not been
// filled since, and which nobody has settled. last is by field the place of
// the step that stands.
func (d *Draft) doubts(standing []int, last map[string]int) {
	for _, i := range standing {
		s := d.Steps[i]
		field, ok := strings.CutPrefix(s.Field, "doubts/")
		if !ok || s.Doubt == nil || last[s.Field] != i || last[field] > i {
			continue
		}
		d.Doubts = append(d.Doubts, Doubt{Doubt: *s.Doubt, Field: field, Value: s.Typed, Words: d.words(s), Phrase: s.Phrase})
	}
}

// words are the words of a phrase that gave a step.
func (d *Draft) words(s record.Step) string {
	phrase := phraseOf(d.Steps, s.Phrase)
	if s.To > len(phrase) || s.From >= s.To {
		return ""
	}
	return phrase[s.From:s.To]
}

// phraseOf is the words of a phrase by its number.
func phraseOf(steps []record.Step, number int) string {
	i := slices.IndexFunc(steps, func(s record.Step) bool { return s.Field == record.Said && s.Phrase == number && number > 0 })
	if i < 0 {
		return ""
	}
	return steps[i].Typed
}

// pending tells whether a field has a value that is not filled in because it is
// under question.
func (d *Draft) pending(field string) bool {
	return slices.ContainsFunc(d.Doubts, func(q Doubt) bool { return q.Field == field && !q.Held })
}

// lastDoubt is the question asked last, if any is open.
func (d *Draft) lastDoubt() (Doubt, bool) {
	if len(d.Doubts) == 0 {
		return Doubt{}, false
	}
	return d.Doubts[len(d.Doubts)-1], true
}

// openings are the words that an answer is read behind: those asked about, or
// the sample whose label is asked for.
func (q Doubt) openings() []string {
	kind := q.Field[strings.LastIndex(q.Field, "/")+1:]
	switch {
	case strings.HasPrefix(q.Field, "samples/") && q.Value == "":
		return []string{kind + " ", kind + " label "}
	case strings.HasPrefix(q.Field, "samples/"):
		return []string{kind + " label "}
	case q.Words == "":
		return nil
	case !strings.Contains(q.About, "/"), strings.HasPrefix(q.About, "findings/"), q.Value == "", len(q.Among) > 1:
		return []string{q.Words + " ", q.Words + ", no, "}
	}
	return []string{q.Words + ", no, "}
}

// ofSide tells whether only the side is asked for.
func (q Doubt) ofSide() bool { return slices.Contains(q.Among, "left") }

// settled is the step that closes a question.
func (q Doubt) settled() record.Step { return record.Step{Field: doubtful(q.Field)} }

// kept are the steps by which a question is closed and its value kept as it was
// heard. Of two possible
// readings none is kept as a value: both stay, as the reason why there is none.
func (q Doubt) kept() []record.Step {
	head, _, _ := strings.Cut(q.Field, "/")
	switch {
	case q.Held || q.Value == "":
	case len(q.Among) < 2:
		return []record.Step{{Field: q.Field, Typed: q.Value}, q.settled()}
	case head == "measures" || q.Field == "weighing/net":
		return []record.Step{{Field: q.Field, Typed: "nc " + q.unclear()}, q.settled()}
	}
	return []record.Step{q.settled()}
}

func (q Doubt) unclear() string { return "not clear: " + strings.Join(q.Among, " or ") }

// asks is the question, or what to do where it was asked before.
func (q Doubt) asks() string {
	if q.Says == "" {
		return "say it again, or leave it"
	}
	return q.Says
}

// answers are phrases that answer the question.
func (q Doubt) answers() []string {
	if q.About == call.WeightBasis || slices.Contains(q.Among, "weighing/gross") {
		return []string{"with the bag", "without the bag"}
	}
	if slices.ContainsFunc(q.Among, func(a string) bool { return strings.Contains(a, "/") }) {
		return nil
	}
	return q.Among
}
