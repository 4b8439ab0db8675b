package condition

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// A Slope is how mass goes with length in a set of animals of one kind:
// ln mass = a + B·ln length, by the standardised major axis.
type Slope struct {
	B        fit.Estimate `json:"b"`         // of the standardised major axis
	OLS      float64      `json:"ols"`       // of ordinary least squares, for comparison
	R        float64      `json:"r"`         // correlation of the logarithms
	LengthMM float64      `json:"length_mm"` // L₀, the mean length: what masses are scaled to
	Animals  int          `json:"animals"`

	LogMassG, LogLengthMM float64 `json:"-"` // means of the logarithms: the line goes through them
}

// Fit estimates the slope by which masses are scaled to one length, b_OLS/r of
// the logarithms (Peig & Green 2009, Oikos 118:1883–1891). Each animal counts
// once; masses are without pouch young. The interval of the slope is that of
// Warton, Wright, Falster & Westoby 2006 (Biological Reviews 81:259–291, from
// memory): b·(√(B+1) ± √B), B = F₍₁,ₙ₋₂₎·(1 − r²)/(n − 2). It takes the logarithms
// as normal about one line. It is not estimable where all lengths or all masses
// are equal or go against each other; fewer than 3 animals, or a size that is
// not above 0, is an error.
func Fit(massG, lengthMM []float64) (Slope, error) {
	n := len(massG)
	if n != len(lengthMM) || n < 3 {
		return Slope{}, fmt.Errorf("%d masses, %d lengths: expected a mass and a length of 3 animals at least", n, len(lengthMM))
	}
	var x, y []float64
	s := Slope{Animals: n, B: fit.Lost("b")}
	for i := range n {
		if !(massG[i] > 0) || !(lengthMM[i] > 0) {
			return Slope{}, fmt.Errorf("animal %d: %g g, %g mm: expected both above 0", i+1, massG[i], lengthMM[i])
		}
		x, y = append(x, math.Log(lengthMM[i])), append(y, math.Log(massG[i]))
		s.LengthMM += lengthMM[i] / float64(n)
	}
	s.LogMassG, s.LogLengthMM = mean(y), mean(x)
	xx, xy, yy := products(x, y)
	if xx == 0 || yy == 0 {
		return s, nil
	}
	s.R, s.OLS = xy/math.Sqrt(float64(xx*yy)), xy/xx
	if s.R <= 0 {
		return s, nil
	}
	b, df := s.OLS/s.R, float64(n-2)
	w := fit.FQuantile(0.05, 1, df) * math.Max(0, 1-float64(s.R*s.R)) / df
	s.B = fit.Estimate{Name: "b", Value: b, SE: b * math.Sqrt(math.Max(0, 1-float64(s.R*s.R))/df),
		Lower: b * (math.Sqrt(w+1) - math.Sqrt(w)), Upper: b * (math.Sqrt(w+1) + math.Sqrt(w))}
	return s, nil
}

// products are the sums of squares and products about the means.
func products(x, y []float64) (xx, xy, yy float64) {
	mx, my := mean(x), mean(y)
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		xx += float64(dx * dx)
		xy += float64(dx * dy)
		yy += float64(dy * dy)
	}
	return xx, xy, yy
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// Index is the scaled mass of one animal: the mass it would have at length L₀,
// mass·(L₀/length)^b (Peig & Green 2009). The interval of 95 % carries the error
// of one reading of mass and of length, and that of the slope: a calliper 1 mm
// off in 75 moves the index by 5 % where b is 3.7. Errors are taken as small,
// normal and independent; an error of 0 leaves it out.
func (s Slope) Index(massG, lengthMM, massErrorG, lengthErrorMM float64) fit.Estimate {
	value := massG * math.Pow(s.LengthMM/lengthMM, s.B.Value)
	slope := math.Log(s.LengthMM/lengthMM) * s.B.SE
	share := math.Sqrt(square(massErrorG/massG) + square(s.B.Value*lengthErrorMM/lengthMM) + square(slope))
	if math.IsNaN(value) {
		return fit.Lost("scaled mass")
	}
	return fit.Estimate{Name: "scaled mass", Value: value, SE: value * share,
		Lower: value * math.Exp(-fit.Z95*share), Upper: value * math.Exp(fit.Z95*share)}
}

func square(x float64) float64 { return float64(x * x) }

// Mean is the mean of some indices with Student's interval of 95 %: how the
// animals of one trip stand, spread between animals and all. With fewer than 2
// the interval is not known.
func Mean(indices []float64) fit.Estimate {
	n := float64(len(indices))
	e := fit.Lost("mean scaled mass")
	if n == 0 {
		return e
	}
	e.Value, e.Status = mean(indices), fit.Estimable
	if n < 2 {
		return e
	}
	squares := 0.0
	for _, v := range indices {
		squares += square(v - e.Value)
	}
	e.SE = math.Sqrt(squares / (n - 1) / n)
	t := fit.StudentQuantile(0.05, n-1)
	e.Lower, e.Upper = e.Value-t*e.SE, e.Value+t*e.SE
	return e
}
