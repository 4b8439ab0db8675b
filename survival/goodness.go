package survival

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// The tests of goodness of fit. Each asks whether two sorts of animals, alike
// to the time-dependent model, fare alike afterwards (Burnham, Anderson, White,
// Brownie & Pollock 1987, American Fisheries Society Monograph 5; Pradel 1993,
// in Marked Individuals in the Study of Bird Population, pp. 29–37).
const (
	Transience     = "3.SR" // newly marked or marked before × ever seen again or never
	NextSeen       = "3.SM" // of those seen again: newly marked or before × seen next occasion or later
	TrapDependence = "2.CT" // of those alive for certain: missed or caught × seen next occasion or later
)

// A Table is one two-by-two table of a test, for the animals of one occasion.
// Occasions of return after the next are pooled into one column, "later", so
// that no table is larger.
type Table struct {
	Test     string    `json:"test"`
	Occasion int       `json:"occasion"` // from 1
	Counts   [2][2]int `json:"counts"`
	// Testable tells whether all four margins hold animals; without it the
	// figures below are empty.
	Testable bool `json:"testable"`
	// ChiSquare is Pearson's, without correction, on one degree of freedom.
	ChiSquare float64 `json:"chi_square"`
	// P is that of the chi-square, or the exact two-sided one (Fisher) where an
	// expected count is below 2.
	P      float64 `json:"p"`
	Exact  bool    `json:"exact"`
	Least  float64 `json:"least_expected"`
	Signed float64 `json:"signed"` // √χ², positive where the first row is less often in the first column (3.SR, 3.SM), or more often (2.CT)
}

// String says how a table came out.
func (t Table) String() string {
	name := fmt.Sprintf("%s, occasion %d %v", t.Test, t.Occasion, t.Counts)
	switch {
	case !t.Testable:
		return name + ": untestable"
	case t.Exact:
		return fmt.Sprintf("%s: exact P %.3f", name, t.P)
	}
	return fmt.Sprintf("%s: chi-square %.2f, P %.3f", name, t.ChiSquare, t.P)
}

// A Component is the tables of one test.
type Component struct {
	Name   string   `json:"name"`
	Tables []Table  `json:"tables"`
	Sum    fit.Test `json:"sum"` // of the testable tables
	// Z is the signed sum, standard normal if all is well: positive for
	// transients (3.SR) or trap-shyness (2.CT), negative for trap-happiness.
	// 0 where no table is testable.
	Z float64 `json:"z"`
}

// Goodness is the three tests and the variance inflation they imply.
type Goodness struct {
	Components []Component `json:"components"`
	Overall    fit.Test    `json:"overall"`
	// Ratio is χ²/df as it comes, 0 where nothing is testable; CHat is the same,
	// not below 1.
	Ratio float64 `json:"ratio"`
	CHat  float64 `json:"c_hat"`
	// Sound is ĉ from the tables alone whose expected counts are all 2 or more.
	Sound    float64  `json:"c_hat_sound"`
	Warnings []string `json:"warnings"`
}

// Tests compares newly marked with earlier marked animals and missed with
// caught ones, occasion by occasion. Groups and states are taken together: give
// one group to test one. Tables are kept as they are, none is pooled with
// another; where an expected count is below 2 the exact test stands in for the
// chi-square in P, but its χ² still enters ĉ as published, and Sound leaves it
// out. A table with an empty margin is untestable and counts nowhere.
func Tests(h Histories) (Goodness, error) {
	s, err := h.survey()
	if err != nil {
		return Goodness{}, err
	}
	var g Goodness
	sound, soundDF := 0.0, 0
	for _, name := range []string{Transience, NextSeen, TrapDependence} {
		c := s.component(name)
		g.Components = append(g.Components, c)
		g.Overall.ChiSquare += c.Sum.ChiSquare
		g.Overall.DF += c.Sum.DF
		for _, t := range c.Tables {
			if t.Testable && !t.Exact {
				sound += t.ChiSquare
				soundDF++
			}
		}
	}
	g.Overall.P = fit.ChiSquareTail(g.Overall.ChiSquare, float64(g.Overall.DF))
	g.Ratio = g.Overall.ChiSquare / math.Max(1, float64(g.Overall.DF))
	g.CHat, g.Sound = inflation(g.Overall.ChiSquare, g.Overall.DF), inflation(sound, soundDF)
	g.warn()
	return g, nil
}

// inflation is χ²/df, not below 1.
func inflation(chiSquare float64, df int) float64 {
	if df == 0 {
		return 1
	}
	return math.Max(1, chiSquare/float64(df))
}

func (s survey) component(name string) Component {
	c := Component{Name: name}
	last := s.occasions - 1 // tables stand for the occasions between the first and this
	if name != Transience {
		last--
	}
	signed, tested := 0.0, 0.0
	for i := 1; i < last; i++ {
		t := newTable(name, i+1, s.counts(name, i))
		c.Tables = append(c.Tables, t)
		if t.Testable {
			c.Sum.ChiSquare += t.ChiSquare
			c.Sum.DF++
			signed += t.Signed
			tested++
		}
	}
	c.Sum.P = fit.ChiSquareTail(c.Sum.ChiSquare, float64(c.Sum.DF))
	c.Z = signed / math.Sqrt(math.Max(1, tested))
	return c
}

// counts sorts the animals of occasion i: first row newly marked, or missed;
// first column seen again, or seen on the next occasion.
func (s survey) counts(name string, i int) [2][2]int {
	var counts [2][2]int
	for _, r := range s.releases {
		released, again := r.at == i, r.next != never
		later := truth(r.next != i+1)
		n := int(r.count)
		switch {
		case name == Transience && released:
			counts[truth(r.first < i)][truth(!again)] += n
		case name == NextSeen && released && again:
			counts[truth(r.first < i)][later] += n
		case name == TrapDependence && again && r.at < i && r.next > i:
			counts[0][later] += n
		case name == TrapDependence && again && released:
			counts[1][later] += n
		}
	}
	return counts
}

// newTable tests a two-by-two table for independence.
func newTable(name string, occasion int, counts [2][2]int) Table {
	t := Table{Test: name, Occasion: occasion, Counts: counts, P: 1}
	a, b := float64(counts[0][0]), float64(counts[0][1])
	c, d := float64(counts[1][0]), float64(counts[1][1])
	total := a + b + c + d
	t.Least = total
	for _, row := range []float64{a + b, c + d} {
		for _, column := range []float64{a + c, b + d} {
			t.Least = math.Min(t.Least, row*column/math.Max(1, total))
		}
	}
	if t.Testable = t.Least > 0; !t.Testable {
		return t
	}
	cross := a*d - b*c
	t.ChiSquare = total * cross * cross / ((a + b) * (c + d) * (a + c) * (b + d))
	t.Signed = math.Copysign(math.Sqrt(t.ChiSquare), cross)
	if name != TrapDependence {
		t.Signed = -t.Signed
	}
	t.P = fit.ChiSquareTail(t.ChiSquare, 1)
	if t.Exact = t.Least < 2; t.Exact {
		t.P = exact(counts)
	}
	return t
}

// exact is Fisher's two-sided test: the chance, given the margins, of a table
// no more likely than this one.
func exact(counts [2][2]int) float64 {
	row, other := counts[0][0]+counts[0][1], counts[1][0]+counts[1][1]
	column := counts[0][0] + counts[1][0]
	chance := func(a int) float64 {
		return math.Exp(logWays(row, a) + logWays(other, column-a) - logWays(row+other, column))
	}
	here, p := chance(counts[0][0]), 0.0
	for a := max(0, column-other); a <= min(row, column); a++ {
		if q := chance(a); q <= here*(1+1e-7) {
			p += q
		}
	}
	return math.Min(1, p)
}

// logWays is the logarithm of how many ways there are to choose k of n.
func logWays(n, k int) float64 {
	lg := func(n int) float64 { v, _ := math.Lgamma(float64(n) + 1); return v }
	return lg(n) - lg(k) - lg(n-k)
}

func (g *Goodness) warn() {
	add := func(format string, args ...any) { g.Warnings = append(g.Warnings, fmt.Sprintf(format, args...)) }
	if g.Overall.DF == 0 {
		add("no table is testable: nothing is known of the fit, and ĉ is taken as 1")
	}
	thin, largest := 0.0, Table{}
	for _, c := range g.Components {
		for _, t := range c.Tables {
			if t.Testable && t.Exact {
				thin++
				if t.ChiSquare > largest.ChiSquare {
					largest = t
				}
			}
		}
		if c.Sum.DF > 0 && math.Abs(c.Z) > fit.Z95 {
			add("%s: signed z %.2f: %s", c.Name, c.Z, meaning(c))
		}
	}
	if thin > 0 {
		add("%.0f of %d tables expect fewer than 2 animals somewhere: their chi-square is not to be trusted, their P is exact", thin, g.Overall.DF)
	}
	if largest.ChiSquare > 0.5*g.Overall.ChiSquare {
		add("more than half of the chi-square comes from one thin table (%v); without thin tables ĉ is %.2f", largest, g.Sound)
	}
	if g.Ratio > 3 {
		add("ĉ above 3 means a wrong model rather than overdispersion: look at the tables before inflating errors")
	}
}

// meaning says in words what a signed z beyond chance suggests.
func meaning(c Component) string {
	switch {
	case c.Name == TrapDependence && c.Z < 0:
		return "caught animals are the likelier to be caught next (trap-happiness)"
	case c.Name == TrapDependence:
		return "caught animals are the less likely to be caught next (trap-shyness)"
	case c.Name == Transience && c.Z > 0:
		return "newly marked animals are seen again less often than others (transients, or a cost of marking)"
	case c.Name == Transience:
		return "newly marked animals are seen again more often than others"
	}
	return "newly marked animals come back on other occasions than others"
}

// Saturated is −2 ln L of the m-array with a chance of its own for every cell:
// no model of the m-array can have less.
func (m MArray) Saturated() float64 {
	total := 0.0
	for i, row := range m.Seen {
		left := m.Released[i]
		for _, n := range row {
			total += logShare(float64(n), float64(m.Released[i]))
			left -= n
		}
		total += logShare(float64(left), float64(m.Released[i]))
	}
	return -2 * total
}

// logShare is n ln(n/of), 0 where n is 0.
func logShare(n, of float64) float64 {
	if n <= 0 {
		return 0
	}
	return n * math.Log(n/of)
}
