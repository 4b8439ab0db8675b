package density

import (
	"math"
	"slices"
	"strings"

	"dawnround/fit"
)

// starts are places to climb from: movement as the distances between captures
// of an animal have it, and half and twice that, with the detection and the
// density that fit it. Where the group of some animals is not known, groups are
// also set apart both ways.
func (l *laid) starts() [][]float64 {
	moved := l.moved()
	var starts [][]float64
	for _, factor := range []float64{1, 0.5, 2} {
		starts = append(starts, l.startAt(moved*factor))
	}
	if l.unknown() == 0 {
		return starts
	}
	for _, apart := range []float64{1, -1} {
		x := slices.Clone(starts[0])
		for i, name := range l.names() {
			if strings.HasPrefix(name, detectionName+" group[") || strings.HasPrefix(name, moveName+" group[") {
				x[i] = apart
			}
		}
		starts = append(starts, x)
	}
	return starts
}

// moved is the root mean square of the distances, along one axis, between an
// animal's captures and their mean; the spacing of the traps where none was
// caught twice, and never less than half of it.
func (l *laid) moved() float64 {
	spacing := math.Inf(1)
	sum, degrees := 0.0, 0.0
	for t := range l.survey {
		spacing = math.Min(spacing, spacingM(l.survey[t].Traps))
	}
	if math.IsInf(spacing, 1) || spacing == 0 {
		spacing = l.survey[0].Space.SideM
	}
	for _, one := range l.lives {
		var x, y float64
		n := float64(len(one.caught))
		for _, c := range one.caught {
			at := l.survey[one.trip].Traps[c.Trap].At
			x, y = x+at.X/n, y+at.Y/n
		}
		for _, c := range one.caught {
			at := l.survey[one.trip].Traps[c.Trap].At
			sum += (at.X-x)*(at.X-x) + (at.Y-y)*(at.Y-y)
		}
		degrees += 2 * (n - 1)
	}
	if degrees == 0 {
		return spacing
	}
	return math.Max(spacing/2, math.Sqrt(sum/degrees))
}

// startAt is a start with a given movement.
func (l *laid) startAt(sigma float64) []float64 {
	x := make([]float64, len(l.names()))
	nights, captures, traps := 0.0, 0.0, 0.0
	for _, one := range l.lives {
		nights += float64(one.end)
		captures += float64(len(one.caught))
		for _, c := range one.caught {
			traps += l.reach(one.trip, c.Trap, sigma) / float64(len(one.caught))
		}
	}
	rate := math.Min(0.9, captures/nights) // of an animal that was caught, a night
	chance := -math.Expm1(math.Log1p(-rate) * float64(len(l.lives)) / traps)
	x[l.move.at] = math.Log(sigma)
	x[l.detect.at] = l.model.Shape.link().Eta(math.Min(0.9, math.Max(1e-4, chance)))
	if l.model.Count == Conditional {
		return x
	}
	l.expect(x) // at one animal per hectare
	caught := 0.0
	for _, c := range l.scratch.caught {
		caught += c
	}
	x[0] = math.Log(float64(len(l.lives)) / caught)
	if l.model.Count == Binomial {
		x[0] = math.Max(x[0], l.fewest()+0.1)
	}
	return x
}

// fewest is ln of the density below which a trip has fewer animals than it
// caught.
func (l *laid) fewest() float64 {
	most := 0.0
	for t, s := range l.survey {
		most = math.Max(most, l.caughtOn(t)/s.Space.AreaHa()/float64(len(l.groups)))
	}
	return math.Log(most)
}

// reach is how many traps, in traps at no distance, an animal at one has about it.
func (l *laid) reach(t, k int, sigma float64) float64 {
	sum := 0.0
	here := l.survey[t].Traps[k].At
	for _, trap := range l.survey[t].Traps {
		x, y := trap.At.X-here.X, trap.At.Y-here.Y
		sum += math.Exp(-l.model.Shape.fall(x*x+y*y, sigma))
	}
	return sum
}

// spacingM is the median distance from a trap to its nearest neighbour; 0 for a
// trap alone.
func spacingM(traps []Trap) float64 {
	var nearest []float64
	for i, a := range traps {
		least := math.Inf(1)
		for j, b := range traps {
			if d := math.Hypot(a.At.X-b.At.X, a.At.Y-b.At.Y); i != j && d > 0 {
				least = math.Min(least, d)
			}
		}
		if !math.IsInf(least, 1) {
			nearest = append(nearest, least)
		}
	}
	if len(nearest) == 0 {
		return 0
	}
	slices.Sort(nearest)
	return fit.Quantile(nearest, 0.5)
}
