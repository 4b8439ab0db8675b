package answer

import (
	"fmt"
	"math"

	"dawnround/fit"
	"dawnround/register"
)

// Enough is whether the effort of a site would show a fall in numbers.
type Enough struct {
	State   string   `json:"state"`
	Which   Which    `json:"which"`
	Says    string   `json:"says"`
	Refused string   `json:"refused,omitempty"`
	Trip    string   `json:"trip,omitempty"` // whose estimate it rests on
	CV      float64  `json:"cv"`             // error of that estimate, as a share of it
	Nights  int      `json:"nights"`
	Powers  []Power  `json:"powers"` // of two surveys as exact as this one
	Needs   []Needed `json:"needs"`
	Source  string   `json:"source"`
}

// Power is how often a fall is seen, at a level of two-sided false alarms.
type Power struct {
	Alpha float64 `json:"alpha"`
	Power float64 `json:"power"`
}

// Needed is what it takes to see the fall eight times in ten.
type Needed struct {
	Alpha  float64 `json:"alpha"`
	CV     float64 `json:"cv"`
	Nights int     `json:"nights,omitempty"` // of the same traps at the same chance of being caught; 0: more than mostNights
}

const (
	fall       = 0.3
	wanted     = 0.8
	mostNights = 30

	enoughSource = "a test of the logarithm of the ratio of two estimates, whose variance is 2 ln(1 + CV²) where their errors are log-normal; nights from the error of N under constant detection, N / ((1−p)^−t − t/(1−p) + t − 1): Otis, Burnham, White & Anderson 1978, Wildlife Monographs 62"
)

// PowerToSee is the chance that two surveys, each with an error of cv as a share
// of its estimate, show a fall by the share given, in a two-sided test at alpha
// on the logarithm of their ratio: Φ(|ln(1−fall)| / √(2 ln(1+cv²)) − z).
func PowerToSee(fall, cv, alpha float64) float64 {
	z := math.Abs(math.Log1p(-fall)) / math.Sqrt(2*math.Log1p(cv*cv))
	return normal(z - fit.NormalQuantile(1-alpha/2))
}

func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// cvFor is the error that gives a power.
func cvFor(fall, power, alpha float64) float64 {
	z := fit.NormalQuantile(power) + fit.NormalQuantile(1-alpha/2)
	return math.Sqrt(math.Expm1(math.Pow(math.Log1p(-fall)/z, 2) / 2))
}

// HowExactN tells the error of N, as a share of it, after so many nights at a
// constant chance p (Otis et al. 1978).
func HowExactN(n, p float64, nights int) float64 {
	t := float64(nights)
	return math.Sqrt(n/(math.Pow(1-p, -t)-t/(1-p)+t-1)) / n
}

// EffortEnough asks of the latest estimate whether trapping as it is would show
// a fall by 30 %, and what it would take.
func EffortEnough(r *register.Register, q Which) (Enough, error) {
	out := Enough{State: r.State(), Which: q, Powers: []Power{}, Needs: []Needed{}, Source: enoughSource}
	m, err := HowMany(r, q)
	if err != nil {
		return out, err
	}
	i := lastEstimated(m.Trips)
	if i < 0 || m.Trips[i].N.SE == 0 || math.IsNaN(m.Trips[i].N.SE) {
		out.Refused = "no trip has an estimate with an error"
		out.Says = "Whether the effort is enough cannot be said: " + out.Refused + "."
		return out, nil
	}
	t := m.Trips[i]
	out.Trip, out.Nights, out.CV = t.Name, t.Nights, t.N.SE/t.N.Value
	p := 1 - math.Pow(1-math.Min(float64(t.Animals)/t.N.Value, 0.999), 1/float64(t.Nights))
	for _, alpha := range []float64{0.05, 0.10, 0.20} {
		out.Powers = append(out.Powers, Power{alpha, PowerToSee(fall, out.CV, alpha)})
		need := Needed{Alpha: alpha, CV: cvFor(fall, wanted, alpha)}
		for nights := 2; nights <= mostNights; nights++ {
			if HowExactN(t.N.Value, p, nights) <= need.CV {
				need.Nights = nights
				break
			}
		}
		out.Needs = append(out.Needs, need)
	}
	out.say()
	return out, nil
}

func (e *Enough) say() {
	missed := 10 * (1 - e.Powers[0].Power)
	e.Says = fmt.Sprintf("Trapping as on %s (error %.0f %% of the estimate) misses a fall by 30 %% from one survey to another about %.0f times in 10 (at 5 %% false alarms).", e.Trip, 100*e.CV, missed)
	need := e.Needs[1]
	e.Says += fmt.Sprintf(" To miss it 2 times in 10 the error must be %.0f %% at 10 %% false alarms", 100*need.CV)
	switch {
	case need.Nights == 0:
		e.Says += fmt.Sprintf(": more than %d nights of the same traps; more traps, or several trips together, do more.", mostNights)
	case need.Nights <= e.Nights:
		e.Says += ", and it is."
	default:
		e.Says += fmt.Sprintf(": about %d nights of the same traps instead of %d, if all animals are caught alike.", need.Nights, e.Nights)
	}
}
