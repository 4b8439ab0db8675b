package trapside_test

import (
	"os"
	"strings"
	"testing"

	"dawnround/record"
)

// TestYoungShowsItsAge: as its head is typed, a pouch young shows age, birth and
// the warning for the next trip. The numbers are those of a head length, 40.0 mm for 97 days (How 1976, Australian
// Journal of Zoology 24:189–199).
func TestYoungShowsItsAge(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("testdata/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	old := "    calling order:"
	if !strings.Contains(string(text), old) {
		t.Fatal("the protocol has no calling order to put the relation before")
	}
	with := "    ageing: [{trait: crown-rump, unit: mm, form: linear, fitted: age on size, parameters: [{name: a, value: -19.355, unit: d}, {name: b, value: 2.917, unit: d/mm}], sizes: [8, 78.6], ages: [0, 210], residual sd: 3, source: How 1976}]\n" +
		"    pouch life: {exit days: [175, 200], source: invented}\n" + old
	d := openWith(t, []byte(strings.Replace(string(text), old, with, 1)))
	d.keep(record.Trip{Trip: "2026-07", First: night.Add(90), Last: night.Add(93)})
	card := d.caught()
	d.in(card, "species", "RW")
	d.in(card, "sex", "female")
	d.do(card+"/young", "same", "")
	p := d.in(card, "young/1/measures/crown-rump", "40.0")
	aged := p.One(".young").Text()
	for _, want := range []string{"97 days", "born [2026-", "leaves the pouch", "How 1976"} {
		if !strings.Contains(aged, want) {
			t.Errorf("the young's age says %q, without %q", aged, want)
		}
	}
	if got := p.One(".young .flag").Text(); !strings.Contains(got, "next trip, 11 August") || !strings.Contains(got, "closed") {
		t.Errorf("the next trip: %q", got)
	}
	p = d.in(card, "young/1/measures/crown-rump", "95")
	if got := p.One(".young").Text(); !strings.Contains(got, "no age:") {
		t.Errorf("beyond the relation: %q", got)
	}
}
