package abundance

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// Data are what nights of trapping gave: [Histories], or one of its summaries
// [Frequencies], [NightCounts] and [Removals], from which fewer models can be
// fitted.
type Data interface {
	survey(used []string) (survey, error)
}

// Histories say of every animal caught on which nights it was caught.
type Histories struct {
	// Caught has a row for each history and a column for each night.
	Caught [][]bool
	// Count is how many animals had that history; nil is one each.
	Count []int
	// Group names each row's group; nil is one group. Every group has its own N.
	Group []string
	// Lost marks rows whose animals were removed, or died, at their last
	// capture; nil is none. They count in N.
	Lost []bool
	// Columns hold a number for each row, by name: weight, say.
	Columns map[string][]float64
	// Nightly hold a number for each night, by name: effort, say.
	Nightly map[string][]float64
}

// Frequencies say how many animals were caught once, twice and so on: Animals[0]
// once. They know nothing of when.
type Frequencies struct {
	Nights  int
	Animals []int
}

// NightCounts say how many animals each night caught, and how many of them for
// the first time. They know nothing of who.
type NightCounts struct {
	Caught, New []int
	Nightly     map[string][]float64
}

// Removals say how many animals each night took away for good.
type Removals struct {
	Taken   []int
	Nightly map[string][]float64
}

// ParseHistory reads a history such as "010011".
func ParseHistory(text string) ([]bool, error) {
	caught := make([]bool, len(text))
	for i, c := range []byte(text) {
		switch c {
		case '1':
			caught[i] = true
		case '0':
		default:
			return nil, fmt.Errorf("history %q: %q on night %d: expected 0 or 1", text, c, i+1)
		}
	}
	return caught, nil
}

// A use is a number of chances at one cell: caught of caught + missed.
type use struct {
	cell           cell
	caught, missed float64
}

// A cell is a chance of being caught: who, when, and whether caught before.
type cell struct {
	profile, night int
	after          bool
}

// A life is what happened to animals alike in everything.
type life struct {
	count float64
	uses  []use
}

// A profile is a kind of animal: a group, and individual numbers.
type profile struct {
	group  int
	values []float64
	caught float64
	unseen []use // the life of one never caught
}

// A survey is data in the form the likelihood takes.
type survey struct {
	nights     int
	groups     []string
	columns    []string // names of the profiles' values
	nightly    map[string][]float64
	profiles   []profile
	lives      []life
	caught     []float64 // animals, by group
	captures   int
	tellsNight bool // cells know their night
	tellsFirst bool // cells know whether the animal was caught before
	tellsWho   bool // lives are those of single animals
}

func (h Histories) survey(used []string) (survey, error) {
	if err := h.check(); err != nil {
		return survey{}, err
	}
	s := survey{nights: len(h.Caught[0]), nightly: h.Nightly, tellsNight: true, tellsFirst: true, tellsWho: true}
	for name := range h.Columns {
		if slices.Contains(used, name) {
			s.columns = append(s.columns, name)
		}
	}
	slices.Sort(s.columns)
	if h.Group != nil {
		s.groups = slices.Compact(slices.Sorted(slices.Values(h.Group)))
	}
	s.caught = make([]float64, max(1, len(s.groups)))
	seen := map[string]int{}
	for i, caught := range h.Caught {
		count := 1.0
		if h.Count != nil {
			count = float64(h.Count[i])
		}
		if !slices.Contains(caught, true) || count == 0 {
			continue
		}
		p := h.profile(i, &s, seen)
		s.profiles[p].caught += count
		s.caught[s.profiles[p].group] += count
		l := life{count: count, uses: uses(caught, p, h.Lost != nil && h.Lost[i])}
		for _, u := range l.uses {
			s.captures += int(u.caught * count)
		}
		s.lives = append(s.lives, l)
	}
	return s, nil
}

// profile finds or adds the kind of animal that row i is.
func (h Histories) profile(i int, s *survey, seen map[string]int) int {
	p := profile{}
	if h.Group != nil {
		p.group = slices.Index(s.groups, h.Group[i])
	}
	var key strings.Builder
	fmt.Fprint(&key, p.group)
	for _, name := range s.columns {
		v := h.Columns[name][i]
		p.values = append(p.values, v)
		fmt.Fprintf(&key, " %x", math.Float64bits(v))
	}
	if at, ok := seen[key.String()]; ok {
		return at
	}
	at := len(s.profiles)
	seen[key.String()] = at
	p.unseen = uses(make([]bool, s.nights), at, false)
	s.profiles = append(s.profiles, p)
	return at
}

// uses lays a history out as chances; a lost animal has none after its last
// capture.
func uses(caught []bool, profile int, lost bool) []use {
	var out []use
	after := false
	for night, c := range caught {
		u := use{cell: cell{profile, night, after}, missed: 1}
		if c {
			u.caught, u.missed, after = 1, 0, true
		}
		out = append(out, u)
		if lost && !slices.Contains(caught[night+1:], true) && after {
			break
		}
	}
	return out
}

func (h Histories) check() error {
	if len(h.Caught) == 0 || len(h.Caught[0]) == 0 {
		return fmt.Errorf("no histories: give at least one night and one animal")
	}
	for i, c := range h.Caught {
		if len(c) != len(h.Caught[0]) {
			return fmt.Errorf("history %d has %d nights, the first has %d: give every history the same nights", i+1, len(c), len(h.Caught[0]))
		}
	}
	for i, n := range h.Count {
		if n < 0 {
			return fmt.Errorf("history %d: a count of %d: expected 0 or more", i+1, n)
		}
	}
	for what, n := range []int{len(h.Count), len(h.Group), len(h.Lost)} {
		if n != 0 && n != len(h.Caught) {
			return fmt.Errorf("%d %s for %d histories: give one for each", n, []string{"counts", "groups", "losses"}[what], len(h.Caught))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(h.Columns)) {
		if err := checkColumn(name, h.Columns[name], len(h.Caught), "history"); err != nil {
			return err
		}
	}
	return checkNightly(h.Nightly, len(h.Caught[0]))
}

func checkColumn(name string, column []float64, n int, of string) error {
	if len(column) != n {
		return fmt.Errorf("%s: %d values for %d: give one for each %s", name, len(column), n, of)
	}
	for i, v := range column {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%s of %s %d is missing: leave that one out, or put in the mean and say so", name, of, i+1)
		}
	}
	return nil
}

func checkNightly(nightly map[string][]float64, nights int) error {
	for _, name := range slices.Sorted(maps.Keys(nightly)) {
		if err := checkColumn(name, nightly[name], nights, "night"); err != nil {
			return err
		}
	}
	return nil
}

func (f Frequencies) survey([]string) (survey, error) {
	s := survey{nights: f.Nights, tellsWho: true, caught: make([]float64, 1)}
	if f.Nights < 1 {
		return s, fmt.Errorf("%d nights: expected 1 or more", f.Nights)
	}
	for i, n := range f.Animals {
		times := i + 1
		if n < 0 || n > 0 && times > f.Nights {
			return s, fmt.Errorf("%d animals caught %d times in %d nights: expected 0 or more, on at most that many nights", n, times, f.Nights)
		}
		if n > 0 {
			s.lives = append(s.lives, life{float64(n), []use{{caught: float64(times), missed: float64(f.Nights - times)}}})
		}
		s.caught[0] += float64(n)
		s.captures += n * times
	}
	s.profiles = []profile{{caught: s.caught[0], unseen: []use{{missed: float64(f.Nights)}}}}
	return s, nil
}

func (n NightCounts) survey([]string) (survey, error) {
	s := survey{nights: len(n.Caught), nightly: n.Nightly, tellsNight: true, tellsFirst: true, caught: make([]float64, 1)}
	if len(n.Caught) == 0 || len(n.New) != len(n.Caught) {
		return s, fmt.Errorf("%d nights of catches, %d of first catches: give both for every night", len(n.Caught), len(n.New))
	}
	if err := checkNightly(n.Nightly, s.nights); err != nil {
		return s, err
	}
	total := 0
	for _, u := range n.New {
		total += u
	}
	all := life{count: 1}
	marked := 0
	for night, caught := range n.Caught {
		fresh := n.New[night]
		if fresh < 0 || caught < fresh || caught-fresh > marked {
			return s, fmt.Errorf("night %d: %d caught, %d of them new, %d known before: these cannot go together", night+1, caught, fresh, marked)
		}
		again := caught - fresh
		all.uses = append(all.uses, use{cell{night: night}, float64(fresh), float64(total - marked - fresh)})
		if marked > 0 {
			all.uses = append(all.uses, use{cell{night: night, after: true}, float64(again), float64(marked - again)})
		}
		marked += fresh
		s.captures += caught
	}
	s.caught[0] = float64(total)
	s.lives = []life{all}
	s.profiles = []profile{{caught: float64(total), unseen: uses(make([]bool, s.nights), 0, false)}}
	return s, nil
}

func (r Removals) survey([]string) (survey, error) {
	s := survey{nights: len(r.Taken), nightly: r.Nightly, tellsNight: true, caught: make([]float64, 1)}
	if len(r.Taken) == 0 {
		return s, fmt.Errorf("no nights: give what each night removed")
	}
	if err := checkNightly(r.Nightly, s.nights); err != nil {
		return s, err
	}
	total := 0
	for night, n := range r.Taken {
		if n < 0 {
			return s, fmt.Errorf("night %d: %d removed: expected 0 or more", night+1, n)
		}
		total += n
	}
	all := life{count: 1}
	left := total
	for night, n := range r.Taken {
		all.uses = append(all.uses, use{cell{night: night}, float64(n), float64(left - n)})
		left -= n
	}
	s.caught[0], s.captures = float64(total), total
	s.lives = []life{all}
	s.profiles = []profile{{caught: float64(total), unseen: uses(make([]bool, s.nights), 0, false)}}
	return s, nil
}
