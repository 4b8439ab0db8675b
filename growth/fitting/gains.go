package fitting

import (
	"math"
	"slices"

	"dawnround/growth"
)

// Samples below which gains are not fitted (LeastPairs), or only by two means
// and one standard deviation (ManyPairs). Common practice, no source.
const (
	LeastPairs = 12
	ManyPairs  = 30
)

// gains are the pairs of a sample, in the order of their animals.
type gains struct {
	animals []animal
	pairs   []pair
	of      [][]pair // by animal
	between int      // readings left out
}

func gainsOf(readings []Reading) (gains, error) {
	g := gains{animals: repeated(animals(readings))}
	g.pairs, g.between = pairs(g.animals)
	if len(g.pairs) < LeastPairs {
		return g, &TooThin{Have: len(g.pairs), Need: LeastPairs, Of: "pairs of captures at least 14 days apart", Instead: "use a relation of a related species with a wide band until then"}
	}
	g.of = make([][]pair, len(g.animals))
	for _, p := range g.pairs {
		g.of[p.animal] = append(g.of[p.animal], p)
	}
	return g, nil
}

// begin finds the asymptote, rate and standard deviation with the least squares
// over a grid of rates: given the rate, the asymptote is a mean.
func (g gains) begin() (asymptote, k, sd float64) {
	least := math.Inf(1)
	for try := 0.05; try < 30; try *= 1.15 {
		sxy, sxx := 0.0, 0.0
		for _, p := range g.pairs {
			e := -math.Expm1(-try * p.years)
			sxy += e * (p.gain + p.from*e)
			sxx += e * e
		}
		a, squares := sxy/sxx, 0.0
		for _, p := range g.pairs {
			r := p.gain - growth.FabensGain(p.from, p.years, a, try)
			squares += r * r
		}
		if squares < least {
			least, asymptote, k = squares, a, try
		}
	}
	return asymptote, k, math.Sqrt(least/float64(len(g.pairs))) + 1e-9*math.Abs(asymptote)
}

// Fabens fits A and k of growth between captures of unknown age by least
// squares, which is maximum likelihood with one standard deviation for all
// gains (Fabens 1965, Growth 29:265–289). Sizes are in any unit, k is per year.
// Errors are by animal. Where asymptotes differ between animals its A is too
// low and its k too high or the other way about, depending on the sample: see
// [Approach]. It refuses fewer than 12 pairs.
func Fabens(readings []Reading) (Result, error) {
	g, err := gainsOf(readings)
	if err != nil {
		return Result{}, err
	}
	a, k, sd := g.begin()
	l := likelihood{
		names:  []string{"A", "k", "sd of gain"},
		scales: []float64{math.Min(0.1, sd/math.Abs(a)), 0.1, 0.1},
		units:  len(g.animals),
		starts: [][]float64{{math.Log(a), math.Log(k), math.Log(sd)}},
	}
	l.of = func(i int, x, gradient []float64) float64 {
		a, k, v := math.Exp(x[0]), math.Exp(x[1]), math.Exp(2*x[2])
		sum := 0.0
		for _, p := range g.of[i] {
			left := math.Exp(-k * p.years)
			log, byR, byV := normal(p.gain-(a-p.from)*(1-left), v)
			sum += log
			gradient[0] -= byR * a * (1 - left)
			gradient[1] -= byR * (a - p.from) * k * p.years * left
			gradient[2] += byV * 2 * v
		}
		return sum
	}
	r := g.result("Fabens", "Fabens 1965, Growth 29:265–289", l.maximise(true))
	r.positive(0, "A")
	r.positive(1, "k")
	r.positive(2, "sd of gain")
	x := r.Fit.X
	r.relate(g, math.Exp(x[0]), math.Exp(x[1]), [][]float64{{math.Exp(x[0]), 0, 0}, {0, math.Exp(x[1]), 0}})
	r.Relation.Residual = r.unbiased(math.Exp(x[2]), false)
	r.gainResiduals(g, func(p pair, mean float64) float64 { return math.Exp(x[2]) }, nil)
	return r, nil
}

// sortedSizes are the sizes at which pairs begin and end, ascending.
func (g gains) sortedSizes() []float64 {
	var sizes []float64
	for _, p := range g.pairs {
		sizes = append(sizes, p.from, p.from+p.gain)
	}
	slices.Sort(sizes)
	return sizes
}
