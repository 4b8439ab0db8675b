package abundance

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"dawnround/fit"
)

// errNothing is what a repetition without an N comes to.
var errNothing = errors.New("no estimable N: there is nothing to repeat from")

// Simulate draws what the same trapping might have given if the fitted model
// were true. For each kind of animal it takes as many as the fit says there
// are, a fraction being one more by chance; animals never caught have no row.
// Where N is not estimable there is nothing to simulate from.
func (r Result) Simulate(rng *rand.Rand) (Histories, error) {
	if r.N.Status == fit.NotEstimable {
		return Histories{}, errNothing
	}
	c := r.closed
	c.predict(r.Fit.X)
	h := Histories{Nightly: c.nightly}
	for at, p := range c.profiles {
		for range whole(c.expected(at, r.Fit.X), rng) {
			caught := c.trap(at, rng)
			if caught == nil {
				continue
			}
			h.Caught = append(h.Caught, caught)
			if len(c.groups) > 0 {
				h.Group = append(h.Group, c.groups[p.group])
			}
			h.Lost = append(h.Lost, !c.tellsFirst && c.tellsNight) // a removal
			for k, name := range c.columns {
				if h.Columns == nil {
					h.Columns = map[string][]float64{}
				}
				h.Columns[name] = append(h.Columns[name], p.values[k])
			}
		}
	}
	if len(h.Caught) == 0 {
		h = Histories{Caught: [][]bool{make([]bool, c.nights)}, Nightly: c.nightly}
		if len(c.groups) > 0 {
			h.Group = c.groups[:1]
		}
	}
	return h, nil
}

// whole rounds x up or down, by chance, so that its mean is x.
func whole(x float64, rng *rand.Rand) int {
	n := int(x)
	if rng.Float64() < x-float64(n) {
		n++
	}
	return n
}

// expected is how many animals of a kind there are, caught or not.
func (c *closed) expected(at int, x []float64) float64 {
	p := c.profiles[at]
	if !c.model.Conditional {
		return p.caught + math.Exp(x[p.group])
	}
	never := c.look(c.shorten(0, 0, p.unseen).uses)
	return p.caught / -math.Expm1(never)
}

// chance is the row of each kind of a mixture on a night. Where no animal tells
// of a chance after capture, that of a first capture stands in.
func (c *closed) chance(profile, night int, after bool) []int {
	if !c.tellsNight {
		night = 0
	}
	place, ok := c.index[cell{profile, night, after && c.tellsFirst}]
	if !ok {
		place = c.index[cell{profile, night, false}]
	}
	return c.rows[c.cellOf[place]]
}

// trap takes one animal through the nights; nil is one never caught.
func (c *closed) trap(profile int, rng *rand.Rand) []bool {
	kind, u := 0, rng.Float64()
	for kind < c.components-1 && u >= c.scratch.share[kind] {
		u -= c.scratch.share[kind]
		kind++
	}
	var caught []bool
	for night := range c.nights {
		row := c.chance(profile, night, caught != nil)[kind]
		if rng.Float64() >= c.scratch.p[row] {
			continue
		}
		if caught == nil {
			caught = make([]bool, c.nights)
		}
		caught[night] = true
		if !c.tellsFirst && c.tellsNight {
			break
		}
	}
	return caught
}

// A Bootstrap is N over simulated repetitions of the trapping.
type Bootstrap struct {
	N         fit.Estimate // the fit's N, with the bootstrap's error and percentile interval, from the number caught up
	Asked     int
	Done      int // finished before it was stopped, failures included
	Failed    int // in which N was not estimable; they count as N without limit
	Seed      uint64
	Estimates []float64
}

// Bootstrap fits the model to as many simulated repetitions as asked. It gives
// the same for a seed whatever the number of workers. When ctx ends early the
// part that was finished comes back with ctx's error.
func (r Result) Bootstrap(ctx context.Context, replication fit.Replication) (Bootstrap, error) {
	if r.N.Status == fit.NotEstimable {
		return Bootstrap{N: r.N}, errNothing
	}
	return gather(ctx, replication, r.N, r.Caught, func(rng *rand.Rand) (float64, error) {
		apart := r
		own := *r.closed
		own.scratch = newScratch(len(own.x), own.components)
		apart.closed = &own
		h, err := apart.Simulate(rng)
		if err != nil {
			return 0, err
		}
		again, err := Fit(h, r.Model)
		if err != nil {
			return 0, err
		}
		return again.N.Value, lost(again.N)
	})
}

// Resample gives any estimator of N an error and a percentile interval: it
// draws N animals with replacement, the caught with their histories and the
// rest with none (the bootstrap Chao and others use for sample coverage). It
// needs an N to start from, and shares its faults.
func Resample(ctx context.Context, replication fit.Replication, h Histories, n fit.Estimate, estimate func(Histories) (fit.Estimate, error)) (Bootstrap, error) {
	if err := h.check(); err != nil {
		return Bootstrap{}, err
	}
	if n.Status == fit.NotEstimable || math.IsNaN(n.Value) {
		return Bootstrap{N: n}, errNothing
	}
	var animals []int // row of each animal caught
	for i := range h.Caught {
		for range h.count(i) {
			animals = append(animals, i)
		}
	}
	return gather(ctx, replication, n, len(animals), func(rng *rand.Rand) (float64, error) {
		drawn := h
		drawn.Count = make([]int, len(h.Caught))
		for range whole(n.Value, rng) {
			if at := rng.Float64() * n.Value; int(at) < len(animals) {
				drawn.Count[animals[int(at)]]++
			}
		}
		e, err := estimate(drawn)
		if err != nil {
			return 0, err
		}
		return e.Value, lost(e)
	})
}

// gather takes a repetition in which N is not estimable for one without limit.
func gather(ctx context.Context, replication fit.Replication, n fit.Estimate, caught int, once func(*rand.Rand) (float64, error)) (Bootstrap, error) {
	done, err := fit.Repeat(ctx, replication, once)
	b := Bootstrap{N: n, Asked: done.Asked, Done: done.Done(), Failed: done.Failed, Seed: done.Seed, Estimates: done.Values}
	_, _, b.N.SE = fit.Percentiles(done.Values)
	all := slices.Clone(done.Values)
	for range done.Failed {
		all = append(all, math.Inf(1))
	}
	b.N.Lower, b.N.Upper, _ = fit.Percentiles(all)
	b.N.Lower = math.Max(b.N.Lower, float64(caught))
	return b, err
}

func lost(e fit.Estimate) error {
	if e.Status == fit.NotEstimable {
		return errNothing
	}
	return nil
}
