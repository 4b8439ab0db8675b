package protocol

import (
	"math"
	"os"
	"strings"
	"testing"
)

// aged is what a team may type of its own; invented figures.
const aged = `name: Invented
zone: Australia/Brisbane
species:
  - code: RW
    scientific: Petrogale inventa
    traits:
      - {id: head, unit: mm, of: young}
      - {id: pes, unit: mm, of: young}
    ageing:
      - id: own head
        trait: head
        convention: nose pad to crest
        unit: mm
        form: linear
        fitted: age on size
        parameters: [{name: a, value: -12.5, unit: d}, {name: b, value: 2.4, unit: d/mm}]
        covariance: [[4, -0.1], [-0.1, 0.004]]
        sizes: [8, 60]
        ages: [0, 140]
        animals: 24
        measures: 110
        animals were: captive
        residual sd: 3.1
        events: [{age: 120, says: eyes open}]
        source: invented notebook, table 2
        grade: S
        typed by: AB
        checked by: CD
      - trait: pes
        unit: mm
        form: tabulated
        fitted: size on age
        table: [{age: 0, size: 3}, {age: 50, size: 14}, {age: 100, size: 33}]
        ages: [0, 100]
        source: invented notebook, table 3
    residual correlations: [{traits: [head, pes], r: 0.6, young: 24, source: invented}]
    pouch life: {exit days: [190, 201], weaned days: [250], source: invented}
`

func TestAgeingIsRead(t *testing.T) {
	t.Parallel()
	s, _ := parsed(t, aged).Sheet("RW")
	if len(s.Ageing) != 2 || s.Ageing[0].Species != "Petrogale inventa" || s.Pouch.Exit[1] != 201 || s.Correlations[0].Young != 24 {
		t.Fatalf("%+v", s)
	}
	a, err := s.Ageing[0].Age(40, 0)
	if err != nil || math.Abs(a.Days-83.5) > 1e-9 || a.From >= 78 || a.To <= 89 {
		t.Errorf("head 40 is %+v, %v; want 83.5 days", a, err)
	}
	if a, err = s.Ageing[1].Age(23.5, 0); err != nil || math.Abs(a.Days-75) > 1e-6 {
		t.Errorf("pes 23.5 is %+v, %v; want 75 days", a, err)
	}
}

func TestAgeingThatCannotStand(t *testing.T) {
	t.Parallel()
	tests := []struct{ from, to, key, says string }{
		{"trait: pes\n", "trait: ear\n", "ageing 2", `trait "ear" is not a trait of RW`},
		{"        form: linear", "        form: lineal", "ageing own head", `form "lineal" is not known here`},
		{"value: 2.4", "value: -2.4", "ageing own head", "gives the age -31.7"},
		{"unit: mm\n        form: tab", "unit: cm\n        form: tab", "ageing 2", `unit "cm" is not that of the trait pes`},
		{"source: invented notebook, table 2", "source: ''", "ageing own head", "no source"},
		{"r: 0.6", "r: 1.6", "residual correlation", "correlation 1.6"},
		{"exit days: [190, 201]", "exit days: [201, 190]", "", "is no range of ages"},
		{"grade: S", "grade: X", "ageing own head", `grade "X" is not known here`},
	}
	for _, test := range tests {
		text := strings.Replace(aged, test.from, test.to, 1)
		_, err := Parse("own.yaml", []byte(text))
		if err == nil || !strings.Contains(err.Error(), test.says) || !strings.Contains(err.Error(), test.key) || !strings.Contains(err.Error(), "own.yaml line") {
			t.Errorf("%s: got %v, want %q", test.to, err, test.says)
		}
	}
}

// A relation belongs to its species: a sheet like another has none of its own.
func TestAgeingIsNotInherited(t *testing.T) {
	t.Parallel()
	s, _ := parsed(t, aged+"  - {code: BB, like: RW}\n").Sheet("BB")
	if len(s.Ageing) != 0 || s.Pouch.Exit != nil {
		t.Errorf("taken over: %+v", s)
	}
}

// The sheet of docs/ageing.md is one that can be adopted.
func TestAgeingAsDocumented(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../docs/ageing.md")
	if err != nil {
		t.Fatal(err)
	}
	_, block, _ := strings.Cut(string(text), "```yaml\n")
	block, _, _ = strings.Cut(block, "```")
	s, ok := parsed(t, "name: Documented\nzone: Australia/Brisbane\n"+block).Sheet("RW")
	if !ok || len(s.Ageing) != 1 || s.Ageing[0].CheckedBy != "CD" {
		t.Errorf("%+v", s)
	}
}
