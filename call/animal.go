package call

import (
	"slices"
	"strings"

	"dawnround/record"
)

// sexing reads the sex of the animal. "She" and "he" alone say nothing.
func (rd *reading) sexing() bool {
	i := rd.at
	if rd.sexLabel(i) {
		return true
	}
	id, n := rd.lexID(i, kSex)
	if n == 0 || rd.negatedAt(i) || rd.isForeign(i+n) && id != "not told" {
		return rd.writtenSex(i)
	}
	if rd.sexDoubted(i, n) || !rd.nearKnown(i, n) || rd.denied(i) && id != "not told" {
		return false
	}
	if f, ok := rd.out.Field("sex"); ok && f.Value != id && !rd.correcting {
		f.Pending = true
		rd.ask(Question{About: "sex", Says: f.Value + " or " + id + "?", Among: []string{f.Value, id}}, i, i+n)
		rd.at = i + n
		return true
	}
	if id == string(record.Unsexed) && rd.ofYoungAlone() {
		return rd.youngUnsexed(i, n)
	}
	rd.unask("sex")
	rd.correcting = false
	rd.take(Field{At: "sex", Value: id}, i, i+n)
	rd.last = "sex"
	if k, ok := known(rd.given.Last, "sex"); ok && k.Value != id && !rd.previous && id != string(record.Unsexed) {
		rd.flagLast("sex", "last time "+k.Value)
		rd.ask(Question{About: "sex", Says: id + "; last time " + k.Value + ". Same animal?"}, i, i+n)
	}
	return true
}

// sexDoubted tells whether a sex is only wondered about, or is another animal's:
// "was it a male", "might be a boy", "the male's in the next trap".
func (rd *reading) sexDoubted(i, n int) bool {
	if _, said := rd.out.Field("sex"); said {
		return false // then it is asked
	}
	return rd.wondered(i, n)
}

func (rd *reading) wondered(i, n int) bool {
	if rd.word(i-1) == "the" && rd.joined(i) && !rd.correcting {
		switch rd.word(i + n) {
		case "'s", "is", "was", "in", "from", "next", "we", "that", "has", "had", "went":
			return true
		}
	}
	for k := i - 1; k >= 0 && k >= i-5 && rd.joined(k+1); k-- {
		switch rd.word(k) {
		case "might", "could", "may", "maybe", "whether", "wonder", "guess", "bet", "hope", "hoping":
			return true
		case "it", "that", "this", "she", "he":
			if w := rd.word(k - 1); rd.joined(k) && (w == "was" || w == "is" || w == "were" || w == "if") {
				return true
			}
		}
	}
	return false
}

// ofYoungAlone tells whether the phrase measures what only a young has, and
// nothing of the animal was said.
func (rd *reading) ofYoungAlone() bool {
	if len(rd.out.Fields) > 0 || rd.young.open {
		return false
	}
	for i := range rd.toks {
		if e, ok := rd.entry(i, kYoungTrait); ok && !e.alike && rd.lex(i, kTrait) == 0 {
			return true
		}
	}
	return false
}

// youngUnsexed reads "can't sex it, too small" of a young.
func (rd *reading) youngUnsexed(i, n int) bool {
	rd.young, rd.topic = litter{open: true, row: 1}, tYoung
	rd.take(Field{At: rd.youngAt(1) + "/sex", Value: string(record.Unsexed)}, i, i+n)
	return true
}

// sexLabel passes over the word "sex", as said or as a transcriber may write
// it, before a sex.
func (rd *reading) sexLabel(i int) bool {
	w := rd.word(i)
	alike := rd.hearsAlikes() && !rd.young.open && (w == "six" || w == "sax" || w == "sacks" || w == "sects")
	if w != "sex" && !alike || !rd.joined(i+1) {
		return false
	}
	id, n := rd.lexID(i+1, kSex)
	if m := misheardSex[rd.word(i+1)]; n == 0 && rd.hearsAlikes() && m != "" {
		rd.take(Field{At: "sex", Value: m, Misheard: rd.text(i, i+2)}, i, i+2)
		rd.last = "sex"
		return true
	}
	if n == 0 || alike && id == "not told" {
		return false
	}
	rd.fate(i, i+1, Taken, "sex")
	rd.at = i + 1
	return true
}

// misheardSex are the sexes as a transcriber may write them, behind the word.
var misheardSex = map[string]string{"mail": "male", "mile": "male", "meal": "male", "may": "male", "mel": "male", "email": "female", "fee": "female", "femail": "female"}

// writtenSex reads F and M among other shorthand.
func (rd *reading) writtenSex(i int) bool {
	w := rd.word(i)
	if w != "f" && w != "m" || !rd.toks[i].capital || rd.joined(i+1) && rd.isNumber(i+1) || rd.hasUnknown(i) {
		return false
	}
	sex := map[string]string{"f": "female", "m": "male"}[w]
	rd.take(Field{At: "sex", Value: sex}, i, i+1)
	return true
}

// hasUnknown tells whether any longer word of the breath of token at is none of
// the vocabulary.
func (rd *reading) hasUnknown(at int) bool {
	from, to := rd.clause(at)
	for i := from; i < to; i++ {
		t := rd.toks[i]
		if len(rd.found[i]) == 0 && t.num.class == noNumeral && len(t.text) > 1 && !slices.Contains([]string{"n/c", "rt", "lt", "re", "le", "bcs", "nad", "yaf", "hfl"}, t.text) {
			return true
		}
	}
	return false
}

// nearKnown tells whether a word that is also common speech stands beside
// other words of the record, or alone in its breath.
func (rd *reading) nearKnown(i, n int) bool {
	switch rd.word(i) {
	case "girl", "boy", "lady", "doe", "buck", "bloke", "fella":
		if rd.calledToAnimal(i) {
			return false
		}
		from, to := rd.clause(i)
		for k := from; k < to; k++ {
			if k >= i && k < i+n || rd.toks[k].fate == Taken {
				continue
			}
			if len(rd.found[k]) == 0 && rd.word(k) != "she" && rd.word(k) != "he" && rd.word(k) != "a" && rd.word(k) != "'s" || rd.lex(k, kChatter) > 0 {
				return false
			}
			switch rd.word(k) {
			case "good", "come", "on", "big", "old", "clever", "nice", "lovely", "easy", "poor", "there", "my":
				return false
			}
		}
	}
	return true
}

// calledToAnimal tells whether "girl" or "boy" at token i is a word to the
// animal: "good girl", "easy boy".
func (rd *reading) calledToAnimal(i int) bool {
	switch rd.word(i - 1) {
	case "good", "easy", "come", "on", "clever", "nice", "lovely", "poor", "there", "my", "steady", "sorry", "ok", "okay", "thanks", "brave", "that's", "atta", "pretty", "bad", "naughty", "shush", "hush", "gentle", "now":
		return rd.joined(i)
	}
	return false
}

// status reads new, recapture or retrap.
func (rd *reading) status() bool {
	i := rd.at
	id, n := rd.lexID(i, kStatus)
	if w := rd.word(i); w == "n" || w == "r" || w == "rt" {
		id, n = map[string]string{"n": "new", "r": "recapture", "rt": "retrap"}[w], 1
		if !rd.toks[i].capital || rd.joined(i+1) && (rd.isNumber(i+1) || rd.lex(i+1, kPart) > 0) || rd.hasUnknown(i) {
			return false
		}
	}
	if n == 0 || rd.denied(i) || rd.isReason(i) {
		return false
	}
	if w := rd.word(i + n); id == "new" && rd.joined(i+n) && (w == "in" || w == "on" || w == "ends") {
		return false
	}
	if id == "new" && n == 1 && rd.joined(i+1) && rd.lex(i+1, kSex) == 0 && rd.lex(i+1, kStage) == 0 && rd.lex(i+1, kTrait) == 0 && rd.lex(i+1, kStatus) == 0 {
		return false
	}
	if id == "recapture" && rd.given.SameTrip {
		id = string(record.Retrap)
	}
	to := i + n
	for _, tail := range []string{"from yesterday", "from last night", "from this trip", "from the night before", "from earlier", "this session", "from this session"} {
		if words := strings.Fields(tail); rd.follows(to, words) {
			if id == "recapture" && tail != "from earlier" {
				id = string(record.Retrap)
			}
			to += len(words)
			break
		}
	}
	if f, ok := rd.out.Field("status"); ok && f.Value != id && !rd.correcting && (f.Value == "new" || id == "new") {
		f.Pending = true
		rd.ask(Question{About: "status", Says: f.Value + " or " + id + "?", Among: []string{f.Value, id}}, i, to)
		rd.at = to
		return true
	}
	rd.correcting, rd.young.open = false, false
	if rd.topic == tYoung {
		rd.topic = tNone
	}
	rd.take(Field{At: "status", Value: id}, i, to)
	return true
}

// isReason tells whether words that could name a status say why something was
// not measured.
func (rd *reading) isReason(i int) bool {
	if rd.lex(i, kWhy) == 0 {
		return false
	}
	for _, f := range rd.out.Fields {
		if f.State == record.NotChecked {
			return true
		}
	}
	return false
}

// follows tells whether these words stand at token i.
func (rd *reading) follows(i int, words []string) bool {
	for k, w := range words {
		if rd.word(i+k) != w || k > 0 && !rd.joined(i+k) {
			return false
		}
	}
	return true
}

// staging reads the life stage.
func (rd *reading) staging() bool {
	i := rd.at
	id, n := rd.lexID(i, kStage)
	if n == 0 || !rd.isGrown(id) || rd.negatedAt(i) {
		return false
	}
	if f, ok := rd.out.Field("stage"); ok && f.Value != id && !rd.correcting {
		f.Pending = true
		rd.ask(Question{About: "stage", Says: f.Value + " or " + id + "?", Among: []string{f.Value, id}}, i, i+n)
		rd.at = i + n
		return true
	}
	rd.correcting = false
	rd.take(Field{At: "stage", Value: id}, i, i+n)
	return true
}

// beasts are animals that walk into traps, by their last word, and the words
// that may stand before it. Common names; common practice.
var beasts = wordSet("possum rat bettong bandicoot cat dog fox rabbit hare quoll echidna skink goanna lizard snake magpie raven crow currawong wallaby pademelon potoroo mouse dunnart antechinus phascogale bilby quail pigeon dove toad frog hedgehog stoat ferret weasel squirrel dingo koala wombat glider numbat kookaburra butcherbird wren lapwing monitor bluetongue shingleback woylie boodie mulgara planigale melomys hare-wallaby bird python starling blackbird chough thrush robin hen rodent kitten piglet vole shrew chipmunk ringtail brushtail")

var beastWords = wordSet("brushtail ringtail bush swamp black brown house water field marsh grassland common spotted eastern western northern southern long-nosed feral blue tongue blue-tongue tree grey red white ship yellow-footed long nosed tailed eared footed crested agile little short fat-tailed fat tailed hopping stripe striped rock swamp golden native wild spinifex plains dusky broad toothed broad-toothed barred giant bearded shingle back lace sand cane mountain")

func wordSet(list string) map[string]bool {
	set := map[string]bool{}
	for w := range strings.FieldsSeq(list) {
		set[w] = true
	}
	return set
}

// speciesText reads the name of an animal at token i, and gives it as said.
func (rd *reading) speciesText(i int) (int, string, bool) {
	j := i
	for j < len(rd.toks) && (j == i || rd.joined(j)) && beastWords[rd.word(j)] && j < i+4 {
		j++
	}
	if j < len(rd.toks) && (j == i || rd.joined(j)) && (beasts[rd.word(j)] || beasts[strings.TrimSuffix(rd.word(j), "s")]) {
		j++
		if beasts[rd.word(j)] && rd.joined(j) {
			j++ // brushtail possum
		}
		return j, strings.ToLower(rd.text(i, j)), true
	}
	if j == i+1 && beasts[rd.word(i)] {
		return j, strings.ToLower(rd.text(i, j)), true
	}
	if id, n := rd.lexID(i, kSpecies); n > 0 && id != "" && len(rd.word(i)) > 2 {
		return i + n, strings.ToLower(rd.text(i, i+n)), true
	}
	return i, "", false
}

// species reads what the animal is.
func (rd *reading) species() bool {
	i := rd.at
	j, text, ok := rd.speciesText(i)
	if !ok || !rd.caught(i, j) {
		return false
	}
	rd.take(Field{At: "species", Value: text}, i, j)
	return true
}

// caught tells whether a named animal is one in hand or in a trap: its name
// opens a breath or follows "a", "dead", "juvenile", and the breath ends, or a
// place, a sex or a stage follows.
func (rd *reading) caught(i, j int) bool {
	before := rd.word(i - 1)
	if rd.word(i-2) == "like" {
		return false
	}
	opens := rd.breaks(i) || rd.toks[i-1].fate == Taken || (before == "a" || before == "an" || before == "'s" || before == "is" || before == "one") && (rd.breaks(i-1) || rd.toks[i-2].fate != Between || rd.lex(i-2, kFiller) > 0 || rd.breaks(i-2))
	if !opens {
		return false
	}
	if rd.breaks(j) {
		return rd.toks[i].stop == 0 || i == 0 || rd.aboutAnimal() || rd.animalThere()
	}
	if rd.says(j, "in the trap") && rd.breaks(j+3) || rd.says(j, "in trap") && rd.breaks(j+2) {
		return true
	}
	if w := rd.word(j); w == "in" || w == "at" {
		for k := j + 1; k < j+6; k++ {
			if _, _, trap := rd.trapName(k); trap && k > 0 && rd.joined(k) {
				return true
			}
		}
		return false
	}
	return rd.lex(j, kSex) > 0 || rd.lex(j, kStage) > 0 || rd.lex(j, kOutcome) > 0
}

// aboutAnimal tells whether anything was recorded before in this phrase.
func (rd *reading) aboutAnimal() bool { return len(rd.out.Fields) > 0 }
