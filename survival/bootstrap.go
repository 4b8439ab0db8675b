package survival

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"dawnround/fit"
)

// Deviance is −2 ln L above that of the saturated model, in which animals of
// each group with each past have chances of their own for what comes next. It is
// not estimable, NaN, where the model uses animals' own numbers, for then no two
// animals are alike, and not built for models of more than the releases.
func (r Result) Deviance() float64 {
	if r.Released == 0 || r.laid.ownNumbers() || len(r.laid.parts) > 0 {
		return math.NaN()
	}
	return r.Fit.Minus2LnL - r.laid.saturated(r.laid.paths)
}

// ownNumbers tells whether the model speaks of animals' own numbers.
func (l *laid) ownNumbers() bool {
	for _, p := range l.predictors {
		for _, name := range p.used {
			if l.columns[name] != nil || l.changing[name] != nil {
				return true
			}
		}
	}
	return false
}

// saturated is −2 ln L with every fate of every past its own chance.
func (l *laid) saturated(paths []path) float64 {
	type past struct {
		group, at int
		captures  string
	}
	type fate struct {
		past
		next, found int
	}
	pasts, fates := map[past]float64{}, map[fate]float64{}
	var order []fate // so that sums are always taken alike
	for _, p := range paths {
		before := past{l.group[p.row], p.at, p.past}
		after := fate{before, p.next, p.found}
		if fates[after] == 0 {
			order = append(order, after)
		}
		pasts[before] += p.count
		fates[after] += p.count
	}
	total := 0.0
	for _, f := range order {
		total += logShare(fates[f], pasts[f.past])
	}
	return -2 * total
}

// A Replicated is what a bootstrap of the deviance gave.
type Replicated struct {
	Deviance float64   `json:"deviance"` // observed
	Mean     float64   `json:"mean"`     // of the replicates
	CHat     float64   `json:"c_hat"`    // observed over mean; 1 where that is below 1 or nothing was done
	P        float64   `json:"p"`        // share of deviances, the observed one counted, no less than the observed
	Values   []float64 `json:"-"`
	Done     int       `json:"done"`
	Failed   int       `json:"failed"`
	Asked    int       `json:"asked"`
	Seed     uint64    `json:"seed"`
}

// Bootstrap asks how large the deviance is when the model is true: what became
// of every release is drawn anew from the fitted model, and the model fitted
// again. The ratio of the observed to the mean deviance is common practice as a
// ĉ, and is known to come out somewhat low (no source); drawing release by
// release, as the likelihood has it, is our own. When ctx ends, what was finished
// is returned with its error.
func (r Result) Bootstrap(ctx context.Context, how fit.Replication) (Replicated, error) {
	observed := r.Deviance()
	if math.IsNaN(observed) {
		return Replicated{}, fmt.Errorf("there is no deviance where nothing was released, with animals' own numbers among the effects, or with nights within periods or animals never caught in the model: leave those out to test the rest")
	}
	done, err := fit.Repeat(ctx, how, r.replicate)
	out := Replicated{
		Deviance: observed, Mean: math.NaN(), CHat: 1, P: math.NaN(),
		Values: done.Values, Done: done.Done(), Failed: done.Failed, Asked: done.Asked, Seed: done.Seed,
	}
	if len(done.Values) == 0 {
		return out, err
	}
	out.Mean = 0
	beyond := 1.0
	for _, v := range done.Values {
		out.Mean += v / float64(len(done.Values))
		if v >= observed {
			beyond++
		}
	}
	out.P = beyond / float64(len(done.Values)+1)
	if out.Mean > 0 {
		out.CHat = math.Max(1, observed/out.Mean)
	}
	return out, err
}

// replicate draws the releases' fates, fits the model and returns its deviance.
func (r Result) replicate(rng *rand.Rand) (float64, error) {
	l := *r.laid
	l.ready()
	l.log(r.Fit.X, nil) // fills the steps
	paths := l.chain.redrawn(l.paths, rng)
	l.chain.segments = pooled(paths)
	l.ready()
	like := l.likelihood()
	like.Starts = append([][]float64{r.Fit.X}, like.Starts[:1]...)
	top := like.Maximise()
	if !top.Ending.Converged {
		return 0, fmt.Errorf("the search ended on a slope of %.2g", top.Ending.MaxGradient)
	}
	return top.Minus2LnL - l.saturated(paths), nil
}

// redrawn gives every release a new fate.
func (c *chain) redrawn(paths []path, rng *rand.Rand) []path {
	type fate struct{ of, next, found int }
	counts := map[fate]float64{}
	var order []fate
	for i, p := range paths {
		for range int(p.count) {
			next, found := c.draw(p, rng)
			f := fate{i, next, found}
			if counts[f] == 0 {
				order = append(order, f)
			}
			counts[f]++
		}
	}
	out := make([]path, 0, len(order))
	for _, f := range order {
		p := paths[f.of]
		p.next, p.found, p.count = f.next, f.found, counts[f]
		out = append(out, p)
	}
	return slices.Clip(out)
}

// draw takes one animal from its release until it is caught, or to the end.
func (c *chain) draw(p path, rng *rand.Rand) (next, found int) {
	n, at := c.states, p.state
	for i, step := range p.steps {
		k := step.leg
		u := rng.Float64() - c.die[k*n+at]
		if u < 0 {
			return never, never
		}
		from := at
		for at = 0; at < n-1; at++ {
			if u -= c.alive[(k*n+from)*n+at]; u < 0 {
				break
			}
		}
		if rng.Float64() < c.see[step.look*n+at] {
			return p.at + i + 1, at
		}
	}
	return never, never
}
