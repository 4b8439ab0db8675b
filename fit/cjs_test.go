package fit_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"dawnround/fit"
	"dawnround/internal/shared"
)

// A releases table is one group's m-array: seen[i][j] animals released at
// occasion i were next caught at j; never[i] were not caught again.
type releases struct {
	seen  [][]float64
	never []float64
}

// A cormack is the Cormack–Jolly–Seber likelihood of some groups, as small as
// it can be: a customer to try the kit on.
type cormack struct {
	groups   []releases
	phi, p   fit.Design // rows: group × interval, group × occasion after the first
	released int
}

const dipperOccasions = 7

// dippers reads the dipper histories (Lebreton, Burnham, Clobert & Anderson
// 1992, Ecol. Monogr. 62:67–118), males then females.
func dippers(t testing.TB) []releases {
	t.Helper()
	file, err := os.Open(shared.File(t, "checks/cmr/datasets/dipper_histories.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	groups := []releases{newReleases(), newReleases()}
	for _, row := range rows[1:] {
		count, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		g := groups[0]
		if row[2] == "female" {
			g = groups[1]
		}
		last := -1
		for j, c := range row[0] {
			if c != '1' {
				continue
			}
			if last >= 0 {
				g.seen[last][j] += count
			}
			last = j
		}
		g.never[last] += count
	}
	return groups
}

func newReleases() releases {
	r := releases{never: make([]float64, dipperOccasions)}
	for range dipperOccasions {
		r.seen = append(r.seen, make([]float64, dipperOccasions))
	}
	return r
}

func newCormack(t testing.TB, groups []releases, phi, p []string) *cormack {
	t.Helper()
	const intervals = dipperOccasions - 1
	cells := fit.Cells{Rows: len(groups) * intervals}
	var occasion, sex []int
	var flood []int
	for g := range groups {
		for i := range intervals {
			occasion, sex = append(occasion, i), append(sex, g)
			if i == 1 || i == 2 { // the flood years
				flood = append(flood, 1)
			} else {
				flood = append(flood, 0)
			}
		}
	}
	cells.Factors = map[string]fit.Factor{
		"occasion": {Levels: []string{"1", "2", "3", "4", "5", "6"}, At: occasion},
		"sex":      {Levels: []string{"male", "female"}, At: sex},
		"flood":    {Levels: []string{"normal", "flood"}, At: flood},
	}
	m := &cormack{groups: groups}
	var err error
	if m.phi, err = cells.Design(phi); err != nil {
		t.Fatal(err)
	}
	if m.p, err = cells.Design(p); err != nil {
		t.Fatal(err)
	}
	for _, g := range groups {
		for i := range intervals {
			m.released += int(g.never[i])
			for _, n := range g.seen[i] {
				m.released += int(n)
			}
		}
	}
	return m
}

func (m *cormack) likelihood() fit.Likelihood {
	l := fit.Likelihood{Log: m.log, Basis: fit.NewMatrix(len(m.phi.Names) + len(m.p.Names))}
	for _, n := range m.phi.Names {
		l.Names = append(l.Names, "survival "+n)
	}
	for _, n := range m.p.Names {
		l.Names = append(l.Names, "detection "+n)
	}
	for i, row := range m.phi.Basis {
		copy(l.Basis[i], row)
	}
	for i, row := range m.p.Basis {
		copy(l.Basis[len(m.phi.Names)+i][len(m.phi.Names):], row)
	}
	l.Starts = [][]float64{make([]float64, len(l.Names)), make([]float64, len(l.Names))}
	l.Starts[1][0] = 1
	return l
}

// log is Σ m_ij ln(φ_i q … φ p) + Σ never_i ln χ_i, χ_i = 1 − φ_i (1 − q χ)…,
// with its derivatives by the link values carried back through χ.
func (m *cormack) log(x, gradient []float64) float64 {
	clear(gradient)
	value := 0.0
	for g := range m.groups {
		value += m.group(g, x, gradient)
	}
	return value
}

func (m *cormack) group(g int, x, gradient []float64) float64 {
	const intervals = dipperOccasions - 1
	nPhi := len(m.phi.Names)
	phiRow := func(i int) []float64 { return m.phi.X[g*intervals+i] }
	pRow := func(i int) []float64 { return m.p.X[g*intervals+i] }
	var logPhi, phi, logP, logQ, p, dPhi, dP [intervals]float64
	for i := range intervals {
		var eta float64
		for k, v := range phiRow(i) {
			eta += v * x[k]
		}
		phi[i], logPhi[i], _ = fit.LogLogit(eta)
		eta = 0
		for k, v := range pRow(i) {
			eta += v * x[nPhi+k]
		}
		p[i], logP[i], logQ[i] = fit.LogLogit(eta)
	}
	value := 0.0
	r := m.groups[g]
	for i := range intervals {
		for j := i + 1; j < dipperOccasions; j++ {
			n := r.seen[i][j]
			for k := i; k < j; k++ {
				value += n * logPhi[k]
				dPhi[k] += n * (1 - phi[k])
				if k < j-1 {
					value += n * logQ[k]
					dP[k] -= n * p[k]
				}
			}
			value += n * logP[j-1]
			dP[j-1] += n * (1 - p[j-1])
		}
	}
	var chi [dipperOccasions]float64
	chi[intervals] = 1
	for i := intervals - 1; i >= 0; i-- {
		chi[i] = 1 - phi[i] + phi[i]*(1-p[i])*chi[i+1]
	}
	carried := 0.0 // derivative of the value by chi[i]
	for i := range intervals {
		value += r.never[i] * logOf(chi[i])
		carried += r.never[i] / chi[i]
		dPhi[i] += carried * phi[i] * (1 - phi[i]) * ((1-p[i])*chi[i+1] - 1)
		dP[i] -= carried * phi[i] * p[i] * (1 - p[i]) * chi[i+1]
		carried *= phi[i] * (1 - p[i])
	}
	if gradient == nil {
		return value
	}
	for i := range intervals {
		for k, v := range phiRow(i) {
			gradient[k] += dPhi[i] * v
		}
		for k, v := range pRow(i) {
			gradient[nPhi+k] += dP[i] * v
		}
	}
	return value
}
