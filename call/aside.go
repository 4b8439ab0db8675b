package call

// dropAsides leaves out whole breaths that are spoken to somebody of the crew and
// hold no word of the record, so that what was being said goes on behind them:
// "E five, look at those claws, bandicoot". They stay in the words of the phrase.
func (rd *reading) dropAsides() {
	kept := make([]token, 0, len(rd.toks))
	var stop byte
	for from := 0; from < len(rd.toks); {
		_, to := rd.clause(from)
		if rd.isAside(from, to) {
			if rank(rd.toks[from].stop) > rank(stop) {
				stop = rd.toks[from].stop
			}
			from = to
			continue
		}
		for k := from; k < to; k++ {
			t := rd.toks[k]
			if rank(stop) > rank(t.stop) {
				t.stop = stop
			}
			stop = 0
			kept = append(kept, t)
		}
		from = to
	}
	if len(kept) == 0 || len(kept) == len(rd.toks) {
		return
	}
	kept[0].stop = 0
	rd.toks = kept
	rd.cutBreaths()
	rd.scan()
}

// isAside tells whether a breath opens as one to the crew does, and no word of it
// can be of the record.
func (rd *reading) isAside(from, to int) bool {
	if to-from < 2 || rd.breaths[from].person || !storyOpeners[rd.word(from)] && rd.lex(from, kChatter) == 0 {
		return false
	}
	for k := from; k < to; k++ {
		if rd.toks[k].asked || rd.toks[k].num.class != noNumeral && rd.word(k) != "one" {
			return false
		}
		if recordWords[rd.word(k)] {
			return false
		}
		if k > from && k < from+rd.lex(from, kChatter) {
			continue
		}
		for _, e := range rd.found[k] {
			if e.kind != kFiller && e.kind != kChatter && e.kind != kForeign && !e.alike && !e.short && (len(e.words) > 1 || !everyday[rd.word(k)]) {
				return false
			}
		}
	}
	return true
}

// recordWords are words of the record that only rules know.
var recordWords = wordSet("milk milky feel felt open opened opening shut closed nothing missing half quarter wide long width length size other others rest same none don't know sure tell warm cold dead alive back again gone left right both each inside another")
