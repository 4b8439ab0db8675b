package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnround/abundance"
)

// A layout is one of the plain tables an estimate can be made from, known by
// its header. Columns that are not needed are numbers of the animal or the
// night where the layout has free columns, and at fault where it has none.
type layout struct {
	name  string
	needs []string
	may   []string
	free  bool
}

var layouts = []layout{
	{"histories", []string{"history"}, []string{"animal", "count", "group", lostColumn}, true},
	{"frequencies", []string{"times_caught", "animals"}, nil, false},
	{"census", []string{"occasion", "caught", "recaptured", "marked_at_large"}, nil, false},
	{"night counts", []string{"occasion", "caught", "newly_caught"}, nil, true},
	{"removals", []string{"occasion", "removed"}, nil, true},
	{"two samples", []string{"marked_first", "caught_second", "marked_in_second"}, []string{"example"}, false},
	{"recaptures", []string{"released_occasion", "next_recapture_occasion", "count"}, nil, false},
	{"releases", []string{"occasion", "released"}, []string{"caught"}, false},
	{"design", []string{"occasion", "primary"}, []string{"secondary"}, false},
	{"occasions", []string{"occasion"}, []string{intervalColumn}, true},
}

// lostColumn marks animals that died or were taken away at their last capture.
const lostColumn = "not_released_at_last_capture"

// intervalColumn is the time from an occasion to the next.
const intervalColumn = "interval"

// effectNames are words of the list of effects that no column may be called.
var effectNames = []string{"constant", "occasion", "group", "trend", "after-capture", "since-marking", "mixture", "sets"}

// A plainTable is a CSV file in one of the layouts, its cells still text.
type plainTable struct {
	file   string
	layout layout
	header []string
	rows   [][]string
	lines  []int // of the file, where each row begins
}

// readPlain reads a table and knows it by its header.
func readPlain(file string, text []byte) (*plainTable, error) {
	t, err := readRows(file, text)
	if err != nil {
		return nil, err
	}
	return t, t.know()
}

// readRows reads the cells of a table.
func readRows(file string, text []byte) (*plainTable, error) {
	t := &plainTable{file: file}
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	r.FieldsPerRecord = -1
	for {
		row, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w; mend that line of the table", file, err)
		}
		line, _ := r.FieldPos(0)
		for i := range row {
			row[i] = strings.TrimSpace(row[i])
		}
		if t.header == nil {
			t.header = row
			continue
		}
		if len(row) != len(t.header) {
			return nil, fmt.Errorf("%s line %d: %s, the header has %d; mend the commas", file, line, plural(len(row), "cell"), len(t.header))
		}
		t.rows, t.lines = append(t.rows, row), append(t.lines, line)
	}
	if len(t.rows) == 0 {
		return nil, fmt.Errorf("%s: no rows below the header; expected at least one", file)
	}
	return t, nil
}

// know finds the layout whose needed columns the header has.
func (t *plainTable) know() error {
	has := func(name string) bool { return slices.Contains(t.header, name) }
	i := slices.IndexFunc(layouts, func(l layout) bool {
		return !slices.ContainsFunc(l.needs, func(name string) bool { return !has(name) })
	})
	if i < 0 {
		var known []string
		for _, l := range layouts {
			known = append(known, strings.Join(l.needs, ","))
		}
		return hinted{fmt.Errorf("%s: header %q: no layout known here", t.file, strings.Join(t.header, ",")), "a header holds one of: " + strings.Join(known, "; ")}
	}
	t.layout = layouts[i]
	return t.checkHeader()
}

// checkHeader finds columns that cannot stand in the layout.
func (t *plainTable) checkHeader() error {
	for i, name := range t.header {
		switch {
		case name == "" || slices.Contains(t.header[:i], name):
			return fmt.Errorf("%s: column %d is called %q: expected a name, once; rename it", t.file, i+1, name)
		case !t.isFree(name):
		case slices.Contains(effectNames, name) || strings.ContainsAny(name, ":*,;="):
			return fmt.Errorf("%s: column %q: that is a word of the effects, or has a sign of theirs; rename it", t.file, name)
		case !t.layout.free:
			return fmt.Errorf("%s: column %q has no place beside %s; take it out", t.file, name, strings.Join(t.layout.needs, ", "))
		}
	}
	return nil
}

// at is the place of a column, -1 where there is none.
func (t *plainTable) at(column string) int { return slices.Index(t.header, column) }

// wrong says where a cell is at fault, and what was expected.
func (t *plainTable) wrong(row int, column, expected string) error {
	return fmt.Errorf("%s line %d, column %s: %q: expected %s", t.file, t.lines[row], column, t.rows[row][t.at(column)], expected)
}

// counts reads a column of whole numbers.
func (t *plainTable) counts(column string) ([]int, error) {
	const most = 10_000_000
	out := make([]int, len(t.rows))
	for i, row := range t.rows {
		n, err := strconv.Atoi(row[t.at(column)])
		if err != nil || n < 0 || n > most {
			return nil, t.wrong(i, column, "a whole number from 0 to ten million; correct it")
		}
		out[i] = n
	}
	return out, nil
}

// inOrder wants 1, 2, 3 … down a column.
func (t *plainTable) inOrder(column string) error {
	for i, row := range t.rows {
		if row[t.at(column)] != strconv.Itoa(i+1) {
			return t.wrong(i, column, fmt.Sprintf("%d; give every number from 1 on a row of its own, with 0 where there were none", i+1))
		}
	}
	return nil
}

// flags reads a column of 0 and 1.
func (t *plainTable) flags(column string) ([]bool, error) {
	out := make([]bool, len(t.rows))
	for i, row := range t.rows {
		cell := row[t.at(column)]
		if cell != "0" && cell != "1" {
			return nil, t.wrong(i, column, "0 or 1; correct it")
		}
		out[i] = cell == "1"
	}
	return out, nil
}

// numbers reads a column of finite numbers.
func (t *plainTable) numbers(column string) ([]float64, error) {
	out := make([]float64, len(t.rows))
	for i, row := range t.rows {
		x, err := strconv.ParseFloat(row[t.at(column)], 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, t.wrong(i, column, "a number; leave that row out, or put in the mean and say so")
		}
		out[i] = x
	}
	return out, nil
}

// histories reads the nights each animal was caught; columns of its own that
// the effects name become numbers.
func (t *plainTable) histories(effects []string) (abundance.Histories, []string, error) {
	var h abundance.Histories
	at := t.at("history")
	for i, row := range t.rows {
		caught, err := abundance.ParseHistory(row[at])
		if err != nil || len(caught) == 0 || len(caught) != len(t.rows[0][at]) {
			return h, nil, t.wrong(i, "history", "0 and 1 for every night, as many as in the first row; give the missing nights, or take other signs out")
		}
		h.Caught = append(h.Caught, caught)
	}
	var err error
	if h.Count, h.Lost, h.Group, err = t.beside(); err != nil {
		return h, nil, err
	}
	h.Columns, effects, err = t.named(effects)
	return h, effects, err
}

// beside reads what may stand beside a history: how many animals had it,
// whether they were lost, and their group; nil for a column that is not there.
func (t *plainTable) beside() (count []int, lost []bool, group []string, err error) {
	if t.at("count") >= 0 {
		if count, err = t.counts("count"); err != nil {
			return
		}
	}
	if t.at(lostColumn) >= 0 {
		if lost, err = t.flags(lostColumn); err != nil {
			return
		}
	}
	if g := t.at("group"); g >= 0 {
		for i, row := range t.rows {
			if row[g] == "" {
				return nil, nil, nil, t.wrong(i, "group", "a group's name; write one, unknown if need be")
			}
			group = append(group, row[g])
		}
	}
	return
}

// named reads the free columns the effects name. A column of words is taken
// apart into a 0 or 1 for every word but the first in the order of the
// alphabet, and so is the effect that names it.
func (t *plainTable) named(effects []string) (map[string][]float64, []string, error) {
	columns := map[string][]float64{}
	var out []string
	for _, effect := range effects {
		parts := []string{effect}
		for _, name := range strings.Split(effect, "*") {
			if !t.isFree(name) {
				continue
			}
			i := t.at(name)
			if _, err := strconv.ParseFloat(t.rows[0][i], 64); err == nil || t.rows[0][i] == "" {
				if columns[name], err = t.numbers(name); err != nil {
					return nil, nil, err
				}
				continue
			}
			if name != effect {
				return nil, nil, fmt.Errorf("%s, column %s: words, and %q combines it; expected numbers, or call the column group", t.file, name, effect)
			}
			words, err := t.words(name)
			if err != nil {
				return nil, nil, err
			}
			parts = words[1:]
			for w, word := range parts {
				parts[w] = fmt.Sprintf("%s[%s]", name, word)
				columns[parts[w]] = make([]float64, len(t.rows))
				for r, row := range t.rows {
					if row[i] == word {
						columns[parts[w]][r] = 1
					}
				}
			}
		}
		out = append(out, parts...)
	}
	return columns, out, nil
}

// isFree tells whether a name is that of a column the layout does not need.
func (t *plainTable) isFree(name string) bool {
	return t.at(name) >= 0 && !slices.Contains(t.layout.needs, name) && !slices.Contains(t.layout.may, name)
}

// words are the different words of a column, in the order of the alphabet.
func (t *plainTable) words(column string) ([]string, error) {
	const most = 20
	var words []string
	for i, row := range t.rows {
		word := row[t.at(column)]
		if word == "" || strings.ContainsAny(word, ":*,;=") {
			return nil, t.wrong(i, column, "a word without : * , ; or =; write one, unknown if need be")
		}
		if !slices.Contains(words, word) {
			words = append(words, word)
		}
		if len(words) > most {
			return nil, t.wrong(i, column, fmt.Sprintf("at most %d different words; gather them", most))
		}
	}
	if len(words) == 1 {
		return nil, t.wrong(0, column, "more than one word over all rows; leave the effect out, it tells nothing apart")
	}
	slices.Sort(words)
	return words, nil
}

// closed reads whatever the closed models can be fitted to.
func (t *plainTable) closed(effects []string) (abundance.Data, []string, error) {
	switch t.layout.name {
	case "histories":
		return t.histories(effects)
	case "frequencies":
		f, err := t.frequencies()
		return f, effects, err
	case "night counts":
		return t.nightCounts(effects)
	case "removals":
		return t.removals(effects)
	}
	return nil, nil, t.unfit("a closed model", "histories", "frequencies", "night counts", "removals")
}

// unfit says that a method cannot use this layout, and which it can.
func (t *plainTable) unfit(method string, wanted ...string) error {
	return fmt.Errorf("%s holds %s: %s is made from %s; give such a table", t.file, t.layout.name, method, strings.Join(wanted, " or "))
}

// unlike says that table and model do not go together, with the columns of the
// table that an effect may name, and the condition under which it may name an
// animal's.
func (t *plainTable) unlike(err error, condition string) error {
	err = fmt.Errorf("%s: %w", t.file, err)
	var free []string
	for _, name := range t.header {
		if t.isFree(name) {
			free = append(free, name)
		}
	}
	if len(free) == 0 {
		return err
	}
	hint := "an effect may also name " + strings.Join(free, ", ")
	if t.layout.name == "histories" {
		hint += ", of the animals" + condition
	}
	return hinted{err, hint}
}
