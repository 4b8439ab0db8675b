package abundance

import (
	"fmt"
	"math"
)

// A Closed is the test of closure.
type Closed struct {
	Animals int     `json:"animals"` // caught on two nights or more, but not on all
	Z       float64 `json:"z"`       // below 0 where first and last captures lie closer together than chance has it
	P       float64 `json:"p"`       // one-sided, of a Z so low; NaN where no animal tells
}

// Closure asks whether animals came or went between the nights: the nights from
// an animal's first to its last capture are then fewer than if its captures fell
// on any nights alike. Of an animal caught on k of t nights the span last − first
// has the mean (k−1)(t+1)/(k+1) and the variance 2(k−1)(t−k)(t+1)/((k+1)²(k+2)),
// as the range of k different numbers out of t; Z is the sum of the differences
// over the root of the summed variances (after Otis, Burnham, White & Anderson
// 1978, Wildlife Monographs 62, whose test of closure uses the same spans; from
// memory). It holds for animals that differ in catchability, and is misled by
// nights or a first capture that change it. An error is one of the histories.
func Closure(h Histories) (Closed, error) {
	var out Closed
	if len(h.Caught) == 0 {
		return Closed{P: math.NaN()}, nil
	}
	t := float64(len(h.Caught[0]))
	sum, variance := 0.0, 0.0
	for row, caught := range h.Caught {
		if len(caught) != len(h.Caught[0]) {
			return out, fmt.Errorf("history %d has %d nights, the first has %d: give every history the same nights", row+1, len(caught), len(h.Caught[0]))
		}
		first, last, k := -1, -1, 0.0
		for night, was := range caught {
			if was {
				if first < 0 {
					first = night
				}
				last, k = night, k+1
			}
		}
		if k < 2 || k == t {
			continue
		}
		animals := 1
		if h.Count != nil {
			animals = h.Count[row]
		}
		n := float64(animals)
		out.Animals += animals
		sum += n * (float64(last-first) - (k-1)*(t+1)/(k+1))
		variance += n * 2 * (k - 1) * (t - k) * (t + 1) / ((k + 1) * (k + 1) * (k + 2))
	}
	if variance == 0 {
		return Closed{P: math.NaN()}, nil
	}
	out.Z = sum / math.Sqrt(variance)
	out.P = math.Erfc(-out.Z/math.Sqrt2) / 2
	return out, nil
}
