package courier_test

import (
	"bytes"
	"context"
	"fmt"
	"testing"

	"dawnround/courier"
)

// BenchmarkSync carries a trip's lines from a phone to a laptop that has none
// of them, and says how much goes over the way, packed.
func BenchmarkSync(b *testing.B) {
	for _, captures := range []int{400, 4000} {
		b.Run(fmt.Sprintf("%d_captures", captures), func(b *testing.B) {
			phone := newMember(b, 2, 0)
			first := newCrew(b, phone, newMember(b, 9, 0))
			sync(b, phone, first)
			base := stick(b, first, nil)
			for i := range captures {
				phone.captured(b, fmt.Sprintf("K%d", i%40), i%250, chip(chipOf(i%simAnimals)), weighing("960"))
			}
			var sent, steps int
			for b.Loop() {
				laptop := newMember(b, 9, 0)
				if _, err := laptop.Import(bytes.NewReader(base)); err != nil {
					b.Fatal(err)
				}
				carry := func(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
					answer, err := to(laptop)(ctx, path, authorization, body)
					sent += len(body) + len(answer.Body)
					steps++
					return answer, err
				}
				if _, err := phone.Sync(b.Context(), carry, nil); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(sent)/float64(b.N)/1024, "KiB/op")
			b.ReportMetric(float64(steps)/float64(b.N), "steps/op")
		})
	}
}
