package protocol

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnround/record"
)

// Units are the UCUM codes a trait may have.
var Units = []string{"mm", "cm", "g", "kg", "mL", "Cel", "1", "d"}

// OfYoung is the word for a trait or sign of the young of the animal in hand.
const OfYoung = "young"

// Mass is the trait that a weighing stands for, in grams.
const Mass = "mass"

// Trait finds something measured on the animal or, failing that, on its young
// only.
func (s *Sheet) Trait(id string) (*Trait, bool) { return s.trait(id, false) }

// YoungTrait finds something measured on a young or, failing that, on grown
// animals only.
func (s *Sheet) YoungTrait(id string) (*Trait, bool) { return s.trait(id, true) }

func (s *Sheet) trait(id string, young bool) (*Trait, bool) {
	var other *Trait
	for i := range s.Traits {
		switch t := &s.Traits[i]; {
		case t.ID != id:
		case (t.Of == OfYoung) == young:
			return t, true
		default:
			other = t
		}
	}
	return other, other != nil
}

// Range is the plausible span of a trait for a sex and stage, either of which
// may be unknown. The most specific one wins: sex and stage, then stage, then
// sex. For a stage with its mother the young's trait is asked first.
func (s *Sheet) Range(trait string, sex record.Sex, stage string) (Range, bool) {
	rank := s.StageRank(stage)
	t, ok := s.trait(trait, rank >= 0 && s.Stages[rank].Young)
	if !ok {
		return Range{}, false
	}
	return t.Range(sex, stage)
}

// Range is the most specific range of this trait for a sex and stage.
func (t *Trait) Range(sex record.Sex, stage string) (Range, bool) {
	var best Range
	most := -1
	for _, r := range t.Ranges {
		if r.Sex != "" && r.Sex != string(sex) || r.Stage != "" && r.Stage != stage {
			continue
		}
		if n := r.specific(); n > most {
			best, most = r, n
		}
	}
	return best, most >= 0
}

func (r Range) specific() int {
	n := 0
	if r.Stage != "" {
		n += 2
	}
	if r.Sex != "" {
		n++
	}
	return n
}

// BetweenVisits is how far two honest readings of an unchanged length may lie
// apart in 95 of 100 cases, in the trait's unit, and what that rests on. From
// the technical error e it is 1.96·√2·e: a difference of two independent
// readings has √2 times the s.d. of one. Where e is not known it is the limit
// the team typed; where neither is, zero and no basis.
// (Technical error of measurement as √(Σd²/2n): Dahlberg 1940; from memory.)
func (t *Trait) BetweenVisits() (limit float64, basis string) {
	switch {
	case t.Error > 0:
		return 1.96 * math.Sqrt2 * t.Error, fmt.Sprintf("1.96·√2 × technical error %s %s (%s)", shortest(t.Error), t.Unit, t.Source)
	case t.Limit > 0:
		return t.Limit, fmt.Sprintf("limit %s %s (%s)", shortest(t.Limit), t.Unit, t.Source)
	}
	return 0, ""
}

func shortest(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

func (r *review) traits(s *Sheet) {
	for i := range s.Traits {
		t := &s.Traits[i]
		r.id(&t.ID)
		if !slices.Contains(Units, t.Unit) {
			r.say(&t.Unit, fmt.Sprintf("unit %q is not a UCUM code known here (%s)", t.Unit, strings.Join(Units, ", ")), write(t.Unit, Units))
		}
		if t.ID == Mass && t.Unit != "g" {
			r.say(&t.Unit, fmt.Sprintf("mass in %q, but a weighing is in grams", t.Unit), "write g")
		}
		r.oneOf(&t.Sex, "sex", string(record.Female), string(record.Male))
		r.oneOf(&t.Of, "of", "animal", OfYoung)
		notNegative(r, &t.Step, "step")
		notNegative(r, &t.Error, "technical error")
		notNegative(r, &t.Limit, "limit between visits")
		if (t.Error > 0 || t.Limit > 0) && t.Source == "" {
			r.say(&t.Source, "an error or limit without its source", "write source: and where the figure is from")
		}
		if t.Bone && t.Shrinks {
			r.say(&t.Shrinks, "bone, and yet it may shrink", "take one away")
		}
		for j := range t.Ranges {
			r.span(s, &t.Ranges[j])
		}
	}
}

// span checks one range.
func (r *review) span(s *Sheet, g *Range) {
	r.oneOf(&g.Sex, "sex", string(record.Female), string(record.Male))
	r.stage(s, &g.Stage)
	if g.From >= g.To {
		r.say(&g.From, fmt.Sprintf("from %v to %v is no range", g.From, g.To), "write the smaller first")
	}
	switch {
	case g.Never == nil:
	case len(g.Never) != 2:
		r.say(&g.Never, fmt.Sprintf("never outside has %d numbers", len(g.Never)), "write two, like [40, 130]")
	case g.Never[0] > g.From || g.Never[1] < g.To:
		r.say(&g.Never, fmt.Sprintf("never outside %v to %v does not enclose the range %v to %v", g.Never[0], g.Never[1], g.From, g.To), "make it at least as wide")
	}
}
