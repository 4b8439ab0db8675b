package survival

import (
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
)

// Fixed are natural-scale values at which a model is to be evaluated: by
// parameter ("survival", "detection", "movement", "emigration", "growth",
// "seniority"), in the order of [Names]. For entry, "N" has one value for each
// group and "entry" the shares that enter before each occasion, group by group.
type Fixed map[string][]float64

// Names lists a model's natural-scale values by parameter, as [Result] names
// them.
func Names(d Data, m Model) (map[string][]string, error) {
	l, err := lay(d, m)
	if err != nil {
		return nil, err
	}
	names := map[string][]string{}
	for _, p := range l.predictors {
		for _, label := range p.labels {
			if p.name != string(Entry) {
				names[p.name] = append(names[p.name], label.name)
			}
		}
	}
	if l.model.Population == Entry {
		for group := range max(1, len(l.groups)) {
			for i := range l.occasions {
				names["entry"] = append(names["entry"], l.named("entry", i+1, group))
			}
		}
		for group := range l.own {
			names["N"] = append(names["N"], l.named("N", 0, group))
		}
	}
	return names, nil
}

// Evaluate gives −2 ln L at natural-scale values, without fitting. A value of 0
// or 1 is an error, as is a set of values that the effects cannot produce.
func Evaluate(d Data, m Model, at Fixed) (float64, error) {
	l, err := lay(d, m)
	if err != nil {
		return 0, err
	}
	x, err := l.link(at)
	if err != nil {
		return 0, err
	}
	return -2 * l.log(x, nil), nil
}

// EvaluateLink gives −2 ln L at link-scale parameters in the order of a fitted
// model's coefficients: survival, detection, movement.
func EvaluateLink(d Data, m Model, x []float64) (float64, error) {
	l, err := lay(d, m)
	if err != nil {
		return 0, err
	}
	if names := l.names(); len(x) != len(names) {
		return 0, fmt.Errorf("%d values for %d parameters: expected %v", len(x), len(names), names)
	}
	return -2 * l.log(x, nil), nil
}

// link takes natural-scale values to coefficients.
func (l *laid) link(at Fixed) ([]float64, error) {
	var x []float64
	for _, p := range l.predictors {
		var beta []float64
		var err error
		switch {
		case p.name == string(Entry):
			beta, err = l.entering(at[p.name])
		case p.name == "movement" && l.chain.states > 2:
			beta, err = p.moving(at[p.name])
		default:
			beta, err = p.coefficients(at[p.name])
		}
		if err != nil {
			return nil, err
		}
		x = append(x, beta...)
	}
	if len(l.own) != len(at["N"]) {
		return nil, fmt.Errorf("%d values of N given: expected %d", len(at["N"]), len(l.own))
	}
	for group, n := range at["N"] {
		_, caught := l.firsts(group)
		unseen := math.Log(n - caught)
		if math.IsNaN(unseen) {
			return nil, fmt.Errorf("%g for %s, but %g animals were caught: expected that many or more", n, l.named("N", 0, group), caught)
		}
		x = append(x, math.Max(unseen, -700)) // N = caught is the end of the range
	}
	return x, nil
}

func (p *predictor) coefficients(values []float64) ([]float64, error) {
	if len(values) != len(p.labels) {
		return nil, fmt.Errorf("%d values of %s given: expected %d", len(values), p.name, len(p.labels))
	}
	rows, etas := make([][]float64, len(values)), make([]float64, len(values))
	for i, l := range p.labels {
		rows[i], etas[i] = l.row, p.link.Eta(values[i])
		if math.IsNaN(etas[i]) || math.IsInf(etas[i], 0) {
			return nil, fmt.Errorf("%s is %g: expected %s", l.name, values[i], map[fit.Link]string{
				fit.Logit: "a chance above 0 and below 1", fit.Log: "a rate above 0", fit.Identity: "a number",
			}[p.link])
		}
	}
	return p.solve(rows, etas)
}

func (p *predictor) solve(rows [][]float64, etas []float64) ([]float64, error) {
	beta, err := fit.Coefficients(rows, etas)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.name, err)
	}
	return beta, nil
}

// entering takes the shares that enter, group by group, to coefficients.
func (l *laid) entering(shares []float64) ([]float64, error) {
	p := l.population()
	groups := max(1, len(l.groups))
	if len(shares) != groups*l.occasions {
		return nil, fmt.Errorf("%d shares that enter given: expected %d", len(shares), groups*l.occasions)
	}
	var rows [][]float64
	var etas []float64
	for group := range groups {
		first := shares[group*l.occasions]
		for i := 1; i < l.occasions; i++ {
			share := shares[group*l.occasions+i]
			if !(share > 0 && first > 0) {
				return nil, fmt.Errorf("entry: shares of %g and %g: expected more than 0", first, share)
			}
			who := max(0, slices.Index(l.group, group))
			at := p.index[p.blind(cell{who: who, when: i - 1})]
			rows, etas = append(rows, p.x[p.rowOf[at]]), append(etas, math.Log(share/first))
		}
	}
	return p.solve(rows, etas)
}
