package growth

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Correlation says how the residuals of two traits go together among young
// of one age. Without it two traits cannot be one age: they mostly err the same
// way.
type Correlation struct {
	Traits []string `yaml:"traits" json:"traits"`
	R      float64  `yaml:"r" json:"r"`
	Young  int      `yaml:"young" json:"young"` // it was estimated from
	Source string   `yaml:"source" json:"source"`
}

// LeastYoung are the young from which a correlation must come before traits are
// combined by it. Common practice, no source.
const LeastYoung = 20

// A Joint is the age from several traits.
type Joint struct {
	Age
	Traits []string // that were used
	Says   string   // why these
}

// Combine gives one age from those of several traits of one animal. Where the
// spread of each is known and every pair has a residual correlation from at
// least 20 young, they are weighed by generalised least squares; otherwise the
// narrowest single trait answers. ages must not be empty.
func Combine(ages []Age, known []Correlation) Joint {
	narrowest := slices.MinFunc(ages, func(a, b Age) int {
		return compare(a.width(), b.width())
	})
	single := Joint{Age: narrowest, Traits: []string{narrowest.Relation.Trait}}
	if len(ages) == 1 {
		single.Says = "from " + single.Traits[0]
		return single
	}
	single.Says = fmt.Sprintf("from %s alone, the narrowest: ", single.Traits[0])
	covariance, why := together(ages, known)
	if why != "" {
		single.Says += why
		return single
	}
	weights, ok := leastSquares(covariance)
	if !ok {
		single.Says += "the traits go together so closely that the others add nothing"
		return single
	}
	return weighed(ages, weights, covariance)
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// width is how wide the band is that a warning would rest on.
func (a Age) width() float64 {
	from, to := a.Warned()
	if math.IsNaN(a.Days) {
		return math.Inf(1)
	}
	return to - from
}

// together is the covariance of the ages, or why there is none.
func together(ages []Age, known []Correlation) (covariance [][]float64, why string) {
	for i, a := range ages {
		if a.Spread != BetweenAnimals || a.Newborn || math.IsNaN(a.Days) || math.IsInf(a.To, 1) {
			return nil, fmt.Sprintf("how far animals differ in age by %s is not known", a.Relation.Trait)
		}
		covariance = append(covariance, make([]float64, len(ages)))
		for j, b := range ages[:i+1] {
			r := 1.0
			if i != j {
				var found bool
				if r, found = correlated(a.Relation.Trait, b.Relation.Trait, known); !found {
					return nil, fmt.Sprintf("the residual correlation of %s and %s is not known from at least %d young", b.Relation.Trait, a.Relation.Trait, LeastYoung)
				}
			}
			covariance[i][j] = r * a.sd() * b.sd()
			covariance[j][i] = covariance[i][j]
		}
	}
	return covariance, ""
}

// sd is the standard deviation behind the band.
func (a Age) sd() float64 { return (a.To - a.From) / (2 * z95) }

func correlated(a, b string, known []Correlation) (float64, bool) {
	for _, c := range known {
		if len(c.Traits) == 2 && c.Young >= LeastYoung && math.Abs(c.R) < 1 &&
			(c.Traits[0] == a && c.Traits[1] == b || c.Traits[0] == b && c.Traits[1] == a) {
			return c.R, true
		}
	}
	return 0, false
}

// leastSquares gives the weights V⁻¹1 / 1ᵀV⁻¹1, by elimination. It is false
// where V is no covariance, or a weight is below 0.
func leastSquares(v [][]float64) ([]float64, bool) {
	n := len(v)
	m := make([][]float64, n)
	for i := range m {
		m[i] = append(slices.Clone(v[i]), 1)
	}
	for i := range n {
		if !(m[i][i] > 1e-12*v[i][i]) {
			return nil, false
		}
		for k := range n {
			if k == i {
				continue
			}
			share := m[k][i] / m[i][i]
			for j := i; j <= n; j++ {
				m[k][j] -= float64(share * m[i][j])
			}
		}
	}
	total := 0.0
	w := make([]float64, n)
	for i := range n {
		w[i] = m[i][n] / m[i][i]
		total += w[i]
	}
	for i := range w {
		if w[i] /= total; w[i] < 0 {
			return nil, false
		}
	}
	return w, true
}

func weighed(ages []Age, weights []float64, covariance [][]float64) Joint {
	j := Joint{Age: Age{Spread: BetweenAnimals, Relation: ages[0].Relation, Size: ages[0].Size}}
	variance := 0.0
	for i, a := range ages {
		j.Days += weights[i] * a.Days
		j.Traits = append(j.Traits, a.Relation.Trait)
		for k := range ages {
			variance += weights[i] * weights[k] * covariance[i][k]
		}
	}
	half := z95 * math.Sqrt(variance)
	j.From, j.To = math.Max(0, j.Days-half), j.Days+half
	j.Says = "from " + strings.Join(j.Traits, " and ") + ", weighed by their residual correlation"
	return j
}
