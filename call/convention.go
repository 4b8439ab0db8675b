package call

import (
	"strings"

	"dawnround/protocol"
)

// conventionFirst reads "with claw ninety-nine" after a foot without claw.
func (rd *reading) conventionFirst(i int) bool {
	id, n := rd.lexID(i, kConvention)
	if n > 0 && rd.breaks(i) && rd.breaks(i+n) && rd.conventionAlone(id, i, i+n) {
		return true
	}
	j := rd.skip(i + n)
	if n == 0 || !rd.joined(j) || !rd.isNumber(j) {
		return false
	}
	s, ok := rd.number(j)
	if !ok || rd.isForeign(s.to) || s.unended {
		return false
	}
	t := rd.conventionsTrait(i, n, id, s)
	if t == nil {
		return false
	}
	rd.enter(t, mention{trait: t, convention: id, from: i}, s, i, s.to)
	return true
}

// conventionAlone takes a convention that follows a foot after a word between:
// "a hundred and four, yep, no claw".
func (rd *reading) conventionAlone(id string, i, j int) bool {
	f, ok := rd.out.Field(rd.last)
	t := rd.traitAt(rd.last)
	if !ok || t == nil || !rd.conventional(t) || f.Convention != "" || f.Value == "" || i == 0 || rd.toks[i-1].fate != Taken {
		return false
	}
	said := rd.heard[keyOf(*f)]
	delete(rd.heard, keyOf(*f))
	f.Convention = id
	rd.heard[keyOf(*f)] = said
	rd.fate(i, j, Taken, f.At)
	rd.at = j
	return true
}

// conventionAfter reads "ninety-nine six with the claw" after a foot without
// it; short and long, with and without, need the foot in hand.
func (rd *reading) conventionAfter(s spoken) bool {
	id, n := rd.lexID(s.to, kConvention)
	if n == 0 || !rd.joined(s.to) || !rd.breaks(s.to+n) || s.unended || rd.correcting {
		return false
	}
	t := rd.conventionsTrait(s.to, n, id, s)
	if t == nil {
		return false
	}
	if f, ok := rd.out.Field(rd.last); ok && f.Convention == "" && rd.traitAt(rd.last) == t {
		return false // a second number for the foot itself
	}
	rd.enter(t, mention{trait: t, convention: id, from: s.from}, s, s.from, s.to+n)
	return true
}

// conventionsTrait is the trait that a convention at token i is said of: the
// one in hand, or the only one of the sheet that has a claw, if claws are
// named and the number fits.
func (rd *reading) conventionsTrait(i, n int, id string, s spoken) *protocol.Trait {
	if t := rd.traitAt(rd.last); t != nil && rd.conventional(t) {
		return t
	}
	said := rd.text(i, i+n)
	if !strings.Contains(said, "claw") && !strings.Contains(said, "nail") || rd.lexicon.sheet == nil {
		return nil
	}
	var only *protocol.Trait
	for k := range rd.lexicon.sheet.Traits {
		t := &rd.lexicon.sheet.Traits[k]
		if t.Of == protocol.OfYoung || !rd.conventional(t) {
			continue
		}
		if only != nil {
			return nil
		}
		only = t
	}
	if only == nil {
		return nil
	}
	if _, v := rd.choose(only, rd.limits(only, id), s); v != fits || !rd.limits(only, id).known {
		return nil
	}
	return only
}
