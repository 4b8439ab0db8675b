package exchange

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// A codePage is an encoding by the name a mapping calls it.
type codePage struct {
	name string
	encoding.Encoding
}

// codePages are the encodings of one byte a character that field tables are
// met in: spreadsheets of Western and Central Europe, of older Macs, and of
// DOS. They cannot be told apart by looking at bytes alone, so a mapping names
// one.
var codePages = []codePage{
	{"windows-1252", charmap.Windows1252},
	{"windows-1250", charmap.Windows1250},
	{"macroman", charmap.Macintosh},
	{"cp850", charmap.CodePage850},
	{"cp437", charmap.CodePage437},
	{"cp852", charmap.CodePage852},
	{"iso-8859-2", charmap.ISO8859_2},
	{"iso-8859-15", charmap.ISO8859_15},
	{"windows-1251", charmap.Windows1251},
	{"windows-1253", charmap.Windows1253},
	{"windows-1254", charmap.Windows1254},
	{"utf-16le", unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)},
	{"utf-16be", unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)},
	{"utf-8", encoding.Nop},
}

// previewed is how many of codePages the question about an encoding shows.
const previewed = 4

// byteOrderMarks begin a text and tell its encoding (The Unicode Standard,
// section 23.8).
var byteOrderMarks = []struct{ mark, name string }{
	{"\xef\xbb\xbf", "utf-8"}, {"\xff\xfe", "utf-16le"}, {"\xfe\xff", "utf-16be"},
}

// An EncodingUnknown is the error of a table whose encoding nobody can tell
// from its bytes. It shows the first line that depends on it in each encoding
// that is likely.
type EncodingUnknown struct {
	Line     int
	Previews []Preview
}

// Preview is one line as an encoding would have it.
type Preview struct{ Encoding, Text string }

// Error shows the previews, one a line.
func (e *EncodingUnknown) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "line %d: not UTF-8, and its bytes do not tell what else; choose the line that reads right and write \"encoding: …\" in the mapping", e.Line)
	for _, p := range e.Previews {
		fmt.Fprintf(&b, "\n  %-13s %s", p.Encoding, p.Text)
	}
	return b.String()
}

// Decode gives the text of a file. A byte order mark decides; else valid UTF-8
// without zero bytes is UTF-8; else zero bytes mean UTF-16; else named is the
// encoding, and where it is empty the error is an *EncodingUnknown. What still
// has a zero character is no text.
func Decode(file []byte, named string) (string, error) {
	text, err := decoded(file, named)
	if at := strings.IndexByte(text, 0); at >= 0 {
		return "", fmt.Errorf("line %d: zero bytes that are not UTF-16: this is no table of text; choose the table, saved as CSV", 1+strings.Count(text[:at], "\n"))
	}
	return text, err
}

func decoded(file []byte, named string) (string, error) {
	for _, m := range byteOrderMarks {
		if rest, found := bytes.CutPrefix(file, []byte(m.mark)); found {
			return decodeAs(rest, m.name)
		}
	}
	zero := bytes.IndexByte(file, 0)
	switch {
	case zero < 0 && utf8.Valid(file):
		return string(file), nil
	case zero >= 0 && zero%2 == 1: // a Latin letter's high byte comes second
		return decodeAs(file, "utf-16le")
	case zero >= 0:
		return decodeAs(file, "utf-16be")
	case named != "":
		return decodeAs(file, named)
	}
	return "", unknownEncoding(file)
}

func decodeAs(file []byte, name string) (string, error) {
	page, err := codePageOf(name)
	if err != nil {
		return "", err
	}
	if strings.HasPrefix(page.name, "utf-16") && len(file)%2 == 1 {
		return "", fmt.Errorf("%s text of %d bytes: a character has two; the file was cut off, copy it again", page.name, len(file))
	}
	out, err := page.NewDecoder().Bytes(file)
	if err != nil {
		return "", fmt.Errorf("%s text: %w", page.name, err)
	}
	if !utf8.Valid(out) {
		return "", fmt.Errorf("line %d: begins as UTF-8, but is not; save the table again as UTF-8", lineOf(out, firstBad(out)))
	}
	return string(out), nil
}

func codePageOf(name string) (codePage, error) {
	i := slices.IndexFunc(codePages, func(p codePage) bool { return strings.EqualFold(p.name, name) })
	if i < 0 {
		var known []string
		for _, p := range codePages {
			known = append(known, p.name)
		}
		return codePage{}, fmt.Errorf("encoding %q: not known; write one of %s", name, strings.Join(known, ", "))
	}
	return codePages[i], nil
}

func unknownEncoding(file []byte) error {
	bad := firstBad(file)
	from := bytes.LastIndexByte(file[:bad], '\n') + 1
	line, _, _ := bytes.Cut(file[from:], []byte("\n"))
	line = line[max(0, bad-from-30):min(len(line), bad-from+50)]
	e := &EncodingUnknown{Line: lineOf(file, bad)}
	for _, p := range codePages[:previewed] {
		text, err := p.NewDecoder().Bytes(line)
		e.Previews = append(e.Previews, Preview{p.name, cmp.Or(strings.TrimSpace(string(text)), fmt.Sprint(err))})
	}
	return e
}

// firstBad is where text stops being UTF-8.
func firstBad(text []byte) int {
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return len(text)
}

// lineOf counts lines from 1.
func lineOf(text []byte, at int) int { return bytes.Count(text[:at], []byte("\n")) + 1 }
