package desk

import (
	"strings"
	"testing"

	"dawnround/protocol"
	"dawnround/record"
)

// TestStepsStrikeWhatNoLongerStands: what was replaced or taken back is struck,
// phrases are given word for word, and each value names the words it came from.
func TestStepsStrikeWhatNoLongerStands(t *testing.T) {
	t.Parallel()
	steps := []record.Step{
		{Field: record.Said, Typed: "pes sixty, tail three hundred", Phrase: 1},
		{Field: "measures/pes", Typed: "60", Phrase: 1, From: 0, To: 9},
		{Field: "doubts/measures/tail", Typed: "300", Phrase: 1, From: 11, To: 29, Doubt: &record.Doubt{Says: "tail three-zero-zero: again?"}},
		{Field: record.Said, Typed: "no, sixty-two", Phrase: 2},
		{Field: "measures/pes", Typed: "62", Phrase: 2, From: 4, To: 13},
		{Field: record.Said, Typed: "ear thirty", Phrase: 3},
		{Field: "measures/ear", Typed: "30", Phrase: 3, From: 0, To: 10},
		{Field: record.Said, Typed: "ear thirty", Struck: true, Phrase: 3},
	}
	var got []string
	for _, s := range (words{}).steps(&protocol.Sheet{}, steps, record.Night{}) {
		line := joined("  ", s.says(), s.about())
		if s.Struck {
			line = "~" + line + "~"
		}
		got = append(got, line)
	}
	want := []string{
		"“pes sixty, tail three hundred”",
		"~60  pes, from “pes sixty”~",
		"300  tail, from “tail three hundred”, asked: tail three-zero-zero: again?",
		"“no, sixty-two”",
		"62  pes, from “sixty-two”",
		"~“ear thirty”~",
		"~30  ear, from “ear thirty”~",
		"taken back: ear thirty",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
