package fit

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// AICc is Akaike's criterion corrected for small samples: −2 ln L + 2k +
// 2k(k+1)/(n−k−1) (Hurvich & Tsai 1989; Burnham & Anderson 2002). It
// does not exist, and is NaN, where n ≤ k + 1.
func AICc(minus2LnL float64, k, n int) float64 {
	if n <= k+1 {
		return math.NaN()
	}
	kk := float64(k)
	return minus2LnL + 2*kk + 2*kk*(kk+1)/float64(n-k-1)
}

// QAICc is AICc with −2 ln L divided by the variance inflation ĉ (Burnham &
// Anderson 2002). A ĉ below 1 is taken as 1. Whether ĉ
// itself counts as a parameter is the caller's choice, since papers differ.
func QAICc(minus2LnL float64, k, n int, cHat float64, counted bool) float64 {
	if counted {
		k++
	}
	return AICc(minus2LnL/math.Max(1, cHat), k, n)
}

// A Candidate is one model in a comparison.
type Candidate struct {
	Name       string
	Minus2LnL  float64
	Parameters int
	SampleSize int
	SampleOf   string // what is counted: "animals caught", "releases"
	Apart      string // why it may be listed but not weighed; "" lets it be
}

// An Inflation says how overdispersion enters a comparison. Its zero value is
// none.
type Inflation struct {
	CHat    float64
	Counted bool // ĉ counts as a parameter
}

// A Ranked is a candidate in its place in the table.
type Ranked struct {
	Candidate
	Criterion float64 // AICc, or QAICc where ĉ is above 1; NaN where the sample is too small for it
	Delta     float64 // above the best of those weighed
	Weight    float64 // Akaike weight; 0 for those set apart
}

// Compare ranks models by AICc or QAICc, best first, and weighs them. Models
// of different samples have no common scale: those are an error. A model set
// apart, or too rich for its sample, is listed last without weight.
func Compare(candidates []Candidate, inflation Inflation) ([]Ranked, error) {
	table := make([]Ranked, len(candidates))
	best := math.Inf(1)
	for i, c := range candidates {
		if c.SampleSize != candidates[0].SampleSize || c.SampleOf != candidates[0].SampleOf {
			return nil, fmt.Errorf("model %s has a sample of %d %s, model %s one of %d %s: compare models of the same data only",
				candidates[0].Name, candidates[0].SampleSize, candidates[0].SampleOf, c.Name, c.SampleSize, c.SampleOf)
		}
		table[i] = Ranked{Candidate: c, Criterion: inflation.criterion(c)}
		if table[i].weighed() {
			best = math.Min(best, table[i].Criterion)
		}
	}
	total := 0.0
	for i := range table {
		table[i].Delta = table[i].Criterion - best
		if table[i].weighed() {
			table[i].Weight = math.Exp(-table[i].Delta / 2)
			total += table[i].Weight
		}
	}
	for i := range table {
		if total > 0 {
			table[i].Weight /= total
		}
	}
	slices.SortStableFunc(table, func(a, b Ranked) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), compareNumbers(a.Criterion, b.Criterion))
	})
	return table, nil
}

func (r Ranked) weighed() bool { return r.Apart == "" && !math.IsNaN(r.Criterion) }

func (i Inflation) criterion(c Candidate) float64 {
	if i.CHat > 1 {
		return QAICc(c.Minus2LnL, c.Parameters, c.SampleSize, i.CHat, i.Counted)
	}
	return AICc(c.Minus2LnL, c.Parameters, c.SampleSize)
}

// compareNumbers puts NaN last.
func compareNumbers(a, b float64) int {
	switch {
	case math.IsNaN(a) && math.IsNaN(b):
		return 0
	case math.IsNaN(a):
		return 1
	case math.IsNaN(b):
		return -1
	}
	return cmp.Compare(a, b)
}

// An Averaged is an estimate over several models. SE is the later of the two
// published unconditional errors, √Σ w (variance + (estimate − mean)²) (Burnham
// & Anderson 2004, Sociological Methods and Research 33:261–304); SEFirst
// the earlier, Σ w √(variance + (estimate − mean)²) (Burnham & Anderson 2002,
// eq. 4.9).
type Averaged struct {
	Estimate
	SEFirst float64
	Left    float64 // weight of the models that could not give the estimate
}

// Average weighs the estimates of several models; the interval is ±1.96 SE on
// the link's scale. Models in which the estimate has no error (at a boundary
// or not estimable) are left out, their weight is told, and the others' weights
// are raised to sum to 1.
func Average(estimates []Estimate, weights []float64, link Link) Averaged {
	total, left, mean := 0.0, 0.0, 0.0
	for i, e := range estimates {
		if e.Status != Estimable {
			left += weights[i]
			continue
		}
		total += weights[i]
		mean += weights[i] * e.Value
	}
	if total == 0 {
		return Averaged{Estimate: Lost(""), SEFirst: math.NaN(), Left: left}
	}
	mean /= total
	var a Averaged
	a.Value, a.Left = mean, left
	for i, e := range estimates {
		if e.Status != Estimable {
			continue
		}
		a.Name = e.Name
		spread := e.SE*e.SE + (e.Value-mean)*(e.Value-mean)
		a.SE += weights[i] / total * spread
		a.SEFirst += weights[i] / total * math.Sqrt(spread)
	}
	a.SE = math.Sqrt(a.SE)
	half := z95 * a.SE / link.Slope(mean)
	a.Lower, a.Upper = link.Natural(link.Eta(mean)-half), link.Natural(link.Eta(mean)+half)
	return a
}

// A Test is a likelihood-ratio or chi-square test.
type Test struct {
	ChiSquare float64 `json:"chi_square"`
	DF        int     `json:"df"`
	P         float64 `json:"p"`
}

// LikelihoodRatio tests a model within a more general one: the fall of −2 ln L
// against chi-square with as many degrees of freedom as parameters were added.
// It is an error unless the general model has more of them. Its P is too small
// where the simple model sets a parameter to an end of its range.
func LikelihoodRatio(simple, general Candidate) (Test, error) {
	df := general.Parameters - simple.Parameters
	if df < 1 {
		return Test{}, fmt.Errorf("model %s has %d parameters, %s has %d: the second must have more",
			simple.Name, simple.Parameters, general.Name, general.Parameters)
	}
	x := math.Max(0, simple.Minus2LnL-general.Minus2LnL)
	return Test{ChiSquare: x, DF: df, P: ChiSquareTail(x, float64(df))}, nil
}
