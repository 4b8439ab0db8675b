package survival

import (
	"math"
	"slices"

	"dawnround/fit"
)

// Average ranks models fitted to the same releases and averages their survival
// at a place, with the unconditional error. Models in which it has no error (at
// the end of its range, or not estimable) are left out and their weight is told.
func Average(results []Result, at Place, inflation fit.Inflation) ([]fit.Ranked, fit.Averaged, error) {
	var candidates []fit.Candidate
	estimates := map[string]fit.Estimate{}
	for _, r := range results {
		c := r.Candidate(r.Model.String())
		candidates = append(candidates, c)
		estimates[c.Name] = r.SurvivalAt(at)
	}
	table, err := fit.Compare(candidates, inflation)
	if err != nil {
		return nil, fit.Averaged{}, err
	}
	var values []fit.Estimate
	var weights []float64
	for _, row := range table {
		if row.Weight > 0 {
			values, weights = append(values, estimates[row.Name]), append(weights, row.Weight)
		}
	}
	return table, fit.Average(values, weights, fit.Logit), nil
}

// ProfileSurvival is the profile-likelihood interval of Survival[i], which also
// serves where survival stands at 1. An end that the data leave open is 0 or 1.
func (r Result) ProfileSurvival(i int) fit.Interval {
	return r.profile(r.laid.chain.survive, i)
}

// ProfileDetection is that of Detection[i].
func (r Result) ProfileDetection(i int) fit.Interval {
	return r.profile(r.laid.chain.detect, i)
}

// profile turns the coefficients so that the value asked for is one of them.
func (r Result) profile(p *predictor, i int) fit.Interval {
	if r.Released == 0 || i < 0 || i >= len(p.labels) {
		return fit.Interval{Lower: 0, Upper: 1}
	}
	row := p.labels[i].row
	pivot := 0
	for j, v := range row {
		if math.Abs(v) > math.Abs(row[pivot]) {
			pivot = j
		}
	}
	turned := r.likelihood
	turned.Basis = nil
	x := make([]float64, len(r.Fit.X))
	back := func(y []float64) {
		copy(x, y)
		for j, v := range row {
			if j != pivot {
				x[p.at+pivot] -= v * y[p.at+j]
			}
		}
		x[p.at+pivot] /= row[pivot]
	}
	turned.Log = func(y, gradient []float64) float64 {
		back(y)
		value := r.laid.log(x, gradient)
		if gradient != nil {
			slope := gradient[p.at+pivot] / row[pivot]
			for j, v := range row {
				gradient[p.at+j] -= v * slope
			}
			gradient[p.at+pivot] = slope
		}
		return value
	}
	interval := turned.Profile(r.turned(p, row, pivot), p.at+pivot)
	interval.Lower, interval.Upper = fit.Logit.Natural(interval.Lower), fit.Logit.Natural(interval.Upper)
	return interval
}

// turned is the fit in coefficients of which the pivot is the value of row.
func (r Result) turned(p *predictor, row []float64, pivot int) fit.Fit {
	f := r.Fit
	n := len(f.X)
	by := make([]float64, n)
	for j, v := range row {
		by[p.at+j] = v
	}
	apply := func(x []float64) []float64 {
		out := slices.Clone(x)
		out[p.at+pivot] = 0
		for j, v := range by {
			out[p.at+pivot] += v * x[j]
		}
		return out
	}
	f.X = apply(f.X)
	half := fit.NewMatrix(n)
	for i := range n {
		copy(half[i], apply(f.Covariance[i]))
	}
	f.Covariance = fit.NewMatrix(n)
	for j := range n {
		column := make([]float64, n)
		for i := range n {
			column[i] = half[i][j]
		}
		for i, v := range apply(column) {
			f.Covariance[i][j] = v
		}
	}
	f.Flat = slices.Clone(f.Flat)
	for i, flat := range f.Flat {
		flat.Direction = apply(flat.Direction)
		f.Flat[i] = flat
	}
	return f
}
