package call

import (
	"slices"
	"strconv"
	"strings"
)

// trapName reads the name of a trap at token i: a letter and a number.
func (rd *reading) trapName(i int) (string, int, bool) {
	named := false
	for rd.word(i) == "trap" || rd.word(i) == "number" && named {
		named = true
		i++
		if !rd.joined(i) {
			return "", i, false
		}
	}
	w := rd.word(i)
	if letter := lettersHeard[w]; letter != "" && rd.given.Source == Dictated && (named || rd.trapFollows(i)) {
		w = letter
	}
	if len(w) != 1 || w[0] < 'a' || w[0] > 'z' || !rd.joined(i+1) || rd.lex(i, kTrait) > 1 {
		return "", i, false
	}
	if !named && !rd.toks[i].capital && (w == "a" || w == "i" || w == "o") {
		return "", i, false
	}
	s, ok := rd.trapNumber(i + 1)
	if !ok {
		return "", i, false
	}
	n, isWhole := s.whole()
	name := strings.ToUpper(w) + strconv.Itoa(n)
	if !isWhole || n < 1 || n > 199 || s.unit != "" && w != "m" {
		return "", i, false
	}
	if !named && rd.toks[i+1].num.class == literal && !rd.isTrap(name) && rd.fitsShort(i, s) {
		return "", i, false
	}
	return rd.asKnown(name), s.to, true
}

// lettersHeard are letters as a transcriber may write them.
var lettersHeard = map[string]string{
	"bee": "b", "be": "b", "see": "c", "sea": "c", "cee": "c", "dee": "d", "eff": "f", "gee": "g", "jay": "j", "kay": "k", "em": "m", "en": "n",
	"pea": "p", "pee": "p", "queue": "q", "cue": "q", "ess": "s", "tea": "t", "tee": "t", "vee": "v", "ex": "x", "zed": "z", "zee": "z",
}

// trapFollows tells whether a number and what a trap held follow a letter's
// name, so that it is one.
func (rd *reading) trapFollows(i int) bool {
	if !rd.breaks(i) || !rd.joined(i+1) {
		return false
	}
	s, ok := rd.trapNumber(i + 1)
	return ok && rd.lex(rd.skip(s.to), kOutcome) > 0
}

// trapNumber reads the number of a trap, without what may follow it.
func (rd *reading) trapNumber(i int) (spoken, bool) {
	n := numberReader{toks: rd.toks, at: i, steps: &rd.steps}
	if !rd.toks[i].num.begins() || !n.read() || n.unended || strings.Contains(n.readings()[0], ".") {
		return spoken{}, false
	}
	return spoken{from: i, to: n.at, readings: n.readings()}, true
}

// fitsShort tells whether a letter is a trait's shorthand and the number fits
// it: P 99 is a foot rather than a trap.
func (rd *reading) fitsShort(i int, s spoken) bool {
	e, ok := rd.entry(i, kTrait)
	if !ok {
		if v, ok := s.whole(); rd.word(i) == "b" && ok {
			return bagGrams.hold(float64(v))
		}
		return rd.word(i) == "t"
	}
	t := rd.traitOf(e.id, false)
	if t == nil {
		return false
	}
	if !rd.limits(t, "").known {
		return !rd.toks[i+1].glued
	}
	_, v := rd.choose(t, rd.limits(t, ""), s)
	return v == fits
}

// isTrap tells whether a trap of this name exists, with or without zeros.
func (rd *reading) isTrap(name string) bool {
	return slices.ContainsFunc(rd.given.Traps, func(t string) bool { return sameTrap(t, name) })
}

func (rd *reading) asKnown(name string) string {
	if i := slices.IndexFunc(rd.given.Traps, func(t string) bool { return sameTrap(t, name) }); i >= 0 {
		return rd.given.Traps[i]
	}
	return name
}

func sameTrap(a, b string) bool {
	if len(a) < 2 || len(b) < 2 {
		return strings.EqualFold(a, b)
	}
	return strings.EqualFold(a[:1], b[:1]) && strings.TrimLeft(a[1:], "0") == strings.TrimLeft(b[1:], "0")
}

// oneIn reads "got one in K six".
func (rd *reading) oneIn(i int) bool {
	id, n := rd.lexID(i, kOutcome)
	if n == 0 || id != "capture" && id != "empty" || rd.word(i+n) != "in" || !rd.joined(i+n) {
		return false
	}
	name, next, ok := rd.trapName(i + n + 1)
	if !ok {
		return false
	}
	rd.checks++
	row := "checks/" + strconv.Itoa(rd.checks)
	rd.put(Field{At: row + "/outcome", Value: id}, i, next)
	rd.take(Field{At: row + "/trap", Value: name}, i, next)
	rd.mustExist(row+"/trap", name, i, next)
	rd.topic = tTrap
	return true
}

func (rd *reading) trapNumberAt(i int) (spoken, bool) {
	if i >= len(rd.toks) {
		return spoken{}, false
	}
	return rd.trapNumber(i)
}

// trapList reads one trap or several, and what they held.
func (rd *reading) trapList(i int) bool {
	var names []string
	next := i
	for {
		name, after, ok := rd.trapName(next)
		if !ok {
			break
		}
		names = append(names, name)
		next = after
		if w := rd.word(next); (w == "and" || w == "&") && next < len(rd.toks) {
			if _, _, ok := rd.trapName(next + 1); ok {
				next++
				continue
			}
		}
		if _, _, ok := rd.trapName(next); !ok {
			break
		}
	}
	if len(names) == 0 {
		return false
	}
	if rd.topic == tYoung && rd.young.apart {
		rd.youngTrap(names[0], i, next)
		return true
	}
	k := next
	if w := rd.word(k); len(names) > 1 && (w == "all" || w == "both") {
		k++
	}
	if rd.heldByAll(names, i, k) {
		return true
	}
	rd.theTrap(names[len(names)-1], i, next)
	return true
}

// sexSpoken tells whether the phrase names the sex of an animal; "easy girl"
// does not.
func (rd *reading) sexSpoken() bool {
	for i := range rd.toks {
		if n := rd.lex(i, kSex); n > 0 && !rd.calledToAnimal(i) && !rd.wondered(i, n) {
			return true
		}
	}
	return false
}

// letGoSpoken tells whether the phrase lets an animal go; "bait's gone" does not.
func (rd *reading) letGoSpoken() bool {
	for i := range rd.toks {
		if id, n := rd.lexID(i, kRelease); n > 0 && id == "released" && rd.word(i+n-1) != "gone" {
			return true
		}
	}
	return false
}

// awayFrom are words before a trap's name that say that the animal was not in
// it.
var awayFrom = wordSet("round around near nearby past behind towards toward between beyond beside before after like")

// theTrap enters the trap of the animal in hand.
func (rd *reading) theTrap(name string, i, j int) {
	if awayFrom[rd.word(i-1)] && rd.joined(i) {
		rd.leave(i, j)
		return
	}
	if rd.notTrap(name, i, j) {
		return
	}
	if _, said := rd.out.Field("trap"); said && rd.word(i-1) == "in" && rd.lex(i-2, kYoung) > 0 {
		rd.youngTrap(name, i, j)
		rd.at = max(rd.at, j)
		return
	}
	if f, said := rd.out.Field("trap"); said && f.Value != name && !rd.correcting {
		f.Pending, f.Why = true, "two traps"
		rd.ask(Question{About: "trap", Says: "trap " + f.Value + " or " + name + "?", Among: []string{f.Value, name}}, i, j)
		rd.at = max(rd.at, j)
		return
	}
	rd.correcting = false
	rd.take(Field{At: "trap", Value: name}, i, j)
	rd.mustExist("trap", name, i, j)
}

// notTrap reads "not C four" behind another trap: what no longer stands.
func (rd *reading) notTrap(name string, i, j int) bool {
	f, said := rd.out.Field("trap")
	if !said || f.Value == name || rd.word(i-1) != "not" || !rd.joined(i) {
		return false
	}
	rd.corrected("trap", name, f.Value)
	rd.fate(i-1, j, Taken, "trap")
	rd.at, rd.correcting = max(rd.at, j), false
	return true
}

// mustExist asks about a trap that does not exist, with the nearest that does.
func (rd *reading) mustExist(at, name string, i, j int) {
	if len(rd.given.Traps) == 0 || rd.isTrap(name) {
		return
	}
	if f, ok := rd.out.Field(at); ok {
		f.Pending = true
	}
	says := "trap " + strings.ToUpper(name[:1]) + " " + Digits(name[1:]) + ": no such trap"
	var among []string
	for _, t := range rd.given.Traps {
		if strings.EqualFold(t[:1], name[:1]) && strings.HasSuffix(name, strings.TrimLeft(t[1:], "0")) {
			among = append(among, t)
			says += "; " + t[:1] + " " + Digits(t[1:]) + "?"
		}
	}
	rd.fate(i, j, Asked, at)
	rd.ask(Question{About: "trap", Says: says, Among: among}, i, j)
}

// looseOutcome reads what became of the trap or the animal in hand, without a
// trap's name: "got away at the bag", "one dead", "sprung, nothing in it".
func (rd *reading) looseOutcome(i int) bool {
	id, n := rd.lexID(i, kOutcome)
	if n == 0 {
		return false
	}
	switch id {
	case "escaped":
		if !rd.breaks(i) && !slices.Contains([]string{"it", "she", "he", "one", "animal", "they", "and", "has", "'s"}, rd.word(i-1)) && rd.toks[i-1].fate != Taken || rd.word(i) == "bolted" && !rd.saysAnywhere("before") || rd.topic == tRelease {
			return false
		}
	case "dead":
		if w := rd.word(i + n); rd.word(i+n-1) == "dead" && rd.joined(i+n) && !afterDeath[w] && rd.lex(i+n, kSpecies) == 0 && !beasts[w] && !beastWords[w] {
			return false
		}
		if w := rd.word(i + n); w == "skin" || w == "tick" || w == "ticks" || w == "on" || rd.young.open || rd.lex(i, kFindSign) > 0 {
			return false
		}
		if !rd.breaks(i) && rd.word(i-1) != "found" && !rd.subjectIsAnimal(i-1) && rd.lex(i-1, kSpecies) == 0 && rd.toks[i-1].fate != Taken && rd.word(i-1) != "a" && rd.word(i-1) != "one" {
			return false
		}
	case "sprung", "bait taken":
		if rd.checks > 0 {
			return false
		}
		if !rd.breaks(i) && rd.word(i-1) != "trap" && rd.word(i-1) != "'s" {
			return false
		}
	case "not set", "disabled":
		if rd.checks > 0 {
			return false
		}
		_, trap := rd.out.Field("trap")
		is := trap && (rd.word(i-1) == "'s" || rd.word(i-1) == "is" || rd.word(i-1) == "was")
		if !rd.breaks(i) && rd.word(i-1) != "trap" && !is || n < 2 || rd.topic == tFinding {
			return false
		}
	case "empty":
		if !(rd.given.Speaker == Runner && rd.breaks(i) && rd.breaks(i+n)) {
			return false
		}
	default:
		return false
	}
	if _, said := rd.out.Field("outcome"); said {
		return false
	}
	rd.take(Field{At: "outcome", Value: id}, i, i+n)
	if id == "dead" {
		rd.cause(i + n)
	}
	return true
}

// afterDeath are words that may follow "dead" where an animal is.
var afterDeath = wordSet("in at on from when but and i with inside under by for of one animal female male adult juvenile subadult looks ants cold a an , probably maybe though already before after")

// subjectIsAnimal tells whether "is" at token i has an animal before it.
func (rd *reading) subjectIsAnimal(i int) bool {
	if w := rd.word(i); w != "'s" && w != "is" && w != "was" {
		return false
	}
	if i > 0 && rd.toks[i-1].fate == Taken && rd.toks[i-1].field == "trap" {
		return true
	}
	switch rd.word(i - 1) {
	case "it", "she", "he", "that", "this", "one", "animal":
		return true
	}
	return rd.lex(i-1, kSpecies) > 0 || beasts[rd.word(i-1)]
}

// cause keeps what stands behind a death: "ants all over it".
func (rd *reading) cause(i int) {
	for k := i; k < len(rd.toks); k++ {
		switch w := rd.word(k); w {
		case "rain", "rained", "water", "wet", "flooding", "hail", "snow", "snake", "dog", "owl", "hypothermia", "starved", "starvation", "drowning", "overheated", "overheating", "stress", "cooked", "frozen", "froze", "goanna", "fire", "strangled", "raven", "eaten", "mauled", "killed", "ants", "ant", "heat", "cold", "exposure", "drowned", "predator", "fox", "cat", "chewed", "crushed", "predated", "flooded":
			if w == "cat" && rd.lex(k, kSpecies) > 0 && rd.breaks(k) {
				continue
			}
			from, to := rd.clause(k)
			f := Field{At: "released/why", Value: rd.text(from, to), From: rd.toks[from].from, To: rd.toks[to-1].to}
			rd.out.Fields = append(rd.out.Fields, f)
			rd.fate(from, to, Taken, f.At)
			return
		}
	}
}
