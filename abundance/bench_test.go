package abundance_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"dawnround/abundance"
	"dawnround/fit"
)

// BenchmarkClosed fits from histories to N with its interval. Animals alike to
// the model are pooled, so the likelihood costs the same for any number; what
// grows is the reading of the histories.
func BenchmarkClosed(b *testing.B) {
	models := map[string]abundance.Model{
		"constant":      {},
		"occasion":      {Detect: []string{"occasion"}},
		"after-capture": {Detect: []string{"occasion", "after-capture"}},
		"mixture":       {Detect: []string{"mixture:2"}},
		"given_caught":  {Conditional: true, Detect: []string{"weight", "after-capture"}},
	}
	for _, animals := range []int{60, 2000, 50000} {
		h := truths[1].trapped(animals, 0.3, 6, rand.New(rand.NewPCG(1, 1)))
		rng := rand.New(rand.NewPCG(1, 2))
		h.Columns = map[string][]float64{}
		for range h.Caught {
			h.Columns["weight"] = append(h.Columns["weight"], rng.NormFloat64())
		}
		for _, name := range []string{"constant", "occasion", "after-capture", "mixture", "given_caught"} {
			b.Run(fmt.Sprintf("%s/%d_animals_6_nights", name, animals), func(b *testing.B) {
				for b.Loop() {
					if _, err := abundance.Fit(h, models[name]); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkBootstrap simulates and refits 500 times.
func BenchmarkBootstrap(b *testing.B) {
	h := truths[0].trapped(60, 0.3, 5, rand.New(rand.NewPCG(1, 1)))
	r, err := abundance.Fit(h, abundance.Model{Detect: []string{"occasion"}})
	if err != nil {
		b.Fatal(err)
	}
	b.Run("occasion/60_animals_5_nights_500_replicates", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.Bootstrap(b.Context(), fit.Replication{Replicates: 500, Seed: 1}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
