package place

import (
	"math"
	"time"
)

// A Course is what the sun does about one height on one day.
type Course int

// The sun crosses the height, or stays above it, or below it, all day.
const (
	Crosses Course = iota
	AlwaysUp
	NeverUp
)

// String says the course in words.
func (c Course) String() string {
	return [...]string{"crosses", "always up", "never up"}[c]
}

// A Crossing is the moment the sun crosses a height, or the word that says why
// there is none.
type Crossing struct {
	Course Course
	At     time.Time // in the day's zone, to the second; zero unless Course is Crosses
}

// String is the clock time to the minute, or the word.
func (c Crossing) String() string {
	if c.Course != Crosses {
		return c.Course.String()
	}
	return c.At.Round(time.Minute).Format("15:04")
}

// Daylight is one day's light, computed for a flat horizon at sea level:
// hills, height and the day's refraction move it by minutes.
type Daylight struct {
	CivilDawn, Sunrise, Sunset, CivilDusk Crossing
}

const (
	sunriseHeight = -0.8333 // 34' refraction and 16' radius
	civilHeight   = -6
)

// Light is the daylight at a place on a local date: the light around that
// date's solar noon, so a sunset after midnight in a northern summer still
// belongs to the date before. Good to about a minute below 65 degrees of
// latitude and to some minutes beyond.
//
// Method: the sun's place after Meeus 1998, ch. 25 (low accuracy), sidereal
// time ch. 12, height ch. 13; the crossing is found by halving the time
// between noon and midnight, with the sun's place taken anew at each step.
func (p Point) Light(year int, month time.Month, day int, zone *time.Location) (Daylight, error) {
	if err := p.check(); err != nil {
		return Daylight{}, err
	}
	noon := p.solarNoon(time.Date(year, month, day, 12, 0, 0, 0, zone))
	const half = 12 * time.Hour
	return Daylight{
		CivilDawn: p.crossing(noon, -half, civilHeight),
		Sunrise:   p.crossing(noon, -half, sunriseHeight),
		Sunset:    p.crossing(noon, half, sunriseHeight),
		CivilDusk: p.crossing(noon, half, civilHeight),
	}, nil
}

// solarNoon is the moment nearest to t at which the sun stands on the
// meridian.
func (p Point) solarNoon(t time.Time) time.Time {
	for range 4 {
		t = t.Add(-time.Duration(p.hourAngle(t) / 360 * float64(24*time.Hour)))
	}
	return t
}

// crossing looks for the height between noon and the midnight before (away
// negative) or after it.
func (p Point) crossing(noon time.Time, away time.Duration, height float64) Crossing {
	switch {
	case p.sunHeight(noon) < height:
		return Crossing{Course: NeverUp}
	case p.sunHeight(noon.Add(away)) > height:
		return Crossing{Course: AlwaysUp}
	}
	up, down := time.Duration(0), away
	for (up - down).Abs() > time.Second/2 {
		middle := (up + down) / 2
		if p.sunHeight(noon.Add(middle)) > height {
			up = middle
		} else {
			down = middle
		}
	}
	return Crossing{At: noon.Add(up).Round(time.Second)}
}

// hourAngle is how far the sun stands west of the meridian, -180 to 180
// degrees.
func (p Point) hourAngle(t time.Time) float64 {
	ascension, _ := sun(t)
	return halfTurn(siderealDeg(t) + p.Lon - ascension)
}

// sunHeight is the height of the sun's centre without refraction, in degrees
// (Meeus 1998, equation 13.6).
func (p Point) sunHeight(t time.Time) float64 {
	_, declination := sun(t)
	return math.Asin(sinDeg(p.Lat)*sinDeg(declination)+
		cosDeg(p.Lat)*cosDeg(declination)*cosDeg(p.hourAngle(t))) / degree
}

// sun is the sun's apparent right ascension and declination in degrees, good
// to 0.01 degree (Meeus 1998, ch. 25).
func sun(t time.Time) (ascension, declination float64) {
	c := centuries(t)
	longitude := sunLongitude(c)
	node := 125.04 - 1934.136*c
	obliquity := 23 + 26.0/60 + 21.448/3600 - c*(46.8150+c*(0.00059-c*0.001813))/3600 + 0.00256*cosDeg(node)
	ascension = math.Atan2(cosDeg(obliquity)*sinDeg(longitude), cosDeg(longitude)) / degree
	declination = math.Asin(sinDeg(obliquity)*sinDeg(longitude)) / degree
	return turn(ascension), declination
}

// sunLongitude is the apparent longitude in degrees.
func sunLongitude(c float64) float64 {
	mean := 280.46646 + c*(36000.76983+c*0.0003032)
	anomaly := 357.52911 + c*(35999.05029-c*0.0001537)
	centre := (1.914602-c*(0.004817+c*0.000014))*sinDeg(anomaly) +
		(0.019993-c*0.000101)*sinDeg(2*anomaly) + 0.000289*sinDeg(3*anomaly)
	node := 125.04 - 1934.136*c
	return turn(mean + centre - 0.00569 - 0.00478*sinDeg(node))
}
