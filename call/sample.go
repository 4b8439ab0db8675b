package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/record"
)

// sampling reads a specimen with its site, side, medium, number and label:
// "punch from the left ear, vial thirty"; or that one was not taken.
func (rd *reading) sampling() bool {
	i := rd.at
	if rd.topic == tSample && rd.sample > 0 && rd.sampleDetail(i) {
		return true
	}
	if rd.labelFirst(i) {
		return true
	}
	if rd.keptParasites(i) {
		return true
	}
	no := rd.noSample(i)
	j := i + no
	count := 0
	if s, ok := rd.number(j); ok && rd.isNumber(j) && rd.joined(s.to) && rd.lex(s.to, kSample) > 0 {
		if count, _ = s.whole(); count > mostSamples {
			return false
		}
		j = s.to
	} else if id, n := rd.lexID(j, kAmount); n > 0 && rd.lex(j+n, kSample) > 0 && strings.HasSuffix(id, "+") {
		count, _ = strconv.Atoi(strings.TrimSuffix(id, "+"))
		j += n
	}
	if s, ok := rd.number(j); ok && rd.isNumber(j) && rd.joined(s.to) && containers[strings.TrimSuffix(rd.word(s.to), "s")] && rd.word(s.to+1) == "of" && rd.lex(s.to+2, kSample) > 0 {
		count, _ = s.whole() // two slides of blood film
		j = s.to + 2
	}
	for _, w := range []string{"cloacal", "pouch", "oral", "ear"} {
		if rd.word(j) == w && rd.lex(j, kSample) == 0 && rd.lex(j+1, kSample) > 0 && rd.joined(j+1) {
			return rd.sampled(w, i, j+1, no > 0, count)
		}
	}
	if rd.lex(j, kSample) == 0 {
		return rd.noTube(i, no)
	}
	return rd.sampled("", i, j, no > 0, count)
}

// noSample is how many words say that a sample was not taken.
func (rd *reading) noSample(i int) int {
	n := rd.lex(i, kMissing)
	if n == 0 {
		return 0
	}
	for rd.word(i+n) == "a" || rd.word(i+n) == "the" || rd.word(i+n) == "any" {
		n++
	}
	return n
}

// sampled opens a row for a sample.
func (rd *reading) sampled(site string, i, j int, none bool, count int) bool {
	id, n := rd.lexID(j, kSample)
	if n == 0 {
		return false
	}
	if w := rd.word(j + n); rd.joined(j+n) && strings.HasSuffix(rd.word(j), "ing") && (w == "it" || w == "her" || w == "him" || w == "them" || w == "the") {
		return false // a verb: dropping it
	}
	if next, m := rd.lexID(j+n, kSample); m > 0 && next == id && rd.joined(j+n) {
		n += m // biopsy punch
	}
	if w := rd.word(j + n); rd.joined(j+n) && (w == "failed" || rd.says(j+n, "didn't work") || rd.says(j+n, "no good")) {
		return rd.notSampled(id, i, j+n+1)
	}
	if none || rd.lex(rd.skip(j+n), kMissingAfter) > 0 && rd.joined(rd.skip(j+n)) {
		to := j + n
		if !none {
			to = rd.skip(to) + rd.lex(rd.skip(to), kMissingAfter)
		}
		return rd.notSampled(id, i, to)
	}
	if rd.denied(i) {
		return rd.notSampled(id, i, j+n)
	}
	if !rd.takenNow(i, j+n) {
		return false
	}
	rd.samples++
	rd.sample, rd.topic = rd.samples, tSample
	row := rd.sampleRow()
	rd.take(Field{At: row + "/kind", Value: id}, i, j+n)
	if site == "" {
		site = siteOfSample(rd.text(j, j+n))
	}
	if site != "" {
		rd.put(Field{At: row + "/part", Value: site}, j, j+n)
	}
	if from, side := rd.sideBefore(i); side != "" {
		rd.put(Field{At: row + "/side", Value: side}, from, i)
	}
	if count > 1 || count == 1 {
		rd.put(Field{At: row + "/amount", Value: strconv.Itoa(count)}, i, j)
	}
	rd.fromBothSides(id, j, n)
	if text := rd.labelAhead; text != "" {
		rd.labelAhead = ""
		rd.labelAt(text, i, j+n)
	}
	if slices.Contains(rd.given.Samples, id) && rd.once(id) {
		rd.note("already sampled: " + id)
	}
	return true
}

// fromBothSides reads "biopsies left and right": two samples.
func (rd *reading) fromBothSides(id string, j, n int) {
	k := j + n
	from := rd.word(k) == "from" && rd.joined(k)
	if from {
		k++
	}
	side, m := rd.lexID(k, kSide)
	if !from && !strings.HasSuffix(rd.word(k-1), "s") || m == 0 || side != "both" || !rd.joined(k) {
		return
	}
	if rd.lex(k+m, kPart) > 0 && rd.joined(k+m) {
		m += rd.lex(k+m, kPart)
	}
	rd.put(Field{At: rd.sampleRow() + "/side", Value: "left"}, j, k+m)
	rd.samples++
	rd.sample = rd.samples
	rd.put(Field{At: rd.sampleRow() + "/kind", Value: id}, j, k+m)
	rd.take(Field{At: rd.sampleRow() + "/side", Value: "right"}, j, k+m)
}

// siteOfSample is the part a sample's own name tells: cloacal swab.
func siteOfSample(said string) string {
	switch said = strings.ToLower(said); {
	case strings.Contains(said, "cloacal"):
		return "cloaca"
	case strings.Contains(said, "pouch"):
		return "pouch"
	case strings.Contains(said, "oral") || strings.Contains(said, "mouth"):
		return "mouth"
	}
	return ""
}

func (rd *reading) once(id string) bool {
	for _, k := range rd.lexicon.protocol.Samples {
		if k.ID == id {
			return k.Once
		}
	}
	return false
}

// takenNow tells whether a named sample is one that was taken, and no scar of
// an earlier one.
func (rd *reading) takenNow(i, j int) bool {
	if rd.onlyBlood(i, j) {
		return false
	}
	for k := i - 1; k >= 0 && k >= i-2 && rd.joined(k+1); k-- {
		if w := rd.word(k); w == "old" || w == "healed" || w == "previous" || w == "last" || w == "already" {
			return false
		}
	}
	if w := rd.word(j); rd.joined(j) && (w == "hole" || w == "scar" || w == "healed" || w == "punch" && rd.lex(j, kSample) == 0 || w == "kit" || w == "loss" || w == "missing") {
		return false
	}
	if rd.lex(i, kFindSign) > 0 && rd.seenNotTaken(i, j) {
		return false
	}
	return rd.lex(i, kFindSign) <= j-i || rd.topic == tSample
}

// onlyBlood tells whether blood is spoken of and not a sample of it: "is that
// blood".
func (rd *reading) onlyBlood(i, j int) bool {
	if rd.word(i) != "blood" || j != i+1 || rd.breaks(i) || rd.lex(j, kLabel) > 0 && rd.joined(j) {
		return false
	}
	switch rd.word(i - 1) {
	case "took", "take", "taking", "drew", "got", "drawn", "no", "and", "the", "some", "her", "his":
		return rd.saysAnywhere("is that", "is there", "any")
	}
	return rd.toks[i-1].fate != Taken
}

// seenNotTaken tells whether a word for both a sign and a sample is the sign:
// "a bit of blood" beside a graze.
func (rd *reading) seenNotTaken(i, j int) bool {
	if _, to := rd.labelText(j + rd.lex(j, kLabel)); to > j+rd.lex(j, kLabel) || rd.topic == tSample {
		return false
	}
	if w := rd.word(j); rd.joined(j) && (w == "on" || w == "in" || w == "around" || w == "round") && (rd.lex(rd.preposition(j), kPart) > 0 || rd.lex(rd.preposition(j), kSide) > 0) {
		return true
	}
	w := rd.word(i - 1)
	return rd.joined(i) && (w == "of" || w == "some" || w == "dried" || w == "little" || w == "bit") || rd.topic == tFinding
}

func (rd *reading) sampleRow() string { return "samples/" + strconv.Itoa(rd.sample) }

// sampleCount reads "one slide", "two tubes".
func (rd *reading) sampleCount(i int) bool {
	if !rd.isNumber(i) {
		return false
	}
	s, ok := rd.number(i)
	n, whole := s.whole()
	if !ok || !whole || !rd.joined(s.to) || n > mostSamples {
		return false
	}
	if rd.says(s.to, "of them") {
		rd.take(Field{At: rd.sampleRow() + "/amount", Value: strconv.Itoa(n)}, i, s.to+2)
		return true
	}
	if id, k := rd.lexID(s.to, kSample); k > 0 {
		if kind, said := rd.out.Field(rd.sampleRow() + "/kind"); said && kind.Value != id {
			return false
		}
	}
	if containers[strings.TrimSuffix(rd.word(s.to), "s")] {
		rd.take(Field{At: rd.sampleRow() + "/amount", Value: strconv.Itoa(n)}, i, s.to+1)
		return true
	}
	return false
}

// mostSamples is more than anyone takes of one kind; a greater number is a label.
const mostSamples = 40

// containers are what samples are counted in.
var containers = wordSet("slide tube pellet vial drop film smear swab strand hair pinch pluck piece scat punche punch bag envelope capillary pot jar")

// notSampled enters a sample that was not taken, and why.
func (rd *reading) notSampled(kind string, i, j int) bool {
	rd.samples++
	row := "samples/" + strconv.Itoa(rd.samples)
	rd.take(Field{At: row + "/kind", Value: kind, State: record.NotChecked, Why: rd.why("not_taken")}, i, j)
	return true
}

// noTube reads "no tube" beside blood: a film was made, and no tube.
func (rd *reading) noTube(i, no int) bool {
	w := rd.word(i + no)
	if no == 0 || w != "tube" && w != "tubes" || !rd.bloodSpoken() || rd.joined(i+no+1) && rd.isNumber(i+no+1) {
		return false
	}
	return rd.notSampled("blood tube", i, i+no+1)
}

func (rd *reading) bloodSpoken() bool {
	for _, t := range rd.toks {
		if t.text == "blood" || t.text == "film" || t.text == "smear" {
			return true
		}
	}
	return false
}

// keptParasites reads "kept two ticks, vial nine": parasites as a specimen.
func (rd *reading) keptParasites(i int) bool {
	start := i
	switch rd.word(i) {
	case "kept", "collected", "keeping", "collecting", "took", "saved", "pulled", "keep", "preserved", "removed":
	default:
		if id, n := rd.lexID(i, kFindSign); !rd.isNumber(i) && rd.lex(i, kAmount) == 0 && rd.word(i) != "a" && (n == 0 || !rd.counted(id)) {
			return false
		}
		i--
	}
	j, count := i+1, 0
	if rd.word(j) == "the" || rd.word(j) == "a" {
		j++
	}
	if s, ok := rd.number(j); ok && rd.isNumber(j) {
		count, _ = s.whole()
		j = s.to
	} else if id, n := rd.lexID(j, kAmount); n > 0 {
		count, _ = strconv.Atoi(strings.TrimSuffix(id, "+"))
		j += n
	}
	for rd.word(j) == "of" || rd.word(j) == "the" || rd.word(j) == "engorged" {
		j++
	}
	id, n := rd.lexID(j, kFindSign)
	if n == 0 || !rd.counted(id) || i < start && !rd.intoVial(j+n) {
		return false
	}
	kind := "ectoparasite"
	i = start
	rd.samples++
	rd.sample, rd.topic = rd.samples, tSample
	rd.take(Field{At: rd.sampleRow() + "/kind", Value: kind}, i, j+n)
	if count > 0 {
		rd.put(Field{At: rd.sampleRow() + "/amount", Value: strconv.Itoa(count)}, i, j+n)
	}
	return true
}

// intoVial tells whether a medium or a label follows, so that parasites were
// kept.
func (rd *reading) intoVial(i int) bool {
	if rd.word(i) == "into" || rd.word(i) == "in" {
		if w := rd.word(i + 1); w == "a" || w == "the" {
			return rd.lex(i+2, kLabel) > 0
		}
		if rd.word(i) == "into" {
			i++
		}
	}
	if _, n := rd.lexID(i, kMedium); n > 0 {
		return true
	}
	_, n := rd.lexID(i, kLabel)
	return n > 0 && rd.word(i) != "number" && rd.word(i) != "no" && rd.isNumber(i+n)
}
