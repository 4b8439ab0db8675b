package check_test

import (
	"testing"

	"dawnround/record"
)

func TestYoungAndBreeding(t *testing.T) {
	t.Parallel()
	const never, up, back, many = "never bred, after breeding", "young counted up", "young go back in age", "more young than the sheet has"
	nb := species("NB")
	atFoot := record.Young{Young: id(73), Where: "at foot"}
	try(t, []trial{
		{never, "a parous sign before", bodies(caught(1, 3, sign("pouch", "occupied"))), caught(2, 4, sign("pouch", "undeveloped")), "signs/pouch", "had bred"},
		{never, "young before", bodies(caught(1, 3, young(pouched(70)))), caught(2, 20, sign("pouch", "undeveloped")), "signs/pouch", "3 May 2026"},
		{never, "nothing before", bodies(caught(1, 3, sign("pouch", "empty"))), caught(2, 4, sign("pouch", "undeveloped")), "", ""},
		{never, "empty now", bodies(caught(1, 3, sign("pouch", "occupied"))), caught(2, 4, sign("pouch", "empty")), "", ""},
		{"sign goes back", "back", bodies(caught(1, 3, sign("wear", "heavy"))), caught(2, 4, sign("wear", "some")), "signs/wear", "heavy"},
		{"sign goes back", "on", bodies(caught(1, 3, sign("wear", "some"))), caught(2, 4, sign("wear", "heavy")), "", ""},
		{"sign goes back", "may go back", bodies(caught(1, 3, sign("pouch", "occupied"))), caught(2, 4, sign("pouch", "empty")), "", ""},
		{back, "furred, then pink", bodies(caught(1, 3, young(furred(70, "furred")))), caught(2, 20, young(furred(70, "pink"))), "young/0", "furred"},
		{back, "pink, then furred", bodies(caught(1, 3, young(furred(70, "pink")))), caught(2, 20, young(furred(70, "furred"))), "", ""},
		{back, "another young", bodies(caught(1, 3, young(furred(70, "furred")))), caught(2, 20, young(furred(71, "pink"))), "", ""},
		{up, "one more, one the same", bodies(caught(1, 3, nb, young(pouched(70), pouched(71)))), caught(2, 20, nb, young(pouched(70), pouched(71), pouched(72))), "young", "2 young on 3 May 2026 by AB, 3 now"},
		{up, "fewer", bodies(caught(1, 3, nb, young(pouched(70), pouched(71)))), caught(2, 20, nb, young(pouched(71))), "", ""},
		{up, "a new litter", bodies(caught(1, 3, nb, young(pouched(70)))), caught(2, 20, nb, young(pouched(71), pouched(72))), "", ""},
		{up, "one at foot beside", bodies(caught(1, 3, nb, young(pouched(70)))), caught(2, 20, nb, young(pouched(70), atFoot)), "", ""},
		{many, "the litter", nil, caught(1, 3, nb, young(pouched(70), pouched(71), pouched(72), pouched(73), pouched(74), pouched(75), pouched(76))), "", ""},
		{many, "above the litter", nil, caught(1, 3, young(pouched(70), pouched(71))), "young", "at most 1"},
		{many, "above the teats", nil, caught(1, 3, young(pouched(70), pouched(71), pouched(72), pouched(73), pouched(74))), "young", "teats: 4"},
		{many, "one in the pouch, one at foot", nil, caught(1, 3, young(pouched(70), atFoot)), "", ""},
	})
}

func TestSamples(t *testing.T) {
	t.Parallel()
	const again, used, outside = "once per animal", "label used before", "label outside its series"
	series := bodies(record.Labels{Sample: "biopsy", Series: "B001–B250"}, record.Labels{Sample: "biopsy", Series: "B300–B400"})
	before := bodies(caught(1, 3, sample("biopsy", "B001")))
	try(t, []trial{
		{"sampled before", "before the punch", before, caught(2, 4), "samples", "no second"},
		{"sampled before", "taken now", before, caught(2, 4, sample("biopsy", "B002")), "", ""},
		{"sampled before", "hair", bodies(caught(1, 3, sample("hair", "H1"))), caught(2, 4), "", ""},
		{again, "again", before, caught(2, 4, sample("biopsy", "B002")), "samples", "already"},
		{again, "twice now", nil, caught(2, 4, sample("biopsy", "B002"), sample("biopsy", "B003")), "samples", "twice"},
		{again, "first", nil, caught(2, 4, sample("biopsy", "B002")), "", ""},
		{again, "hair", bodies(caught(1, 3, sample("hair", "H1"))), caught(2, 4, sample("hair", "H2")), "", ""},
		{used, "by another animal", before, caught(2, 4, chip(70), sample("hair", "B001")), "samples", "trap K1 at site K"},
		{used, "twice now", nil, caught(2, 4, sample("hair", "H1"), sample("biopsy", "H1")), "samples", "twice"},
		{used, "not used", before, caught(2, 4, chip(70), sample("hair", "B002")), "", ""},
		{outside, "in the second series", series, caught(2, 4, sample("biopsy", "B300")), "", ""},
		{outside, "between them", series, caught(2, 4, sample("biopsy", "B251")), "samples", "B001–B250"},
		{outside, "no series for hair", series, caught(2, 4, sample("hair", "X9")), "", ""},
		{outside, "no series at all", nil, caught(2, 4, sample("biopsy", "X9")), "", ""},
	})
}

func TestUnknownWords(t *testing.T) {
	t.Parallel()
	const rule = "word not in the protocol"
	ticks := func(part, sign string) with {
		return func(c *record.Capture) { c.Handled.Findings = []record.Finding{{Part: part, Sign: sign}} }
	}
	odd := pouched(70)
	odd.Signs = map[string]record.Sign{"fur": {Value: "curly"}}
	try(t, []trial{
		{rule, "all known", nil, caught(1, 3, measure("pes.left", "99"), sign("pouch", "empty"), sample("hair", "H1"), ticks("ear", "tick"), young(furred(70, "pink"))), "", ""},
		{rule, "species", nil, caught(1, 3, species("XX")), "species", `"XX"`},
		{rule, "stage", nil, caught(1, 3, stage("old")), "stage", `"old"`},
		{rule, "measure", nil, caught(1, 3, measure("nose", "9")), "measures/nose", ""},
		{rule, "sign", nil, caught(1, 3, sign("gait", "lame")), "signs/gait", ""},
		{rule, "value", nil, caught(1, 3, sign("pouch", "huge")), "signs/pouch", `"huge"`},
		{rule, "mark", nil, caught(1, 3, chip(1), mark("collar", "7")), "marks", "collar"},
		{rule, "sample", nil, caught(1, 3, sample("milk", "M1")), "samples", "milk"},
		{rule, "part", nil, caught(1, 3, ticks("elbow", "tick")), "findings", "elbow"},
		{rule, "sign found", nil, caught(1, 3, ticks("ear", "fluff")), "findings", "fluff"},
		{rule, "a young's", nil, caught(1, 3, young(odd)), "young/0", "curly"},
	})
}
