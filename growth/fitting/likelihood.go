package fitting

import (
	"math"

	"dawnround/fit"
)

// A likelihood is the sum over animals of what each one's readings say of the
// parameters. Animals are independent; readings of one animal need not be.
type likelihood struct {
	names  []string
	scales []float64 // by which a parameter changes about as much as it is uncertain
	starts [][]float64
	units  int // animals
	// of adds animal i's derivatives to gradient and returns its ln L. It may
	// keep scratch space.
	of func(i int, x, gradient []float64) float64
}

func (l likelihood) log(x, gradient []float64) float64 {
	if gradient == nil {
		gradient = make([]float64, len(x))
	}
	clear(gradient)
	sum := 0.0
	for i := range l.units {
		sum += l.of(i, x, gradient)
	}
	return sum
}

// maximise climbs to the top. robust takes the errors from how the animals'
// scores vary instead of from the curvature alone, so that they hold where the
// model leaves out that readings of one animal go together, or that what
// differs between animals is not normal (the sandwich of Huber 1967 and White
// 1982, by animal). For G animals and p parameters they are raised by G/(G − p),
// without which they are too small in small samples; with fewer than 2p animals
// the scores cannot tell, and the curvature stands.
func (l likelihood) maximise(robust bool) fit.Fit {
	basis := fit.NewMatrix(len(l.names))
	for i, s := range l.scales {
		basis[i][i] = s
	}
	f := fit.Likelihood{Names: l.names, Starts: l.starts, Basis: basis, Log: l.log}.Maximise()
	if robust && !math.IsNaN(f.Minus2LnL) && l.units >= 2*len(l.names) {
		f.Covariance = l.sandwich(f)
	}
	return f
}

func (l likelihood) sandwich(f fit.Fit) fit.Matrix {
	n := len(l.names)
	meat := fit.NewMatrix(n)
	for i := range l.units {
		score := make([]float64, n)
		l.of(i, f.X, score)
		for a := range n {
			for b := range n {
				meat[a][b] += float64(score[a] * score[b])
			}
		}
	}
	factor := float64(l.units) / float64(l.units-n)
	out := product(product(f.Covariance, meat), f.Covariance)
	for a := range n {
		for b := range n {
			out[a][b] *= factor
		}
	}
	return out
}

func product(a, b fit.Matrix) fit.Matrix {
	out := fit.NewMatrix(len(a))
	for i := range a {
		for j := range b {
			for k, v := range a[i] {
				out[i][j] += float64(v * b[k][j])
			}
		}
	}
	return out
}

// carried takes a covariance through the derivatives of new quantities, one
// row each, by the parameters.
func carried(covariance fit.Matrix, derivatives [][]float64) [][]float64 {
	out := make([][]float64, len(derivatives))
	for i, di := range derivatives {
		out[i] = make([]float64, len(derivatives))
		for j, dj := range derivatives {
			for a, row := range covariance {
				for b, v := range row {
					out[i][j] += float64(di[a] * v * dj[b])
				}
			}
		}
	}
	return out
}

// halfLn2Pi is ½ ln 2π.
const halfLn2Pi = 0.9189385332046727

// normal is ln of the density of a normal deviate r of variance v, with its
// derivatives by r and by v.
func normal(r, v float64) (log, byR, byV float64) {
	return -halfLn2Pi - math.Log(v)/2 - r*r/(2*v), -r / v, (r*r/v - 1) / (2 * v)
}
