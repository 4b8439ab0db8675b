package fit

import "math"

// A Matrix is a square table of numbers by row.
type Matrix [][]float64

// NewMatrix returns an n × n matrix of zeros.
func NewMatrix(n int) Matrix {
	flat := make([]float64, n*n)
	m := make(Matrix, n)
	for i := range m {
		m[i] = flat[i*n : (i+1)*n : (i+1)*n]
	}
	return m
}

func identity(n int) Matrix {
	m := NewMatrix(n)
	for i := range m {
		m[i][i] = 1
	}
	return m
}

// times returns m·x.
func (m Matrix) times(x []float64) []float64 {
	out := make([]float64, len(m))
	for i, row := range m {
		out[i] = dot(row, x)
	}
	return out
}

// timesTransposed writes mᵀ·x into out.
func (m Matrix) timesTransposed(x, out []float64) {
	clear(out)
	for i, row := range m {
		axpy(x[i], row, out)
	}
}

// solveUpper returns the x for which m·x = b, m being upper triangular.
func (m Matrix) solveUpper(b []float64) []float64 {
	x := make([]float64, len(b))
	for i := len(b) - 1; i >= 0; i-- {
		x[i] = (b[i] - dot(m[i][i+1:], x[i+1:])) / m[i][i]
	}
	return x
}

// without returns m with row and column i left out.
func (m Matrix) without(i int) Matrix {
	out := NewMatrix(len(m) - 1)
	for r := range out {
		copy(out[r], without(m[skip(r, i)], i))
	}
	return out
}

// skip turns an index among all but i into an index among all.
func skip(r, i int) int {
	if r >= i {
		return r + 1
	}
	return r
}

// without returns x with element i left out.
func without[T any](x []T, i int) []T {
	out := make([]T, 0, len(x)-1)
	return append(append(out, x[:i]...), x[i+1:]...)
}

// with returns x with v put in as element i.
func with(x []float64, i int, v float64) []float64 {
	out := make([]float64, 0, len(x)+1)
	return append(append(append(out, x[:i]...), v), x[i:]...)
}

func dot(x, y []float64) float64 {
	sum := 0.0
	for i, v := range x {
		sum += float64(v * y[i])
	}
	return sum
}

// axpy adds a·x to y.
func axpy(a float64, x, y []float64) {
	if a == 0 {
		return
	}
	for i, v := range x {
		y[i] += float64(a * v)
	}
}

func maxAbs(x []float64) float64 {
	top := 0.0
	for _, v := range x {
		if a := math.Abs(v); a > top || math.IsNaN(a) {
			top = a
		}
	}
	return top
}

// eigen returns the eigenvalues of a symmetric matrix and, as the rows of the
// second result, its eigenvectors, by Jacobi's cyclic rotations (Golub & Van
// Loan, Matrix Computations, §8.5). It overwrites a.
func eigen(a Matrix) (values []float64, vectors Matrix) {
	n := len(a)
	vectors = identity(n)
	for range 60 {
		if offDiagonal(a) == 0 {
			break
		}
		for p := range n {
			for q := p + 1; q < n; q++ {
				rotate(a, vectors, p, q)
			}
		}
	}
	values = make([]float64, n)
	for i := range values {
		values[i] = a[i][i]
	}
	return values, vectors
}

// offDiagonal is the largest element off the diagonal, 0 when it is lost in
// the rounding of the largest on it.
func offDiagonal(a Matrix) float64 {
	top, diagonal := 0.0, 0.0
	for p := range a {
		diagonal = math.Max(diagonal, math.Abs(a[p][p]))
		for q := p + 1; q < len(a); q++ {
			top = math.Max(top, math.Abs(a[p][q]))
		}
	}
	if top < 1e-17*diagonal {
		return 0
	}
	return top
}

// rotate turns the plane p, q so that a[p][q] becomes 0.
func rotate(a, vectors Matrix, p, q int) {
	if a[p][q] == 0 {
		return
	}
	theta := (a[q][q] - a[p][p]) / (2 * a[p][q])
	t := 1 / (math.Abs(theta) + math.Sqrt(theta*theta+1))
	if theta < 0 {
		t = -t
	}
	c := 1 / math.Sqrt(t*t+1)
	s := t * c
	for k := range a {
		kp, kq := a[k][p], a[k][q]
		a[k][p], a[k][q] = float64(c*kp)-float64(s*kq), float64(s*kp)+float64(c*kq)
	}
	for k := range a {
		pk, qk := a[p][k], a[q][k]
		a[p][k], a[q][k] = float64(c*pk)-float64(s*qk), float64(s*pk)+float64(c*qk)
	}
	vp, vq := vectors[p], vectors[q]
	for k := range vp {
		vp[k], vq[k] = float64(c*vp[k])-float64(s*vq[k]), float64(s*vp[k])+float64(c*vq[k])
	}
}
