package call_test

import (
	"strings"
	"testing"

	"dawnround/call"
)

// TestLongPhrasesStayCheap: the work grows no faster than the bound, whatever
// word is repeated.
func TestLongPhrasesStayCheap(t *testing.T) {
	t.Parallel()
	r, p := demo(t)
	most := 0
	for _, word := range append(spokenWords, "ear six", "ticks ear", "left ear two", "no ,", "T 4 ,", "one or two", "hundred and", "tag a", "point five", "in the", "is it", "B one ,", "two young ,", "head 90.2 no") {
		for _, g := range []call.Given{{}, {Source: call.Dictated, Order: []string{"measures/pes", "measures/tail"}}} {
			steps, words := call.Steps(r, strings.Repeat(word+" ", 400), &p.Species[0], g)
			most = max(most, steps)
			if steps > maxSteps(words) {
				t.Errorf("%q: %d steps for %d words", word, steps, words)
			}
		}
	}
	t.Logf("at most %d steps", most)
}
