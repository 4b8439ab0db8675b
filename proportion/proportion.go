package proportion

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// A Share is x of n with an interval of 95 %, by the method named.
type Share struct {
	X      int     `json:"x"`
	N      int     `json:"n"`
	Value  float64 `json:"share"`
	Lower  float64 `json:"lower"`
	Upper  float64 `json:"upper"`
	Method string  `json:"method"`
}

// The methods.
const (
	Exact     = "Clopper–Pearson (exact)"
	Scored    = "Wilson"
	Corrected = "Wilson with continuity correction"
)

func share(x, n int, method string) (Share, error) {
	if n < 1 || x < 0 || x > n {
		return Share{}, fmt.Errorf("%d of %d: expected a count and how many it is of, at least 1", x, n)
	}
	return Share{X: x, N: n, Value: float64(x) / float64(n), Lower: 0, Upper: 1, Method: method}, nil
}

// ClopperPearson gives a share with the exact interval: it holds every
// probability under which neither so few nor so many is rarer than 2.5 %
// (Clopper & Pearson 1934, Biometrika 26:404–413; by beta quantiles). It takes
// the n as independent and equally likely. Nobody asked is an error.
func ClopperPearson(x, n int) (Share, error) {
	s, err := share(x, n, Exact)
	if err != nil {
		return s, err
	}
	if x > 0 {
		s.Lower = fit.BetaQuantile(0.975, float64(x), float64(n-x+1))
	}
	if x < n {
		s.Upper = fit.BetaQuantile(0.025, float64(x+1), float64(n-x))
	}
	return s, nil
}

// Wilson gives a share with the interval that inverts the score test (Wilson
// 1927, Journal of the American Statistical Association 22:209–212; Newcombe
// 1998, Statistics in Medicine 17:857–872, method 3). It takes the n as
// independent and equally likely. Nobody asked is an error.
func Wilson(x, n int) (Share, error) {
	s, err := share(x, n, Scored)
	if err != nil {
		return s, err
	}
	const zz = fit.Z95 * fit.Z95
	k, m := float64(x), float64(n)
	root := fit.Z95 * math.Sqrt(zz+4*k*(1-k/m))
	if x > 0 {
		s.Lower = (2*k + zz - root) / (2 * (m + zz))
	}
	if x < n {
		s.Upper = (2*k + zz + root) / (2 * (m + zz))
	}
	return s, nil
}

// WilsonCorrected is [Wilson] with a continuity correction, close to the exact
// interval (Newcombe 1998, method 4).
func WilsonCorrected(x, n int) (Share, error) {
	s, err := share(x, n, Corrected)
	if err != nil {
		return s, err
	}
	const zz = fit.Z95 * fit.Z95
	k, m := float64(x), float64(n)
	p := k / m
	if x > 0 {
		s.Lower = math.Max(0, (2*k+zz-1-fit.Z95*math.Sqrt(zz-2-1/m+4*p*(m*(1-p)+1)))/(2*(m+zz)))
	}
	if x < n {
		s.Upper = math.Min(1, (2*k+zz+1+fit.Z95*math.Sqrt(zz+2-1/m+4*p*(m*(1-p)-1)))/(2*(m+zz)))
	}
	return s, nil
}

// NoneOf is the highest share that none among n leaves open, one-sided 95 %:
// 1 − 0.05^(1/n), near 3/n.
func NoneOf(n int) float64 { return -math.Expm1(math.Log(0.05) / float64(n)) }
