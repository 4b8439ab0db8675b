package call_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"dawnround/call"
	"dawnround/protocol"
)

// measures is a programme with one trait for whole numbers and one for tenths,
// so that nothing but the words decides.
func measures(t testing.TB, high string) (*call.Reader, *protocol.Sheet) {
	t.Helper()
	p, err := protocol.Parse("measures.yaml", []byte(`
name: Measures (invented)
zone: Australia/Perth
species:
  - code: M
    name: measured
    traits:
      - {id: length, name: girth, unit: mm, step: 0.1, ranges: [{from: -1, to: `+high+`}]}
`))
	if err != nil {
		t.Fatal(err)
	}
	return call.New(p), &p.Species[0]
}

// styles are ways to say a whole number; an empty text means that nobody says
// this number so. How handlers say numbers: common practice.
var styles = map[string]func(n int) string{
	"in full":  inFull,
	"american": func(n int) string { return strings.ReplaceAll(inFull(n), " and", "") },
	"in pairs": inPairs,
	"digit by digit": func(n int) string {
		return digits(strconv.Itoa(n), "oh")
	},
	"zeros":   func(n int) string { return digits(strconv.Itoa(n), "zero") },
	"written": strconv.Itoa,
	"a hundred": func(n int) string {
		if n/100 == 1 || n/1000 == 1 && n%1000 < 100 {
			return strings.Replace(inFull(n), "one ", "a ", 1)
		}
		return ""
	},
	"hyphens": func(n int) string { return strings.ReplaceAll(inPairs(n), " ", "-") },
}

var small = strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
var tens = strings.Fields("- - twenty thirty forty fifty sixty seventy eighty ninety")

func below100(n int) string {
	switch {
	case n < 20:
		return small[n]
	case n%10 == 0:
		return tens[n/10]
	}
	return tens[n/10] + " " + small[n%10]
}

func inFull(n int) string {
	var parts []string
	if n >= 1000 {
		parts = append(parts, below100(n/1000)+" thousand")
	}
	if n%1000 >= 100 {
		parts = append(parts, small[n%1000/100]+" hundred")
	}
	if rest := n % 100; rest > 0 || n == 0 {
		if len(parts) > 0 {
			parts = append(parts, "and")
		}
		parts = append(parts, below100(rest))
	}
	return strings.Join(parts, " ")
}

// inPairs says hundreds as handlers do: one sixty-two, eight oh five, twelve
// hundred.
func inPairs(n int) string {
	high, low := n/100, n%100
	switch {
	case high == 0:
		return below100(low)
	case low == 0 && high%10 == 0:
		return inFull(n)
	case low == 0:
		return below100(high) + " hundred"
	case low < 10:
		return below100(high) + " oh " + small[low]
	}
	return below100(high) + " " + below100(low)
}

func digits(text, zero string) string {
	var words []string
	for _, r := range text {
		if r == '0' {
			words = append(words, zero)
		} else {
			words = append(words, small[r-'0'])
		}
	}
	return strings.Join(words, " ")
}

// TestWholeNumbersSpoken: every value from 0 to 9999, said in each style, is
// that value.
func TestWholeNumbersSpoken(t *testing.T) {
	t.Parallel()
	r, sheet := measures(t, "9999")
	for name, say := range styles {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for n := range 10000 {
				if words := say(n); words != "" {
					wantWhole(t, r, sheet, n, words)
				}
			}
		})
	}
}

// wantWhole reads a number that may also be told with a tenth, where the last
// word is a digit: then a question is right too, and a wrong value never is.
func wantWhole(t *testing.T, r *call.Reader, sheet *protocol.Sheet, n int, words string) {
	t.Helper()
	h := r.Read("girth "+words, sheet, call.Given{Source: call.Typed})
	f, ok := h.Field("measures/length")
	switch {
	case !ok:
		t.Errorf("%d as %q: nothing read", n, words)
	case f.Pending:
		if len(h.Questions) != 1 || !contains(h.Questions[0].Among, strconv.Itoa(n)) {
			t.Errorf("%d as %q: asked %v", n, words, h.Questions)
		}
	case f.Number.Milli != int64(n)*1000:
		t.Errorf("%d as %q: got %s", n, words, f.Value)
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// tenthStyles are ways to say tenths after a whole number in pairs.
var tenthStyles = map[string]func(whole, tenth int) string{
	"point":   func(w, d int) string { return inPairs(w) + " point " + tenthWord(d, "oh") },
	"in full": func(w, d int) string { return inFull(w) + " decimal " + tenthWord(d, "zero") },
	"digits":  func(w, d int) string { return digits(strconv.Itoa(w), "oh") + " dot " + tenthWord(d, "nought") },
	"written": func(w, d int) string { return fmt.Sprintf("%d.%d", w, d) },
	"half": func(w, d int) string {
		if d != 5 {
			return ""
		}
		return inPairs(w) + " and a half"
	},
	"flat": func(w, d int) string {
		if d != 0 {
			return ""
		}
		return inFull(w) + " flat"
	},
	"stroke": func(w, d int) string { return fmt.Sprintf("%d⸍%d", w, d) },
}

func tenthWord(d int, zero string) string {
	if d == 0 {
		return zero
	}
	return small[d]
}

// TestTenthsSpoken: every tenth from 0.0 to 199.9, said in each style, is that
// value, with its tenth.
func TestTenthsSpoken(t *testing.T) {
	t.Parallel()
	r, sheet := measures(t, "200")
	for name, say := range tenthStyles {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for n := range 2000 {
				words := say(n/10, n%10)
				if words == "" {
					continue
				}
				h := r.Read("girth "+words, sheet, call.Given{})
				f, ok := h.Field("measures/length")
				if want := fmt.Sprintf("%d.%d", n/10, n%10); !ok || f.Pending || f.Value != want {
					t.Errorf("%s as %q: got %+v", want, words, h.Fields)
				}
			}
		})
	}
}

// TestTenthsWithoutPoint: "seventy-four six" is 74.6 in a field read to 0.1
// whose range holds no 746.
func TestTenthsWithoutPoint(t *testing.T) {
	t.Parallel()
	r, sheet := measures(t, "120")
	for n := 131; n < 1200; n++ {
		whole, tenth := n/10, n%10
		if tenth == 0 {
			continue
		}
		words := inFull(whole) + " " + small[tenth]
		if whole%10 == 0 && whole < 100 && whole >= 20 {
			continue // "seventy six" is 76
		}
		h := r.Read("girth "+words, sheet, call.Given{})
		f, ok := h.Field("measures/length")
		if !ok || !f.Pending && f.Value != fmt.Sprintf("%d.%d", whole, tenth) && whole != 100 {
			t.Errorf("%d.%d as %q: got %+v", whole, tenth, words, h.Fields)
		}
	}
}
