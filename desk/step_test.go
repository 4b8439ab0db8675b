package desk

import (
	"strings"
	"testing"

	"dawnround/page"
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

// TestFromPaperStaysMarked: what was typed in from a sheet says so on its
// capture, until the word is taken back.
func TestFromPaperStaysMarked(t *testing.T) {
	t.Parallel()
	marked := []record.Step{{Field: "source", Typed: "paper"}, {Field: record.Said, Typed: "pes 60.3", Phrase: 1}}
	for _, c := range []struct {
		name  string
		steps []record.Step
		want  bool
	}{
		{"at the bench", marked[1:], false},
		{"from a sheet", marked, true},
		{"taken back", append(marked[:2:2], record.Step{Field: "source", Typed: "paper", Struck: true}), false},
	} {
		if got := fromPaper(c.steps); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		var out strings.Builder
		p := CapturePage{Paper: fromPaper(c.steps)}
		if err := capturePage(page.Frame{}, p).Render(t.Context(), &out); err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(out.String(), "From paper"); got != c.want {
			t.Errorf("%s: the page says so: %v, want %v", c.name, got, c.want)
		}
	}
}
