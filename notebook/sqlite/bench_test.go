package sqlite

import (
	"fmt"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

func BenchmarkOpen(b *testing.B) {
	for name, count := range map[string]int{"100k_lines": 100_000, "1M_lines": 1_000_000} {
		b.Run(name, func(b *testing.B) {
			if count > 100_000 && testing.Short() {
				b.Skip("a million lines take half a minute to write; left out with -short")
			}
			s := opened(b, b.TempDir())
			defer s.Close()
			storetest.Fill(b, s, 3, count)
			for b.Loop() {
				if _, err := notebook.Open(s, storetest.Key(1), storetest.Evening()); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*count), "ns/line")
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	b.Run("one_line_synced", func(b *testing.B) {
		s := opened(b, b.TempDir())
		defer s.Close()
		n, err := notebook.Create(s, storetest.Programme, storetest.Key(1), storetest.Evening())
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			if _, err := n.Write(storetest.Entry("a line of usual length")); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkAppend(b *testing.B) {
	const count = 1000
	b.Run(fmt.Sprintf("%d_lines", count), func(b *testing.B) {
		s := opened(b, b.TempDir())
		defer s.Close()
		n, err := notebook.Create(s, storetest.Programme, storetest.Key(1), storetest.Evening())
		if err != nil {
			b.Fatal(err)
		}
		entries := make([]notebook.Entry, count)
		for i := range entries {
			entries[i] = storetest.Entry(fmt.Sprint("a line of usual length, ", i))
		}
		for b.Loop() {
			if _, err := n.Write(entries...); err != nil {
				b.Fatal(err)
			}
		}
	})
}
