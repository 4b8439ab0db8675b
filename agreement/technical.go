package agreement

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// An Error is the technical error of measurement of one trait: the standard
// deviation of one reading about what was read.
type Error struct {
	TEM         float64 `json:"tem"`         // in the unit of the readings
	Lower       float64 `json:"lower"`       // 95 %
	Upper       float64 `json:"upper"`       // 95 %
	Mean        float64 `json:"mean"`        // of all readings
	Relative    float64 `json:"relative"`    // TEM in per cent of the mean
	Reliability float64 `json:"reliability"` // 1 − TEM²/SD², SD over all readings; NaN where all are equal
	Animals     int     `json:"animals"`
	Readings    int     `json:"readings"`
	Pairs       int     `json:"pairs"` // readings beyond the first of each animal: the degrees of freedom
}

// Technical estimates the technical error of measurement from things read more
// than once: √(Σd²/2N) for pairs, and with more readings √(Σ(x − x̄)²/Σ(K − 1))
// over the readings of each (Ulijaszek & Kerr 1999, British Journal of
// Nutrition 82:165–177; Goto & Mascie-Taylor 2007; both from memory). Each
// group holds the readings of one thing that did not change between them;
// groups of one reading are left out. The interval takes errors as normal and
// alike for all (chi-square). Nothing read twice is an error.
func Technical(groups [][]float64) (Error, error) {
	var e Error
	within, sum := 0.0, 0.0
	for _, g := range groups {
		if len(g) < 2 {
			continue
		}
		m := mean(g)
		for _, x := range g {
			within += float64((x - m) * (x - m))
			sum += x
		}
		e.Animals++
		e.Readings += len(g)
		e.Pairs += len(g) - 1
	}
	if e.Pairs == 0 {
		return e, fmt.Errorf("%d groups, none of two readings or more: an error of measurement needs something read twice", len(groups))
	}
	df := float64(e.Pairs)
	e.TEM = math.Sqrt(within / df)
	e.Lower = math.Sqrt(within / fit.ChiSquareQuantile(0.025, df))
	e.Upper = math.Sqrt(within / fit.ChiSquareQuantile(0.975, df))
	e.Mean = sum / float64(e.Readings)
	e.Relative = 100 * e.TEM / e.Mean
	e.Reliability = 1 - float64(e.TEM*e.TEM)/spread(groups, e.Mean, e.Readings)
	return e, nil
}

// spread is the variance of all readings that stand in a group of two or more.
func spread(groups [][]float64, mean float64, n int) float64 {
	squares := 0.0
	for _, g := range groups {
		if len(g) < 2 {
			continue
		}
		for _, x := range g {
			squares += float64((x - mean) * (x - mean))
		}
	}
	if squares == 0 {
		return math.NaN()
	}
	return squares / float64(n-1)
}

// Between is how far two honest readings of an unchanged thing may lie apart in
// 95 of 100 cases: 1.96·√2·TEM, as a difference of two readings has √2 times
// the error of one.
func Between(tem float64) float64 { return fit.Z95 * math.Sqrt2 * tem }

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
