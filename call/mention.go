package call

import (
	"strings"

	"dawnround/protocol"
)

// A mention is a trait that was named, and what was said beside it.
type mention struct {
	trait      *protocol.Trait
	young      *protocol.Trait // the young's trait of the same name
	side       string
	convention string
	from       int // token
	misheard   string
	short      bool
	comma      bool // a stop stands before the number
	bridged    bool // unknown words stand before the number
}

// mentionAt reads the name of a trait at token i, with a side before it.
func (rd *reading) mentionAt(i int) (mention, int, bool) {
	m := mention{from: i}
	grown, okGrown := rd.entry(i, kTrait)
	small, okSmall := rd.entry(i, kYoungTrait)
	if !okGrown && !okSmall {
		return m, i, false
	}
	e := grown
	if !okGrown || okSmall && len(small.words) > len(grown.words) {
		e = small
	}
	if okGrown {
		m.trait = rd.traitOf(grown.id, false)
	}
	if okSmall {
		m.young = rd.traitOf(small.id, true)
	}
	m.short = e.short
	if e.alike {
		m.misheard = strings.Join(e.words, " ")
	}
	if j, side := rd.sideBefore(i); side != "" {
		m.side, m.from = side, j
	}
	return m, i + len(e.words), true
}

func (rd *reading) traitOf(id string, young bool) *protocol.Trait {
	s := rd.lexicon.sheet
	if s == nil {
		return nil
	}
	for i := range s.Traits {
		if t := &s.Traits[i]; t.ID == id && (t.Of == protocol.OfYoung) == young {
			return t
		}
	}
	return nil
}

// sideBefore reads a side that stands just before token i.
func (rd *reading) sideBefore(i int) (int, string) {
	if !rd.joined(i) {
		return i, ""
	}
	if id, n := rd.lexID(i-1, kSide); n == 1 {
		return i - 1, id
	}
	return i, ""
}

// bridgeWords is how many words that are not understood may stand between a
// trait and "is" with its number.
const bridgeWords = 5

// toNumber goes from the name of a trait to its number.
func (rd *reading) toNumber(i int, m *mention) (int, bool) {
	how := false // said how it was measured: "notch to tip"
	for i < len(rd.toks) {
		rd.steps++
		if !rd.joined(i) {
			beside := m.comma && (how || rd.lex(i-1, kSide) > 0 || rd.endsConvention(i))
			if m.comma && !beside || rd.toks[i].stop != ',' || m.short {
				return i, false
			}
			m.comma = true
			how = rd.lex(i, kFiller) > 2
			if !rd.isNumber(i) && rd.lex(i, kConvention) == 0 && rd.lex(i, kSide) == 0 && !how {
				return i, false
			}
		}
		if rd.isNumber(i) {
			return i, true
		}
		j := rd.pass(i, m)
		if j == i {
			j, m.bridged = rd.bridge(i)
			if !m.bridged {
				return i, false
			}
		}
		i = j
	}
	return i, false
}

// endsConvention tells whether a convention ends just before token i.
func (rd *reading) endsConvention(i int) bool {
	for n := 1; n <= 3; n++ {
		if rd.lex(i-n, kConvention) == n {
			return true
		}
	}
	return false
}

// pass goes over one word that may stand between a trait and its number.
func (rd *reading) pass(i int, m *mention) int {
	if id, n := rd.lexID(i, kConvention); n > 0 {
		m.convention = id
		return i + n
	}
	if id, n := rd.lexID(i, kSide); n > 0 && m.side == "" {
		m.side = id
		return i + n
	}
	if rd.word(i) == "=" {
		return i + 1
	}
	return i + rd.lex(i, kFiller)
}

// bridge passes over a few words that are not understood, if "is" and a
// number follow in the same breath.
func (rd *reading) bridge(i int) (int, bool) {
	for j := i; j < i+bridgeWords && j < len(rd.toks) && (j == i || rd.joined(j)); j++ {
		if w := rd.word(j); j > i && (w == "is" || w == "was" || w == "'s" && rd.word(j-1) == "it") && rd.joined(j+1) && rd.isNumber(j+1) {
			return j + 1, true
		}
		if rd.lex(j, kTrait) > 0 || rd.isNumber(j) {
			return i, false
		}
	}
	return i, false
}

// isForeign tells whether a number is of something else: metres, years, ticks.
func (rd *reading) isForeign(i int) bool {
	if !rd.joined(i) {
		return false
	}
	if w := rd.word(i); (w == "m" || w == "k") && rd.toks[i].capital {
		return false // a male, or a trap
	}
	if w := rd.word(i); (w == "foot" || w == "feet") && rd.joined(i+1) && rd.isNumber(i+1) {
		return false // a foot with its length
	}
	sign, n := rd.lexID(i, kFindSign)
	return rd.lex(i, kForeign) > 0 || n > 0 && rd.counted(sign)
}

// endsAfter tells whether nothing but a side, a convention or "again" follows
// in the breath.
func (rd *reading) endsAfter(i int) bool {
	for i < len(rd.toks) && rd.joined(i) {
		n := max(rd.lex(i, kConvention), rd.lex(i, kSide), rd.lex(i, kAgain), rd.lex(i, kFiller))
		if n == 0 {
			return rd.goesOnTo(i)
		}
		i += n
	}
	return true
}

// goesOnTo tells whether another thing begins at token i, so that the number
// before it was complete.
func (rd *reading) goesOnTo(i int) bool {
	switch rd.word(i) {
	case "and", "then", "by", "not", "but", "–":
		return true
	}
	return rd.lex(i, kTrait) > 0 || rd.lex(i, kWeigh) > 0 || rd.lex(i, kCorrect) > 0 || rd.lex(i, kConfirm) > 0 || rd.lex(i, kSign) > 0 || rd.lex(i, kControl) > 0
}

// addressOf is the place of a trait on the card.
func addressOf(t *protocol.Trait, side string) string {
	if t.ID == protocol.Mass {
		return "weighing/net"
	}
	if t.Sided && (side == "left" || side == "right") {
		return "measures/" + t.ID + "." + side
	}
	return "measures/" + t.ID
}

// traitAt is the animal's trait at an address.
func (rd *reading) traitAt(at string) *protocol.Trait {
	id, ok := strings.CutPrefix(at, "measures/")
	switch {
	case at == "weighing/net":
		id = protocol.Mass
	case !ok:
		return nil
	}
	id, _, _ = strings.Cut(id, ".")
	return rd.traitOf(id, false)
}
