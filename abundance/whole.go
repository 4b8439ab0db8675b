package abundance

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// A Whole is the estimate of a closed model in whole animals, as the handbooks
// print it.
type Whole struct {
	N    int
	SE   float64
	P    float64 // a night's detection; of animals not caught before, under behaviour. NaN where nights differ
	C    float64 // detection of animals caught before, under behaviour; NaN elsewhere
	Open bool    // the likelihood still rose at the largest N tried: not estimable
}

// WholeConstant finds the whole N of highest likelihood when detection is
// constant (Otis et al. 1978, with its error).
func WholeConstant(f Frequencies) (Whole, error) {
	s, err := f.survey(nil)
	if err != nil {
		return Whole{}, err
	}
	t, captures := float64(f.Nights), float64(s.captures)
	w := Whole{C: math.NaN()}
	w.N, w.Open = s.highest(func(n float64) float64 {
		return xlogx(captures) + xlogx(t*n-captures) - xlogx(t*n)
	})
	n := float64(w.N)
	w.P = captures / (t * n)
	w.SE = math.Sqrt(n / (math.Pow(1-w.P, -t) - t/(1-w.P) + t - 1))
	return w.settle(), nil
}

// WholeOccasion finds the whole N of highest likelihood when detection differs
// between nights (Otis et al. 1978, after Darroch 1958).
func WholeOccasion(n NightCounts) (Whole, error) {
	s, err := n.survey(nil)
	if err != nil {
		return Whole{}, err
	}
	w := Whole{P: math.NaN(), C: math.NaN()}
	w.N, w.Open = s.highest(func(total float64) float64 {
		sum := 0.0
		for _, c := range n.Caught {
			sum += xlogx(float64(c)) + xlogx(total-float64(c)) - xlogx(total)
		}
		return sum
	})
	total := float64(w.N)
	product, sum := 1.0, 0.0
	for _, c := range n.Caught {
		q := 1 - float64(c)/total
		product /= q
		sum += 1 / q
	}
	w.SE = math.Sqrt(total / (product + float64(s.nights) - 1 - sum))
	return w.settle(), nil
}

// WholeBehaviour finds the whole N of highest likelihood when detection changes
// at first capture (Otis et al. 1978, after Zippin 1956). Only
// first captures bear on N.
func WholeBehaviour(n NightCounts) (Whole, error) {
	s, err := n.survey(nil)
	if err != nil {
		return Whole{}, err
	}
	caught, t := s.caught[0], float64(s.nights)
	marked, known := 0.0, 0.0 // animals marked before a night, and their sum over nights
	for _, fresh := range n.New {
		known += marked
		marked += float64(fresh)
	}
	var w Whole
	w.N, w.Open = s.highest(func(total float64) float64 {
		return xlogx(caught) + xlogx(t*total-known-caught) - xlogx(t*total-known)
	})
	total := float64(w.N)
	w.P = caught / (t*total - known)
	w.C = (float64(s.captures) - caught) / known
	never := math.Pow(1-w.P, t)
	w.SE = math.Sqrt(total * never * (1 - never) / ((1-never)*(1-never) - t*t*w.P*w.P*math.Pow(1-w.P, t-1)))
	return w.settle(), nil
}

// highest walks N up from the animals caught while ln[N!/(N−M)!] + rest rises,
// up to 20,000 and ten times those caught.
func (s survey) highest(rest func(n float64) float64) (n int, open bool) {
	caught := s.caught[0]
	value := func(n int) float64 {
		ways, _ := fit.Permutations(float64(n)-caught, caught)
		return ways + rest(float64(n))
	}
	n = int(caught)
	here := value(n)
	for range 20_000 + 10*n {
		next := value(n + 1)
		if !(next > here) {
			return n, false
		}
		n, here = n+1, next
	}
	return n, true
}

// settle takes back what an N without limit would claim.
func (w Whole) settle() Whole {
	if w.Open {
		w.SE, w.P = math.NaN(), math.NaN()
	}
	if math.IsInf(w.SE, 0) {
		w.SE = math.NaN()
	}
	return w
}

// String says it as a table would.
func (w Whole) String() string {
	if w.Open {
		return "not estimable"
	}
	return fmt.Sprintf("%d (SE %.2f)", w.N, w.SE)
}

// xlogx is x ln x, 0 at 0.
func xlogx(x float64) float64 {
	if x <= 0 {
		return 0
	}
	return x * math.Log(x)
}
