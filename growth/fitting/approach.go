package fitting

import (
	"math"

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

// moments are sums over one animal's readings: of 1, z = −e^(−kt) and z², of the
// residuals r about the mean curve, z·r and r², and of z' = ∂z/∂ln k, z'·z and
// z'·r.
type moments struct{ n, z, zz, r, zr, rr, p, pz, pr float64 }

func (e effects) moments(a animal) moments {
	s := moments{n: float64(len(a.readings))}
	for _, reading := range a.readings {
		t := (reading.Day - a.readings[0].Day) / daysPerYear
		z := -math.Exp(-e.k * t)
		r := reading.Size - e.a - e.d*z
		slope := -e.k * t * z
		s.z += z
		s.zz += z * z
		s.r += r
		s.zr += z * r
		s.rr += r * r
		s.p += slope
		s.pz += slope * z
		s.pr += slope * r
	}
	return s
}

// log is ln L of one animal, whose readings have the covariance Σ = v·I +
// Z·V·Zᵀ, Z being [1, z] and v the residual variance. All that is needed is the
// 2 × 2 matrix M = v·I + V·ZᵀZ (Woodbury 1950).
func (m *approach) log(i int, x, gradient []float64) float64 {
	e := m.natural(x)
	s, v := e.moments(m.animals[i]), e.residual
	m11, m12 := v+e.vaa*s.n+e.vad*s.z, e.vaa*s.z+e.vad*s.zz
	m21, m22 := e.vad*s.n+e.vdd*s.z, v+e.vad*s.z+e.vdd*s.zz
	det := m11*m22 - m12*m21
	solve := func(y0, y1 float64) (float64, float64) { return (m22*y0 - m12*y1) / det, (m11*y1 - m21*y0) / det }
	// b = V·Zᵀ·Σ⁻¹·r, the animal's own A and D less the means; u = Zᵀ·Σ⁻¹·r
	bA, bD := solve(e.vaa*s.r+e.vad*s.zr, e.vad*s.r+e.vdd*s.zr)
	uA, uD := (s.r-s.n*bA-s.z*bD)/v, (s.zr-s.z*bA-s.zz*bD)/v
	// K = Zᵀ·Σ⁻¹·Z, and the course of V·Zᵀ·Σ⁻¹ for D
	kAA, kAD, kDD := (s.n*m22-s.z*m21)/det, (s.z*m22-s.zz*m21)/det, (s.zz*m11-s.z*m12)/det
	cA, cD := solve(e.vad, e.vdd)

	byAA, byAD, byDD := (uA*uA-kAA)/2, uA*uD-kAD, (uD*uD-kDD)/2 // by V
	gradient[0] += e.a*uA + e.d*uD
	gradient[1] += (e.d+bD)*(s.pr-s.p*bA-s.pz*bD)/v - (s.p*cA + s.pz*cD)
	gradient[2] += e.a * uD
	gradient[3] += 2 * e.vaa * (byAA + byAD*e.bend + byDD*e.bend*e.bend)
	gradient[4] += 2 * e.sdRest * e.sdRest * byDD
	gradient[5] += e.vaa * (byAD + 2*e.bend*byDD)
	if m.technicalError == 0 {
		squares := (s.rr - 2*(s.r*bA+s.zr*bD) + s.n*bA*bA + 2*s.z*bA*bD + s.zz*bD*bD) / (v * v) // |Σ⁻¹r|²
		trace := (s.n - (e.vaa*kAA + 2*e.vad*kAD + e.vdd*kDD)) / v                              // of Σ⁻¹
		gradient[6] += v * (squares - trace)
	}
	quadratic := (s.rr - s.r*bA - s.zr*bD) / v
	return -s.n*halfLn2Pi - ((s.n-2)*math.Log(v)+math.Log(det)+quadratic)/2
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
