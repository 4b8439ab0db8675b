package fitting

import (
	"fmt"
	"math"

	"dawnround/fit"
	"dawnround/growth"
)

// Linear is the curve of young of unknown age in the straight phase of their
// growth, from the same young measured at two visits: the mean of their rates,
// anchored at the size of a newborn, which lies between two figures. Sizes are
// in any unit, the rate is per day. Each animal counts once. The spread between
// animals is that of their rates, as a share of size; the newborn's range is the
// error of the anchor. It refuses fewer than 12 pairs, and says when the rate
// changes with size, so that growth is not straight. Common practice, no source.
func Linear(readings []Reading, newbornFrom, newbornTo float64) (Result, error) {
	if !(newbornFrom >= 0 && newbornTo >= newbornFrom) || math.IsInf(newbornTo, 0) {
		return Result{}, fmt.Errorf("size of a newborn from %v to %v: expected the smallest and the largest, from 0 on", newbornFrom, newbornTo)
	}
	g, err := gainsOf(readings)
	if err != nil {
		return Result{}, err
	}
	r := g.result("linear", "mean rate of growth, anchored at the newborn's size: common practice, no source", fit.Fit{Minus2LnL: math.NaN()})
	rates, middles := g.rates()
	mean, sd := meanSD(rates)
	se := sd / math.Sqrt(float64(len(rates)))
	half := fit.StudentQuantile(0.05, float64(max(1, len(rates)-1))) * se
	r.add(fit.Estimate{Name: "rate per day", Value: mean, SE: se, Lower: mean - half, Upper: mean + half})
	r.add(fit.Estimate{Name: "sd of rates", Value: sd, SE: math.NaN(), Lower: math.NaN(), Upper: math.NaN()})
	r.anchor(g, mean, sd, se, newbornFrom, newbornTo)
	r.bent(rates, middles)
	return r, nil
}

// rates gives each animal's rate per day and the middle of its sizes.
func (g gains) rates() (rates, middles []float64) {
	for _, of := range g.of {
		gained, days, middle := 0.0, 0.0, 0.0
		for _, p := range of {
			gained += p.gain
			days += p.years * daysPerYear
			middle += (p.from + p.gain/2) / float64(len(of))
		}
		rates, middles = append(rates, gained/days), append(middles, middle)
	}
	return rates, middles
}

func meanSD(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / math.Max(1, n-1)
	}
	return mean, math.Sqrt(sd)
}

// anchor makes the relation and lists what each gain leaves over.
func (r *Result) anchor(g gains, mean, sd, se, newbornFrom, newbornTo float64) {
	sizes := g.sortedSizes()
	begins := (newbornFrom + newbornTo) / 2
	error := (newbornTo - newbornFrom) / (2 * fit.Z95)
	r.Relation = growth.Relation{
		AgesIn: "d", Form: "linear", Fitted: growth.SizeOnAge,
		Parameters: []growth.Parameter{{Name: "a", Value: begins}, {Name: "b", Value: mean}},
		Covariance: [][]float64{{error * error, 0}, {0, se * se}},
		Ages:       []float64{0, (sizes[len(sizes)-1] - begins) / mean}, ResidualPercent: 100 * sd / mean,
	}
	for _, p := range g.pairs {
		expected := mean * p.years * daysPerYear
		r.Residuals = append(r.Residuals, Residual{Animal: g.animals[p.animal].name, At: p.from, Years: p.years, Observed: p.gain, Expected: expected,
			Standard: (p.gain - expected) / (sd * p.years * daysPerYear)})
	}
	r.made()
}

// bent warns where the rate changes with size by more than twice its error.
func (r *Result) bent(rates, middles []float64) {
	n := float64(len(rates))
	rate, _ := meanSD(rates)
	middle, spread := meanSD(middles)
	sxy, squares := 0.0, 0.0
	for i, v := range rates {
		sxy += (v - rate) * (middles[i] - middle)
	}
	slope := sxy / (spread * spread * (n - 1))
	for i, v := range rates {
		e := v - rate - slope*(middles[i]-middle)
		squares += e * e / (n - 2)
	}
	if t := slope / math.Sqrt(squares/(spread*spread*(n-1))); math.Abs(t) > 2 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the rate changes with size (t = %.1f): growth is not straight over these sizes; leave out the larger young, or fit a curve", t))
	}
}
