package growth

import (
	"math"
	"slices"
)

// A Form is the shape of a relation: how what is predicted follows from what
// it is predicted from, x.
type Form struct {
	Name       string
	Words      string   // the formula
	Parameters []string // in order
	OfAge      bool     // only for size on age: the first parameter is the asymptote
	at         func(p []float64, x float64) float64
}

// Tabulated is the form of a table of sizes and ages, straight between rows.
const Tabulated = "tabulated"

// Saturating is the form of growth between two visits, of which no age is
// known: Fabens 1965.
const Saturating = "gain to an asymptote"

// forms in the order in which they are offered. The growth curves are those of
// the textbooks: von Bertalanffy 1938, Gompertz 1825 as growth (Winsor 1932),
// Verhulst's logistic 1838, Richards 1959. (From memory.)
var forms = []Form{
	{"linear", "a + b·x", []string{"a", "b"}, false,
		func(p []float64, x float64) float64 { return p[0] + float64(p[1]*x) }},
	{"polynomial", "a + b·x + c·x² + d·x³", []string{"a", "b", "c", "d"}, false,
		func(p []float64, x float64) float64 {
			return p[0] + float64(x*(p[1]+float64(x*(p[2]+float64(p[3]*x)))))
		}},
	{"power", "a·x^b", []string{"a", "b"}, false,
		func(p []float64, x float64) float64 { return p[0] * math.Pow(x, p[1]) }},
	{"rooted line", "(a + b·x)^c", []string{"a", "b", "c"}, false,
		func(p []float64, x float64) float64 { return math.Pow(p[0]+float64(p[1]*x), p[2]) }},
	{"log", "a + b·log10(x)", []string{"a", "b"}, false,
		func(p []float64, x float64) float64 { return p[0] + float64(p[1]*math.Log10(x)) }},
	{"exponential", "a·exp(b·x)", []string{"a", "b"}, false,
		func(p []float64, x float64) float64 { return p[0] * math.Exp(p[1]*x) }},
	{"von Bertalanffy", "A·(1 − exp(−k·(x − t0)))", []string{"A", "k", "t0"}, true,
		func(p []float64, x float64) float64 { return -p[0] * math.Expm1(-p[1]*(x-p[2])) }},
	{"von Bertalanffy from a size", "a + b·(1 − exp(−k·x))", []string{"a", "b", "k"}, false,
		func(p []float64, x float64) float64 { return p[0] - float64(p[1]*math.Expm1(-p[2]*x)) }},
	{"Gompertz", "A·exp(−exp(−k·(x − ti)))", []string{"A", "k", "ti"}, true,
		func(p []float64, x float64) float64 { return p[0] * math.Exp(-math.Exp(-p[1]*(x-p[2]))) }},
	{"logistic", "A/(1 + exp(−k·(x − ti)))", []string{"A", "k", "ti"}, true,
		func(p []float64, x float64) float64 { return p[0] / (1 + math.Exp(-p[1]*(x-p[2]))) }},
	{"offset logistic", "a + K·L0/((K − L0)·exp(−r·x) + L0)", []string{"a", "K", "L0", "r"}, false,
		func(p []float64, x float64) float64 {
			return p[0] + p[1]*p[2]/(float64((p[1]-p[2])*math.Exp(-p[3]*x))+p[2])
		}},
	{"Richards", "A·(1 + v·exp(−k·(x − ti)))^(−1/v)", []string{"A", "k", "ti", "v"}, true,
		func(p []float64, x float64) float64 {
			u := math.Exp(-p[1] * (x - p[2]))
			if math.Abs(p[3]) < 1e-9 { // Gompertz
				return p[0] * math.Exp(-u)
			}
			return p[0] * math.Exp(-math.Log1p(p[3]*u)/p[3])
		}},
	{Saturating, "(A − x)·(1 − exp(−k·years))", []string{"A", "k"}, true, nil},
	{Tabulated, "rows of age and size, straight between them", nil, false, nil},
}

// FormNames lists the forms a relation may have.
func FormNames() []string {
	names := make([]string, len(forms))
	for i, f := range forms {
		names[i] = f.Name
	}
	return names
}

// FormOf finds a form by its name.
func FormOf(name string) (Form, bool) {
	i := slices.IndexFunc(forms, func(f Form) bool { return f.Name == name })
	if i < 0 {
		return Form{}, false
	}
	return forms[i], true
}

// between lays x, which lies among the ascending from, on the line through its
// neighbours.
func between(from, to []float64, x float64) float64 {
	i, _ := slices.BinarySearch(from, x)
	i = min(max(i, 1), len(from)-1)
	share := (x - from[i-1]) / (from[i] - from[i-1])
	return to[i-1] + float64(share*(to[i]-to[i-1]))
}
