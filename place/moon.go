package place

import "time"

// MoonLit is the lit fraction of the moon's disc, 0 to 1, good to about 0.005.
// Method: phase angle from the mean elongation and anomalies (Meeus 1998,
// ch. 47) by the short series of equation 48.4, fraction by equation 48.1.
func MoonLit(at time.Time) float64 {
	c := centuries(at)
	elongation := 297.8501921 + c*(445267.1114034-c*0.0018819)
	sunAnomaly := 357.5291092 + c*(35999.0502909-c*0.0001536)
	moonAnomaly := 134.9633964 + c*(477198.8675055+c*0.0087414)
	phase := 180 - elongation -
		6.289*sinDeg(moonAnomaly) +
		2.100*sinDeg(sunAnomaly) -
		1.274*sinDeg(2*elongation-moonAnomaly) -
		0.658*sinDeg(2*elongation) -
		0.214*sinDeg(2*moonAnomaly) -
		0.110*sinDeg(elongation)
	return (1 + cosDeg(phase)) / 2
}
