package fit

import "math"

// BetaTail is the probability that a beta variable with parameters a and b is
// above x: 1 where x ≤ 0, 0 where x ≥ 1, by the continued fraction of the
// incomplete beta function (Abramowitz & Stegun 1964, 26.5.8), from the side on
// which it converges.
func BetaTail(x, a, b float64) float64 {
	switch {
	case !(x > 0):
		return 1
	case x >= 1:
		return 0
	case x > (a+1)/(a+b+2):
		return betaBelow(1-x, b, a)
	}
	return 1 - betaBelow(x, a, b)
}

// betaBelow is the incomplete beta function below the middle of its range.
func betaBelow(x, a, b float64) float64 {
	ga, _ := math.Lgamma(a)
	gb, _ := math.Lgamma(b)
	gab, _ := math.Lgamma(a + b)
	lead := math.Exp(gab - ga - gb + float64(a*math.Log(x)) + float64(b*math.Log1p(-x)))
	return lead / a / betaFraction(x, a, b)
}

// betaFraction evaluates 1 + d₁/(1 + d₂/(1 + …)) by Lentz's method.
func betaFraction(x, a, b float64) float64 {
	const tiny = 1e-300
	h, c, d := 1.0, 1.0, 0.0
	for i := 1; i < 2000; i++ {
		m := float64(i / 2)
		step := float64(m*(b-m)) * x / (float64(a+2*m-1) * float64(a+2*m))
		if i%2 == 1 {
			step = -float64((a+m)*(a+b+m)) * x / (float64(a+2*m) * float64(a+2*m+1))
		}
		d = 1 / nonzero(1+float64(step*d), tiny)
		c = nonzero(1+step/c, tiny)
		h *= float64(c * d)
		if math.Abs(c*d-1) < 1e-16 {
			break
		}
	}
	return h
}

// BetaQuantile is the value a beta variable with parameters a and b exceeds
// with probability tail.
func BetaQuantile(tail, a, b float64) float64 {
	lo, hi := 0.0, 1.0
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if BetaTail(mid, a, b) > tail {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}

// FQuantile is the value an F variable with m and n degrees of freedom exceeds
// with probability tail: n·y/(m·(1 − y)) of a beta variable y (Abramowitz &
// Stegun 1964, 26.6.2).
func FQuantile(tail, m, n float64) float64 {
	// Above the middle, 1 − y is sought itself: it may be near 0.
	rest := BetaQuantile(1-tail, n/2, m/2)
	return n * (1 - rest) / (m * rest)
}
