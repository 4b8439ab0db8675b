package check_test

import (
	"math"
	"testing"

	"dawnround/check"
	"dawnround/record"
	"dawnround/register"
)

// head is a young in the pouch with its head length: 40 mm is 97 days (How
// 1976, Australian Journal of Zoology 24:189–199).
func head(n int, mm string) record.Young {
	y := pouched(n)
	y.Measures = map[string]record.Reading{"head": {Quantity: quantity(mm)}}
	return y
}

func TestAgeOfYoung(t *testing.T) {
	t.Parallel()
	const differs, soon, gone = "young's age does not fit", "born too soon", "young gone early"
	po := species("PO")
	try(t, []trial{
		{differs, "10 days later, 10 days older", bodies(caught(1, 3, po, young(head(70, "40")))), caught(2, 13, po, young(head(70, "43.4"))), "", ""},
		{differs, "the same size 40 days later", bodies(caught(1, 3, po, young(head(70, "40")))), caught(2, 43, po, young(head(70, "40"))), "young/0", "days apart"},
		{differs, "another young", bodies(caught(1, 3, po, young(head(70, "40")))), caught(2, 43, po, young(head(71, "40"))), "", ""},
		{differs, "not measured then", bodies(caught(1, 3, po, young(pouched(70)))), caught(2, 43, po, young(head(70, "40"))), "", ""},
		{differs, "beyond the relation", bodies(caught(1, 3, po, young(head(70, "90")))), caught(2, 43, po, young(head(70, "40"))), "", ""},
		{soon, "a new one while the last is inside", bodies(caught(1, 3, po, young(head(70, "20")))), caught(2, 63, po, young(head(71, "12"))), "young/0", "should have been in the pouch until"},
		{soon, "a new one after the last has left", bodies(caught(1, 3, po, young(head(70, "60")))), caught(2, 93, po, young(head(71, "12"))), "", ""},
		{soon, "a litter", bodies(caught(1, 3, po, young(head(70, "20")))), caught(2, 13, po, young(head(70, "23.4"), head(71, "23"))), "", ""},
		{gone, "empty too early", bodies(caught(1, 3, po, young(head(70, "20")))), caught(2, 33, po, sign("pouch", "empty")), "young", "Lost?"},
		{gone, "empty in time", bodies(caught(1, 3, po, young(head(70, "60")))), caught(2, 43, po, sign("pouch", "empty")), "", ""},
		{gone, "not looked into", bodies(caught(1, 3, po, young(head(70, "20")))), caught(2, 33, po), "", ""},
		{gone, "still there", bodies(caught(1, 3, po, young(head(70, "20")))), caught(2, 33, po, sign("pouch", "occupied"), young(head(70, "30"))), "", ""},
		{gone, "a species without relations", bodies(caught(1, 3, young(head(70, "20")))), caught(2, 33, sign("pouch", "empty")), "", ""},
	})
}

// curve is an adopted curve of gains: pes to 80 mm at 1.5 a year.
var curve = record.Curve{Species: "PO", Trait: "pes", Relation: []byte(`{"species":"PO","trait":"pes","unit":"mm","form":"gain to an asymptote","fitted":"gain on size",
	"parameters":[{"name":"A","value":80,"unit":"mm"},{"name":"k","value":1.5,"unit":"/a"}],"sizes":[30,85],"residual_sd":0.8,"source":"invented"}`)}

func TestGrowthOfTheNotGrown(t *testing.T) {
	t.Parallel()
	const rule = "growth not as expected"
	po := species("PO")
	then := caught(1, 3, po, stage("juvenile"), measure("pes", "60"))
	// In 73 days, a fifth of a year: 20·(1 − e^−0.3) = 5.2 mm; 2.5·√(0.8² + 2·0.5²) = 2.7.
	try(t, []trial{
		{rule, "as predicted", bodies(curve, then), caught(2, 76, po, measure("pes", "65.2")), "", ""},
		{rule, "within the limit", bodies(curve, then), caught(2, 76, po, measure("pes", "67.8")), "", ""},
		{rule, "too much", bodies(curve, then), caught(2, 76, po, measure("pes", "68.2")), "measures/pes", "was to be expected"},
		{rule, "none at all", bodies(curve, then), caught(2, 76, po, measure("pes", "60")), "measures/pes", "growth since"},
		{rule, "grown before", bodies(curve, caught(1, 3, po, measure("pes", "60"))), caught(2, 76, po, measure("pes", "60")), "", ""},
		{rule, "no curve", bodies(then), caught(2, 76, po, measure("pes", "60")), "", ""},
		{rule, "said to be rough", bodies(curve, then), caught(2, 76, po, measure("pes", "60", "roughly")), "", ""},
	})
}

// TestExpect: one not grown by its curve, one grown by last time, one never
// measured by the sheet.
func TestExpect(t *testing.T) {
	t.Parallel()
	po := species("PO")
	for name, c := range map[string]struct {
		before         []record.Body
		mean, from, to float64
	}{
		"not grown": {bodies(curve, caught(1, 3, po, stage("juvenile"), measure("pes", "60"))), 65.18, 62.5, 67.85},
		"grown":     {bodies(curve, caught(1, 3, po, measure("pes", "70"))), 70, 70 - 1.96*math.Sqrt2*0.5, 70 + 1.96*math.Sqrt2*0.5},
		"never":     {bodies(curve), 60, 30, 90},
	} {
		r := folded(c.before...)
		draft := caught(2, 76, po)
		got, ok := check.Expect(r, draft, later)["pes"]
		if !ok || math.Abs(got.Mean-c.mean) > 0.06 || math.Abs(got.From-c.from) > 0.06 || math.Abs(got.To-c.to) > 0.06 || got.Why == "" {
			t.Errorf("%s: %+v, want %v (%v to %v)", name, got, c.mean, c.from, c.to)
		}
	}
}

// TestExpectFollowsTheCurves: a curve that is adopted counts from the next
// question on, whatever was asked before.
func TestExpectFollowsTheCurves(t *testing.T) {
	t.Parallel()
	po := species("PO")
	lines := notebookOf(record.Protocol{Version: "1", Text: protocolText}, caught(1, 3, po, stage("juvenile"), measure("pes", "60")), curve)
	r := fold(lines[:2])
	known, draft := check.Know(r), caught(2, 76, po, measure("pes", "60"))
	if got, ok := known.Hold(r, draft, later).Expect()["pes"]; ok {
		t.Errorf("without a curve: %+v, want nothing", got)
	}
	r.Apply(register.ReadLine(lines[2]))
	held := known.Hold(r, draft, later)
	if got := held.Expect()["pes"]; math.Abs(got.Mean-65.18) > 0.06 {
		t.Errorf("with the curve: %+v, want 65.18", got)
	}
	if flags := of(held.Flags(), "growth not as expected"); len(flags) != 1 {
		t.Errorf("flags with the curve: %v, want one", flags)
	}
}
