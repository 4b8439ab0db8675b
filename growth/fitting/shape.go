package fitting

import "math"

// A shape is the share of its asymptote that an animal has reached at an age in
// years, with the derivatives by the parameters on their link scale: ln k, the
// place on the time axis, and ln(1 + v) where there is one.
type shape struct {
	form  string // as growth names it
	place string // name of the place parameter
	extra bool   // v
	// reached writes the derivatives to d, which has room for them.
	reached func(k, place, v, age float64, d []float64) float64
	begin   func(k float64) float64 // a place to start the place from, given k
}

var shapes = []shape{
	{"von Bertalanffy", "t0", false, func(k, t0, _, age float64, d []float64) float64 {
		left := math.Exp(-k * (age - t0))
		d[0], d[1] = k*(age-t0)*left, -k*left
		return 1 - left
	}, func(float64) float64 { return -0.1 }},
	{"Gompertz", "ti", false, func(k, ti, _, age float64, d []float64) float64 {
		u := math.Exp(-k * (age - ti))
		h := math.Exp(-u)
		d[0], d[1] = h*u*k*(age-ti), -h*u*k
		return h
	}, func(k float64) float64 { return 0.5 / k }},
	{"logistic", "ti", false, func(k, ti, _, age float64, d []float64) float64 {
		u := math.Exp(-k * (age - ti))
		h := 1 / (1 + u)
		d[0], d[1] = h*h*u*k*(age-ti), -h*h*u*k
		return h
	}, func(k float64) float64 { return 1 / k }},
	{"Richards", "ti", true, func(k, ti, v, age float64, d []float64) float64 {
		u := math.Exp(-k * (age - ti))
		h := math.Exp(-bent(v, u))
		byU := -h / (1 + v*u)
		d[0], d[1], d[2] = -byU*u*k*(age-ti), byU*u*k, h*(1+v)*bentLess(v, u)
		return h
	}, func(k float64) float64 { return 0.7 / k }},
}

// bent is ln(1 + v·u)/v, which at v = 0, where Richards's curve is Gompertz's,
// is u. It is NaN beyond the curve's beginning, which it has for v below 0; at
// v = −1 the curve is von Bertalanffy's.
func bent(v, u float64) float64 {
	if math.Abs(v*u) < 1e-5 {
		return u * (1 - v*u/2 + v*u*v*u/3)
	}
	return math.Log1p(v*u) / v
}

// bentLess is the derivative of −bent by v.
func bentLess(v, u float64) float64 {
	if math.Abs(v*u) < 1e-3 {
		w := v * u
		return u * u * (1.0/2 - w*(2.0/3-w*(3.0/4-w*4.0/5)))
	}
	return (math.Log1p(v*u)/v - u/(1+v*u)) / v
}
