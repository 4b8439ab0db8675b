package sqlite

import (
	"fmt"
	"path/filepath"
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

// photographed is a notebook of 100,000 lines and so many photos of 500 kB.
func photographed(b *testing.B, photos int) (*Store, string) {
	b.Helper()
	folder := b.TempDir()
	s := opened(b, folder)
	storetest.Fill(b, s, 3, 100_000)
	n, err := notebook.Open(s, storetest.Key(1), storetest.Evening())
	if err != nil {
		b.Fatal(err)
	}
	for seed := range uint64(photos) {
		photo, blob := storetest.Photo(seed, 500_000)
		attach(b, n, blob)
		if err := s.Put(blob.SHA256, photo); err != nil {
			b.Fatal(err)
		}
	}
	return s, folder
}

func BenchmarkOpenBesidePhotos(b *testing.B) {
	for _, photos := range []int{0, 400} {
		b.Run(fmt.Sprintf("100k_lines_%d_photos_of_500_kB", photos), func(b *testing.B) {
			s, _ := photographed(b, photos)
			defer s.Close()
			for b.Loop() {
				if _, err := notebook.Open(s, storetest.Key(1), storetest.Evening()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkBackup(b *testing.B) {
	for _, photos := range []int{0, 400} {
		b.Run(fmt.Sprintf("100k_lines_%d_photos_of_500_kB", photos), func(b *testing.B) {
			s, folder := photographed(b, photos)
			defer s.Close()
			for b.Loop() {
				file := filepath.Join(b.TempDir(), "backup.sqlite")
				if report, err := Backup(b.Context(), folder, file); err != nil || report.Blobs.Here != photos {
					b.Fatal(report.Blobs, err)
				}
			}
		})
	}
}

func BenchmarkPut(b *testing.B) {
	b.Run("photo_of_500_kB_synced", func(b *testing.B) {
		s := opened(b, b.TempDir())
		defer s.Close()
		for seed := uint64(0); b.Loop(); seed++ {
			b.StopTimer()
			photo, blob := storetest.Photo(seed, 500_000)
			b.StartTimer()
			if err := s.Put(blob.SHA256, photo); err != nil {
				b.Fatal(err)
			}
		}
	})
}
