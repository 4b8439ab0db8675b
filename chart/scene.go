package chart

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// A Scene is one figure, drawn in the order in which its shapes were put.
// Lengths are units of the drawing, from its upper left corner; the page
// scales them.
type Scene struct {
	Width, Height float64
	Class         string
	Title         string // what the figure is: "Mass by date"
	Desc          string // what it says, in a sentence
	shapes        []Shape
}

// A Shape is one thing drawn: Line, Area, Rect, Dot or Words.
type Shape interface {
	svg() string
	moved(x, y float64) Shape
}

// Point is a place on the drawing.
type Point struct{ X, Y float64 }

// Line joins points.
type Line struct {
	Class  string
	Points []Point
}

// Area fills what points enclose.
type Area struct {
	Class  string
	Points []Point
}

// Rect is a box with its upper left corner at X, Y.
type Rect struct {
	Class      string
	X, Y, W, H float64
	Title      string // said when pointed at
}

// Dot is a disc, or a ring where its class says so.
type Dot struct {
	Class   string
	X, Y, R float64
	Title   string // said when pointed at
}

// Words stand at a point on their base line: from it, around it or up to it.
type Words struct {
	Class string
	X, Y  float64
	Text  string
	Place Place
}

// Place says which end of some words lies at their point.
type Place string

// The places of words.
const (
	From   Place = "start"
	Around Place = "middle"
	UpTo   Place = "end"
)

// Put draws shapes over those already there.
func (s *Scene) Put(shapes ...Shape) { s.shapes = append(s.shapes, shapes...) }

// Shapes are what was put, in order, for whoever draws it otherwise than as SVG.
func (s *Scene) Shapes() []Shape { return s.shapes }

// Place puts the shapes of another scene, moved right and down, over those
// already there.
func (s *Scene) Place(other *Scene, x, y float64) {
	for _, shape := range other.shapes {
		s.Put(shape.moved(x, y))
	}
}

// Empty reports a scene on which nothing was put.
func (s *Scene) Empty() bool { return len(s.shapes) == 0 }

// SVG is the scene as an element that can stand in a page.
func (s *Scene) SVG() string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s"%s role="img" aria-label="%s">`,
		number(s.Width), number(s.Height), class(s.Class), escape(s.Title+": "+s.Desc))
	for _, shape := range s.shapes {
		b.WriteString(shape.svg())
	}
	b.WriteString("</svg>")
	return b.String()
}

// WriteTo writes the SVG.
func (s *Scene) WriteTo(w io.Writer) (int64, error) {
	n, err := io.WriteString(w, s.SVG())
	return int64(n), err
}

func (l Line) svg() string {
	return fmt.Sprintf(`<polyline%s points="%s"/>`, class(l.Class), points(l.Points))
}

func (a Area) svg() string {
	return fmt.Sprintf(`<polygon%s points="%s"/>`, class(a.Class), points(a.Points))
}

func (r Rect) svg() string {
	return fmt.Sprintf(`<rect%s x="%s" y="%s" width="%s" height="%s"%s`,
		class(r.Class), number(r.X), number(r.Y), number(r.W), number(r.H), titled("rect", r.Title))
}

func (d Dot) svg() string {
	return fmt.Sprintf(`<circle%s cx="%s" cy="%s" r="%s"%s`,
		class(d.Class), number(d.X), number(d.Y), number(d.R), titled("circle", d.Title))
}

func (w Words) svg() string {
	place := ""
	if w.Place != "" && w.Place != From {
		place = fmt.Sprintf(` text-anchor="%s"`, w.Place)
	}
	return fmt.Sprintf(`<text%s x="%s" y="%s"%s>%s</text>`, class(w.Class), number(w.X), number(w.Y), place, escape(w.Text))
}

func (l Line) moved(x, y float64) Shape { return Line{l.Class, shifted(l.Points, x, y)} }

func (a Area) moved(x, y float64) Shape { return Area{a.Class, shifted(a.Points, x, y)} }

func (r Rect) moved(x, y float64) Shape { return Rect{r.Class, r.X + x, r.Y + y, r.W, r.H, r.Title} }

func (d Dot) moved(x, y float64) Shape { return Dot{d.Class, d.X + x, d.Y + y, d.R, d.Title} }

func (w Words) moved(x, y float64) Shape { return Words{w.Class, w.X + x, w.Y + y, w.Text, w.Place} }

func shifted(list []Point, x, y float64) []Point {
	out := make([]Point, len(list))
	for i, p := range list {
		out[i] = Point{p.X + x, p.Y + y}
	}
	return out
}

// titled ends an element, with its title where it has one.
func titled(element, title string) string {
	if title == "" {
		return "/>"
	}
	return "><title>" + escape(title) + "</title></" + element + ">"
}

func class(c string) string {
	if c == "" {
		return ""
	}
	return ` class="` + escape(c) + `"`
}

func points(list []Point) string {
	out := make([]string, len(list))
	for i, p := range list {
		out[i] = number(p.X) + "," + number(p.Y)
	}
	return strings.Join(out, " ")
}

// number writes a length to a tenth, the same on every processor.
func number(x float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(x, 'f', 1, 64), ".0")
}

// escape makes text safe in an attribute and in an element, and leaves out
// what XML cannot hold.
func escape(s string) string {
	s = strings.Map(func(c rune) rune {
		if c < ' ' && c != '\t' && c != '\n' || c == 0xFFFE || c == 0xFFFF {
			return -1
		}
		return c
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;").Replace(s)
}
