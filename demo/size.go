package demo

import "math"

// Curve is Janoschek's growth curve,
//
//	size = Grown − (Grown − Birth)·exp(−K·age^P)
//
// with age in days (Janoschek 1957, "Das reaktionskinetische Grundgesetz und
// seine Beziehungen zum Wachstums- und Ertragsgesetz"; from memory). It is
// exact at birth, reaches an asymptote, and bends where P says, unlike the
// logistic, Gompertz and von Bertalanffy curves. All parameters are invented.
type Curve struct {
	Birth float64 `json:"birth"`
	Grown float64 `json:"grown"`
	K     float64 `json:"k"`
	P     float64 `json:"p"`
}

// At is the size at an age in days.
func (c Curve) At(ageDays float64) float64 {
	return c.Grown - float64((c.Grown-c.Birth)*math.Exp(-float64(c.K*math.Pow(ageDays, c.P))))
}

// scaled is the curve of an animal that grows to so much of the usual.
func (c Curve) scaled(by float64) Curve {
	c.Grown *= by
	return c
}

// Traits whose curves the demo knows; those of crown–rump and testis are not
// the animal's own scale.
const (
	mass   = "mass"
	head   = "head"
	pes    = "pes"
	tail   = "tail"
	ear    = "ear"
	testis = "testis"
	crown  = "crown-rump"
)

// bones are measured with an instrument, in the order of the card.
var bones = []string{pes, tail, head, ear}

// grows gives the curve of a trait for a female and a male.
type grows map[string][2]Curve

var wallabySizes = grows{
	mass:   {{0.5, 3350, 9.3e-7, 2.28}, {0.5, 4150, 6.5e-7, 2.28}},
	head:   {{8, 96, 0.0025, 1.15}, {8, 103, 0.0022, 1.15}},
	pes:    {{4, 131, 0.0030, 1.15}, {4, 140, 0.0028, 1.15}},
	tail:   {{8, 440, 0.0019, 1.15}, {8, 478, 0.0018, 1.15}},
	ear:    {{1, 58, 0.0035, 1.15}, {1, 60, 0.0035, 1.15}},
	testis: {{}, {3, 33, 3.8e-9, 3}},
	crown:  {{16, 300, 0.00164, 1.15}, {16, 300, 0.00164, 1.15}},
}

var bandicootSizes = grows{
	mass:   {{0.2, 950, 3.7e-6, 2.48}, {0.2, 1400, 2.4e-6, 2.48}},
	head:   {{6, 78, 0.0039, 1.3}, {6, 83, 0.0038, 1.3}},
	pes:    {{2.2, 61, 0.0046, 1.3}, {2.2, 65, 0.0045, 1.3}},
	tail:   {{5, 130, 0.0039, 1.3}, {5, 142, 0.0037, 1.3}},
	ear:    {{1, 27, 0.0044, 1.3}, {1, 28.5, 0.0044, 1.3}},
	testis: {{}, {2, 25, 9e-8, 3}},
	crown:  {{13, 150, 0.0041, 1.3}, {13, 150, 0.0041, 1.3}},
}
