// Package qr draws a QR code (ISO/IEC 18004) on a page and in a terminal.
package qr

import (
	"fmt"
	"image/color"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// quiet is the margin that the standard asks for, in modules.
const quiet = 4

// modules are the dark squares of a code, with the margin around them.
func modules(text string) ([][]bool, error) {
	code, err := qr.Encode(text, qr.M, qr.Unicode)
	if err != nil {
		return nil, fmt.Errorf("QR code of %d letters: %w", len(text), err)
	}
	side := code.Bounds().Dx()
	rows := make([][]bool, side+2*quiet)
	for y := range rows {
		rows[y] = make([]bool, side+2*quiet)
		for x := range rows[y] {
			inside := x >= quiet && x < side+quiet && y >= quiet && y < side+quiet
			rows[y][x] = inside && color.GrayModel.Convert(code.At(x-quiet, y-quiet)) == color.Gray{}
		}
	}
	return rows, nil
}

// SVG is the code as a picture, dark on white by night too: a camera wants that.
func SVG(text, title string) (string, error) {
	rows, err := modules(text)
	if err != nil {
		return "", err
	}
	var path strings.Builder
	for y, row := range rows {
		for x, dark := range row {
			if dark {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	return fmt.Sprintf(`<svg width="280" height="280" viewBox="0 0 %[1]d %[1]d" role="img" aria-label="%[2]s" shape-rendering="crispEdges"><path fill="#fff" d="M0 0h%[1]dv%[1]dH0z"/><path fill="#000" d="%[3]s"/></svg>`,
		len(rows), title, path.String()), nil
}

// Text is the code for a terminal with light letters on a dark ground, two rows
// of modules to a line.
func Text(text string) (string, error) {
	rows, err := modules(text)
	if err != nil {
		return "", err
	}
	var out strings.Builder
	for y := 0; y < len(rows); y += 2 {
		for x := range rows[y] {
			below := y+1 < len(rows) && rows[y+1][x]
			out.WriteString([]string{"█", "▀", "▄", " "}[btoi(below)+2*btoi(rows[y][x])])
		}
		out.WriteByte('\n')
	}
	return out.String(), nil
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
