package density

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// A Space is the state space: the cells in whose middles centres of activity
// may lie.
type Space struct {
	Cells []Point
	SideM float64 // of a cell
	Ha    float64 // of a cell
	// Columns hold a number for each cell, by name: its cover, say. "x" and "y"
	// are always there.
	Columns map[string][]float64
	// Fenced tells that nothing lives beyond its edge.
	Fenced bool
	// MarginM is how far it reaches from the traps, where it was made so. Such a
	// space can be widened to see whether it was wide enough.
	MarginM float64
}

const (
	squareMetresPerHa = 1e4
	mostCells         = 250_000
)

// AreaHa is the area of the state space.
func (s Space) AreaHa() float64 { return float64(len(s.Cells)) * s.Ha }

// Bounds are the south-western and north-eastern corners of all cells.
func (s Space) Bounds() (low, high Point) {
	low, high = bounds(s.Cells)
	half := s.SideM / 2
	return Point{low.X - half, low.Y - half}, Point{high.X + half, high.Y + half}
}

// Around makes the state space of all places within a margin of a trap, in
// square cells.
func Around(traps []Trap, marginM, sideM float64) (Space, error) {
	if !(marginM > 0) || !finite(marginM) || len(traps) == 0 {
		return Space{}, fmt.Errorf("a margin of %g m round %d traps: expected a distance above 0 and at least one trap", marginM, len(traps))
	}
	var corners []Point
	for _, t := range traps {
		corners = append(corners, Point{t.At.X - marginM, t.At.Y - marginM}, Point{t.At.X + marginM, t.At.Y + marginM})
	}
	near := func(p Point) bool {
		return slices.ContainsFunc(traps, func(t Trap) bool { return math.Hypot(p.X-t.At.X, p.Y-t.At.Y) <= marginM })
	}
	s, err := lattice(corners, sideM, near)
	s.MarginM = marginM
	return s, err
}

// Within makes the state space inside a fence, in square cells whose middles
// lie inside. Each ring is a closed line; a ring inside another is a hole that
// the animals do not use, and so on inwards.
func Within(rings [][]Point, sideM float64) (Space, error) {
	var corners []Point
	for i, ring := range rings {
		if len(ring) < 3 {
			return Space{}, fmt.Errorf("ring %d has %d corners: expected 3 or more", i+1, len(ring))
		}
		corners = append(corners, ring...)
	}
	s, err := lattice(corners, sideM, func(p Point) bool {
		inside := false
		for _, ring := range rings {
			inside = inside != p.inside(ring)
		}
		return inside
	})
	s.Fenced = true
	return s, err
}

// inside counts the sides that a ray to the east crosses.
func (p Point) inside(ring []Point) bool {
	inside := false
	for i, b := range ring {
		a := ring[(i+len(ring)-1)%len(ring)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			inside = !inside
		}
	}
	return inside
}

// lattice lays square cells from the south-western corner and keeps some.
func lattice(corners []Point, sideM float64, keep func(Point) bool) (Space, error) {
	if !(sideM > 0) || !finite(sideM) {
		return Space{}, fmt.Errorf("cells of %g m: expected a side above 0", sideM)
	}
	if len(corners) == 0 || slices.ContainsFunc(corners, func(p Point) bool { return !finite(p.X) || !finite(p.Y) }) {
		return Space{}, fmt.Errorf("the edge has corners that are no places: give metres")
	}
	low, high := bounds(corners)
	across, up := math.Ceil((high.X-low.X)/sideM-1e-9), math.Ceil((high.Y-low.Y)/sideM-1e-9)
	if across*up > 4*mostCells {
		return Space{}, fmt.Errorf("%.0f cells of %g m: at most %d; make the cells larger", across*up, sideM, mostCells)
	}
	s := Space{SideM: sideM, Ha: sideM * sideM / squareMetresPerHa}
	for j := range int(up) {
		for i := range int(across) {
			p := Point{low.X + (float64(i)+0.5)*sideM, low.Y + (float64(j)+0.5)*sideM}
			if keep(p) {
				s.Cells = append(s.Cells, p)
			}
		}
	}
	return s, s.check()
}

func bounds(points []Point) (low, high Point) {
	low, high = points[0], points[0]
	for _, p := range points {
		low = Point{math.Min(low.X, p.X), math.Min(low.Y, p.Y)}
		high = Point{math.Max(high.X, p.X), math.Max(high.Y, p.Y)}
	}
	return low, high
}

// Given makes the state space of square cells laid elsewhere; the smallest step
// between their middles, east or north, is taken as their side.
func Given(cells []Point, columns map[string][]float64) (Space, error) {
	if len(cells) < 2 {
		return Space{}, fmt.Errorf("%d cells: expected two at least", len(cells))
	}
	x, y := make([]float64, len(cells)), make([]float64, len(cells))
	for i, c := range cells {
		x[i], y[i] = c.X, c.Y
	}
	side := math.Min(step(x), step(y))
	s := Space{Cells: cells, SideM: side, Ha: side * side / squareMetresPerHa, Columns: columns}
	return s, s.check()
}

// step is the smallest step between different values.
func step(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	least := math.Inf(1)
	for i := 1; i < len(sorted); i++ {
		if d := sorted[i] - sorted[i-1]; d > 1e-6*math.Max(1, math.Abs(sorted[i])) {
			least = math.Min(least, d)
		}
	}
	return least
}

func (s Space) check() error {
	if len(s.Cells) == 0 {
		return fmt.Errorf("the state space has no cells: make the cells smaller, or the space larger")
	}
	if len(s.Cells) > mostCells {
		return fmt.Errorf("%d cells: at most %d; make the cells larger", len(s.Cells), mostCells)
	}
	if !(s.Ha > 0) || !finite(s.Ha) {
		return fmt.Errorf("a cell of %g ha: expected an area above 0", s.Ha)
	}
	seen := map[Point]bool{}
	for i, c := range s.Cells {
		if !finite(c.X) || !finite(c.Y) {
			return fmt.Errorf("cell %d lies nowhere: give its middle in metres", i+1)
		}
		if seen[c] {
			return fmt.Errorf("cell %d at %g, %g is there twice: give it once", i+1, c.X, c.Y)
		}
		seen[c] = true
	}
	for _, name := range slices.Sorted(maps.Keys(s.Columns)) {
		if err := checkColumn(name, s.Columns[name], len(s.Cells), "cell"); err != nil {
			return err
		}
	}
	return nil
}

// columns are those given, with the place itself.
func (s Space) columns() map[string][]float64 {
	out := map[string][]float64{"x": make([]float64, len(s.Cells)), "y": make([]float64, len(s.Cells))}
	for i, c := range s.Cells {
		out["x"][i], out["y"][i] = c.X, c.Y
	}
	maps.Copy(out, s.Columns)
	return out
}

// edge are the cells that have no neighbour on one of their four sides.
func (s Space) edge() []int {
	type square struct{ x, y int }
	at := func(p Point) square {
		return square{int(math.Round((p.X - s.Cells[0].X) / s.SideM)), int(math.Round((p.Y - s.Cells[0].Y) / s.SideM))}
	}
	there := map[square]bool{}
	for _, c := range s.Cells {
		there[at(c)] = true
	}
	var edge []int
	for i, c := range s.Cells {
		p := at(c)
		if !there[square{p.x - 1, p.y}] || !there[square{p.x + 1, p.y}] || !there[square{p.x, p.y - 1}] || !there[square{p.x, p.y + 1}] {
			edge = append(edge, i)
		}
	}
	return edge
}
