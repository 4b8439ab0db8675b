package score_test

import (
	"os"
	"testing"

	"dawnround/call/score"
	"dawnround/internal/shared"
)

func TestCaseFile(t *testing.T) {
	t.Parallel()
	file, err := os.Open(shared.File(t, "checks/shorthand_cases.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r, err := score.Run("shorthand_cases.csv", file)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Failures {
		t.Logf("%s (%s, %s) %q\n  expected %s\n  got      %s\n  wrong    %v needless %d", f.ID, f.Category, f.Difficulty, f.Utterance, f.Expected, f.Got, f.Wrong, f.Needless)
	}
	t.Logf("passed %d of %d, by difficulty %v, silent wrong %d %v, needless %d", r.Passed, r.Cases, r.ByDifficulty, r.SilentWrong, r.Silent, r.Needless)
}
