package fit_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"dawnround/fit"

	"pgregory.net/rapid"
)

// threeNights are the cells of three nights for two sexes.
func threeNights() fit.Cells {
	return fit.Cells{
		Rows: 6,
		Factors: map[string]fit.Factor{
			"occasion": {Levels: []string{"1", "2", "3", "4"}, At: []int{0, 1, 2, 0, 1, 2}}, // no row has the fourth
			"sex":      {Levels: []string{"female", "male"}, At: []int{0, 0, 0, 1, 1, 1}},
		},
		Columns: map[string][]float64{"trend": {0, 1, 2, 0, 1, 2}, "rain": {0, 4, 1, 0, 4, 1}},
	}
}

func TestDesignNamesAndColumns(t *testing.T) {
	t.Parallel()
	cases := []struct {
		effects string
		names   string
		lastRow []float64
		aliased string
	}{
		{"", "constant", []float64{1}, ""},
		{"constant", "constant", []float64{1}, ""},
		{"occasion", "constant,occasion[2],occasion[3]", []float64{1, 0, 1}, ""},
		{"sex,trend", "constant,sex[male],trend", []float64{1, 1, 2}, ""},
		{"sex*trend", "constant,sex*trend[female],sex*trend[male]", []float64{1, 0, 2}, ""},
		{"rain*trend", "constant,rain*trend", []float64{1, 2}, ""},
		{"occasion:2", "constant,occasion:2[2+]", []float64{1, 1}, ""},
		{"sets:1=a;2=b;3=a", "constant,sets:1=a;2=b;3=a[b]", []float64{1, 0}, ""},
		{"occasion,trend", "constant,occasion[2],occasion[3]", []float64{1, 0, 1}, "trend"},
		{"trend,trend", "constant,trend", []float64{1, 2}, "trend"},
		{
			"sex*occasion", "constant,sex*occasion[female,2],sex*occasion[female,3],sex*occasion[male,1],sex*occasion[male,2],sex*occasion[male,3]",
			[]float64{1, 0, 0, 0, 0, 1}, "",
		},
	}
	for _, c := range cases {
		var effects []string
		if c.effects != "" {
			effects = strings.Split(c.effects, ",")
		}
		d, err := threeNights().Design(effects)
		if err != nil {
			t.Errorf("%s: %v", c.effects, err)
			continue
		}
		if got := strings.Join(d.Names, ","); c.effects != "sex*occasion" && got != c.names || strings.Join(d.Aliased, ",") != c.aliased {
			t.Errorf("%s: names %s, left out %v; want %s, %s", c.effects, got, d.Aliased, c.names, c.aliased)
		}
		if !slices.Equal(d.X[5], c.lastRow) {
			t.Errorf("%s: last row %v, want %v", c.effects, d.X[5], c.lastRow)
		}
	}
}

func TestDesignSaysWhatItDoesNotKnow(t *testing.T) {
	t.Parallel()
	cases := map[string]string{
		"moon":           `effect "moon": no such effect here; these data know constant, occasion, rain, sex, trend`,
		"occasion:0":     `effect "occasion:0": "0" after the colon: expected how many levels to keep apart, 1 or more`,
		"sets:1=a;9=b":   `effect "sets:1=a;9=b": set "9=b": expected OCCASION=SET with an occasion of 1, 2, 3, 4`,
		"sets:1=a;2=b":   `effect "sets:1=a;2=b": occasion 3 is in no set; give every occasion a set`,
		"sex*moon":       `effect "sex*moon": no such effect here; these data know constant, occasion, rain, sex, trend`,
		"":               `effect "": no such effect here; these data know constant, occasion, rain, sex, trend`,
		"sex:x*occasion": `effect "sex:x*occasion": "x" after the colon: expected how many levels to keep apart, 1 or more`,
	}
	for effect, want := range cases {
		if _, err := threeNights().Design([]string{effect}); err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", effect, err, want)
		}
	}
}

// TestDesignIsOrthogonalInItsBasis: the columns of X·Basis have mean square 1
// and mean product 0, so that climbing is well conditioned whatever the units.
func TestDesignIsOrthogonalInItsBasis(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cells := threeNights()
		shift := rapid.Float64Range(-3000, 3000).Draw(t, "shift")
		for i := range cells.Columns["rain"] {
			cells.Columns["rain"][i] += shift // years, say
		}
		effects := rapid.SliceOfN(rapid.SampledFrom([]string{"occasion", "sex", "trend", "rain", "sex*rain", "sex*occasion"}), 0, 4).Draw(t, "effects")
		d, err := cells.Design(effects)
		if err != nil {
			t.Fatal(err)
		}
		n := len(d.Names)
		q := make([][]float64, len(d.X))
		for i, row := range d.X {
			q[i] = make([]float64, n)
			for j := range n {
				for k := range n {
					q[i][j] += row[k] * d.Basis[k][j]
				}
			}
		}
		for a := range n {
			for b := range n {
				product := 0.0
				for i := range q {
					product += q[i][a] * q[i][b] / float64(len(q))
				}
				want := 0.0
				if a == b {
					want = 1
				}
				if math.Abs(product-want) > 1e-7 {
					t.Fatalf("%v: columns %d and %d have mean product %g", effects, a, b, product)
				}
			}
		}
		beta := rapid.SliceOfN(rapid.Float64Range(-2, 2), n, n).Draw(t, "coefficients")
		eta := make([]float64, len(d.X))
		for i, row := range d.X {
			for k, v := range row {
				eta[i] += v * beta[k]
			}
		}
		back, err := fit.Coefficients(d.X, eta)
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range d.X {
			again, size := 0.0, 1.0
			for k, v := range row {
				again += v * back[k]
				size += math.Abs(v * back[k])
			}
			if math.Abs(again-eta[i]) > 1e-8*size {
				t.Errorf("row %d: coefficients that give %g, want %g", i, again, eta[i])
			}
		}
	})
}

func TestCoefficientsRefuseWhatCannotBe(t *testing.T) {
	t.Parallel()
	if _, err := fit.Coefficients([][]float64{{1}, {1}}, []float64{0, 1}); err == nil {
		t.Error("two values of one constant were accepted")
	}
	if _, err := fit.Coefficients([][]float64{{1, 1}, {1, 1}}, []float64{1, 1}); err == nil {
		t.Error("two coefficients were read off one value")
	}
	if _, err := fit.Coefficients(nil, nil); err == nil {
		t.Error("nothing was accepted")
	}
}

// FuzzDesign reads any list of effects without a panic, and a design it makes
// has a finite row for every cell.
func FuzzDesign(f *testing.F) {
	for _, seed := range []string{"occasion", "sex*occasion,rain", "occasion:2*sex", "sets:1=a;2=b;3=a", "::*,*", "sets:", "constant*sex"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, effects string) {
		d, err := threeNights().Design(strings.Split(effects, ","))
		if err != nil {
			return
		}
		if len(d.X) != 6 || len(d.X[0]) != len(d.Names) || d.Names[0] != "constant" {
			t.Errorf("%q: %+v", effects, d)
		}
		fit.Used(strings.Split(effects, ","))
	})
}
