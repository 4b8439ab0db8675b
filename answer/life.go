package answer

import (
	"slices"

	"dawnround/growth"
	"dawnround/register"

	"github.com/google/uuid"
)

// KinOf is what is known of the family of one animal of a species: its litters,
// where it is a female, and the links of mother and young that it is part of,
// with their grades. What a new animal could be by dates and sizes is not among
// them: that is a question of its own.
func KinOf(r *register.Register, species string, animal uuid.UUID) ([]Litter, []KinLink) {
	a := ask(r, Which{Species: species})
	life, known := growth.PouchLifeOf(a.sheet.Scientific)
	pouch := &life
	if !known || a.sheet.Scientific == "" {
		pouch = nil
	}
	var litters []Litter
	for _, m := range a.mothers() {
		if m.id == animal {
			litters = m.litters(a, pouch)
		}
	}
	links := slices.DeleteFunc(a.links(nil), func(l KinLink) bool { return l.Young != animal && l.Mother != animal })
	return litters, links
}
