package desk

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http/httptest"
	"testing"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"
)

// many is a register of so many captures over monthly trips on 24 sites, about
// four to an animal, with ear tags; grown from a fixed seed.
func many(tb testing.TB, captures int) *season {
	tb.Helper()
	s := newSeason()
	rng := rand.New(rand.NewPCG(20260514, 1))
	first := record.Night{Year: 1990, Month: 1, Day: 10}
	var entries []*register.Entry
	for i := range captures {
		trip := i / 160
		animal := max(0, i/4-rng.IntN(120))
		c := record.Capture{Capture: sid(1_000_000 + i), At: &record.Spot{
			Trip: fmt.Sprintf("P%d", trip), Site: fmt.Sprintf("S%02d", rng.IntN(24)), Night: first.Add(trip*30 + rng.IntN(2)), Trap: fmt.Sprint(11 + rng.IntN(60)),
		}, Handled: &record.Handled{
			Species: "RW", Sex: []record.Sex{record.Female, record.Male}[animal%2], Stage: "adult",
			Marks:    []record.Mark{{Kind: "ear tag", Text: fmt.Sprintf("%06d", animal)}},
			Measures: map[string]record.Reading{"pes": mm(fmt.Sprint(130 + rng.IntN(8)))},
			Weighing: &record.Weighing{Net: q(fmt.Sprint(2500 + rng.IntN(900)))},
		}, Released: &record.Released{Fate: record.FateReleased}, From: &record.Source{File: "table", Row: fmt.Sprint(i)}}
		entries = append(entries, &register.Entry{ID: sid(2_000_000 + i), Who: "import", Kind: c.Kind(), Body: c})
		if i%160 == 0 {
			b := record.Trip{Trip: c.At.Trip, First: c.At.Night}
			entries = append(entries, &register.Entry{ID: sid(4_000_000 + i), Who: "import", Kind: b.Kind(), Body: b})
		}
	}
	s.View(func(r *register.Register) { r.Apply(entries...) })
	s.now = time.Date(2025, 1, 1, 20, 0, 0, 0, brisbane)
	return s
}

// BenchmarkPages asks for each page over HTTP, but for the wire.
func BenchmarkPages(b *testing.B) {
	const captures = 65_000
	s := many(b, captures)
	h := New(s.Programme, s.time)
	var busiest record.Night
	s.View(func(r *register.Register) {
		c, _ := r.Capture(sid(1_000_000 + captures/2))
		busiest = c.At.Night
	})
	for name, path := range map[string]string{
		"evening":        "/evening?night=" + busiest.String(),
		"animals":        "/animals",
		"animals_by_tag": "/animals?mark=123",
		"animals_page":   "/animals?sex=male&page=100",
		"life":           "/animal/" + sid(1_000_000+captures/2).String(),
		"capture":        "/capture/" + sid(1_000_000+captures/2).String(),
		"trip":           fmt.Sprintf("/trip/P%d", captures/320),
		"trips":          "/trip",
		"programme":      "/programme",
	} {
		b.Run(name+"/65k_captures", func(b *testing.B) {
			for b.Loop() {
				w := httptest.NewRecorder()
				h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
				if w.Code != 200 {
					b.Fatalf("%s: status %d", path, w.Code)
				}
			}
		})
	}
}

// BenchmarkDrawing draws the life of an animal with three captures.
func BenchmarkDrawing(b *testing.B) {
	s := newSeason()
	var l Life
	s.View(func(r *register.Register) { l, _ = LifePage(r, sid(herFirst), s.now) })
	for b.Loop() {
		if err := lifePage(page.Frame{}, l).Render(context.Background(), io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}
