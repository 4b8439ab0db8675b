package place

import "time"

// julianDay counts days and their fraction from noon of 1 January 4713 BC
// (Meeus 1998, Astronomical Algorithms, ch. 7).
func julianDay(t time.Time) float64 {
	return 2440587.5 + float64(t.Unix())/86400 + float64(t.Nanosecond())/86400e9
}

// centuries are Julian centuries from the epoch J2000.0. Universal time stands
// in for dynamical time, about 70 s ahead of it: the sun moves less than 0.001
// degree in that time, the moon 0.01.
func centuries(t time.Time) float64 { return (julianDay(t) - 2451545) / 36525 }

// siderealDeg is the mean sidereal time at Greenwich in degrees (Meeus 1998,
// equation 12.4).
func siderealDeg(t time.Time) float64 {
	days, c := julianDay(t)-2451545, centuries(t)
	return turn(280.46061837 + 360.98564736629*days + c*c*(0.000387933-c/38710000))
}
