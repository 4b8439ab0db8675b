package photo_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"

	"dawnround/photo"

	"pgregory.net/rapid"
)

// secret stands in every place of a file that could tell where, when and with
// what a picture was taken.
const secret = "19.2500S 146.8000E 2026:05:14 03:12:09 SERIAL-0417"

// scene is a picture whose four corners differ: red, green, blue and white,
// from the top left by the clock.
func scene(width, height int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, width, height))
	corners := [2][2]color.RGBA{{red, green}, {white, blue}}
	for y := range height {
		for x := range width {
			m.SetRGBA(x, y, corners[2*y/height][2*x/width])
		}
	}
	return m
}

var (
	red, green  = color.RGBA{255, 0, 0, 255}, color.RGBA{0, 160, 0, 255}
	blue, white = color.RGBA{0, 0, 255, 255}, color.RGBA{255, 255, 255, 255}
)

// exif is a TIFF structure with an orientation, a position and the secret
// (TIFF 6.0, section 2; the tags of CIPA DC-008).
func exif(order binary.ByteOrder, orientation int) []byte {
	var b bytes.Buffer
	put := func(values ...any) {
		for _, v := range values {
			binary.Write(&b, order, v)
		}
	}
	b.WriteString(map[bool]string{true: "MM", false: "II"}[order == binary.ByteOrder(binary.BigEndian)])
	put(uint16(42), uint32(8), uint16(3))
	put(uint16(0x0110), uint16(2), uint32(len(secret)), uint32(50)) // Model, ASCII, where it stands
	put(uint16(0x0112), uint16(3), uint32(1), uint16(orientation), uint16(0))
	put(uint16(0x8825), uint16(4), uint32(1), uint32(50)) // the pointer to the position's own directory
	put(uint32(0))
	b.WriteString(secret)
	return b.Bytes()
}

func segment(marker byte, words string) []byte {
	return append([]byte{0xff, marker, byte((len(words) + 2) >> 8), byte(len(words) + 2)}, words...)
}

// jpegOf is a JPEG with metadata of every sort in it, before and behind.
func jpegOf(m image.Image, tiff []byte) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		panic(err)
	}
	plain := b.Bytes()
	out := slices.Clone(plain[:2])
	out = append(out, segment(0xe1, "Exif\x00\x00"+string(tiff))...)
	out = append(out, segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>"+secret+"</x:xmpmeta>")...)
	for marker := byte(0xe0); marker <= 0xef; marker++ {
		if marker != 0xee { // the encoder's own mark of how colours are told
			out = append(out, segment(marker, secret)...)
		}
	}
	out = append(out, 0xff) // a fill byte
	out = append(out, segment(0xfe, secret)...)
	out = append(out, plain[2:]...)
	return append(out, "\x00\x00\x00\x18ftypmp42"+secret...) // a film behind the picture
}

func chunk(kind, data string) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	out = append(out, kind+data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE([]byte(kind+data)))
}

// pngOf is a PNG with metadata in it.
func pngOf(m image.Image, tiff []byte) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		panic(err)
	}
	const upTo = 8 + 12 + 13 // signature and IHDR
	out := slices.Clone(b.Bytes()[:upTo])
	for kind, data := range map[string]string{
		"eXIf": string(tiff), "tEXt": "Comment\x00" + secret, "iTXt": "XML:com.adobe.xmp\x00\x00\x00\x00\x00" + secret, "tIME": "\x07\xea\x05\x0e\x03\x0c\x09",
	} {
		out = append(out, chunk(kind, data)...)
	}
	out = append(out, b.Bytes()[upTo:]...)
	return append(out, secret...)
}

// TestOrientations: the eight ways in which a camera may have stored one scene
// all come out upright. Rows are TIFF 6.0, page 36: where the scene's corners
// stand in the stored picture.
func TestOrientations(t *testing.T) {
	t.Parallel()
	upright := scene(64, 48)
	// stored gives the stored picture's pixel from the scene's, by the meaning of
	// each value: its first row is at the scene's …, its first column at the ….
	stored := []struct {
		row, column string
	}{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"}, 5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}
	for orientation := 1; orientation <= 8; orientation++ {
		file := store(upright, stored[orientation].row, stored[orientation].column)
		for name, made := range map[string][]byte{
			"little-endian JPEG": jpegOf(file, exif(binary.LittleEndian, orientation)),
			"big-endian JPEG":    jpegOf(file, exif(binary.BigEndian, orientation)),
			"PNG":                pngOf(file, exif(binary.BigEndian, orientation)),
		} {
			p, err := photo.Prepare(made, photo.MostPixels)
			if err != nil {
				t.Errorf("orientation %d, %s: %v", orientation, name, err)
				continue
			}
			got := decoded(t, p)
			for at, want := range map[image.Point]color.RGBA{{X: 12, Y: 12}: red, {X: 52, Y: 12}: green, {X: 52, Y: 36}: blue, {X: 12, Y: 36}: white} {
				if p.WidthPx != 64 || p.HeightPx != 48 || !near(got.At(at.X, at.Y), want) {
					t.Errorf("orientation %d, %s: %d × %d pixels, at %v %v; expected 64 × 48 and %v", orientation, name, p.WidthPx, p.HeightPx, at, got.At(at.X, at.Y), want)
				}
			}
		}
	}
}

// store is the picture as a camera keeps it whose first row and column lie at
// those sides of the scene.
func store(m *image.RGBA, row, column string) *image.RGBA {
	width, height := m.Rect.Dx(), m.Rect.Dy()
	out := image.NewRGBA(m.Rect)
	if row == "left" || row == "right" {
		out = image.NewRGBA(image.Rect(0, 0, height, width))
	}
	for y := range height {
		for x := range width {
			from := map[string]int{"left": x, "right": width - 1 - x, "top": y, "bottom": height - 1 - y}
			out.SetRGBA(from[column], from[row], m.RGBAAt(x, y))
		}
	}
	return out
}

func near(got color.Color, want color.RGBA) bool {
	r, g, b, _ := got.RGBA()
	far := func(a uint32, b uint8) bool { return math.Abs(float64(a>>8)-float64(b)) > 30 }
	return !far(r, want.R) && !far(g, want.G) && !far(b, want.B)
}

func decoded(tb rapid.TB, p photo.Picture) image.Image {
	tb.Helper()
	m, err := jpeg.Decode(bytes.NewReader(p.JPEG))
	if err != nil {
		tb.Fatal(err)
	}
	if m.Bounds() != image.Rect(0, 0, p.WidthPx, p.HeightPx) {
		tb.Fatalf("decoded it has %v, expected %d × %d", m.Bounds(), p.WidthPx, p.HeightPx)
	}
	return m
}

// TestSmallAndSilent: whatever comes in, what is kept is no larger than asked, of
// the same shape within a pixel, and says nothing but the picture.
func TestSmallAndSilent(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		width, height := rapid.IntRange(1, 400).Draw(t, "width"), rapid.IntRange(1, 400).Draw(t, "height")
		most := rapid.IntRange(400, 50_000).Draw(t, "most pixels")
		orientation := rapid.IntRange(0, 9).Draw(t, "orientation") // 0 and 9 mean nothing
		make := rapid.SampledFrom([]func(image.Image, []byte) []byte{jpegOf, pngOf}).Draw(t, "kind")
		p, err := photo.Prepare(make(scene(width, height), exif(binary.LittleEndian, orientation)), most)
		if err != nil {
			t.Fatal(err)
		}
		if orientation >= 5 && orientation <= 8 {
			width, height = height, width
		}
		if p.WidthPx*p.HeightPx > most || p.WidthPx > width || p.HeightPx > height {
			t.Errorf("%d × %d became %d × %d, at most %d pixels were asked for", width, height, p.WidthPx, p.HeightPx, most)
		}
		long, short, l, s := max(width, height), min(width, height), max(p.WidthPx, p.HeightPx), min(p.WidthPx, p.HeightPx)
		if math.Abs(float64(l)-float64(s*long)/float64(short)) > 1 {
			t.Errorf("%d × %d became %d × %d: another shape", width, height, p.WidthPx, p.HeightPx)
		}
		decoded(t, p)
		if why := says(p.JPEG); why != "" {
			t.Error(why)
		}
	})
}

// says tells what in a JPEG is more than a picture, or nothing: any marker
// segment but tables, frame and scan, and anything behind the end (ITU-T T.81,
// table B.1).
func says(file []byte) string {
	if bytes.Contains(file, []byte(secret)) {
		return "the secret is in it"
	}
	if !bytes.HasSuffix(file, []byte{0xff, 0xd9}) {
		return "something follows the end"
	}
	for at := 2; ; {
		marker := file[at+1]
		if file[at] != 0xff || !slices.Contains([]byte{0xdb, 0xc0, 0xc4, 0xda}, marker) {
			return fmt.Sprintf("segment %x at byte %d", file[at:at+2], at)
		}
		at += 2 + int(binary.BigEndian.Uint16(file[at+2:]))
		if marker == 0xda {
			file = file[at : len(file)-2]
			break
		}
	}
	for i, b := range file[:len(file)-1] {
		if b == 0xff && file[i+1] != 0 {
			return fmt.Sprintf("marker %x within the scan", file[i:i+2])
		}
	}
	return ""
}

// TestMean: a picture averaged down keeps its mean, whatever the sizes.
func TestMean(t *testing.T) {
	t.Parallel()
	m := image.NewGray(image.Rect(7, 3, 307, 203)) // its corner need not be at zero
	for y := 3; y < 203; y++ {
		for x := 7; x < 307; x++ {
			m.SetGray(x, y, color.Gray{uint8(255 * (x % 2))}) // stripes one pixel wide
		}
	}
	p, err := photo.Prepare(pngOf(m, nil), 5_000)
	if err != nil {
		t.Fatal(err)
	}
	got := decoded(t, p)
	for y := range p.HeightPx {
		for x := range p.WidthPx {
			if r, _, _, _ := got.At(x, y).RGBA(); math.Abs(float64(r>>8)-127.5) > 25 {
				t.Fatalf("at %d, %d: %d, expected about half of white", x, y, r>>8)
			}
		}
	}
}

func TestTransparentIsWhite(t *testing.T) {
	t.Parallel()
	p, err := photo.Prepare(pngOf(image.NewNRGBA(image.Rect(0, 0, 9, 9)), nil), photo.MostPixels)
	if err != nil {
		t.Fatal(err)
	}
	if got := decoded(t, p).At(4, 4); !near(got, white) {
		t.Errorf("%v, expected white", got)
	}
}

// TestRefusals: each says what came and what to do; none is decoded first.
func TestRefusals(t *testing.T) {
	t.Parallel()
	huge := func(width, height uint32, depth, interlaced byte) []byte {
		head := binary.BigEndian.AppendUint32(nil, width)
		head = binary.BigEndian.AppendUint32(head, height)
		return append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", string(append(head, depth, 2, 0, 0, interlaced)))...)
	}
	frame := func(marker byte, width, height uint16) []byte {
		sof := []byte{8, byte(height >> 8), byte(height), byte(width >> 8), byte(width), 3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0}
		return slices.Concat([]byte{0xff, 0xd8}, segment(marker, string(sof)), segment(0xda, "scan"))
	}
	for _, c := range []struct {
		name string
		file []byte
		want string
	}{
		{"nothing", nil, "empty; choose a picture"},
		{"a table", []byte("night,trap\n"), `begins with "night,tr"; only JPEG and PNG`},
		{"HEIC", []byte("\x00\x00\x00\x18ftypheic\x00\x00"), `kind "heic"; only JPEG and PNG`},
		{"WebP", []byte("RIFF\x00\x00\x00\x00WEBPVP8 "), `kind "WEBP"; only JPEG`},
		{"a large file", make([]byte, photo.MostFile+1), "more than the 32 MB"},
		{"a PNG of 40000 × 40000", huge(40000, 40000, 8, 0), "40000 × 40000 pixels: more than can be decoded here (67 million"},
		{"16 bits deep", huge(5000, 5000, 16, 0), "5000 × 5000 pixels: more than can be decoded here (16 million"},
		{"interlaced", huge(5000, 5000, 8, 1), "more than can be decoded here (16 million"},
		{"a side of 70000", huge(70000, 10, 8, 0), "no side above 65535"},
		{"a JPEG of 65000 × 65000", frame(0xc0, 65000, 65000), "65000 × 65000 pixels: more than can be decoded here (67 million"},
		{"progressive", frame(0xc2, 5000, 5000), "5000 × 5000 pixels: more than can be decoded here (13 million"},
		{"cut off in its header", frame(0xc0, 50, 50)[:9], "header cannot be read"},
		{"cut off", jpegOf(scene(90, 90), nil)[:2000], "damaged or was cut off"},
		{"a PNG cut off", pngOf(scene(90, 90), nil)[:300], "damaged or was cut off"},
	} {
		if _, err := photo.Prepare(c.file, photo.MostPixels); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; expected %q", c.name, err, c.want)
		}
	}
}

// FuzzPrepare: any bytes give a picture that keeps the laws, or an error.
func FuzzPrepare(f *testing.F) {
	f.Add(jpegOf(scene(40, 30), exif(binary.LittleEndian, 6)), 500)
	f.Add(jpegOf(scene(9, 30), exif(binary.BigEndian, 3)), 5000)
	f.Add(pngOf(scene(20, 10), exif(binary.BigEndian, 8)), 100)
	f.Add([]byte("\x00\x00\x00\x18ftypheic"), 1)
	f.Fuzz(func(t *testing.T, file []byte, most int) {
		if most = max(1, min(most, 100_000)); large(file) {
			return
		}
		p, err := photo.Prepare(file, most)
		if err != nil {
			return
		}
		if p.WidthPx*p.HeightPx > most || p.WidthPx < 1 || p.HeightPx < 1 {
			t.Errorf("%d × %d pixels, at most %d were asked for", p.WidthPx, p.HeightPx, most)
		}
		decoded(t, p)
		if why := says(p.JPEG); why != "" {
			t.Error(why)
		}
	})
}

// large keeps the fuzzer from spending its time on large pictures.
func large(file []byte) bool {
	for _, config := range []func([]byte) (image.Config, error){
		func(b []byte) (image.Config, error) { return jpeg.DecodeConfig(bytes.NewReader(b)) },
		func(b []byte) (image.Config, error) { return png.DecodeConfig(bytes.NewReader(b)) },
	} {
		if c, err := config(file); err == nil && c.Width*c.Height > 200_000 {
			return true
		}
	}
	return false
}

func BenchmarkPrepare(b *testing.B) {
	for _, size := range []struct {
		name          string
		width, height int
	}{{"2_megapixels", 1632, 1224}, {"12_megapixels", 4032, 3024}, {"48_megapixels", 8064, 6048}} {
		b.Run(size.name, func(b *testing.B) {
			file := jpegOf(scene(size.width, size.height), exif(binary.LittleEndian, 6))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := photo.Prepare(file, photo.MostPixels); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
