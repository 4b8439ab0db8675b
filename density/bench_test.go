package density_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"dawnround/density"
)

// BenchmarkFit fits from captures to N with its interval, by two workers.
func BenchmarkFit(b *testing.B) {
	models := []struct {
		name string
		density.Model
	}{
		{"multi", density.Model{}},
		{"multi_hazard", density.Model{Shape: density.HazardHalfNormal}},
		{"multi_after_capture", density.Model{Detect: []string{"after-capture"}}},
		{"multi_occasion", density.Model{Detect: []string{"occasion"}}},
		{"multi_trend_of_density", density.Model{Density: []string{"x"}}},
		{"multi_sexes_some_unknown", density.Model{Detect: []string{"group"}, Move: []string{"group"}}},
		{"proximity", density.Model{Traps: density.Proximity}},
	}
	for _, m := range models {
		b.Run(fmt.Sprintf("%s/100_traps_10_nights_80_animals_2500_cells", m.name), func(b *testing.B) {
			s := large(b, m.Traps)
			for b.Loop() {
				if _, err := density.Fit(b.Context(), s, m.Model, density.Options{Workers: 2}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// large has about 80 animals caught on a grid of 10 by 10 traps 15 m apart, of
// which one in twenty is out of order each night.
func large(b testing.TB, kind density.TrapKind) density.Survey {
	rng := rand.New(rand.NewPCG(1, 1))
	trip := density.Trip{}
	for i := range 100 {
		trap := density.Trap{At: density.Point{X: 15 * float64(i%10), Y: 15 * float64(i/10)}}
		for range 10 {
			open := 1.0
			if rng.IntN(20) == 0 {
				open = 0
			}
			trap.Open = append(trap.Open, open)
		}
		trip.Traps = append(trip.Traps, trap)
	}
	var cells []density.Point
	for i := range 2500 {
		cells = append(cells, density.Point{X: -57 + 5*float64(i%50), Y: -57 + 5*float64(i/50)})
	}
	space, err := density.Given(cells, nil)
	if err != nil {
		b.Fatal(err)
	}
	trip.Space = space
	const animals, g0, sigma = 80, 0.15, 16
	for len(trip.Animals) < animals {
		if a, ok := lived(trip, kind, cells[rng.IntN(len(cells))], g0, sigma, rng); ok {
			a.Group = []string{"female", "male", "female", "male", ""}[rng.IntN(5)]
			trip.Animals = append(trip.Animals, a)
		}
	}
	return density.Survey{trip}
}

// lived draws the captures of one animal with its centre at a place; not ok is
// one never caught.
func lived(t density.Trip, kind density.TrapKind, at density.Point, g0, sigma float64, rng *rand.Rand) (density.Animal, bool) {
	var a density.Animal
	for night := range t.Traps[0].Open {
		total := 0.0
		hazards := make([]float64, len(t.Traps))
		for k, trap := range t.Traps {
			d2 := (trap.At.X-at.X)*(trap.At.X-at.X) + (trap.At.Y-at.Y)*(trap.At.Y-at.Y)
			hazards[k] = -trap.Open[night] * math.Log1p(-g0*math.Exp(-d2/(2*sigma*sigma)))
			total += hazards[k]
			if kind == density.Proximity && rng.Float64() < -math.Expm1(-hazards[k]) {
				a.Caught = append(a.Caught, density.Capture{Night: night, Trap: k})
			}
		}
		if kind == density.Proximity || rng.Float64() >= -math.Expm1(-total) {
			continue
		}
		u := rng.Float64() * total
		for k, h := range hazards {
			if u -= h; u < 0 {
				a.Caught = append(a.Caught, density.Capture{Night: night, Trap: k})
				break
			}
		}
	}
	return a, len(a.Caught) > 0
}
