package exchange_test

import (
	"errors"
	"os"
	"strings"
	"testing"

	"dawnround/exchange"
	"dawnround/protocol"
)

// sound is a mapping with nothing wrong in it.
const sound = "table: captures\nsource: s\nrow key: id\ndates are: evening\ndate order: day month year\ncolumns:\n  d: date\n  p: site\n"

func TestMappingSaysWhatIsWrongWithIt(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name, text string
		line       int
		want       string
	}{
		{"nothing", "", 0, "not one document"},
		{"not YAML", "table: [", 1, "not YAML"},
		{"a list", "- a\n", 1, "where keys with values belong"},
		{"a key that is not known", sound + "colour: red\n", 9, `key "colour" is not known here; write one of about, columns`},
		{"a key twice", "table: captures\ntable: effort\n", 2, `key "table" stands here twice`},
		{"another table", "table: birds\n", 1, `"birds" is not known; write one of captures, effort`},
		{"a column's key", sound + "  x: {is: sex, colour: red}\n", 9, `column x: key "colour" is not known here`},
		{"what a column is", sound + "  x: wingspan\n", 9, `column x: is "wingspan": not known`},
		{"a measure of nothing", sound + "  x: measure\n", 9, "of what?"},
		{"a unit", sound + "  x: {is: mass, unit: stone}\n", 9, `unit "stone" is not known; write one of cm, g`},
		{"digits", sound + "  x: {is: mark tag, digits: many}\n", 9, `digits "many"`},
		{"a code's key", sound + "  x: {codes: {a: {wurd: b}}}\n", 9, `key "wurd" is not known here`},
		{"a fate", sound + "  x: {codes: {a: {fate: eaten}}}\n", 9, `"eaten" is not known; write one of released`},
		{"an encoding", sound + "encoding: latin9000\n", 9, `encoding "latin9000": not known`},
		{"outside without a reason", sound + "outside: [{trips: negative}]\n", 9, "needs trips and why"},
		{"no source", strings.Replace(sound, "source: s\n", "", 1), 0, "no source"},
		{"no key", strings.Replace(sound, "row key: id\n", "", 1), 0, "no row key"},
		{"which date", strings.Replace(sound, "dates are: evening\n", "", 1), 0, "which date a date is"},
		{"the order of a date", strings.Replace(sound, "date order: day month year\n", "", 1), 0, "in which order"},
		{"no site", strings.Replace(sound, "  p: site\n", "", 1), 0, "no site"},
		{"not UTF-8", "table: \xff\n", 0, "not UTF-8"},
		{"nested", strings.Repeat("[", 100), 0, "nested more than"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := exchange.ParseMapping("m.yaml", []byte(c.text))
			var refused *protocol.Refusal
			if !errors.As(err, &refused) {
				t.Fatalf("error %v, want a refusal", err)
			}
			for _, p := range refused.Problems {
				if p.Line == c.line && strings.Contains(p.Key+": "+p.Says+"; "+p.Mend, c.want) {
					return
				}
			}
			t.Errorf("problems:\n%v\nwant one at line %d that says %q", err, c.line, c.want)
		})
	}
}

func TestSoundMappingIsRead(t *testing.T) {
	t.Parallel()
	m, err := exchange.ParseMapping("m.yaml", []byte(sound+"  t: {is: trap, known: [A, 8-10]}\ndelimiter: tab\ndecimal: \",\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	if m.Morning || !m.Comma || m.Delimiter != '\t' || strings.Join(m.Columns[2].Known, " ") != "A 8 9 10" {
		t.Errorf("read %+v", m)
	}
	if _, ok := exchange.Shipped("own"); !ok {
		t.Error("the mapping of our own table is not shipped")
	}
	if _, ok := exchange.Shipped("elsewhere"); ok {
		t.Error("a mapping is shipped that nobody wrote")
	}
}

func FuzzParseMapping(f *testing.F) {
	for _, name := range []string{"../examples/desert-rodents/captures.yaml", "../examples/desert-rodents/effort.yaml", "own.yaml"} {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(sound))
	f.Add([]byte(invented))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := exchange.ParseMapping("m.yaml", text)
		if (m == nil) == (err == nil) {
			t.Errorf("mapping %v and error %v", m, err)
		}
	})
}
