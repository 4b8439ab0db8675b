package score_test

import (
	"os"
	"testing"

	"dawnround/call/score"
	"dawnround/internal/shared"
)

// run scores a file and lists what did not pass.
func run(t *testing.T, path string) score.Result {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r, err := score.Run(path, file)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Failures {
		t.Logf("%s (%s, %s) %q\n  expected %s\n  got      %s\n  wrong    %v, needless questions %d", f.ID, f.Category, f.Difficulty, f.Utterance, f.Expected, f.Got, f.Wrong, f.Needless)
	}
	for _, v := range r.Silent {
		t.Errorf("%s: silently wrong: %s", v.ID, v.Value)
	}
	return r
}

// least is the share of cases that must pass, by difficulty.
var least = map[string]float64{"1": 0.99, "2": 0.95, "3": 0.90}

func TestCaseFile(t *testing.T) {
	t.Parallel()
	r := run(t, shared.File(t, "checks/shorthand_cases.csv"))
	for difficulty, c := range r.ByDifficulty {
		if float64(c.Passed) < least[difficulty]*float64(c.Cases) {
			t.Errorf("difficulty %s: %d of %d passed, wanted %.0f %%", difficulty, c.Passed, c.Cases, 100*least[difficulty])
		}
	}
	if r.Needless > 3 {
		t.Errorf("%d needless questions, wanted 3 at most", r.Needless)
	}
}

// TestCasesByOthers: the files that were written before the parser knew them;
// what the first run gave stands in README.md.
func TestCasesByOthers(t *testing.T) {
	t.Parallel()
	for _, file := range []string{"others.csv", "blind.csv", "crews.csv", "third.csv", "fourth.csv", "fifth.csv", "sixth.csv", "seventh.csv"} {
		r := run(t, "testdata/"+file)
		for difficulty, c := range r.ByDifficulty {
			if float64(c.Passed) < least[difficulty]*float64(c.Cases) {
				t.Errorf("%s, difficulty %s: %d of %d passed, wanted %.0f %%", file, difficulty, c.Passed, c.Cases, 100*least[difficulty])
			}
		}
		if r.Needless > 3 {
			t.Errorf("%s: %d needless questions, wanted 3 at most", file, r.Needless)
		}
	}
}

// TestOwnCases: utterances written from the grammar of how handlers speak
// (common practice), with what they must give. All invented.
func TestOwnCases(t *testing.T) {
	t.Parallel()
	r := run(t, "testdata/cases.csv")
	if r.Passed != r.Cases || r.Needless > 0 {
		t.Errorf("%d of %d passed, needless questions %d", r.Passed, r.Cases, r.Needless)
	}
}
