package density

import "math"

// Surface is where the animals of a trip are, given what was caught: for each
// cell of its state space the centres expected there, per hectare. Those caught
// lie where their captures put them; those missed, where the density has animals
// and the traps seldom reach. Under Conditional the density is the one derived.
// It is nil where density is not estimable.
func (r Result) Surface(trip int) []float64 {
	if !finite(r.D.Value) {
		return nil
	}
	l := r.laid
	out := make([]float64, len(l.survey[trip].Space.Cells))
	l.centres(r.Fit.X, trip, func(cell, _ int, share float64) { out[cell] += share })
	ha := l.survey[trip].Space.Ha
	scale := r.scale(trip)
	for i := range l.layers {
		ly := &l.layers[i]
		if ly.trip != trip {
			continue
		}
		for cell := range out {
			out[cell] += scale * math.Exp(l.scratch.logD[ly.density[cell]]) * ha * (1 - l.everAt(ly, cell))
		}
	}
	for cell := range out {
		out[cell] /= ha
	}
	return out
}

// scale turns relative density into density.
func (r Result) scale(trip int) float64 {
	if r.Model.Count != Conditional {
		return 1
	}
	return r.laid.caughtOn(trip) / r.laid.scratch.caught[trip]
}

// A Centre is where one animal lives, as far as its captures tell.
type Centre struct {
	Animal  string
	At      Point   // the mean of where it may be
	SpreadM float64 // root mean square distance from there
}

// Centres are those of the animals caught on a trip, in their order.
func (r Result) Centres(trip int) []Centre {
	l := r.laid
	if len(r.Fit.X) == 0 {
		return nil
	}
	s := l.survey[trip]
	out := make([]Centre, len(s.Animals))
	square := make([]float64, len(out))
	l.centres(r.Fit.X, trip, func(cell, animal int, share float64) {
		at := s.Space.Cells[cell]
		out[animal].At.X += share * at.X
		out[animal].At.Y += share * at.Y
		square[animal] += share * (at.X*at.X + at.Y*at.Y)
	})
	for i := range out {
		out[i].Animal = s.animal(i)
		at := out[i].At
		out[i].SpreadM = math.Sqrt(math.Max(0, square[i]-at.X*at.X-at.Y*at.Y))
	}
	return out
}

// centres gives every cell's share of every animal of a trip.
func (l *laid) centres(x []float64, trip int, give func(cell, animal int, share float64)) {
	l.log(x, nil)
	ha := math.Log(l.survey[trip].Space.Ha)
	for i := range l.layers {
		ly := &l.layers[i]
		if ly.trip != trip {
			continue
		}
		for cell := range ly.density {
			for m, value := range ly.log[cell*len(ly.members) : (cell+1)*len(ly.members)] {
				life := ly.members[m].life
				give(cell, life-l.trips[trip].from, math.Exp(value+ha-l.scratch.lives[life]))
			}
		}
	}
}
