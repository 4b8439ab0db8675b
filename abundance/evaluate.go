package abundance

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// Fixed are natural-scale parameters at which a model is to be evaluated.
type Fixed struct {
	N         []float64 // of each group; nil for the conditional likelihood
	Shares    []float64 // of a mixture's kinds; nil where there is one
	Detection []float64 // in the order of [DetectionNames]
}

// DetectionNames lists a model's natural-scale detections, as [Result] names
// them.
func DetectionNames(d Data, m Model) ([]string, error) {
	c, err := lay(d, m)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, l := range c.labels {
		names = append(names, l.name)
	}
	return names, nil
}

// An Evaluation is a model at fixed parameters.
type Evaluation struct {
	Minus2LnL float64
	N         float64 // under the conditional likelihood, Σ 1/p*; otherwise the N given
}

// Evaluate gives −2 ln L at natural-scale parameters, without fitting. A
// detection of 0 or 1, or an N below the number caught, is an error, as is a
// set of detections that the effects cannot produce.
func Evaluate(d Data, m Model, at Fixed) (Evaluation, error) {
	c, err := lay(d, m)
	if err != nil {
		return Evaluation{}, err
	}
	x, err := c.link(at)
	if err != nil {
		return Evaluation{}, err
	}
	return c.evaluate(x), nil
}

// EvaluateLink gives −2 ln L at link-scale parameters in the order of a
// fitted model's coefficients: ln(N − caught) of each group (full likelihood
// only), mixture logits, coefficients of detection.
func EvaluateLink(d Data, m Model, x []float64) (Evaluation, error) {
	c, err := lay(d, m)
	if err != nil {
		return Evaluation{}, err
	}
	if names := c.parameterNames(); len(x) != len(names) {
		return Evaluation{}, fmt.Errorf("%d values for %d parameters: expected %v", len(x), len(names), names)
	}
	return c.evaluate(x), nil
}

func (c *closed) evaluate(x []float64) Evaluation {
	e := Evaluation{Minus2LnL: -2 * c.log(x, nil)}
	all := func(int) bool { return true }
	if c.model.Conditional {
		e.N = c.byInverseChance(x, all).value
	} else {
		e.N = c.byUnseen(x, all).value
	}
	return e
}

// link takes natural-scale parameters to the link scale.
func (c *closed) link(at Fixed) ([]float64, error) {
	var x []float64
	if len(at.N) != c.unseenAt() {
		return nil, fmt.Errorf("%d values of N given: expected %d", len(at.N), c.unseenAt())
	}
	for g, n := range at.N {
		unseen := math.Log(n - c.caught[g])
		if math.IsNaN(unseen) {
			return nil, fmt.Errorf("%g for N%s, but %g animals were caught: expected that many or more", n, c.groupName(g), c.caught[g])
		}
		x = append(x, math.Max(unseen, -700)) // N = caught is the end of the range
	}
	if c.components > 1 {
		if len(at.Shares) != c.components {
			return nil, fmt.Errorf("%d shares given: expected %d", len(at.Shares), c.components)
		}
		shares, err := fit.ShareEtas(at.Shares)
		if err != nil {
			return nil, err
		}
		x = append(x, shares...)
	}
	if len(at.Detection) != len(c.labels) {
		return nil, fmt.Errorf("%d detections given: expected %d", len(at.Detection), len(c.labels))
	}
	rows, etas := make([][]float64, len(c.labels)), make([]float64, len(c.labels))
	for i, l := range c.labels {
		rows[i], etas[i] = l.row, fit.Logit.Eta(at.Detection[i])
		if math.IsNaN(etas[i]) || math.IsInf(etas[i], 0) {
			return nil, fmt.Errorf("%s is %g: expected a chance above 0 and below 1", l.name, at.Detection[i])
		}
	}
	beta, err := fit.Coefficients(rows, etas)
	if err != nil {
		return nil, err
	}
	return append(x, beta...), nil
}
