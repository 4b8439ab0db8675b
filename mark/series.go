package mark

import (
	"fmt"
	"strings"
)

// A Series is a run of ear tags or labels, such as B001 to B250. The zero
// value holds none.
type Series struct {
	Prefix      string // in upper case; may be empty
	Width       int    // least number of digits; shorter numbers get leading zeros
	First, Last uint64
}

const (
	maxDigits     = 18  // keeps a number within 64 bits
	maxSeriesText = 200 // keeps the search for the dash short
)

// ParseSeries reads "B001–B250", with a dash, a hyphen or the word "to"
// between; the prefix may be left out the second time.
func ParseSeries(text string) (Series, error) {
	if len(text) > maxSeriesText {
		return Series{}, fmt.Errorf("series: %d characters; a first and a last mark take at most %d", len(text), maxSeriesText)
	}
	canonical := Canonical(text)
	for _, between := range []string{"–", " TO ", "-"} {
		for at := range canonical {
			if !strings.HasPrefix(canonical[at:], between) {
				continue
			}
			if s, ok := seriesOf(canonical[:at], canonical[at+len(between):]); ok {
				return s, nil
			}
		}
	}
	return Series{}, fmt.Errorf("series %q: expected a first and a last mark of one prefix, the first not above the last, such as B001–B250", text)
}

func seriesOf(first, last string) (Series, bool) {
	prefix, low, ok := splitNumber(Canonical(first))
	lastPrefix, high, lastOK := splitNumber(Canonical(last))
	if !ok || !lastOK || lastPrefix != prefix && lastPrefix != "" {
		return Series{}, false
	}
	s := Series{Prefix: prefix, Width: len(low), First: decimal(low), Last: decimal(high)}
	return s, s.First <= s.Last && s.text(s.Last) == prefix+high
}

// splitNumber parts a mark into what stands before its last digits and those.
func splitNumber(text string) (prefix, digits string, ok bool) {
	prefix = strings.TrimRight(text, "0123456789")
	digits = text[len(prefix):]
	return prefix, digits, digits != "" && len(digits) <= maxDigits
}

func (s Series) text(n uint64) string {
	return s.Prefix + fmt.Sprintf("%0*d", s.Width, n)
}

// String is the series as written, such as B001–B250.
func (s Series) String() string {
	if s.Width == 0 {
		return ""
	}
	return s.text(s.First) + "–" + s.text(s.Last)
}

// number is the place of a mark within the series' numbers.
func (s Series) number(text string) (uint64, bool) {
	prefix, digits, ok := splitNumber(Canonical(text))
	if !ok || prefix != s.Prefix || s.Width == 0 {
		return 0, false
	}
	n := decimal(digits)
	return n, n >= s.First && n <= s.Last && s.text(n) == prefix+digits
}

// Contains tells whether a mark, written in full, belongs to the series: B007
// is in B001–B250, B7 is not.
func (s Series) Contains(text string) bool {
	_, ok := s.number(text)
	return ok
}

// Next is the mark after the one given, or the first one after "". It is
// false after the last mark, and after a mark that is not of the series.
func (s Series) Next(after string) (string, bool) {
	if Canonical(after) == "" {
		return s.text(s.First), s.Width > 0
	}
	n, ok := s.number(after)
	if !ok || n == s.Last {
		return "", false
	}
	return s.text(n + 1), true
}
