package density

import (
	"fmt"
	"strings"

	"dawnround/fit"
)

// A TrapKind says what a trap does to the animal it catches.
type TrapKind int

// The kinds of trap. A single-catch trap is shut by its first animal; no
// likelihood of that is known in closed form, so that of multi-catch traps
// stands in, and the saturation says how far that can be trusted (Efford,
// Borchers & Byrom 2009).
const (
	Multi     TrapKind = iota // holds the animal for the night, and leaves room for others
	Proximity                 // records it and lets it go on
	Single                    // holds one animal and is then shut
)

var trapKinds = []string{"multi", "proximity", "single"}

// String names the kind.
func (k TrapKind) String() string { return trapKinds[k] }

// MarshalText lets a kind stand in JSON by its name.
func (k TrapKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// A Count says what is taken to be random about how many animals there are.
type Count int

// The counts. Under Conditional the likelihood is taken given that the animals
// were caught, and the density derived from their number.
const (
	Poisson     Count = iota // centres lie at random, their number is Poisson
	Binomial                 // the number in the state space is fixed
	Conditional              // nothing is said of it
)

var counts = []string{"poisson", "binomial", "conditional"}

// String names the count.
func (c Count) String() string { return counts[c] }

// MarshalText lets a count stand in JSON by its name.
func (c Count) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// ParseTrapKind reads the name of a kind.
func ParseTrapKind(name string) (TrapKind, error) {
	i, err := named(name, trapKinds)
	return TrapKind(i), err
}

// ParseCount reads the name of a count.
func ParseCount(name string) (Count, error) {
	i, err := named(name, counts)
	return Count(i), err
}

func named(name string, all []string) (int, error) {
	for i, known := range all {
		if name == known {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%q: expected %s", name, strings.Join(all, ", "))
}

// A Model says what the animals' density, their detection and their movement
// depend on, each as a list of effects (see [fit.Cells.Design]); no effect is
// constant.
//
// Density is log-linear, in "group", "trip" and the columns of the cells.
// Detection, at no distance from the centre, is linear on its link, in
// "occasion", "trend" (0 on the first night), "after-capture" (caught before on
// that trip, anywhere), "group", "trip" and the columns of the traps. Move is
// log-linear in "group" and "trip".
//
// Where an effect names "group", animals whose group is not known are summed
// over the groups, by their density and by what was seen of them; that the
// group of some is not known must not depend on it. Such a model has a density
// of its own for each group.
type Model struct {
	Traps   TrapKind `json:"traps"`
	Shape   Shape    `json:"shape"`
	Count   Count    `json:"count"`
	Density []string `json:"density"`
	Detect  []string `json:"detect"`
	Move    []string `json:"move"`
}

// String is the model in the words of its effects.
func (m Model) String() string {
	words := []string{m.Traps.String() + " traps", m.Shape.String(), m.Count.String()}
	for _, part := range []struct {
		of      string
		effects []string
	}{{"density", m.Density}, {"detection", m.Detect}, {"sigma", m.Move}} {
		effects := strings.Join(part.effects, ", ")
		if effects == "" {
			effects = "constant"
		}
		words = append(words, part.of+" "+effects)
	}
	return strings.Join(words, "; ")
}

// speaks tells whether any effect names something.
func (m Model) speaks(of string) bool {
	for _, effects := range [][]string{m.Density, m.Detect, m.Move} {
		for _, used := range fit.Used(effects) {
			if used == of {
				return true
			}
		}
	}
	return false
}
