package answer

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"dawnround/chart"
)

// panel is a frame with two axes on a scene.
type panel struct {
	scene *chart.Scene
	x, y  chart.Scale
	small float64 // by how much dots are drawn smaller: 1 unless there are very many
}

// letterWide is about how wide a letter of a figure is.
const letterWide = 6.4

// newPanel lays a panel at a height of the scene and draws its frame. The
// values of y run from a rounded below to a rounded above.
func newPanel(s *chart.Scene, top, height float64, x, y chart.Scale, xTitle, yTitle string) *panel {
	x.At, x.End = 66, s.Width-128
	if narrow(s) {
		x.At, x.End = 46, s.Width-12
	}
	y.At, y.End = top+height-44, top+30
	p := &panel{s, x, y, 1}
	s.Put(chart.Words{Class: "small", X: 12, Y: top + 9, Text: yTitle})
	for _, v := range y.Ticks(6) {
		s.Put(chart.Line{Class: "rule", Points: []chart.Point{{X: x.At, Y: y.On(v)}, {X: x.End, Y: y.On(v)}}},
			chart.Words{X: x.At - 7, Y: y.On(v) + 4, Text: short(v), Place: chart.UpTo})
	}
	s.Put(chart.Line{Class: "axis", Points: []chart.Point{{X: x.At, Y: y.End}, {X: x.At, Y: y.At}, {X: x.End, Y: y.At}}})
	s.Put(chart.Words{Class: "small", X: (x.At + x.End) / 2, Y: y.At + 38, Text: xTitle, Place: chart.Around})
	return p
}

// narrow reports a figure for a phone: what stands at the right of a wide one
// stands below or within.
func narrow(s *chart.Scene) bool { return s.Width < 600 }

// wide is the width of a figure on paper and at the desk.
const wide = 860

// captioned writes what a panel shows, and gives where the panel begins.
func captioned(s *chart.Scene, top float64, text string) float64 {
	for _, line := range folded(text, int((s.Width-20)/letterWide)) {
		s.Put(chart.Words{Class: "small", X: 12, Y: top + 12, Text: line})
		top += 15
	}
	return top + 3
}

// numbers writes the values below the panel.
func (p *panel) numbers() {
	for _, v := range p.x.Ticks(8) {
		p.below(v, short(v))
	}
}

// names writes names below the panel at 0, 1, 2, …, those that have room.
func (p *panel) names(names []string) {
	if len(names) > 60 {
		p.small = 0.5
	}
	end := math.Inf(-1)
	for i, name := range names {
		wide := letterWide * float64(len([]rune(name)))
		if at := p.x.On(float64(i)); at-wide/2 > end+14 {
			p.below(float64(i), name)
			end = at + wide/2
		}
	}
}

func (p *panel) below(v float64, text string) {
	at := p.x.On(v)
	p.scene.Put(chart.Line{Class: "axis", Points: []chart.Point{{X: at, Y: p.y.At}, {X: at, Y: p.y.At + 5}}},
		chart.Words{X: at, Y: p.y.At + 20, Text: text, Place: chart.Around})
}

// kinds are the classes by which up to three series are told apart; dots,
// squares and rings tell them apart without colour.
var kinds = []string{"", " second", " third"}

// dot puts a value with its interval, moved sideways by so many units; a NaN
// interval is left out.
func (p *panel) dot(kind int, x, value, lower, upper, aside float64, title string) {
	if math.IsNaN(value) {
		return
	}
	at, y := p.x.On(x)+aside, p.y.On(value)
	if !math.IsNaN(lower) && !math.IsNaN(upper) {
		p.scene.Put(chart.Line{Class: "error" + kinds[kind%3], Points: []chart.Point{{X: at, Y: p.y.On(p.within(lower))}, {X: at, Y: p.y.On(p.within(upper))}}})
	}
	r := 5 * p.small
	switch kind % 3 {
	case 1:
		p.scene.Put(chart.Rect{Class: "value second", X: at - 0.9*r, Y: y - 0.9*r, W: 1.8 * r, H: 1.8 * r, Title: title})
	case 2:
		p.scene.Put(chart.Area{Class: "value third", Points: []chart.Point{{X: at, Y: y - 1.2*r}, {X: at + 1.1*r, Y: y + 0.9*r}, {X: at - 1.1*r, Y: y + 0.9*r}}})
	default:
		p.scene.Put(chart.Dot{Class: "value", X: at, Y: y, R: r, Title: title})
	}
}

// within keeps a value inside the frame.
func (p *panel) within(v float64) float64 { return min(max(v, p.y.From), p.y.To) }

// joined draws a line through points, a new one after each gap (NaN).
func (p *panel) joined(class string, xs, ys []float64, aside float64) {
	var run []chart.Point
	flush := func() {
		if len(run) > 1 {
			p.scene.Put(chart.Line{Class: class, Points: run})
		}
		run = nil
	}
	for i, x := range xs {
		if math.IsNaN(ys[i]) {
			flush()
			continue
		}
		run = append(run, chart.Point{X: p.x.On(x) + aside, Y: p.y.On(ys[i])})
	}
	flush()
}

// level draws a level line with its name at the right.
func (p *panel) level(class string, v float64, name string) {
	y := p.y.On(v)
	words := chart.Words{Class: "small", X: p.x.End + 5, Y: y + 4, Text: name}
	if narrow(p.scene) {
		words = chart.Words{Class: "small", X: p.x.End - 4, Y: y - 3, Text: name, Place: chart.UpTo}
	}
	p.scene.Put(chart.Line{Class: class, Points: []chart.Point{{X: p.x.At, Y: y}, {X: p.x.End, Y: y}}}, words)
}

// key names the series at the upper right, or below where there is no room, and
// gives how much higher that makes the panel.
func (p *panel) key(names []string) float64 {
	at, from, higher := p.x.End+10, p.y.End+6, 0.0
	if narrow(p.scene) {
		at, from, higher = p.x.At, p.y.At+52, 18*float64(len(names))
	}
	for i, name := range names {
		q := *p
		q.small = 1
		y := from + 18*float64(i)
		q.x = chart.Scale{From: 0, To: 1, At: at, End: at + 1}
		q.y = chart.Scale{From: 0, To: 1, At: y, End: y}
		q.dot(i, 0, 0, math.NaN(), math.NaN(), 0, name)
		p.scene.Put(chart.Words{Class: "small", X: at + 10, Y: y + 4, Text: name})
	}
	return higher
}

// heading writes the title and what a figure says, and gives where the panels
// begin.
func heading(s *chart.Scene) float64 {
	y := 22.0
	for _, line := range folded(s.Title, int((s.Width-24)/9.2)) {
		s.Put(chart.Words{Class: "head", X: 12, Y: y, Text: line})
		y += 20
	}
	for _, line := range folded(s.Desc, int((s.Width-24)/letterWide)) {
		s.Put(chart.Words{Class: "small", X: 12, Y: y, Text: line})
		y += 15
	}
	return y
}

// folded breaks a text into lines of so many letters at most.
func folded(text string, most int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > most {
			out, line = append(out, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(out, line)
}

// short writes a number with as few decimals as it needs, three at most.
func short(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

// figures writes a number with so many significant figures, plainly.
func figures(v float64, n int) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return short(v)
	}
	decimals := max(0, n-1-int(math.Floor(math.Log10(math.Abs(v)))))
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// interval writes a value with its bounds: "0.31 (0.22–0.51)".
func interval(value, lower, upper float64, n int) string {
	if math.IsNaN(lower) || math.IsNaN(upper) {
		return figures(value, n)
	}
	if math.IsInf(upper, 1) {
		return fmt.Sprintf("%s (%s or more)", figures(value, n), figures(lower, n))
	}
	return fmt.Sprintf("%s (%s–%s)", figures(value, n), figures(lower, n), figures(upper, n))
}
