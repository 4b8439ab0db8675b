package fit

import "math"

// Permutations returns ln[(f+m)!/f!] for a real f ≥ 0 and its derivative by f.
// It is the count term of a population of f + m of which m were seen. Above
// f = 30 the two gamma functions would cancel, so their Stirling series
// (Abramowitz & Stegun 1964, 6.1.41 and 6.3.18) are subtracted term by term.
func Permutations(f, m float64) (value, slope float64) {
	if f <= 30 {
		above, _ := math.Lgamma(f + m + 1)
		below, _ := math.Lgamma(f + 1)
		return above - below, Digamma(f+m+1) - Digamma(f+1)
	}
	n := f + m
	rise := math.Log1p(m / f)
	value = m*math.Log(n) - m + (f+0.5)*rise + stirling(n) - stirling(f)
	slope = rise + digammaTail(n) - digammaTail(f)
	return value, slope
}

// stirling is what ln Γ(x+1) has beyond (x+½) ln x − x + ½ ln 2π.
func stirling(x float64) float64 {
	y := 1 / (x * x)
	return (1.0/12 - y*(1.0/360-y*(1.0/1260-y/1680))) / x
}

// digammaTail is what ψ(x+1) has beyond ln x.
func digammaTail(x float64) float64 {
	y := 1 / (x * x)
	return 1/(2*x) - y*(1.0/12-y*(1.0/120-y*(1.0/252-y/240)))
}

// Digamma is ψ(x), the derivative of ln Γ(x), for x > 0: raised above 20 by
// its recurrence, then by its series (Abramowitz & Stegun 1964, 6.3.5, 6.3.18).
func Digamma(x float64) float64 {
	back := 0.0
	for ; x < 20; x++ {
		back += 1 / x
	}
	return math.Log(x) + digammaTail(x) - 1/x - back
}

// z95 bounds the central 95 % of a normal distribution.
const z95 = 1.959963984540054

// Z95 is the normal quantile behind every 95 % interval of this program.
const Z95 = z95

// NormalTail is the two-sided probability of a normal deviate beyond ±z.
func NormalTail(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// NormalQuantile is the normal deviate below which a share p lies.
func NormalQuantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// ChiSquareTail is the probability that a chi-square variable with df degrees
// of freedom is above x: 1 where x ≤ 0, by the series or the continued
// fraction of the incomplete gamma function (Abramowitz & Stegun 1964, 6.5.29
// and 6.5.31).
func ChiSquareTail(x float64, df float64) float64 {
	if !(x > 0) {
		return 1
	}
	a, x := df/2, x/2
	logGamma, _ := math.Lgamma(a)
	lead := math.Exp(a*math.Log(x) - x - logGamma)
	if x < a+1 {
		sum, term := 1/a, 1/a
		for n := a + 1; term > sum*1e-17; n++ {
			term *= x / n
			sum += term
		}
		return 1 - lead*sum
	}
	return lead * gammaFraction(a, x)
}

// gammaFraction evaluates the continued fraction of Γ(a,x) by Lentz's method.
func gammaFraction(a, x float64) float64 {
	const tiny = 1e-300
	b := x + 1 - a
	c, d := 1/tiny, 1/b
	h := d
	for i := 1.0; i < 1000; i++ {
		an := -i * (i - a)
		b += 2
		d = 1 / nonzero(an*d+b, tiny)
		c = nonzero(b+an/c, tiny)
		h *= d * c
		if math.Abs(d*c-1) < 1e-16 {
			break
		}
	}
	return h
}

func nonzero(x, tiny float64) float64 {
	if math.Abs(x) < tiny {
		return tiny
	}
	return x
}

// ChiSquareQuantile is the value a chi-square variable with df degrees of
// freedom exceeds with probability tail.
func ChiSquareQuantile(tail, df float64) float64 {
	return decreasingRoot(func(x float64) float64 { return ChiSquareTail(x, df) - tail })
}

// StudentQuantile is the t for which a Student variable with df degrees of
// freedom lies beyond ±t with probability tail. Its tail is the integral of
// the density over the angle atan(t/√df), where it is a smooth power of the
// cosine (Abramowitz & Stegun 1964, 26.7.3, 26.7.4 in integral form).
func StudentQuantile(tail, df float64) float64 {
	angle := func(theta float64) float64 { return math.Pow(math.Cos(theta), df-1) }
	whole := simpson(angle, 0, math.Pi/2)
	return decreasingRoot(func(t float64) float64 {
		return 1 - simpson(angle, 0, math.Atan(t/math.Sqrt(df)))/whole - tail
	})
}

// simpson integrates f over [a, b] by Simpson's rule on 400 panels.
func simpson(f func(float64) float64, a, b float64) float64 {
	const panels = 400
	h := (b - a) / panels
	sum := f(a) + f(b)
	for i := 1; i < panels; i++ {
		sum += float64(2+2*(i%2)) * f(a+float64(i)*h)
	}
	return sum * h / 3
}

// decreasingRoot finds the x > 0 where a decreasing f crosses 0.
func decreasingRoot(f func(float64) float64) float64 {
	lo, hi := 0.0, 1.0
	for f(hi) > 0 && hi < 1e300 {
		lo, hi = hi, hi*2
	}
	for hi-lo > 1e-14*hi && hi > 1e-300 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if f(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}
