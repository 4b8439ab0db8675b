package call_test

import (
	"strings"
	"testing"

	"dawnround/call"
)

// BenchmarkRead_longest is a phrase of as many words as are read, of the word
// that makes most work; ns/step tells what the bound of the fuzz target is worth.
func BenchmarkRead_longest(b *testing.B) {
	r, p := demo(b)
	sheet := &p.Species[0]
	phrase, most := "", 0
	for _, word := range append(spokenWords, "ear six", "ticks ear", "left ear two", "no ,", "T 4 ,", "one or two", "tag a", "point five", "head 90.2 no") {
		long := strings.Repeat(word+" ", 200)
		if steps, _ := call.Steps(r, long, sheet, call.Given{}); steps > most {
			phrase, most = long, steps
		}
	}
	for b.Loop() {
		r.Read(phrase, sheet, call.Given{})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(most), "ns/step")
	b.ReportMetric(float64(most), "steps")
}
