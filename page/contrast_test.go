package page

import (
	"math"
	"regexp"
	"strconv"
	"testing"
)

var property = regexp.MustCompile(`--([a-z-]+): #([0-9a-f]{6});`)

// colours reads the named colours of a style sheet as relative luminance
// (WCAG 2.2, definition of relative luminance, sRGB).
func colours(t *testing.T, sheet string) map[string]float64 {
	t.Helper()
	css, err := files.ReadFile("static/" + sheet)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for _, m := range property.FindAllSubmatch(css, -1) {
		rgb, err := strconv.ParseUint(string(m[2]), 16, 32)
		if err != nil {
			t.Fatal(err)
		}
		out[string(m[1])] = 0.2126*linear(rgb>>16) + 0.7152*linear(rgb>>8) + 0.0722*linear(rgb)
	}
	if len(out) < 12 {
		t.Fatalf("%s: only %d colours found", sheet, len(out))
	}
	return out
}

func linear(channel uint64) float64 {
	c := float64(channel&255) / 255
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

func contrast(a, b float64) float64 { return (math.Max(a, b) + 0.05) / (math.Min(a, b) + 0.05) }
