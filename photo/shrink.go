package photo

import (
	"image"
	"image/draw"
	"math"
)

// fit gives the size of a picture of at most so many pixels, of the same shape
// within a pixel. It never enlarges, and no side is less than one pixel.
func fit(width, height, most int) (int, int) {
	if width*height <= most {
		return width, height
	}
	long, short := max(width, height), min(width, height)
	s := int(math.Sqrt(float64(most) * float64(short) / float64(long)))
	s = max(s, 1)
	l := min(max(s*long/short, 1), max(most/s, 1))
	if width >= height {
		return l, s
	}
	return s, l
}

// shrink averages a picture down to at most so many pixels, on white where it is
// transparent. Each new pixel is the mean of the area it covers, in whole
// numbers, so every processor gives the same. It holds one row of the old picture
// at a time.
func shrink(from image.Image, most int) *image.RGBA {
	b := from.Bounds()
	width, height := fit(b.Dx(), b.Dy(), most)
	out := image.NewRGBA(image.Rect(0, 0, width, height))
	row := image.NewRGBA(image.Rect(0, 0, b.Dx(), 1))
	across := make([]uint32, 3*width)
	down := make([]uint64, 3*width)
	area := uint64(b.Dx()) * uint64(b.Dy())
	y, left := 0, b.Dy() // left: of the new row's height, which is b.Dy() parts; an old row is height parts high
	for old := range b.Dy() {
		draw.Draw(row, row.Rect, image.White, image.Point{}, draw.Src)
		draw.Draw(row, row.Rect, from, image.Pt(b.Min.X, b.Min.Y+old), draw.Over)
		addAcross(across, row.Pix, b.Dx(), width)
		for weight := height; weight > 0; {
			take := min(weight, left)
			for i, sum := range across {
				down[i] += uint64(sum) * uint64(take)
			}
			if weight, left = weight-take, left-take; left == 0 {
				write(out.Pix[y*out.Stride:], down, area)
				y, left = y+1, b.Dy()
			}
		}
	}
	return out
}

// addAcross sums the pixels of an old row into those of a new one: each old
// pixel has width parts, of which a new one covers wide.
func addAcross(across []uint32, pixels []uint8, wide, width int) {
	clear(across)
	at, left := 0, wide
	for i := range wide {
		r, g, b := uint32(pixels[4*i]), uint32(pixels[4*i+1]), uint32(pixels[4*i+2])
		for weight := width; weight > 0; {
			take := min(weight, left)
			across[at] += r * uint32(take)
			across[at+1] += g * uint32(take)
			across[at+2] += b * uint32(take)
			if weight, left = weight-take, left-take; left == 0 {
				at, left = at+3, wide
			}
		}
	}
}

// write rounds the sums of a row to pixels and begins them anew.
func write(pixels []uint8, sums []uint64, area uint64) {
	for i, sum := range sums {
		pixels[i/3*4+i%3] = uint8((sum + area/2) / area)
		pixels[i/3*4+3] = 0xff
	}
	clear(sums)
}
