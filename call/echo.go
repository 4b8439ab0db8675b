package call

import (
	"strings"
	"unicode"
)

// words cuts the phrase into pieces, each with what became of it: the live
// echo of the call line. Joined they are the phrase.
func words(phrase string, toks []token) []Word {
	var out []Word
	at := 0
	gap := func(to int) {
		if at < to {
			piece := Word{Text: phrase[at:to], From: at, To: to}
			if strings.ContainsFunc(piece.Text, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
				piece.Fate = Left // a hesitation, or what is too long to be read
			}
			out = append(out, piece)
		}
		at = to
	}
	for _, t := range toks {
		gap(t.from)
		fate := t.fate
		if fate == Between {
			fate = Left
		}
		out = append(out, Word{Text: phrase[t.from:t.to], From: t.from, To: t.to, Fate: fate, Field: t.field})
		at = t.to
	}
	gap(len(phrase))
	return out
}
