// Package place knows where and when in the sky: coordinates and their datum,
// map grids, distances on the ellipsoid, places made coarse before they leave
// the programme, sunrise and sunset, and the moon's light.
//
// Angles are degrees, north and east positive; lengths are metres; times are
// UTC unless a zone is given.
package place

import (
	"fmt"
	"math"
)

const degree = math.Pi / 180

func sinDeg(x float64) float64 { return math.Sin(x * degree) }
func cosDeg(x float64) float64 { return math.Cos(x * degree) }

// turn brings an angle into 0 up to 360 degrees.
func turn(x float64) float64 {
	x = math.Mod(x, 360)
	if x < 0 {
		x += 360
	}
	return x
}

// halfTurn brings an angle into -180 up to 180 degrees, 180 left out.
func halfTurn(x float64) float64 { return turn(x+180) - 180 }

// A Point is a place on the ellipsoid of its datum.
type Point struct {
	Lat, Lon float64 // degrees, -90 to 90 and -180 to 180
	Datum    Datum
}

// check refuses a point that lies nowhere or whose datum is not known.
func (p Point) check() error {
	if _, known := datums[p.Datum]; !known {
		return fmt.Errorf("datum %q: not known; write GDA2020, GDA94 or WGS84", p.Datum)
	}
	if !(math.Abs(p.Lat) <= 90) {
		hint := ""
		if math.Abs(p.Lat) <= 180 && math.Abs(p.Lon) <= 90 {
			hint = "; the pair looks swapped: latitude comes first"
		}
		return fmt.Errorf("latitude %v: impossible, latitudes run from -90 to 90%s", p.Lat, hint)
	}
	if !(math.Abs(p.Lon) <= 180) {
		return fmt.Errorf("longitude %v: impossible, longitudes run from -180 to 180", p.Lon)
	}
	return nil
}
