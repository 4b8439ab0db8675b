package fitting

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The derivatives by hand are those of the likelihood: compared with differences
// of it, at places away from the maximum.
func TestGradients(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 1))
	data := headTruth.grown(40, true, rng)
	g, err := gainsOf(data)
	if err != nil {
		t.Fatal(err)
	}
	likelihoods := map[string]likelihood{}
	for name, o := range map[string]FrancisOptions{
		"Francis, bare": {}, "Francis, all": {Variability: true, Outliers: true, Season: true},
		"Francis, error supplied": {Variability: true, TechnicalError: 0.5},
	} {
		likelihoods[name] = newFrancis(g, o).likelihood()
	}
	for _, form := range KnownForms() {
		for _, o := range []KnownOptions{{Form: form}, {Form: form, Random: true}, {Form: form, Random: true, TechnicalError: 0.5}} {
			k, err := newKnown(data, o)
			if err != nil {
				t.Fatal(err)
			}
			likelihoods[k.model()+map[bool]string{true: ", error supplied"}[o.TechnicalError > 0]] = k.likelihood()
		}
	}
	for _, technical := range []float64{0, 0.5} {
		m := &approach{animals: g.animals, technicalError: technical, names: make([]string, 7)[:map[bool]int{true: 7, false: 6}[technical == 0]]}
		likelihoods["approach"+map[bool]string{true: ", error supplied"}[technical > 0]] = m.likelihood(g)
	}
	for name, l := range likelihoods {
		x := append([]float64(nil), l.starts[0]...)
		for i := range x {
			x[i] += 0.02 * rng.NormFloat64()
		}
		gradient := make([]float64, len(x))
		l.log(x, gradient)
		for i := range x {
			const h = 1e-6
			was := x[i]
			x[i] = was + h
			above := l.log(x, nil)
			x[i] = was - h
			below := l.log(x, nil)
			x[i] = was
			if want := (above - below) / (2 * h); math.Abs(want-gradient[i]) > 1e-5*(1+math.Abs(want)) {
				t.Errorf("%s: derivative by parameter %d is %v, differences give %v", name, i, gradient[i], want)
			}
		}
	}
}
