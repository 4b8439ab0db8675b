package register_test

import (
	"fmt"
	"testing"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// season writes so many lines as a programme does: a check, a bag and a
// processing for each capture, animals caught six times on average.
func season(b *testing.B, lines int) []line {
	b.Helper()
	w := newWorld(1)
	w.write(0, record.Protocol{Version: "v1", Text: protocolText})
	q := func(v int) record.Quantity { return record.MilliQuantity(int64(v) * 100) }
	for i := 0; len(w.lines) < lines; i++ {
		id := captureID(1_000_000 + i)
		n := night(1).Add(i / 40)
		w.enterEach(0,
			record.Check{Site: "NR", Night: n, Trap: fmt.Sprintf("K%d", i%60), Outcome: record.OutcomeCapture, Captures: []uuid.UUID{id}, At: w.now},
			record.Capture{Capture: id, Bagged: &record.Bagged{At: w.now, Species: "RW"}},
			record.Capture{Capture: id, Handled: &record.Handled{
				Species: "RW", Sex: record.Female, Stage: "adult", Handler: "AB", Scribe: "CD",
				Marks: []record.Mark{{Kind: "chip", Text: fmt.Sprintf("999%012d", i%(lines/18+1)), How: "scanned"}},
				Measures: map[string]record.Reading{
					"mass": {Quantity: q(9650)}, "pes": {Quantity: q(648)}, "head": {Quantity: q(781)}, "tail": {Quantity: q(1320)},
				},
				Signs: map[string]record.Sign{"pouch": {Value: "occupied"}},
			}, Released: &record.Released{At: w.now, Fate: record.FateReleased}},
		)
	}
	return w.lines[:lines]
}

func BenchmarkFold(b *testing.B) {
	for _, size := range []struct {
		name  string
		lines int
	}{{"10k_lines", 10_000}, {"100k_lines", 100_000}, {"300k_lines", 300_000}} {
		b.Run(size.name, func(b *testing.B) {
			lines := season(b, size.lines)
			b.ReportAllocs()
			for b.Loop() {
				entries := make([]*register.Entry, len(lines))
				for i, l := range lines {
					entries[i] = register.ReadLine(l)
				}
				register.New().Apply(entries...)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(len(lines)), "µs/line")
		})
	}
}

// BenchmarkApply/one_capture keeps one more capture in a register of 50,000.
func BenchmarkApply(b *testing.B) {
	b.Run("one_capture_onto_50k", func(b *testing.B) {
		lines := season(b, 150_000)
		r := fold(lines[:1])
		var entries []*register.Entry
		for _, l := range lines {
			entries = append(entries, register.ReadLine(l))
		}
		r.Apply(entries...)
		w := newWorld(1)
		for i := 0; b.Loop(); i++ {
			w.write(0, caught(9_000_000+i, 10, record.Mark{Kind: "chip", Text: fmt.Sprintf("999%012d", i%8000)}))
			r.Apply(register.ReadLine(w.lines[len(w.lines)-1]))
		}
	})
}
