package abundance

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// Chao is a lower bound for N when animals differ in catchability, in three
// published forms.
type Chao struct {
	Count                 // the form of 1987, or the bias-corrected one where no animal was caught twice
	BiasCorrected float64 // caught + f1(f1−1)/(2(f2+1))
	FewNights     float64 // caught + (t−1)/t · f1²/(2 f2); NaN without f2
}

// ChaoN bounds N from below by the animals caught once and twice: caught +
// f1²/(2 f2) (Chao 1987, Biometrics 43:783–791, with its variance and
// log-normal interval). It suits low, unequal detection over at least 4 or 5
// nights. Without animals caught twice it takes the bias-corrected form, whose
// variance is that of the species estimator of the same form (from memory). With no animal caught twice it warns, for then
// N has no upper limit.
func ChaoN(f Frequencies) (Chao, error) {
	s, err := f.survey(nil)
	if err != nil {
		return Chao{}, err
	}
	caught := s.caught[0]
	f1, f2 := f.times(1), f.times(2)
	c := Chao{Count: Count{Caught: int(caught)}, FewNights: math.NaN()}
	c.BiasCorrected = caught + f1*(f1-1)/(2*(f2+1))
	switch {
	case caught == 0:
		c.N, c.BiasCorrected = fit.Lost("N"), math.NaN()
		c.Warnings = []string{"no animal was caught: there is nothing to estimate from"}
	case f2 > 0:
		n, r := f1*f1/(2*f2), f1/f2
		t := float64(f.Nights)
		c.FewNights = caught + (t-1)/t*n
		variance := f2 * (r*r*r*r/4 + r*r*r + r*r/2)
		c.N = LogNormal("N", caught+n, math.Sqrt(variance), caught)
	default:
		n := c.BiasCorrected
		variance := f1*(f1-1)/2 + f1*(2*f1-1)*(2*f1-1)/4 - f1*f1*f1*f1/(4*n)
		c.N = LogNormal("N", n, math.Sqrt(math.Max(0, variance)), caught)
		c.Warnings = []string{"no animal was caught just twice: the bias-corrected form stands in"}
	}
	if caught > 0 && s.captures == int(caught) {
		c.Warnings = append(c.Warnings, "no animal was caught twice: N cannot be bounded from above")
	}
	return c, nil
}

// times is how many animals were caught just so often.
func (f Frequencies) times(n int) float64 {
	if n > len(f.Animals) {
		return 0
	}
	return float64(f.Animals[n-1])
}

// A Coverage is N from the share of the population's catchability that the
// animals caught stand for, in three published corrections for bias.
type Coverage struct {
	Count
	N1, N2, N3 float64 // from C1, C2, C3; NaN where the correction needs more nights
	C1, C2, C3 float64 // the sample coverages
	CV         float64 // of detection between animals, from C2
}

// SampleCoverage estimates N when detection differs between animals and
// between nights: caught/C + f1/C·γ², C being the sample coverage and γ² the
// squared coefficient of variation of the animals' catchability (Lee & Chao
// 1994, Biometrics 50:88–97). N is that of the second coverage, which their
// simulations favour. caught holds the animals caught each night. The error is
// not computed here: resample the animals (see [Resample]). It is not estimable
// when every capture was of an animal caught once.
func SampleCoverage(f Frequencies, caught []int) (Coverage, error) {
	s, err := f.survey(nil)
	if err != nil {
		return Coverage{}, err
	}
	nan := math.NaN()
	c := Coverage{Count: Count{Caught: int(s.caught[0])}, N1: nan, N2: nan, N3: nan, C1: nan, C2: nan, C3: nan, CV: nan}
	total := 0
	for _, n := range caught {
		total += n
	}
	if len(caught) != f.Nights || total != s.captures {
		return Coverage{}, fmt.Errorf("%d captures on %d nights by night, %d on %d by animal: give both of the same trapping", total, len(caught), s.captures, f.Nights)
	}
	if total == 0 {
		c.N = fit.Lost("N")
		c.Warnings = []string{"no animal was caught: there is nothing to estimate from"}
		return c, nil
	}
	t, captures := float64(f.Nights), float64(total)
	pairs := nightPairs(caught)
	single := f.times(1)
	c.C1 = 1 - single/captures
	c.N1, _ = f.covered(c.C1, pairs)
	if f.Nights > 1 {
		single -= 2 * f.times(2) / (t - 1)
		c.C2 = 1 - single/captures
		c.N2, c.CV = f.covered(c.C2, pairs)
	}
	if f.Nights > 2 {
		single += 6 * f.times(3) / ((t - 1) * (t - 2))
		c.C3 = 1 - single/captures
		c.N3, _ = f.covered(c.C3, pairs)
	}
	if math.IsNaN(c.N2) || math.IsInf(c.N2, 0) || total == c.Caught {
		c.N = fit.Lost("N")
		c.Warnings = []string{"no animal was caught twice: N is not estimable"}
		return c, nil
	}
	c.N = fit.Estimate{Name: "N", Value: c.N2, SE: nan, Lower: nan, Upper: nan}
	return c, nil
}

// nightPairs is Σ over pairs of nights of the product of their catches.
func nightPairs(caught []int) float64 {
	var sum, squares float64
	for _, n := range caught {
		sum += float64(n)
		squares += float64(n) * float64(n)
	}
	return (sum*sum - squares) / 2
}

// covered is N at a sample coverage, and the coefficient of variation of
// catchability it implies.
func (f Frequencies) covered(coverage, pairs float64) (n, cv float64) {
	if !(coverage > 0) || pairs == 0 {
		return math.NaN(), math.NaN()
	}
	var caught, again float64
	for i, animals := range f.Animals {
		times := float64(i + 1)
		caught += float64(animals)
		again += times * (times - 1) * float64(animals)
	}
	square := math.Max(0, caught/coverage*again/(2*pairs)-1)
	return caught/coverage + f.times(1)/coverage*square, math.Sqrt(square)
}
