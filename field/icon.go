package field

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
)

var (
	ground = color.NRGBA{0x1d, 0x1b, 0x18, 0xff}
	light  = color.NRGBA{0xff, 0xc4, 0x6b, 0xff}
)

// icon draws the sun half risen over a ruled line, with three rays, on a square
// whose middle four fifths hold all of it, so that a phone may round its corners.
func icon(size int) []byte {
	const fine = 4 // samples across a pixel
	picture := image.NewNRGBA(image.Rect(0, 0, size, size))
	for y := range size {
		for x := range size {
			lit := 0
			for s := range fine * fine {
				u := (float64(x) + (float64(s%fine)+0.5)/fine) / float64(size)
				v := (float64(y) + (float64(s/fine)+0.5)/fine) / float64(size)
				if drawn(u, v) {
					lit++
				}
			}
			picture.SetNRGBA(x, y, between(ground, light, float64(lit)/(fine*fine)))
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, picture); err != nil {
		panic(err) // memory takes every byte
	}
	return b.Bytes()
}

// drawn tells whether a point of the unit square, from its top left, is lit.
func drawn(u, v float64) bool {
	const horizon, middle, radius, half = 0.66, 0.5, 0.19, 0.028
	if math.Abs(v-horizon) < half && math.Abs(u-middle) < 0.31 {
		return true
	}
	dx, dy := u-middle, horizon-v
	if dy > 0 && math.Hypot(dx, dy) < radius {
		return true
	}
	for _, angle := range []float64{45, 90, 135} {
		sin, cos := math.Sincos(angle * math.Pi / 180)
		along, across := dx*cos+dy*sin, dx*sin-dy*cos
		if along > 0.26 && along < 0.36 && math.Abs(across) < half {
			return true
		}
	}
	return false
}

func between(a, b color.NRGBA, t float64) color.NRGBA {
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(float64(a)*(1-t)) + float64(b)*t)) }
	return color.NRGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 0xff}
}
