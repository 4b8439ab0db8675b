package protocol

import (
	"os"
	"testing"

	"dawnround/record"
)

// The project's own protocols, each read as any team's would be.
var own = []string{"../examples/desert-rodents/protocol.yaml", "../demo/protocol.yaml"}

func readOwn(tb testing.TB, file string) *Protocol {
	tb.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := Parse(file, text)
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

func TestProjectsOwnProtocolsAreSound(t *testing.T) {
	t.Parallel()
	for _, file := range own {
		t.Run(file, func(t *testing.T) {
			t.Parallel()
			readOwn(t, file)
		})
	}
}

// The bandicoot of the sketches is an ordinary one.
func TestDemoRangesHoldTheSketchedBandicoot(t *testing.T) {
	t.Parallel()
	s, _ := readOwn(t, own[1]).Sheet("bandicoot")
	for trait, value := range map[string]float64{"mass": 945, "pes": 64.8, "head": 78.1, "tail": 132} {
		for _, sex := range []record.Sex{record.Female, record.Male} {
			if r, ok := s.Range(trait, sex, "adult"); !ok || value < r.From || value > r.To {
				t.Errorf("%s %s %v is outside %v to %v", sex, trait, value, r.From, r.To)
			}
		}
	}
}

func TestDemoUsesWhatAProtocolCanSay(t *testing.T) {
	t.Parallel()
	p := readOwn(t, own[1])
	chip, _ := p.MarkKind("transponder")
	biopsy, _ := p.Sample("ear biopsy")
	wallaby, _ := p.Sheet("RW")
	bandicoot, _ := p.Sheet("NB")
	pouch, _ := bandicoot.Sign("pouch")
	occupied, _ := pouch.Word("occupied")
	undeveloped, _ := pouch.Word("undeveloped")
	tail, _ := wallaby.Trait("tail")
	switch {
	case chip.Form != Transponder, !biopsy.Once, wallaby.Litter != 1, bandicoot.Teats != 8:
		t.Error("marks, samples or litters are not as described")
	case !occupied.Young, !occupied.Parous, !undeveloped.Never:
		t.Errorf("pouch %+v", pouch.Values)
	case !tail.Shrinks, tail.Bone, len(wallaby.Retrap) != 3:
		t.Errorf("tail %+v, retrap order %v", tail, wallaby.Retrap)
	}
	if _, ok := p.MarkKind("brand"); ok {
		t.Error("an unknown mark is found")
	}
	if _, ok := p.Sample("urine"); ok {
		t.Error("an unknown sample is found")
	}
}

func BenchmarkParse(b *testing.B) {
	for name, file := range map[string]string{"1176_traps_50_species": own[0], "60_traps_5_species": own[1]} {
		text, err := os.ReadFile(file)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				if _, err := Parse(file, text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
