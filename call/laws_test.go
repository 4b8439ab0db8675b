package call_test

import (
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"dawnround/call"
	"dawnround/protocol"

	"pgregory.net/rapid"
)

// demo is the reader of the demo's protocol.
func demo(t testing.TB) (*call.Reader, *protocol.Protocol) {
	t.Helper()
	text, err := os.ReadFile("../demo/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := protocol.Parse("demo/protocol.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	return call.New(p), p
}

// spokenWords are what phrases of the laws are made of: enough of each kind
// that all rules meet one another.
var spokenWords = strings.Fields(`head pes tail ear weight gross bag net left right both no not yep negative sorry scrap that make it
	one two five eight nine ten fifteen fifty ninety hundred point half and a the is on in to or by , , , . ? ; - – 74.2 1460-120 162 N/C
	ticks fleas neck rump none heavy couple of pouch empty slack teats long milk young joey pink furred crown rump
	biopsy tube label chip ends triple oh tag blue new recap retrap female male adult juvenile
	B line empty sprung except trap released at five fifty two let go thrown dead skip leave again hold next swap those
	wait peas here won ate buy cloudy eye torn condition good swab dry didn't get last animal grams kilos mm with claw
	so mud remember 's she she's ♀ é ~ half-past 5:52 LT T W P HL same`)

func phrases() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(rapid.SampledFrom(spokenWords), 0, 24).Draw(t, "words"), " ")
	})
}

func givens() *rapid.Generator[call.Given] {
	known := rapid.SampledFrom([]call.Known{{At: "measures/head", Value: "90.2"}, {At: "measures/tail", Value: "412"}, {At: "sex", Value: "female"}, {At: "weighing/gross", Value: "3600"}, {At: "young/count", Value: "1"}})
	return rapid.Custom(func(t *rapid.T) call.Given {
		g := call.Given{
			SoFar:  rapid.SliceOfNDistinct(known, 0, 4, func(k call.Known) string { return k.At }).Draw(t, "so far"),
			Source: rapid.SampledFrom([]string{"", call.Dictated, call.Typed}).Draw(t, "source"),
			Stage:  rapid.SampledFrom([]string{"", "adult", "juvenile"}).Draw(t, "stage"),
		}
		if rapid.Bool().Draw(t, "order") {
			g.Order = []string{"weighing/net", "measures/pes", "measures/tail", "measures/head", "measures/ear"}
		}
		if len(g.SoFar) > 0 && rapid.Bool().Draw(t, "read back") {
			g.ReadBack = g.SoFar[len(g.SoFar)-1:]
		}
		g.NotTared = rapid.Bool().Draw(t, "not tared")
		return g
	})
}

// TestWordsPartitionThePhrase: joined, the words of a Heard are the phrase,
// byte for byte, whatever was said; none is lost and none is said twice.
func TestWordsPartitionThePhrase(t *testing.T) {
	t.Parallel()
	r, p := demo(t)
	rapid.Check(t, func(t *rapid.T) {
		phrase := rapid.OneOf(phrases(), rapid.String()).Draw(t, "phrase")
		h := r.Read(phrase, &p.Species[0], givens().Draw(t, "given"))
		at, joined := 0, ""
		for _, w := range h.Words {
			if w.From != at || w.To != at+len(w.Text) || w.Text == "" {
				t.Fatalf("word %+v does not begin at byte %d", w, at)
			}
			at, joined = w.To, joined+w.Text
		}
		if joined != phrase || h.Said != phrase {
			t.Fatalf("joined %q, said %q", joined, phrase)
		}
		for _, f := range h.Fields {
			if f.From < 0 || f.To < f.From || f.To > len(phrase) {
				t.Fatalf("field %+v lies outside the phrase of %d bytes", f, len(phrase))
			}
		}
	})
}

// TestNoValueChangesSilently: where a field comes out with another value than
// was recorded, a correction keeps what was.
func TestNoValueChangesSilently(t *testing.T) {
	t.Parallel()
	r, p := demo(t)
	rapid.Check(t, func(t *rapid.T) {
		given := givens().Draw(t, "given")
		h := r.Read(phrases().Draw(t, "phrase"), &p.Species[0], given)
		if h.Previous {
			return
		}
		for _, k := range given.SoFar {
			f, ok := h.Field(k.At)
			if !ok || f.Value == "" || f.Value == k.Value || f.Number != nil && call.Same(f.Value, k.Value) || f.Pending {
				continue
			}
			if !slices.ContainsFunc(h.Corrected, func(c call.Correction) bool { return c.At == k.At && call.Same(c.Was, k.Value) }) {
				t.Fatalf("%s was %s and is %s, without a correction: %+v", k.At, k.Value, f.Value, h.Corrected)
			}
		}
	})
}

// TestNumbersKeepTheirRange: a number that is filled lies within its hard
// range; one outside is pending.
func TestNumbersKeepTheirRange(t *testing.T) {
	t.Parallel()
	r, p := demo(t)
	sheet := &p.Species[0]
	never := map[string][2]float64{"measures/head": {40, 140}, "measures/pes": {50, 192}, "measures/tail": {100, 650}, "measures/ear": {20, 95}, "weighing/net": {100, 8000}, "weighing/bag": {20, 300}}
	rapid.Check(t, func(t *rapid.T) {
		h := r.Read(phrases().Draw(t, "phrase"), sheet, givens().Draw(t, "given"))
		for _, f := range h.Fields {
			n, ok := never[f.At]
			if ok && f.Number != nil && !f.Pending && (f.Number.Value() < n[0] || f.Number.Value() > n[1]) {
				t.Fatalf("%s %s is filled, and lies outside %v", f.At, f.Value, n)
			}
		}
	})
}

// TestReadingIsAFunction: the same phrase in the same scene is read the same
// way, and one reader serves many at once.
func TestReadingIsAFunction(t *testing.T) {
	t.Parallel()
	r, p := demo(t)
	again, q := demo(t)
	rapid.Check(t, func(t *rapid.T) {
		phrase, given := phrases().Draw(t, "phrase"), givens().Draw(t, "given")
		one := r.Read(phrase, &p.Species[0], given)
		if two := again.Read(phrase, &q.Species[0], given); !reflect.DeepEqual(one, two) {
			t.Fatalf("read %+v, and then %+v", one, two)
		}
	})
}

// TestNeverAskedTwice: a question that was put of this animal is not put
// again, and nothing is asked while an incident runs.
func TestNeverAskedTwice(t *testing.T) {
	t.Parallel()
	r, p := demo(t)
	rapid.Check(t, func(t *rapid.T) {
		phrase, given := phrases().Draw(t, "phrase"), givens().Draw(t, "given")
		for _, q := range r.Read(phrase, &p.Species[0], given).Questions {
			given.Questions = append(given.Questions, q.About)
		}
		for _, q := range r.Read(phrase, &p.Species[0], given).Questions {
			if slices.Contains(given.Questions, q.About) {
				t.Fatalf("asked again: %+v", q)
			}
		}
		given.Incident = true
		if h := r.Read(phrase, &p.Species[0], given); len(h.Questions) > 0 {
			t.Fatalf("asked while an incident runs: %+v", h.Questions)
		}
	})
}
