package survival

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// Fixed are natural-scale values at which a model is to be evaluated: by
// parameter ("survival", "detection", "movement"), in the order of [Names].
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
			names[p.name] = append(names[p.name], label.name)
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
		beta, err := p.coefficients(at[p.name])
		if err != nil {
			return nil, err
		}
		x = append(x, beta...)
	}
	return x, nil
}

func (p *predictor) coefficients(values []float64) ([]float64, error) {
	if len(values) != len(p.labels) {
		return nil, fmt.Errorf("%d values of %s given: expected %d", len(values), p.name, len(p.labels))
	}
	rows, etas := make([][]float64, len(values)), make([]float64, len(values))
	for i, l := range p.labels {
		rows[i], etas[i] = l.row, fit.Logit.Eta(values[i])
		if math.IsNaN(etas[i]) || math.IsInf(etas[i], 0) {
			return nil, fmt.Errorf("%s is %g: expected a chance above 0 and below 1", l.name, values[i])
		}
	}
	beta, err := fit.Coefficients(rows, etas)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.name, err)
	}
	return beta, nil
}
