package place

import (
	"math"
	"testing"
	"time"
)

// Worked examples of Meeus 1998, Astronomical Algorithms, from memory.
func TestMeeus(t *testing.T) {
	t.Parallel()
	// 7.a: 1957 October 4.81 is JD 2436116.31.
	sputnik := time.Date(1957, time.October, 4, 0, 0, 0.81*86400, 0, time.UTC)
	// 25.a: the sun on 1992 October 13 at 0h TD.
	ascension, declination := sun(time.Date(1992, time.October, 13, 0, 0, 0, 0, time.UTC))
	longitude := sunLongitude(centuries(time.Date(1992, time.October, 13, 0, 0, 0, 0, time.UTC)))
	for _, c := range []struct {
		name                 string
		got, want, tolerance float64
	}{
		{"7.a Julian day", julianDay(sputnik), 2436116.31, 1e-6},
		// 12.a: 1987 April 10, 0h UT: 13h 10m 46.3668s.
		{"12.a sidereal time", siderealDeg(time.Date(1987, time.April, 10, 0, 0, 0, 0, time.UTC)), 15 * (13 + 10.0/60 + 46.3668/3600), 1e-5},
		{"25.a apparent longitude", longitude, 199.90895, 2e-5},
		{"25.a right ascension", ascension, 198.38083, 2e-5},
		{"25.a declination", declination, -7.78507, 2e-5},
	} {
		if math.Abs(c.got-c.want) > c.tolerance {
			t.Errorf("%s: %.6f, want %.6f", c.name, c.got, c.want)
		}
	}
}

// Gauss's rule with ten points is exact for polynomials up to degree 19.
func TestIntegralIsExactForPolynomials(t *testing.T) {
	t.Parallel()
	for power := range 20 {
		got := integral(0, 1, func(x float64) float64 { return math.Pow(x, float64(power)) })
		if want := 1 / float64(power+1); math.Abs(got-want) > 1e-14 {
			t.Errorf("x^%d: %.17f, want %.17f", power, got, want)
		}
	}
}
