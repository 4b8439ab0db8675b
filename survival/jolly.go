package survival

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// Samples are the counts that the Jolly–Seber closed forms need of every
// occasion, in the letters of Jolly (1965) and Seber (1982, The Estimation of
// Animal Abundance, chapter 5).
type Samples struct {
	Caught   []int `json:"caught"`   // n
	Marked   []int `json:"marked"`   // m: of those caught, marked before
	Released []int `json:"released"` // s
	Again    []int `json:"again"`    // r: of those released, caught again later
	Between  []int `json:"between"`  // z: caught before and after, but not on this occasion
}

// Samples counts the animals on every occasion; states and groups are taken
// together.
func (h Histories) Samples() (Samples, error) {
	s, err := h.survey()
	if err != nil {
		return Samples{}, err
	}
	out := newSamples(s.occasions)
	for at := range s.caught {
		j := at % s.occasions
		out.Caught[j] += int(s.caught[at])
		out.Released[j] += int(s.caught[at] - s.lost[at])
	}
	out.recount(s.releases)
	return out, nil
}

// Samples counts the animals on every occasion, given how many were caught on
// each.
func (m MArray) Samples(caught []int) (Samples, error) {
	s, err := m.survey()
	if err != nil {
		return Samples{}, err
	}
	if len(caught) != s.occasions {
		return Samples{}, fmt.Errorf("catches of %d occasions: expected %d", len(caught), s.occasions)
	}
	out := newSamples(s.occasions)
	copy(out.Caught, caught)
	copy(out.Released, m.Released)
	out.recount(s.releases)
	for j, n := range caught {
		if n < out.Marked[j] || j < len(m.Released) && n < m.Released[j] {
			return out, fmt.Errorf("occasion %d: %d caught, but %d of them marked and %d released: correct one of them", j+1, n, out.Marked[j], out.Released[j])
		}
	}
	return out, nil
}

func newSamples(occasions int) Samples {
	part := func() []int { return make([]int, occasions) }
	return Samples{part(), part(), part(), part(), part()}
}

// recount fills what follows from releases.
func (s Samples) recount(releases []release) {
	for _, r := range releases {
		if r.next == never {
			continue
		}
		n := int(r.count)
		s.Again[r.at] += n
		s.Marked[r.next] += n
		for j := r.at + 1; j < r.next; j++ {
			s.Between[j] += n
		}
	}
}

// A JollyOccasion is what the closed forms say of one occasion, and of the
// interval after it. What the counts do not settle is not estimable.
type JollyOccasion struct {
	Marked    fit.Estimate `json:"marked"`   // M: marked animals alive just before the occasion
	Animals   fit.Estimate `json:"animals"`  // N: animals alive then; the error is that of sampling
	Survival  fit.Estimate `json:"survival"` // φ over the interval, which may come out above 1
	Entered   fit.Estimate `json:"entered"`  // B: came in over the interval, still there at its end; may come out below 0
	SESampled float64      `json:"-"`        // of φ without the chance of dying; NaN where there is none
}

// JollySeber is the open population of Jolly (1965) and Seber (1965) in closed
// form, with full time dependence. It assumes marks kept, animals alike in
// survival and in being caught, and short occasions. Errors are Seber's (1982,
// eqs. 5.15–5.20); intervals are ±1.96 of them on the log scale (for B, on the
// natural scale). On the first occasion N, on the last survival, on both B do
// not exist. Survival is over the interval, whatever its length.
func (s Samples) JollySeber() []JollyOccasion { return s.jolly(0) }

// JollySeberAdjusted is the same corrected for the bias of small samples
// (Seber 1982, section 5.1.3). The corrected estimates come without errors.
func (s Samples) JollySeberAdjusted() []JollyOccasion {
	out := s.jolly(1)
	for i := range out {
		o := &out[i]
		for _, e := range []*fit.Estimate{&o.Marked, &o.Animals, &o.Survival, &o.Entered} {
			e.SE, e.Lower, e.Upper = math.NaN(), math.NaN(), math.NaN()
			if e.Status == fit.AtBoundary { // for want of an error only
				e.Status = fit.Estimable
			}
		}
		o.SESampled = math.NaN()
	}
	return out
}

// An occasion's counts and what they give.
type jollyState struct {
	n, m, s, r, z   float64
	marked, animals float64 // M, N
	released        float64 // M − m + s: marked alive just after
	unseen, share   float64 // variance of what r tells; ρ, marked among those caught
}

func (s Samples) jolly(adjust float64) []JollyOccasion {
	state := make([]jollyState, len(s.Caught))
	for i := range state {
		v := jollyState{
			n: float64(s.Caught[i]), m: float64(s.Marked[i]), s: float64(s.Released[i]),
			r: float64(s.Again[i]), z: float64(s.Between[i]),
		}
		v.marked = v.m + (v.s+adjust)*v.z/(v.r+adjust)
		if i == 0 {
			v.marked = 0
		}
		if i == len(state)-1 {
			v.marked = math.NaN()
		}
		v.animals = (v.n + adjust) * v.marked / (v.m + adjust)
		v.released = v.marked - v.m + v.s
		v.unseen = 1/v.r - 1/v.s
		v.share = v.m / v.n
		state[i] = v
	}
	out := make([]JollyOccasion, len(state))
	for i, v := range state {
		out[i] = v.alone(i == 0)
		out[i].Survival, out[i].Entered = fit.Lost("survival"), fit.Lost("entered")
		out[i].SESampled = math.NaN()
		if i+1 < len(state) {
			out[i].interval(v, state[i+1], i == 0)
		}
	}
	return out
}

// alone is what one occasion gives: V(N) by Seber (1982, eq. 5.16), V(M) by
// (5.15) in its sampling part.
func (v jollyState) alone(first bool) JollyOccasion {
	if first {
		return JollyOccasion{Marked: fit.Lost("marked"), Animals: fit.Lost("animals")}
	}
	variance := (v.marked - v.m) * v.released * v.unseen
	animals := v.animals * (v.animals - v.n) * (v.released/v.marked*v.unseen + (1-v.share)/v.m)
	return JollyOccasion{
		Marked:  closed("marked", v.marked, variance, fit.Log),
		Animals: closed("animals", v.animals, animals, fit.Log),
	}
}

// interval is what two occasions give: V(φ) by Seber (1982, eq. 5.18), V(B) by
// (5.20).
func (o *JollyOccasion) interval(v, w jollyState, first bool) {
	phi := w.marked / v.released
	later := (w.marked - w.m) * w.released / (w.marked * w.marked) * w.unseen
	now := (v.marked - v.m) / v.released * v.unseen
	if v.marked == v.m {
		now = 0 // all marked animals alive were caught
	}
	if w.marked == w.m {
		later = 0
	}
	sampled := phi * phi * (later + now)
	o.Survival = closed("survival", phi, sampled+phi*phi*(1-phi)/w.marked, fit.Log)
	if o.SESampled = math.Sqrt(sampled); o.Survival.Status != fit.Estimable {
		o.SESampled = math.NaN()
	}
	if first {
		return
	}
	entered := w.animals - phi*(v.animals-v.n+v.s)
	missed := phi * v.s * (1 - v.share) / v.share
	variance := entered*entered*later + missed*missed*now +
		(v.animals-v.n)*(w.animals-entered)*(1-v.share)*(1-phi)/v.released +
		w.animals*(w.animals-w.n)*(1-w.share)/w.m +
		phi*phi*v.animals*(v.animals-v.n)*(1-v.share)/v.m
	o.Entered = closed("entered", entered, variance, fit.Identity)
}

// closed is an estimate from a formula; one that the counts do not settle, or
// whose variance is not above 0, says so.
func closed(name string, value, variance float64, scale fit.Link) fit.Estimate {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return fit.Lost(name)
	}
	e := fit.Estimate{Name: name, Value: value, SE: math.Sqrt(variance)}
	half := fit.Z95 * e.SE / scale.Slope(value)
	if math.IsNaN(half) || math.IsInf(half, 0) || half == 0 {
		e.SE, e.Lower, e.Upper, e.Status = math.NaN(), math.NaN(), math.NaN(), fit.AtBoundary
		return e
	}
	e.Lower, e.Upper = scale.Natural(scale.Eta(value)-half), scale.Natural(scale.Eta(value)+half)
	return e
}
