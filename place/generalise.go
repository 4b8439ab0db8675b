package place

import (
	"fmt"
	"math"
	"strconv"
)

// A Generalised is a place made coarse before it leaves the programme: rounded to
// a whole step of latitude and longitude, never scattered at random, so that
// many releases of one place do not give it away.
type Generalised struct {
	Lat, Lon string  // decimal text with as many decimals as the step has, trailing zeros kept
	Step     string  // degrees: "1", "0.1", "0.01" or "0.001"
	RadiusM  float64 // from the released point to its cell's farthest corner; the true place lies within
	Datum    Datum
}

// Generalise rounds the point to a step of 1, 0.1, 0.01 or 0.001 degree, for 0 to
// 3 decimals (categories 1 to 4 of Chapman 2020, Current Best Practices for
// Generalizing Sensitive Species Occurrence Data, doi 10.15468/doc-5jp4-5g10).
// A point half-way goes away from zero; what is within a billionth of a step
// of half-way counts as half-way, because 0.15 has no exact binary form. Zero
// has no sign. The place's own uncertainty is the caller's to add to the
// radius.
func (p Point) Generalise(decimals int) (Generalised, error) {
	if err := p.check(); err != nil {
		return Generalised{}, err
	}
	if decimals < 0 || decimals > 3 {
		return Generalised{}, fmt.Errorf("%d decimals: a place is made coarse to 0, 1, 2 or 3", decimals)
	}
	steps := math.Pow10(decimals)
	lat, lon := rounded(p.Lat, steps), rounded(p.Lon, steps)
	radius, err := cornerDistance(Point{Lat: lat, Datum: p.Datum}, 0.5/steps)
	text := func(x float64) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
	return Generalised{Lat: text(lat), Lon: text(lon), Step: text(1 / steps), RadiusM: radius, Datum: p.Datum}, err
}

// rounded is x to the nearest of so many steps a degree, half away from zero.
func rounded(x, steps float64) float64 {
	const halfway = 1e-9
	r := math.Copysign(math.Floor(float64(math.Abs(x)*steps)+0.5+halfway), x) / steps
	return r + 0 // no negative zero
}

// cornerDistance is the distance from a cell's centre to its farthest corner,
// which lies on the side of the equator.
func cornerDistance(centre Point, half float64) (float64, error) {
	corner := Point{Lat: math.Abs(centre.Lat) - half, Lon: half, Datum: centre.Datum}
	path, err := Between(Point{Lat: math.Abs(centre.Lat), Datum: centre.Datum}, corner)
	return path.Metres, err
}
