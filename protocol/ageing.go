package protocol

import (
	"cmp"
	"fmt"
	"slices"

	"dawnround/growth"
)

// ageing checks what ties size to age on a sheet, and says whose it is.
func (r *review) ageing(s *Sheet) {
	species := cmp.Or(s.Scientific, s.Code)
	for i := range s.Ageing {
		l := &s.Ageing[i]
		l.Species = species
		r.wrongs(l.Wrongs())
		r.ofTrait(s, l)
	}
	for i := range s.Correlations {
		r.correlation(s, &s.Correlations[i])
	}
	s.Pouch.Species = species
	r.wrongs(s.Pouch.Wrongs())
}

func (r *review) wrongs(wrongs []growth.Wrong) {
	for _, w := range wrongs {
		r.say(w.Field, w.Says, w.Mend)
	}
}

// ofTrait sees that a relation is of a trait on the sheet, in its unit.
func (r *review) ofTrait(s *Sheet, l *growth.Relation) {
	if l.Trait == "" {
		return
	}
	ids := s.traitIDs()
	at := slices.IndexFunc(s.Traits, func(t Trait) bool { return t.ID == l.Trait && t.Unit == l.Unit })
	switch {
	case !slices.Contains(ids, l.Trait):
		r.say(&l.Trait, fmt.Sprintf("trait %q is not a trait of %s", l.Trait, s.Code), write(l.Trait, ids))
	case at < 0:
		r.say(&l.Unit, fmt.Sprintf("unit %q is not that of the trait %s", l.Unit, l.Trait), "give sizes in the trait's unit")
	}
	r.oneOf(&l.Sex, "sex", "female", "male")
	r.oneOf(&l.Origin, "animals were", "captive", "wild", "both")
	r.oneOf(&l.Grade, "grade", "S", "M", "CP")
}

func (s *Sheet) traitIDs() []string {
	var ids []string
	for _, t := range s.Traits {
		if !slices.Contains(ids, t.ID) {
			ids = append(ids, t.ID)
		}
	}
	return ids
}

func (r *review) correlation(s *Sheet, c *growth.Correlation) {
	ids := s.traitIDs()
	for i := range c.Traits {
		if !slices.Contains(ids, c.Traits[i]) {
			r.say(&c.Traits[i], fmt.Sprintf("trait %q is not a trait of %s", c.Traits[i], s.Code), write(c.Traits[i], ids))
		}
	}
	if len(c.Traits) != 2 {
		r.say(&c.Traits, fmt.Sprintf("a correlation of %d traits", len(c.Traits)), "write two, like [head, pes]")
	}
	if !(c.R > -1 && c.R < 1) {
		r.say(&c.R, fmt.Sprintf("correlation %v", c.R), "write a number between -1 and 1")
	}
	if c.Source == "" {
		r.say(&c.Source, "a correlation without its source", "write source: and the young it was estimated from")
	}
	notNegative(r, &c.Young, "young")
}
