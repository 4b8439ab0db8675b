package abundance

import (
	"math"

	"dawnround/fit"
)

// Remove estimates how many animals were there before the first night from
// what each night took away, at a constant chance (Moran 1951; Zippin 1956,
// Biometrics 12:163–189), by maximum likelihood with a profile interval. It
// takes the population as otherwise closed. It is not estimable when catches do
// not fall: then the interval still has its lower end. With effort by night,
// name it in detect.
func Remove(r Removals, detect ...string) (Result, error) {
	result, err := Fit(r, Model{Detect: detect})
	if err != nil {
		return Result{}, err
	}
	if lower, upper, ok := result.ProfileN(); ok {
		result.N.Lower, result.N.Upper = lower, upper
	}
	return result, nil
}

// TrapNights is the effort of a night, corrected for traps that were out of
// action for part of it: every trap that was sprung, disabled or filled counts
// half a night less (Nelson & Clark 1973, Journal of Mammalogy 54:295–298, from
// memory).
func TrapNights(set, sprung, filled int) float64 {
	return math.Max(0, float64(set)-float64(sprung+filled)/2)
}

// LogEffort turns the trap-nights of each night into a column for detection:
// the logarithm of effort over its mean, so that the constant is detection at
// mean effort. At small chances and a coefficient of 1, detection is
// proportional to effort. Nights without effort have no place in the data: they
// give NaN, which the fit refuses.
func LogEffort(trapNights []float64) []float64 {
	mean := 0.0
	for _, e := range trapNights {
		mean += e / float64(len(trapNights))
	}
	out := make([]float64, len(trapNights))
	for i, e := range trapNights {
		out[i] = fit.Log.Eta(e / mean)
	}
	return out
}
