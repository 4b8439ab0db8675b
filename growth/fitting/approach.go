package fitting

import (
	"math"
	"slices"

	"dawnround/fit"
)

// approachModel is its name in a result. It uses readings close together too:
// they tell the error of measurement.
const approachModel = "asymptotes of the animals' own"

// approach is growth towards asymptotes of the animals' own, at work.
type approach struct {
	animals        []animal
	technicalError float64
	names          []string
}

// Approach fits growth between captures of unknown age where each animal has an
// asymptote of its own. An animal's size a time t after its first capture is
//
//	size = A − D·e^(−k·t) + error,
//
// A being its asymptote and D what it then had still to grow. Over the animals
// A and D vary together, with any means, variances and covariance; nothing is
// assumed of their ages. Given k the sizes are straight in A and D, so their
// means and covariances are exact, and the normal likelihood built on them is
// consistent whatever the distribution of D, which is never normal (most
// animals caught have little left to grow). Errors are therefore by animal.
// k is per year and alike in all; the times of capture must not depend on
// size. It refuses unless there are 30 animals measured on 3 days, or the
// technical error is supplied and there are 12 pairs.
//
// The model is the von Bertalanffy curve with random asymptote (Sainsbury 1980,
// Canadian Journal of Fisheries and Aquatic Sciences 37:241–247, on why the
// asymptotes must be allowed to differ; from memory); leaving the ages out by
// letting D vary freely is our own.
func Approach(readings []Reading, technicalError float64) (Result, error) {
	g, err := gainsOf(readings)
	if err != nil {
		return Result{}, err
	}
	if err := enoughForRandom(true, technicalError, g.animals); err != nil {
		return Result{}, err
	}
	m := &approach{animals: g.animals, technicalError: technicalError,
		names: []string{"A", "k", "still to grow", "asymptote sd", "still to grow sd", "covariance"}}
	if technicalError == 0 {
		m.names = append(m.names, "residual sd")
	}
	r := g.result(approachModel, "von Bertalanffy 1938 with random asymptotes (Sainsbury 1980), ages left out", m.likelihood(g).maximise(true))
	r.Readings = count(g.animals)
	m.tell(&r, g)
	return r, nil
}

// The two random effects have the covariance L·Lᵀ, with L lower triangular:
// e^x3 and e^x4 on its diagonal, x5 times e^x3 beside it, so that x5 is the
// slope of D on A.
type effects struct {
	a, k, d           float64
	vaa, vad, vdd     float64 // variances of A and D, and their covariance
	sdA, sdRest, bend float64
	residual          float64
}

func (m *approach) natural(x []float64) effects {
	e := effects{a: math.Exp(x[0]), k: math.Exp(x[1]), d: x[2] * math.Exp(x[0]), sdA: math.Exp(x[3]), sdRest: math.Exp(x[4]), bend: x[5], residual: m.technicalError * m.technicalError}
	if m.technicalError == 0 {
		e.residual = math.Exp(2 * x[6])
	}
	e.vaa, e.vad = e.sdA*e.sdA, e.bend*e.sdA*e.sdA
	e.vdd = e.bend*e.vad + e.sdRest*e.sdRest
	return e
}

func (m *approach) likelihood(g gains) likelihood {
	a, k, sd := g.begin()
	still, square := 0.0, 0.0
	for _, one := range m.animals {
		d := a - one.readings[0].Size
		still += d / float64(len(m.animals))
		square += d * d / float64(len(m.animals))
	}
	rest := math.Sqrt(math.Max(square-still*still, sd*sd))
	l := likelihood{names: m.names, units: len(m.animals), of: m.log, scales: []float64{0.02, 0.1, 0.02, 0.1, 0.1, 0.1}}
	for _, own := range []float64{0.3, 1} {
		start := []float64{math.Log(a), math.Log(k), still / a, math.Log(own * sd), math.Log(rest), 0}
		if m.technicalError == 0 {
			start = append(start, math.Log(sd/2))
		}
		l.starts = append(l.starts, start)
	}
	if m.technicalError == 0 {
		l.scales = append(l.scales, 0.1)
	}
	return l
}

// log is ln L of one animal. With Z = [1, −e^(−kt)] and r the residuals about
// the mean curve, the covariance is residual·I + Z·V·Zᵀ. All that is needed are
// the 2 × 2 matrices ZᵀZ and M = I + V·ZᵀZ/residual (Woodbury 1950).
func (m *approach) log(i int, x, gradient []float64) float64 {
	e := m.natural(x)
	readings := m.animals[i].readings
	n := float64(len(readings))
	first := readings[0].Day
	// sums of 1, z, z², r, zr, r², with z = −e^(−kt), and of z' = ∂z/∂ln k
	// times 1, z and r
	var z1, z2, r0, r1, rr, p1, pz, pr float64
	for _, reading := range readings {
		t := (reading.Day - first) / daysPerYear
		z := -math.Exp(-e.k * t)
		r := reading.Size - e.a - e.d*z
		slope := -e.k * t * z
		z1 += z
		z2 += z * z
		r0 += r
		r1 += z * r
		rr += r * r
		p1 += slope
		pz += slope * z
		pr += slope * r
	}
	// G = V·M⁻ᵀ/residual turns Zᵀr into the animal's own effects
	s := e.residual
	m11, m12 := s+e.vaa*n+e.vad*z1, e.vaa*z1+e.vad*z2
	m21, m22 := e.vad*n+e.vdd*z1, s+e.vad*z1+e.vdd*z2
	det := m11*m22 - m12*m21
	w0, w1 := e.vaa*r0+e.vad*r1, e.vad*r0+e.vdd*r1
	b0, b1 := (m22*w0-m12*w1)/det, (m11*w1-m21*w0)/det // own A and D, less the means
	// u = Zᵀ·Σ⁻¹·r and K = Zᵀ·Σ⁻¹·Z
	u0, u1 := (r0-n*b0-z1*b1)/s, (r1-z1*b0-z2*b1)/s
	k00 := (n*m22 - z1*m21) / det
	k01 := (z1*m22 - z2*m21) / det
	k11 := (z2*m11 - z1*m12) / det
	quadratic := (rr - r0*b0 - r1*b1) / s
	log := -n*halfLn2Pi - ((n-2)*math.Log(s)+math.Log(det)+quadratic)/2

	// derivatives by the covariance: ½(u·uᵀ − K)
	byAA, byDD, byAD := (u0*u0-k00)/2, (u1*u1-k11)/2, u0*u1-k01
	byD := u1
	gradient[0] += e.a*u0 + e.d*byD
	gradient[2] += e.a * byD
	// by z at each reading: (d + b1)·(Σ⁻¹r) − (row 1 of V·Zᵀ·Σ⁻¹); summed with z'
	own := e.d + b1
	v0, v1 := e.vad, e.vdd
	c0 := (v0*m22 - v1*m12) / det
	c1 := (v1*m11 - v0*m21) / det
	gradient[1] += own*(pr-p1*b0-pz*b1)/s - (p1*c0 + pz*c1)
	gradient[3] += 2 * e.vaa * (byAA + byAD*e.bend + byDD*e.bend*e.bend)
	gradient[4] += 2 * e.sdRest * e.sdRest * byDD
	gradient[5] += e.vaa * (byAD + 2*e.bend*byDD)
	if m.technicalError == 0 {
		// ½·residual·(|Σ⁻¹r|² − tr Σ⁻¹)·2
		squares := (rr - 2*(r0*b0+r1*b1) + n*b0*b0 + 2*z1*b0*b1 + z2*b1*b1) / (s * s)
		trace := (n - (e.vaa*k00 + 2*e.vad*k01 + e.vdd*k11)) / s
		gradient[6] += s * (squares - trace)
	}
	return log
}

func (m *approach) tell(r *Result, g gains) {
	if r.lost() {
		return
	}
	x := r.Fit.X
	e := m.natural(x)
	r.positive(0, "A")
	r.positive(1, "k")
	r.positive(3, "asymptote sd")
	if m.technicalError == 0 {
		r.positive(6, "residual sd")
	}
	byD := unit(len(x), 2)
	byD[0], byD[2] = e.d, e.a
	r.add(r.Fit.Derive("still to grow at first capture", e.d, byD, fit.Identity))
	byA, byK := unit(len(x), 0), unit(len(x), 1)
	byA[0], byK[1] = e.a, e.k
	r.relate(g, e.a, e.k, [][]float64{byA, byK})
	r.Relation.Residual, r.Relation.AsymptoteSD = math.Sqrt(2*e.residual), e.sdA
	r.gainResiduals(g, func(p pair, _ float64) float64 {
		return math.Hypot(r.Relation.Residual, e.sdA*-math.Expm1(-e.k*p.years))
	}, nil)
}

// sortedSizes are the sizes at which pairs begin and end, ascending.
func (g gains) sortedSizes() []float64 {
	var sizes []float64
	for _, p := range g.pairs {
		sizes = append(sizes, p.from, p.from+p.gain)
	}
	slices.Sort(sizes)
	return sizes
}
