package survival

import (
	"math"

	"dawnround/fit"
)

// pradel is the first captures' part of the likelihood of Pradel (1996), given
// how many animals were caught at all: the expected number on each occasion,
// relative to the first, times the chance ξ of not having been caught before,
// times that of being caught. The share of animals lost on capture is taken as
// known, and growth is that of those let go.
type pradel struct{ course }

func (g *pradel) keep(l *laid, _ int) []string {
	g.turn(l)
	return nil
}

func (g *pradel) start(*laid, []float64) {}

// A growing is one group's course at the parameters last looked at: Φ, λ and γ
// over each interval; of each occasion ln(expected number), ξ, 1 − p, and the
// share not taken away by losses.
type growing struct {
	lasts, grows, stays   []float64
	number, fresh, missed []float64
	kept, lost            []float64
}

func (g *pradel) follow(l *laid, group int) growing {
	t := l.occasions
	part := func() []float64 { return make([]float64, t) }
	c := growing{lasts: part(), grows: part(), stays: part(), number: part(), fresh: part(), missed: part(), kept: part(), lost: part()}
	people := l.population()
	c.fresh[0] = 1
	for i := range t {
		at := group*t + i
		if l.caught[at] > 0 {
			c.lost[i] = l.lost[at] / l.caught[at]
		}
		row := g.detect[group][i]
		c.missed[i] = math.Exp(l.chain.detect.logQ[row])
		c.kept[i] = 1 - l.chain.detect.p[row]*c.lost[i]
		if i == t-1 {
			break
		}
		logLasts := l.Intervals[i] * l.chain.survive.logP[g.survive[group][i]]
		logGrows := l.Intervals[i] * people.eta[g.people[group][i]]
		logStays := logLasts - logGrows
		if people.link == fit.Logit {
			logStays = l.Intervals[i] * people.logP[g.people[group][i]]
			logGrows = logLasts - logStays
		}
		c.lasts[i], c.grows[i], c.stays[i] = math.Exp(logLasts), math.Exp(logGrows), math.Exp(logStays)
		c.number[i+1] = c.number[i] + logGrows + math.Log(c.kept[i])
		c.fresh[i+1] = 1 - c.stays[i] + c.stays[i]*c.missed[i]/c.kept[i]*c.fresh[i]
	}
	return c
}

func (g *pradel) log(l *laid, _, _ []float64) float64 {
	value := 0.0
	for group := range g.cells {
		first, all := l.firsts(group)
		if all == 0 {
			continue
		}
		c := g.follow(l, group)
		share := make([]float64, l.occasions)
		top, total := math.Inf(-1), 0.0
		for i := range share {
			share[i] = c.number[i] + math.Log(c.fresh[i]) + l.chain.detect.logP[g.detect[group][i]]
			top = math.Max(top, share[i])
			if first[i] > 0 {
				value += first[i] * share[i]
			}
		}
		for i := range share {
			share[i] = math.Exp(share[i] - top)
			total += share[i]
		}
		value -= all * (top + math.Log(total))
		for i := range share {
			share[i] = first[i] - all*share[i]/total // more than expected
		}
		g.push(l, group, c, share)
	}
	return value
}

// push carries the slopes back along the course; beyond is how many more first
// captures there were on each occasion than expected.
func (g *pradel) push(l *laid, group int, c growing, beyond []float64) {
	survive, detect, people := l.chain.survive, l.chain.detect, l.population()
	byFresh, byNumber := 0.0, 0.0 // slopes by ξ and by the ln number of the next occasion
	for i := l.occasions - 1; i >= 0; i-- {
		row := g.detect[group][i]
		p := detect.p[row]
		byP := 0.0
		here := beyond[i] / c.fresh[i]
		if i < l.occasions-1 {
			carried := c.stays[i] * c.missed[i] / c.kept[i]
			byStays := byFresh * (c.missed[i]/c.kept[i]*c.fresh[i] - 1) * c.stays[i] // by ln γ
			byKept := byNumber/c.kept[i] - byFresh*carried*c.fresh[i]/c.kept[i]
			byP = -byFresh*c.stays[i]*c.fresh[i]/c.kept[i] - byKept*c.lost[i]
			here += byFresh * carried
			s, w := g.survive[group][i], g.people[group][i]
			lasts := l.Intervals[i] * (1 - survive.p[s]) // slope of ln Φ
			if people.link == fit.Logit {
				survive.slope[s] += lasts * byNumber
				people.slope[w] += l.Intervals[i] * (1 - people.p[w]) * (byStays - byNumber)
			} else {
				survive.slope[s] += lasts * byStays
				people.slope[w] += l.Intervals[i] * (byNumber - byStays)
			}
		}
		detect.slope[row] += beyond[i]*(1-p) + byP*p*(1-p)
		byFresh = here
		byNumber += beyond[i]
	}
}

// report gives growth λ, seniority γ and recruits for each animal f = λ − φ, per
// unit of time: once where nothing changes, otherwise for each interval.
func (g *pradel) report(r *Result) {
	l := r.laid
	intervals := l.occasions - 1
	if !l.chain.survive.timed() && !l.population().timed() {
		intervals = min(1, intervals)
	}
	for group := range g.cells {
		for i := range intervals {
			l.predict(r.Fit.X)
			number := i + 1
			if intervals == 1 {
				number = 0
			}
			add := func(name string, link fit.Link, of func(c growing) float64) {
				value := func(x []float64) float64 {
					l.predict(x)
					return of(g.follow(l, group))
				}
				r.Populated = append(r.Populated, r.Fit.Derive(l.named(name, number, group), value(r.Fit.X), r.differenced(value), link))
			}
			if c := g.follow(l, group); c.stays[i] > 1 {
				r.Warnings = append(r.Warnings, l.named("growth", number, group)+" is below survival, as if fewer than none had come: chance, or first captures unlike the others")
			}
			unit := func(over float64) float64 { return math.Pow(over, 1/l.Intervals[i]) }
			add("growth", fit.Log, func(c growing) float64 { return unit(c.grows[i]) })
			add("seniority", fit.Logit, func(c growing) float64 { return unit(c.stays[i]) })
			add("recruits", fit.Log, func(c growing) float64 { return unit(c.grows[i]) - unit(c.lasts[i]) })
		}
	}
}
