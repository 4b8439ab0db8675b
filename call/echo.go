package call

// words cuts the phrase into pieces, each with what became of it: the live
// echo of the call line. Joined they are the phrase.
func words(phrase string, toks []token) []Word {
	var out []Word
	at := 0
	gap := func(to int) {
		if at < to {
			out = append(out, Word{Text: phrase[at:to], From: at, To: to})
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
	if len(toks) == maxTokens && at < len(phrase) {
		return append(out, Word{Text: phrase[at:], From: at, To: len(phrase), Fate: Left})
	}
	gap(len(phrase))
	return out
}
