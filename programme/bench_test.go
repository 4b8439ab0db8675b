package programme_test

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"runtime"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/notebook/sqlite"
	"dawnround/programme"
	"dawnround/record"

	"github.com/google/uuid"
)

// BenchmarkOpen opens a notebook on disk: every chain is verified, every line
// read and folded, as a start of the program does. The growth with the number
// of lines is the curve it prints.
func BenchmarkOpen(b *testing.B) {
	for _, size := range []struct {
		name  string
		lines int
	}{{"10k_lines", 10_000}, {"30k_lines", 30_000}, {"100k_lines", 100_000}, {"300k_lines", 300_000}, {"1M_lines", 1_000_000}} {
		b.Run(size.name, func(b *testing.B) {
			if testing.Short() && size.lines > 100_000 {
				b.Skip("large notebooks take a minute to write; run without -short")
			}
			folder, key := written(b, size.lines)
			var opened *programme.Programme
			b.ResetTimer()
			for b.Loop() {
				opened = openFolder(b, folder, key)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*size.lines), "µs/line")
			b.ReportMetric(heapMB(), "MB")
			runtime.KeepAlive(opened)
		})
	}
}

func heapMB() float64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc) / (1 << 20)
}

func openFolder(b *testing.B, folder string, key ed25519.PrivateKey) *programme.Programme {
	b.Helper()
	store, err := sqlite.OpenReading(folder)
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	fold := programme.Begin()
	n, err := notebook.Open(store, key, clock, fold.Line)
	if err != nil {
		b.Fatal(err)
	}
	return fold.Done(n)
}

// written makes a notebook of so many lines: a check, a bag and a processing
// with its release for each capture, every animal caught six times.
func written(b *testing.B, lines int) (string, ed25519.PrivateKey) {
	b.Helper()
	folder, key := b.TempDir(), ed25519.NewKeyFromSeed(bytes.Repeat([]byte{9}, ed25519.SeedSize))
	store, err := sqlite.Open(folder, dawn)
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	now := dawn
	n, err := notebook.Create(store, id, key, func() time.Time { now = now.Add(time.Millisecond); return now })
	if err != nil {
		b.Fatal(err)
	}
	var batch []notebook.Entry
	for i := range lines {
		batch = append(batch, seasonLine(b, i, lines))
		if len(batch) == 5000 || i == lines-1 {
			if _, err := n.Write(batch...); err != nil {
				b.Fatal(err)
			}
			batch = nil
		}
	}
	return folder, key
}

func seasonLine(b *testing.B, i, lines int) notebook.Entry {
	b.Helper()
	capture := uuid.UUID{6: 0x70, 8: 0x80, 12: byte(i / 3 >> 24), 13: byte(i / 3 >> 16), 14: byte(i / 3 >> 8), 15: byte(i / 3)}
	mm := func(tenths int64) record.Reading { return record.Reading{Quantity: record.MilliQuantity(tenths * 100)} }
	var body record.Body
	switch i % 3 {
	case 0:
		night := record.Night{Year: 2000, Month: 1, Day: 1}.Add(i / 120)
		body = record.Check{Site: "NR", Night: night, Trap: fmt.Sprintf("K%02d", i/3%60), Outcome: record.OutcomeCapture, Captures: []uuid.UUID{capture}, At: dawn}
	case 1:
		body = record.Capture{Capture: capture, Bagged: &record.Bagged{At: dawn, Bag: "7", Species: "RW"}}
	default:
		body = record.Capture{
			Capture: capture,
			Handled: &record.Handled{
				Species: "RW", Sex: record.Female, Stage: "adult", Handler: "AB", Scribe: "CD",
				Marks:    []record.Mark{{Kind: "transponder", Text: fmt.Sprintf("999%012d", i/3%(lines/18+1)), How: "scanned"}},
				Measures: map[string]record.Reading{"mass": mm(9650), "pes": mm(648), "head": mm(781), "tail": mm(1320)},
				Signs:    map[string]record.Sign{"pouch": {Value: "occupied", How: "seen"}},
			},
			Released: &record.Released{At: dawn, Fate: record.FateReleased},
		}
	}
	e, err := record.Entry("AB", body)
	if err != nil {
		b.Fatal(err)
	}
	return e
}
