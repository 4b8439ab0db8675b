// Package report sets a page for paper: a heading, sentences, figures drawn from
// their scenes as lines and not as pixels, and tables, on one A4 sheet of PDF.
//
// The same page gives the same bytes. The letters are the Go fonts, embedded;
// a sign that they lack is spelt in words.
package report

import (
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"dawnround/chart"
)

// A Page is what stands on one sheet, from top to bottom.
type Page struct {
	Above   string // small, over the title
	Title   string
	Lede    string
	Notes   []string // warnings, in the margin
	Figures []Figure
	Tables  []Table
	Foot    string // on the last line
	Made    time.Time
}

// A Figure is a scene with what it says beneath. Narrow ones stand two beside
// each other.
type Figure struct {
	Scene  *chart.Scene
	Says   string
	Narrow bool
}

// A Table has a title, its heads, and rows of as many cells.
type Table struct {
	Title string
	Head  []string
	Rows  [][]string
}

// The sheet, in millimetres.
const (
	wide, tall = 210.0, 297.0
	margin     = 12.0
	inner      = wide - 2*margin
	gap        = 4.0
)

// sheet is a page being set: y is how far down it is filled.
type sheet struct {
	*fpdf.Fpdf
	y float64
}

// WriteTo writes the page as PDF. What the sheet has no room for is left out,
// and a line at its foot says how many rows that were.
func (p Page) WriteTo(w io.Writer) (int64, error) {
	f := fpdf.New("P", "mm", "A4", "")
	f.SetCatalogSort(true)
	f.SetCreationDate(p.Made.UTC())
	f.SetModificationDate(p.Made.UTC())
	f.SetProducer("dawnround", true)
	f.SetTitle(spelt(p.Title), true)
	f.SetLang("en-GB")
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	f.SetAutoPageBreak(false, 0)
	f.AddPage()
	s := &sheet{f, margin}
	s.paragraph(p.Above, "", 8, 110)
	s.paragraph(p.Title, "B", 15, 0)
	s.paragraph(p.Lede, "", 10, 0)
	for _, n := range p.Notes {
		s.paragraph("! "+n, "B", 8.5, 0)
	}
	s.figures(p.Figures)
	folded := 0
	for _, t := range p.Tables {
		folded += s.table(t)
	}
	s.foot(p.Foot, folded)
	counted := &counter{w: w}
	err := f.Output(counted)
	return counted.n, err
}

// counter counts what goes through it.
type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(b []byte) (int, error) {
	n, err := c.w.Write(b)
	c.n += int64(n)
	return n, err
}

func (s *sheet) ink(style string, points float64, grey int) float64 {
	s.SetFont("go", style, points)
	s.SetTextColor(grey, grey, grey)
	return points * 0.3528 * 1.3 // millimetres to a line
}

// paragraph sets words over the whole width.
func (s *sheet) paragraph(words, style string, points float64, grey int) {
	if words == "" {
		return
	}
	line := s.ink(style, points, grey)
	for _, l := range s.SplitText(spelt(words), inner) {
		s.y += line
		s.Text(margin, s.y, l)
	}
	s.y += line * 0.25
}

// figures sets wide figures one below the other, narrow ones in pairs.
func (s *sheet) figures(list []Figure) {
	s.y += 1
	row, left := 0.0, true
	for _, f := range list {
		if !f.Narrow {
			s.y += row
			s.y += s.figure(f, margin, inner)
			row, left = 0, true
			continue
		}
		half := (inner - gap) / 2
		if left {
			s.y += row
			row = s.figure(f, margin, half)
		} else {
			row = max(row, s.figure(f, margin+half+gap, half))
		}
		left = !left
	}
	s.y += row
}

// figure sets one figure at the height reached, and gives its own height.
func (s *sheet) figure(f Figure, x, width float64) float64 {
	per := width / f.Scene.Width
	s.scene(f.Scene, x, s.y, per)
	tall := f.Scene.Height * per
	line := s.ink("", 7, 90)
	for _, l := range s.SplitText(spelt(f.Says), width) {
		tall += line
		s.Text(x, s.y+tall, l)
	}
	return tall + 2
}

const rowTall = 4.0

// table sets as many rows as there is room for, and gives how many there was
// none for.
func (s *sheet) table(t Table) (folded int) {
	const foot = tall - margin - 8
	if len(t.Rows) == 0 {
		return 0
	}
	if s.y+3*rowTall > foot {
		return len(t.Rows)
	}
	s.paragraph(t.Title, "B", 9.5, 0)
	widths := s.widths(t)
	s.cells(t.Head, widths, 110)
	for i, row := range t.Rows {
		if s.y+rowTall > foot {
			return len(t.Rows) - i
		}
		s.cells(row, widths, 0)
	}
	s.y += 1.5
	return 0
}

// cells sets one row; a cell too long for its column is cut.
func (s *sheet) cells(row []string, widths []float64, grey int) {
	s.ink("", 7, grey)
	s.y += rowTall
	x := margin
	for i, cell := range row {
		text := []rune(spelt(cell))
		for short := len(text); s.GetStringWidth(string(text)) > widths[i]-1 && short > 1; {
			short--
			text = append(text[:short-1:short-1], '…')
		}
		s.Text(x, s.y-1.2, string(text))
		x += widths[i]
	}
	s.SetDrawColor(200, 200, 200)
	s.SetLineWidth(0.1)
	s.SetDashPattern(nil, 0)
	s.Line(margin, s.y, wide-margin, s.y)
}

// widths shares the width out by the longest cell of each column; where that is
// more than there is, the widest gives way.
func (s *sheet) widths(t Table) []float64 {
	s.ink("", 7, 0)
	out := make([]float64, len(t.Head))
	sum := 0.0
	for i := range out {
		for _, row := range append([][]string{t.Head}, t.Rows...) {
			out[i] = max(out[i], s.GetStringWidth(spelt(row[i]))+3)
		}
		sum += out[i]
	}
	for sum > inner {
		widest := 0
		for i, w := range out {
			if w > out[widest] {
				widest = i
			}
		}
		out[widest]--
		sum--
	}
	return out
}

func (s *sheet) foot(words string, folded int) {
	if folded > 0 {
		words = strings.TrimSpace(plural(folded) + " folded: the sheet has no room for them. " + words)
	}
	s.y = tall - margin - 6
	s.paragraph(words, "", 7, 90)
}
