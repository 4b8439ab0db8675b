package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnround/density"
	"dawnround/fit"
)

// The tables that fit density takes, each named by its option.
var (
	trapLayout    = layout{"traps", []string{"trap", "x", "y"}, []string{"trip"}, true}
	captureLayout = layout{"captures", []string{"animal", "occasion", "trap"}, []string{"trip", "group", "sex", lostColumn}, true}
	cellLayout    = layout{"cells", []string{"x", "y"}, []string{"trip"}, true}
	fenceLayout   = layout{"fence", []string{"vertex", "x", "y"}, []string{"ring"}, true}
)

// readAs reads a table whose layout is known.
func (c *call) readAs(file string, l layout) (*plainTable, error) {
	text, err := c.readFile(file)
	if err != nil {
		return nil, err
	}
	return readLayout(file, text, l)
}

func readLayout(file string, text []byte, l layout) (*plainTable, error) {
	t, err := readRows(file, text)
	if err != nil {
		return nil, err
	}
	for _, name := range l.needs {
		if t.at(name) < 0 {
			return nil, fmt.Errorf("%s: header %q: no column %s; a table of %s has %s", file, strings.Join(t.header, ","), name, l.name, strings.Join(l.needs, ","))
		}
	}
	t.layout = l
	return t, t.checkHeader()
}

// survey reads the tables of fit density. An effect "sex" is that of the groups
// where the captures tell sexes.
func (c *call) survey(o densityOptions, m density.Model) (density.Survey, density.Model, error) {
	traps, err := c.readAs(o.traps, trapLayout)
	if err != nil {
		return nil, m, err
	}
	s, err := traps.trips()
	if err != nil {
		return nil, m, err
	}
	captures, err := c.readAs(o.captures, captureLayout)
	if err != nil {
		return nil, m, err
	}
	if err := captures.animals(s); err != nil {
		return nil, m, err
	}
	if captures.at("sex") >= 0 && captures.at("group") < 0 {
		m = groupedBySex(m)
	}
	if err := traps.wholeColumns(m.Detect); err != nil {
		return nil, m, err
	}
	return s, m, c.spaces(o, s, m.Density)
}

// wholeColumns finds a cell without a number in a column that effects name.
func (t *plainTable) wholeColumns(effects []string) error {
	for _, name := range fit.Used(effects) {
		if t.isFree(name) {
			if _, err := t.numbers(name); err != nil {
				return err
			}
		}
	}
	return nil
}

func groupedBySex(m density.Model) density.Model {
	for _, effects := range []*[]string{&m.Density, &m.Detect, &m.Move} {
		*effects = slices.Clone(*effects)
		for i, effect := range *effects {
			parts := strings.Split(effect, "*")
			for j := range parts {
				if parts[j] == "sex" {
					parts[j] = "group"
				}
			}
			(*effects)[i] = strings.Join(parts, "*")
		}
	}
	return m
}

// trips reads the traps of every trip, in the order in which trips first appear.
func (t *plainTable) trips() (density.Survey, error) {
	x, err := t.numbers("x")
	if err != nil {
		return nil, err
	}
	y, err := t.numbers("y")
	if err != nil {
		return nil, err
	}
	open, taken := t.nightly("open"), t.nightly("taken")
	if len(open) == 0 {
		return nil, fmt.Errorf("%s: no column open1: write the effort of every night in open1, open2 and so on, 1 where the trap was set and 0 where it was not", t.file)
	}
	for _, name := range t.header {
		if at := t.at(name); isNightly(name) && !slices.Contains(open, at) && !slices.Contains(taken, at) {
			return nil, fmt.Errorf("%s: column %s: the night before it has none; give every night from 1, with 0 where a trap was not set", t.file, name)
		}
	}
	if len(taken) != 0 && len(taken) != len(open) {
		return nil, fmt.Errorf("%s: %d columns taken1, taken2 …, %d columns open1, open2 …: give both for every night", t.file, len(taken), len(open))
	}
	var s density.Survey
	for i, row := range t.rows {
		trip := t.tripOf(&s, i)
		if row[t.at("trap")] == "" || slices.ContainsFunc(trip.Traps, func(trap density.Trap) bool { return trap.Name == row[t.at("trap")] }) {
			return nil, t.wrong(i, "trap", "a name that no other trap of the trip has; rename one, or take the row out")
		}
		trap := density.Trap{Name: row[t.at("trap")], At: density.Point{X: x[i], Y: y[i]}}
		if trap.Open, err = t.efforts(i, open); err != nil {
			return nil, err
		}
		trip.Traps = append(trip.Traps, trap)
		if len(taken) > 0 {
			busy, err := t.busy(i, taken, len(trap.Open))
			if err != nil {
				return nil, err
			}
			trip.Taken = append(trip.Taken, busy)
		}
		if err := t.own(i, &trip.Columns); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// nightly are the columns name1, name2 … as far as they go on.
func (t *plainTable) nightly(name string) []int {
	var at []int
	for night := 1; t.at(name+strconv.Itoa(night)) >= 0; night++ {
		at = append(at, t.at(name+strconv.Itoa(night)))
	}
	return at
}

// tripOf finds or adds the trip of a row.
func (t *plainTable) tripOf(s *density.Survey, row int) *density.Trip {
	name := ""
	if t.at("trip") >= 0 {
		name = t.rows[row][t.at("trip")]
	}
	i := slices.IndexFunc(*s, func(trip density.Trip) bool { return trip.Name == name })
	if i < 0 {
		i = len(*s)
		*s = append(*s, density.Trip{Name: name})
	}
	return &(*s)[i]
}

// efforts reads a trap's nights. Blanks behind the last night of a shorter trip
// are no nights.
func (t *plainTable) efforts(row int, columns []int) ([]float64, error) {
	cells := t.rows[row]
	last := len(columns)
	for last > 0 && cells[columns[last-1]] == "" {
		last--
	}
	var out []float64
	for _, at := range columns[:last] {
		v, err := strconv.ParseFloat(cells[at], 64)
		if err != nil || !(v >= 0) || math.IsInf(v, 0) {
			return nil, t.wrong(row, t.header[at], "an effort of 0 or more: 1 set, 0 not set or out of order, a share for part of the night")
		}
		out = append(out, v)
	}
	return out, nil
}

// busy reads the nights on which a trap was sprung or held another species.
func (t *plainTable) busy(row int, columns []int, nights int) ([]bool, error) {
	out := make([]bool, nights)
	for night, at := range columns[:nights] {
		switch t.rows[row][at] {
		case "1":
			out[night] = true
		case "0":
		default:
			return nil, t.wrong(row, t.header[at], "1 where the trap was sprung or held another species, else 0")
		}
	}
	return out, nil
}

// own adds a row's free columns that are numbers all the way down.
func (t *plainTable) own(row int, columns *map[string][]float64) error {
	for i, name := range t.header {
		if !t.isFree(name) || isNightly(name) || !t.numeric(i) {
			continue
		}
		if *columns == nil {
			*columns = map[string][]float64{}
		}
		v, err := strconv.ParseFloat(t.rows[row][i], 64)
		if err != nil {
			return t.wrong(row, name, "a number")
		}
		(*columns)[name] = append((*columns)[name], v)
	}
	return nil
}

func isNightly(name string) bool {
	for _, of := range []string{"open", "taken"} {
		if night, ok := strings.CutPrefix(name, of); ok {
			if _, err := strconv.Atoi(night); err == nil {
				return true
			}
		}
	}
	return false
}

// numeric tells whether a column holds finite numbers only.
func (t *plainTable) numeric(column int) bool {
	return !slices.ContainsFunc(t.rows, func(row []string) bool {
		v, err := strconv.ParseFloat(row[column], 64)
		return err != nil || finite(v) == nil
	})
}

// animals reads the captures into the trips.
func (t *plainTable) animals(s density.Survey) error {
	type who struct {
		trip int
		name string
	}
	seen := map[who]int{}
	for i, row := range t.rows {
		trip, err := t.tripIn(s, i)
		if err != nil {
			return err
		}
		c, err := t.capture(s[trip], i)
		if err != nil {
			return err
		}
		name := row[t.at("animal")]
		if name == "" {
			return t.wrong(i, "animal", "the animal's name or number")
		}
		at, ok := seen[who{trip, name}]
		if !ok {
			at = len(s[trip].Animals)
			seen[who{trip, name}] = at
			s[trip].Animals = append(s[trip].Animals, density.Animal{Name: name})
		}
		if err := t.describe(&s[trip].Animals[at], i); err != nil {
			return err
		}
		s[trip].Animals[at].Caught = append(s[trip].Animals[at].Caught, c)
	}
	return nil
}

func (t *plainTable) tripIn(s density.Survey, row int) (int, error) {
	at := t.at("trip")
	if at < 0 && len(s) > 1 {
		return 0, fmt.Errorf("%s: the traps are of %s; say of every capture in a column trip of which", t.file, plural(len(s), "trip"))
	}
	name := ""
	if at >= 0 {
		name = t.rows[row][at]
	}
	i := slices.IndexFunc(s, func(trip density.Trip) bool { return trip.Name == name })
	if i < 0 {
		return 0, t.wrong(row, "trip", "a trip that the table of traps has in its column trip")
	}
	return i, nil
}

func (t *plainTable) capture(trip density.Trip, row int) (density.Capture, error) {
	nights := 0
	if len(trip.Traps) > 0 {
		nights = len(trip.Traps[0].Open)
	}
	night, err := strconv.Atoi(t.rows[row][t.at("occasion")])
	if err != nil || night < 1 || night > nights {
		return density.Capture{}, t.wrong(row, "occasion", fmt.Sprintf("a night from 1 to %d, as the traps have them", nights))
	}
	name := t.rows[row][t.at("trap")]
	trap := slices.IndexFunc(trip.Traps, func(known density.Trap) bool { return known.Name == name })
	if trap < 0 {
		return density.Capture{}, t.wrong(row, "trap", "a trap of the table of traps")
	}
	return density.Capture{Night: night - 1, Trap: trap}, nil
}

// describe reads what a row says of the animal itself.
func (t *plainTable) describe(a *density.Animal, row int) error {
	column := "group"
	if t.at(column) < 0 {
		column = "sex"
	}
	if at := t.at(column); at >= 0 {
		switch group := t.rows[row][at]; {
		case group == "" || group == "unknown":
		case strings.ContainsAny(group, ":*,;=[]"):
			return t.wrong(row, column, "a word without signs; write one, or leave it blank where it is not known")
		case a.Group != "" && a.Group != group:
			return t.wrong(row, column, fmt.Sprintf("%s, as on an earlier row of this animal; correct one, or leave both blank", a.Group))
		default:
			a.Group = group
		}
	}
	at := t.at(lostColumn)
	if at < 0 {
		return nil
	}
	switch t.rows[row][at] {
	case "1":
		a.Lost = true
	case "0", "":
	default:
		return t.wrong(row, lostColumn, "1 where the animal died or was taken away at its last capture, else 0")
	}
	return nil
}
