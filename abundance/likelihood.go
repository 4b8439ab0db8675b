package abundance

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// The parameters stand in this order on the link scale: ln(N − caught) of each
// group (full likelihood only), the multinomial logits of the mixture's shares,
// the coefficients of detection.

func (c *closed) unseenAt() int { // how many parameters stand before the shares
	if c.model.Conditional {
		return 0
	}
	return len(c.caught)
}

func (c *closed) detectAt() int { return c.unseenAt() + c.components - 1 }

func (c *closed) parameterNames() []string {
	var names []string
	for g := range c.unseenAt() {
		names = append(names, "unseen"+c.groupName(g))
	}
	for k := range c.components - 1 {
		names = append(names, fmt.Sprintf("share[kind %d]", k+1))
	}
	for _, n := range c.design.Names {
		names = append(names, "detection "+n)
	}
	return names
}

func (c *closed) groupName(g int) string {
	if len(c.groups) == 0 {
		return ""
	}
	return "[" + c.groups[g] + "]"
}

// scratch is what one evaluation works in.
type scratch struct {
	eta, logP, logQ, p, slope []float64 // by row
	share, dShare             []float64 // by component
	kind                      []float64 // chance that the animal just looked at is of each component
}

func newScratch(rows, components int) scratch {
	part := func(n int) []float64 { return make([]float64, n) }
	return scratch{
		part(rows), part(rows), part(rows), part(rows), part(rows),
		part(components), part(components), part(components),
	}
}

// log is the log-likelihood with its exact gradient. The full one is Σ over
// groups ln[N!/(N−M)!] + (N−M) ln(chance of never) + Σ over animals ln(chance of
// the history), without the constant Σ ln x! of alike histories; N is
// continuous. The conditional one is Σ ln(chance of the history / chance of
// ever).
func (c *closed) log(x, gradient []float64) float64 {
	c.predict(x)
	value := 0.0
	for _, l := range c.lives {
		value += l.count * c.look(l.uses)
		c.push(l.uses, l.count)
	}
	clear(gradient)
	for _, u := range c.unseen {
		never := c.look(u.uses)
		if c.model.Conditional {
			value -= u.count * logOneMinusExp(never)
			c.push(u.uses, u.count/math.Expm1(-never))
			continue
		}
		f := math.Exp(x[u.group])
		ways, slope := fit.Permutations(f, c.caught[u.group])
		value += ways + f*never
		c.push(u.uses, f)
		if gradient != nil {
			gradient[u.group] = f * (slope + never)
		}
	}
	if gradient == nil {
		return value
	}
	c.collect(gradient)
	return value
}

// predict fills the chances of every row and the shares of every component.
func (c *closed) predict(x []float64) {
	s := &c.scratch
	beta := x[c.detectAt():]
	for i, row := range c.x {
		eta := 0.0
		for j, v := range row {
			eta += float64(v * beta[j])
		}
		s.eta[i] = eta
		s.p[i], s.logP[i], s.logQ[i] = fit.LogLogit(eta)
	}
	copy(s.share, fit.Shares(x[c.unseenAt():c.detectAt()]))
	clear(s.slope)
	clear(s.dShare)
}

// look returns the log chance of a life, and notes which kind of animal it
// bespeaks.
func (c *closed) look(uses []pathUse) float64 {
	s := &c.scratch
	least, most := 0.0, math.Inf(-1)
	for k := range s.kind {
		v := 0.0
		for _, u := range uses {
			row := c.rows[u.cell][k]
			if u.caught != 0 {
				v += float64(u.caught * s.logP[row])
			}
			if u.missed != 0 {
				v += float64(u.missed * s.logQ[row])
			}
		}
		s.kind[k] = v
		least, most = math.Min(least, v), math.Max(most, v)
	}
	switch {
	case len(s.kind) == 1:
		s.kind[0] = 1
		return most
	case math.IsInf(most, -1):
		return most
	}
	value := c.mean(least, most)
	for k := range s.kind {
		s.kind[k] = s.share[k] * math.Exp(s.kind[k]-value)
	}
	return value
}

// mean is the logarithm of the mean chance over kinds, from their logarithms.
// Near certainty it keeps the little that is missing, which a multitude of
// animals never caught would multiply.
func (c *closed) mean(least, most float64) float64 {
	s := &c.scratch
	sum := 0.0
	if least > -0.5 {
		for k, v := range s.kind {
			sum += s.share[k] * math.Expm1(v)
		}
		return math.Log1p(sum)
	}
	for k, v := range s.kind {
		sum += s.share[k] * math.Exp(v-most)
	}
	return most + math.Log(sum)
}

// push adds weight times the derivative of the log chance last looked at.
func (c *closed) push(uses []pathUse, weight float64) {
	s := &c.scratch
	for k, kind := range s.kind {
		w := weight * kind
		s.dShare[k] += w
		for _, u := range uses {
			row := c.rows[u.cell][k]
			s.slope[row] += w * (u.caught - (u.caught+u.missed)*s.p[row])
		}
	}
}

// logOneMinusExp is ln(1 − eˣ) for x < 0.
func logOneMinusExp(x float64) float64 {
	if x > -math.Ln2 {
		return math.Log(-math.Expm1(x))
	}
	return math.Log1p(-math.Exp(x))
}

// likelihood readies the model for the kit, with starts spread over low,
// middling and high detection, and over splits of a mixture.
func (c *closed) likelihood() fit.Likelihood {
	l := fit.Likelihood{Names: c.parameterNames(), Log: c.log}
	l.Basis = fit.NewMatrix(len(l.Names))
	for i := range c.detectAt() {
		l.Basis[i][i] = 1
	}
	for i, row := range c.design.Basis {
		copy(l.Basis[c.detectAt()+i][c.detectAt():], row)
	}
	l.Starts = c.starts()
	if c.components > 1 {
		l.Canonical = c.ordered
	}
	return l
}

func (c *closed) starts() [][]float64 {
	var starts [][]float64
	total := 0.0
	for _, n := range c.caught {
		total += n
	}
	p := math.Min(0.9, math.Max(0.02, float64(c.captures)/total/float64(c.nights)))
	for _, factor := range []float64{0.8, 0.35} {
		if c.components == 1 {
			starts = append(starts, c.start(p*factor, 0, 0))
			continue
		}
		for _, share := range []float64{0, 2, -2} {
			for _, apart := range []float64{1.5, 4} {
				starts = append(starts, c.start(p*factor, share, apart))
			}
		}
	}
	return starts
}

// start is a place where detection is p, later components of a mixture being
// more easily caught, and N is what that p implies.
func (c *closed) start(p, share, apart float64) []float64 {
	x := make([]float64, c.detectAt()+len(c.design.Names))
	never := math.Pow(1-p, float64(c.nights))
	for g := range c.unseenAt() {
		x[g] = math.Log((c.caught[g] + 0.1) * math.Max(never, 1e-3) / (1 - never))
	}
	for k := range c.components - 1 {
		x[c.unseenAt()+k] = share
	}
	for j, name := range c.design.Names {
		switch {
		case name == "constant":
			x[c.detectAt()+j] = fit.Logit.Eta(p)
		case len(name) == len("mixture[2]") && name[:len("mixture[")] == "mixture[":
			x[c.detectAt()+j] = apart * float64(name[len("mixture[")]-'1')
		}
	}
	return x
}
