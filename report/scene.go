package report

import (
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"dawnround/chart"
)

// A look is how a class of shapes is drawn on paper: shade and dash tell what
// colour tells on a screen, so that a photocopy still says it.
type look struct {
	fill   int // grey, -1 for none
	stroke int // grey, -1 for none
	width  float64
	dash   []float64
}

var looks = map[string]look{
	"line": {-1, 0, 0.4, nil}, "rule": {-1, 205, 0.15, nil}, "axis": {-1, 60, 0.2, nil},
	"stem": {-1, 120, 0.2, nil}, "stem asked": {-1, 0, 0.35, []float64{1, 0.6}},
	"caught": {0, 255, 0.2, nil}, "caught asked": {255, 0, 0.5, nil}, "inrow": {190, -1, 0, nil}, "born": {225, 110, 0.2, nil},
	"young": {90, -1, 0, nil}, "band": {228, -1, 0, nil}, "joins": {-1, 140, 0.2, nil}, "error": {-1, 60, 0.3, nil},
	"value": {30, 255, 0.2, nil}, "value hollow": {255, 0, 0.35, nil}, "died": {-1, 0, 0.8, nil}, "expects": {-1, 90, 0.25, []float64{1.2, 0.8}},
}

// scene draws a scene at a place, so many millimetres to a unit.
func (s *sheet) scene(scene *chart.Scene, x, y, per float64) {
	at := func(p chart.Point) fpdf.PointType { return fpdf.PointType{X: x + p.X*per, Y: y + p.Y*per} }
	for _, shape := range scene.Shapes() {
		switch v := shape.(type) {
		case chart.Line:
			s.pen(v.Class)
			for i := 1; i < len(v.Points); i++ {
				a, b := at(v.Points[i-1]), at(v.Points[i])
				s.Line(a.X, a.Y, b.X, b.Y)
			}
		case chart.Area:
			var points []fpdf.PointType
			for _, p := range v.Points {
				points = append(points, at(p))
			}
			s.Polygon(points, s.pen(v.Class))
		case chart.Rect:
			s.Rect(x+v.X*per, y+v.Y*per, v.W*per, v.H*per, s.pen(v.Class))
		case chart.Dot:
			s.Circle(x+v.X*per, y+v.Y*per, v.R*per, s.pen(v.Class))
		case chart.Words:
			s.words(v, at(chart.Point{X: v.X, Y: v.Y}), per)
		}
	}
}

// pen takes the look of a class, and gives how a closed shape is drawn with it.
func (s *sheet) pen(class string) string {
	l, ok := looks[class]
	if !ok {
		l = look{-1, 0, 0.2, nil}
	}
	style := ""
	if l.stroke >= 0 {
		s.SetDrawColor(l.stroke, l.stroke, l.stroke)
		s.SetLineWidth(l.width)
		s.SetDashPattern(l.dash, 0)
		style = "D"
	}
	if l.fill >= 0 {
		s.SetFillColor(l.fill, l.fill, l.fill)
		style = "F" + style
	}
	return style
}

func (s *sheet) words(w chart.Words, at fpdf.PointType, per float64) {
	text := spelt(w.Text)
	s.ink("", min(8, 13*per/0.3528), 0)
	switch w.Place {
	case chart.Around:
		at.X -= s.GetStringWidth(text) / 2
	case chart.UpTo:
		at.X -= s.GetStringWidth(text)
	}
	s.Text(at.X, at.Y, text)
}

// inWords are the signs of our own texts that the embedded letters lack.
var inWords = strings.NewReplacer("₀", "0", "₁", "1", "₂", "2", "⚠", "!", "✓", "yes")

// spelt writes in words what the embedded letters lack; what is no text at all
// is a question mark.
func spelt(text string) string {
	return strings.Map(func(c rune) rune {
		if c == '\n' || c == '\t' {
			return ' '
		}
		if c < ' ' || c > 0xFFFF {
			return '?'
		}
		return c
	}, inWords.Replace(strings.ToValidUTF8(text, "?")))
}

func plural(n int) string {
	if n == 1 {
		return "1 row"
	}
	return strconv.Itoa(n) + " rows"
}
