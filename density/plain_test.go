package density

import (
	"math"
	"math/rand/v2"
	"testing"

	"dawnround/fit"

	"pgregory.net/rapid"
)

// plainly is the log-likelihood by plain loops over animals, groups, cells,
// nights and traps, from the words of the model (Borchers & Efford 2008,
// Biometrics 64:377–385, eqs 1–5). Detection and σ are given by group and
// whether caught before; density by group, flat.
func plainly(s Survey, m Model, d []float64, detection [][2]float64, sigma []float64, groups []string) float64 {
	total := 0.0
	for _, t := range s {
		hazard := func(g, k, night int, before bool, at Point) float64 {
			p := detection[g][0]
			if before {
				p = detection[g][1]
			}
			dist := math.Hypot(at.X-t.Traps[k].At.X, at.Y-t.Traps[k].At.Y)
			var h float64
			switch m.Shape {
			case HalfNormal:
				h = -math.Log(1 - p*math.Exp(-dist*dist/(2*sigma[g]*sigma[g])))
			case HazardHalfNormal:
				h = p * math.Exp(-dist*dist/(2*sigma[g]*sigma[g]))
			case Exponential:
				h = -math.Log(1 - p*math.Exp(-dist/sigma[g]))
			}
			return h * t.Traps[k].Open[night]
		}
		// chance of what a life showed with its centre at a place; nil caught is never
		chance := func(g int, at Point, caught []Capture, end int) float64 {
			p, before := 1.0, false
			for night := range end {
				sum := 0.0
				held, any := 0.0, false
				for k := range t.Traps {
					h := hazard(g, k, night, before, at)
					sum += h
					in := false
					for _, c := range caught {
						in = in || c == Capture{night, k}
					}
					if m.Traps == Proximity && in {
						p *= 1 - math.Exp(-h)
					} else if m.Traps == Proximity {
						p *= math.Exp(-h)
					} else if in {
						held = h
					}
					any = any || in
				}
				if m.Traps != Proximity && any {
					p *= held / sum * (1 - math.Exp(-sum))
				} else if m.Traps != Proximity {
					p *= math.Exp(-sum)
				}
				before = before || any
			}
			return p
		}
		there, seen := 0.0, 0.0
		for g := range groups {
			for _, at := range t.Space.Cells {
				there += d[g] * t.Space.Ha
				seen += d[g] * t.Space.Ha * (1 - chance(g, at, nil, t.nights()))
			}
		}
		for _, a := range t.Animals {
			end := t.nights()
			if a.Lost {
				caught := a.caught()
				end = caught[len(caught)-1].Night + 1
			}
			sum := 0.0
			for g, group := range groups {
				if len(groups) > 1 && a.Group != "" && a.Group != group {
					continue
				}
				for _, at := range t.Space.Cells {
					sum += d[g] * t.Space.Ha * chance(g, at, a.Caught, end)
				}
			}
			total += math.Log(sum)
		}
		n := float64(len(t.Animals))
		factorial, _ := math.Lgamma(n + 1)
		switch m.Count {
		case Poisson:
			total += -seen - factorial
		case Binomial:
			all, _ := math.Lgamma(there + 1)
			rest, _ := math.Lgamma(there - n + 1)
			total += all - rest - factorial - n*math.Log(there) + (there-n)*math.Log(1-seen/there)
		case Conditional:
			total -= n * math.Log(seen)
		}
	}
	return total
}

// TestLikelihoodByPlainLoops: whatever is pooled, prepared and reordered, the
// likelihood is that of the plain loops.
func TestLikelihoodByPlainLoops(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		m := Model{
			Traps: TrapKind(rng.IntN(3)), Shape: Shape(rng.IntN(3)), Count: Count(rng.IntN(3)),
			Detect: by("after-capture"),
		}
		s, groups := madeUp(rng), []string{""}
		if rng.IntN(2) == 0 {
			groups = by("female", "male")
			m.Detect, m.Move = by("group*after-capture"), by("group")
			if m.Count == Conditional {
				m.Density = by("group")
			}
		}
		var d, sigma []float64
		var detection [][2]float64
		at := Fixed{}
		for g, group := range groups {
			d = append(d, 40+20*rng.Float64())
			sigma = append(sigma, 10+20*rng.Float64())
			detection = append(detection, [2]float64{0.1 + 0.3*rng.Float64(), 0.1 + 0.3*rng.Float64()})
			word := ""
			if group != "" {
				word = group + ","
				at["D_per_ha["+group+"]"], at["sigma_m["+group+"]"] = d[g], sigma[g]
			} else {
				at["D_per_ha"], at["sigma_m"] = d[g], sigma[g]
			}
			at["detection["+word+"first]"], at["detection["+word+"after]"] = detection[g][0], detection[g][1]
		}
		want := -2 * plainly(s, m, d, detection, sigma, groups)
		got := evaluated(t, s, m, at, d)
		if !(math.Abs(got-want) <= 1e-9*math.Abs(want)) {
			t.Fatalf("%v: −2 ln L %.12g, plain loops give %.12g", m, got, want)
		}
	})
}

// evaluated also sets relative densities, which have no natural names.
func evaluated(t *rapid.T, s Survey, m Model, at Fixed, d []float64) float64 {
	if m.Count != Conditional || len(d) == 1 {
		value, err := Evaluate(s, m, at)
		if err != nil {
			t.Fatal(err)
		}
		return value.Minus2LnL
	}
	l, err := lay(s, m)
	if err != nil {
		t.Fatal(err)
	}
	x := []float64{math.Log(d[1] / d[0])}
	for _, p := range []*predictor{&l.detect, &l.move} {
		beta, err := p.solve(at, l.link(p))
		if err != nil {
			t.Fatal(err)
		}
		x = append(x, beta...)
	}
	return -2 * l.log(x, nil)
}

// TestHazardIsExactInItsTails: the hazard and its logarithm agree where both
// can be had, and the logarithm goes on where the hazard is lost.
func TestHazardIsExactInItsTails(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		shape := Shape(rapid.IntRange(0, 2).Draw(t, "shape"))
		eta := rapid.Float64Range(-30, 30).Draw(t, "eta")
		fall := rapid.Float64Range(0, 30).Draw(t, "fall")
		at := shape.start(eta)
		h, slope := shape.hazard(at, math.Exp(-fall))
		if l := logHazard(h, at, fall); math.Abs(l-math.Log(h)) > 1e-9*(1+math.Abs(l)) {
			t.Errorf("ln h %.15g, of h %.15g", l, math.Log(h))
		}
		const step = 1e-6
		above, _ := shape.hazard(at, math.Exp(-fall-step))
		below, _ := shape.hazard(at, math.Exp(-fall+step))
		if want := (below - above) / (2 * step); fall > 0.01 && math.Abs(slope-want) > 1e-5*math.Max(slope, 1e-9) {
			t.Errorf("slope %.12g, differences give %.12g", slope, want)
		}
	})
	at := HalfNormal.start(fit.Logit.Eta(0.3))
	if l := logHazard(0, at, 5000); math.Abs(l-(math.Log(0.3)-5000)) > 1e-9 {
		t.Errorf("ln h far away: %g", l)
	}
}
