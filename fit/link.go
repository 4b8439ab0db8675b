package fit

import (
	"fmt"
	"math"
)

// A Link carries a parameter between its natural scale, where it has bounds,
// and the link scale, where it has none.
type Link int

// The links. Shares of a whole use the multinomial logit: see [Shares].
const (
	Identity Link = iota // any number
	Log                  // above 0
	Logit                // between 0 and 1
)

// String names the scale the link leads to.
func (l Link) String() string {
	switch l {
	case Log:
		return "log"
	case Logit:
		return "logit"
	}
	return "natural"
}

// MarshalText lets a link stand in JSON by its name.
func (l Link) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// Natural takes a value from the link scale to the natural scale.
func (l Link) Natural(eta float64) float64 {
	switch l {
	case Log:
		return math.Exp(eta)
	case Logit:
		return 1 / (1 + math.Exp(-eta))
	}
	return eta
}

// Eta takes a natural value to the link scale. The ends of the range go to
// infinity; a value outside it gives NaN.
func (l Link) Eta(natural float64) float64 {
	switch l {
	case Log:
		return math.Log(natural)
	case Logit:
		return math.Log(natural) - math.Log1p(-natural)
	}
	return natural
}

// Slope is the derivative of the natural value by the link value, at the
// natural value given.
func (l Link) Slope(natural float64) float64 {
	switch l {
	case Log:
		return natural
	case Logit:
		return natural * (1 - natural)
	}
	return 1
}

// LogLogit returns a probability on the logit scale with ln p and ln(1 − p),
// exact in both tails.
func LogLogit(eta float64) (p, logP, logQ float64) {
	e := math.Exp(-math.Abs(eta))
	l := math.Log1p(e)
	if eta > 0 {
		return 1 / (1 + e), -l, -l - eta
	}
	return e / (1 + e), eta - l, -l
}

// Shares turns k − 1 values on the multinomial-logit scale into k shares that
// sum to 1; the last share is the reference.
func Shares(eta []float64) []float64 {
	top := 0.0
	for _, e := range eta {
		top = math.Max(top, e)
	}
	shares := make([]float64, len(eta)+1)
	sum := math.Exp(-top)
	shares[len(eta)] = sum
	for i, e := range eta {
		shares[i] = math.Exp(e - top)
		sum += shares[i]
	}
	for i := range shares {
		shares[i] /= sum
	}
	return shares
}

// ShareEtas is the inverse of [Shares].
func ShareEtas(shares []float64) ([]float64, error) {
	if len(shares) == 0 {
		return nil, fmt.Errorf("shares: none given; give at least one")
	}
	last := len(shares) - 1
	eta := make([]float64, last)
	for i := range eta {
		eta[i] = math.Log(shares[i] / shares[last])
		if math.IsNaN(eta[i]) {
			return nil, fmt.Errorf("share %d is %g: shares are above 0 and sum to 1", i+1, shares[i])
		}
	}
	return eta, nil
}
