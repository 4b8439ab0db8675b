package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image/jpeg"
	"image/png"
)

var (
	jpegMagic = []byte{0xff, 0xd8, 0xff}    // SOI and the first marker: ITU-T T.81, B.1.1.3
	pngMagic  = []byte("\x89PNG\r\n\x1a\n") // W3C PNG (third edition), 5.2
	exifMagic = []byte("Exif\x00\x00")      // CIPA DC-008 (Exif), APP1
)

// header is what a file says of its picture before any pixel.
type header struct {
	png           bool
	width, height int
	bytesPerPixel int // that decoding takes, at most
	orientation   int // 1 to 8
}

// bearable says why a picture is not to be decoded, or nil.
func (h header) bearable() error {
	most := MostMemory / h.bytesPerPixel
	if h.width > mostSide || h.height > mostSide || h.width*h.height > most {
		return fmt.Errorf("photo of %d × %d pixels: more than can be decoded here (%d million of this kind, no side above %d); take it with fewer pixels",
			h.width, h.height, most/1_000_000, mostSide)
	}
	return nil
}

// readJPEG walks the segments before the first scan.
func readJPEG(file []byte) (header, error) {
	size, err := jpeg.DecodeConfig(bytes.NewReader(file))
	if err != nil {
		return header{}, fmt.Errorf("photo: its JPEG header cannot be read (%w); take or send it again", err)
	}
	h := header{width: size.Width, height: size.Height, bytesPerPixel: 4, orientation: 1}
	told := false
	for marker, segment := range segments(file) {
		switch {
		case marker == 0xc2: // progressive: every coefficient is held, four bytes each
			h.bytesPerPixel = 4 + 4*4
		case marker == 0xe1 && bytes.HasPrefix(segment, exifMagic) && !told:
			h.orientation, told = orientationOf(segment[len(exifMagic):]), true
		}
	}
	return h, nil
}

// segments gives a JPEG's marker segments up to the first scan (ITU-T T.81,
// B.1.1.4); what cannot be one ends them.
func segments(file []byte) func(func(marker byte, segment []byte) bool) {
	return func(yield func(byte, []byte) bool) {
		for at := 2; at+4 <= len(file) && file[at] == 0xff; {
			marker := file[at+1]
			if marker == 0xff { // a fill byte
				at++
				continue
			}
			length := int(binary.BigEndian.Uint16(file[at+2:]))
			if marker == 0xda || length < 2 || at+2+length > len(file) || !yield(marker, file[at+4:at+2+length]) {
				return
			}
			at += 2 + length
		}
	}
}

// readPNG walks the chunks (W3C PNG, third edition, 5.3, and eXIf in 11.3).
func readPNG(file []byte) (header, error) {
	size, err := png.DecodeConfig(bytes.NewReader(file))
	if err != nil {
		return header{}, fmt.Errorf("photo: its PNG header cannot be read (%w); take or send it again", err)
	}
	h := header{png: true, width: size.Width, height: size.Height, bytesPerPixel: 4, orientation: 1}
	for at := len(pngMagic); at+12 <= len(file); {
		length := int(binary.BigEndian.Uint32(file[at:]))
		if length > len(file)-at-12 {
			break
		}
		switch data := file[at+8 : at+8+length]; string(file[at+4 : at+8]) {
		case "IHDR":
			if depth, interlaced := data[8], data[12]; depth == 16 || interlaced != 0 {
				h.bytesPerPixel = 16 // two copies of an interlaced one
			}
		case "eXIf":
			h.orientation = orientationOf(data)
		}
		at += 12 + length
	}
	return h, nil
}

const (
	orientationTag = 0x0112 // TIFF 6.0, page 36; CIPA DC-008 (Exif), Orientation
	shortType      = 3      // TIFF 6.0, page 15
)

// orientationOf finds the orientation in a TIFF structure, 1 where it says
// nothing that can be read.
func orientationOf(tiff []byte) int {
	var order binary.ByteOrder = binary.LittleEndian
	switch {
	case bytes.HasPrefix(tiff, []byte("II*\x00")):
	case bytes.HasPrefix(tiff, []byte("MM\x00*")):
		order = binary.BigEndian
	default:
		return 1
	}
	if len(tiff) < 8 {
		return 1
	}
	at := int64(order.Uint32(tiff[4:]))
	if at < 8 || at+2 > int64(len(tiff)) {
		return 1
	}
	entries := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(entries) < 12 {
			return 1
		}
		value := order.Uint16(entries[8:])
		if order.Uint16(entries) == orientationTag && order.Uint16(entries[2:]) == shortType && value >= 1 && value <= 8 {
			return int(value)
		}
		entries = entries[12:]
	}
	return 1
}
