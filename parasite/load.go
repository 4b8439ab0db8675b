package parasite

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
)

// A Count is the parasites on one animal, from Low to High, both included. An
// exact count has both alike; Open is a class without an upper bound, and High
// then counts for nothing.
type Count struct {
	Low, High int
	Open      bool
}

// A Load is how parasites are shared out among animals, those without any
// counted too.
type Load struct {
	Animals  int          `json:"animals"`
	Classed  int          `json:"classed"`  // animals whose count is a class
	Median   Span         `json:"median"`   // as the classes leave it
	Sampling Span         `json:"sampling"` // and with the chance of the sample: 95 % at least
	Mean     fit.Estimate `json:"mean"`     // μ of the negative binomial
	K        fit.Estimate `json:"k"`        // small: a few animals carry most; open above: no more clumped than chance
	Fit      fit.Fit      `json:"-"`
	Warnings []string     `json:"warnings,omitempty"`
}

// A Span is from one count to another; Open where nothing bounds it above.
type Span struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	Open bool    `json:"open,omitempty"`
}

// Measure gives the median load and the negative binomial distribution of
// counts by maximum likelihood, a class entering as the sum of its
// probabilities, with variance μ + μ²/k (Bliss & Fisher 1953, Biometrics
// 9:176–200). It takes animals as independent. Intervals of μ and k are of the
// profile likelihood; k is open above where the counts are no more clumped than
// chance would have them, and not estimable where no animal carries any. No
// animals, or a class that ends before it begins, is an error.
func Measure(counts []Count) (Load, error) {
	l := Load{Animals: len(counts), Mean: fit.Lost("mean"), K: fit.Lost("k")}
	if len(counts) == 0 {
		return l, fmt.Errorf("no animals: a load needs some that were looked at")
	}
	known, most := 0, 0
	for i, c := range counts {
		switch {
		case c.Low < 0 || !c.Open && c.High < c.Low:
			return l, fmt.Errorf("animal %d: from %d to %d parasites: expected a count, or a class with its bounds", i+1, c.Low, c.High)
		case c.Open && c.Low == 0:
			return l, fmt.Errorf("animal %d: any number of parasites, none among them: leave out an animal of which nothing is known", i+1)
		}
		if c.Open || c.High != c.Low {
			l.Classed++
		} else {
			known++
		}
		most = max(most, c.Low, c.High)
	}
	l.median(counts)
	if most == 0 && known == len(counts) {
		l.Mean = fit.Estimate{Name: "mean", SE: math.NaN(), Upper: math.NaN(), Status: fit.AtBoundary}
		l.Warnings = append(l.Warnings, "no animal carries any: there is no distribution to describe")
		return l, nil
	}
	l.fit(counts)
	return l, nil
}

// median gives the median as the classes leave it, from that of their lower
// bounds to that of their upper, and its sampling interval by order statistics
// (the sign test turned round): ranks j and n + 1 − j with j the largest for
// which at most 2.5 % of samples have fewer than j below.
func (l *Load) median(counts []Count) {
	var low, high []float64
	for _, c := range counts {
		low = append(low, float64(c.Low))
		if c.Open {
			high = append(high, math.Inf(1))
		} else {
			high = append(high, float64(c.High))
		}
	}
	slices.Sort(low)
	slices.Sort(high)
	n := len(counts)
	at := func(x []float64) float64 { return (x[(n-1)/2] + x[n/2]) / 2 }
	l.Median = span(at(low), at(high))
	j := 0
	for j < n/2 && fit.BetaTail(0.5, float64(j+1), float64(n-j)) <= 0.025 {
		j++
	}
	if j == 0 {
		l.Sampling = Span{Open: true}
		return
	}
	l.Sampling = span(low[j-1], high[n-j])
}

// String writes a span: "3", "1–5", "21 or more".
func (s Span) String() string {
	switch {
	case s.Open:
		return fmt.Sprintf("%v or more", s.Low)
	case s.Low == s.High:
		return fmt.Sprint(s.Low)
	}
	return fmt.Sprintf("%v–%v", s.Low, s.High)
}

func span(low, high float64) Span {
	if math.IsInf(high, 1) {
		return Span{Low: low, Open: true}
	}
	return Span{Low: low, High: high}
}

// fit climbs the likelihood on the logarithms of μ and k.
func (l *Load) fit(counts []Count) {
	like := likelihood(counts)
	l.Fit = like.Maximise()
	l.Warnings = append(l.Warnings, l.Fit.Warnings...)
	l.Mean = profiled(like, l.Fit, 0, "mean")
	l.K = profiled(like, l.Fit, 1, "k")
	if l.K.Status == fit.AtBoundary {
		l.K.Value = math.Inf(1)
	}
	if math.IsInf(l.K.Upper, 1) {
		l.Warnings = append(l.Warnings, "k is open above: the counts are no more clumped than chance would have them")
	}
}

func profiled(like fit.Likelihood, f fit.Fit, i int, name string) fit.Estimate {
	e := f.Derive(name, math.Exp(f.X[i]), oneAt(i, math.Exp(f.X[i])), fit.Log)
	p := like.Profile(f, i)
	e.Value, e.Lower, e.Upper = math.Exp(f.X[i]), math.Exp(p.Lower), math.Exp(p.Upper)
	return e
}

func oneAt(i int, v float64) []float64 {
	g := make([]float64, 2)
	g[i] = v
	return g
}

// likelihood is that of ln μ and ln k, animals with the same count taken
// together.
func likelihood(counts []Count) fit.Likelihood {
	times := map[Count]float64{}
	for _, c := range counts {
		if c.Open {
			c.High = 0
		}
		times[c]++
	}
	var kinds []Count
	for c := range times {
		kinds = append(kinds, c)
	}
	slices.SortFunc(kinds, func(a, b Count) int { return cmp.Or(cmp.Compare(a.Low, b.Low), cmp.Compare(a.High, b.High)) })
	middle := 0.0
	for _, c := range kinds {
		middle += times[c] * float64(max(c.Low, c.High)+c.Low) / 2 / float64(len(counts))
	}
	start := math.Log(max(middle, 0.01))
	return fit.Likelihood{
		Names:  []string{"mean", "k"},
		Starts: [][]float64{{start, 0}, {start, -1.5}, {start, 2}},
		Log: func(x, gradient []float64) float64 {
			clear(gradient)
			total := 0.0
			for _, c := range kinds {
				total += times[c] * class(c, math.Exp(x[0]), math.Exp(x[1]), times[c], gradient)
			}
			return total
		},
	}
}

// class is the logarithm of the probability of one class; its derivatives by
// ln μ and ln k, times so many animals, are added to the gradient.
func class(c Count, mu, k, times float64, gradient []float64) float64 {
	from, to := c.Low, c.High
	if c.Open { // 1 less what lies below
		from, to = 0, c.Low-1
	}
	p, byMu, byK := 0.0, 0.0, 0.0
	for x := from; x <= to; x++ {
		one, m, d := term(float64(x), mu, k)
		p += one
		byMu += float64(one * m)
		byK += float64(one * d)
	}
	if c.Open {
		p, byMu, byK = 1-p, -byMu, -byK
	}
	if gradient != nil {
		gradient[0] += times * byMu / p * mu
		gradient[1] += times * byK / p * k
	}
	return math.Log(p)
}

// term is the probability of x parasites, Γ(x+k)/(Γ(k)·x!)·(k/(k+μ))^k·(μ/(k+μ))^x,
// and the derivatives of its logarithm by μ and k.
func term(x, mu, k float64) (p, byMu, byK float64) {
	rise, slope := fit.Permutations(k-1, x) // ln Γ(k+x) − ln Γ(k)
	fact, _ := math.Lgamma(x + 1)
	// k·ln(k/(k+μ)) as −k·ln(1 + μ/k), which stays exact as k grows.
	logK := -math.Log1p(mu / k)
	p = math.Exp(rise - fact + float64(k*logK) + float64(x*(math.Log(mu)-math.Log(k+mu))))
	return p, x/mu - (x+k)/(mu+k), slope + logK + (mu-x)/(mu+k)
}
