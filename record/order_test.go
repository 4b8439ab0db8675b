package record_test

import (
	"slices"
	"testing"

	"dawnround/record"

	"pgregory.net/rapid"
)

func TestNamesInTheirOrder(t *testing.T) {
	t.Parallel()
	want := []string{"", "01", "1", "2", "2 / b", "10", "10 / 2", "10 / 10", "A", "A2", "A10", "A10b", "B1"}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, record.Naturally)
	if !slices.Equal(got, want) {
		t.Errorf("in order %q, want %q", got, want)
	}
}

// TestOrderOfNamesIsAnOrder: one of two comes first, whichever is asked, and
// three do not go round.
func TestOrderOfNamesIsAnOrder(t *testing.T) {
	t.Parallel()
	name := rapid.StringMatching(`[0-2A. ]{0,5}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := name.Draw(t, "a"), name.Draw(t, "b"), name.Draw(t, "c")
		if record.Naturally(a, b) != -record.Naturally(b, a) || (record.Naturally(a, b) == 0) != (a == b) {
			t.Fatalf("%q and %q: %d one way, %d the other", a, b, record.Naturally(a, b), record.Naturally(b, a))
		}
		if record.Naturally(a, b) < 0 && record.Naturally(b, c) < 0 && record.Naturally(a, c) >= 0 {
			t.Fatalf("%q before %q before %q, and not the first before the last", a, b, c)
		}
	})
}
