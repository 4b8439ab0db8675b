package density

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// A Survey is one or more trips, or grids, whose animals are taken to behave
// alike as far as the model says. An animal met on two trips counts on each.
type Survey []Trip

// A Trip is one array of traps over one block of nights.
type Trip struct {
	Name    string
	Traps   []Trap
	Animals []Animal // those caught
	Space   Space    // where their centres may lie
	// Taken marks, by trap and night, a trap that was sprung or held another
	// species. Nil is not told.
	Taken [][]bool
	// Columns hold a number for each trap, by name: its cover, say.
	Columns map[string][]float64
}

// A Point is a place on a plane grid, in metres.
type Point struct{ X, Y float64 }

// A Trap stands at one place.
type Trap struct {
	Name string
	At   Point
	// Open is its effort by night: 1 set, 0 not set or out of order, a share
	// where it worked for part of the night. The hazard of capture grows with it.
	Open []float64
}

// An Animal is one that was caught at least once.
type Animal struct {
	Name  string
	Group string // "" where it is not known
	// Caught holds its captures, in any order; the same trap and night twice is
	// one capture.
	Caught []Capture
	// Lost tells that it died or was taken away at its last capture.
	Lost bool
}

// A Capture is of one animal on one night in one trap, both counted from 0.
type Capture struct{ Night, Trap int }

// nights is how many nights the traps were looked at.
func (t Trip) nights() int {
	if len(t.Traps) == 0 {
		return 0
	}
	return len(t.Traps[0].Open)
}

// AreaHa is the area of all state spaces together.
func (s Survey) AreaHa() float64 {
	area := 0.0
	for _, t := range s {
		area += t.Space.AreaHa()
	}
	return area
}

// check finds what cannot be, in any trip.
func (s Survey) check(kind TrapKind) error {
	if len(s) == 0 {
		return fmt.Errorf("no trip: give at least one, with its traps and nights")
	}
	for _, t := range s {
		for _, err := range []error{t.checkTraps(), t.Space.check(), t.checkAnimals(kind)} {
			if err != nil {
				return fmt.Errorf("%s%w", t.called(), err)
			}
		}
		if n := len(t.Space.Cells) * max(len(t.Traps), len(t.Animals)); n > mostPairs {
			return fmt.Errorf("%s%d cells for %d traps and %d animals are more than can be held; make the cells larger", t.called(), len(t.Space.Cells), len(t.Traps), len(t.Animals))
		}
	}
	return nil
}

// mostPairs is how many numbers are kept for cells and traps, or animals.
const mostPairs = 50_000_000

// called begins a sentence about one of several trips.
func (t Trip) called() string {
	if t.Name == "" {
		return ""
	}
	return "trip " + t.Name + ": "
}

func (t Trip) checkTraps() error {
	if t.nights() == 0 {
		return fmt.Errorf("no traps, or no nights: give each trap's effort on every night")
	}
	for k, trap := range t.Traps {
		if len(trap.Open) != t.nights() {
			return fmt.Errorf("trap %q has %d nights, the first has %d: give every trap the same nights, 0 where it was not set", t.trap(k), len(trap.Open), t.nights())
		}
		if !finite(trap.At.X) || !finite(trap.At.Y) {
			return fmt.Errorf("trap %q stands nowhere: give its place in metres", t.trap(k))
		}
		for night, open := range trap.Open {
			if !(open >= 0) || !finite(open) {
				return fmt.Errorf("trap %q, night %d: an effort of %g: expected 0 or more", t.trap(k), night+1, open)
			}
		}
	}
	if t.Taken != nil && (len(t.Taken) != len(t.Traps) || slices.ContainsFunc(t.Taken, func(nights []bool) bool { return len(nights) != t.nights() })) {
		return fmt.Errorf("traps sprung are told for %d traps: tell it for each of %d on every night", len(t.Taken), len(t.Traps))
	}
	for _, name := range slices.Sorted(maps.Keys(t.Columns)) {
		if err := checkColumn(name, t.Columns[name], len(t.Traps), "trap"); err != nil {
			return err
		}
	}
	return nil
}

func checkColumn(name string, column []float64, n int, of string) error {
	if len(column) != n {
		return fmt.Errorf("%s: %d values for %d: give one for each %s", name, len(column), n, of)
	}
	for i, v := range column {
		if !finite(v) {
			return fmt.Errorf("%s of %s %d is missing: give a number", name, of, i+1)
		}
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// trap is a trap's name, or its number.
func (t Trip) trap(k int) string {
	if t.Traps[k].Name != "" {
		return t.Traps[k].Name
	}
	return fmt.Sprint(k + 1)
}

// animal is an animal's name, or its number.
func (t Trip) animal(i int) string {
	if t.Animals[i].Name != "" {
		return t.Animals[i].Name
	}
	return fmt.Sprint(i + 1)
}

func (t Trip) checkAnimals(kind TrapKind) error {
	for i, a := range t.Animals {
		if len(a.Caught) == 0 {
			return fmt.Errorf("animal %s was never caught: leave it out, how many were not caught is estimated", t.animal(i))
		}
		where := map[int]int{}
		for _, c := range a.Caught {
			if c.Night < 0 || c.Night >= t.nights() || c.Trap < 0 || c.Trap >= len(t.Traps) {
				return fmt.Errorf("animal %s, night %d, trap %d: there are %d nights and %d traps; correct the capture", t.animal(i), c.Night+1, c.Trap+1, t.nights(), len(t.Traps))
			}
			if t.Traps[c.Trap].Open[c.Night] == 0 {
				return fmt.Errorf("animal %s, night %d, trap %q: that trap was not open then; correct the capture, or the trap's effort", t.animal(i), c.Night+1, t.trap(c.Trap))
			}
			if other, twice := where[c.Night]; twice && other != c.Trap && kind != Proximity {
				return fmt.Errorf("animal %s, night %d: in traps %q and %q: a trap that holds an animal leaves it no second; correct one, or say that the traps are proximity detectors", t.animal(i), c.Night+1, t.trap(other), t.trap(c.Trap))
			}
			where[c.Night] = c.Trap
		}
	}
	return nil
}

// caught gives an animal's captures in order, each once.
func (a Animal) caught() []Capture {
	sorted := slices.Clone(a.Caught)
	slices.SortFunc(sorted, func(b, c Capture) int {
		if b.Night != c.Night {
			return b.Night - c.Night
		}
		return b.Trap - c.Trap
	})
	return slices.Compact(sorted)
}
