package qr

import (
	"strings"
	"testing"
)

// finder is the pattern in three corners of every code: dark frame, light ring,
// dark core (ISO/IEC 18004:2015, 6.3.3).
var finder = []string{"#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"}

func TestFinderPatterns(t *testing.T) {
	t.Parallel()
	rows, err := modules("https://192.168.43.7:4171/join#AAAAAAAAAAAAAAAAAAAAAA")
	if err != nil {
		t.Fatal(err)
	}
	side := len(rows) - 2*quiet
	if side < 21 || (side-17)%4 != 0 {
		t.Errorf("%d modules a side; a code has 17 + 4 for each version", side)
	}
	for _, at := range [][2]int{{quiet, quiet}, {quiet + side - 7, quiet}, {quiet, quiet + side - 7}} {
		for y, want := range finder {
			for x := range want {
				if got := rows[at[1]+y][at[0]+x]; got != (want[x] == '#') {
					t.Fatalf("corner at %v: module %d,%d is dark: %t", at, x, y, got)
				}
			}
		}
	}
	for i := range rows {
		if rows[0][i] || rows[i][quiet-1] || rows[len(rows)-1][i] {
			t.Fatal("the margin is not light")
		}
	}
}

// Both drawings hold the same modules.
func TestDrawings(t *testing.T) {
	t.Parallel()
	const text = "https://camp.local/join#x"
	rows, err := modules(text)
	if err != nil {
		t.Fatal(err)
	}
	dark := 0
	for _, row := range rows {
		for _, d := range row {
			dark += btoi(d)
		}
	}
	svg, err := SVG(text, "invitation")
	if err != nil || strings.Count(svg, "h1v1h-1z") != dark {
		t.Errorf("the picture has %d dark modules, want %d; %v", strings.Count(svg, "h1v1h-1z"), dark, err)
	}
	lines, err := Text(text)
	got := 2*strings.Count(lines, " ") + strings.Count(lines, "▀") + strings.Count(lines, "▄")
	if odd := len(rows) % 2; err != nil || got != dark {
		t.Errorf("the terminal has %d dark modules, want %d (odd %d); %v", got, dark, odd, err)
	}
}
