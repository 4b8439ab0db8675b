package survival

import (
	"fmt"
	"slices"
	"strconv"

	"dawnround/fit"
)

// Population says how a model speaks of animals not yet caught. It takes them
// to be caught as those marked are.
type Population string

// The ways of speaking of them.
const (
	Marked    Population = ""          // not at all
	Entry     Population = "entry"     // a superpopulation, of which shares enter before each occasion (Schwarz & Arnason 1996, Biometrics 52:860–873)
	Growth    Population = "growth"    // its rate of growth, λ (Pradel 1996, Biometrics 52:703–709)
	Seniority Population = "seniority" // the chance, γ, that an animal here was here an interval ago (the same)
)

// populate readies a model of animals not yet caught.
func (l *laid) populate() error {
	m := l.model
	if m.Population == Marked {
		return nil
	}
	if !l.tellsFirst || l.nights != nil || l.chain.states > 1 {
		return fmt.Errorf("%s: built for histories of one state with one occasion each; give those", m.Population)
	}
	for _, p := range l.predictors {
		for _, name := range p.used {
			if name == "since-marking" || name == "after-capture" || l.columns[name] != nil || l.changing[name] != nil {
				return fmt.Errorf("%s: %s %s speaks of marked animals only, and the model of those not yet caught too; leave it out", m.Population, p.name, name)
			}
		}
	}
	links := map[Population]fit.Link{Entry: fit.Identity, Growth: fit.Log, Seniority: fit.Logit}
	link, ok := links[m.Population]
	if !ok {
		return fmt.Errorf("population %q: expected none, %s, %s or %s", m.Population, Entry, Growth, Seniority)
	}
	l.predictors = append(l.predictors, newPredictor(string(m.Population), link, m.Populate, l.survey))
	c := course{}
	if m.Population == Entry {
		l.parts = append(l.parts, &superpopulation{course: c})
	} else {
		l.parts = append(l.parts, &pradel{course: c})
	}
	return nil
}

// A course is the rows that the groups take through the occasions.
type course struct {
	cells   [][3][]int // by group: survival, detection, population
	survive [][]int    // rows, by group and interval
	detect  [][]int    // by group and occasion
	people  [][]int    // by group and interval: those of what is said of the population
}

func (c *course) place(l *laid) {
	for group := range max(1, len(l.groups)) {
		who := max(0, slices.Index(l.group, group))
		var cells [3][]int
		for i := range l.occasions {
			at := cell{who: who, when: i}
			cells[1] = append(cells[1], l.chain.detect.place(at))
			if i < l.occasions-1 {
				cells[0] = append(cells[0], l.chain.survive.place(at))
				cells[2] = append(cells[2], l.population().place(at))
			}
		}
		c.cells = append(c.cells, cells)
	}
}

func (l *laid) population() *predictor { return l.predictors[len(l.predictors)-1] }

// turn makes rows of the cells.
func (c *course) turn(l *laid) {
	rows := func(p *predictor, cells []int) []int {
		out := make([]int, len(cells))
		for i, at := range cells {
			out[i] = p.rowOf[at]
		}
		return out
	}
	for _, cells := range c.cells {
		c.survive = append(c.survive, rows(l.chain.survive, cells[0]))
		c.detect = append(c.detect, rows(l.chain.detect, cells[1]))
		c.people = append(c.people, rows(l.population(), cells[2]))
	}
}

// first is how many animals of a group were caught for the first time on each
// occasion, and in all.
func (l *laid) firsts(group int) (by []float64, all float64) {
	by = l.first[group*l.occasions : (group+1)*l.occasions]
	for _, n := range by {
		all += n
	}
	return by, all
}

// place names a value by group and, unless it is 0, by number.
func (l *laid) named(name string, number, group int) string {
	switch {
	case l.groups == nil && number == 0:
		return name
	case l.groups == nil:
		return name + "[" + strconv.Itoa(number) + "]"
	case number == 0:
		return name + "[" + l.groups[group] + "]"
	}
	return fmt.Sprintf("%s[%d,%s]", name, number, l.groups[group])
}
