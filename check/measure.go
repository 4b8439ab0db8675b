package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// Traits that the table of checks names; the rest goes by what the sheet says
// of a trait.
const (
	tail = "tail"
	ear  = "ear"
	pes  = "pes"
	head = "head"
)

// startMM are limits between visits used while the sheet has none. [CP]
var startMM = map[string]float64{head: 1.5, pes: 1.5, ear: 3, tail: 6, "forearm": 2}

const (
	growthLeft  = 0.02  // of a bone's length, that an adult may still grow [CP]
	sidesMilli  = 2_000 // thousandths of a mm between left and right of one bone [CP]
	testisShare = 0.5   // of the longest in an earlier adult [CP]
)

// limit is how far two honest readings of a trait may lie apart, in
// thousandths of its unit, and how people say it; zero where nobody knows.
func (b *book) limit(t *protocol.Trait) visits {
	if v, ok := b.limits[t]; ok {
		return v
	}
	size, basis := t.BetweenVisits()
	switch start := startMM[t.ID]; {
	case size == 0 && start > 0 && t.Unit == "mm":
		size, basis = start, fmt.Sprintf("limit %s mm (start value, %s)", short(start), practice)
	case size > 0 && !strings.HasPrefix(basis, "limit"):
		basis = fmt.Sprintf("limit %s %s, %s", short(size), t.Unit, basis)
	}
	v := visits{math.Round(size * 1000), basis}
	b.limits[t] = v
	return v
}

// short writes a number with at most two decimals.
func short(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }

// trait finds what a key of measures means: a trait of the animal and a side.
func (k *card) trait(key string) (*protocol.Trait, bool) {
	id, _, _ := strings.Cut(key, ".")
	return k.sheet.Trait(id)
}

// called is a key of measures as people say it: "left testis length".
func called(t *protocol.Trait, key string) string {
	name := t.Name
	if name == "" {
		name = t.ID
	}
	if _, side, ok := strings.Cut(key, "."); ok {
		return side + " " + name
	}
	return name
}

// A pair is one measure now and as it was last read in the same way.
type pair struct {
	key      string
	trait    *protocol.Trait
	was, now record.Quantity
	then     *register.Capture
	limit    visits
}

// pairs gives the measures of a kind that were read before, with the last
// reading. Rough and damaged readings, and those of another convention or
// species, are not compared.
func (k *card) pairs(of func(*protocol.Trait) bool) []pair {
	var out []pair
	for _, key := range sortedKeys(k.h.Measures) {
		t, ok := k.trait(key)
		now := k.h.Measures[key]
		if !ok || !of(t) || !sound(now) {
			continue
		}
		then := k.last(func(c *register.Capture) bool {
			was, ok := handled(c).Measures[key]
			return ok && sound(was) && convention(t, was) == convention(t, now) && k.sameSpecies(c)
		})
		if then == nil {
			continue
		}
		p := pair{key: key, trait: t, was: then.Handled.Measures[key].Counts(), now: now.Counts(), then: then}
		if p.limit = k.limit(t); p.limit.milli > 0 {
			out = append(out, p)
		}
	}
	return out
}

func sound(r record.Reading) bool { return r.Is() == record.Seen && !r.Roughly && !r.Damaged }

func convention(t *protocol.Trait, r record.Reading) string {
	if r.Convention == "" {
		return t.Convention
	}
	return r.Convention
}

func (p pair) grown() float64 { return float64(p.now.Milli - p.was.Milli) }

// found says a pair's values: "pes 99.8 last night by AB, 92.1 now".
func (p pair) found(k *card, before, after string) found {
	return found{
		field:    "measures/" + p.key,
		says:     fmt.Sprintf("%s: %s %s %s, %s now; %s. %s", before, called(p.trait, p.key), p.was.Typed, k.when(p.then), p.now.Typed, p.limit.says, after),
		evidence: fmt.Sprintf("%s %s on %s; %s now", p.key, p.was.Typed, on(p.then), p.now.Typed),
		beside:   beside(p.then),
	}
}

func isBone(t *protocol.Trait) bool { return t.Bone }

func boneShrinks(k *card) []found {
	var out []found
	for _, p := range k.pairs(isBone) {
		if p.grown() < -p.limit.milli {
			out = append(out, p.found(k, "Bone does not shrink", "Again?"))
		}
	}
	return out
}

func boneJumps(k *card) []found {
	var out []found
	for _, p := range k.pairs(isBone) {
		if k.adult(p.then) && p.grown() > p.limit.milli+float64(growthLeft*float64(p.was.Milli)) {
			out = append(out, p.found(k, "An adult's bone does not grow", "Again? Or was the stage wrong then?"))
		}
	}
	return out
}

// tailShorter asks for a lost tip; once somebody has said damaged it is
// silent for good.
func tailShorter(k *card) []found {
	damaged := func(c *register.Capture) bool { return handled(c).Measures[tail].Damaged }
	if damaged(k.Capture) || k.last(damaged) != nil {
		return nil
	}
	return k.shorter(tail, "Shorter", "Is the tip lost? Then say damaged; else again?")
}

func earShorter(k *card) []found { return k.shorter(ear, "Shorter", "Torn?") }

func (k *card) shorter(trait, before, after string) []found {
	var out []found
	for _, p := range k.pairs(func(t *protocol.Trait) bool { return t.ID == trait && !t.Bone }) {
		if p.grown() < -p.limit.milli {
			out = append(out, p.found(k, before, after))
		}
	}
	return out
}

func leftAndRight(k *card) []found {
	var out []found
	for _, key := range sortedKeys(k.h.Measures) {
		id, side, _ := strings.Cut(key, ".")
		t, ok := k.trait(key)
		right, left := k.h.Measures[key], k.h.Measures[id+".left"]
		if side != "right" || !ok || !t.Bone || t.Unit != "mm" || !sound(right) || !sound(left) || convention(t, right) != convention(t, left) {
			continue
		}
		l, r := left.Counts(), right.Counts()
		if apart := r.Milli - l.Milli; max(apart, -apart) > sidesMilli {
			out = append(out, found{
				field:    "measures/" + key,
				says:     fmt.Sprintf("Left %s %s, right %s: more than %s %s apart. Again?", called(t, id), l.Typed, r.Typed, short(sidesMilli/1000.0), t.Unit),
				evidence: fmt.Sprintf("%s left %s, right %s", id, l.Typed, r.Typed),
			})
		}
	}
	return out
}

// testisHalf compares a male's shrinking lengths with the longest of the same
// side in an earlier adult.
func testisHalf(k *card) []found {
	var out []found
	for _, key := range sortedKeys(k.h.Measures) {
		t, ok := k.trait(key)
		now := k.h.Measures[key]
		if !ok || t.Sex != string(record.Male) || !t.Shrinks || t.Unit != "mm" || !sound(now) {
			continue
		}
		var longest *register.Capture
		for _, c := range k.before {
			if was := handled(c).Measures[key]; k.adult(c) && sound(was) && (longest == nil || was.Counts().Milli > longest.Handled.Measures[key].Counts().Milli) {
				longest = c
			}
		}
		if longest == nil {
			continue
		}
		was, is := longest.Handled.Measures[key].Counts(), now.Counts()
		if float64(is.Milli) < testisShare*float64(was.Milli) {
			out = append(out, found{
				field:    "measures/" + key,
				says:     fmt.Sprintf("%s %s %s, %s now: below half. Out of season, or another animal? Again?", capital(called(t, key)), was.Typed, k.when(longest), is.Typed),
				evidence: fmt.Sprintf("%s %s on %s; %s now", key, was.Typed, on(longest), is.Typed),
				beside:   beside(longest),
			})
		}
	}
	return out
}
