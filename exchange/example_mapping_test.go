package exchange_test

import (
	"os"
	"slices"
	"testing"

	"dawnround/protocol"
)

func TestExampleMappingSpeaksTheProtocolsWords(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../examples/desert-rodents/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := protocol.Parse("protocol.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	sheet := p.Species[0]
	for _, c := range mapping(t, "captures.yaml").Columns {
		switch c.Is {
		case "measure":
			if !slices.ContainsFunc(sheet.Traits, func(t protocol.Trait) bool { return t.ID == c.Of }) {
				t.Errorf("column %s: no trait %q", c.Name, c.Of)
			}
		case "mark":
			if !slices.ContainsFunc(p.Marks, func(m protocol.MarkKind) bool { return m.ID == c.Of }) {
				t.Errorf("column %s: no mark kind %q", c.Name, c.Of)
			}
		case "sign":
			i := slices.IndexFunc(sheet.Signs, func(s protocol.Sign) bool { return s.ID == c.Of })
			if i < 0 {
				t.Errorf("column %s: no sign %q", c.Name, c.Of)
				continue
			}
			for code, m := range c.Codes {
				if !slices.ContainsFunc(sheet.Signs[i].Values, func(w protocol.Word) bool { return w.ID == m.Word }) {
					t.Errorf("column %s, code %s: sign %s has no word %q", c.Name, code, c.Of, m.Word)
				}
			}
		case "stage":
			for code, m := range c.Codes {
				if !slices.ContainsFunc(sheet.Stages, func(s protocol.Stage) bool { return s.ID == m.Word }) {
					t.Errorf("column age, code %s: no stage %q", code, m.Word)
				}
			}
		}
	}
}
