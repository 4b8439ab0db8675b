package score_test

import (
	"strings"
	"testing"

	"dawnround/call/score"
)

// neutral are ways to say a phrase otherwise that change nothing of what it says.
var neutral = map[string]func(string) string{
	"a hesitation first":    func(words string) string { return "um, " + words },
	"a hesitation within":   func(words string) string { return strings.Replace(words, ", ", ", uh, ", 1) },
	"then":                  func(words string) string { return strings.Replace(words, ", ", ", then ", 1) },
	"full stops for pauses": func(words string) string { return strings.ReplaceAll(words, ", ", ". ") },
	"thanks behind":         func(words string) string { return words + ", thanks" },
}

// TestWhatSaysNothingChangesNothing: no value of any case of the files changes
// where the phrase is said with a hesitation, full stops or thanks. Between two
// voices a full stop says who speaks, so those cases are left out.
func TestWhatSaysNothingChangesNothing(t *testing.T) {
	t.Parallel()
	for name, otherwise := range neutral {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, err := score.New()
			if err != nil {
				t.Fatal(err)
			}
			for _, file := range []string{"others", "blind", "third", "fourth", "fifth", "sixth", "seventh"} {
				for _, row := range cases(t, "testdata/"+file+".csv") {
					given, words := row[4], row[5]
					said := otherwise(words)
					if strings.Contains(given, `"both"`) || strings.Contains(words, "?") || said == words {
						continue
					}
					want, got := values(t, s, given, words), values(t, s, given, said)
					if want != got {
						t.Errorf("case %s: %q gives %s, and %q %s", row[0], words, want, said, got)
					}
				}
			}
		})
	}
}

func values(t *testing.T, s *score.Scorer, given, words string) string {
	t.Helper()
	h, err := s.Read(given, words)
	if err != nil {
		t.Fatal(err)
	}
	return score.Text(h)
}
