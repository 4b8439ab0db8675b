package call

import (
	"slices"
	"strings"
)

// An animal that the programme does not know has any name. It is taken from
// words that nothing else claims, but only where the phrase says that an
// animal was there: bycatch, let it go, dead, not processed, flew off.

// unknownBeast reads such a name: "bycatch, weka in C two", "C two, some kind
// of parrot, flew off".
func (rd *reading) unknownBeast() bool {
	i := rd.at
	if n := bycatchWord(rd, i); n > 0 {
		rd.fate(i, i+n, Taken, "bycatch")
		if _, ok := rd.out.Field("bycatch"); !ok {
			rd.out.Fields = append(rd.out.Fields, Field{At: "bycatch", Value: "yes", From: rd.toks[i].from, To: rd.toks[i+n-1].to})
		}
		rd.at = i + n
		return true
	}
	if !rd.breaks(i) && rd.toks[i-1].fate != Taken || !rd.animalThere() || rd.oneOfOurs() {
		return false
	}
	j := rd.someKindOf(i)
	k := j
	for k < len(rd.toks) && k < j+4 && (k == j || rd.joined(k)) && rd.nameWord(k) {
		k++
		if beasts[rd.word(k-1)] && !beasts[rd.word(k)] {
			break
		}
	}
	if k == j {
		return false
	}
	if _, said := rd.out.Field("species"); said || !rd.breaks(k) && !rd.placeFollows(k) && bycatchWord(rd, k) == 0 {
		return false
	}
	if rd.breaks(k) && rd.checks == 0 && !rd.trapSaid() && !rd.saysAnywhere("bycatch", "by catch") {
		return false
	}
	rd.take(Field{At: "species", Value: strings.ToLower(rd.text(j, k))}, i, k)
	return true
}

// oneOfOurs tells whether what was said of the animal is said of those that the
// programme knows only: a status, a mark, a length.
func (rd *reading) oneOfOurs() bool {
	ours := func(at string) bool {
		return at == "status" || strings.HasPrefix(at, "marks/") || strings.HasPrefix(at, "measures/") || strings.HasPrefix(at, "weighing/") || strings.HasPrefix(at, "signs/") || strings.HasPrefix(at, "young/") || strings.HasPrefix(at, "samples/") || strings.HasPrefix(at, "teats/")
	}
	return slices.ContainsFunc(rd.out.Fields, func(f Field) bool { return ours(f.At) }) || slices.ContainsFunc(rd.given.SoFar, func(k Known) bool { return ours(k.At) })
}

// bycatchWord is how many words say bycatch at token i.
func bycatchWord(rd *reading, i int) int {
	for _, p := range []string{"bycatch", "by catch", "non target", "nontarget", "off target", "not one of ours"} {
		if rd.says(i, p) {
			return len(strings.Fields(p))
		}
	}
	return 0
}

// animalThere tells whether the phrase says that some animal was there.
func (rd *reading) animalThere() bool {
	if !rd.animal.known {
		rd.animal.known, rd.animal.there = true, rd.tellsOfAnimal()
	}
	return rd.animal.there
}

func (rd *reading) tellsOfAnimal() bool {
	if rd.saysAnywhere("bycatch", "by catch", "non target", "not one of ours", "off target") {
		return true
	}
	for i := range rd.toks {
		if id, n := rd.lexID(i, kRelease); n > 0 && !rd.denied(i) && (id == "not processed" || id == "released" && rd.word(i) != "gone" && rd.word(i) != "back" || id == "behaviour" && leaving[rd.word(i)] && n > 0 && rd.breaks(i)) {
			return true
		}
		if id, n := rd.lexID(i, kOutcome); n > 0 && id == "dead" && !rd.denied(i) {
			return true
		}
	}
	return false
}

// someKindOf passes over "some kind of", "just a", "looks like a".
func (rd *reading) someKindOf(i int) int {
	for _, p := range []string{"some kind of a", "some kind of", "some sort of", "a kind of", "a sort of", "just a", "just another", "only a", "looks like a", "i think it's a", "it's a", "it's just a", "that's a", "got a", "one", "another one", "another", "an", "a"} {
		if words := tokens(p); rd.sameWords(i, words) && rd.joined(i+len(words)) {
			return i + len(words)
		}
	}
	return i
}

func (rd *reading) sameWords(i int, words []token) bool {
	for k, w := range words {
		if rd.word(i+k) != w.text || k > 0 && !rd.joined(i+k) {
			return false
		}
	}
	return true
}

// nameWord tells whether a word may be of an animal's name: one that nothing
// else claims, or one that names have.
func (rd *reading) nameWord(i int) bool {
	w := rd.word(i)
	if beastWords[w] || beasts[w] {
		return true
	}
	return len(rd.found[i]) == 0 && rd.toks[i].num.class == noNumeral && len(w) > 2 && !noName[w] && !misheardWord(w) && !strings.HasPrefix(w, "'") && !strings.HasSuffix(w, "ly") && !strings.HasSuffix(w, "ing") && !(strings.HasPrefix(w, "un") && strings.HasSuffix(w, "ed"))
}

func misheardWord(w string) bool { _, ok := misheardDigits[w]; return ok }

// noName are words of speech that are no animal's name.
var noName = wordSet(`drowned killed eaten chewed crushed frozen thanks cheers ta please sorry mate hey hello hullo bye and but the with without for from not you your yours our ours they their them who what where when why how which
	all any some none one same this that these those here there then than very really quite pretty too also only just still even ever never
	think thought guess know maybe perhaps probably sure yes yeah okay right bloody damn poor lovely nice big small fat skinny wet cold hot
	was were had has have did does done got get gets give gave put take took see saw seen look looks looked left let went gone going come came
	water mud ants ant hole door trap traps bait cage stick leaves leaf blood rain wind fox's prints tracks track fur feathers nest eggs everywhere
	thing things something anything nothing everything someone somebody anyone nobody animal animals critter creature fella mate guys crew me him her
	and or into onto under over near round around about after before again because since while until till if so as at by in of off on out up to down`)

// placeFollows tells whether a trap's name follows "in" or "at".
func (rd *reading) placeFollows(i int) bool {
	if w := rd.word(i); w != "in" && w != "at" {
		return false
	}
	j := i + 1
	if rd.word(j) == "trap" || rd.word(j) == "the" {
		j++
	}
	_, _, ok := rd.trapName(min(j, i+1))
	if !ok {
		_, _, ok = rd.trapName(j)
	}
	return ok
}

func (rd *reading) trapSaid() bool {
	_, ok := rd.out.Field("trap")
	_, known := known(rd.given.SoFar, "trap")
	return ok || known
}

// leaving are the ways to go that tell, by themselves, that an animal was let
// go and how.
var leaving = wordSet("flew hopped bounded scampered scurried scuttled waddled slithered shuffled trotted swam hobbled lolloped")

// leftByItself reads "flew off strong" where nothing was said of letting go.
func (rd *reading) leftByItself(id string, i int) bool {
	return id == "behaviour" && leaving[rd.word(i)] && rd.breaks(i) && !rd.denied(i) && !slices.Contains([]string{"into", "past", "over"}, rd.word(i-1))
}

// trapNotAnimal puts an outcome that is one of a trap, said with its name, into
// a row of the round: "M three's sprung", "wasn't set, Q six".
func (rd *reading) trapNotAnimal() {
	trap, okTrap := rd.out.Field("trap")
	outcome, okOutcome := rd.out.Field("outcome")
	if !okTrap || !okOutcome || trap.Pending || rd.checks > 0 {
		return
	}
	switch outcome.Value {
	case "sprung", "bait taken", "not set", "disabled", "empty":
	default:
		return
	}
	for _, f := range rd.out.Fields {
		if f.At == "sex" || f.At == "status" || f.At == "species" || strings.HasPrefix(f.At, "measures/") || strings.HasPrefix(f.At, "weighing/") || strings.HasPrefix(f.At, "marks/") {
			return
		}
	}
	rd.checks++
	for i := range rd.toks {
		if f := rd.toks[i].field; f == "trap" || f == "outcome" {
			rd.toks[i].field = "checks/1/" + f
		}
	}
	trap.At, outcome.At = "checks/1/trap", "checks/1/outcome"
}
