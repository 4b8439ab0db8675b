package call

import (
	"slices"
)

// softenStops takes full stops for pauses where one voice speaks: a transcriber
// puts one or the other. Between two voices they stay apart.
func (rd *reading) softenStops() {
	asks := func(t token) bool { return t.stop == '?' || t.asked }
	if rd.given.Speaker == Both || slices.ContainsFunc(rd.toks, asks) {
		return
	}
	for i := range rd.toks {
		if rd.toks[i].stop == '.' {
			rd.toks[i].stop = ','
		}
	}
}

// closeIdioms takes all meaning from the words within a figure of speech: of
// "back in a tick" the last is no parasite.
func (rd *reading) closeIdioms() {
	for i := range rd.toks {
		for k := i + 1; k < i+rd.lex(i, kChatter); k++ {
			rd.found[k] = slices.DeleteFunc(rd.found[k], func(e entry) bool { return e.kind != kChatter && e.kind != kFiller })
		}
	}
}

// clause gives the bounds of the breath that holds token i.
func (rd *reading) clause(i int) (from, to int) {
	rd.steps++
	if i < 0 || i >= len(rd.breaths) {
		return i, i + 1
	}
	return rd.breaths[i].from, rd.breaths[i].to
}

// A breath is what is said between two stops.
type breath struct {
	from, to int
	person   bool // about somebody of the crew
}

// cutBreaths finds the breath of each token, once.
func (rd *reading) cutBreaths() {
	rd.breaths = make([]breath, len(rd.toks))
	for from := 0; from < len(rd.toks); {
		b := breath{from: from, to: from + 1}
		for b.to < len(rd.toks) && rd.toks[b.to].stop == 0 {
			b.to++
		}
		for k := from; k < b.to; k++ {
			b.person = b.person || ofCrew[rd.toks[k].text]
		}
		for k := from; k < b.to; k++ {
			rd.breaths[k] = b
		}
		from = b.to
	}
}

// ofCrew are words that make a breath one about the crew.
var ofCrew = wordSet("my your our you me myself yourself yours mine ours")
