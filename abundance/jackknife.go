package abundance

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// A Jackknife is N for animals that differ in catchability, by five orders of
// correction.
type Jackknife struct {
	Count
	Order  int             // the order chosen; N lies between it and the one before
	Orders []JackknifeStep // from the first
}

// A JackknifeStep is one order, with the test of whether the next differs.
type JackknifeStep struct {
	N, SE float64
	Test  float64 // normal deviate of (next order − this); NaN at the last
	P     float64 // its two-sided probability
}

// JackknifeN estimates N when each animal has its own detection, constant over
// the nights (Burnham & Overton 1978, Biometrika 65:625–633; 1979, Ecology
// 60:927–936). The order is chosen as published: the first whose step to the
// next is not significant at 0.05; then N is interpolated between that order
// and the one before by their probabilities. The error takes order and
// interpolation as given, so it is somewhat small. It always gives a figure,
// but below 5 nights, or where few animals were caught twice, an arbitrary one.
func JackknifeN(f Frequencies) (Jackknife, error) {
	s, err := f.survey(nil)
	if err != nil {
		return Jackknife{}, err
	}
	caught := s.caught[0]
	j := Jackknife{Count: Count{Caught: int(caught)}}
	if caught == 0 {
		j.N = fit.Lost("N")
		j.Warnings = []string{"no animal was caught: there is nothing to estimate from"}
		return j, nil
	}
	highest := min(5, f.Nights)
	weights := make([][]float64, highest)
	for k := range weights {
		weights[k] = jackknifeWeights(k+1, f.Nights)
	}
	for k, w := range weights {
		step := JackknifeStep{Test: math.NaN(), P: math.NaN()}
		step.N, step.SE = f.weighted(w)
		if k+1 < highest {
			step.Test, step.P = f.jackknifeTest(w, weights[k+1], caught)
		}
		j.Orders = append(j.Orders, step)
	}
	j.choose(f, weights)
	if f.Nights < 5 {
		j.Warnings = append(j.Warnings, fmt.Sprintf("%d nights: below 5 the jackknife's order is arbitrary", f.Nights))
	}
	if s.captures == int(caught) {
		j.Warnings = append(j.Warnings, "no animal was caught twice: the figure only grows with the order and is no estimate")
	}
	return j, nil
}

// choose takes the first order whose step to the next is not significant.
func (j *Jackknife) choose(f Frequencies, weights [][]float64) {
	const significant = 0.05
	last := len(weights) - 1
	k := 0
	for k < last && j.Orders[k].P <= significant {
		k++
	}
	j.Order = k + 1
	w := weights[k]
	if k > 0 && k < last {
		before := j.Orders[k-1].P
		share := (significant - before) / (j.Orders[k].P - before)
		w = make([]float64, f.Nights)
		for i := range w {
			w[i] = share*weights[k][i] + (1-share)*weights[k-1][i]
		}
	}
	n, se := f.weighted(w)
	j.N = LogNormal("N", n, se, float64(j.Caught))
}

// jackknifeWeights are what an animal caught once, twice … counts for: the
// coefficients of (1/k!) Σ (−1)^i C(k,i) (t−i)^k S(t−i), S(t−i) being the mean
// number caught when i of the t nights are left out (Burnham & Overton
// 1978).
func jackknifeWeights(order, nights int) []float64 {
	w := make([]float64, nights)
	t := float64(nights)
	factor := 1.0 / factorial(order)
	for i := 0; i <= order; i++ {
		term := factor * ways(order, i) * math.Pow(t-float64(i), float64(order))
		for times := 1; times <= nights; times++ {
			lost := 0.0 // share of the ways to leave out i nights that lose an animal caught so often
			if times <= i {
				lost = ways(nights-times, i-times) / ways(nights, i)
			}
			w[times-1] += term * (1 - lost)
		}
		factor = -factor
	}
	return w
}

// weighted is Σ a·f with the error √(Σ a²·f − N).
func (f Frequencies) weighted(w []float64) (n, se float64) {
	var square float64
	for i, count := range f.Animals {
		if count == 0 {
			continue
		}
		n += w[i] * float64(count)
		square += w[i] * w[i] * float64(count)
	}
	return n, math.Sqrt(math.Max(0, square-n))
}

// jackknifeTest compares two orders (Burnham & Overton 1979).
func (f Frequencies) jackknifeTest(w, next []float64, caught float64) (z, p float64) {
	var step, square float64
	for i, count := range f.Animals {
		if count == 0 {
			continue
		}
		b := next[i] - w[i]
		step += b * float64(count)
		square += b * b * float64(count)
	}
	variance := caught / (caught - 1) * (square - step*step/caught)
	if !(variance > 0) {
		if step == 0 {
			return 0, 1
		}
		return math.NaN(), 1 // no spread to test against
	}
	z = step / math.Sqrt(variance)
	return z, fit.NormalTail(z)
}

func factorial(n int) float64 {
	out := 1.0
	for i := 2; i <= n; i++ {
		out *= float64(i)
	}
	return out
}

// ways is how many ways there are to take k of n.
func ways(n, k int) float64 {
	if k < 0 || k > n {
		return 0
	}
	out := 1.0
	for i := range min(k, n-k) {
		out = out * float64(n-i) / float64(i+1)
	}
	return out
}
