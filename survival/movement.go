package survival

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// Between more than two states, the chances of moving to each are shares of a
// whole: the multinomial logit against staying.

// siblings are, for each value of movement, the values of all states that
// animals may move to from the same place, itself among them.
func (p *predictor) siblings() [][]int {
	at := map[string]int{}
	for i, l := range p.labels {
		at[l.name] = i
	}
	out := make([][]int, len(p.labels))
	for i, l := range p.labels {
		for to := range p.survey.states {
			c := l.cell
			if p.speaks("to") {
				c.to = to
			}
			if k, ok := at[p.title(c)]; ok && to != l.cell.from {
				out[i] = append(out[i], k)
			}
		}
	}
	return out
}

// moves reads the chances of moving off the fit.
func (r Result) moves() []fit.Estimate {
	p := r.laid.chain.move
	if r.laid.chain.states == 2 {
		return r.naturals(p)
	}
	var out []fit.Estimate
	for i, siblings := range p.siblings() {
		share := func(x []float64) float64 {
			total := 1.0 // of staying
			for _, k := range siblings {
				total += math.Exp(p.labels[k].eta(x[p.at:]))
			}
			return math.Exp(p.labels[i].eta(x[p.at:])) / total
		}
		out = append(out, r.Fit.Derive(p.labels[i].name, share(r.Fit.X), r.differenced(share), fit.Logit))
	}
	return out
}

// eta is a label's value on the link scale.
func (l label) eta(beta []float64) float64 {
	eta := 0.0
	for j, v := range l.row {
		eta += v * beta[j]
	}
	return eta
}

// moving takes the chances of moving to coefficients.
func (p *predictor) moving(values []float64) ([]float64, error) {
	if len(values) != len(p.labels) {
		return nil, fmt.Errorf("%d values of %s given: expected %d", len(values), p.name, len(p.labels))
	}
	rows, etas := make([][]float64, len(values)), make([]float64, len(values))
	for i, siblings := range p.siblings() {
		stays := 1.0
		for _, k := range siblings {
			stays -= values[k]
		}
		rows[i], etas[i] = p.labels[i].row, math.Log(values[i]/stays)
		if math.IsNaN(etas[i]) || math.IsInf(etas[i], 0) {
			return nil, fmt.Errorf("%s is %g, and %g stay: expected more than 0, in all less than 1", p.labels[i].name, values[i], stays)
		}
	}
	return p.solve(rows, etas)
}
