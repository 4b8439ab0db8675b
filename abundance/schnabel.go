package abundance

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// A Census is one occasion of a multiple-mark census.
type Census struct {
	Caught   int // animals caught
	Recaught int // of these, marked before
	AtLarge  int // marked animals alive just before
}

// Multiple holds the two estimators of a multiple-mark census.
type Multiple struct {
	Count
	InverseSE float64 // standard error of 1/N
	Adjusted  float64 // with one recapture added, which lessens the bias of few
}

// Schnabel estimates N as Σ C·M / Σ R (Schnabel 1938; Seber 1982, section
// 4.1; Krebs 1999, chapter 2). It takes the population as closed and
// all animals as equally catchable on an occasion. With fewer than 50
// recaptures the interval takes Σ R as Poisson, exactly; otherwise 1/N as
// normal. It is not estimable without recaptures.
func Schnabel(occasions []Census) (Multiple, error) {
	chances, again, seen, err := census(occasions)
	if err != nil {
		return Multiple{}, err
	}
	m := Multiple{Count: Count{Caught: seen}, InverseSE: math.Sqrt(again) / chances, Adjusted: chances / (again + 1)}
	if again == 0 {
		m.N = fit.Lost("N")
		m.Warnings = []string{"no marked animal was caught again: N is not estimable"}
		return m, nil
	}
	n := chances / again
	m.N = fit.Estimate{Name: "N", Value: n, SE: n * n * m.InverseSE}
	if again < 50 {
		low, high := poissonLimits(again)
		m.N.Lower, m.N.Upper = chances/high, chances/low
	} else {
		m.N.Lower, m.N.Upper = inverted(1/n, fit.Z95*m.InverseSE)
	}
	m.bound()
	return m, nil
}

// Schumacher estimates N as Σ C·M² / Σ R·M, the slope of the share marked on
// the number marked (Schumacher & Eschmeyer 1943; Krebs 1999, chapter
// 2). It assumes what [Schnabel] does, and shows by its error when that does
// not hold. The interval takes 1/N as Student's t with two fewer degrees of
// freedom than occasions. It is not estimable without recaptures; with two
// occasions or fewer it has no error.
func Schumacher(occasions []Census) (Multiple, error) {
	_, again, seen, err := census(occasions)
	if err != nil {
		return Multiple{}, err
	}
	var cmm, rm, rr float64
	s := 0
	for _, o := range occasions {
		c, r, m := float64(o.Caught), float64(o.Recaught), float64(o.AtLarge)
		cmm += c * m * m
		rm += r * m
		if o.Caught > 0 {
			rr += r * r / c
			s++
		}
	}
	out := Multiple{Count: Count{Caught: seen}, InverseSE: math.NaN(), Adjusted: math.NaN()}
	if again == 0 {
		out.N = fit.Lost("N")
		out.Warnings = []string{"no marked animal was caught again: N is not estimable"}
		return out, nil
	}
	nan := math.NaN()
	out.N = fit.Estimate{Name: "N", Value: cmm / rm, SE: nan, Lower: nan, Upper: nan}
	if s <= 2 {
		out.Warnings = []string{fmt.Sprintf("%d occasions leave no degrees of freedom for an error", s)}
		return out, nil
	}
	out.InverseSE = math.Sqrt(math.Max(0, rr-rm*rm/cmm) / float64(s-2) / cmm)
	out.N.SE = out.N.Value * out.N.Value * out.InverseSE
	out.N.Lower, out.N.Upper = inverted(1/out.N.Value, fit.StudentQuantile(0.05, float64(s-2))*out.InverseSE)
	out.bound()
	return out, nil
}

// census sums an occasion list: Σ C·M, Σ R, and the animals seen.
func census(occasions []Census) (chances, again float64, seen int, err error) {
	for i, o := range occasions {
		if o.Caught < 0 || o.Recaught < 0 || o.AtLarge < 0 || o.Recaught > min(o.Caught, o.AtLarge) {
			return 0, 0, 0, fmt.Errorf("occasion %d: %d caught, %d marked, %d at large: expected counts, the second no larger than either other", i+1, o.Caught, o.Recaught, o.AtLarge)
		}
		chances += float64(o.Caught) * float64(o.AtLarge)
		again += float64(o.Recaught)
		seen += o.Caught - o.Recaught
	}
	if len(occasions) < 2 {
		return 0, 0, 0, fmt.Errorf("%d occasions: expected 2 or more", len(occasions))
	}
	return chances, again, seen, nil
}

// inverted turns an interval for 1/N into one for N, open above where 1/N may
// be 0.
func inverted(inverse, half float64) (lower, upper float64) {
	upper = math.Inf(1)
	if inverse > half {
		upper = 1 / (inverse - half)
	}
	return 1 / (inverse + half), upper
}

// bound keeps the interval above the animals seen.
func (m *Multiple) bound() {
	m.N.Lower = math.Max(m.N.Lower, math.Min(float64(m.Caught), m.N.Value))
	if math.IsInf(m.N.Upper, 1) {
		m.Warnings = append(m.Warnings, "the data set no upper limit to N")
	}
	if m.N.Value < float64(m.Caught) {
		m.Warnings = append(m.Warnings, fmt.Sprintf("the estimate is below the %d animals seen: catches are not independent", m.Caught))
	}
}

// poissonLimits are the exact 95 % limits for the mean of a Poisson count
// (Garwood 1936, Biometrika 28:437–442).
func poissonLimits(count float64) (lower, upper float64) {
	return fit.ChiSquareQuantile(0.975, 2*count) / 2, fit.ChiSquareQuantile(0.025, 2*count+2) / 2
}
