package fitting

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// A truth is how invented animals grow and are measured: head length in mm,
// rates per year. It is sized like a programme with several trips a year.
type truth struct {
	asymptote, rate, t0 float64
	own                 float64 // s.d. of the animals' asymptotes
	reading             float64 // s.d. of one reading
	captures            [2]int  // fewest and most, each as likely
	apart               [2]float64
	age                 func(*rand.Rand) float64 // years, at first capture
}

// headTruth: asymptote 78 mm ± 2, k 1.9 a year, readings to 0.5 mm, 3 to 5
// captures 0.2 to 0.5 years apart, ages at first capture log-normal about 0.6
// years with s.d. 0.7 of the logarithm.
var headTruth = truth{
	asymptote: 78, rate: 1.9, t0: -0.1, own: 2, reading: 0.5, captures: [2]int{3, 5}, apart: [2]float64{0.2, 0.5},
	age: func(rng *rand.Rand) float64 { return 0.6 * math.Exp(0.7*rng.NormFloat64()) },
}

// grown draws the readings of n animals; their ages are known or not.
func (w truth) grown(n int, agesKnown bool, rng *rand.Rand) []Reading {
	var out []Reading
	for i := range n {
		asymptote := w.asymptote + w.own*rng.NormFloat64()
		age := w.age(rng)
		day := 365 * rng.Float64()
		for range w.captures[0] + rng.IntN(w.captures[1]-w.captures[0]+1) {
			r := Reading{Animal: fmt.Sprintf("a%03d", i), Day: day, Age: math.NaN()}
			r.Size = asymptote*-math.Expm1(-w.rate*(age-w.t0)) + w.reading*rng.NormFloat64()
			if agesKnown {
				r.Age = age * daysPerYear
			}
			out = append(out, r)
			years := w.apart[0] + (w.apart[1]-w.apart[0])*rng.Float64()
			age, day = age+years, day+years*daysPerYear
		}
	}
	return out
}
