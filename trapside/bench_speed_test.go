package trapside_test

import (
	"fmt"
	"net/http/httptest"
	"testing"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// BenchmarkScanToCard is a scan, its step on (memory's) disk, and the card
// with all flags, in a programme of so many animals and captures.
func BenchmarkScanToCard(b *testing.B) {
	for _, animals := range []int{500, 5_000} {
		b.Run(fmt.Sprintf("%d_animals/%d_captures", animals, 10*animals), func(b *testing.B) {
			d := open(b)
			grow(d, animals)
			card := d.caught()
			b.ReportMetric(float64(d.serve(httptest.NewRequest("GET", card, nil)).Body.Len()), "bytes")
			for b.Loop() {
				d.send(card+"/mark", "text", known)
				w := d.serve(httptest.NewRequest("GET", card, nil))
				if w.Code != 200 {
					b.Fatal(w.Code)
				}
				d.send(card + "/undo")
			}
		})
	}
}

// grow adds animals with ten captures each, over twenty nights of ten trips.
func grow(d *desk, animals int) {
	var lines []record.Body
	for a := range animals {
		chip := fmt.Sprintf("999000001%06d", a)
		for c := range 10 {
			n := record.Night{Year: 2015 + c, Month: 5, Day: 1 + a%20}
			at := n.Noon(zone).Add(18 * time.Hour)
			mass, pes := quantity(3400+int64(a%50)), quantity(130)
			lines = append(lines, record.Capture{
				Capture: uuid.Must(uuid.NewV7()), At: &record.Spot{Trip: fmt.Sprint(2015 + c), Site: "K", Night: n, Trap: "K2", Found: at},
				Handled: &record.Handled{
					Species: "RW", Sex: record.Female, Stage: "adult", Start: at, Marks: []record.Mark{{Kind: "transponder", Text: chip}},
					Weighing: &record.Weighing{Net: &mass}, Measures: map[string]record.Reading{"pes": {Quantity: pes}},
				},
				Released: &record.Released{At: at, Fate: record.FateReleased},
			})
		}
	}
	d.keep(lines...)
	d.restart()
}

// BenchmarkRoundPage is the strip, the bags and what is unfinished.
func BenchmarkRoundPage(b *testing.B) {
	b.Run("5000_animals/50000_captures", func(b *testing.B) {
		d := open(b)
		grow(d, 5_000)
		d.caught()
		for b.Loop() {
			if w := d.serve(httptest.NewRequest("GET", "/round", nil)); w.Code != 200 {
				b.Fatal(w.Code)
			}
		}
	})
}

// BenchmarkEditToPage is a field written, and the card after it, of an animal
// with ten earlier captures and at most ten steps.
func BenchmarkEditToPage(b *testing.B) {
	b.Run("5000_animals/50000_captures", func(b *testing.B) {
		d := open(b)
		grow(d, 5_000)
		card := d.caught()
		afresh := func() {
			d.must(d.drafts.Drop(d.capture(card).ID()))
			d.restart()
			d.send(card+"/mark", "text", "999000001003100")
		}
		n := 0
		for b.Loop() {
			if n%10 == 0 {
				b.StopTimer()
				afresh()
				b.StartTimer()
			}
			n++
			d.send(card+"/in", "field", "weighing/gross", "typed", fmt.Sprint(3600+n%10))
			if w := d.serve(httptest.NewRequest("GET", card, nil)); w.Code != 200 {
				b.Fatal(w.Code)
			}
		}
	})
}
