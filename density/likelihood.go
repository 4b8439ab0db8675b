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
		cells := len(ly.density)
		ly.h, ly.slope = make([]float64, cells*len(ly.slots)), make([]float64, cells*len(ly.slots))
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
	var next atomic.Int64
	var workers sync.WaitGroup
	run := func() {
		d := &desk{}
		for {
			i := int(next.Add(1)) - 1
			if i >= len(l.blocks) {
				return
			}
			d.fit(&l.layers[l.blocks[i].layer], l.survey)
			work(&l.blocks[i], d)
		}
	}
	for range l.workers - 1 {
		workers.Go(run)
	}
	run()
	workers.Wait()
}

// A desk is what one worker needs for a cell.
type desk struct {
	left   []float64    // share of detection left, by trap
	fall   []float64    // by trap
	total  []float64    // hazard, by pattern
	before [2][]float64 // hazard of all nights before one, by whether caught before
	catch  []float64    // by kind of catch
	crowd  []float64    // what being held adds, by pattern
	more   []float64    // its slope
	logH   []float64    // ln of the hazard of a slot that caught an animal
	byH    []float64    // slopes by hazard of a pattern
	byOwn  []float64    // by hazard of a slot
	byLog  []float64    // by ln of it
	bySum  [2][]float64 // by before
}

func (d *desk) fit(ly *layer, s Survey) {
	traps, nights := len(s[ly.trip].Traps), s[ly.trip].nights()
	size := func(x *[]float64, n int) {
		if cap(*x) < n {
			*x = make([]float64, n)
		}
		*x = (*x)[:n]
	}
	size(&d.left, traps)
	size(&d.fall, traps)
	size(&d.total, len(ly.patterns))
	size(&d.byH, len(ly.patterns))
	size(&d.crowd, len(ly.patterns))
	size(&d.more, len(ly.patterns))
	size(&d.catch, len(ly.catches))
	size(&d.logH, len(ly.slots))
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

// predict takes the parameters to the rows.
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
}

// hazards fills the desk for one cell: what is left of detection at each trap,
// the hazard of each slot and pattern, and of all nights up to each.
func (l *laid) hazards(ly *layer, cell int, d *desk) (h, slope []float64) {
	s, shape := &l.scratch, l.model.Shape
	traps := len(d.left)
	sigma := s.sigma[ly.move]
	for k, d2 := range l.trips[ly.trip].d2[cell*traps : (cell+1)*traps] {
		d.fall[k], d.left[k] = shape.fall(d2, sigma), 0
		if d.fall[k] < -negligible {
			d.left[k] = math.Exp(-d.fall[k])
		}
	}
	n := len(ly.slots)
	h, slope = ly.h[cell*n:(cell+1)*n], ly.slope[cell*n:(cell+1)*n]
	for i, sl := range ly.slots {
		h[i], slope[i] = shape.hazard(s.starts[sl.row], d.left[sl.trap])
	}
	l.sum(ly, h, d)
	return h, slope
}

// sum adds the hazards of patterns and nights.
func (l *laid) sum(ly *layer, h []float64, d *desk) {
	for p, pat := range ly.patterns {
		total := 0.0
		for i, slot := range pat.slots {
			total += float64(pat.effort[i] * h[slot])
		}
		d.total[p] = total
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
		h, _ := l.hazards(ly, cell, d)
		logD := s.logD[ly.density[cell]]
		there, never := math.Exp(logD)*ha, d.before[0][len(d.before[0])-1]
		b.chance -= there * math.Expm1(-never)
		b.missed += there * math.Exp(-never)
		if !s.weigh {
			continue
		}
		l.catches(ly, h, d)
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
func (l *laid) catches(ly *layer, h []float64, d *desk) {
	for _, slot := range ly.used {
		sl := ly.slots[slot]
		d.logH[slot] = logHazard(h[slot], l.scratch.starts[sl.row], d.fall[sl.trap])
	}
	l.crowds(d)
	for i, c := range ly.catches {
		value := c.logEffort + d.logH[c.slot]
		if l.model.Traps == Proximity {
			more, _ := recorded(c.effort * h[c.slot])
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
