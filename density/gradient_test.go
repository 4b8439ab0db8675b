package density

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// madeUp is two trips of a few traps, nights and animals, whatever the kind of
// trap; efforts differ, some traps are shut, some animals were lost, and some
// are of no known group.
func madeUp(rng *rand.Rand) Survey {
	var s Survey
	for _, name := range []string{"dry", "wet"} {
		t := Trip{Name: name, Columns: map[string][]float64{}}
		for k := range 6 {
			trap := Trap{At: Point{20 * float64(k%3), 20 * float64(k/3)}}
			for range 4 {
				trap.Open = append(trap.Open, []float64{0, 0.5, 1, 1, 2}[rng.IntN(5)])
			}
			t.Traps = append(t.Traps, trap)
			t.Columns["cover"] = append(t.Columns["cover"], rng.NormFloat64())
		}
		for range 7 {
			a := Animal{Group: []string{"female", "male", ""}[rng.IntN(3)], Lost: rng.IntN(5) == 0}
			for night := range 4 {
				k := rng.IntN(6)
				if t.Traps[k].Open[night] > 0 && rng.IntN(2) == 0 {
					a.Caught = append(a.Caught, Capture{night, k})
				}
			}
			if len(a.Caught) > 0 {
				t.Animals = append(t.Animals, a)
			}
		}
		t.Space, _ = Around(t.Traps, 30, 15)
		t.Space.Columns = map[string][]float64{}
		for range t.Space.Cells {
			t.Space.Columns["grass"] = append(t.Space.Columns["grass"], rng.NormFloat64())
		}
		s = append(s, t)
	}
	// both groups are always known of one animal at least
	s[0].Animals = append(s[0].Animals, s.sure("female")...)
	s[0].Animals = append(s[0].Animals, s.sure("male")...)
	return s
}

func (s Survey) sure(group string) []Animal {
	for k, trap := range s[0].Traps {
		for night, open := range trap.Open {
			if open > 0 {
				return []Animal{{Group: group, Caught: []Capture{{night, k}}}}
			}
		}
	}
	return nil
}

func by(effects ...string) []string { return effects }

var kindsOfModel = map[string]Model{
	"multi":                {},
	"single, hazard":       {Traps: Single, Shape: HazardHalfNormal, Detect: by("occasion")},
	"exponential":          {Shape: Exponential, Detect: by("after-capture", "trend")},
	"proximity":            {Traps: Proximity, Detect: by("cover", "after-capture")},
	"proximity, hazard":    {Traps: Proximity, Shape: HazardHalfNormal, Density: by("grass")},
	"groups":               {Detect: by("group*after-capture"), Move: by("group"), Density: by("group*x")},
	"groups, given caught": {Count: Conditional, Detect: by("group"), Density: by("grass")},
	"groups, number fixed": {Count: Binomial, Traps: Proximity, Move: by("group", "trip")},
	"trips":                {Density: by("trip", "y"), Detect: by("sets:1=a,2=a,3=b,4=b"), Move: by("trip")},
	"number fixed":         {Count: Binomial, Shape: Exponential, Density: by("x")},
	"given caught":         {Count: Conditional, Traps: Proximity},
}

// TestGradientIsTheSlope: the exact gradient agrees with differences of the
// likelihood, for every kind of model and effect.
func TestGradientIsTheSlope(t *testing.T) {
	t.Parallel()
	for name, m := range kindsOfModel {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
				l, err := lay(madeUp(rng), m)
				if err != nil {
					t.Fatal(err)
				}
				sloped(t, l, somewhere(l, rng))
			})
		})
	}
}

// somewhere is a place where animals are many, and move about as far as traps
// are apart.
func somewhere(l *laid, rng *rand.Rand) []float64 {
	x := make([]float64, len(l.names()))
	for i, name := range l.names() {
		x[i] = rng.NormFloat64() / 4
		switch name {
		case "density constant":
			x[i] += 5
		case "sigma constant":
			x[i] += 3
		case "density x", "density y", "density group*x[female]", "density group*x[male]":
			x[i] /= 50
		}
	}
	return x
}

// sloped compares a gradient with central differences.
func sloped(t *rapid.T, l *laid, x []float64) {
	t.Helper()
	gradient := make([]float64, len(x))
	value := l.log(x, gradient)
	for i, name := range l.names() {
		const h = 1e-5
		y := slices.Clone(x)
		y[i] = x[i] + h
		above := l.log(y, nil)
		y[i] = x[i] - h
		below := l.log(y, nil)
		want := (above - below) / (2 * h)
		if !(math.Abs(gradient[i]-want) <= 1e-5*math.Max(1, math.Abs(want))+1e-9*math.Abs(value)/h/100) {
			t.Errorf("slope by %s: %.10g, differences give %.10g (ln L %.6g)", name, gradient[i], want, value)
		}
	}
}

// TestWorkersChangeNothing: the likelihood and its gradient are the same to the
// last bit with any number of workers.
func TestWorkersChangeNothing(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 7))
	s := madeUp(rng)
	for t := range s {
		s[t].Space, _ = Around(s[t].Traps, 60, 5)
	}
	for _, m := range []Model{{}, {Traps: Proximity, Detect: by("group")}} {
		l, err := lay(s, m)
		if err != nil {
			t.Fatal(err)
		}
		x := somewhere(l, rng)
		alone, many := make([]float64, len(x)), make([]float64, len(x))
		value := l.log(x, alone)
		for l.workers = 2; l.workers < 6; l.workers++ {
			if again := l.log(x, many); again != value || !slices.Equal(alone, many) {
				t.Errorf("%d workers: ln L %v and %v, slopes %v and %v", l.workers, again, value, many, alone)
			}
		}
	}
}
