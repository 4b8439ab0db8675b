package main

import (
	"fmt"
	"math"

	"dawnround/chart"
	"dawnround/density"
)

// densityStyle is how the surface looks on paper, pale where few animals live.
const densityStyle = `.shade0{fill:#f7f9fa}.shade1{fill:#e3ebf0}.shade2{fill:#cddce6}.shade3{fill:#b4cbda}.shade4{fill:#98b6ca}` +
	`.shade5{fill:#7b9fb9}.shade6{fill:#5c86a5}.shade7{fill:#3f6d90}.shade8{fill:#265478}` +
	`.trap{fill:none;stroke:#222;stroke-width:1}.caught{fill:#9a4a00;stroke:#fff;stroke-width:.7}` +
	`.centre{fill:#fff;stroke:#111;stroke-width:1.5}.tie{stroke:#9a4a00;stroke-opacity:.6;fill:none}.shut{stroke:#888}`

const (
	pictureWide = 720.0
	pictureEdge = 24.0
	shades      = 9
)

// densityPicture draws, trip by trip, where the animals live, the traps, and
// what they caught. It shows no coordinates.
func densityPicture(s density.Survey, r density.Result) *chart.Scene {
	scene := &chart.Scene{Width: pictureWide, Title: "Where the animals live", Desc: dense(r, s.AreaHa())}
	y := pictureEdge + 12
	scene.Put(chart.Words{Class: "head", X: pictureEdge, Y: y, Text: "Where the animals live"})
	y += 10
	for t := range s {
		if s[t].Name != "" {
			y += 18
			scene.Put(chart.Words{X: pictureEdge, Y: y, Text: "Trip " + s[t].Name})
		}
		y = newPlan(s[t], y+8).draw(scene, s[t], r, t)
	}
	scene.Height = y + pictureEdge
	return scene
}

// A plan lays a trip's state space on the drawing.
type plan struct {
	x, y   chart.Scale
	unit   float64 // of the drawing, in a metre
	bottom float64
}

func newPlan(t density.Trip, top float64) plan {
	low, high := t.Space.Bounds()
	across, up := high.X-low.X, high.Y-low.Y
	unit := (pictureWide - 2*pictureEdge) / math.Max(across, up)
	left := pictureEdge + (pictureWide-2*pictureEdge-across*unit)/2
	return plan{
		chart.Scale{From: low.X, To: high.X, At: left, End: left + across*unit},
		chart.Scale{From: low.Y, To: high.Y, At: top + up*unit, End: top},
		unit, top + up*unit,
	}
}

func (p plan) on(at density.Point) chart.Point { return chart.Point{X: p.x.On(at.X), Y: p.y.On(at.Y)} }

// draw puts surface, ties, traps and centres on the scene, and the legend below;
// it returns where that ends.
func (p plan) draw(scene *chart.Scene, t density.Trip, r density.Result, trip int) float64 {
	surface := r.Surface(trip)
	most := 0.0
	for _, d := range surface {
		most = math.Max(most, d)
	}
	side := t.Space.SideM * p.unit
	for i, c := range t.Space.Cells {
		shade, says := 0, ""
		if surface != nil {
			shade = min(shades-1, int(surface[i]/most*shades))
			says = fmt.Sprintf("%.2g per hectare", surface[i])
		}
		at := p.on(c)
		scene.Put(chart.Rect{Class: fmt.Sprintf("shade%d", shade), X: at.X - side/2, Y: at.Y - side/2, W: side + 0.3, H: side + 0.3, Title: says})
	}
	p.captures(scene, t, r, trip)
	return p.legend(scene, most)
}

// captures draws the traps, how often each caught, and every animal's centre
// tied to where it was caught.
func (p plan) captures(scene *chart.Scene, t density.Trip, r density.Result, trip int) {
	caught := make([]int, len(t.Traps))
	centres := r.Centres(trip)
	for i, a := range t.Animals {
		for _, c := range a.Caught {
			caught[c.Trap]++
			if i < len(centres) {
				scene.Put(chart.Line{Class: "tie", Points: []chart.Point{p.on(centres[i].At), p.on(t.Traps[c.Trap].At)}})
			}
		}
	}
	for k, trap := range t.Traps {
		at, arm := p.on(trap.At), 3.5
		scene.Put(
			chart.Line{Class: "trap", Points: []chart.Point{{X: at.X - arm, Y: at.Y}, {X: at.X + arm, Y: at.Y}}},
			chart.Line{Class: "trap", Points: []chart.Point{{X: at.X, Y: at.Y - arm}, {X: at.X, Y: at.Y + arm}}},
		)
		if caught[k] > 0 {
			scene.Put(chart.Dot{Class: "caught", X: at.X, Y: at.Y, R: 3 + 1.5*math.Sqrt(float64(caught[k])), Title: fmt.Sprintf("trap %s: %s", trap.Name, plural(caught[k], "capture"))})
		}
	}
	for _, c := range centres {
		at := p.on(c.At)
		scene.Put(chart.Dot{Class: "centre", X: at.X, Y: at.Y, R: 4, Title: fmt.Sprintf("animal %s, within about %.0f m", c.Animal, c.SpreadM)})
	}
}

// legend says what is drawn, with a length to measure by.
func (p plan) legend(scene *chart.Scene, most float64) float64 {
	y, x := p.bottom+26, pictureEdge
	length := 100.0
	for length*p.unit > (pictureWide-2*pictureEdge)/3 {
		length /= 2
	}
	scene.Put(
		chart.Line{Class: "axis", Points: []chart.Point{{X: x, Y: y}, {X: x + length*p.unit, Y: y}}},
		chart.Words{X: x, Y: y - 5, Text: fmt.Sprintf("%g m", length)},
	)
	if most > 0 {
		const box = 18.0
		x = pictureWide - pictureEdge - shades*box
		for shade := range shades {
			scene.Put(chart.Rect{Class: fmt.Sprintf("shade%d", shade), X: x + float64(shade)*box, Y: y - 10, W: box, H: 10})
		}
		scene.Put(
			chart.Words{X: x - 6, Y: y, Text: "0", Place: chart.UpTo},
			chart.Words{X: pictureWide - pictureEdge, Y: y - 15, Text: fmt.Sprintf("to %.3g centres per hectare", most), Place: chart.UpTo},
		)
	}
	y += 24
	x = pictureEdge
	scene.Put(
		chart.Line{Class: "trap", Points: []chart.Point{{X: x - 1, Y: y - 4}, {X: x + 6, Y: y - 4}}},
		chart.Line{Class: "trap", Points: []chart.Point{{X: x + 2.5, Y: y - 7.5}, {X: x + 2.5, Y: y - 0.5}}},
		chart.Words{Class: "small", X: x + 14, Y: y, Text: "trap"},
		chart.Dot{Class: "caught", X: x + 62, Y: y - 4, R: 5},
		chart.Words{Class: "small", X: x + 74, Y: y, Text: "trap that caught, larger the oftener"},
		chart.Dot{Class: "centre", X: x + 286, Y: y - 4, R: 4},
		chart.Words{Class: "small", X: x + 298, Y: y, Text: "where an animal probably lives, tied to where it was caught"},
	)
	return y + 6
}
