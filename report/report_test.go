package report

import (
	"bytes"
	"strconv"
	"testing"
	"time"

	"dawnround/chart"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

func page(rows int) Page {
	s := &chart.Scene{Width: 500, Height: 100, Title: "a line"}
	s.Put(chart.Line{Class: "line", Points: []chart.Point{{X: 10, Y: 50}, {X: 490, Y: 50}}}, chart.Dot{Class: "caught", X: 100, Y: 50, R: 5},
		chart.Area{Class: "band", Points: []chart.Point{{X: 1, Y: 1}, {X: 9, Y: 1}, {X: 9, Y: 9}}}, chart.Rect{Class: "young", X: 20, Y: 60, W: 50, H: 7},
		chart.Words{X: 250, Y: 90, Text: "♀ 3–4 mm", Place: chart.Around})
	t := Table{Title: "Captures", Head: []string{"night", "at"}}
	for i := range rows {
		t.Rows = append(t.Rows, []string{strconv.Itoa(i), "K4"})
	}
	return Page{Title: "…0311, female", Lede: "Invented.", Figures: []Figure{{s, "From first to last.", false}, {s, "left", true}, {s, "right", true}},
		Tables: []Table{t}, Foot: "generalised", Made: time.Date(2026, 5, 14, 0, 0, 0, 0, time.UTC)}
}

func written(t *testing.T, p Page) []byte {
	t.Helper()
	var b bytes.Buffer
	n, err := p.WriteTo(&b)
	if err != nil || n != int64(b.Len()) {
		t.Fatalf("%d of %d bytes, %v", n, b.Len(), err)
	}
	return b.Bytes()
}

func TestSameBytesAndOnePage(t *testing.T) {
	t.Parallel()
	for _, rows := range []int{0, 12, 400} {
		one := written(t, page(rows))
		if !bytes.Equal(one, written(t, page(rows))) {
			t.Errorf("%d rows: two runs differ", rows)
		}
		if !bytes.HasPrefix(one, []byte("%PDF-")) || !bytes.Contains(one, []byte("/Count 1\n")) {
			t.Errorf("%d rows: not one page of PDF", rows)
		}
	}
}

// What is folded is counted: every row is either on the sheet or in the count.
func TestLongTablesAreFolded(t *testing.T) {
	t.Parallel()
	if got := plural(1) + plural(2); got != "1 row2 rows" {
		t.Error(got)
	}
	if len(written(t, page(400))) > 2*len(written(t, page(60))) {
		t.Error("rows beyond the sheet were drawn")
	}
}

// The embedded letters have every sign that our own texts use.
func TestLettersHaveOurSigns(t *testing.T) {
	t.Parallel()
	font, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		t.Fatal(err)
	}
	for _, sign := range "♀♂–…·“”’±×−≥≤°µ½é" {
		if i, err := font.GlyphIndex(nil, sign); err != nil || i == 0 {
			t.Errorf("%q is not in the letters: spell it in words", sign)
		}
	}
	for text, want := range map[string]string{"⚠ look": "! look", "a\nb": "a b", "ok \U0001F98A": "ok ?"} {
		if got := spelt(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
