package fitting

import (
	"math"

	"dawnround/fit"
)

// LeastOfSex are the pairs (without ages) or readings (with ages) a sex needs
// for a curve of its own. Common practice, no source.
const LeastOfSex = 15

// Sexes are the curves of females and males apart.
type Sexes struct {
	Female, Male Result
	// Test asks whether the curves are one: the difference of their parameters
	// against their errors (Wald), animals of the two sexes being independent.
	Test fit.Test
}

// BySex fits each sex by itself. The error is a *TooThin where a sex has fewer
// than 15 pairs, or readings of known age, or what the model itself refuses.
func BySex(readings []Reading, agesKnown bool, model func([]Reading) (Result, error)) (Sexes, error) {
	var s Sexes
	for _, one := range []struct {
		sex string
		to  *Result
	}{{"female", &s.Female}, {"male", &s.Male}} {
		var own []Reading
		for _, r := range readings {
			if r.Sex == one.sex {
				own = append(own, r)
			}
		}
		if err := enoughOfSex(own, agesKnown, one.sex); err != nil {
			return s, err
		}
		var err error
		if *one.to, err = model(own); err != nil {
			return s, err
		}
		one.to.Relation.Sex = one.sex
	}
	s.Test = apart(s.Female, s.Male)
	return s, nil
}

func enoughOfSex(own []Reading, agesKnown bool, sex string) error {
	have, of := 0, "readings of known age of "+sex+"s"
	if agesKnown {
		have = count(aged(animals(own)))
	} else {
		of = "pairs of captures of " + sex + "s"
		all, _ := pairs(repeated(animals(own)))
		have = len(all)
	}
	if have < LeastOfSex {
		return &TooThin{Have: have, Need: LeastOfSex, Of: of, Instead: "fit both sexes together"}
	}
	return nil
}

// apart is Wald's test of the difference of two independent curves.
func apart(a, b Result) fit.Test {
	n := len(a.Relation.Parameters)
	if n == 0 || n != len(b.Relation.Parameters) {
		return fit.Test{ChiSquare: math.NaN(), P: math.NaN()}
	}
	difference := make([]float64, n)
	covariance := make([][]float64, n)
	for i := range n {
		difference[i] = a.Relation.Parameters[i].Value - b.Relation.Parameters[i].Value
		for j := range n {
			covariance[i] = append(covariance[i], a.Relation.Covariance[i][j]+b.Relation.Covariance[i][j])
		}
	}
	x := quadratic(covariance, difference)
	return fit.Test{ChiSquare: x, DF: n, P: fit.ChiSquareTail(x, float64(n))}
}

// quadratic is dᵀ·V⁻¹·d, by Cholesky's factor of V; NaN where V is no
// covariance.
func quadratic(v [][]float64, d []float64) float64 {
	n := len(d)
	l := make([][]float64, n)
	y := make([]float64, n)
	sum := 0.0
	for i := range n {
		l[i] = make([]float64, n)
		y[i] = d[i]
		for j := range i {
			l[i][j] = v[i][j]
			for k := range j {
				l[i][j] -= float64(l[i][k] * l[j][k])
			}
			l[i][j] /= l[j][j]
			y[i] -= float64(l[i][j] * y[j])
		}
		left := v[i][i]
		for k := range i {
			left -= float64(l[i][k] * l[i][k])
		}
		if !(left > 0) {
			return math.NaN()
		}
		l[i][i] = math.Sqrt(left)
		y[i] /= l[i][i]
		sum += float64(y[i] * y[i])
	}
	return sum
}
