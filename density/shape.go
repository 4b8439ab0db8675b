package density

import (
	"math"

	"dawnround/fit"
)

// A Shape is how detection falls with the distance d between trap and centre;
// sigma is the scale of movement.
type Shape int

// The shapes. The first and last fall in the chance of capture by a trap alone
// in a night, g(d); the second in its hazard, h(d), where g = 1 − exp(−h).
const (
	HalfNormal       Shape = iota // g(d) = detection · exp(−d²/2σ²)
	HazardHalfNormal              // h(d) = detection · exp(−d²/2σ²)
	Exponential                   // g(d) = detection · exp(−d/σ)
)

var shapes = []string{"half-normal", "hazard-half-normal", "exponential"}

// String names the shape.
func (s Shape) String() string { return shapes[s] }

// MarshalText lets a shape stand in JSON by its name.
func (s Shape) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// ParseShape reads the name of a shape.
func ParseShape(name string) (Shape, error) {
	i, err := named(name, shapes)
	return Shape(i), err
}

// link is that of detection at no distance: a chance, or a hazard.
func (s Shape) link() fit.Link {
	if s == HazardHalfNormal {
		return fit.Log
	}
	return fit.Logit
}

// fall is −ln of the share of detection left at a squared distance.
func (s Shape) fall(d2, sigma float64) float64 {
	if s == Exponential {
		return math.Sqrt(d2) / sigma
	}
	return d2 / (2 * sigma * sigma)
}

// steep is how fast fall changes with ln σ, downwards, as a multiple of itself.
func (s Shape) steep() float64 {
	if s == Exponential {
		return 1
	}
	return 2
}

// A start is detection at no distance, as a row of the predictor gives it: its
// value p, ln p, and 1 − p, which is also its slope by the link value as a share
// of p. A hazard has q = 1.
type start struct{ p, logP, q float64 }

func (s Shape) start(eta float64) start {
	if s == HazardHalfNormal {
		return start{math.Exp(eta), eta, 1}
	}
	p, logP, logQ := fit.LogLogit(eta)
	return start{p, logP, math.Exp(logQ)}
}

// hazard gives the hazard h of a trap, of which a share left = exp(−fall) is
// left, and slope = ∂h/∂ln(p·left), from which every derivative of h follows.
func (s Shape) hazard(at start, left float64) (h, slope float64) {
	g := at.p * left
	switch {
	case s == HazardHalfNormal:
		return g, g
	case g < 1e-8:
		return g + g*g/2, g + g*g
	case g < 0.5:
		return -math.Log1p(-g), g / (1 - g)
	}
	missed := at.q + at.p*(1-left)
	return -math.Log(missed), g / missed
}

// tiny is a hazard below which ln h is taken from its parts.
const tiny = 1e-12

// logHazard is ln h, exact also where h itself is lost.
func logHazard(h float64, at start, fall float64) float64 {
	if h < tiny {
		return at.logP - fall
	}
	return math.Log(h)
}

// crowded is ln((eᴴ − 1)/H): what an animal held by one of several traps adds
// to ln h of that trap and −H; slope is its derivative.
func crowded(H float64) (value, slope float64) {
	if H < 1e-4 {
		return H/2 + H*H/24, 0.5 + H/12
	}
	caught := -math.Expm1(-H)
	return H + math.Log(caught/H), 1/caught - 1/H
}

// recorded is ln((eᵛ − 1)/v): what a detection by hazard v adds to ln v and −v;
// slope is 1 + v times its derivative.
func recorded(v float64) (value, slope float64) {
	value, slope = crowded(v)
	return value, 1 + v*slope
}
