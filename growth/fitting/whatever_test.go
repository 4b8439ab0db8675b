package fitting

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Whatever the data, a fit comes back or is refused: nothing panics, every
// figure is a number or said not to be estimable, and the answer can be written
// and drawn.
func TestWhateverTheData(t *testing.T) {
	t.Parallel()
	models := map[string]func([]Reading) (Result, error){
		"Fabens":  Fabens,
		"Francis": func(r []Reading) (Result, error) { return Francis(r, FrancisOptions{Variability: true}) },
		"all": func(r []Reading) (Result, error) {
			return Francis(r, FrancisOptions{Variability: true, Outliers: true, Season: true})
		},
		"linear":   func(r []Reading) (Result, error) { return Linear(r, 5, 7) },
		"approach": func(r []Reading) (Result, error) { return Approach(r, 0.5) },
	}
	for _, form := range KnownForms() {
		models[form] = func(r []Reading) (Result, error) { return Known(r, KnownOptions{Form: form}) }
		models[form+", own"] = func(r []Reading) (Result, error) {
			return Known(r, KnownOptions{Form: form, Random: true, TechnicalError: 0.5})
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		sizes := []*rapid.Generator[float64]{
			rapid.Just(50.0), rapid.Just(0.0), rapid.Float64Range(-5, 5), rapid.Float64Range(1e-6, 1e6), rapid.Float64Range(70, 71), rapid.SampledFrom([]float64{36, 37, 38}),
		}
		size := sizes[rapid.IntRange(0, len(sizes)-1).Draw(t, "kind")]
		days := rapid.SampledFrom([]float64{0, 14, 100, 5000}).Draw(t, "apart")
		var data []Reading
		for i := range rapid.IntRange(1, 40).Draw(t, "animals") {
			day := float64(10 * i)
			for j := range rapid.IntRange(1, 4).Draw(t, "captures") {
				data = append(data, Reading{Animal: fmt.Sprint(i), Day: day, Size: size.Draw(t, "size"), Age: float64(j) * days})
				day += days
			}
		}
		name := rapid.SampledFrom(slices.Sorted(maps.Keys(models))).Draw(t, "model")
		r, err := models[name](data)
		if err != nil {
			return
		}
		r.Name("S", "head", "mm", "x")
		for _, e := range r.Estimates {
			if _, err := json.Marshal(e); err != nil {
				t.Fatalf("%s: %+v: %v", name, e, err)
			}
		}
		if r.Picture().SVG() == "" {
			t.Fatalf("%s: no picture", name)
		}
		if math.IsNaN(r.Fit.Minus2LnL) && name != "linear" && len(r.Warnings) == 0 {
			t.Fatalf("%s: nothing fitted and nothing said", name)
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	})
}
