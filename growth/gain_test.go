package growth_test

import (
	"math"
	"testing"

	"dawnround/growth"

	"pgregory.net/rapid"
)

// Invented examples, worked by hand.
func TestGains(t *testing.T) {
	t.Parallel()
	f := growth.Francis{Alpha: 55, Beta: 72, GainAlpha: 18.5, GainBeta: 4.2}
	tests := []struct {
		what           string
		got, want, tol float64
	}{
		{"Fabens from 62 mm: 16 × 0.5498", growth.FabensGain(62, 0.42, 78, 1.9), 8.80, 0.005},
		{"Fabens from 70 mm: 8 × 0.5498", growth.FabensGain(70, 0.42, 78, 1.9), 4.40, 0.005},
		{"rate of 62 to 70.5: −ln(7.5/16)/0.42", growth.FabensRate(62, 70.5, 0.42, 78), 1.80, 0.005},
		{"Francis asymptote: 1101/14.3", f.Asymptote(), 77.0, 0.05},
		{"Francis k: −ln(1 − 14.3/17)", f.K(), 1.84, 0.005},
		{"Francis from 62 mm", f.Gain(62, 0.42), 8.07, 0.005},
		{"Francis from α in a year is g_α", f.Gain(55, 1), 18.5, 1e-12},
		{"Francis from β in a year is g_β", f.Gain(72, 1), 4.2, 1e-12},
		{"limit of a gain of 8 mm, s.d. 15 %, technical error 0.5", growth.GainLimit(8, 0, 0.5), 2.5 * math.Sqrt(1.44+0.5), 1e-12},
	}
	for _, test := range tests {
		if math.Abs(test.got-test.want) > test.tol {
			t.Errorf("%s: %v, want %v", test.what, test.got, test.want)
		}
	}
}

// Francis's gains and Fabens's curve are one: each gives the other's answer.
func TestFrancisIsFabens(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(10, 300).Draw(t, "asymptote")
		k := rapid.Float64Range(0.05, 4).Draw(t, "k")
		size := rapid.Float64Range(0, 1.1*a).Draw(t, "size")
		years := rapid.Float64Range(0, 3).Draw(t, "years")
		f := growth.OfFabens(a, k, 0.4*a, 0.8*a)
		if got, want := f.Gain(size, years), growth.FabensGain(size, years, a, k); math.Abs(got-want) > 1e-9*a {
			t.Fatalf("%v, want %v", got, want)
		}
		if math.Abs(f.Asymptote()-a) > 1e-8*a || math.Abs(f.K()-k) > 1e-8*(1+k) {
			t.Fatalf("asymptote %v, k %v", f.Asymptote(), f.K())
		}
	})
}

// From any size, more time is more growth, and the band holds the mean.
func TestNext(t *testing.T) {
	t.Parallel()
	r := growth.Relation{Trait: "head", Unit: "mm", AgesIn: "a", Form: growth.Saturating, Fitted: growth.GainOnSize, Source: "invented",
		Parameters: []growth.Parameter{{Name: "A", Value: 78}, {Name: "k", Value: 1.9}}, Sizes: []float64{30, 80}, Residual: 1,
		Covariance: [][]float64{{0.5, -0.01}, {-0.01, 0.02}}}
	if wrongs := r.Wrongs(); len(wrongs) > 0 {
		t.Fatal(wrongs)
	}
	s, err := r.Next(62, 0.42*365.25)
	if err != nil || math.Abs(s.Mean-70.80) > 0.005 {
		t.Errorf("62 mm after 0.42 years: %+v, %v; want 70.80", s, err)
	}
	if _, err = r.Next(20, 30); err == nil {
		t.Error("20 mm: want outside range")
	}
	if _, err = r.Age(62, 0); err == nil {
		t.Error("a curve of gains gave an age")
	}
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Float64Range(30, 80).Draw(t, "size")
		soon := rapid.Float64Range(0, 900).Draw(t, "soon")
		late := rapid.Float64Range(soon, 900).Draw(t, "late")
		a, _ := r.Next(size, soon)
		b, _ := r.Next(size, late)
		if b.Mean < a.Mean || a.Mean < size || a.From > a.Mean || a.To < a.Mean || a.MeanFrom < a.From || a.MeanTo > a.To {
			t.Fatalf("%v mm: %+v, later %+v", size, a, b)
		}
	})
}
