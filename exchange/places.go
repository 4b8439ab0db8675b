package exchange

import (
	"strconv"

	"dawnround/place"
	"dawnround/record"
	"dawnround/register"
)

// Places says how exactly places leave the programme. The zero value rounds
// them to a hundredth of a degree, about a kilometre, since exact places of a
// threatened species stay inside.
type Places struct {
	Exact    bool // as recorded: for those who may have them
	Decimals int  // of a degree, 1 to 3; 0: two
}

// Says tells the reader of a table how exact its places are.
func (p Places) Says() string {
	if p.Exact {
		return "places are exact; do not pass them on"
	}
	return "places are rounded to " + strconv.Itoa(p.decimals()) + " decimals of a degree; the column \"place within m\" says how far off that can be"
}

func (p Places) decimals() int {
	if p.Decimals == 0 {
		return 2
	}
	return p.Decimals
}

// A spotText is one place as it leaves.
type spotText struct{ lat, lon, datum, within string }

// text gives a trap's position as it leaves.
func (p Places) text(t record.Trap) spotText {
	exact := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	switch {
	case t.Datum == "" && t.Lat == 0 && t.Lon == 0:
		return spotText{}
	case p.Exact && t.ErrM == 0:
		return spotText{exact(t.Lat), exact(t.Lon), t.Datum, ""}
	case p.Exact:
		return spotText{exact(t.Lat), exact(t.Lon), t.Datum, exact(t.ErrM)}
	}
	g, err := place.Point{Lat: t.Lat, Lon: t.Lon, Datum: place.Datum(t.Datum)}.Generalise(p.decimals())
	if err != nil {
		return spotText{} // no datum, no place: what cannot be rounded does not leave
	}
	return spotText{g.Lat, g.Lon, t.Datum, strconv.FormatFloat(g.RadiusM+t.ErrM, 'f', 0, 64)}
}

// traps finds the position of a trap on a night.
func traps(r *register.Register) func(site, trap string, night record.Night) record.Trap {
	byName := map[[2]string][]record.Trap{}
	for _, t := range r.AllTraps() {
		name := [2]string{t.Site, t.Trap}
		byName[name] = append(byName[name], t)
	}
	return func(site, trap string, night record.Night) (found record.Trap) {
		for _, t := range byName[[2]string{site, trap}] { // by first night: a later one stands
			if !night.Before(t.From) && (t.To.IsZero() || !t.To.Before(night)) {
				found = t
			}
		}
		return found
	}
}

// placeColumns give where the trap of a row stood.
func placeColumns(r *register.Register, p Places) []column {
	find := traps(r)
	return placesOf(p, func(c *register.Capture) record.Trap { return find(c.At.Site, c.At.Trap, c.At.Night) })
}

func placesOf[R any](p Places, trap func(R) record.Trap) []columnOf[R] {
	says := "of the trap; " + p.Says()
	cell := func(of func(spotText) string) func(R) string {
		return func(r R) string { return of(p.text(trap(r))) }
	}
	return []columnOf[R]{
		{"latitude", says, "deg", "", cell(func(s spotText) string { return s.lat })},
		{"longitude", says, "deg", "", cell(func(s spotText) string { return s.lon })},
		{"datum", "of latitude and longitude", "", "WGS84, GDA94, GDA2020", cell(func(s spotText) string { return s.datum })},
		{"place within m", "the trap stood within this distance of the place given", "m", "", cell(func(s spotText) string { return s.within })},
	}
}
