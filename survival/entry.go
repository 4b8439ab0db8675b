package survival

import (
	"math"

	"dawnround/fit"
)

// superpopulation is the first captures' part of the likelihood of Schwarz &
// Arnason (1996): of N animals that ever were here, shares b enter before each
// occasion; ψ is the chance of being here and not yet caught. The constant
// Σ ln u! and the chances of loss on capture are left out. Its own parameters are
// ln(N − caught) of each group, unless the likelihood is that given how many
// were caught.
type superpopulation struct {
	course
	at int
}

func (s *superpopulation) keep(l *laid, at int) []string {
	s.turn(l)
	s.at = at
	if l.model.GivenCaught {
		return nil
	}
	var names []string
	for group := range s.cells {
		names = append(names, l.named("unseen", 0, group))
	}
	return names
}

// start lets as many enter each time, and as many again be missed as four of
// five would leave.
func (s *superpopulation) start(l *laid, x []float64) {
	for group := range s.cells {
		if _, all := l.firsts(group); !l.model.GivenCaught {
			x[s.at+group] = math.Log(0.2*all + 0.1)
		}
	}
}

// An entering is one group's course at the parameters last looked at.
type entering struct {
	share, alive, lasts, missed []float64 // b; ψ; Φ over the interval; 1 − p
	never                       float64   // chance of never being caught
}

func (s *superpopulation) follow(l *laid, group int) entering {
	t := l.occasions
	e := entering{make([]float64, t), make([]float64, t), make([]float64, t), make([]float64, t), 0}
	etas := make([]float64, t-1) // of the later occasions against the first
	for i, row := range s.people[group] {
		etas[i] = l.population().eta[row]
	}
	shares := fit.Shares(etas) // the reference stands last
	e.share[0] = shares[t-1]
	copy(e.share[1:], shares[:t-1])
	for i := range t {
		e.missed[i] = math.Exp(l.chain.detect.logQ[s.detect[group][i]])
		if i < t-1 {
			e.lasts[i] = math.Exp(l.Intervals[i] * l.chain.survive.logP[s.survive[group][i]])
		}
		e.alive[i] = e.share[i]
		if i > 0 {
			e.alive[i] += e.alive[i-1] * e.missed[i-1] * e.lasts[i-1]
		}
		e.never += e.alive[i] * e.missed[i] * (1 - e.lasts[i])
	}
	return e
}

func (s *superpopulation) log(l *laid, x, gradient []float64) float64 {
	value := 0.0
	for group := range s.cells {
		first, all := l.firsts(group)
		if all == 0 {
			continue
		}
		e := s.follow(l, group)
		for i, u := range first {
			if u > 0 {
				value += u * (math.Log(e.alive[i]) + l.chain.detect.logP[s.detect[group][i]])
			}
		}
		if l.model.GivenCaught {
			value -= all * math.Log1p(-e.never)
			s.push(l, group, e, first, all/(1-e.never))
			continue
		}
		unseen := math.Exp(x[s.at+group])
		ways, slope := fit.Permutations(unseen, all)
		value += ways + unseen*math.Log(e.never)
		if gradient != nil {
			gradient[s.at+group] += unseen * (slope + math.Log(e.never))
		}
		s.push(l, group, e, first, unseen/e.never)
	}
	return value
}

// push carries the slopes back along the course, last occasion first; weight is
// the slope by the chance of never being caught.
func (s *superpopulation) push(l *laid, group int, e entering, first []float64, weight float64) {
	survive, detect, people := l.chain.survive, l.chain.detect, l.population()
	later := 0.0 // slope by ψ of the next occasion
	slopes := make([]float64, l.occasions)
	mean := 0.0
	for i := l.occasions - 1; i >= 0; i-- {
		here := later*e.missed[i]*e.lasts[i] + weight*e.missed[i]*(1-e.lasts[i])
		if first[i] > 0 {
			here += first[i] / e.alive[i]
		}
		byMissed := e.alive[i] * (later*e.lasts[i] + weight*(1-e.lasts[i]))
		row := s.detect[group][i]
		detect.slope[row] += first[i]*(1-detect.p[row]) - byMissed*e.missed[i]*detect.p[row]
		if i < l.occasions-1 {
			row := s.survive[group][i]
			byLasts := e.alive[i] * e.missed[i] * (later - weight)
			survive.slope[row] += byLasts * e.lasts[i] * l.Intervals[i] * (1 - survive.p[row])
		}
		slopes[i] = here
		mean += here * e.share[i]
		later = here
	}
	for i, row := range s.people[group] {
		people.slope[row] += e.share[i+1] * (slopes[i+1] - mean)
	}
}

// report gives the superpopulation, the shares that entered, the animals that
// did so, and those here on each occasion, after the losses before it.
func (s *superpopulation) report(r *Result) {
	l := r.laid
	for group := range s.cells {
		_, all := l.firsts(group)
		add := func(to *[]fit.Estimate, name string, link fit.Link, of func(n float64, e entering) float64) {
			value := func(x []float64) float64 {
				l.predict(x)
				e := s.follow(l, group)
				return of(s.total(l, x, group, e), e)
			}
			*to = append(*to, r.Fit.Derive(name, value(r.Fit.X), r.differenced(value), link))
		}
		s.reportTotal(r, group)
		for i := range l.occasions {
			add(&r.Populated, l.named("entry", i+1, group), fit.Logit, func(_ float64, e entering) float64 { return e.share[i] })
		}
		for i := 1; i < l.occasions; i++ {
			add(&r.Populated, l.named("entered", i, group), fit.Log, func(n float64, e entering) float64 { return n * e.share[i] })
		}
		for i := range l.occasions {
			add(&r.N, l.named("N", i+1, group), fit.Log, func(n float64, e entering) float64 { return l.here(group, n, e, i) })
		}
		if all == 0 {
			r.Warnings = append(r.Warnings, l.named("superpopulation", 0, group)+": no animal was caught")
		}
	}
}

// total is N: a parameter, or what the chance of ever being caught implies.
func (s *superpopulation) total(l *laid, x []float64, group int, e entering) float64 {
	_, all := l.firsts(group)
	if l.model.GivenCaught {
		return all / (1 - e.never)
	}
	return all + math.Exp(x[s.at+group])
}

// reportTotal gives N. Given how many were caught, sampling adds to its error.
func (s *superpopulation) reportTotal(r *Result, group int) {
	l := r.laid
	_, all := l.firsts(group)
	total := func(x []float64) float64 {
		l.predict(x)
		return s.total(l, x, group, s.follow(l, group))
	}
	n, sampled := total(r.Fit.X), 0.0
	if l.model.GivenCaught && all > 0 {
		sampled = n * (n - all) / all
	}
	r.Populated = append(r.Populated, r.size(l.named("superpopulation", 0, group), n, all, sampled, r.differenced(total)))
}

// here is how many animals of a superpopulation are alive on an occasion.
func (l *laid) here(group int, n float64, e entering, occasion int) float64 {
	alive := n * e.share[0]
	for i := range occasion {
		alive = (alive-l.lost[group*l.occasions+i])*e.lasts[i] + n*e.share[i+1]
	}
	return alive
}

// predict fills the predictors' values.
func (l *laid) predict(x []float64) {
	for _, p := range l.predictors {
		p.predict(x)
	}
}
