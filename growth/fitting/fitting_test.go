package fitting

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"dawnround/fit"
	"dawnround/growth"

	"pgregory.net/rapid"
)

// estimate finds one by name.
func estimate(t testing.TB, r Result, name string) fit.Estimate {
	t.Helper()
	for _, e := range r.Estimates {
		if e.Name == name {
			return e
		}
	}
	t.Fatalf("%s gives no %q", r.Model, name)
	return fit.Estimate{}
}

// The trunk circumferences of five orange trees (Draper & Smith 1981, Applied
// Regression Analysis, p. 524; from memory): the standing example of a logistic
// curve with an asymptote of each tree's own.
func orangeTrees() []Reading {
	days := []float64{118, 484, 664, 1004, 1231, 1372, 1582}
	trees := map[string][]float64{
		"1": {30, 58, 87, 115, 120, 142, 145}, "2": {33, 69, 111, 156, 172, 203, 203}, "3": {30, 51, 75, 108, 115, 139, 140},
		"4": {32, 62, 112, 167, 179, 209, 214}, "5": {30, 49, 81, 125, 142, 174, 177},
	}
	var out []Reading
	for tree, sizes := range trees {
		for i, size := range sizes {
			out = append(out, Reading{Animal: tree, Day: days[i], Age: days[i], Size: size})
		}
	}
	return out
}

// By maximum likelihood: asymptote 192.05 (standard error 15.58), its standard
// deviation 31.65, residual 7.843, deviance 263.1, time of half growth 727.9
// days and scale 348.1 days (Bates 2010 and the documentation of his mixed-model
// library, by Laplace's method, exact here; Pinheiro & Bates 2000, chapter 8,
// give 191.05, 31.48, 7.846, 722.6, 344.2 and the same log-likelihood −131.58 by
// an approximation; both from memory).
func TestOrangeTrees(t *testing.T) {
	t.Parallel()
	r := layKnown(aged(animals(orangeTrees())), shapes[2], KnownOptions{Form: "logistic", Random: true}).result()
	tests := []struct {
		what           string
		got, want, tol float64
	}{
		{"asymptote", estimate(t, r, "A").Value, 192.05, 0.02},
		{"its error", estimate(t, r, "A").SE, 15.58, 0.5},
		{"asymptote sd", estimate(t, r, "asymptote sd").Value, 31.646, 0.02},
		{"residual sd", estimate(t, r, "residual sd").Value, 7.843, 0.002},
		{"−2 ln L", r.Fit.Minus2LnL, 263.1, 0.06},
		{"half growth, days", estimate(t, r, "ti").Value * daysPerYear, 727.9, 0.1},
		{"scale, days", daysPerYear / estimate(t, r, "k").Value, 348.1, 0.1},
	}
	for _, test := range tests {
		if !(math.Abs(test.got-test.want) <= test.tol) {
			t.Errorf("%s: %v, want %v ± %v", test.what, test.got, test.want, test.tol)
		}
	}
}

// exact is Fabens growth of animals without any error.
func exact(n int, asymptote, k float64) []Reading {
	var out []Reading
	for i := range n {
		size := asymptote * (0.3 + 0.65*float64(i)/float64(n))
		days := 60 + float64(i%5)*40
		name := string(rune('a' + i))
		out = append(out, Reading{Animal: name, Day: 10, Size: size, Age: math.NaN()},
			Reading{Animal: name, Day: 10 + days, Size: size + growth.FabensGain(size, days/daysPerYear, asymptote, k), Age: math.NaN()})
	}
	return out
}

func TestFabensFindsTheCurve(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, k := rapid.Float64Range(20, 200).Draw(t, "A"), rapid.Float64Range(0.3, 4).Draw(t, "k")
		g, err := gainsOf(exact(20, a, k))
		if err != nil {
			t.Fatal(err)
		}
		for i := range g.pairs { // a little error, the same up and down, so that there is something to maximise
			g.pairs[i].gain += 1e-4 * a * float64(1-2*(i%2))
		}
		for i := range g.of {
			g.of[i] = g.pairs[i : i+1]
		}
		begunA, begunK, _ := g.begin()
		if math.Abs(begunA-a) > 0.2*a || math.Abs(begunK-k) > 0.3*k {
			t.Fatalf("begins at %v, %v", begunA, begunK)
		}
	})
	r, err := Fabens(noisy(exact(24, 78, 1.9), 0.02))
	if err != nil {
		t.Fatal(err)
	}
	if a, k := estimate(t, r, "A"), estimate(t, r, "k"); math.Abs(a.Value-78) > 4*a.SE || math.Abs(k.Value-1.9) > 4*k.SE || a.SE > 0.2 {
		t.Errorf("A %+v, k %+v", a, k)
	}
}

func noisy(readings []Reading, sd float64) []Reading {
	rng := rand.New(rand.NewPCG(3, 3))
	for i := range readings {
		readings[i].Size += sd * rng.NormFloat64()
	}
	return readings
}

// With two means and one standard deviation Francis's model is Fabens's: the
// same likelihood, asymptote and rate, wherever alpha and beta are put.
func TestFrancisIsFabens(t *testing.T) {
	t.Parallel()
	data := headTruth.grown(25, false, rand.New(rand.NewPCG(7, 1)))
	f, err := Fabens(data)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range []FrancisOptions{{}, {Alpha: 55, Beta: 72}, {Alpha: 40, Beta: 76}} {
		r, err := Francis(data, o)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Fit.Minus2LnL-f.Fit.Minus2LnL) > 1e-6 {
			t.Errorf("−2 ln L %v, Fabens %v", r.Fit.Minus2LnL, f.Fit.Minus2LnL)
		}
		for _, name := range []string{"A", "k"} {
			got, want := estimate(t, r, name), estimate(t, f, name)
			if math.Abs(got.Value-want.Value) > 1e-4*want.Value || math.Abs(got.SE-want.SE) > 2e-2*want.SE {
				t.Errorf("%s: %v ± %v, Fabens %v ± %v", name, got.Value, got.SE, want.Value, want.SE)
			}
		}
	}
}

// A season that was put in is found, and outliers are told from growth.
func TestFrancisSeasonAndOutliers(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(11, 4))
	var data []Reading
	const turn = 2 * math.Pi
	for i := range 300 {
		name := string(rune('A'+i/26)) + string(rune('a'+i%26))
		size, day := 30+45*rng.Float64(), 365*rng.Float64()
		last := day + 60 + 150*rng.Float64()
		// fastest at a fifth of the year, amplitude 0.6
		grown := (last-day)/daysPerYear + 0.6*(math.Sin(turn*(last/daysPerYear-0.2))-math.Sin(turn*(day/daysPerYear-0.2)))/turn
		after := size + growth.FabensGain(size, grown, 78, 1.9) + 0.3*rng.NormFloat64()
		if i%30 == 0 {
			after += 12
		}
		data = append(data, Reading{name, day, size, math.NaN(), ""}, Reading{name, last, after, math.NaN(), ""})
	}
	r, err := Francis(data, FrancisOptions{Season: true, Outliers: true})
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]float64{"season amplitude": 0.6, "season fastest at share of the year": 0.2, "A": 78, "k": 1.9, "share of outliers": 10.0 / 300} {
		if e := estimate(t, r, name); !(math.Abs(e.Value-want) < 4*e.SE) || e.SE > 0.4*want {
			t.Errorf("%s: %v ± %v, want %v", name, e.Value, e.SE, want)
		}
	}
}

// The exact likelihoods are those of the multivariate normal, worked out in
// full.
func TestLikelihoodsInFull(t *testing.T) {
	t.Parallel()
	data := headTruth.grown(30, true, rand.New(rand.NewPCG(5, 5)))
	k, err := newKnown(data, KnownOptions{Form: "Gompertz", Random: true})
	if err != nil {
		t.Fatal(err)
	}
	x := k.likelihood().starts[0]
	p := k.natural(x)
	for i, a := range k.animals[:5] {
		k.look(a, p)
		v, r := make([][]float64, len(a.readings)), make([]float64, len(a.readings))
		for j := range v {
			v[j] = make([]float64, len(v))
			r[j] = k.r[j]
			for l := range v {
				v[j][l] = p.own * k.h[j] * k.h[l]
			}
			v[j][j] += p.residual
		}
		same(t, "Gompertz", k.log(i, x, make([]float64, len(x))), full(v, r))
	}
	g, _ := gainsOf(data)
	m := &approach{animals: g.animals, names: make([]string, 7)}
	x = m.likelihood(g).starts[0]
	x[5] = 0.7
	e := m.natural(x)
	for i, a := range m.animals[:5] {
		v, r := make([][]float64, len(a.readings)), make([]float64, len(a.readings))
		z := make([]float64, len(v))
		for j, reading := range a.readings {
			z[j] = -math.Exp(-e.k * (reading.Day - a.readings[0].Day) / daysPerYear)
			r[j] = reading.Size - e.a - e.d*z[j]
		}
		for j := range v {
			v[j] = make([]float64, len(v))
			for l := range v {
				v[j][l] = e.vaa + e.vad*(z[j]+z[l]) + e.vdd*z[j]*z[l]
			}
			v[j][j] += e.residual
		}
		same(t, "approach", m.log(i, x, make([]float64, len(x))), full(v, r))
	}
}

func same(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
		t.Errorf("%s: ln L %v, in full %v", what, got, want)
	}
}

// full is ln of the multivariate normal density, its determinant by
// elimination.
func full(v [][]float64, r []float64) float64 {
	log := -float64(len(r))*halfLn2Pi - quadratic(v, r)/2
	for i := range v {
		log -= math.Log(v[i][i]) / 2
		for k := i + 1; k < len(v); k++ {
			share := v[k][i] / v[i][i]
			for j := range v {
				v[k][j] -= share * v[i][j]
			}
		}
	}
	return log
}

func TestTooThin(t *testing.T) {
	t.Parallel()
	few := exact(11, 78, 1.9)
	some := headTruth.grown(9, true, rand.New(rand.NewPCG(1, 2)))[:29]
	tests := []struct {
		name string
		fit  func() (Result, error)
		have int
		need int
	}{
		{"Fabens", func() (Result, error) { return Fabens(few) }, 11, 12},
		{"Francis", func() (Result, error) { return Francis(few, FrancisOptions{}) }, 11, 12},
		{"variability", func() (Result, error) { return Francis(exact(20, 78, 1.9), FrancisOptions{Variability: true}) }, 20, 30},
		{"approach", func() (Result, error) { return Approach(exact(24, 78, 1.9), 0) }, 0, 30},
		{"asymptotes of their own", func() (Result, error) {
			return Known(some, KnownOptions{Form: "logistic", Random: true})
		}, -1, 30},
		{"Richards", func() (Result, error) { return Known(some, KnownOptions{Form: "Richards"}) }, 29, 30},
		{"no ages", func() (Result, error) { return Known(few, KnownOptions{Form: "Gompertz"}) }, 0, 12},
	}
	for _, test := range tests {
		_, err := test.fit()
		var thin *TooThin
		if !errors.As(err, &thin) || thin.Need != test.need || test.have >= 0 && thin.Have != test.have {
			t.Errorf("%s: %v; want %d of %d", test.name, err, test.have, test.need)
		}
	}
	if _, err := Known(some, KnownOptions{Form: "logistic", Random: true, TechnicalError: 0.5}); err != nil {
		t.Errorf("with the technical error supplied: %v", err)
	}
	if _, err := Approach(noisy(exact(24, 78, 1.9), 0.1), 0.1); err != nil {
		t.Errorf("with the technical error supplied: %v", err)
	}
}

// Two readings within a fortnight are no growth; a shrunken animal stays in.
func TestPairs(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	all := animals([]Reading{
		{"b", 0, 50, nan, ""}, {"b", 5, 50.3, nan, ""}, {"b", 60, 49.8, nan, ""}, {"b", 73, 51, nan, ""}, {"b", 100, 52, nan, ""},
		{"a", 0, 40, nan, ""}, {"a", 13, 41, nan, ""},
	})
	got, between := pairs(repeated(all))
	if len(got) != 2 || between != 2 || math.Abs(got[0].gain+0.2) > 1e-12 || got[1].from != 49.8 {
		t.Errorf("%+v, %d between", got, between)
	}
}

// What was fitted can be adopted: it reads back, and gives at the bench what
// the fit expected.
func TestAdopted(t *testing.T) {
	t.Parallel()
	data := headTruth.grown(60, true, rand.New(rand.NewPCG(2, 9)))
	for _, form := range KnownForms() {
		r, err := Known(data, KnownOptions{Form: form, Random: true})
		if err != nil {
			t.Fatal(err)
		}
		r.Name("Invented species", "head", "mm", "state 1")
		text, err := json.Marshal(r.Relation)
		if err != nil {
			t.Fatal(err)
		}
		adopted, err := growth.Read(text)
		if err != nil {
			t.Fatalf("%s: %v\n%s", form, err, text)
		}
		for _, d := range r.Residuals[:20] {
			s, err := adopted.SizeAt(d.At)
			if err != nil || math.Abs(s.Mean-d.Expected) > 1e-9*d.Expected || s.From >= s.MeanFrom || s.To <= s.MeanTo {
				t.Errorf("%s at %v days: %+v, %v; expected %v", form, d.At, s, err, d.Expected)
			}
		}
		if a, err := adopted.Age(50, 0); err != nil || a.From >= a.Days || a.To <= a.Days || a.Spread != growth.BetweenAnimals {
			t.Errorf("%s: 50 mm is %+v, %v", form, a, err)
		}
	}
	r, err := Approach(data, 0)
	if err != nil {
		t.Fatal(err)
	}
	r.Name("Invented species", "head", "mm", "state 1")
	text, _ := json.Marshal(r.Relation)
	adopted, err := growth.Read(text)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if s, err := adopted.Next(50, 100); err != nil || s.Mean < 55 || s.Mean > 65 || s.From >= s.Mean {
		t.Errorf("50 mm, 100 days later: %+v, %v", s, err)
	}
}

// Nine of ten readings of animals not in the fit lie in a 95 % prediction band,
// or more.
func TestPredictionBand(t *testing.T) {
	t.Parallel()
	fitted := headTruth.grown(100, true, rand.New(rand.NewPCG(20, 1)))
	r, err := Known(fitted, KnownOptions{Form: "von Bertalanffy", Random: true})
	if err != nil {
		t.Fatal(err)
	}
	within, n := 0, 0
	for _, other := range headTruth.grown(400, true, rand.New(rand.NewPCG(20, 2))) {
		if s, err := r.Relation.SizeAt(other.Age); err == nil {
			n++
			if other.Size >= s.From && other.Size <= s.To {
				within++
			}
		}
	}
	if share := float64(within) / float64(n); n < 1000 || share < 0.92 || share > 0.98 {
		t.Errorf("%d of %d readings of others lie within the band", within, n)
	}
}

func TestBySex(t *testing.T) {
	t.Parallel()
	data := headTruth.grown(60, true, rand.New(rand.NewPCG(30, 1)))
	larger := headTruth
	larger.asymptote = 84
	for i := range data {
		data[i].Sex = "female"
	}
	for _, m := range larger.grown(60, true, rand.New(rand.NewPCG(30, 2))) {
		m.Animal, m.Sex = "m"+m.Animal, "male"
		data = append(data, m)
	}
	model := func(d []Reading) (Result, error) {
		return Known(d, KnownOptions{Form: "von Bertalanffy", Random: true})
	}
	s, err := BySex(data, true, model)
	if err != nil {
		t.Fatal(err)
	}
	if f, m := estimate(t, s.Female, "A").Value, estimate(t, s.Male, "A").Value; m-f < 4 || s.Test.P > 1e-6 || s.Test.DF != 3 || s.Male.Relation.Sex != "male" {
		t.Errorf("A %v and %v, %+v", f, m, s.Test)
	}
	var thin *TooThin
	if _, err = BySex(data[:200], true, model); !errors.As(err, &thin) || !strings.Contains(err.Error(), "males") {
		t.Errorf("one sex only: %v", err)
	}
}

// One animal moved, or readings told in another order, change nothing.
func TestOrderDoesNotMatter(t *testing.T) {
	t.Parallel()
	data := headTruth.grown(40, false, rand.New(rand.NewPCG(9, 9)))
	a, errA := Approach(data, 0)
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(data), func(i, j int) { data[i], data[j] = data[j], data[i] })
	b, errB := Approach(data, 0)
	if errA != nil || errB != nil || a.Fit.Minus2LnL != b.Fit.Minus2LnL {
		t.Errorf("−2 ln L %v and %v, %v, %v", a.Fit.Minus2LnL, b.Fit.Minus2LnL, errA, errB)
	}
}

// Richards's curve is von Bertalanffy's at v = −1, Gompertz's at 0 and the
// logistic at 1.
func TestRichardsHoldsTheOthers(t *testing.T) {
	t.Parallel()
	d := make([]float64, 3)
	for i, v := range []float64{-1, 0, 1} {
		for _, age := range []float64{0.5, 1, 2, 5} {
			got := shapes[3].reached(1.9, 0.2, v, age, d)
			if want := shapes[i].reached(1.9, 0.2, 1, age, d); math.Abs(got-want) > 1e-12 {
				t.Errorf("v = %v at %v: %v, %s %v", v, age, got, shapes[i].form, want)
			}
		}
	}
}

func BenchmarkKnown(b *testing.B) {
	data := headTruth.grown(100, true, rand.New(rand.NewPCG(1, 1)))
	b.Run("100_animals_400_readings", func(b *testing.B) {
		for b.Loop() {
			_, _ = Known(data, KnownOptions{Form: "von Bertalanffy", Random: true})
		}
	})
}

func BenchmarkApproach(b *testing.B) {
	data := headTruth.grown(100, false, rand.New(rand.NewPCG(1, 1)))
	b.Run("100_animals_400_readings", func(b *testing.B) {
		for b.Loop() {
			_, _ = Approach(data, 0)
		}
	})
}
