package survival_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"dawnround/fit"
	"dawnround/survival"
)

// BenchmarkSurvival fits from histories to survival with its interval. Animals
// alike to the model are pooled, so the likelihood costs the same for any
// number of them; what grows is the reading of the histories, and, with
// animals' own numbers, the likelihood too.
func BenchmarkSurvival(b *testing.B) {
	models := []struct {
		name string
		survival.Model
	}{
		{"constant", model("", "")},
		{"by_time", model("occasion", "occasion")},
		{"since_marking", model("since-marking:2", "occasion")},
		{"own_number", model("weight", "occasion")},
	}
	for _, animals := range []int{300, 6000, 48000} {
		h := living(rand.New(rand.NewPCG(1, 1)), 7, animals/6, 0.7, 0.5, 0)
		rng := rand.New(rand.NewPCG(1, 2))
		h.Columns = map[string][]float64{}
		for range h.Caught {
			h.Columns["weight"] = append(h.Columns["weight"], rng.NormFloat64())
		}
		for _, m := range models {
			b.Run(fmt.Sprintf("%s/%d_animals_7_occasions", m.name, animals), func(b *testing.B) {
				for b.Loop() {
					if _, err := survival.Fit(h, m.Model); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkProfiles fits by time and walks the profile of every survival.
func BenchmarkProfiles(b *testing.B) {
	h := living(rand.New(rand.NewPCG(1, 1)), 7, 50, 0.7, 0.5, 0)
	b.Run("by_time/300_animals_7_occasions", func(b *testing.B) {
		for b.Loop() {
			r, err := survival.Fit(h, model("occasion", "occasion"))
			if err != nil {
				b.Fatal(err)
			}
			for i := range r.Survival {
				r.ProfileSurvival(i)
			}
		}
	})
}

// BenchmarkDeviance simulates and refits 100 times.
func BenchmarkDeviance(b *testing.B) {
	h := living(rand.New(rand.NewPCG(1, 1)), 7, 50, 0.7, 0.5, 0)
	r, err := survival.Fit(h, model("occasion", ""))
	if err != nil {
		b.Fatal(err)
	}
	b.Run("by_time/300_animals_7_occasions_100_replicates", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.Bootstrap(b.Context(), fit.Replication{Replicates: 100, Seed: 1}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
