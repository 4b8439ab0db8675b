package record

import (
	"cmp"
	"strings"
)

// Naturally orders names as people do: runs of digits by their number, so that
// A2 comes before A10, and the rest letter by letter. Names that differ are
// never equal.
func Naturally(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		m, n := digits(x), digits(y)
		if len(m) == 0 || len(n) == 0 {
			if x[0] != y[0] {
				return cmp.Compare(x[0], y[0])
			}
			x, y = x[1:], y[1:]
			continue
		}
		p, q := strings.TrimLeft(m, "0"), strings.TrimLeft(n, "0")
		if d := cmp.Or(cmp.Compare(len(p), len(q)), strings.Compare(p, q)); d != 0 {
			return d
		}
		x, y = x[len(m):], y[len(n):]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(a, b))
}

// digits is the run of digits at the beginning of s.
func digits(s string) string { return s[:len(s)-len(strings.TrimLeft(s, "0123456789"))] }
