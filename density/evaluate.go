package density

import (
	"fmt"

	"dawnround/fit"
)

// Fixed are natural-scale parameters at which a model is to be evaluated, by
// the names of [Names].
type Fixed map[string]float64

// Names lists a model's natural-scale values, as [Result] names them: densities
// per hectare (none under Conditional), detections, and σ in metres. Density
// that follows a column has no values of its own and must be given on the link
// scale.
func Names(s Survey, m Model) ([]string, error) {
	l, err := lay(s, m)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, p := range l.natural() {
		for _, label := range p.labels {
			names = append(names, label.name)
		}
	}
	return names, nil
}

// natural are the predictors that have parameters.
func (l *laid) natural() []*predictor {
	if l.model.Count == Conditional {
		return []*predictor{&l.detect, &l.move}
	}
	return []*predictor{&l.density, &l.detect, &l.move}
}

func (l *laid) link(p *predictor) fit.Link {
	if p.of == detectionName {
		return l.model.Shape.link()
	}
	return fit.Log
}

// An Evaluation is a model at fixed parameters.
type Evaluation struct {
	Minus2LnL   float64
	EffectiveHa []float64 // of each trip: the state space's area times the chance that an animal living in it is caught
}

// Evaluate gives −2 ln L at natural-scale values, without fitting.
func Evaluate(s Survey, m Model, at Fixed) (Evaluation, error) {
	l, err := lay(s, m)
	if err != nil {
		return Evaluation{}, err
	}
	var x []float64
	if m.Count == Conditional && len(l.density.names()) > 0 {
		return Evaluation{}, fmt.Errorf("density that differs has no natural-scale values under the conditional likelihood; give coefficients on the link scale instead")
	}
	for _, p := range l.natural() {
		beta, err := p.solve(at, l.link(p))
		if err != nil {
			return Evaluation{}, err
		}
		x = append(x, beta...)
	}
	return l.evaluate(x), nil
}

func (l *laid) evaluate(x []float64) Evaluation {
	e := Evaluation{Minus2LnL: -2 * l.log(x, nil)}
	for t, s := range l.survey {
		caught := l.scratch.caught[t]
		e.EffectiveHa = append(e.EffectiveHa, s.Space.AreaHa()*caught/(caught+l.scratch.missed[t]))
	}
	return e
}

// solve finds the coefficients that give the values of the labels.
func (p *predictor) solve(at Fixed, link fit.Link) ([]float64, error) {
	rows, etas := make([][]float64, len(p.labels)), make([]float64, len(p.labels))
	for i, label := range p.labels {
		value, ok := at[label.name]
		if !ok {
			return nil, fmt.Errorf("%s has no value; give each that the model has", label.name)
		}
		rows[i], etas[i] = label.row, link.Eta(value)
		if !finite(etas[i]) {
			return nil, fmt.Errorf("%s is %g: expected a value above 0%s", label.name, value, map[bool]string{true: " and below 1"}[link == fit.Logit])
		}
	}
	return fit.Coefficients(rows, etas)
}

// EvaluateLink gives −2 ln L at link-scale parameters, in the order of a fitted
// model's coefficients: density (ln per hectare), detection (logit, or ln of a
// hazard), sigma (ln metres).
func EvaluateLink(s Survey, m Model, x []float64) (Evaluation, error) {
	l, err := lay(s, m)
	if err != nil {
		return Evaluation{}, err
	}
	if names := l.names(); len(x) != len(names) {
		return Evaluation{}, fmt.Errorf("%d values for %d parameters: expected %q", len(x), len(names), names)
	}
	return l.evaluate(x), nil
}
