package exchange_test

import (
	"errors"
	"strings"
	"testing"

	"dawnround/exchange"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

func TestEncodingsAreRead(t *testing.T) {
	t.Parallel()
	const text = "site,note\nKöln,Müller’s plot\nŁódź,x\n"
	western := "site,note\nKöln,é\n"
	cases := []struct {
		name, named string
		page        encoding.Encoding
		before      string
		text        string
	}{
		{"UTF-8", "", encoding.Nop, "", text},
		{"UTF-8 with a byte order mark", "", encoding.Nop, "\xef\xbb\xbf", text},
		{"UTF-8 in spite of the mapping", "windows-1252", encoding.Nop, "", text},
		{"UTF-16 little end first, with a mark", "", unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), "\xff\xfe", text},
		{"UTF-16 big end first, with a mark", "", unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), "\xfe\xff", text},
		{"UTF-16 little end first, told by its zeros", "", unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), "", text},
		{"UTF-16 big end first, told by its zeros", "", unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), "", text},
		{"a Western spreadsheet", "windows-1252", charmap.Windows1252, "", western},
		{"a Central European spreadsheet", "windows-1250", charmap.Windows1250, "", "site,note\nŁódź,Žďár\n"},
		{"an old Mac", "MacRoman", charmap.Macintosh, "", western},
		{"DOS", "cp850", charmap.CodePage850, "", western},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			file, err := c.page.NewEncoder().String(c.text)
			if err != nil {
				t.Fatal(err)
			}
			got, err := exchange.Decode([]byte(c.before+file), c.named)
			if err != nil || got != c.text {
				t.Errorf("read %q, %v; want %q", got, err, c.text)
			}
		})
	}
}

func TestUnknownEncodingShowsEachReading(t *testing.T) {
	t.Parallel()
	file, _ := charmap.Windows1252.NewEncoder().String("a,b\nKöln,é\n")
	_, err := exchange.Decode([]byte(file), "")
	var unknown *exchange.EncodingUnknown
	if !errors.As(err, &unknown) || unknown.Line != 2 {
		t.Fatalf("error %v; want one that asks, of line 2", err)
	}
	// 0xF6 and 0xE9 in each encoding: Unicode Consortium mapping tables, from memory.
	for _, want := range []string{"windows-1252  Köln,é", "windows-1250  Köln,é", "macroman      Kˆln,È", "cp850         K÷ln,Ú"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("error lacks %q:\n%v", want, err)
		}
	}
	if _, err := exchange.Decode([]byte(file), "latin9000"); err == nil || !strings.Contains(err.Error(), "windows-1252") {
		t.Errorf("error %v; want the encodings known", err)
	}
	if _, err := exchange.Decode([]byte("\xef\xbb\xbfa\nK\xf6ln"), ""); err == nil || !strings.Contains(err.Error(), "line 2") {
		t.Errorf("error %v; want the line that is not UTF-8", err)
	}
	if _, err := exchange.Decode([]byte("\xff\xfea\x00b"), ""); err == nil || !strings.Contains(err.Error(), "cut off") {
		t.Errorf("error %v; want it to say that half a character is missing", err)
	}
}

func TestDelimiterIsTold(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name, text string
		want       rune
	}{
		{"comma", "a,b,c\n1,2,3\n", ','},
		{"semicolon with decimal commas", "a;b;c\n1,5;2,5;3\n2,5;1;4,5\n", ';'},
		{"tab", "a\tb\n1,2\t2\n", '\t'},
		{"bar", "a|b|c\n1|2|3\n", '|'},
		{"commas in quotes", "a;b\n\"x, y, z\";2\n", ';'},
		{"line breaks in quotes", "a,b\n\"x\ny;z\",2\n3,4\n", ','},
		{"one column", "a\n1\n", ','},
		{"empty", "", ','},
		{"ragged, but mostly even", "a,b;c\n1,2\n3,4\n5,6\n7\n", ','},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := exchange.Delimiter(c.text); got != c.want {
				t.Errorf("told %q, want %q", got, c.want)
			}
		})
	}
}

func FuzzDelimiter(f *testing.F) {
	for _, s := range []string{"a,b\n1,2\n", "a;b\n\"x\n", "\"", "\n\n\"a\n,\"", "a\r\n\"b\r\n", ",\"\n\"\"x\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if d := exchange.Delimiter(text); !strings.ContainsRune(",;\t|", d) {
			t.Errorf("told %q", d)
		}
	})
}
