package density

import (
	"math"
	"slices"
)

// slopes goes back over the cells with the derivatives left by gather, and
// writes those by the parameters.
func (l *laid) slopes(gradient []float64) {
	s := &l.scratch
	l.each(l.backward)
	clear(gradient)
	clear(s.detect)
	clear(s.move)
	for i := range l.blocks {
		b := &l.blocks[i]
		for j, v := range b.density[l.density.skip:] {
			gradient[j] += v
		}
		for row, v := range b.detect {
			s.detect[row] += v
		}
		s.move[l.layers[b.layer].move] += b.move
	}
	for row := range s.detect {
		s.detect[row] *= s.starts[row].q
	}
	l.detect.collect(s.detect, gradient)
	l.move.collect(s.move, gradient)
}

// backward finds the slopes of a block of cells.
func (l *laid) backward(b *block, d *desk) {
	s, ly := &l.scratch, &l.layers[b.layer]
	clear(b.density)
	clear(b.detect)
	b.move = 0
	ha := l.survey[ly.trip].Space.Ha
	for cell := b.from; cell < b.to; cell++ {
		l.look(ly, cell, d)
		d.clear()
		row := ly.density[cell]
		there, nights := math.Exp(s.logD[row])*ha, len(d.before[0])-1
		never := math.Exp(-d.before[0][nights])
		byDensity := there * (s.push[ly.trip] - s.pull[ly.trip]*math.Expm1(-d.before[0][nights]))
		d.bySum[0][nights] += s.pull[ly.trip] * there * never
		if s.weigh {
			byDensity += l.weigh(ly, cell, d)
		}
		for j, v := range l.density.x[row] {
			b.density[j] += float64(byDensity * v)
		}
		d.patterns(ly)
		l.captures(ly, d)
		l.traps(ly, b, d)
	}
}

func (d *desk) clear() {
	clear(d.byH)
	clear(d.byOwn)
	clear(d.byLog)
	clear(d.catch)
	clear(d.bySum[0])
	clear(d.bySum[1])
}

// weigh gives each life the share of its chance that lies in this cell; shares
// become slopes by hazards and catches. It returns the sum of the shares.
func (l *laid) weigh(ly *layer, cell int, d *desk) float64 {
	sum, members := 0.0, len(ly.members)
	ha := math.Log(l.survey[ly.trip].Space.Ha)
	for m, value := range ly.log[cell*members : (cell+1)*members] {
		one := &ly.members[m]
		value += ha - l.scratch.lives[one.life]
		if !(value > negligible) {
			continue
		}
		w := math.Exp(value)
		sum += w
		d.bySum[0][one.first+1] -= w
		d.bySum[1][one.end] -= w
		d.bySum[1][one.first+1] += w
		for _, c := range one.catches {
			d.catch[c] += w
		}
	}
	return sum
}

// patterns turns slopes by the hazard of all nights before one into slopes by
// the hazards of patterns.
func (d *desk) patterns(ly *layer) {
	for after, at := range ly.at {
		sum := 0.0
		for night := len(at) - 1; night >= 0; night-- {
			sum += d.bySum[after][night+1]
			d.byH[at[night]] += sum
		}
	}
}

// captures turns slopes by the kinds of capture into slopes by the hazards they
// rest on.
func (l *laid) captures(ly *layer, d *desk) {
	l.crowds(d)
	for i, c := range ly.catches {
		w := d.catch[i]
		switch {
		case w == 0:
		case l.model.Traps == Proximity:
			_, slope := recorded(c.effort * d.h[c.slot])
			d.byLog[c.slot] += w * slope
		default:
			d.byLog[c.slot] += w
			d.byH[c.pattern] += w * d.more[c.pattern]
		}
	}
}

// traps turns slopes by hazards into slopes by rows of detection and by ln σ.
func (l *laid) traps(ly *layer, b *block, d *desk) {
	for p, pat := range slices.Backward(ly.patterns) {
		by := d.byH[p]
		if pat.base >= 0 {
			d.byH[pat.base] += by
		}
		for i, slot := range pat.slots {
			d.byOwn[slot] += float64(by * pat.effort[i])
		}
	}
	steep, far := l.model.Shape.steep(), len(ly.fall)
	for i, sl := range ly.slots {
		at := d.at[i]
		by := d.byOwn[i] * ly.slope[at]
		if d.byLog[i] != 0 {
			share := 1.0 // of ln h by the ln of what is left, where h is lost
			if d.h[i] >= tiny {
				share = ly.slope[at] / d.h[i]
			}
			by += d.byLog[i] * share
		}
		b.detect[ly.rows[sl.row]] += by
		b.move += by * steep * ly.fall[at-sl.row*far]
	}
}
