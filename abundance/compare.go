package abundance

import (
	"math"
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
// unconditional error. A model whose N is the number caught enters with the
// error that its profile interval implies. Mixtures are listed without weight.
// Full and conditional likelihoods together are an error, for their −2 ln L are
// not of one kind.
func Average(results []Result) ([]fit.Ranked, fit.Averaged, error) {
	var candidates []fit.Candidate
	estimates := map[string]fit.Estimate{}
	caught := 0.0
	for _, r := range results {
		c := r.Candidate(r.Model.String())
		candidates = append(candidates, c)
		estimates[c.Name] = withError(r.N)
		caught = float64(r.Caught)
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
		mean.Estimate = averageInterval(mean.Estimate, caught)
	}
	return table, mean, nil
}

// averageInterval is log-normal, or, where no model leaves room for animals not
// caught, from the number caught up.
func averageInterval(n fit.Estimate, caught float64) fit.Estimate {
	out := LogNormal("N", n.Value, n.SE, caught)
	if n.Value-caught < 1e-3 {
		out.Lower, out.Upper = caught, caught+fit.Z95*n.SE
	}
	return out
}

// withError gives an N at the number caught the error by which its profile
// interval reaches beyond it.
func withError(n fit.Estimate) fit.Estimate {
	if n.Status == fit.AtBoundary && n.Upper >= n.Value && !math.IsInf(n.Upper, 1) {
		n.SE, n.Status = (n.Upper-n.Value)/fit.Z95, fit.Estimable
	}
	return n
}
