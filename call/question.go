package call

import (
	"slices"
	"strings"
)

// ask puts one short question about the tokens from i to j. What was asked
// before is not asked again, and nothing is asked while an incident runs: the
// value stays flagged. It tells whether the question was put.
func (rd *reading) ask(q Question, i, j int) bool {
	if rd.quiet || slices.Contains(rd.given.Questions, q.About) {
		return false
	}
	rd.fate(i, j, Asked, q.About)
	if slices.ContainsFunc(rd.out.Questions, func(o Question) bool { return o.About == q.About }) {
		return true
	}
	rd.out.Questions = append(rd.out.Questions, q)
	return true
}

var digitNames = map[rune]string{
	'0': "zero", '1': "one", '2': "two", '3': "three", '4': "four", '5': "five", '6': "six", '7': "seven", '8': "eight", '9': "nine", '.': "point", '-': "minus",
}

// Digits says a number or a mark digit by digit, so that fifteen and fifty
// sound apart: "nine-two point one".
func Digits(text string) string {
	var b strings.Builder
	for _, r := range text {
		name, ok := digitNames[r]
		if !ok {
			name = string(r)
		}
		switch {
		case b.Len() == 0:
		case r == '.', strings.HasSuffix(b.String(), "point"):
			b.WriteByte(' ')
		default:
			b.WriteByte('-')
		}
		b.WriteString(name)
	}
	return b.String()
}
