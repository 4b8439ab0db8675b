package register

import (
	"cmp"
	"slices"

	"dawnround/growth"
	"dawnround/protocol"
	"dawnround/record"
)

// Curves gives the relations of size and age that were adopted for a species, by
// trait and sex. One that this version cannot read is left out; its line stays.
func (r *Register) Curves(species string) []growth.Relation {
	var out []growth.Relation
	for _, c := range standing[record.Curve](r) {
		if c.Species != species {
			continue
		}
		if relation, err := growth.Read(c.Relation); err == nil {
			out = append(out, relation)
		}
	}
	slices.SortStableFunc(out, func(a, b growth.Relation) int {
		return cmp.Or(cmp.Compare(a.Trait, b.Trait), cmp.Compare(a.Sex, b.Sex))
	})
	return out
}

// Relations are what ties size to age in a species: the programme's own curves
// first, then what stands on its sheet, then what comes with the program.
func (r *Register) Relations(s *protocol.Sheet) []growth.Relation {
	return append(r.Curves(s.Code), s.Relations()...)
}
