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

// sampleDetail reads what belongs to the sample that is open.
func (rd *reading) sampleDetail(i int) bool {
	row := rd.sampleRow()
	if rd.ofAPerson(i) || rd.lex(i, kChatter) > 0 || rd.beginsOther(rd.untakenFrom(i)) {
		return false
	}
	if rd.manyLabels(i) {
		return true
	}
	_, has := rd.out.Field(row + "/label")
	passing := has && rd.word(i) == "number" && !rd.correcting && !rd.breaks(i)
	if id, n := rd.lexID(i, kLabel); n > 0 && !passing && id == "label" && !(rd.word(i) == "no" && !rd.joined(i+1)) {
		if text, j := rd.labelText(i + n); j > i+n {
			if has && rd.word(i) == "number" && !rd.correcting && !rd.breaks(j) {
				return false // number four today
			}
			rd.labelAt(text, i, j)
			return true
		}
	}
	if rd.labelFollows(i) {
		text, j := rd.labelText(i)
		rd.labelAt(text, i, j)
		return true
	}
	bag := i
	if rd.word(bag) == "in" && rd.joined(bag+1) {
		bag++
	}
	if _, labelled := rd.out.Field(row + "/label"); !labelled && rd.word(bag) == "bag" {
		if text, j := rd.labelText(bag + 1); j > bag+1 {
			rd.labelAt(text, i, j)
			return true
		}
	}
	if id, n := rd.lexID(i, kMedium); n > 0 {
		rd.take(Field{At: row + "/medium", Value: id}, i, i+n)
		return true
	}
	if rd.sampleCount(i) {
		return true
	}
	if id, n := rd.lexID(i, kSide); n > 0 && id != "both" && (rd.lex(i+n, kPart) > 0 || rd.sampleSided(row) && rd.detailEnds(i, i+n)) && rd.detailBegins(i) {
		if f, said := rd.out.Field(row + "/side"); said && f.Value != id && !rd.correcting && rd.toks[i].stop != 0 {
			f.Pending, f.Why = true, "two sides"
			rd.ask(Question{About: f.At, Says: f.Value + " or " + id + "?", Among: []string{f.Value, id}}, i, i+n)
			rd.at = i + n
			return true
		}
		rd.take(Field{At: row + "/side", Value: id}, i, i+n)
		return true
	}
	if id, n := rd.lexID(i, kPart); n > 0 && rd.detailBegins(i) && rd.detailEnds(i, i+n) && !rd.measureFollows(i, i+n) && rd.lex(i, kSample) == 0 && (rd.lex(rd.skip(i+n), kFindSign) == 0 || !rd.joined(rd.skip(i+n)) || rd.lex(i+n, kMedium) > 0) && rd.lex(i, kMark) == 0 {
		if f, ok := rd.out.Field(row + "/kind"); ok && f.Value == "ear biopsy" && id == "ear" {
			rd.fate(i, i+n, Taken, row+"/side")
			rd.at = i + n
			return true
		}
		rd.take(Field{At: row + "/part", Value: id}, i, i+n)
		return true
	}
	for _, w := range []string{"trap floor", "trap", "bag", "floor of the trap"} {
		if (rd.word(i) == "from" || rd.word(i) == "in" || rd.word(i) == "off") && rd.follows(i+1, append([]string{"the"}, strings.Fields(w)...)) {
			n := 2 + len(strings.Fields(w))
			rd.take(Field{At: row + "/source", Value: w}, i, i+n)
			return true
		}
	}
	if _, labelled := rd.out.Field(row + "/label"); !labelled && !rd.slotOpen() && rd.isNumber(i) {
		if text, j := rd.markDigits(i); j > i && len(text) >= 2 && (rd.breaks(j) || len(text) > 2 && rd.lex(j, kSample) > 0) {
			rd.labelAt(text, i, j)
			return true
		}
	}
	if rd.correcting && rd.isNumber(i) {
		if text, j := rd.markDigits(i); j > i {
			rd.labelAt(text, i, j)
			return true
		}
	}
	return false
}

// untakenFrom is where the breath of token i opens, if nothing of it is taken.
func (rd *reading) untakenFrom(i int) int {
	from, _ := rd.clause(i)
	for k := from; k < i; k++ {
		if rd.toks[k].fate == Taken {
			return i
		}
	}
	return from
}

// beginsOther tells whether a breath that opens at token i with a side or a part
// is about that part itself, and not about where a sample came from: a length,
// a sign or parasites follow.
func (rd *reading) beginsOther(i int) bool {
	if i >= len(rd.toks) || rd.toks[i].stop == 0 || rd.lex(i, kSide) == 0 && rd.lex(i, kPart) == 0 {
		return false
	}
	if n := rd.lex(i, kSign); n > 0 && rd.lex(i+n, kSignValue) > 0 {
		return true // pouch dry
	}
	_, to := rd.clause(i)
	trait := false
	for k := i; k < to; {
		if id, n := rd.lexID(k, kFindSign); n > 0 && (rd.counted(id) || rd.lex(k, kMedium) == 0) {
			return true
		}
		n := max(rd.lex(k, kSide), rd.lex(k, kPart))
		switch {
		case rd.lex(k, kTrait) > 0 && rd.measuredHere(k):
			return true
		case n > 0:
			trait = trait || rd.lex(k, kTrait) > 0
			k += n
		case rd.lex(k, kLabel) > 0 || rd.lex(k, kMedium) > 0 || rd.lex(k, kSample) > 0 || rd.lex(k, kMark) > 0 && rd.lex(k, kLabel) > 0:
			return false
		default:
			return rd.lex(k, kMark) > 0 || rd.lex(rd.skip(k), kFindSign) > 0
		}
	}
	return trait && to < len(rd.toks) && (rd.isNumber(to) && rd.lex(to, kLabel) == 0 && (rd.labelledAlready() || rd.tailMeasured(i, to)) || rd.lex(to, kFiller) > 2 || rd.lex(to, kSide) > 0 && rd.lex(to+rd.lex(to, kSide), kPart) == 0)
}

// tailMeasured tells whether the number at token j is a length of the part named
// at token i, from which no sample is taken: "tail, one fifty-five".
func (rd *reading) tailMeasured(i, j int) bool {
	m, _, ok := rd.mentionAt(i)
	s, isNumber := rd.number(j)
	return ok && isNumber && m.trait != nil && rd.word(i) != "ear" && rd.limits(m.trait, "").known && rd.fitsMention(m, s)
}

func (rd *reading) labelledAlready() bool {
	_, ok := rd.out.Field(rd.sampleRow() + "/label")
	return ok
}

// detailBegins tells whether what stands at token i can belong to the sample:
// it opens a breath, or follows what was taken, a side or a preposition.
func (rd *reading) detailBegins(i int) bool {
	if rd.breaks(i) || rd.toks[i-1].fate == Taken || rd.toks[i-1].fate == Asked || rd.lex(i-1, kSide) > 0 {
		return true
	}
	switch rd.word(i - 1) {
	case "from", "off", "of", "on", "in", "the", "her", "his", "at", "and", "no", "sorry", "is", "'s", "was":
		return rd.word(i-1) != "the" || rd.detailBegins(i-1)
	}
	return rd.lex(i-1, kFiller) > 0
}

// detailEnds tells whether the breath ends behind a detail, or goes on with
// another one.
func (rd *reading) detailEnds(i, j int) bool {
	if rd.breaks(j) || rd.lex(j, kLabel) > 0 || rd.lex(j, kMedium) > 0 || rd.lex(j, kSide) > 0 || rd.lex(j, kPart) > 0 || rd.lex(j, kSample) > 0 || rd.lex(j, kCorrect) > 0 || rd.isNumber(j) {
		return true
	}
	k := rd.preposition(j)
	if w := rd.word(j); w == "and" || w == "into" || w == "in" || w == "no" {
		return true
	}
	return k > j && (rd.lex(k, kPart) > 0 || rd.lex(k, kSide) > 0 || rd.lex(k, kLabel) > 0) || rd.lex(j, kFiller) > 0
}

// sampleSided tells whether a side alone can belong to a sample: one of an ear,
// or of another part there are two of.
func (rd *reading) sampleSided(row string) bool {
	if part, ok := rd.out.Field(row + "/part"); ok {
		return rd.sidedPart(part.Value)
	}
	kind, ok := rd.out.Field(row + "/kind")
	return ok && (strings.HasPrefix(kind.Value, "ear") || kind.Value == "swab" || kind.Value == "hair" || kind.Value == "ectoparasite")
}

// measureFollows tells whether a part is rather a trait with its number.
func (rd *reading) measureFollows(i, j int) bool {
	j = rd.skip(j)
	e, ok := rd.entry(i, kTrait)
	if !rd.joined(j) || !rd.isNumber(j) || !ok {
		return false
	}
	s, isNumber := rd.number(j)
	t := rd.traitOf(e.id, false)
	if !isNumber || t == nil {
		return false
	}
	_, v := rd.choose(t, rd.limits(t, ""), s)
	return v == fits
}

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
