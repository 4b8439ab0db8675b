package growth_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"dawnround/growth"

	"pgregory.net/rapid"
)

// published finds a relation that comes with the program.
func published(t *testing.T, id string) *growth.Relation {
	t.Helper()
	for _, r := range growth.Published() {
		if r.ID == id {
			return &r
		}
	}
	t.Fatalf("%s is not among the published", id)
	return nil
}

const (
	possumHead   = "Trichosurus caninus head"
	wallabyTeeth = "Wallabia bicolor molar index"
)

// Both equations as their abstracts print them, worked by hand.
func TestPublishedAnswers(t *testing.T) {
	t.Parallel()
	tests := []struct {
		id         string
		size, want float64
		source     string
	}{
		{possumHead, 40.0, 97.325, "How 1976: 2.917 × 40 − 19.355"},
		{possumHead, 52.5, 133.7875, "How 1976: 2.917 × 52.5 − 19.355"},
		{possumHead, 60, 155.665, "How 1976: 2.917 × 60 − 19.355"},
		{possumHead, 75, 199.42, "How 1976: 2.917 × 75 − 19.355"},
		{wallabyTeeth, 1.0, math.Pow(10, 5.6864/2.2179), "Death & Coulson 2016: 366 days"},
		{wallabyTeeth, 1.7, math.Pow(10, 6.3864/2.2179), "Death & Coulson 2016: 758 days"},
		{wallabyTeeth, 2.5, math.Pow(10, 7.1864/2.2179), "Death & Coulson 2016: 1739 days"},
		{wallabyTeeth, 3.2, math.Pow(10, 7.8864/2.2179), "Death & Coulson 2016: 3596 days"},
	}
	for _, test := range tests {
		a, err := published(t, test.id).Age(test.size, 0)
		if err != nil || math.Abs(a.Days-test.want) > 1e-9*test.want {
			t.Errorf("%s at %v: %v days, %v; want %v (%s)", test.id, test.size, a.Days, err, test.want, test.source)
		}
	}
	for size, whole := range map[float64]string{1.0: "366 days", 1.7: "758 days", 2.5: "1739 days", 3.2: "3596 days"} {
		if a, _ := published(t, wallabyTeeth).Age(size, 0); !strings.HasPrefix(a.String(), whole) {
			t.Errorf("molar index %v: %s, want %s", size, a, whole)
		}
	}
}

func TestOutsideRangeGivesNoNumber(t *testing.T) {
	t.Parallel()
	for id, sizes := range map[string][]float64{
		possumHead:   {-1, 0, 6.5, 78.7, 90, math.NaN(), math.Inf(1)},
		wallabyTeeth: {-0.1, 4.1, 10},
	} {
		for _, size := range sizes {
			a, err := published(t, id).Age(size, 0)
			var outside *growth.Outside
			if !errors.As(err, &outside) || !strings.Contains(err.Error(), "outside range") || !math.IsNaN(a.Days) {
				t.Errorf("%s at %v: %v, %v; want outside range", id, size, a.Days, err)
			}
		}
	}
	for _, ageDays := range []float64{-1, 211, 4000} {
		if _, err := published(t, possumHead).SizeAt(ageDays); err == nil {
			t.Errorf("a size at %v days: want outside range", ageDays)
		}
	}
}

// 0.5 mm of a calliper is 1.5 days and 1 mm 2.9 (2.917 days per mm); a tenth of
// the molar index multiplies the age by 10^(0.1/2.2179) = 1.109.
func TestMeasurementOnlyBand(t *testing.T) {
	t.Parallel()
	a, err := published(t, possumHead).Age(40, 0.5)
	if err != nil || a.Spread != growth.MeasurementOnly || math.Abs(a.To-a.Days-1.96*0.5*2.917) > 1e-3 {
		t.Errorf("head 40: %+v, %v", a, err)
	}
	if !strings.Contains(a.Spread.String(), "spread between animals not known") {
		t.Errorf("the band is labelled %q", a.Spread)
	}
	from, to := a.Warned()
	if half := 0.15 * a.Days; math.Abs(a.Days-from-half) > 1e-9 || math.Abs(to-a.Days-half) > 1e-9 {
		t.Errorf("warned from %v to %v about %v, want ± 15 %%", from, to, a.Days)
	}
	young, _ := published(t, possumHead).Age(12, 0.5)
	if from, to = young.Warned(); math.Abs(young.Days-from-7) > 1e-9 || math.Abs(to-young.Days-7) > 1e-9 {
		t.Errorf("warned from %v to %v about %v, want ± 7 days", from, to, young.Days)
	}
	m, _ := published(t, wallabyTeeth).Age(1.7, 0.1/1.96)
	if math.Abs(m.To/m.Days-math.Pow(10, 0.1/2.2179)) > 1e-4 {
		t.Errorf("molar index ± 0.1: to %v of %v", m.To, m.Days)
	}
	if newborn, _ := published(t, possumHead).Age(7.5, 0); !newborn.Newborn || newborn.To != 5 || newborn.From != 0 {
		t.Errorf("head 7.5: %+v, want newborn, at most 5 days", newborn)
	}
}

func TestPublishedStand(t *testing.T) {
	t.Parallel()
	for _, r := range growth.Published() {
		if wrongs := r.Wrongs(); len(wrongs) > 0 {
			t.Errorf("%s: %v", r.ID, wrongs)
		}
		if r.Grade == "" || r.Note == "" || r.Animals == 0 && !strings.Contains(r.Note, "sample") {
			t.Errorf("%s does not say how good it is", r.ID)
		}
	}
	for _, l := range growth.PouchLives() {
		if wrongs := l.Wrongs(); len(wrongs) > 0 || l.Grade == "" {
			t.Errorf("%s: %v", l.Species, wrongs)
		}
	}
}

// curves draws a relation of any growth form with a residual error that rises
// throughout its range.
func curves(t *rapid.T) *growth.Relation {
	k := rapid.Float64Range(0.3, 4).Draw(t, "k")
	a := rapid.Float64Range(20, 200).Draw(t, "a")
	r := &growth.Relation{Species: "S", Trait: "head", Unit: "mm", AgesIn: "a", Fitted: growth.SizeOnAge, Source: "invented", Ages: []float64{0.05, 3 / k}}
	set := func(form string, values ...float64) {
		r.Form = form
		f, _ := growth.FormOf(form)
		for i, v := range values {
			r.Parameters = append(r.Parameters, growth.Parameter{Name: f.Parameters[i], Value: v})
		}
	}
	switch rapid.IntRange(0, 9).Draw(t, "form") {
	case 0:
		set("von Bertalanffy", a, k, -0.1)
	case 1:
		set("Gompertz", a, k, 0.2)
	case 2:
		set("logistic", a, k, 0.4)
	case 3:
		set("Richards", a, k, 0.4, rapid.Float64Range(0.1, 3).Draw(t, "v"))
	case 4:
		set("offset logistic", 3, a, a/20, k)
	case 5:
		set("log", a, 10*k)
	case 6:
		set("power", a, 1/k)
	case 7:
		set("polynomial", 5, a, k, 0.1)
	case 8:
		set("rooted line", 2, k, 3)
	case 9:
		r.Form = growth.Tabulated
		for i := range 6 {
			r.Table = append(r.Table, growth.Row{Age: float64(i) * 0.7 / k, Size: 5 + a*math.Sqrt(float64(i))})
		}
	}
	r.Residual = rapid.Float64Range(0.01, 3).Draw(t, "residual")
	return r
}

// The age of the size at an age is that age, and its band holds it.
func TestAgeTurnsSizeRound(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := curves(t)
		if wrongs := r.Wrongs(); len(wrongs) > 0 {
			t.Fatalf("%s: %v", r.Form, wrongs)
		}
		ageDays := rapid.Float64Range(r.Ages[0], r.Ages[1]).Draw(t, "age") * 365.25
		s, err := r.SizeAt(ageDays)
		if err != nil || s.From > s.Mean || s.To < s.Mean || s.MeanFrom > s.Mean || s.MeanTo < s.Mean {
			t.Fatalf("%s at %v days: %+v, %v", r.Form, ageDays, s, err)
		}
		a, err := r.Age(s.Mean, 0)
		if err != nil || math.Abs(a.Days-ageDays) > 1e-6*(1+ageDays) {
			t.Fatalf("%s: size %v at %v days is %v days, %v", r.Form, s.Mean, ageDays, a.Days, err)
		}
		if a.From > a.Days || a.To < a.Days {
			t.Fatalf("%s: band %v to %v without %v", r.Form, a.From, a.To, a.Days)
		}
	})
}

// Both ways: a relation of age on size too, and a larger animal is never
// younger.
func TestLargerIsOlder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := curves(t)
		if rapid.Bool().Draw(t, "age on size") {
			r = &growth.Relation{Trait: "head", Unit: "mm", Source: "invented", Form: "linear", Fitted: growth.AgeOnSize,
				Parameters: []growth.Parameter{{Name: "a", Value: 2}, {Name: "b", Value: rapid.Float64Range(0.1, 9).Draw(t, "slope")}},
				Sizes:      []float64{1, 90}, Residual: 3, Covariance: [][]float64{{4, -0.05}, {-0.05, 0.001}}}
		}
		low, high := 1.0, 90.0
		if r.Fitted == growth.SizeOnAge {
			young, _ := r.SizeAt(r.Ages[0] * 365.25)
			old, _ := r.SizeAt(r.Ages[1] * 365.25)
			low, high = young.Mean, old.Mean
		}
		small := rapid.Float64Range(low, high).Draw(t, "small")
		large := rapid.Float64Range(small, high).Draw(t, "large")
		a, errA := r.Age(small, 0)
		b, errB := r.Age(large, 0)
		if errA != nil || errB != nil || a.Days > b.Days+1e-9*(1+b.Days) {
			t.Fatalf("%s: %v is %v days (%v), %v is %v days (%v)", r.Form, small, a.Days, errA, large, b.Days, errB)
		}
	})
}

// Beyond the end of a curve only a bound is known, and far beyond it nothing.
func TestBeyondTheCurve(t *testing.T) {
	t.Parallel()
	r := growth.Relation{Trait: "foot", Unit: "mm", AgesIn: "a", Form: "von Bertalanffy", Fitted: growth.SizeOnAge, Source: "invented",
		Parameters: []growth.Parameter{{Name: "A", Value: 80}, {Name: "k", Value: 2}, {Name: "t0"}}, Ages: []float64{0, 2}, Residual: 1}
	a, err := r.Age(80, 0)
	if err != nil || !math.IsNaN(a.Days) || a.From < 300 || !math.IsInf(a.To, 1) || !strings.HasPrefix(a.String(), "at least") {
		t.Errorf("80 mm: %v, %v; want a lower bound only", a, err)
	}
	text, err := json.Marshal(a)
	if err != nil || !strings.Contains(string(text), `"days":null`) {
		t.Errorf("%s, %v", text, err)
	}
	if _, err = r.Age(90, 0); err == nil {
		t.Error("90 mm: want outside range")
	}
}

func TestWrongs(t *testing.T) {
	t.Parallel()
	good := growth.Relation{Trait: "head", Unit: "mm", Source: "invented", Form: "linear", Fitted: growth.AgeOnSize,
		Parameters: []growth.Parameter{{Name: "a", Value: -20}, {Name: "b", Value: 3}}, Sizes: []float64{7, 80}}
	if wrongs := good.Wrongs(); len(wrongs) > 0 {
		t.Fatal(wrongs)
	}
	tests := []struct {
		spoil func(*growth.Relation)
		says  string
	}{
		{func(r *growth.Relation) { r.Source = " " }, "no source"},
		{func(r *growth.Relation) { r.Trait = "" }, "no trait"},
		{func(r *growth.Relation) { r.Unit = "" }, "no unit"},
		{func(r *growth.Relation) { r.AgesIn = "year" }, "no unit of age"},
		{func(r *growth.Relation) { r.Fitted = "" }, "does not say which way"},
		{func(r *growth.Relation) { r.Form = "cubic" }, "not known here"},
		{func(r *growth.Relation) { r.Form = "Gompertz" }, "gives size from age"},
		{func(r *growth.Relation) { r.Fitted = growth.GainOnSize }, "gain on size"},
		{func(r *growth.Relation) { r.Parameters = r.Parameters[:1] }, "parameters a of form linear"},
		{func(r *growth.Relation) { r.Parameters[0].Value, r.Parameters[1].Value = 500, -3 }, "must rise"},
		{func(r *growth.Relation) { r.Parameters[1].Value = math.Inf(1) }, "parameter b"},
		{func(r *growth.Relation) { r.Sizes[0] = 6 }, "gives the age -2"},
		{func(r *growth.Relation) { r.Sizes = nil }, "no sizes"},
		{func(r *growth.Relation) { r.Sizes = []float64{80, 7} }, "is no range"},
		{func(r *growth.Relation) { r.Residual = -1 }, "residual sd -1"},
		{func(r *growth.Relation) { r.Covariance = [][]float64{{1}} }, "covariance"},
		{func(r *growth.Relation) { r.Form, r.Parameters = growth.Tabulated, nil }, "table of 0 rows"},
	}
	for _, test := range tests {
		r := good
		r.Parameters = append([]growth.Parameter(nil), good.Parameters...)
		r.Sizes = append([]float64(nil), good.Sizes...)
		test.spoil(&r)
		if wrongs := r.Wrongs(); len(wrongs) == 0 || !strings.Contains(wrongs[0].Error(), test.says) {
			t.Errorf("want %q, got %v", test.says, wrongs)
		}
	}
}

// What was adopted reads back as it was; whatever else is read, is usable.
func FuzzRead(f *testing.F) {
	for _, r := range growth.Published() {
		text, err := json.Marshal(r)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(`{"species":"","trait":"foot","unit":"mm","ages_in":"a","form":"gain to an asymptote","fitted":"gain on size","parameters":[{"name":"A","value":80},{"name":"k","value":2}],"sizes":[20,80],"source":"own"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := growth.Read(text)
		if err != nil {
			return
		}
		again, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if _, err = growth.Read(again); err != nil {
			t.Fatalf("%s: %v", again, err)
		}
		for _, x := range append(r.Sizes, r.Ages...) {
			if a, err := r.Age(x, 0); err == nil && (a.From > a.To || a.Days < 0 && r.Fitted == growth.AgeOnSize && len(r.Ages) == 2 && r.Ages[0] >= 0) {
				t.Fatalf("%s at %v: %+v", text, x, a)
			}
			_, _ = r.SizeAt(x) // an error or a size, but no panic
			_, _ = r.Next(x, 30)
		}
	})
}

// Few animals make a wider band: 10 with two parameters reach 2.306 standard
// deviations (Student with 8 degrees of freedom, any table), unknown numbers
// 1.96.
func TestFewAnimalsMakeAWiderBand(t *testing.T) {
	t.Parallel()
	r := growth.Relation{Trait: "head", Unit: "mm", Source: "invented", Form: "linear", Fitted: growth.AgeOnSize,
		Parameters: []growth.Parameter{{Name: "a", Value: 0}, {Name: "b", Value: 3}}, Sizes: []float64{7, 80}, Residual: 2}
	for animals, want := range map[int]float64{0: 1.960, 10: 2.306, 5: 3.182, 2: 3.182, 12: 2.228, 32: 2.042, 1000: 1.962} {
		r.Animals = animals
		a, err := r.Age(40, 0)
		if got := (a.To - a.Days) / 2; err != nil || math.Abs(got-want) > 0.006*want {
			t.Errorf("%d animals: %v standard deviations, %v; want %v", animals, got, err, want)
		}
	}
}
