package survival

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"dawnround/fit"
)

// Robust are histories of several nights in each primary period, between which
// animals may come, die and go, and during which the population is taken to be
// closed (Pollock 1982, Journal of Wildlife Management 46:752–757; Kendall,
// Nichols & Hines 1997, Ecology 78:563–578).
type Robust struct {
	// Histories have a column for each night. Intervals and ByInterval are
	// between periods, ByOccasion is by night; there are no States and no
	// Changing numbers.
	Histories
	// Period is each night's, counted from 1.
	Period []int
}

// Emigration says how animals may be away for whole periods and come back.
type Emigration string

// The ways of being away. Survival is the same here and away.
const (
	Stay   Emigration = ""       // never
	Random Emigration = "random" // with a chance alike for those here and those away
	Markov Emigration = "markov" // with a chance of its own for those here and those away before
)

// The states of the robust design.
const (
	here = 0
	away = 1
)

// A visit is an animal caught in a period: on which nights.
type visit struct {
	row, period int
	count       float64
	caught      []bool // by night, up to its loss
}

func (r Robust) survey() (survey, error) {
	nights, err := r.periods()
	if err != nil {
		return survey{}, err
	}
	pooled := r.Histories
	pooled.ByOccasion, pooled.Caught = nil, make([][]int, len(r.Caught))
	for row, caught := range r.Caught {
		if len(caught) != len(r.Period) {
			return survey{}, fmt.Errorf("history %d has %d nights, the periods have %d: give every history the same nights", row+1, len(caught), len(r.Period))
		}
		pooled.Caught[row] = make([]int, len(nights))
		for night, state := range caught {
			at := r.Period[night] - 1
			pooled.Caught[row][at] = max(pooled.Caught[row][at], state)
		}
	}
	s, err := pooled.survey()
	if err != nil {
		return s, err
	}
	if err := checkColumns(r.ByOccasion, len(r.Period), "night"); err != nil {
		return s, err
	}
	s.ByOccasion, s.nights = r.ByOccasion, nights
	for row := range r.Caught {
		s.visits = append(s.visits, r.visits(row, nights)...)
	}
	return s, nil
}

// periods lists the nights of each period.
func (r Robust) periods() ([][]int, error) {
	if r.States != nil || r.Changing != nil {
		return nil, fmt.Errorf("the robust design is built for one state, without changing numbers of animals: leave those out")
	}
	var nights [][]int
	for night, period := range r.Period {
		switch period {
		case len(nights):
		case len(nights) + 1:
			nights = append(nights, nil)
		default:
			return nil, fmt.Errorf("night %d is in period %d: expected %d or %d", night+1, period, max(1, len(nights)), len(nights)+1)
		}
		if period == 0 {
			return nil, fmt.Errorf("night %d is in period 0: periods count from 1", night+1)
		}
		nights[period-1] = append(nights[period-1], night)
	}
	if len(nights) == 0 {
		return nil, fmt.Errorf("no periods: say of every night in which primary period it was")
	}
	return nights, nil
}

func (r Robust) visits(row int, periods [][]int) []visit {
	var out []visit
	last := never
	for night, state := range r.Caught[row] {
		if state > 0 {
			last = night
		}
	}
	for period, nights := range periods {
		v := visit{row: row, period: period, count: r.count(row)}
		for _, night := range nights {
			if !r.lost(row) || night <= last {
				v.caught = append(v.caught, r.Caught[row][night] > 0)
			}
		}
		if slices.Contains(v.caught, true) && v.count > 0 {
			out = append(out, v)
		}
	}
	return out
}

// emigrate readies a model of the robust design: the nights within periods as a
// part of the likelihood, and away as a hidden state.
func (l *laid) emigrate() error {
	m := l.model
	switch {
	case l.nights == nil && m.Emigration != Stay:
		return fmt.Errorf("%s emigration: give the nights of each primary period; without them being away cannot be told from not being caught", m.Emigration)
	case l.nights == nil:
		return nil
	}
	l.parts = append(l.parts, &within{})
	effects := m.Emigrate
	switch m.Emigration {
	case Stay:
		return nil
	case Random:
	case Markov:
		l.states = []string{"here", "away"}
		if len(effects) == 0 {
			effects = []string{"state"}
		}
	default:
		return fmt.Errorf("emigration %q: expected none, %s or %s", m.Emigration, Random, Markov)
	}
	l.chain.states = 2
	l.chain.move = newPredictor("emigration", fit.Logit, effects, l.survey)
	l.predictors = append(l.predictors, l.chain.move)
	return nil
}

// within is what the nights of a period say of animals caught in it: the chance
// of the nights, given that it was caught at all (Huggins 1989). Nights are
// counted together by row.
type within struct {
	visits []visit // pooled
	cells  [][]int // by visit: of each night
	unseen [][]int // by visit: of each night, were it not caught before
	caught []float64
	missed []float64
	ever   []ever
}

// An ever is animals caught in a period, and the rows of all its nights.
type ever struct {
	period, group int
	count         float64
	rows          []int
}

func (w *within) place(l *laid) {
	alike := map[string]int{}
	for _, v := range l.visits {
		numbers := []int{v.period, l.group[v.row], l.chain.detect.kindOf[v.row]}
		for _, caught := range v.caught {
			numbers = append(numbers, truth(caught))
		}
		if at, ok := alike[key(numbers...)]; ok {
			w.visits[at].count += v.count
			continue
		}
		alike[key(numbers...)] = len(w.visits)
		w.visits = append(w.visits, v)
		c := cell{who: v.row, when: v.period}
		w.unseen = append(w.unseen, l.occasion(c))
		var cells []int
		c.missed = true
		for k, caught := range v.caught {
			c.when = l.nights[v.period][k]
			cells = append(cells, l.chain.detect.place(c))
			c.missed = c.missed && !caught
		}
		w.cells = append(w.cells, cells)
	}
}

func (w *within) keep(l *laid, _ int) []string {
	detect := l.chain.detect
	w.caught, w.missed = make([]float64, len(detect.x)), make([]float64, len(detect.x))
	known := map[string]int{}
	for i, v := range w.visits {
		for k, caught := range v.caught {
			row := detect.rowOf[w.cells[i][k]]
			if caught {
				w.caught[row] += v.count
			} else {
				w.missed[row] += v.count
			}
		}
		e := ever{period: v.period, group: l.group[v.row]}
		for _, c := range w.unseen[i] {
			e.rows = append(e.rows, detect.rowOf[c])
		}
		name := key(append([]int{e.period, e.group}, e.rows...)...)
		at, ok := known[name]
		if !ok {
			at = len(w.ever)
			known[name] = at
			w.ever = append(w.ever, e)
		}
		w.ever[at].count += v.count
	}
	return nil
}

func (w *within) start(*laid, []float64) {}

func (w *within) log(l *laid, _, gradient []float64) float64 {
	d := l.chain.detect
	value := 0.0
	for row := range w.caught {
		if w.caught[row] > 0 {
			value += w.caught[row] * d.logP[row]
		}
		if w.missed[row] > 0 {
			value += w.missed[row] * d.logQ[row]
		}
		d.slope[row] += w.caught[row] - (w.caught[row]+w.missed[row])*d.p[row]
	}
	for _, e := range w.ever {
		never := e.never(d)
		value -= e.count * math.Log(-math.Expm1(never))
		for _, row := range e.rows {
			d.slope[row] -= e.count * d.p[row] / math.Expm1(-never)
		}
	}
	return value
}

// never is the log chance of being here and caught on none of the nights.
func (e ever) never(d *predictor) float64 {
	sum := 0.0
	for _, row := range e.rows {
		sum += d.logQ[row]
	}
	return sum
}

// report gives the animals here in each period: Σ 1/(chance of being caught at
// all), with the error of sampling Σ (1−p*)/p*² and that of the parameters
// (Huggins 1989; Horvitz & Thompson 1952). Intervals are log-normal on those not
// caught.
func (w *within) report(r *Result) {
	r.laid.log(r.Fit.X, nil)
	d := r.laid.chain.detect
	for period := range r.laid.nights {
		for group := range max(1, len(r.laid.groups)) {
			name := "N[" + strconv.Itoa(period+1) + "]"
			if r.laid.groups != nil {
				name = fmt.Sprintf("N[%d,%s]", period+1, r.laid.groups[group])
			}
			n, caught, sampled := 0.0, 0.0, 0.0
			gradient := make([]float64, len(r.Fit.X))
			for _, e := range w.ever {
				if e.period != period || e.group != group {
					continue
				}
				q := math.Exp(e.never(d))
				p := -math.Expm1(e.never(d))
				n += e.count / p
				caught += e.count
				sampled += e.count * q / (p * p)
				for _, row := range e.rows {
					for j, v := range d.x[row] {
						gradient[d.at+j] -= e.count / (p * p) * q * d.p[row] * v
					}
				}
			}
			r.N = append(r.N, r.size(name, n, caught, sampled, gradient))
		}
	}
}
