package answer

import (
	"math"
	"slices"

	"dawnround/place"
	"dawnround/record"
	"dawnround/register"
)

// besideTraps is by how many spacings of the traps two of them may lie apart to
// be beside each other (common practice: the next trap, or across a corner).
const besideTraps = 1.5

// beside reports captures in traps beside each other, or in one trap.
func (a *asked) beside(x, y *register.Capture) bool {
	if x.At.Trap == y.At.Trap {
		return true
	}
	metres, ok := a.apart(x, y)
	return ok && metres <= besideTraps*a.spacing(x.At.Site)
}

// apart is how many metres lie between the traps of two captures; ok is false
// where a trap has no place.
func (a *asked) apart(x, y *register.Capture) (metres float64, ok bool) {
	p, ok1 := pointOf(a.Traps(x.At.Site, x.At.Night), x.At.Trap)
	q, ok2 := pointOf(a.Traps(y.At.Site, y.At.Night), y.At.Trap)
	if !ok1 || !ok2 {
		return 0, false
	}
	path, err := place.Between(p, q)
	return path.Metres, err == nil
}

func pointOf(traps []record.Trap, name string) (place.Point, bool) {
	i := slices.IndexFunc(traps, func(t record.Trap) bool { return t.Trap == name })
	if i < 0 || traps[i].Datum == "" {
		return place.Point{}, false
	}
	return place.Point{Lat: traps[i].Lat, Lon: traps[i].Lon, Datum: place.Datum(traps[i].Datum)}, true
}

// spacing is the usual distance from a trap of a site to the nearest other: the
// middle one of all.
func (a *asked) spacing(site string) float64 {
	if had, known := a.spaced[site]; known {
		return had
	}
	var nearest []float64
	traps := a.Traps(site, record.Night{})
	for i, t := range traps {
		least := math.Inf(1)
		p, ok := pointOf(traps, t.Trap)
		for j, o := range traps {
			if q, ok2 := pointOf(traps, o.Trap); i != j && ok && ok2 {
				if path, err := place.Between(p, q); err == nil {
					least = min(least, path.Metres)
				}
			}
		}
		if !math.IsInf(least, 1) {
			nearest = append(nearest, least)
		}
	}
	if a.spaced == nil {
		a.spaced = map[string]float64{}
	}
	slices.Sort(nearest)
	if len(nearest) > 0 {
		a.spaced[site] = nearest[len(nearest)/2]
	}
	return a.spaced[site]
}
