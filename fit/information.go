package fit

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Flat is a direction of the link scale along which the likelihood does not
// curve.
type Flat struct {
	Direction []float64 // of length 1
	Names     []string  // the parameters it moves most
	Boundary  bool      // the likelihood rises towards an end of the range and stays level there
}

// spectrum is the information matrix in its own axes.
type spectrum struct {
	values []float64
	axes   Matrix // one per row
}

func (s spectrum) flat(i int) bool {
	return s.values[i] < math.Max(flatCurvature, flatShare*slices.Max(s.values))
}

// information differences the exact gradient, centred, by 1e-4 each way.
func (c *climb) information(at []float64) spectrum {
	const h = 1e-4
	n := len(at)
	m := NewMatrix(n)
	for i := range n {
		y := slices.Clone(at)
		y[i] = at[i] + h
		above := c.look(y)
		y = slices.Clone(at)
		y[i] = at[i] - h
		below := c.look(y)
		for j := range n {
			d := (above.slope[j] - below.slope[j]) / (4 * h)
			m[i][j] += d
			m[j][i] += d
		}
	}
	values, axes := eigen(m)
	return spectrum{values, axes}
}

// polish takes Newton steps along the curved directions until the slope there
// is rounding, and returns the information at the end.
func (c *climb) polish(best summit) (summit, spectrum) {
	s := c.information(best.at)
	for range 8 {
		if maxAbs(best.slope) <= slopeEnough(best.value)/100 {
			break
		}
		y := slices.Clone(best.at)
		for i, axis := range s.axes {
			if !s.flat(i) {
				axpy(-dot(axis, best.slope)/s.values[i], axis, y)
			}
		}
		next := c.look(y)
		if !(next.value <= best.value+1e-12*math.Abs(best.value)) || maxAbs(next.slope) >= maxAbs(best.slope) {
			break
		}
		best = next
		s = c.information(best.at)
	}
	return best, s
}

// curve turns the information into covariance, flat directions and the
// warnings about them.
func (c *climb) curve(f *Fit, best summit, s spectrum) {
	n := len(best.at)
	f.Covariance = NewMatrix(n)
	f.Parameters = n
	var level [][]float64
	for k, axis := range s.axes {
		x := c.basis.times(axis)
		if s.flat(k) {
			level = append(level, x)
			continue
		}
		for i := range n {
			axpy(x[i]/s.values[k], x, f.Covariance[i])
		}
	}
	for _, direction := range separated(level) {
		flat := c.explore(f.X, best.value, direction)
		if !flat.Boundary {
			f.Parameters--
		}
		f.Flat = append(f.Flat, flat)
	}
	warnFlat(f)
}

// separated turns directions that span a level plain into others that span it
// too, each moving one parameter that none of the rest moves (Gauss–Jordan
// elimination with full pivoting). So two parameters at the ends of their ranges
// are not taken for one ridge.
func separated(level [][]float64) [][]float64 {
	done := make([]bool, len(level))
	for range level {
		row, column := -1, 0
		for i, direction := range level {
			for j, v := range direction {
				if !done[i] && (row < 0 || math.Abs(v) > math.Abs(level[row][column])) {
					row, column = i, j
				}
			}
		}
		pivot := level[row]
		done[row] = true
		for i, direction := range level {
			if i != row {
				axpy(-direction[column]/pivot[column], pivot, direction)
				direction[column] = 0
			}
		}
	}
	return level
}

// explore goes ever farther both ways along a level direction, to 256 units.
// Where the likelihood falls first on one side only, the parameter stands at an
// end of its range.
func (c *climb) explore(x []float64, value float64, direction []float64) Flat {
	length := math.Sqrt(dot(direction, direction))
	flat := Flat{Direction: slices.Clone(direction)}
	for i := range flat.Direction {
		flat.Direction[i] /= length
	}
	falls := func(step float64) bool {
		there := slices.Clone(x)
		axpy(step, flat.Direction, there)
		return !(-c.l.Log(there, nil) < value+1e-3)
	}
	for step := 8.0; step <= 256; step *= 2 {
		along, against := falls(step), falls(-step)
		if along || against {
			flat.Boundary = along != against
			break
		}
	}
	for i, d := range flat.Direction {
		if math.Abs(d) > 0.3*maxAbs(flat.Direction) {
			flat.Names = append(flat.Names, c.l.Names[i])
		}
	}
	return flat
}

func warnFlat(f *Fit) {
	var edge, lost []string
	for _, flat := range f.Flat {
		names := strings.Join(flat.Names, " with ")
		if flat.Boundary {
			edge = append(edge, names)
		} else {
			lost = append(lost, names)
		}
	}
	if len(edge) > 0 {
		f.Warnings = append(f.Warnings, fmt.Sprintf("at the end of the range: %s", strings.Join(edge, "; ")))
	}
	if len(lost) > 0 {
		f.Warnings = append(f.Warnings, fmt.Sprintf("not estimable from these data: %s", strings.Join(lost, "; ")))
	}
}
