package place

import (
	"fmt"
	"math"
	"math/cmplx"
)

// A Grid is a place on the Map Grid of Australia (GDA2020, GDA94) or on UTM
// (WGS84).
type Grid struct {
	Datum             Datum
	Zone              int
	South             bool // the northing counts from 10 000 000 m at the equator
	Easting, Northing float64
}

const (
	scaleAtMeridian = 0.9996
	falseEasting    = 500_000
	falseNorthing   = 10_000_000
	eastingMin      = 100_000
	eastingMax      = 900_000
	firstMGA        = 46
	lastMGA         = 59
)

// EPSG is the number of the grid in the EPSG register, 0 where there is none.
func (g Grid) EPSG() int {
	switch {
	case g.Zone < 1 || g.Zone > 60 || datums[g.Datum].epsg == 0:
		return 0
	case g.Datum.australian() && (!g.South || g.Zone < firstMGA || g.Zone > lastMGA):
		return 0
	case g.South:
		return datums[g.Datum].gridSouth + g.Zone
	}
	return datums[g.Datum].gridNorth + g.Zone
}

// Zone is the grid zone a point lies in. UTM widens 32 over south-western
// Norway and 31 to 37 over Svalbard; MGA has no exceptions.
func (p Point) Zone() int {
	zone := int(math.Floor((halfTurn(p.Lon)+180)/6)) + 1
	if p.Datum.australian() {
		return zone
	}
	switch {
	case zone == 31 && p.Lat >= 56 && p.Lat < 64 && p.Lon >= 3:
		return 32
	case p.Lat >= 72 && p.Lat <= 84 && p.Lon >= 0 && p.Lon < 42:
		return 31 + 2*int(math.Floor((p.Lon+3)/12))
	}
	return zone
}

// Grid is the point in the zone it lies in.
func (p Point) Grid() (Grid, error) { return p.GridIn(p.Zone()) }

// GridIn is the point in a zone of the caller's choice, as where a site lies
// across a zone's edge. It refuses latitudes beyond 80 south and 84 north, and
// zones so far off that the easting leaves 100 000 to 900 000 m.
//
// Method: transverse Mercator by the Krüger series in the third flattening to
// the sixth order, Karney 2011, Transverse Mercator with an accuracy of a few
// nanometers, J. Geodesy 85:475, equations 7 to 11 and 35.
func (p Point) GridIn(zone int) (Grid, error) {
	if err := p.check(); err != nil {
		return Grid{}, err
	}
	if p.Lat < -80 || p.Lat > 84 {
		return Grid{}, fmt.Errorf("latitude %v: the grid ends at 80 south and 84 north; keep latitude and longitude", p.Lat)
	}
	g := Grid{Datum: p.Datum, Zone: zone, South: p.Lat < 0 || p.Datum.australian() && p.Lat == 0}
	if err := g.checkZone(); err != nil {
		return Grid{}, err
	}
	offLon := halfTurn(p.Lon - g.meridian())
	if math.Abs(offLon) > 30 {
		return Grid{}, fmt.Errorf("longitude %v: far outside zone %d; its own zone is %d", p.Lon, zone, p.Zone())
	}
	east, north := project(datums[p.Datum].ellipsoid, p.Lat, offLon)
	g.Easting, g.Northing = falseEasting+east, g.equator()+north
	if err := g.check(); err != nil {
		return Grid{}, fmt.Errorf("longitude %v in zone %d (its own zone is %d): %w", p.Lon, zone, p.Zone(), err)
	}
	return g, nil
}

// Point is the latitude and longitude of a grid reference. It refuses an
// easting outside 100 000 to 900 000 m, a northing beyond the grid, and a zone
// the datum's grid lacks. Method as for [Point.GridIn], equation 36.
func (g Grid) Point() (Point, error) {
	if err := g.checkZone(); err != nil {
		return Point{}, err
	}
	if err := g.check(); err != nil {
		return Point{}, err
	}
	lat, offLon := unproject(datums[g.Datum].ellipsoid, g.Easting-falseEasting, g.Northing-g.equator())
	return Point{Lat: lat, Lon: halfTurn(g.meridian() + offLon), Datum: g.Datum}, nil
}

// meridian is the longitude in the zone's middle.
func (g Grid) meridian() float64 { return float64(6*g.Zone - 183) }

// equator is the northing of the equator.
func (g Grid) equator() float64 {
	if g.South {
		return falseNorthing
	}
	return 0
}

func (g Grid) checkZone() error {
	_, known := datums[g.Datum]
	switch {
	case !known:
		return fmt.Errorf("datum %q: not known; write GDA2020, GDA94 or WGS84", g.Datum)
	case g.Datum.australian() && (g.Zone < firstMGA || g.Zone > lastMGA):
		return fmt.Errorf("zone %d: the grid of %s has zones %d to %d", g.Zone, g.Datum, firstMGA, lastMGA)
	case g.Datum.australian() && !g.South:
		return fmt.Errorf("the grid of %s lies south of the equator; for a place north of it use WGS84", g.Datum)
	case g.Zone < 1 || g.Zone > 60:
		return fmt.Errorf("zone %d: zones run from 1 to 60", g.Zone)
	}
	return nil
}

func (g Grid) check() error {
	if !(g.Easting >= eastingMin && g.Easting <= eastingMax) {
		hint := ""
		if g.Easting > eastingMax && g.Northing >= eastingMin && g.Northing <= eastingMax {
			hint = "; the pair looks swapped: easting comes first"
		}
		return fmt.Errorf("easting %.3f: outside 100000 to 900000%s", g.Easting, hint)
	}
	low, high := 0.0, 9_400_000.0 // 84 north lies at about 9 330 000
	if g.South {
		low, high = 1_000_000, falseNorthing // 80 south lies at about 1 118 000
	}
	if !(g.Northing >= low && g.Northing <= high) {
		return fmt.Errorf("northing %.3f: outside %.0f to %.0f", g.Northing, low, high)
	}
	return nil
}

// krueger holds the coefficients of one ellipsoid.
type krueger struct {
	radius      float64 // of the sphere with the meridian's length, times the scale
	e           float64 // first eccentricity
	alpha, beta [6]float64
}

// newKrueger evaluates equations 14, 35 and 36 of Karney 2011.
func newKrueger(el ellipsoid) krueger {
	n := el.f / (2 - el.f)
	n2, n3, n4, n5, n6 := n*n, n*n*n, n*n*n*n, n*n*n*n*n, n*n*n*n*n*n
	return krueger{
		radius: scaleAtMeridian * el.a / (1 + n) * (1 + n2/4 + n4/64 + n6/256),
		e:      math.Sqrt(el.f * (2 - el.f)),
		alpha: [6]float64{
			n/2 - n2*2/3 + n3*5/16 + n4*41/180 - n5*127/288 + n6*7891/37800,
			n2*13/48 - n3*3/5 + n4*557/1440 + n5*281/630 - n6*1983433/1935360,
			n3*61/240 - n4*103/140 + n5*15061/26880 + n6*167603/181440,
			n4*49561/161280 - n5*179/168 + n6*6601661/7257600,
			n5*34729/80640 - n6*3418889/1995840,
			n6 * 212378941 / 319334400,
		},
		beta: [6]float64{
			n/2 - n2*2/3 + n3*37/96 - n4/360 - n5*81/512 + n6*96199/604800,
			n2/48 + n3/15 - n4*437/1440 + n5*46/105 - n6*1118711/3870720,
			n3*17/480 - n4*37/840 - n5*209/4480 + n6*5569/90720,
			n4*4397/161280 - n5*11/504 - n6*830251/7257600,
			n5*4583/161280 - n6*108847/3991680,
			n6 * 20648693 / 638668800,
		},
	}
}

var kruegers = map[ellipsoid]krueger{grs80: newKrueger(grs80), wgs84: newKrueger(wgs84)}

// series is the sum of c[j] sin 2(j+1)z.
func series(c [6]float64, z complex128) complex128 {
	var sum complex128
	for j := len(c) - 1; j >= 0; j-- {
		sum += complex(c[j], 0) * cmplx.Sin(complex(2*float64(j+1), 0)*z)
	}
	return sum
}

// project gives metres east and north of where the meridian meets the
// equator; offLon is degrees from the meridian, less than 90.
func project(el ellipsoid, lat, offLon float64) (east, north float64) {
	k := kruegers[el]
	tau := math.Tan(lat * degree)
	conformal := k.conformal(tau)
	sin, cos := math.Sincos(offLon * degree)
	sphere := complex(math.Atan2(conformal, cos), math.Asinh(sin/math.Hypot(conformal, cos)))
	z := sphere + series(k.alpha, sphere)
	return k.radius * imag(z), k.radius * real(z)
}

func unproject(el ellipsoid, east, north float64) (lat, offLon float64) {
	k := kruegers[el]
	z := complex(north/k.radius, east/k.radius)
	sphere := z - series(k.beta, z)
	sin, cos := math.Sincos(real(sphere))
	sinh := math.Sinh(imag(sphere))
	tau := k.geographic(sin / math.Hypot(sinh, cos))
	return math.Atan(tau) / degree, math.Atan2(sinh, cos) / degree
}

// conformal turns the tangent of the latitude into that of the conformal
// latitude (equations 7 to 9).
func (k krueger) conformal(tau float64) float64 {
	secant := math.Hypot(1, tau)
	sigma := math.Sinh(k.e * math.Atanh(k.e*tau/secant))
	return tau*math.Hypot(1, sigma) - sigma*secant
}

// geographic undoes conformal by Newton's method (equations 19 to 21), which
// needs two or three steps.
func (k krueger) geographic(conformal float64) float64 {
	tau := conformal
	for range 5 {
		at := k.conformal(tau)
		tau += (conformal - at) / math.Hypot(1, at) * (1 + (1-k.e*k.e)*tau*tau) / ((1 - k.e*k.e) * math.Hypot(1, tau))
	}
	return tau
}
