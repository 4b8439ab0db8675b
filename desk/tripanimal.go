package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// TripAnimal is one animal of the trip.
type TripAnimal struct {
	Animal  uuid.UUID `json:"animal"`
	Capture uuid.UUID `json:"capture"` // the last of the trip
	Name    string    `json:"name"`
	Species string    `json:"species"`
	Sex     string    `json:"sex,omitempty"`
	Stage   string    `json:"stage,omitempty"`
	Status  string    `json:"status,omitempty"` // at its first capture of the trip
	Nights  int       `json:"nights"`
	Mass    string    `json:"mass,omitempty"`
	Change  string    `json:"change,omitempty"` // since it was last weighed on an earlier trip
	Bones   string    `json:"bones,omitempty"`
	Young   string    `json:"young,omitempty"`
	Samples string    `json:"samples,omitempty"`
	Notes   string    `json:"notes,omitempty"`
	Unusual []string  `json:"unusual,omitempty"` // its open flags
}

// tripAnimals lists the animals of a trip, and of those the ones of which a
// sample that is taken once is still wanting.
func (w words) tripAnimals(captures []*register.Capture) (out []TripAnimal, unsampled []Link) {
	of := map[uuid.UUID][]*register.Capture{}
	var order []uuid.UUID
	for _, c := range captures {
		if of[c.Animal] == nil {
			order = append(order, c.Animal)
		}
		of[c.Animal] = append(of[c.Animal], c)
	}
	for _, id := range order {
		a, ok := w.Animal(id)
		if !ok || w.sheet(of[id][0].Species()).Bycatch {
			continue
		}
		out = append(out, w.tripAnimal(a, of[id]))
		if why := w.wanting(a); why != "" {
			unsampled = append(unsampled, Link{Animal: id, Name: w.nameOf(a), Evidence: why})
		}
	}
	slices.SortStableFunc(out, func(a, b TripAnimal) int {
		return cmp.Or(strings.Compare(a.Species, b.Species), strings.Compare(a.Name, b.Name))
	})
	return out, unsampled
}

func (w words) tripAnimal(a *register.Animal, on []*register.Capture) TripAnimal {
	first, last := on[0], on[len(on)-1]
	g := glance{}
	nights := map[record.Night]bool{}
	row := TripAnimal{Animal: a.ID, Capture: last.ID(), Name: w.nameOf(a)}
	var samples, notes []string
	for _, c := range on {
		g.take(c)
		nights[c.At.Night] = true
		for _, f := range w.flagsOf(c.ID()) {
			if !f.Settled && f.Grade != record.Remark {
				row.Unusual = append(row.Unusual, f.says())
			}
		}
		if h := c.Handled; h != nil {
			for _, s := range h.Samples {
				samples = append(samples, spaced(s.Kind, s.Label))
			}
			if h.Notes != "" {
				notes = append(notes, quoted(h.Notes))
			}
			if len(h.Young) > 0 {
				row.Young = page.Count(len(h.Young), "young", "young") + ", " + cmp.Or(h.Young[0].Where, "where not stated")
			}
		}
	}
	row.Species, row.Sex, row.Stage, row.Nights = w.species(g.species), g.sex, g.stage, len(nights)
	if first.Handled != nil {
		row.Status = string(first.Handled.Status)
	}
	row.Samples, row.Notes = strings.Join(samples, ", "), strings.Join(notes, " ")
	row.Mass, row.Change = massChange(a, on)
	row.Bones = w.bones(g.species, on)
	return row
}

// massChange is the first mass of the trip, and its change since the animal
// was last weighed before the trip.
func massChange(a *register.Animal, on []*register.Capture) (mass, change string) {
	now, weighed := int64(0), false
	for _, c := range on {
		if m, ok := c.Handled.MassMilli(); ok && !weighed {
			now, weighed = m, true
		}
	}
	if !weighed {
		return "", ""
	}
	for _, c := range slices.Backward(a.Captures) {
		if m, ok := c.Handled.MassMilli(); ok && c.At.Trip != on[0].At.Trip && c.At.Night.Before(on[0].At.Night) {
			sign := map[bool]string{true: "+"}[now > m]
			return page.Number(now), fmt.Sprintf("%s%s since %s", sign, page.Number(now-m), short(c.At.Night))
		}
	}
	return page.Number(now), ""
}

func (w words) bones(species string, on []*register.Capture) string {
	s := w.sheet(species)
	var out []string
	for _, t := range s.Traits {
		if r, ok := lastReading(on, t.ID); ok && t.Bone && t.Of != "young" {
			out = append(out, t.Name+" "+reading(r, ""))
		}
	}
	return strings.Join(out, ", ")
}

// wanting is the sample taken once that an animal has not given yet.
func (w words) wanting(a *register.Animal) string {
	for _, k := range w.Protocol().Samples {
		if !k.Once {
			continue
		}
		taken := slices.ContainsFunc(a.Captures, func(c *register.Capture) bool {
			return c.Handled != nil && slices.ContainsFunc(c.Handled.Samples, func(s record.Sample) bool { return s.Kind == k.ID })
		})
		if !taken {
			return "no " + k.Name
		}
	}
	return ""
}
