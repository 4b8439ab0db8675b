package answer

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"dawnround/chart"
	"dawnround/density"
)

// Picture draws where the animals of the latest trip live: the darker a square,
// the more centres are expected there. It is generalised: squares of several
// cells, no traps, names or coordinates, and metres from a corner.
func (d Dense) Picture(width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Height: 100, Class: "answer", Title: "Where they live", Desc: d.Says}
	if d.Refused != "" {
		return s
	}
	last := len(d.survey) - 1
	squares, side := blocks(d.survey[last].Space, d.best.Surface(last))
	across, up, most := 0.0, 0.0, 0.0
	for at, of := range squares {
		across, up, most = max(across, at.X+side), max(up, at.Y+side), max(most, of.mean())
	}
	unit := math.Min((width-40)/across, 460/up)
	top := captioned(s, 8, "generalised: squares of "+short(side)+" m, no exact places; the larger the square drawn, the more centres per hectare (most: "+figures(most, 2)+")")
	for _, at := range inRows(squares) {
		of := squares[at]
		share := math.Sqrt(of.mean() / most)
		x, y, half := 20+(at.X+side/2)*unit, top+(up-at.Y-side/2)*unit, 0.46*side*unit*share
		s.Put(chart.Rect{Class: "value", X: x - half, Y: y - half, W: 2 * half, H: 2 * half, Title: figures(of.mean(), 2) + " per hectare"})
	}
	y := top + up*unit + 16
	s.Put(chart.Line{Class: "axis", Points: []chart.Point{{X: 20, Y: y}, {X: 20 + 2*side*unit, Y: y}}},
		chart.Words{Class: "small", X: 26 + 2*side*unit, Y: y + 4, Text: short(2*side) + " m"})
	s.Height = y + 16
	return s
}

// block is the mean of the cells of a square.
type block struct{ sum, n float64 }

func (b block) mean() float64 { return b.sum / b.n }

// blocks gathers cells in squares, about sixteen across, by their lower left
// corner in metres from that of the state space.
func blocks(space density.Space, surface []float64) (map[density.Point]block, float64) {
	low, high := space.Bounds()
	side := math.Ceil(math.Max(high.X-low.X, high.Y-low.Y)/16/space.SideM) * space.SideM
	side = max(10*math.Ceil(side/10), 10)
	out := map[density.Point]block{}
	for i, c := range space.Cells {
		at := density.Point{X: math.Floor((c.X-low.X)/side) * side, Y: math.Floor((c.Y-low.Y)/side) * side}
		b := out[at]
		out[at] = block{b.sum + surface[i], b.n + 1}
	}
	return out, side
}

// inRows gives the corners of squares row by row, so that a picture is drawn the same each time.
func inRows(squares map[density.Point]block) []density.Point {
	return slices.SortedFunc(maps.Keys(squares), func(a, b density.Point) int {
		return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X))
	})
}
