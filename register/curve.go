package register

import (
	"cmp"
	"slices"

	"dawnround/growth"
	"dawnround/protocol"
	"dawnround/record"
)

// AdoptedCurves gives the lines that adopted a curve for a species, by trait and
// sex, the latest of each.
func (r *Register) AdoptedCurves(species string) []record.Curve {
	out := slices.DeleteFunc(standing[record.Curve](r), func(c record.Curve) bool { return c.Species != species })
	slices.SortStableFunc(out, func(a, b record.Curve) int {
		return cmp.Or(cmp.Compare(a.Trait, b.Trait), cmp.Compare(a.Sex, b.Sex))
	})
	return out
}

// Curves gives the relations of size and age that were adopted for a species, by
// trait and sex. One that this version cannot read is left out; its line stays.
func (r *Register) Curves(species string) []growth.Relation {
	var out []growth.Relation
	for _, c := range r.AdoptedCurves(species) {
		if relation, err := growth.Read(c.Relation); err == nil {
			out = append(out, relation)
		}
	}
	return out
}

// Relations are what ties size to age in a species: the programme's own curves
// first, then what stands on its sheet, then what comes with the program.
func (r *Register) Relations(s *protocol.Sheet) []growth.Relation {
	return append(r.Curves(s.Code), s.Relations()...)
}
