package protocol

import "math"

// fromUTM gives the latitude and longitude, in degrees, of metres east and
// north in a zone of the Universal Transverse Mercator grid; a negative zone
// is in the south. It is Krüger's series to the fourth order in n on the
// GRS 80 ellipsoid (WGS 84's differs by 0.1 mm at the pole), true to well
// under a millimetre within a zone.
// Source: Karney 2011, J. Geodesy 85:475–485, eqs 14, 15, 19–21 and 36.
func fromUTM(zone int, east, north float64) (lat, lon float64) {
	const a, f = 6378137.0, 1 / 298.257222101
	const scale, falseEast = 0.9996, 500_000.0
	n := f / (2 - f)
	radius := a / (1 + n) * (1 + n*n/4 + n*n*n*n/64)
	beta := [...]float64{
		n/2 - 2*n*n/3 + 37*n*n*n/96 - n*n*n*n/360,
		n*n/48 + n*n*n/15 - 437*n*n*n*n/1440,
		17*n*n*n/480 - 37*n*n*n*n/840,
		4397 * n * n * n * n / 161280,
	}
	if zone < 0 {
		zone, north = -zone, north-10_000_000
	}
	xi, eta := north/(scale*radius), (east-falseEast)/(scale*radius)
	x, y := xi, eta
	for j, b := range beta {
		k := 2 * float64(j+1)
		x -= b * math.Sin(k*xi) * math.Cosh(k*eta)
		y -= b * math.Cos(k*xi) * math.Sinh(k*eta)
	}
	tau := geodetic(math.Sin(x)/math.Hypot(math.Sinh(y), math.Cos(x)), math.Sqrt(f*(2-f)))
	lon = float64(6*zone-183) + math.Atan2(math.Sinh(y), math.Cos(x))*180/math.Pi
	return math.Atan(tau) * 180 / math.Pi, lon
}

// geodetic turns the tangent of the conformal latitude into that of the
// geodetic one, by Newton's method.
func geodetic(conformal, e float64) float64 {
	tau := conformal
	for range 3 {
		root := math.Sqrt(1 + tau*tau)
		sigma := math.Sinh(e * math.Atanh(e*tau/root))
		t := tau*math.Sqrt(1+sigma*sigma) - sigma*root
		tau += (conformal - t) / math.Sqrt(1+t*t) * (1 + (1-e*e)*tau*tau) / ((1 - e*e) * root)
	}
	return tau
}
