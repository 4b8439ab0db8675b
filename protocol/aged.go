package protocol

import (
	"slices"
	"time"

	"dawnround/growth"
	"dawnround/record"
)

// Aged is how old a young is by its sizes, and what follows: when it was born,
// when it leaves the pouch and is weaned.
type Aged struct {
	growth.Joint
	growth.Outlook
	Outside []*growth.Outside // sizes beyond their relation, of which nothing is said
}

// Relations are what ties size to age on this sheet: those the team typed, then
// those that come with the program for its species.
func (s *Sheet) Relations() []growth.Relation {
	relations := slices.Clone(s.Ageing)
	if s.Scientific == "" {
		return relations
	}
	for _, r := range growth.Published() {
		if r.OfSpecies(s.Scientific) {
			relations = append(relations, r)
		}
	}
	return relations
}

// PouchLife is when young of the sheet leave the pouch and are weaned, as the
// team typed it, else as it comes with the program.
func (s *Sheet) PouchLife() growth.PouchLife {
	if s.Pouch.Exit != nil || s.Pouch.Weaned != nil || s.Scientific == "" {
		return s.Pouch
	}
	life, _ := growth.PouchLifeOf(s.Scientific)
	return life
}

// AgeYoung tells the age of a young from what was measured on it, by the first of
// the relations of each trait that reaches its size; false where no size tells one.
// A reading said to be rough or damaged tells nothing.
func (s *Sheet) AgeYoung(relations []growth.Relation, measures map[string]record.Reading, sex record.Sex, measured time.Time) (Aged, bool) {
	var out Aged
	var ages []growth.Age
	for i := range s.Traits {
		t := &s.Traits[i]
		r, ok := measures[t.ID]
		if t.Of != OfYoung || !ok || r.Is() != record.Seen || r.Roughly || r.Damaged {
			continue
		}
		ages = append(ages, out.age(relations, t, string(sex), r.Counts().Value())...)
	}
	if len(ages) == 0 {
		return out, false
	}
	out.Joint = growth.Combine(ages, s.Correlations)
	out.Outlook = s.PouchLife().Outlook(out.Joint.Birth(measured))
	return out, true
}

// age is what the first relation of a trait that reaches a size says of it.
func (a *Aged) age(relations []growth.Relation, t *Trait, sex string, size float64) []growth.Age {
	var beyond *growth.Outside
	for i := range relations {
		r := &relations[i]
		if r.Trait != t.ID && !r.OfTrait(t.Name) || r.Unit != t.Unit || r.Sex != "" && r.Sex != sex {
			continue
		}
		age, err := r.Age(size, t.Error)
		if err == nil {
			return []growth.Age{age}
		}
		if outside, ok := err.(*growth.Outside); ok && beyond == nil {
			beyond = outside
		}
	}
	if beyond != nil {
		a.Outside = append(a.Outside, beyond)
	}
	return nil
}
