package abundance

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawHistories draws up to twelve animals with a weight, in up to two groups.
func drawHistories(t *rapid.T) Histories {
	nights := rapid.IntRange(1, 6).Draw(t, "nights")
	animals := rapid.IntRange(1, 12).Draw(t, "animals")
	h := Histories{Columns: map[string][]float64{}, Nightly: map[string][]float64{}}
	for range animals {
		h.Caught = append(h.Caught, rapid.SliceOfN(rapid.Bool(), nights, nights).Draw(t, "history"))
		h.Group = append(h.Group, rapid.SampledFrom([]string{"f", "m"}).Draw(t, "group"))
		h.Columns["weight"] = append(h.Columns["weight"], rapid.Float64Range(-2, 2).Draw(t, "weight"))
		h.Lost = append(h.Lost, rapid.Bool().Draw(t, "lost"))
	}
	h.Nightly["effort"] = rapid.SliceOfN(rapid.Float64Range(-1, 1), nights, nights).Draw(t, "effort")
	return h
}

func drawModel(t *rapid.T) Model {
	m := Model{Conditional: rapid.Bool().Draw(t, "conditional")}
	effects := []string{"occasion", "trend", "after-capture", "group", "effort", "mixture:2", "occasion*after-capture", "mixture:3*group", "occasion:2"}
	if m.Conditional {
		effects = append(effects, "weight", "group*weight")
	}
	m.Detect = rapid.SliceOfNDistinct(rapid.SampledFrom(effects), 0, 3, rapid.ID).Draw(t, "effects")
	return m
}

// TestGradient holds the hand-derived gradient against central differences of
// the likelihood itself, for any data and model.
func TestGradient(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c, err := lay(drawHistories(t), drawModel(t))
		if err != nil {
			t.Skip(err)
		}
		n := len(c.parameterNames())
		x := rapid.SliceOfN(rapid.Float64Range(-2, 2), n, n).Draw(t, "x")
		gradient := make([]float64, n)
		value := c.log(x, gradient)
		for i := range x {
			const h = 1e-5
			keep := x[i]
			x[i] = keep + h
			above := c.log(x, nil)
			x[i] = keep - h
			below := c.log(x, nil)
			x[i] = keep
			want := (above - below) / (2 * h)
			if math.Abs(gradient[i]-want) > 1e-6*(1+math.Abs(want)+math.Abs(value)) {
				t.Errorf("%s: gradient %.10g, differences give %.10g", c.parameterNames()[i], gradient[i], want)
			}
		}
	})
}

// TestFitIsCalm fits any model to any data: no panic, and whatever is called
// estimable is finite.
func TestFitIsCalm(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r, err := Fit(drawHistories(t), drawModel(t))
		if err != nil {
			t.Skip(err)
		}
		all := append(append([]float64{r.N.Value, r.N.SE, r.N.Lower}, values(r)...), float64(r.Caught))
		for i, v := range all {
			if math.IsInf(v, 0) {
				t.Errorf("value %d is %g: %+v", i, v, r)
			}
		}
		if r.N.Status == 0 && (math.IsNaN(r.N.Value) || r.N.Value < float64(r.Caught)-1e-9 || r.N.Lower > r.N.Value || r.N.Upper < r.N.Value) {
			t.Errorf("N is called estimable: %+v of %d caught", r.N, r.Caught)
		}
		r.ProfileN()
	})
}

func values(r Result) []float64 {
	var out []float64
	for _, list := range [][]float64{r.Fit.X} {
		out = append(out, list...)
	}
	for _, e := range append(r.Detection, r.Shares...) {
		out = append(out, e.Value, e.SE, e.Lower, e.Upper)
	}
	return out
}
