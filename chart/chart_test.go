package chart

import (
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestSceneIsOneImageWithoutStyles(t *testing.T) {
	t.Parallel()
	s := Scene{Width: 100, Height: 40, Class: "wide", Title: "Mass", Desc: `61 < 62 & "wet"`}
	if !s.Empty() {
		t.Error("a new scene is not empty")
	}
	s.Put(
		Rect{Class: "band", X: 1, Y: 2, W: 3.25, H: 4, Title: "with young"},
		Line{Class: "life", Points: []Point{{0, 20}, {100, 20}}},
		Area{Class: "band", Points: []Point{{0, 0}, {1, 0}, {1, 1}}},
		Dot{Class: "was", X: 50, Y: 20, R: 5},
		Words{X: 50, Y: 12, Text: "a<b", Place: Around},
	)
	want := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 40" class="wide" role="img" aria-label="Mass: 61 &lt; 62 &amp; &#34;wet&#34;">` +
		`<rect class="band" x="1" y="2" width="3.2" height="4"><title>with young</title></rect>` +
		`<polyline class="life" points="0,20 100,20"/><polygon class="band" points="0,0 1,0 1,1"/>` +
		`<circle class="was" cx="50" cy="20" r="5"/><text x="50" y="12" text-anchor="middle">a&lt;b</text></svg>`
	if got := s.SVG(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if s.Empty() || strings.Contains(s.SVG(), "style=") {
		t.Error("a scene with shapes is empty, or styled in place")
	}
	var b strings.Builder
	if n, err := s.WriteTo(&b); err != nil || int(n) != len(want) || b.String() != want {
		t.Errorf("WriteTo: %d bytes, %v", n, err)
	}
}

// Whatever is written on a scene, it stays well-formed XML.
func TestSceneIsWellFormed(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		s := Scene{Title: text, Desc: text, Class: text}
		s.Put(Dot{Class: text, Title: text}, Rect{Title: text}, Words{Text: text})
		d := xml.NewDecoder(strings.NewReader(s.SVG()))
		for {
			if _, err := d.Token(); err == io.EOF {
				return
			} else if err != nil {
				t.Fatalf("%q: %v", text, err)
			}
		}
	})
}

func TestScale(t *testing.T) {
	t.Parallel()
	up := Scale{From: 0, To: 200, At: 100, End: 0}
	for v, want := range map[float64]float64{0: 100, 50: 75, 200: 0, 300: -50} {
		if got := up.On(v); got != want {
			t.Errorf("%v lies at %v, want %v", v, got, want)
		}
	}
	if got := (Scale{From: 7, To: 7, At: 0, End: 10}).On(7); got != 5 {
		t.Errorf("a range of one value: %v, want the middle", got)
	}
}

// Ticks are round, in order, within the range and no more than asked for.
func TestTicks(t *testing.T) {
	t.Parallel()
	if got := (Scale{From: 58, To: 66}).Ticks(5); len(got) != 5 || got[0] != 58 || got[4] != 66 {
		t.Errorf("58 to 66: %v, want 58 60 62 64 66", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := Scale{From: rapid.Float64Range(-1e6, 1e6).Draw(t, "from")}
		s.To = s.From + rapid.Float64Range(0, 1e6).Draw(t, "span")
		most := rapid.IntRange(0, 12).Draw(t, "most")
		ticks := s.Ticks(most)
		if len(ticks) > most {
			t.Fatalf("%d ticks, at most %d", len(ticks), most)
		}
		for i, v := range ticks {
			slack := 1e-9 * math.Max(math.Abs(s.From), math.Abs(s.To))
			if v < s.From-slack || v > s.To+slack || i > 0 && v <= ticks[i-1] {
				t.Fatalf("ticks %v of %v", ticks, s)
			}
		}
	})
}

// Values lie strictly inside their room.
func TestRoom(t *testing.T) {
	t.Parallel()
	if from, to := Room(); from != 0 || to != 1 {
		t.Errorf("no values: %v to %v", from, to)
	}
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64Range(-1e6, 1e6), 1, 9).Draw(t, "values")
		from, to := Room(values...)
		for _, v := range values {
			if v <= from || v >= to {
				t.Fatalf("%v is not within %v to %v", v, from, to)
			}
		}
	})
}
