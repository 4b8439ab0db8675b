package photo

import "image"

// turn sets a picture upright. Its orientation says where its first row and its
// first column belong (TIFF 6.0, page 36, taken over by CIPA DC-008, Exif): 1 top
// and left, 2 top and right, 3 bottom and right, 4 bottom and left, 5 left and
// top, 6 right and top, 7 right and bottom, 8 left and bottom.
func turn(from *image.RGBA, orientation int) *image.RGBA {
	if orientation == 1 {
		return from
	}
	width, height := from.Rect.Dx(), from.Rect.Dy()
	right, bottom := width-1, height-1
	size := image.Rect(0, 0, width, height)
	if orientation >= 5 {
		size = image.Rect(0, 0, height, width)
	}
	to := image.NewRGBA(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			var column, row int
			switch orientation {
			case 2:
				column, row = right-x, y
			case 3:
				column, row = right-x, bottom-y
			case 4:
				column, row = x, bottom-y
			case 5:
				column, row = y, x
			case 6:
				column, row = y, bottom-x
			case 7:
				column, row = right-y, bottom-x
			case 8:
				column, row = right-y, x
			}
			copy(to.Pix[to.PixOffset(x, y):], from.Pix[from.PixOffset(column, row):][:4])
		}
	}
	return to
}
