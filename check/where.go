package check

import (
	"fmt"

	"dawnround/place"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

const farther = 1.5 // times the longest move of other animals [CP]

func trapNotSet(k *card) []found {
	s := k.At
	if s.Site == "" || s.Trap == "" || s.Night.IsZero() {
		return nil
	}
	if set, known := k.wasSet(s.Site, s.Trap, s.Night); set || !known {
		return nil
	}
	return []found{{
		field:    "at",
		says:     fmt.Sprintf("Trap %s was not set on %s at site %s. Which trap, or set it first?", s.Trap, s.Night.Words(), s.Site),
		evidence: fmt.Sprintf("%s %s not set on %s", s.Site, s.Trap, s.Night),
	}}
}

func twiceInOneNight(k *card) []found {
	c := k.last(func(c *register.Capture) bool { return c.At.Night == k.At.Night && !k.letGoBefore(c) })
	if c == nil {
		return nil
	}
	return []found{{
		field:    "at",
		says:     fmt.Sprintf("Caught %s at %s too, and not released in an earlier round. Read the mark again?", k.when(c), spot(c)),
		evidence: fmt.Sprintf("%s and %s on %s", c.At.Trap, k.At.Trap, k.At.Night),
		beside:   beside(c),
	}}
}

// letGoBefore reports an animal free again before this capture: released in
// an earlier round or, where rounds are not told, at an earlier time.
func (k *card) letGoBefore(c *register.Capture) bool {
	if c.Released == nil || c.Released.Fate != record.FateReleased && c.Released.Fate != record.FateElsewhere && c.Released.Fate != record.FateEscaped {
		return false
	}
	then, _, told := k.register.Round(c.At.Round)
	now, _, toldNow := k.register.Round(k.At.Round)
	if told && toldNow {
		return then.Number < now.Number
	}
	met := k.Time()
	return !met.IsZero() && !c.Released.At.IsZero() && c.Released.At.Before(met)
}

// farFromLastPlace holds the move since the last capture against the longest
// of other animals of the species. Where that or the distance is not known,
// another site is a question.
func farFromLastPlace(k *card) []found {
	c := k.last(func(c *register.Capture) bool { return c.At.Site != "" && k.sameSpecies(c) })
	if c == nil || k.At.Site == "" {
		return nil
	}
	most, known := k.population.longestMove(k.sheet.Code, k.Animal, k.animalBefore())
	metres, placed := 0.0, false
	if known {
		metres, placed = k.apart(c)
	}
	switch {
	case known && placed && metres > farther*most:
		return []found{k.far(c, fmt.Sprintf("%.0f m from %s, where it was %s; no other of its kind moved above %.0f m. Wrong trap, or another animal?", metres, spot(c), k.when(c), most))}
	case !(known && placed) && c.At.Site != k.At.Site:
		return []found{k.far(c, fmt.Sprintf("Last met %s at %s; this is site %s. Wrong site, or another animal?", k.when(c), spot(c), k.At.Site))}
	}
	return nil
}

func (k *card) far(c *register.Capture, says string) found {
	return found{
		field: "at", says: says, beside: beside(c),
		evidence: fmt.Sprintf("%s %s after %s %s", k.At.Site, k.At.Trap, c.At.Site, on(c)),
	}
}

// apart is the distance between the traps of an earlier capture and this one.
func (k *card) apart(c *register.Capture) (metres float64, ok bool) {
	from, ok1 := k.trapOf(c.At)
	to, ok2 := k.trapOf(k.At)
	switch {
	case !ok1 || !ok2:
		return 0, false
	case from == to:
		return 0, from.Datum != ""
	}
	return between(from, to)
}

// trapOf is the trap of a capture as it stood that night; of two positions
// the later begun stands.
func (b *book) trapOf(s *record.Spot) (trap record.Trap, ok bool) {
	name := trapAt{s.Site, s.Trap}
	positions, asked := b.positions[name]
	if !asked {
		positions = b.register.Positions(s.Site, s.Trap)
		b.positions[name] = positions
	}
	for _, p := range positions {
		if !s.Night.Before(p.From) && (p.To.IsZero() || !p.To.Before(s.Night)) {
			trap, ok = p, true
		}
	}
	return trap, ok
}

// between is the distance of two traps in metres, where both have a place.
func between(from, to record.Trap) (metres float64, ok bool) {
	if from.Datum == "" || to.Datum == "" {
		return 0, false
	}
	path, err := place.Between(point(from), point(to))
	return path.Metres, err == nil
}

func point(t record.Trap) place.Point {
	return place.Point{Lat: t.Lat, Lon: t.Lon, Datum: place.Datum(t.Datum)}
}

// animalBefore is the animal of the captures before, which a draft's own
// capture is not part of yet.
func (k *card) animalBefore() uuid.UUID {
	if n := len(k.before); n > 0 {
		return k.before[n-1].Animal
	}
	return k.Animal
}
