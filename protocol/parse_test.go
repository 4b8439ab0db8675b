package protocol

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// small is a protocol with a little of everything. The cases below each spoil
// one line of it.
const small = `name: Invented
zone: Australia/Brisbane
species:
  - code: RW
    name: rock-wallaby
    aliases: [wallaby]
    stages: [{id: juvenile}, {id: adult, adult: true}]
    marks: [chip]
    traits:
      - {id: mass, name: mass, unit: g, step: 5}
      - id: pes
        name: hind foot
        unit: mm
        aliases: [foot]
        bone: true
        technical error: 0.31
        source: six pairs
        ranges:
          - {from: 90, to: 130}
          - {stage: adult, from: 100, to: 130, never outside: [40, 160]}
          - {sex: male, stage: adult, from: 105, to: 130}
      - {id: pes, unit: mm, of: young, ranges: [{from: 5, to: 60}]}
    signs:
      - id: pouch
        sex: female
        values: [{id: empty, aliases: [nothing]}, {id: occupied, young: true}]
    calling order: [marks, sex, weight, pes, pouch]
    retrap order: [weight, marks, release]
    before release: [marks]
  - {code: BB, name: bandicoot, like: RW, retrap order: []}
marks:
  - {id: chip, form: transponder}
  - {id: ear tag, form: tag, series: [B001–B250], none: ["0", "-1"]}
samples:
  - {id: hair}
findings:
  parts: [{id: ear, sided: true}]
  signs: [{id: tick, counted: true}, {id: wound, grades: [slight, bad]}]
  classes: [{id: "0", low: 0, high: 0}, {id: 1–5, low: 1, high: 5}, {id: ">5", low: 6}]
trap kinds:
  - {id: cage}
welfare limits:
  - {id: handling minutes, value: 15, source: invented approval}
  - {id: bag minutes}
seeds:
  people: [{initials: AB}]
  sites:
    - site: K
      name: K ridge
      datum: GDA2020
      traps:
        - {trap: K01, kind: cage, lat: -20.5, lon: 145.25, to: 2026-03-01}
        - {trap: K01, kind: cage, lat: -20.5, lon: 145.26, from: 2026-03-02}
        - {trap: K02}
  labels: [{kind: hair, series: H001–H100}]
  bags: [{bag: "7", mass g: 102.50}]
`

func parsed(t *testing.T, text string) *Protocol {
	t.Helper()
	p, err := Parse("small.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func problems(t *testing.T, text string) []Problem {
	t.Helper()
	_, err := Parse("small.yaml", []byte(text))
	var refusal *Refusal
	if !errors.As(err, &refusal) {
		t.Fatalf("got %v, want a refusal", err)
	}
	return refusal.Problems
}

func TestSmallProtocolIsSound(t *testing.T) {
	t.Parallel()
	p := parsed(t, small)
	if p.Text != small {
		t.Error("the text was not kept")
	}
}

func TestVersionIsTheTextsSHA256(t *testing.T) {
	t.Parallel()
	p := parsed(t, "name: n\nzone: UTC\nspecies: [{code: a}]\n")
	want := "d9363ab28fc340b6777fdbe4a5f411e1e7f3c4be0798a60af32301ba02f0579e" // sha256sum of GNU coreutils
	if p.Version != want {
		t.Errorf("got %s, want %s", p.Version, want)
	}
}

func TestEachProblemIsNamedWithItsLine(t *testing.T) {
	t.Parallel()
	cases := []struct {
		was, is string // what is spoilt, and how
		key     string
		says    string
		mend    string
	}{
		{"name: Invented", "nmae: Invented", "", `key "nmae" is not known here`, "write name"},
		{"name: Invented", "name: \"\"", "", "no name", "write name:"},
		{"name: Invented", "name: Invented\nname: Again", "", `key "name" stands here twice`, "keep one"},
		{"Australia/Brisbane", "Australia/Brisbain", "", `zone "Australia/Brisbain"`, "Australia/Brisbane"},
		{"Australia/Brisbane", "Local", "", `zone "Local"`, ""},
		{"unit: mm\n", "unit: mmm\n", "species RW, trait pes", `unit "mmm" is not a UCUM code known here (mm, cm, g,`, "write mm"},
		{"unit: g,", "unit: kg,", "species RW, trait mass", `mass in "kg"`, "write g"},
		{"step: 5", "step: five", "species RW, trait mass", `step "five" is not a number`, "61.8"},
		{"step: 5", "step: -5", "species RW, trait mass", "step -5 is below zero", ""},
		{"bone: true", "bone: yes", "species RW, trait pes", `bone "yes" is neither true nor false`, "write true"},
		{"bone: true", "bone: true\n        may shrink: true", "species RW, trait pes", "bone, and yet it may shrink", ""},
		{"source: six pairs", "convention: x", "species RW, trait pes", "an error or limit without its source", "write source:"},
		{"from: 90, to: 130", "from: 130, to: 90", "species RW, trait pes, range 1", "from 130 to 90 is no range", "smaller first"},
		{"[40, 160]", "[40, 120]", "species RW, trait pes, range 2", "never outside 40 to 120 does not enclose the range 100 to 130", "as wide"},
		{"[40, 160]", "[40]", "species RW, trait pes, range 2", "never outside has 1 numbers", "write two"},
		{"sex: male", "sex: mal", "species RW, trait pes, range 3", `sex "mal" is not known here (female, male)`, "write male"},
		{"sex: female", "sex: F", "species RW, sign pouch", `sex "F"`, "female, male"},
		{"{stage: adult,", "{stage: adlut,", "species RW, trait pes, range 2", `stage "adlut" is not a stage of RW`, "write adult"},
		{"of: young", "of: pup", "species RW, trait pes", `of "pup"`, "animal, young"},
		{"marks: [chip]", "marks: [chop]", "species RW", `mark "chop" is not under marks:`, "write chip"},
		{"weight, pes, pouch]", "weight, peas, pouch]", "species RW", `"peas" is neither a trait or sign of RW nor a step`, "write pes"},
		{"weight, pes, pouch]", "weight, pes, pes]", "species RW", `"pes" stands twice in one order`, "keep one"},
		{"aliases: [foot]", "aliases: [pouch]", "species RW, sign pouch", `"pouch" means both pes (line 11) and pouch`, "one of them"},
		{"aliases: [wallaby]", "aliases: [bb]", "species BB", `"BB" means both RW (line 4) and BB`, ""},
		{"stages: [{id: juvenile}, {id: adult, adult: true}]", "stages: []", "species RW, trait pes, range 2", `stage "adult" is not a stage of RW`, "describe it first"},
		{"code: BB,", "code: rw,", "species rw", `"rw" stands here twice, first on line 4`, ""},
		{"like: RW", "like: XX", "species BB", `like "XX" is not the code`, "earlier sheet"},
		{"aliases: [nothing]", "aliases: [occupied]", "species RW, sign pouch, value occupied", `"occupied" means both empty`, ""},
		{"{id: juvenile}", "{id: juv/enile}", "species RW, stage juv/enile", `"juv/enile" cannot be an id`, "letters"},
		{"{id: hair}", "{name: hair}", "sample 1", "no id", ""},
		{"form: transponder", "form: transponda", "mark chip", `form "transponda"`, "write transponder"},
		{"B001–B250", "B250–B001", "mark ear tag", `"B250–B001" is not a series`, "B001–B250"},
		{"low: 1, high: 5", "low: 0, high: 5", "class 1–5", "overlaps class 0, which ends at 0", "begin at 1"},
		{"low: 1, high: 5", "low: 1", "class >5", "class 1–5 is open above", "put it last"},
		{"low: 1, high: 5", "low: 1, high: 5.5", "class 1–5", `high "5.5" is not a whole number`, ""},
		{"[slight, bad]}", "[slight, bad], counted: true}", "sign wound", "counted, and graded too", ""},
		{"handling minutes", "handling minuts", "welfare limit handling minuts", `welfare limit "handling minuts"`, "write handling minutes"},
		{", source: invented approval}", "}", "welfare limit handling minutes", "a limit without its source", "approval"},
		{"datum: GDA2020", "note: x", "site K", "positions without their datum", "WGS84"},
		{"datum: GDA2020", "datum: GDA20", "site K", `datum "GDA20"`, "write GDA2020"},
		{"lat: -20.5, lon: 145.25", "lat: -20.5", "site K, trap K01", "half a position", "both"},
		{"lat: -20.5, lon: 145.25", "lat: -20.5, lon: 245", "site K, trap K01", "is nowhere", ""},
		{"lat: -20.5, lon: 145.25", "east: 500000, north: 7000000", "site K", "east and north without their zone", "negative in the south"},
		{"from: 2026-03-02", "from: 2026-03-01", "site K, trap K01", "trap K01 stands here twice, first on line", "was moved"},
		{"from: 2026-03-02", "from: 2026-02-30", "site K, trap K01", `from "2026-02-30" is not a date`, ""},
		{"{trap: K02}", "{trap: K02, kind: pit}", "site K, trap K02", `kind "pit" is not under trap kinds:`, ""},
		{"kind: hair,", "kind: scat,", "label H001–H100", `sample kind "scat"`, ""},
		{"102.50", "102 g", "bag 7", `mass g "102 g"`, "102.5"},
		{"name: mass, unit", "name: mass, net, unit", "species RW, trait mass", `"net" is neither a key nor a value here`, "in quotes"},
		{"marks: [chip]", "marks: chip", "species RW", "marks: a single value, where a list belongs", "[a, b]"},
		{"marks: [chip]", "marks: [*chip]", "species RW", "an anchor, alias or tag", ""},
		{"name: Invented", "name: [Invented]", "", "name: a list, where one value belongs", ""},
		{"  - {id: cage}", "  - cage", "trap kind 1", "a single value, where keys with values belong", ""},
		{"zone: Australia", "zone: {Australia", "", "not YAML", ""},
	}
	for _, c := range cases {
		t.Run(c.says, func(t *testing.T) {
			t.Parallel()
			if strings.Count(small, c.was) == 0 {
				t.Fatalf("%q is not in the sound file", c.was)
			}
			text := strings.Replace(small, c.was, c.is, 1)
			found := problems(t, text)
			at := slices.IndexFunc(found, func(p Problem) bool {
				return p.Key == c.key && strings.Contains(p.Says, c.says) && strings.Contains(p.Mend, c.mend)
			})
			if at < 0 {
				t.Fatalf("not among\n%v", &Refusal{"small.yaml", found})
			}
			if p := found[at]; p.Line < 1 || p.Column < 1 || p.Line > strings.Count(text, "\n") {
				t.Errorf("line %d, column %d is not in the file", p.Line, p.Column)
			}
		})
	}
}

func TestAllProblemsAreToldAtOnceInOrder(t *testing.T) {
	t.Parallel()
	text := strings.NewReplacer("unit: mm\n", "unit: mmm\n", "form: tag", "form: tug", "lon: 145.25", "lun: 145.25", "step: 5", "step: x").Replace(small)
	var lines []int
	for _, p := range problems(t, text) {
		lines = append(lines, p.Line)
	}
	if len(lines) < 4 || !slices.IsSorted(lines) {
		t.Errorf("got problems on lines %v, want at least four, in order", lines)
	}
}

func TestProblemReadsAsASentence(t *testing.T) {
	t.Parallel()
	_, err := Parse("examples/x.yaml", []byte(strings.Replace(small, "unit: mm\n", "unit: mmm\n", 1)))
	want := `examples/x.yaml line 13 (column 15): species RW, trait pes: unit "mmm" is not a UCUM code known here (mm, cm, g, kg, mL, Cel, 1, d); write mm`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestWhatIsNotAFileOfOneProtocol(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"empty": "", "a comment": "# nothing\n", "two": small + "---\n" + small, "not text": "name: \xff\n",
		"deep": strings.Repeat("[", 1000), "large": strings.Repeat("# \n", maxText),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if found := problems(t, text); len(found) != 1 {
				t.Errorf("got %d problems, want one", len(found))
			}
		})
	}
}

// A file saved by another editor is the same protocol, though another text.
func TestOtherLineEndsAreRead(t *testing.T) {
	t.Parallel()
	p := parsed(t, small)
	q := parsed(t, "\ufeff"+strings.ReplaceAll(small, "\n", "\r\n"))
	if p.Version == q.Version {
		t.Error("two texts have one version")
	}
	p.Version, p.Text, q.Version, q.Text = "", "", "", ""
	if got, want := fmt.Sprintf("%+v", q.Species), fmt.Sprintf("%+v", p.Species); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestTextStaysAsWritten(t *testing.T) {
	t.Parallel()
	text := strings.NewReplacer("code: BB", "code: 07", "K02", "010").Replace(small)
	p := parsed(t, text)
	if got := p.Species[1].Code + " " + p.Seeds.Sites[0].Traps[2].Trap + " " + p.Seeds.Bags[0].Mass; got != "07 010 102.50" {
		t.Errorf("got %s, want 07 010 102.50", got)
	}
}

// Levenshtein's distance is a metric.
func TestEditsIsADistance(t *testing.T) {
	t.Parallel()
	word := rapid.StringMatching(`[a-c]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		switch {
		case (edits(a, b) == 0) != (a == b):
			t.Errorf("%q to %q: %d", a, b, edits(a, b))
		case edits(a, b) != edits(b, a):
			t.Errorf("%q to %q: %d there, %d back", a, b, edits(a, b), edits(b, a))
		case edits(a, c) > edits(a, b)+edits(b, c):
			t.Errorf("%q by way of %q to %q is shorter", a, b, c)
		}
	})
}

// Whatever the text, Parse gives a protocol or a refusal with its reasons.
func FuzzParse(f *testing.F) {
	f.Add([]byte(small))
	f.Add([]byte(aged))
	for _, s := range []string{"", "a: &x [*x]", "? [a]\n: b", "name: |\n  x\n", "species: [{code: !!str 1}]", "<<: {name: x}", "- - -", "%YAML 1.2\n---\nname: x", "a:\n\t- b", "name: 'x", "species:\n- code: \"\\u00e9\"\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := Parse("fuzz.yaml", text)
		var refusal *Refusal
		switch {
		case err == nil && (p == nil || p.Text != string(text)):
			t.Errorf("%q: neither protocol nor error", text)
		case err != nil && (!errors.As(err, &refusal) || len(refusal.Problems) == 0):
			t.Errorf("%q: %v is not a refusal with reasons", text, err)
		}
		if err == nil {
			if _, err := p.Seed(); err != nil {
				t.Errorf("%q: sound, and yet its seeds are not: %v", text, err)
			}
		}
	})
}
