package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"dawnround/abundance"
	"dawnround/fit"
	"dawnround/survival"

	"github.com/google/uuid"
)

// together is every trip of a question, night by night, as the models of nights
// within trips take it (Pollock 1982; Kendall, Nichols & Hines 1997).
type together struct {
	survival.Robust
	of   []int // the row of each period
	trip []nightly
}

// gather puts the trips that have captures side by side.
func gather(all []nightly) together {
	var g together
	row := map[uuid.UUID]int{}
	var effort []float64
	for i, n := range all {
		if len(n.animals) == 0 || n.uneven || n.nights < leastNights {
			continue
		}
		g.of, g.trip = append(g.of, i), append(g.trip, n)
		for range n.nights {
			g.Period = append(g.Period, len(g.of))
		}
		for _, e := range n.effort {
			c, _ := e.Corrected()
			effort = append(effort, c)
		}
		for _, animal := range n.animals {
			if _, known := row[animal]; !known {
				row[animal] = len(row)
			}
		}
		if k := len(g.trip); k > 1 {
			years := n.first.Noon(time.UTC).Sub(g.trip[k-2].first.Noon(time.UTC)).Hours() / 24 / daysInYear
			g.Intervals = append(g.Intervals, max(years, 1/daysInYear))
		}
	}
	g.Caught, g.Lost = make([][]int, len(row)), make([]bool, len(row))
	for i := range g.Caught {
		g.Caught[i] = make([]int, len(g.Period))
	}
	night := 0
	for _, n := range g.trip {
		for i, animal := range n.animals {
			for k, caught := range n.Caught[i] {
				if caught {
					g.Caught[row[animal]][night+k] = 1
				}
			}
			g.Lost[row[animal]] = n.Lost[i]
		}
		night += n.nights
	}
	if log := abundance.LogEffort(effort); len(effort) > 2 && slices.Min(effort) > 0 && slices.Max(effort) > 1.1*slices.Min(effort) && !slices.ContainsFunc(log, math.IsNaN) {
		g.ByOccasion = map[string][]float64{"effort": log}
	}
	return g
}

// recaptures counts an animal again on every later night, of any trip.
func (g together) recaptures() int {
	n := 0
	for _, row := range g.Caught {
		nights := 0
		for _, caught := range row {
			nights += caught
		}
		n += max(0, nights-1)
	}
	return n
}

// share estimates the trips that are too thin by themselves from all trips
// together. That an animal was alive between the trips on which it was caught
// tells how readily those are caught that are there; within a trip detection may
// differ after the first capture and by the trap-nights. Models are averaged by
// AICc; survival is alike over the trips.
func share(all []nightly, rows []ManyTrip) error {
	g := gather(all)
	if len(g.trip) < 2 || len(g.Caught) < leastAnimals || g.recaptures() < leastRecaptures {
		return nil
	}
	var results []survival.Result
	var entered []fit.Candidate
	words := map[string]string{}
	for _, c := range g.candidates() {
		r, err := survival.Fit(g.Robust, survival.Model{Detect: c.detect})
		if err != nil {
			return fmt.Errorf("trips together: %w", err)
		}
		results, words[r.Model.String()] = append(results, r), c.says[1]
		entered = append(entered, r.Candidate(r.Model.String()))
	}
	table, err := fit.Compare(entered, fit.Inflation{})
	if err != nil {
		return err
	}
	slices.SortFunc(results, func(a, b survival.Result) int {
		return cmp.Compare(slices.IndexFunc(table, named(a)), slices.IndexFunc(table, named(b)))
	})
	for period, i := range g.of {
		if rows[i].Refused != "" {
			rows[i].take(table, results, words, period, len(g.of))
		}
	}
	return nil
}

func named(r survival.Result) func(fit.Ranked) bool {
	return func(row fit.Ranked) bool { return row.Name == r.Model.String() }
}

// candidates are the ways in which detection may differ.
func (g together) candidates() []choice {
	out := []choice{
		{says: [2]string{"", "the same for all, on every trip"}},
		{detect: []string{"after-capture"}, says: [2]string{"", "after the first capture of a trip"}},
	}
	if g.ByOccasion != nil {
		out = append(out,
			choice{detect: []string{"effort"}, says: [2]string{"", "by trap-nights"}},
			choice{detect: []string{"effort", "after-capture"}, says: [2]string{"", "by trap-nights and after the first capture of a trip"}})
	}
	return out
}

// take fills in the number of one trip, averaged over the models, of which
// table and results are in the same order.
func (t *ManyTrip) take(table []fit.Ranked, results []survival.Result, words map[string]string, period, trips int) {
	var ns []fit.Estimate
	var weights []float64
	var models []ManyModel
	for i, ranked := range table {
		n := results[i].N[period]
		models = append(models, ManyModel{words[ranked.Name], n, ranked.Weight, ranked.Apart})
		if ranked.Weight > 0 {
			ns, weights = append(ns, n), append(weights, ranked.Weight)
		}
	}
	mean := fit.Average(ns, weights, fit.Log)
	if mean.Status != fit.Estimable || mean.Left > 0.5 {
		return
	}
	t.N = abundance.LogNormal("N", mean.Value, mean.SE, float64(t.Animals))
	t.Models, t.Shared, t.Refused = models, trips, ""
}
