package mark_test

import (
	"strings"
	"testing"

	"dawnround/mark"

	"pgregory.net/rapid"
)

func TestParseSeries(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text, canonical string
		in, out         []string
	}{
		{"B001–B250", "B001–B250", []string{"B001", " b007 ", "B250"}, []string{"B000", "B251", "B7", "B0007", "C001", "001", ""}},
		{" b001 - b250 ", "B001–B250", []string{"B100"}, []string{"B1000"}},
		{"B001-250", "B001–B250", []string{"B100"}, nil},
		{"B1 to B250", "B1–B250", []string{"B1", "B10", "B250"}, []string{"B01", "B001"}},
		{"AB-001-AB-250", "AB-001–AB-250", []string{"AB-002"}, []string{"AB002"}},
		{"2026-001-2026-250", "2026-001–2026-250", []string{"2026-001"}, []string{"2025-001"}},
		{"B998–B1001", "B998–B1001", []string{"B999", "B1000"}, []string{"B0999"}},
		{"982000001088400–982000001088499", "982000001088400–982000001088499", []string{"982000001088420"}, []string{"982000001088500"}},
		{"7–7", "7–7", []string{"7"}, []string{"8"}},
	} {
		s, err := mark.ParseSeries(c.text)
		if err != nil || s.String() != c.canonical {
			t.Errorf("%q: %v, %v; want %s", c.text, s, err, c.canonical)
			continue
		}
		for _, text := range c.in {
			if !s.Contains(text) {
				t.Errorf("%s does not contain %q", s, text)
			}
		}
		for _, text := range c.out {
			if s.Contains(text) {
				t.Errorf("%s contains %q", s, text)
			}
		}
	}
}

func TestParseSeriesRefuses(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "B001", "B250–B001", "B001–C250", "B001–B0250", "B–C", "B001–", "–B001", "1234567890123456789–1234567890123456799"} {
		if s, err := mark.ParseSeries(text); err == nil || !strings.Contains(err.Error(), "such as B001–B250") {
			t.Errorf("%q: %v, %v", text, s, err)
		}
	}
}

// Next walks the whole series, each mark in it, and stops.
func TestSeriesNext(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		first := rapid.Uint64Range(0, 2000).Draw(t, "first")
		s := mark.Series{
			Prefix: rapid.StringMatching(`[A-Z]{0,2}-?`).Draw(t, "prefix"),
			Width:  rapid.IntRange(1, 5).Draw(t, "width"),
			First:  first, Last: first + rapid.Uint64Range(0, 50).Draw(t, "more"),
		}
		seen, at := map[string]bool{}, ""
		for next, ok := s.Next(at); ok; next, ok = s.Next(at) {
			if !s.Contains(next) || seen[next] {
				t.Fatalf("%s: after %q comes %q", s, at, next)
			}
			seen[next], at = true, next
		}
		if uint64(len(seen)) != s.Last-s.First+1 {
			t.Fatalf("%s: walked %d marks", s, len(seen))
		}
	})
}

func TestZeroSeriesHoldsNothing(t *testing.T) {
	t.Parallel()
	var s mark.Series
	if next, ok := s.Next(""); ok || s.Contains("0") || s.Contains("") || s.String() != "" {
		t.Errorf("the zero series holds %q", next)
	}
}

func TestParseSeriesRefusesAPage(t *testing.T) {
	t.Parallel()
	if s, err := mark.ParseSeries(strings.Repeat("-", 100_000)); err == nil || !strings.Contains(err.Error(), "100000 characters") {
		t.Errorf("%v, %v", s, err)
	}
}

func FuzzParseSeries(f *testing.F) {
	for _, text := range []string{"B001–B250", "B1 to B9", "AB-001-AB-250", "2026-001-250", "–", "1 to 2-3", "ı1-ı2"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := mark.ParseSeries(text)
		if err != nil {
			return
		}
		if len(s.String()) > 200 {
			return // the prefix was left out the second time, and the text grew
		}
		if again, err := mark.ParseSeries(s.String()); err != nil || again != s {
			t.Fatalf("%q gave %q %+v, which reads as %+v, %v", text, s, s, again, err)
		}
		if next, ok := s.Next(""); !ok || !s.Contains(next) {
			t.Fatalf("%q: the first mark %q is not in the series", text, next)
		}
	})
}
