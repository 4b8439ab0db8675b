package call_test

import (
	"os"
	"testing"

	"dawnround/call"
	"dawnround/protocol"
)

// TestAnotherProgramme: the words come from the protocol, so the sheets of a
// published table of desert rodents speak too, each species in its own range.
func TestAnotherProgramme(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../examples/desert-rodents/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := protocol.Parse("examples/desert-rodents/protocol.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	r := call.New(p)
	for _, c := range []struct{ species, words, at, want string }{
		{"DM", "hind foot thirty-six, mass forty-two", "measures/hind_foot", "36"},
		{"DM", "hind foot thirty-six, mass forty-two", "weighing/net", "42"},
		{"DM", "hfl 37", "measures/hind_foot", "37"},
		{"DM", "foot thirty five, no, thirty six", "measures/hind_foot", "36"},
		{"DS", "weight one twenty", "weighing/net", "120"},
		{"BA", "weight nine", "weighing/net", "9"},
		{"DM", "male, testes scrotal", "signs/testes", "scrotal"},
		{"DM", "juvenile female", "stage", "juvenile"},
		{"DM", "hind foot thirty six, forty two grams, testes scrotal, tag two oh seven", "measures/hind_foot", "36"},
		{"DM", "hind foot thirty six, forty two grams, testes scrotal, tag two oh seven", "weighing/net", "42"},
		{"DM", "hind foot thirty six, forty two grams, testes scrotal, tag two oh seven", "signs/testes", "scrotal"},
		{"DM", "hind foot thirty six, forty two grams, testes scrotal, tag two oh seven", "marks/tag/text", "207"},
		{"DM", "tag two oh seven, left tag two oh eight", "marks/left tag/text", "208"},
		{"DM", "vagina swollen, nipples enlarged", "signs/vagina", "swollen"},
		{"DM", "vagina swollen, nipples enlarged", "signs/nipples", "enlarged"},
		{"DM", "female, pregnant", "signs/pregnant", "yes"},
		{"DM", "hf 36 wt 42 M", "sex", "male"},
	} {
		sheet, ok := p.Sheet(c.species)
		if !ok {
			t.Fatalf("no species %s", c.species)
		}
		h := r.Read(c.words, sheet, call.Given{})
		if f, ok := h.Field(c.at); !ok || f.Value != c.want || f.Pending {
			t.Errorf("%s %q: want %s %s, got %+v", c.species, c.words, c.at, c.want, h.Fields)
		}
	}
	sheet, _ := p.Sheet("BA")
	if h := r.Read("weight ninety", sheet, call.Given{}); len(h.Questions) != 1 {
		t.Errorf("a pygmy mouse of 90 g is not asked about: %+v", h)
	}
}

// TestAliasesWorkAtOnce: a word added to the protocol is understood.
func TestAliasesWorkAtOnce(t *testing.T) {
	t.Parallel()
	p, err := protocol.Parse("p.yaml", []byte(`
name: Aliases (invented)
zone: Australia/Perth
species:
  - code: A
    name: an animal
    traits:
      - {id: snout, name: snout length, unit: mm, step: 0.1, aliases: [beak, SN], sounds like: [beek], ranges: [{from: 20, to: 40}]}
    signs:
      - {id: moult, name: moult, aliases: [moulting], values: [{id: none yet, aliases: [old coat]}, {id: half, aliases: [patchy]}]}
    stages: [{id: nestling, basis: as called}, {id: grown, adult: true, aliases: [fledged], basis: as called}]
marks: [{id: ring, name: ring, form: tag, aliases: [band]}]
samples: [{id: feather, name: feather, aliases: [plume]}]
findings:
  parts: [{id: beak tip, name: beak tip, aliases: [nib]}]
  signs: [{id: blunt, name: blunt, aliases: [stubby]}, {id: keds, name: keds, aliases: [louse fly], counted: true, parasite: true}]
`))
	if err != nil {
		t.Fatal(err)
	}
	r := call.New(p)
	for _, words := range []string{"snout length thirty one point five", "beak thirty one five", "SN 31.5", "beek thirty one and a half"} {
		h := r.Read(words, &p.Species[0], call.Given{})
		if f, ok := h.Field("measures/snout"); !ok || !call.Same(f.Value, "31.5") {
			t.Errorf("%q: got %+v", words, h)
		}
	}
	for _, c := range []struct{ words, at, want string }{
		{"moulting patchy", "signs/moult", "half"},
		{"moult is old coat", "signs/moult", "none yet"},
		{"fledged", "stage", "grown"},
		{"band two oh seven", "marks/ring/text", "207"},
		{"no band", "marks/ring/text", ""},
		{"nib stubby", "findings/1/sign", "blunt"},
		{"three louse fly on the nib", "findings/1/count", "3"},
	} {
		h := r.Read(c.words, &p.Species[0], call.Given{})
		if f, ok := h.Field(c.at); !ok || f.Value != c.want || f.Pending {
			t.Errorf("%q: want %s %s, got %+v", c.words, c.at, c.want, h.Fields)
		}
	}
	h := r.Read("plume, envelope twelve", &p.Species[0], call.Given{})
	if f, ok := h.Field("samples/1/label"); !ok || f.Value != "12" {
		t.Errorf("got %+v", h)
	}
}
