package place

import (
	"fmt"
	"math"
)

// A Path is the shortest line between two points.
type Path struct {
	Metres float64
	There  float64 // azimuth at the first point towards the second, 0 up to 360 degrees from north
	Back   float64 // azimuth at the second point towards the first
}

// Between is the shortest path over the ellipsoid from one point to another,
// right to well under a millimetre anywhere. Points of two datums are refused.
// Where the points are one, or a pole, the azimuths say nothing.
//
// Method: the line on the auxiliary sphere, with the integrals for distance
// and longitude of Karney 2013, Algorithms for geodesics, J. Geodesy 87:43,
// equations 7 and 8, taken by Gauss's rule. The longitude on the sphere is
// found by repetition, as in Vincenty 1975, Survey Review 23(176):88; for
// points nearly opposite each other, where that fails, the azimuth is found by
// halving, as there it is the azimuth that has one solution (Karney 2013, §4).
func Between(from, to Point) (Path, error) {
	for _, p := range []Point{from, to} {
		if err := p.check(); err != nil {
			return Path{}, err
		}
	}
	if from.Datum != to.Datum {
		return Path{}, fmt.Errorf("distance between a point in %s and one in %s: bring both to one datum first", from.Datum, to.Datum)
	}
	g := geodesic{ellipsoid: datums[from.Datum].ellipsoid}
	g.sin1, g.cos1 = g.reduced(from.Lat)
	g.sin2, g.cos2 = g.reduced(to.Lat)
	lon := halfTurn(to.Lon-from.Lon) * degree
	g.lon = math.Abs(lon)
	path := g.solve()
	if lon < 0 {
		path.There, path.Back = -path.There, -path.Back
	}
	path.There, path.Back = turn(path.There/degree), turn(path.Back/degree+180)
	return path, nil
}

// geodesic is the problem: two reduced latitudes and the difference of
// longitude, 0 to pi.
type geodesic struct {
	ellipsoid
	sin1, cos1, sin2, cos2 float64
	lon                    float64
}

// reduced is sine and cosine of the reduced latitude.
func (el ellipsoid) reduced(lat float64) (sin, cos float64) {
	sin, cos = math.Sincos(lat * degree)
	sin *= 1 - el.f
	h := math.Hypot(sin, cos)
	return sin / h, cos / h
}

// solve gives metres and, in radians, the forward azimuths at both ends.
func (g geodesic) solve() Path {
	const pole = 1e-12 // cosine of a latitude 6 micrometres from the pole
	if g.lon == 0 || g.cos1 < pole || g.cos2 < pole {
		g.lon = 0
		return g.onSphere(0)
	}
	sphere := g.lon
	for range 20 {
		next := g.lon + g.lag(g.azimuth(sphere))
		if next >= math.Pi {
			return g.nearlyOpposite()
		}
		if math.Abs(next-sphere) < 1e-15 {
			return g.onSphere(next)
		}
		sphere = next
	}
	return g.nearlyOpposite()
}

// arc is a geodesic as a great circle: azimuths at the equator and both ends,
// by sine and cosine, and the angles along it from the equator.
type arc struct {
	sin0           float64 // sine of the azimuth at the equator
	there, back    float64 // forward azimuths in radians
	sigma1, sigma2 float64
}

// azimuth is the great circle between the two reduced latitudes whose
// longitudes differ by sphere.
func (g geodesic) azimuth(sphere float64) arc {
	sin, cos := math.Sincos(sphere)
	// 1-cos without cancellation, so that lines of a few metres stay sharp.
	versine := 2 * math.Pow(math.Sin(sphere/2), 2)
	slope := g.sin2*g.cos1 - g.cos2*g.sin1
	y1, x1 := g.cos2*sin, slope+g.cos2*g.sin1*versine
	y2, x2 := g.cos1*sin, slope-g.cos1*g.sin2*versine
	a := arc{there: math.Atan2(y1, x1), back: math.Atan2(y2, x2)}
	a.sin0 = math.Sin(a.there) * g.cos1
	a.sigma1 = math.Atan2(g.sin1, math.Cos(a.there)*g.cos1)
	a.sigma2 = a.sigma1 + math.Atan2(math.Hypot(y1, x1), g.sin1*g.sin2+g.cos1*g.cos2*cos)
	return a
}

func (g geodesic) onSphere(sphere float64) Path {
	a := g.azimuth(sphere)
	return Path{Metres: g.length(a), There: a.there, Back: a.back}
}

// k2 is Karney's k squared, for the arc's azimuth at the equator.
func (g geodesic) k2(a arc) float64 {
	e2 := g.f * (2 - g.f)
	return e2 / (1 - e2) * (1 - a.sin0*a.sin0)
}

// length is the distance along the arc in metres (Karney 2013, equation 7).
func (g geodesic) length(a arc) float64 {
	k2 := g.k2(a)
	return g.b() * integral(a.sigma1, a.sigma2, func(sigma float64) float64 {
		sin := math.Sin(sigma)
		return math.Sqrt(1 + k2*sin*sin)
	})
}

// lag is by how much longitude on the ellipsoid falls short of that on the
// sphere (equation 8).
func (g geodesic) lag(a arc) float64 {
	k2 := g.k2(a)
	return g.f * a.sin0 * integral(a.sigma1, a.sigma2, func(sigma float64) float64 {
		sin := math.Sin(sigma)
		return (2 - g.f) / (1 + (1-g.f)*math.Sqrt(1+k2*sin*sin))
	})
}

// nearlyOpposite finds the azimuth at the point farther from the equator, that
// point put south, between north and south.
func (g geodesic) nearlyOpposite() Path {
	if math.Abs(g.sin1) < math.Abs(g.sin2) {
		g.sin1, g.cos1, g.sin2, g.cos2 = g.sin2, g.cos2, g.sin1, g.cos1
		p := g.nearlyOpposite()
		p.There, p.Back = math.Pi-p.Back, math.Pi-p.There
		return p
	}
	if g.sin1 > 0 {
		g.sin1, g.sin2 = -g.sin1, -g.sin2
		p := g.nearlyOpposite()
		p.There, p.Back = math.Pi-p.There, math.Pi-p.Back
		return p
	}
	low, high := 0.0, math.Pi
	for range 60 {
		middle := (low + high) / 2
		if _, lon := g.leaving(middle); lon < g.lon {
			low = middle
		} else {
			high = middle
		}
	}
	a, _ := g.leaving((low + high) / 2)
	return Path{Metres: g.length(a), There: a.there, Back: a.back}
}

// leaving is the arc that leaves the first point at an azimuth and meets the
// second point's latitude going north, and the longitude it has covered by
// then, which grows with the azimuth. The first point must be the one farther
// from the equator, and not north of it.
func (g geodesic) leaving(azimuth float64) (arc, float64) {
	sin, cos := math.Sincos(azimuth)
	sin1 := math.Min(g.sin1, -1e-300) // the equator counts as its southern side
	a := arc{there: azimuth, sin0: sin * g.cos1}
	cos2 := math.Sqrt(math.Max(0, cos*cos*g.cos1*g.cos1+(g.sin1-g.sin2)*(g.sin1+g.sin2)))
	a.back = math.Atan2(a.sin0, cos2)
	a.sigma1 = math.Atan2(sin1, cos*g.cos1)
	a.sigma2 = math.Atan2(g.sin2, cos2)
	omega1 := math.Atan2(a.sin0*sin1, cos*g.cos1)
	omega2 := math.Atan2(a.sin0*g.sin2, cos2)
	return a, omega2 - omega1 - g.lag(a)
}

// gauss holds the positive nodes and the weights of Gauss's rule with ten
// points (Abramowitz and Stegun 1964, table 25.4).
var gauss = [5][2]float64{
	{0.148874338981631, 0.295524224714753},
	{0.433395394129247, 0.269266719309996},
	{0.679409568299024, 0.219086362515982},
	{0.865063366688985, 0.149451349150581},
	{0.973906528517172, 0.066671344308688},
}

func integral(from, to float64, f func(float64) float64) float64 {
	middle, half := (from+to)/2, (to-from)/2
	sum := 0.0
	for _, g := range gauss {
		sum += g[1] * (f(middle-half*g[0]) + f(middle+half*g[0]))
	}
	return half * sum
}
