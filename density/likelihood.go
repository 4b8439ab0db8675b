package density

import (
	"math"
	"sync"
	"sync/atomic"

	"dawnround/fit"
)

// cellsInBlock is how many cells one worker takes at a time. Blocks are added
// up in their order, so that the number of workers changes nothing.
const cellsInBlock = 64

// A stretch is some distances of a layer, of which one worker finds the hazards.
type stretch struct{ layer, from, to int }

const farInStretch = 512

// A block is some cells of a layer, with what they contribute.
type block struct {
	layer, from, to int
	most, sum       []float64 // by member: the largest ln and the sum above it
	chance          float64   // animals expected to be caught
	missed          float64   // animals expected not to be
	density         []float64 // slopes by parameter of density
	detect          []float64 // slopes by row of detection
	move            float64   // slope by ln σ
}

// scratch is what an evaluation writes to.
type scratch struct {
	logD   []float64 // by row
	starts []start   // by row
	sigma  []float64 // by row
	eta    []float64
	lives  []float64 // ln of the chance of what each life shows, density included
	caught []float64 // animals expected to be caught, by trip
	missed []float64 // and not
	pull   []float64 // slope by animals expected to be caught, by trip
	push   []float64 // slope by animals expected to be there, by trip
	weigh  bool      // whether the lives count
	detect []float64
	move   []float64
}

// ready makes the blocks and what they write to.
func (l *laid) ready() {
	for i := range l.layers {
		ly := &l.layers[i]
		cells, far := len(ly.density), len(l.trips[ly.trip].far)
		ly.fall = make([]float64, far)
		for _, table := range []*[]float64{&ly.h, &ly.slope, &ly.logH} {
			*table = make([]float64, far*len(ly.rows))
		}
		for from := 0; from < far; from += farInStretch {
			l.stretches = append(l.stretches, stretch{i, from, min(far, from+farInStretch)})
		}
		ly.log = make([]float64, cells*len(ly.members))
		for from := 0; from < cells; from += cellsInBlock {
			l.blocks = append(l.blocks, block{
				layer: i, from: from, to: min(cells, from+cellsInBlock),
				most: make([]float64, len(ly.members)), sum: make([]float64, len(ly.members)),
				density: make([]float64, len(l.density.design.Names)), detect: make([]float64, len(l.detect.x)),
			})
		}
	}
	l.scratch = scratch{
		logD: make([]float64, len(l.density.x)), starts: make([]start, len(l.detect.x)), sigma: make([]float64, len(l.move.x)),
		eta: make([]float64, max(len(l.detect.x), len(l.move.x))), lives: make([]float64, len(l.lives)),
		caught: make([]float64, len(l.survey)), missed: make([]float64, len(l.survey)),
		pull: make([]float64, len(l.survey)), push: make([]float64, len(l.survey)),
		detect: make([]float64, len(l.detect.x)), move: make([]float64, len(l.move.x)),
	}
}

// each does some work for every block.
func (l *laid) each(work func(*block, *desk)) {
	parallel(l.workers, len(l.blocks), func(i int, d *desk) {
		d.fit(&l.layers[l.blocks[i].layer], l.survey)
		work(&l.blocks[i], d)
	})
}

// parallel does work numbered from 0, by so many workers.
func parallel(workers, works int, work func(i int, d *desk)) {
	var next atomic.Int64
	var group sync.WaitGroup
	run := func() {
		d := &desk{}
		for i := int(next.Add(1)) - 1; i < works; i = int(next.Add(1)) - 1 {
			work(i, d)
		}
	}
	for range workers - 1 {
		group.Go(run)
	}
	run()
	group.Wait()
}

// A desk is what one worker needs for a cell.
type desk struct {
	at     []int        // place in the layer's tables, by slot
	h      []float64    // hazard, by slot
	total  []float64    // hazard, by pattern
	before [2][]float64 // hazard of all nights before one, by whether caught before
	catch  []float64    // by kind of catch
	crowd  []float64    // what being held adds, by pattern
	more   []float64    // its slope
	byH    []float64    // slopes by hazard of a pattern
	byOwn  []float64    // by hazard of a slot
	byLog  []float64    // by ln of it
	bySum  [2][]float64 // by before
}

func (d *desk) fit(ly *layer, s Survey) {
	nights := s[ly.trip].nights()
	if cap(d.at) < len(ly.slots) {
		d.at = make([]int, len(ly.slots))
	}
	d.at = d.at[:len(ly.slots)]
	size := func(x *[]float64, n int) {
		if cap(*x) < n {
			*x = make([]float64, n)
		}
		*x = (*x)[:n]
	}
	size(&d.h, len(ly.slots))
	size(&d.total, len(ly.patterns))
	size(&d.byH, len(ly.patterns))
	size(&d.crowd, len(ly.patterns))
	size(&d.more, len(ly.patterns))
	size(&d.catch, len(ly.catches))
	size(&d.byOwn, len(ly.slots))
	size(&d.byLog, len(ly.slots))
	for after := range 2 {
		size(&d.before[after], nights+1)
		size(&d.bySum[after], nights+1)
	}
}

// log is the log-likelihood, and its gradient where that is asked for.
func (l *laid) log(x, gradient []float64) float64 {
	s := &l.scratch
	s.weigh = true
	l.predict(x)
	l.each(l.forward)
	value := l.gather()
	if gradient != nil {
		l.slopes(gradient)
	}
	return value
}

// predict takes the parameters to the rows, and to the hazards at all distances.
func (l *laid) predict(x []float64) {
	s := &l.scratch
	l.density.eta(x, s.logD)
	l.detect.eta(x, s.eta)
	for i := range s.starts {
		s.starts[i] = l.model.Shape.start(s.eta[i])
	}
	l.move.eta(x, s.eta)
	for i := range s.sigma {
		s.sigma[i] = math.Exp(s.eta[i])
	}
	parallel(l.workers, len(l.stretches), func(i int, _ *desk) { l.hazards(l.stretches[i]) })
}

// hazards fills in a stretch of a layer's tables: hazards and what goes with
// them, by row of detection and distance.
func (l *laid) hazards(st stretch) {
	ly, shape := &l.layers[st.layer], l.model.Shape
	sigma, far := l.scratch.sigma[ly.move], l.trips[ly.trip].far
	for i := st.from; i < st.to; i++ {
		fall, left := shape.fall(far[i], sigma), 0.0
		if fall < -negligible {
			left = math.Exp(-fall)
		}
		ly.fall[i] = fall
		for r, row := range ly.rows {
			at := r*len(far) + i
			ly.h[at], ly.slope[at] = shape.hazard(l.scratch.starts[row], left)
			ly.logH[at] = logHazard(ly.h[at], l.scratch.starts[row], fall)
		}
	}
}

// look fills the desk for one cell: where the layer's tables have each slot, the
// hazards of slots and patterns, and of all nights up to each.
func (l *laid) look(ly *layer, cell int, d *desk) {
	tr := &l.trips[ly.trip]
	away := tr.at[cell*tr.traps : (cell+1)*tr.traps]
	for i, sl := range ly.slots {
		at := sl.row*len(tr.far) + int(away[sl.trap])
		d.at[i], d.h[i] = at, ly.h[at]
	}
	for p, pat := range ly.patterns {
		total := 0.0
		if pat.base >= 0 {
			total = d.total[pat.base]
		}
		for i, slot := range pat.slots {
			total += float64(pat.effort[i] * d.h[slot])
		}
		d.total[p] = math.Max(0, total)
	}
	for after, at := range ly.at {
		d.before[after][0] = 0
		for night, p := range at {
			d.before[after][night+1] = d.before[after][night] + d.total[p]
		}
	}
}

// forward finds what a block of cells contributes.
func (l *laid) forward(b *block, d *desk) {
	s, ly := &l.scratch, &l.layers[b.layer]
	members := len(ly.members)
	for m := range b.most {
		b.most[m], b.sum[m] = math.Inf(-1), 0
	}
	b.chance, b.missed = 0, 0
	ha := l.survey[ly.trip].Space.Ha
	for cell := b.from; cell < b.to; cell++ {
		l.look(ly, cell, d)
		logD := s.logD[ly.density[cell]]
		there, never := math.Exp(logD)*ha, d.before[0][len(d.before[0])-1]
		b.chance -= there * math.Expm1(-never)
		b.missed += there * math.Exp(-never)
		if !s.weigh {
			continue
		}
		l.catches(ly, d)
		row := ly.log[cell*members : (cell+1)*members]
		for m, one := range ly.members {
			value := logD - d.exposed(one)
			for _, c := range one.catches {
				value += d.catch[c]
			}
			row[m] = value
			b.most[m] = math.Max(b.most[m], value)
		}
	}
	if s.weigh {
		b.add(ly, members)
	}
}

// negligible is a difference of logarithms beyond which a part is lost in the
// rounding of the whole.
const negligible = -40

// add sums the chances of the block's cells above the largest.
func (b *block) add(ly *layer, members int) {
	for cell := b.from; cell < b.to; cell++ {
		for m, value := range ly.log[cell*members : (cell+1)*members] {
			if value -= b.most[m]; value > negligible {
				b.sum[m] += math.Exp(value)
			}
		}
	}
}

// exposed is the hazard an animal met on all its nights.
func (d *desk) exposed(m member) float64 {
	return d.before[0][m.first+1] + d.before[1][m.end] - d.before[1][m.first+1]
}

// catches fills in ln of what each kind of capture adds to the hazards not met.
func (l *laid) catches(ly *layer, d *desk) {
	l.crowds(d)
	for i, c := range ly.catches {
		value := c.logEffort + ly.logH[d.at[c.slot]]
		if l.model.Traps == Proximity {
			more, _ := recorded(c.effort * d.h[c.slot])
			d.catch[i] = value + more
			continue
		}
		d.catch[i] = value + d.crowd[c.pattern]
	}
}

// crowds fills in what being held by one trap of a pattern adds.
func (l *laid) crowds(d *desk) {
	if l.model.Traps == Proximity {
		return
	}
	for p, total := range d.total {
		d.crowd[p], d.more[p] = crowded(total)
	}
}

// gather adds the blocks up and gives the log-likelihood. It leaves behind the
// slopes by the numbers of animals expected to be there and to be caught.
func (l *laid) gather() float64 {
	s := &l.scratch
	l.masses()
	l.gatherLives()
	total := 0.0
	for t, tr := range l.trips {
		n := float64(tr.to - tr.from)
		for _, value := range s.lives[tr.from:tr.to] {
			total += value
		}
		var value float64
		value, s.pull[t], s.push[t] = l.model.Count.of(n, s.caught[t], s.missed[t])
		total += value
	}
	return total
}

// masses adds up the animals expected to be caught and missed.
func (l *laid) masses() {
	s := &l.scratch
	clear(s.caught)
	clear(s.missed)
	for i := range l.blocks {
		b := &l.blocks[i]
		t := l.layers[b.layer].trip
		s.caught[t] += b.chance
		s.missed[t] += b.missed
	}
}

// gatherLives adds the chances of each life over all cells and groups.
func (l *laid) gatherLives() {
	s := &l.scratch
	most := make([]float64, len(l.lives))
	for i := range most {
		most[i] = math.Inf(-1)
		s.lives[i] = 0
	}
	each := func(do func(life int, b *block, m int)) {
		for i := range l.blocks {
			b := &l.blocks[i]
			for m, one := range l.layers[b.layer].members {
				do(one.life, b, m)
			}
		}
	}
	each(func(life int, b *block, m int) { most[life] = math.Max(most[life], b.most[m]) })
	each(func(life int, b *block, m int) {
		if b.sum[m] > 0 {
			s.lives[life] += b.sum[m] * math.Exp(b.most[m]-most[life])
		}
	})
	for i := range s.lives {
		s.lives[i] = most[i] + math.Log(s.lives[i])
	}
	for t, tr := range l.trips {
		ha := math.Log(l.survey[t].Space.Ha)
		for i := tr.from; i < tr.to; i++ {
			s.lives[i] += ha
		}
	}
}

// of is what a count adds to the log-likelihood beside the lives, with the
// slopes by the animals expected to be caught, and by those expected to be
// there. The Poisson keeps −ln n!, the binomial its coefficient. Fewer animals
// than were caught cannot be there: below that number the binomial is level.
func (c Count) of(n, caught, missed float64) (value, byCaught, byThere float64) {
	switch there := caught + missed; c {
	case Conditional:
		return -n * math.Log(caught), -n / caught, 0
	case Binomial:
		unseen := math.Max(0, there-n)
		factorial, _ := math.Lgamma(n + 1)
		ways, slope := fit.Permutations(unseen, n)
		never := math.Log(missed / there)
		value = ways - factorial - n*math.Log(there) + unseen*never
		if unseen == 0 {
			return value, 0, -n / there
		}
		return value, -unseen / missed, slope - n/there + never + unseen*(1/missed-1/there)
	default:
		factorial, _ := math.Lgamma(n + 1)
		return -caught - factorial, -1, 0
	}
}
