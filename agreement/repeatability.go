package agreement

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// Repeatability estimates the share of the variance among readings that lies
// between animals: the intraclass correlation of a one-way analysis of
// variance, (BMS − WMS)/(BMS + (k₀ − 1)·WMS) (Shrout & Fleiss 1979,
// Psychological Bulletin 86:420–428, ICC(1,1); k₀ for unequal numbers of
// readings as in Lessells & Boag 1987, Auk 104:116–121). Each group holds the
// readings of one animal, by whoever; groups of one count between animals. It
// takes effects as normal. The interval is exact where all were read equally
// often, else near. It is not estimable where all readings are equal; nothing
// read twice, or one animal, is an error.
func Repeatability(groups [][]float64) (fit.Estimate, error) {
	var sums anova
	for _, g := range groups {
		sums.add(g)
	}
	within := sums.readings - sums.animals
	switch {
	case sums.animals < 2:
		return fit.Lost("repeatability"), fmt.Errorf("%d animals: repeatability needs at least 2", int(sums.animals))
	case within < 1:
		return fit.Lost("repeatability"), fmt.Errorf("one reading of each of %d animals: repeatability needs some read twice", int(sums.animals))
	}
	bms := sums.between() / (sums.animals - 1)
	wms := sums.within / within
	if bms == 0 && wms == 0 {
		return fit.Lost("repeatability"), nil
	}
	k := (sums.readings - sums.squares/sums.readings) / (sums.animals - 1)
	e := fit.Estimate{Name: "repeatability", Value: (bms - wms) / (bms + (k-1)*wms), SE: math.NaN()}
	e.Lower = correlation(bms/wms/fit.FQuantile(0.025, sums.animals-1, within), k)
	e.Upper = correlation(bms/wms*fit.FQuantile(0.025, within, sums.animals-1), k)
	return e, nil
}

// correlation is the intraclass correlation of a ratio of mean squares.
func correlation(f, k float64) float64 {
	if math.IsInf(f, 1) {
		return 1
	}
	return (f - 1) / (f + k - 1)
}

// anova gathers the sums of a one-way analysis.
type anova struct {
	animals, readings, squares float64 // squares: Σ of the squared numbers of readings
	within                     float64
	means, weights             []float64
}

func (a *anova) add(g []float64) {
	if len(g) == 0 {
		return
	}
	n, m := float64(len(g)), mean(g)
	for _, x := range g {
		a.within += float64((x - m) * (x - m))
	}
	a.animals++
	a.readings += n
	a.squares += n * n
	a.means, a.weights = append(a.means, m), append(a.weights, n)
}

func (a *anova) between() float64 {
	grand := 0.0
	for i, m := range a.means {
		grand += float64(m*a.weights[i]) / a.readings
	}
	sum := 0.0
	for i, m := range a.means {
		sum += float64(a.weights[i] * (m - grand) * (m - grand))
	}
	return sum
}

// Ratings is the analysis of a full table: every one of n animals read once by
// every one of k handlers (Shrout & Fleiss 1979).
type Ratings struct {
	Animals, Handlers  int
	BMS, WMS, JMS, EMS float64 // mean squares: between animals, within, between handlers, residual
}

// Rate analyses a table with one row for each animal and one column for each
// handler. Less than two of either, or a row that is not full, is an error.
func Rate(table [][]float64) (Ratings, error) {
	n := len(table)
	if n < 2 || len(table[0]) < 2 {
		return Ratings{}, fmt.Errorf("%d animals: a table of ratings needs 2 animals and 2 handlers at least", n)
	}
	k := len(table[0])
	handlers := make([]float64, k)
	var sums anova
	for i, row := range table {
		if len(row) != k {
			return Ratings{}, fmt.Errorf("animal %d was read by %d handlers, the first by %d: every handler reads every animal", i+1, len(row), k)
		}
		sums.add(row)
		for j, x := range row {
			handlers[j] += x / float64(n)
		}
	}
	columns := anova{readings: float64(k)}
	for _, m := range handlers {
		columns.means, columns.weights = append(columns.means, m), append(columns.weights, 1)
	}
	between := float64(n) * columns.between()
	return Ratings{
		Animals: n, Handlers: k,
		BMS: sums.between() / float64(n-1),
		WMS: sums.within / float64(n*(k-1)),
		JMS: between / float64(k-1),
		EMS: (sums.within - between) / float64((n-1)*(k-1)),
	}, nil
}

// OneWay is ICC(1,1): any handler reads any animal, so handlers' differences
// are error.
func (r Ratings) OneWay() float64 {
	return (r.BMS - r.WMS) / (r.BMS + float64(r.Handlers-1)*r.WMS)
}

// Random is ICC(2,1): these handlers stand for others like them.
func (r Ratings) Random() float64 {
	k, n := float64(r.Handlers), float64(r.Animals)
	return (r.BMS - r.EMS) / (r.BMS + (k-1)*r.EMS + k*(r.JMS-r.EMS)/n)
}

// Fixed is ICC(3,1): these handlers and no others; a handler who always reads
// long does no harm.
func (r Ratings) Fixed() float64 {
	return (r.BMS - r.EMS) / (r.BMS + float64(r.Handlers-1)*r.EMS)
}

// MeanOneWay is ICC(1,k), of the mean of all handlers' readings.
func (r Ratings) MeanOneWay() float64 { return (r.BMS - r.WMS) / r.BMS }

// MeanRandom is ICC(2,k).
func (r Ratings) MeanRandom() float64 {
	return (r.BMS - r.EMS) / (r.BMS + (r.JMS-r.EMS)/float64(r.Animals))
}

// MeanFixed is ICC(3,k).
func (r Ratings) MeanFixed() float64 { return (r.BMS - r.EMS) / r.BMS }
