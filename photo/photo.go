// Package photo makes of a camera's picture one that may be kept: upright, small,
// and without a word of where, when and with what it was taken.
//
// Nothing of the file that came is copied into the one that is kept. Its pixels
// are decoded, averaged down, turned as its orientation says, and encoded anew;
// so position, time, device, thumbnails, remarks and whatever follows the picture
// are left behind by construction. A colour profile is left behind too: colours
// of a wide-gamut camera come out a little paler.
//
// It reads JPEG and PNG, needs nothing but the standard library, runs in a
// browser, and refuses a picture before decoding it where that would take more
// than [MostMemory].
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
)

const (
	// MostPixels is how large a kept picture is unless told otherwise: 2 megapixels.
	MostPixels = 2_000_000
	// MostFile is the most bytes of a file that is read.
	MostFile = 32 << 20
	// MostMemory is the most bytes that the decoded picture may take.
	MostMemory = 256 << 20
	// Type is the media type of what is kept.
	Type = "image/jpeg"

	quality  = 85     // of the JPEG kept, on the encoder's scale to 100: no loss seen on fur and skin at this size; common practice, no source
	mostSide = 65_535 // pixels; no JPEG has a longer side (ITU-T T.81, B.2.2)
)

// Picture is a photo as it is kept.
type Picture struct {
	JPEG              []byte
	WidthPx, HeightPx int
}

// Prepare makes a picture of at most so many pixels from a JPEG or PNG file. Its
// shape is kept within a pixel; nothing is enlarged. The error tells people what
// is wrong with the file and what to do.
func Prepare(file []byte, mostPixels int) (Picture, error) {
	h, err := readHeader(file)
	if err != nil {
		return Picture{}, err
	}
	if err := h.bearable(); err != nil {
		return Picture{}, err
	}
	decoded, err := h.decode(bytes.NewReader(file))
	if err != nil {
		return Picture{}, fmt.Errorf("photo: the file is damaged or was cut off (%w); take or send it again", err)
	}
	small := turn(shrink(decoded, mostPixels), h.orientation)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: quality}); err != nil {
		return Picture{}, err
	}
	return Picture{out.Bytes(), small.Rect.Dx(), small.Rect.Dy()}, nil
}

// readHeader tells what a file is, without decoding it.
func readHeader(file []byte) (header, error) {
	switch {
	case len(file) == 0:
		return header{}, errors.New("photo: the file is empty; choose a picture, or take one")
	case len(file) > MostFile:
		return header{}, fmt.Errorf("photo of %d MB: more than the %d MB that are read; take it with fewer pixels", len(file)>>20, MostFile>>20)
	case bytes.HasPrefix(file, jpegMagic):
		return readJPEG(file)
	case bytes.HasPrefix(file, pngMagic):
		return readPNG(file)
	}
	return header{}, fmt.Errorf("photo: %s; only JPEG and PNG are read: set the camera to JPEG (“most compatible”) and take it again", kindOf(file))
}

// kindOf names what people send that is not read here.
func kindOf(file []byte) string {
	switch {
	case len(file) >= 12 && string(file[4:8]) == "ftyp":
		return fmt.Sprintf("a file of kind %.4q", file[8:12])
	case bytes.HasPrefix(file, []byte("RIFF")) && len(file) >= 12:
		return fmt.Sprintf("a file of kind %.4q", file[8:12])
	}
	return fmt.Sprintf("a file that begins with %.8q", file)
}

// decode reads the pixels.
func (h header) decode(file *bytes.Reader) (image.Image, error) {
	if h.png {
		return png.Decode(file)
	}
	return jpeg.Decode(file)
}
