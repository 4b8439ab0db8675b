package abundance

import (
	"strings"

	"dawnround/fit"
)

// String says what detection depends on.
func (m Model) String() string {
	name := "constant"
	if len(m.Detect) > 0 {
		name = strings.Join(m.Detect, " + ")
	}
	if m.Conditional {
		name += ", given caught"
	}
	return name
}

// Average ranks models fitted to the same animals and averages their N over
// those that may be weighed; its interval is log-normal on N − caught, with the
// unconditional error. Mixtures are listed without weight. Full and conditional
// likelihoods together are an error, for their −2 ln L are not of one kind.
func Average(results []Result) ([]fit.Ranked, fit.Averaged, error) {
	var candidates []fit.Candidate
	estimates := map[string]fit.Estimate{}
	caught := 0
	for _, r := range results {
		c := r.Candidate(r.Model.String())
		candidates = append(candidates, c)
		estimates[c.Name] = r.N
		caught = r.Caught
	}
	table, err := fit.Compare(candidates, fit.Inflation{})
	if err != nil {
		return nil, fit.Averaged{}, err
	}
	var ns []fit.Estimate
	var weights []float64
	for _, row := range table {
		if row.Weight > 0 {
			ns, weights = append(ns, estimates[row.Name]), append(weights, row.Weight)
		}
	}
	mean := fit.Average(ns, weights, fit.Log)
	if mean.Status == fit.Estimable {
		mean.Estimate = LogNormal("N", mean.Value, mean.SE, float64(caught))
	}
	return table, mean, nil
}
