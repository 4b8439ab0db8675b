package agreement_test

import (
	"math"
	"testing"

	"dawnround/agreement"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.7g, want %.7g", what, got, want)
	}
}

// Constructed readings, recomputed by an independent script (the project's
// standards, measurement statistics), and the worked pairs of the trade
// handbook of records, section 4.
func TestTechnicalError(t *testing.T) {
	t.Parallel()
	pairs, err := agreement.Technical([][]float64{{22.1, 22.3}, {21.8, 21.8}, {23.0, 22.8}, {22.5, 22.6}, {21.9, 22.0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "TEM of pairs", pairs.TEM, 0.1, 1e-9)
	near(t, "mean", pairs.Mean, 22.28, 1e-9)
	near(t, "relative TEM", pairs.Relative, 0.4488, 5e-5)
	near(t, "reliability", pairs.Reliability, 0.945652, 5e-7)
	// Chi-square of 5 degrees of freedom: 0.831 and 12.833 in every table (from memory).
	near(t, "lower", pairs.Lower, math.Sqrt(0.05/12.833), 1e-5)
	near(t, "upper", pairs.Upper, math.Sqrt(0.05/0.8312), 1e-4)
	threes, err := agreement.Technical([][]float64{{5.0, 5.2, 5.1}, {6.0, 5.9, 6.1}, {4.8, 4.8, 4.7}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "TEM of threes", threes.TEM, 0.088192, 5e-7)
	pes, err := agreement.Technical([][]float64{{98.2, 98.6}, {101.4, 100.9}, {95.0, 95.3}, {104.1, 104.0}, {99.7, 100.5}, {97.2, 97.0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "TEM of pes", pes.TEM, 0.31, 0.005)
	near(t, "per cent", pes.Relative, 0.32, 0.005)
	near(t, "two honest readings", agreement.Between(pes.TEM), 0.87, 0.005)
	if _, err := agreement.Technical([][]float64{{1}, {2}}); err == nil {
		t.Error("an error from single readings")
	}
	if same, err := agreement.Technical([][]float64{{3, 3}, {3, 3}}); err != nil || same.TEM != 0 || !math.IsNaN(same.Reliability) {
		t.Errorf("equal readings: %+v, %v", same, err)
	}
}

var shroutFleiss = [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}

// Shrout & Fleiss (1979), Psychological Bulletin 86:420–428, table 2 and the
// coefficients they print (.17, .29, .71, .44, .62, .91), to the places of an
// independent script.
func TestIntraclassCorrelations(t *testing.T) {
	t.Parallel()
	r, err := agreement.Rate(shroutFleiss)
	if err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string][2]float64{
		"BMS": {r.BMS, 11.2417}, "WMS": {r.WMS, 6.2639}, "JMS": {r.JMS, 32.4861}, "EMS": {r.EMS, 1.0194},
		"ICC(1,1)": {r.OneWay(), .1657}, "ICC(2,1)": {r.Random(), .2898}, "ICC(3,1)": {r.Fixed(), .7148},
		"ICC(1,4)": {r.MeanOneWay(), .4428}, "ICC(2,4)": {r.MeanRandom(), .6201}, "ICC(3,4)": {r.MeanFixed(), .9093},
	} {
		near(t, what, c[0], c[1], 5.1e-5)
	}
	one, err := agreement.Repeatability(shroutFleiss)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "one-way", one.Value, .1657, 5.1e-5)
	near(t, "lower", one.Lower, -0.1329, 5.1e-5)
	near(t, "upper", one.Upper, 0.7226, 5.1e-5)
}

func TestRepeatabilityRefuses(t *testing.T) {
	t.Parallel()
	for _, groups := range [][][]float64{nil, {{1, 2}}, {{1}, {2}}, {{}, {1, 2}}} {
		if e, err := agreement.Repeatability(groups); err == nil {
			t.Errorf("%v: %+v", groups, e)
		}
	}
	if e, err := agreement.Repeatability([][]float64{{2, 2}, {2, 2}}); err != nil || !math.IsNaN(e.Value) {
		t.Errorf("equal readings: %+v, %v; want not estimable", e, err)
	}
	if e, err := agreement.Repeatability([][]float64{{1, 1}, {2, 2}}); err != nil || e.Value != 1 || e.Lower != 1 {
		t.Errorf("readings without error: %+v, %v; want 1", e, err)
	}
	for _, table := range [][][]float64{nil, {{1, 2}}, {{1}, {2}}, {{1, 2}, {1}}} {
		if r, err := agreement.Rate(table); err == nil {
			t.Errorf("%v: %+v", table, r)
		}
	}
}

// For a full table restricted maximum likelihood is the two-way analysis of
// variance: here of Shrout & Fleiss (1979), table 2. The handlers' means by
// hand: 46/6, 15/6, 26/6, 40/6.
func TestHandlersOfAFullTable(t *testing.T) {
	t.Parallel()
	o, err := agreement.Handlers(full(shroutFleiss))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "error variance", o.ErrorSD*o.ErrorSD, 1.0194, 5.1e-5)
	near(t, "animals' variance", o.AnimalSD*o.AnimalSD, (11.2417-1.0194)/4, 1e-4)
	near(t, "mean", o.Mean, 127.0/24, 1e-9)
	for h, sum := range []float64{46, 15, 26, 40} {
		near(t, "offset", o.Handlers[h].Value, sum/6-127.0/24, 1e-9)
		// A mean of 6 against the mean of 4 such: √(EMS/6·(1 − 1/4)).
		near(t, "its error", o.Handlers[h].SE, math.Sqrt(1.0194/6*0.75), 1e-4)
	}
	if o.DF != 15 || o.Handlers[0].Animals != 6 {
		t.Errorf("%v degrees of freedom, %d shared; want 15 and 6", o.DF, o.Handlers[0].Animals)
	}
}

func full(table [][]float64) []agreement.Reading {
	var out []agreement.Reading
	for i, row := range table {
		for h, x := range row {
			out = append(out, agreement.Reading{Animal: i, Handler: h, Value: x})
		}
	}
	return out
}

// Whatever is added to every reading, or to all of one animal alike in a full
// table, moves no offset; a unit changes with the readings.
func TestHandlersLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var rs, moved []agreement.Reading
		by := rapid.Float64Range(-50, 50).Draw(t, "by")
		for a := range rapid.IntRange(4, 12).Draw(t, "animals") {
			for h := range 3 {
				if a > 2 && rapid.IntRange(0, 3).Draw(t, "missing") == 0 {
					continue
				}
				x := rapid.Float64Range(0, 10).Draw(t, "x")
				rs = append(rs, agreement.Reading{Animal: a, Handler: h, Value: x})
				moved = append(moved, agreement.Reading{Animal: a, Handler: h, Value: 2*x + by})
			}
		}
		one, err := agreement.Handlers(rs)
		two, err2 := agreement.Handlers(moved)
		if err != nil || err2 != nil {
			t.Skip("too few readings drawn")
		}
		sum := 0.0
		for h := range one.Handlers {
			sum += one.Handlers[h].Value
			if math.Abs(two.Handlers[h].Value-2*one.Handlers[h].Value) > 1e-5 || math.Abs(two.Handlers[h].SE-2*one.Handlers[h].SE) > 1e-5 {
				t.Fatalf("handler %d: %+v, doubled and moved %+v", h, one.Handlers[h], two.Handlers[h])
			}
		}
		if math.Abs(sum) > 1e-9 {
			t.Fatalf("offsets sum to %g", sum)
		}
	})
}

func TestHandlersRefuse(t *testing.T) {
	t.Parallel()
	for name, rs := range map[string][]agreement.Reading{
		"nothing":        nil,
		"one handler":    {{0, 0, 1}, {0, 0, 2}},
		"nothing twice":  {{0, 0, 1}, {1, 1, 2}},
		"a gap":          {{0, 0, 1}, {0, 2, 2}, {1, 0, 1}, {1, 2, 3}},
		"negative":       {{-1, 0, 1}},
		"no error to be": {{0, 0, 1}, {0, 1, 2}},
	} {
		if o, err := agreement.Handlers(rs); err == nil {
			t.Errorf("%s: %+v", name, o)
		}
	}
}
