package agreement

import (
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
)

// A Reading is one value, of which animal and by whom; both are numbers from 0.
type Reading struct {
	Animal, Handler int
	Value           float64
}

// An Offset is how far a handler's readings lie from the mean of the handlers.
type Offset struct {
	fit.Estimate
	Readings int
	Animals  int // that this handler read and another did too
}

// Offsets is what the model says of handlers, animals and error.
type Offsets struct {
	Handlers []Offset
	Mean     float64 // over the handlers, of the mean animal
	AnimalSD float64 // between animals
	ErrorSD  float64 // of one reading by one handler: what is left
	DF       float64 // on which the intervals rest
	Animals  int
	Readings int
}

// Handlers estimates by how much each handler reads long or short, with the
// animal as random effect:
//
//	reading = handler + animal + error,
//
// animals and errors normal and independent. It is the mixed model of
// Henderson's kind, fitted by restricted maximum likelihood (Patterson &
// Thompson 1971, Biometrika 58:545–554) over the one ratio of variances; for a
// full table it is the two-way analysis of variance. Offsets are from the plain
// mean of the handlers; intervals are Student's t on the degrees of freedom
// within animals. It assumes that the animal itself did not change between its
// readings. Fewer than two handlers, or no animal read twice, is an error; a
// handler who shares no animal with others is still computed, from animals
// being alike on average, and Animals is then 0.
func Handlers(readings []Reading) (Offsets, error) {
	m, err := newMixed(readings)
	if err != nil {
		return Offsets{}, err
	}
	ratio := m.bestRatio()
	beta, root, error2 := m.solve(ratio)
	out := Offsets{
		AnimalSD: math.Sqrt(ratio * error2), ErrorSD: math.Sqrt(error2), DF: m.df,
		Mean: mean(beta), Animals: len(m.animals), Readings: len(readings),
	}
	t := fit.StudentQuantile(0.05, m.df)
	shared := m.shared()
	for h := range beta {
		o := Offset{Readings: m.count[h], Animals: shared[h]}
		contrast := slices.Repeat([]float64{-1 / float64(len(beta))}, len(beta))
		contrast[h]++
		se, value := math.Sqrt(error2*squareBy(root, contrast)), beta[h]-out.Mean
		o.Estimate = fit.Estimate{Name: fmt.Sprintf("handler %d", h), Value: value, SE: se, Lower: value - t*se, Upper: value + t*se}
		out.Handlers = append(out.Handlers, o)
	}
	return out, nil
}

// squareBy is cᵀ(L·Lᵀ)⁻¹c.
func squareBy(root fit.Matrix, c []float64) float64 {
	sum := 0.0
	for i, v := range solveBy(root, c) {
		sum += float64(v * c[i])
	}
	return sum
}

// mixed is the data of the model, animal by animal.
type mixed struct {
	animals  [][]Reading
	handlers int
	count    []int // readings of each handler
	readings int
	df       float64
}

func newMixed(readings []Reading) (*mixed, error) {
	m := &mixed{readings: len(readings)}
	at := map[int]int{}
	for i, r := range readings {
		if r.Animal < 0 || r.Handler < 0 {
			return nil, fmt.Errorf("reading %d: animal %d, handler %d: both are numbered from 0", i+1, r.Animal, r.Handler)
		}
		for r.Handler >= m.handlers {
			m.handlers++
			m.count = append(m.count, 0)
		}
		m.count[r.Handler]++
		a, known := at[r.Animal]
		if !known {
			a = len(m.animals)
			at[r.Animal] = a
			m.animals = append(m.animals, nil)
		}
		m.animals[a] = append(m.animals[a], r)
	}
	for h, n := range m.count {
		if n == 0 {
			return nil, fmt.Errorf("handler %d has no reading: handlers are numbered without a gap", h)
		}
	}
	m.df = float64(m.readings - len(m.animals) - (m.handlers - 1))
	switch {
	case m.handlers < 2:
		return nil, fmt.Errorf("%d handlers: there is nobody to compare with", m.handlers)
	case m.df < 1:
		return nil, fmt.Errorf("%d readings of %d animals by %d handlers leave nothing to judge the error by", m.readings, len(m.animals), m.handlers)
	}
	return m, nil
}

// shared counts, for each handler, the animals that another handler read too.
func (m *mixed) shared() []int {
	out := make([]int, m.handlers)
	for _, rs := range m.animals {
		by := map[int]bool{}
		for _, r := range rs {
			by[r.Handler] = true
		}
		for h := range by {
			if len(by) > 1 {
				out[h]++
			}
		}
	}
	return out
}

// normal gives XᵀV⁻¹X and XᵀV⁻¹y for V = I + ratio·J in each animal, X having
// a column for each handler.
func (m *mixed) normal(ratio float64) (fit.Matrix, []float64) {
	xx, xy := fit.NewMatrix(m.handlers), make([]float64, m.handlers)
	n := make([]float64, m.handlers)
	for _, rs := range m.animals {
		clear(n)
		sum := 0.0
		for _, r := range rs {
			n[r.Handler]++
			sum += r.Value
			xx[r.Handler][r.Handler]++
			xy[r.Handler] += r.Value
		}
		shrink := ratio / (1 + float64(ratio*float64(len(rs))))
		for i, ni := range n {
			if ni == 0 {
				continue
			}
			xy[i] -= float64(shrink * ni * sum)
			for j, nj := range n {
				xx[i][j] -= float64(shrink * ni * nj)
			}
		}
	}
	return xx, xy
}

// solve gives the handlers' means, the root of XᵀV⁻¹X, and the error variance.
func (m *mixed) solve(ratio float64) (beta []float64, root fit.Matrix, error2 float64) {
	xx, xy := m.normal(ratio)
	root = cholesky(xx)
	beta = solveBy(root, xy)
	return beta, root, m.residual(ratio, beta) / float64(m.readings-m.handlers)
}

// residual is (y − Xβ)ᵀV⁻¹(y − Xβ).
func (m *mixed) residual(ratio float64, beta []float64) float64 {
	total := 0.0
	for _, rs := range m.animals {
		sum := 0.0
		for _, r := range rs {
			d := r.Value - beta[r.Handler]
			sum += d
			total += float64(d * d)
		}
		total -= float64(ratio / (1 + float64(ratio*float64(len(rs)))) * sum * sum)
	}
	return total
}

// criterion is −2 ln of the restricted likelihood, but for constants.
func (m *mixed) criterion(ratio float64) float64 {
	_, root, error2 := m.solve(ratio)
	c := float64(m.readings-m.handlers) * math.Log(error2)
	for i := range root {
		c += 2 * math.Log(root[i][i])
	}
	for _, rs := range m.animals {
		c += math.Log1p(ratio * float64(len(rs)))
	}
	return c
}

// bestRatio is the ratio of the animals' variance to the error's at which the
// restricted likelihood is highest: sought over e^−12 to e^16 in steps, then
// closed in on by the golden section. No difference between animals is 0.
func (m *mixed) bestRatio() float64 {
	best, lowest := -13, m.criterion(0)
	for step := -12; step <= 16; step++ {
		if c := m.criterion(math.Exp(float64(step))); c < lowest {
			best, lowest = step, c
		}
	}
	if best == -13 {
		return 0
	}
	return math.Exp(lowestBetween(float64(best-1), float64(best+1), func(x float64) float64 { return m.criterion(math.Exp(x)) }))
}

// lowestBetween closes in on the lowest place of f by the golden section.
func lowestBetween(lo, hi float64, f func(float64) float64) float64 {
	const golden = 0.6180339887498949
	a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
	fa, fb := f(a), f(b)
	for hi-lo > 1e-7 {
		if fa < fb {
			hi, b, fb = b, a, fa
			a = hi - golden*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + golden*(hi-lo)
			fb = f(b)
		}
	}
	return (lo + hi) / 2
}

// cholesky gives the lower triangle L with L·Lᵀ = a, a being symmetric and
// positive definite.
func cholesky(a fit.Matrix) fit.Matrix {
	l := fit.NewMatrix(len(a))
	for i := range a {
		for j := range i + 1 {
			sum := a[i][j]
			for k, v := range l[i][:j] {
				sum -= float64(v * l[j][k])
			}
			if i == j {
				l[i][i] = math.Sqrt(sum)
			} else {
				l[i][j] = sum / l[j][j]
			}
		}
	}
	return l
}

// solveBy gives x with L·Lᵀ·x = b.
func solveBy(l fit.Matrix, b []float64) []float64 {
	x := slices.Clone(b)
	for i := range x {
		for k, v := range l[i][:i] {
			x[i] -= float64(v * x[k])
		}
		x[i] /= l[i][i]
	}
	for i := len(x) - 1; i >= 0; i-- {
		for k := i + 1; k < len(x); k++ {
			x[i] -= float64(l[k][i] * x[k])
		}
		x[i] /= l[i][i]
	}
	return x
}
