package survival

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// Data are what became of marked animals: [Histories], or their summary
// [MArray], to which fewer models can be fitted.
type Data interface {
	survey() (survey, error)
}

// A Timetable says what is known of the occasions themselves.
type Timetable struct {
	// Intervals are the lengths of time between occasions, in one unit of the
	// caller's choice; nil is 1 each. Survival is per unit.
	Intervals []float64
	// ByInterval hold a number for each interval, by name: rain, say.
	ByInterval map[string][]float64
	// ByOccasion hold a number for each occasion, by name: effort, say.
	ByOccasion map[string][]float64
}

// Histories say of every animal on which occasions it was caught.
type Histories struct {
	Timetable
	// Caught has a row for each history and a column for each occasion: 0 for
	// not caught, otherwise the number of the state it was caught in, from 1.
	Caught [][]int
	// States name the states; nil is one.
	States []string
	// Count is how many animals had that history; nil is one each.
	Count []int
	// Group names each row's group; nil is one group.
	Group []string
	// Lost marks rows whose animals were not released at their last capture, or
	// died there; nil is none.
	Lost []bool
	// Columns hold a number for each row, by name: weight at first capture, say.
	Columns map[string][]float64
	// Changing hold a number for each row and occasion, by name. Survival over
	// an interval takes that of the occasion before it.
	Changing map[string][][]float64
}

// An MArray says of the animals released on each occasion when they were next
// caught. It knows nothing of who, nor of when they were marked.
type MArray struct {
	Timetable
	Released []int   // on each occasion but the last
	Seen     [][]int // Seen[i][j] of those released on i were next caught on j, from 0
}

// ParseHistory reads a history such as "010011", or, of animals seen in states
// of one letter each, such as "0AAB0".
func ParseHistory(text string, states []string) ([]int, error) {
	if states == nil {
		states = []string{"1"}
	}
	caught := make([]int, 0, len(text))
	for _, sign := range text {
		state := slices.Index(states, string(sign)) + 1
		if state == 0 && sign != '0' {
			return nil, fmt.Errorf("history %q: %q on occasion %d: expected 0 or %s", text, sign, len(caught)+1, strings.Join(states, ", "))
		}
		caught = append(caught, state)
	}
	return caught, nil
}

// A release is animals alike in all that is known, let go on an occasion, and
// what became of them next.
type release struct {
	count       float64
	row         int    // of the data: who they are
	past        string // their captures up to now
	first       int    // the occasion of marking
	at, state   int    // where they were let go
	next, found int    // when and in which state they were next caught; never is −1
}

const never = -1

// A survey is data in the form the likelihood takes.
type survey struct {
	Timetable
	occasions  int
	states     []string
	groups     []string
	group      []int // by row
	weight     []float64
	columns    map[string][]float64
	changing   map[string][][]float64
	releases   []release
	tellsFirst bool    // whether it is known when animals were marked
	nights     [][]int // the occasions that make up each period, in the robust design
	visits     []visit
	first      []float64 // by group and occasion: animals caught for the first time
	caught     []float64 // by group and occasion
	lost       []float64 // of them, not released
}

// released counts the releases on all occasions but the last: the sample size
// of a survival model.
func (s survey) released() int {
	n := 0.0
	for _, r := range s.releases {
		n += r.count
	}
	return int(n)
}

func (s survey) recaught() int {
	n := 0.0
	for _, r := range s.releases {
		if r.next != never {
			n += r.count
		}
	}
	return int(n)
}

func (h Histories) survey() (survey, error) {
	if err := h.check(); err != nil {
		return survey{}, err
	}
	s := survey{
		Timetable: h.Timetable, occasions: len(h.Caught[0]), states: h.States,
		columns: h.Columns, changing: h.Changing, tellsFirst: true,
		group: make([]int, len(h.Caught)), weight: make([]float64, len(h.Caught)),
	}
	s.Intervals = s.Timetable.lengths(s.occasions)
	if h.Group != nil {
		s.groups = slices.Compact(slices.Sorted(slices.Values(h.Group)))
	}
	for row := range h.Caught {
		if h.Group != nil {
			s.group[row] = slices.Index(s.groups, h.Group[row])
		}
		s.weight[row] = h.count(row)
		s.releases = append(s.releases, h.released(row)...)
	}
	s.tally(h)
	return s, nil
}

// tally counts the animals of each group caught on each occasion, those of them
// caught for the first time, and those not let go.
func (s *survey) tally(h Histories) {
	n := s.occasions * max(1, len(s.groups))
	s.first, s.caught, s.lost = make([]float64, n), make([]float64, n), make([]float64, n)
	for row, caught := range h.Caught {
		last := never
		for j, state := range caught {
			if state == 0 {
				continue
			}
			at := s.group[row]*s.occasions + j
			if last == never {
				s.first[at] += h.count(row)
			}
			s.caught[at] += h.count(row)
			last = at
		}
		if last != never && h.lost(row) {
			s.lost[last] += h.count(row)
		}
	}
}

func (h Histories) count(row int) float64 {
	if h.Count == nil {
		return 1
	}
	return float64(h.Count[row])
}

func (h Histories) lost(row int) bool { return h.Lost != nil && h.Lost[row] }

// released cuts a history at its captures. Those let go on the last occasion,
// or not let go at all, tell nothing more.
func (h Histories) released(row int) []release {
	var out []release
	last := release{first: never}
	for j, state := range h.Caught[row] {
		if state == 0 {
			continue
		}
		if last.first != never {
			last.next, last.found = j, state-1
			out = append(out, last)
		} else {
			last = release{count: h.count(row), row: row, first: j}
		}
		last.at, last.state, last.next, last.found = j, state-1, never, never
		last.past = key(h.Caught[row][:j+1]...)
	}
	if last.first != never && !h.lost(row) && last.at < len(h.Caught[row])-1 {
		out = append(out, last)
	}
	return slices.DeleteFunc(out, func(r release) bool { return r.count == 0 })
}

func (h Histories) check() error {
	if len(h.Caught) == 0 || len(h.Caught[0]) == 0 {
		return fmt.Errorf("no histories: give at least one occasion and one animal")
	}
	states := max(1, len(h.States))
	for i, caught := range h.Caught {
		if len(caught) != len(h.Caught[0]) {
			return fmt.Errorf("history %d has %d occasions, the first has %d: give every history the same occasions", i+1, len(caught), len(h.Caught[0]))
		}
		for j, state := range caught {
			if state < 0 || state > states {
				return fmt.Errorf("history %d: state %d on occasion %d: expected 0 to %d", i+1, state, j+1, states)
			}
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
	if err := checkColumns(h.Columns, len(h.Caught), "history"); err != nil {
		return err
	}
	return h.checkTimes()
}

func (h Histories) checkTimes() error {
	occasions := len(h.Caught[0])
	for _, name := range slices.Sorted(maps.Keys(h.Changing)) {
		if len(h.Changing[name]) != len(h.Caught) {
			return fmt.Errorf("%s: %d rows for %d histories: give one for each", name, len(h.Changing[name]), len(h.Caught))
		}
		for i, values := range h.Changing[name] {
			if err := checkColumn(fmt.Sprintf("%s of history %d", name, i+1), values, occasions, "occasion"); err != nil {
				return err
			}
		}
	}
	return h.Timetable.check(occasions)
}

func (t Timetable) check(occasions int) error {
	if t.Intervals != nil && len(t.Intervals) != occasions-1 {
		return fmt.Errorf("%d interval lengths for %d occasions: give %d", len(t.Intervals), occasions, occasions-1)
	}
	for i, length := range t.Intervals {
		if !(length > 0) || math.IsInf(length, 1) {
			return fmt.Errorf("interval %d has length %g: expected more than 0", i+1, length)
		}
	}
	if err := checkColumns(t.ByInterval, occasions-1, "interval"); err != nil {
		return err
	}
	return checkColumns(t.ByOccasion, occasions, "occasion")
}

// lengths are those of the intervals, 1 where nothing was said.
func (t Timetable) lengths(occasions int) []float64 {
	if t.Intervals != nil {
		return t.Intervals
	}
	return slices.Repeat([]float64{1}, max(0, occasions-1))
}

func checkColumns(columns map[string][]float64, n int, of string) error {
	for _, name := range slices.Sorted(maps.Keys(columns)) {
		if err := checkColumn(name, columns[name], n, of); err != nil {
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
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%s at %s %d is missing: leave that one out, or put in the mean or the last one known and say so", name, of, i+1)
		}
	}
	return nil
}

func (m MArray) survey() (survey, error) {
	occasions := len(m.Released) + 1
	s := survey{Timetable: m.Timetable, occasions: occasions, group: []int{0}, weight: []float64{1}}
	s.Intervals = s.Timetable.lengths(occasions)
	if len(m.Released) == 0 || len(m.Seen) != len(m.Released) {
		return s, fmt.Errorf("%d occasions of releases, %d rows of recaptures: give both for every occasion but the last", len(m.Released), len(m.Seen))
	}
	if err := m.Timetable.check(occasions); err != nil {
		return s, err
	}
	for i, row := range m.Seen {
		if len(row) != occasions {
			return s, fmt.Errorf("row %d of recaptures has %d occasions: expected %d", i+1, len(row), occasions)
		}
		left := m.Released[i]
		for j, n := range row {
			if n < 0 || n > 0 && j <= i {
				return s, fmt.Errorf("%d released on occasion %d and next caught on %d: expected 0 or more, on a later occasion", n, i+1, j+1)
			}
			left -= n
			if n > 0 {
				s.releases = append(s.releases, release{count: float64(n), first: i, at: i, next: j})
			}
		}
		if left < 0 {
			return s, fmt.Errorf("occasion %d: %d released, but %d caught again: correct one of them", i+1, m.Released[i], m.Released[i]-left)
		}
		if left > 0 {
			s.releases = append(s.releases, release{count: float64(left), first: i, at: i, next: never, found: never})
		}
	}
	return s, nil
}

// MArray counts, for every occasion of release, when animals were next caught;
// groups and states are taken together.
func (h Histories) MArray() (MArray, error) {
	s, err := h.survey()
	if err != nil {
		return MArray{}, err
	}
	m := MArray{Timetable: h.Timetable, Released: make([]int, s.occasions-1), Seen: make([][]int, s.occasions-1)}
	for i := range m.Seen {
		m.Seen[i] = make([]int, s.occasions)
	}
	for _, r := range s.releases {
		m.Released[r.at] += int(r.count)
		if r.next != never {
			m.Seen[r.at][r.next] += int(r.count)
		}
	}
	return m, nil
}
