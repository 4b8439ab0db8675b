package survival

import (
	"encoding/binary"
	"math"
)

// A step is one interval and the occasion at its end, as animals released alike
// go through it.
type step struct {
	leg  int // over the interval
	look int // on the occasion
}

// A leg is an interval's rows of the predictors.
type leg struct {
	length  float64
	survive []int // by state
	move    []int // by state and state moved to; one is the reference
}

// A look is an occasion's rows of detection, by state: one for each night; none
// where out of reach.
type look [][]int

// reference marks the move that the others are measured against.
const reference = -1

// A segment is animals released alike until they were next caught.
type segment struct {
	count float64
	from  int
	steps []step
	found int // the state they were caught in at the end, or never
}

// A chain is the engine: animals pass through hidden states, alive somewhere or
// dead, and are seen or not. It holds the segments and the values of each leg
// and look at the parameters last looked at, with the slopes of the log-likelihood by
// them.
type chain struct {
	states                int
	survive, move, detect *predictor // move is nil with one state
	legs                  []leg
	looks                 []look
	segments              []segment

	alive, dAlive []float64 // by leg, state, state: survive and be there next
	die, dDie     []float64 // by leg, state
	miss, dMiss   []float64 // by look, state
	see           []float64
	ahead         []float64 // by step, state and dead: chance of all so far
	behind, next  []float64 // by state and dead: chance of all to come
	raised        []bool    // by step: ahead was multiplied by raise
}

// ready gives the chain space of its own to work in.
func (c chain) ready() *chain {
	n, legs, looks, longest := c.states, len(c.legs), len(c.looks), 0
	for _, g := range c.segments {
		longest = max(longest, len(g.steps))
	}
	part := func(n int) []float64 { return make([]float64, n) }
	c.alive, c.dAlive = part(legs*n*n), part(legs*n*n)
	c.die, c.dDie = part(legs*n), part(legs*n)
	c.miss, c.dMiss, c.see = part(looks*n), part(looks*n), part(looks*n)
	c.ahead, c.raised = part((longest+1)*(n+1)), make([]bool, longest)
	c.behind, c.next = part(n+1), part(n+1)
	return &c
}

// fill works out every leg and look from the predictors' values.
func (c *chain) fill() {
	n := c.states
	for k, s := range c.legs {
		for from := range n {
			row := s.survive[from]
			lasts := s.length * c.survive.logP[row]
			c.die[k*n+from] = -math.Expm1(lasts)
			shares := c.alive[(k*n+from)*n : (k*n+from+1)*n]
			c.shares(s.move[from*n:(from+1)*n], shares)
			for to := range shares {
				shares[to] *= math.Exp(lasts)
			}
		}
	}
	for k, look := range c.looks {
		for state := range n {
			unseen := 0.0
			for _, row := range look[state] {
				unseen += c.detect.logQ[row]
			}
			c.miss[k*n+state], c.see[k*n+state] = math.Exp(unseen), -math.Expm1(unseen)
		}
	}
	clear(c.dAlive)
	clear(c.dDie)
	clear(c.dMiss)
}

// shares are the chances of moving to each state, by the multinomial logit
// against the reference.
func (c *chain) shares(rows []int, out []float64) {
	if len(rows) == 1 {
		out[0] = 1
		return
	}
	top := 0.0
	for to, row := range rows {
		out[to] = 0
		if row != reference {
			out[to] = c.move.eta[row]
			top = math.Max(top, out[to])
		}
	}
	sum := 0.0
	for to := range out {
		out[to] = math.Exp(out[to] - top)
		sum += out[to]
	}
	for to := range out {
		out[to] /= sum
	}
}

// log is Σ count · ln(chance of the segment); with slopes it also notes the
// derivatives by the legs and looks.
func (c *chain) log(slopes bool) float64 {
	value := 0.0
	for _, g := range c.segments {
		chance, scale := c.forward(g)
		value += g.count * (math.Log(chance) - scale)
		if slopes {
			c.backward(g, g.count/chance)
		}
	}
	return value
}

// A chance that falls below tooSmall on the way is multiplied by raise.
const (
	tooSmall = 0x1p-500
	raise    = 0x1p+500
	logRaise = 500 * math.Ln2
)

// forward carries the animals through their segment, state by state; dead is
// the last of the states.
func (c *chain) forward(g segment) (chance, scale float64) {
	n := c.states
	clear(c.ahead[:n+1])
	c.ahead[g.from] = 1
	for i, step := range g.steps {
		k := step.leg
		from := c.ahead[i*(n+1) : (i+1)*(n+1)]
		to := c.ahead[(i+1)*(n+1) : (i+2)*(n+1)]
		last := i == len(g.steps)-1
		chance = 0
		to[n] = from[n]
		for s := range n {
			to[n] += float64(from[s] * c.die[k*n+s])
		}
		if g.found != never {
			to[n] = 0
		}
		for r := range n {
			arrive := 0.0
			for s := range n {
				arrive += float64(from[s] * c.alive[(k*n+s)*n+r])
			}
			to[r] = arrive * c.outcome(g, step.look, r, last)
			chance += to[r]
		}
		chance += to[n]
		c.raised[i] = chance < tooSmall && chance > 0 && !last
		if c.raised[i] {
			for r := range to {
				to[r] *= raise
			}
			scale += logRaise
		}
	}
	return chance, scale
}

// outcome is the chance of what the segment saw on a look, were the animal in
// state r.
func (c *chain) outcome(g segment, look, r int, last bool) float64 {
	switch {
	case !last || g.found == never:
		return c.miss[look*c.states+r]
	case g.found == r:
		return c.see[look*c.states+r]
	}
	return 0
}

// backward notes the slopes of a segment by all its steps, given weight, the
// slope of the log-likelihood by the segment's chance.
func (c *chain) backward(g segment, weight float64) {
	n := c.states
	for r := range c.behind {
		c.behind[r] = weight
	}
	for i := len(g.steps) - 1; i >= 0; i-- {
		k, look := g.steps[i].leg, g.steps[i].look
		from := c.ahead[i*(n+1) : (i+1)*(n+1)]
		last := i == len(g.steps)-1
		if c.raised[i] {
			for r := range c.behind {
				c.behind[r] *= raise
			}
		}
		dead := c.behind[n]
		if g.found != never {
			dead = 0
		}
		for s := range n {
			c.next[s] = c.die[k*n+s] * dead
			c.dDie[k*n+s] += from[s] * dead
		}
		c.next[n] = dead
		for r := range n {
			to := c.outcome(g, look, r, last) * c.behind[r]
			arrive := 0.0
			for s := range n {
				alive := c.alive[(k*n+s)*n+r]
				arrive += from[s] * alive
				c.dAlive[(k*n+s)*n+r] += from[s] * to
				c.next[s] += alive * to
			}
			switch {
			case !last || g.found == never:
				c.dMiss[look*n+r] += arrive * c.behind[r]
			case g.found == r:
				c.dMiss[look*n+r] -= arrive * c.behind[r] // chance seen is 1 − chance missed
			}
		}
		c.behind, c.next = c.next, c.behind
	}
}

// spread carries the slopes by the legs and looks back to the predictors' rows.
func (c *chain) spread() {
	n := c.states
	for k, s := range c.legs {
		for from := range n {
			alive := c.alive[(k*n+from)*n : (k*n+from+1)*n]
			dAlive := c.dAlive[(k*n+from)*n : (k*n+from+1)*n]
			row := s.survive[from]
			lasts, sum := 0.0, 0.0
			for to := range n {
				lasts += alive[to]
				sum += alive[to] * dAlive[to]
			}
			c.survive.slope[row] += s.length * (1 - c.survive.p[row]) * (sum - lasts*c.dDie[k*n+from])
			for to, row := range s.move[from*n : (from+1)*n] {
				if row != reference && lasts > 0 {
					c.move.slope[row] += alive[to]*dAlive[to] - alive[to]/lasts*sum
				}
			}
		}
	}
	for k, look := range c.looks {
		for state := range n {
			for _, row := range look[state] {
				c.detect.slope[row] -= c.dMiss[k*n+state] * c.miss[k*n+state] * c.detect.p[row]
			}
		}
	}
}

// key tells steps and segments that are alike by their numbers.
func key(numbers ...int) string {
	var b []byte
	for _, v := range numbers {
		b = binary.AppendVarint(b, int64(v))
	}
	return string(b)
}
