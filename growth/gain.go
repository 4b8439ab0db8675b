package growth

import "math"

// FabensGain is what an animal of a size is expected to gain in so many years:
// (A − size)·(1 − e^(−k·years)), A being the size at which growth ends and k
// per year (Fabens 1965, Growth 29:265–289; from memory). It is negative above
// A.
func FabensGain(size, years, asymptote, k float64) float64 {
	return (asymptote - size) * -math.Expm1(-k*years)
}

// FabensRate is the k, per year, that takes an animal from one size to another
// in so many years, A being known. It is NaN where no k does.
func FabensRate(from, to, years, asymptote float64) float64 {
	return -math.Log((asymptote-to)/(asymptote-from)) / years
}

// A Francis is growth told by the mean gains of a year at two sizes, Alpha
// below Beta, which are far less tied to each other than asymptote and k
// (Francis 1988, New Zealand Journal of Marine and Freshwater Research
// 22:43–51; from memory).
type Francis struct {
	Alpha, Beta         float64 // sizes within the data
	GainAlpha, GainBeta float64 // per year
}

// Asymptote is the size at which growth ends.
func (f Francis) Asymptote() float64 {
	return (f.Beta*f.GainAlpha - f.Alpha*f.GainBeta) / (f.GainAlpha - f.GainBeta)
}

// K is the rate per year; NaN where the two gains belong to no curve that
// levels off.
func (f Francis) K() float64 {
	return -math.Log1p((f.GainAlpha - f.GainBeta) / (f.Alpha - f.Beta))
}

// Gain is what an animal of a size is expected to gain in so many years.
func (f Francis) Gain(size, years float64) float64 {
	left := 1 + (f.GainAlpha-f.GainBeta)/(f.Alpha-f.Beta)
	return (f.Asymptote() - size) * (1 - math.Pow(left, years))
}

// OfFabens gives the two gains that an asymptote and a k come to.
func OfFabens(asymptote, k, alpha, beta float64) Francis {
	return Francis{alpha, beta, FabensGain(alpha, 1, asymptote, k), FabensGain(beta, 1, asymptote, k)}
}

// GainLimit is how far an observed gain may lie from the predicted before it is
// looked at: 2.5·√(σ² + 2·e²), σ being the s.d. of the residual gain and e the
// technical error of one reading. Where σ is not known yet, 15 % of the
// predicted gain stands in. Common practice, no source.
func GainLimit(predicted, sd, technicalError float64) float64 {
	if sd == 0 {
		sd = 0.15 * math.Abs(predicted)
	}
	return 2.5 * math.Sqrt(float64(sd*sd)+float64(2*technicalError*technicalError))
}
