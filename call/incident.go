package call

import (
	"strings"
)

// incident reads what went wrong for an animal or a person.
func (rd *reading) incident() bool {
	i := rd.at
	id, n := rd.lexID(i, kIncident)
	if n == 0 || rd.denied(i) || !rd.incidentFits(id, i) {
		return false
	}
	if f, ok := rd.out.Field("incidents/1/kind"); ok && f.Value == id {
		rd.fate(i, i+n, Taken, f.At)
		rd.at = i + n
		return true
	}
	if _, ok := rd.out.Field("incidents/1/kind"); ok {
		return false
	}
	rd.take(Field{At: "incidents/1/kind", Value: id}, i, i+n)
	switch id {
	case "young ejected":
		rd.young = litter{open: true, row: 1}
		rd.topic = tYoung
		rd.bean(i, i+n)
	case "torpor", "distress":
		rd.out.Fields = append(rd.out.Fields, Field{At: "follow-up", Value: "yes", Derived: true})
	case "person hurt":
		rd.whereBitten(i + n)
	}
	rd.aid()
	return true
}

// incidentFits keeps words of other meanings out: "thrown" of a rope, "got me".
func (rd *reading) incidentFits(id string, i int) bool {
	switch w := rd.word(i); {
	case id == "distress" && rd.spokenOf(kOutcome, "dead"):
		return false // what it died of
	case id == "person hurt" && (w == "got" || w == "scratched") && rd.word(i+1) != "bitten" && rd.word(i+1) != "bit":
		return rd.bodyPartAfter(i)
	case id == "person hurt" && w == "bite" && rd.lex(rd.preposition(i+1), kPart) > 0:
		return rd.saysAnywhere("washed", "iodine", "betadine", "disinfected", "bandaged", "first aid")
	case w == "threw":
		return rd.saidYoung() || rd.saysAnywhere("teat", "pouch")
	case w == "thrown" || w == "lost" || w == "dropped" || w == "ejected":
		return w != "lost" && rd.word(i+1) == "" || rd.saidYoung() || rd.saysAnywhere("she's thrown", "she has thrown", "ejected")
	}
	return true
}

// bodyPartAfter tells whether a part of a person is named soon after token i:
// "got me on the thumb". What was measured before it is none.
func (rd *reading) bodyPartAfter(i int) bool {
	for k := i; k < min(len(rd.toks), i+8); k++ {
		if bodyParts[rd.word(k)] {
			return true
		}
	}
	return false
}

// bodyParts of a person.
var bodyParts = wordSet("finger thumb hand wrist arm forearm knuckle palm leg face nose lip cheek ear chin shin")

// whereBitten reads the part of the person, and no more: health stays out of
// the record.
func (rd *reading) whereBitten(i int) {
	_, to := rd.clause(min(i, len(rd.toks)-1))
	for k := i; k < to; k++ {
		if bodyParts[rd.word(k)] {
			rd.bitten(k)
			return
		}
	}
	for k := to; k < min(len(rd.toks), to+3); k++ {
		if bodyParts[rd.word(k)] && rd.breaks(k+1) && (k == to || rd.lex(k-1, kSide) > 0 || rd.word(k-1) == "the") {
			rd.bitten(k)
			return
		}
	}
	for k := range rd.toks {
		if bodyParts[rd.word(k)] && (rd.word(k-1) == "my" || rd.word(k-2) == "my") {
			rd.bitten(k)
			return
		}
	}
}

func (rd *reading) bitten(k int) {
	from := k
	if n := rd.lex(k-1, kSide); n > 0 || rd.word(k-1) == "index" || rd.word(k-1) == "middle" || rd.word(k-1) == "ring" {
		from = k - 1
	}
	rd.put(Field{At: "incidents/1/person site", Value: strings.ToLower(rd.text(from, k+1))}, from, k+1)
}

// aid reads what was done at once.
func (rd *reading) aid() {
	for i := range rd.toks {
		switch rd.word(i) {
		case "washed", "washing", "cleaned", "bandaged", "disinfected", "iodine", "betadine", "scrubbed", "plaster", "dressed", "flushed", "bandaid":
			_, to := rd.clause(i)
			rd.put(Field{At: "incidents/1/aid", Value: rd.text(i, to)}, i, to)
			return
		}
	}
}
