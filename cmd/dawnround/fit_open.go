package main

import (
	"fmt"
	"maps"
	"strconv"
	"strings"

	"dawnround/survival"
)

// openData reads what became of the animals of an open population, with the
// columns that the model's effects name.
func (c *call) openData(t *plainTable, o fitOptions, m survival.Model) (survival.Data, survival.Model, error) {
	if t.layout.name == "recaptures" {
		d, err := c.recaptures(t, o)
		return d, m, err
	}
	if o.releases != "" {
		return nil, m, errUsage{"--releases goes with a table of recaptures; histories hold their own"}
	}
	h, err := t.open(&m, o)
	if err != nil {
		return nil, m, err
	}
	if h.Timetable, err = c.timetable(o, len(h.Caught[0])); err != nil {
		return nil, m, err
	}
	if o.robust == "" {
		return h, m, nil
	}
	period, err := c.periods(o.robust, len(h.Caught[0]))
	return survival.Robust{Histories: h, Period: period}, m, err
}

// open reads the histories.
func (t *plainTable) open(m *survival.Model, o fitOptions) (h survival.Histories, err error) {
	if t.layout.name != "histories" {
		return h, t.unfit("survival", "histories")
	}
	if o.states != "" {
		for state := range strings.SplitSeq(o.states, ",") {
			state = strings.TrimSpace(state)
			if len([]rune(state)) != 1 || state == "0" {
				return h, errUsage{fmt.Sprintf("--states %q: expected single letters, A,B, as the histories have them", o.states)}
			}
			h.States = append(h.States, state)
		}
	}
	at := t.at("history")
	for i, row := range t.rows {
		caught, err := survival.ParseHistory(row[at], h.States)
		if err != nil || len(caught) == 0 || len(row[at]) != len(t.rows[0][at]) {
			expected := "0 and 1"
			if h.States != nil {
				expected = "0 and " + strings.Join(h.States, ", ")
			}
			return h, t.wrong(i, "history", expected+" for every occasion, as many as in the first row; give the missing ones, or take other signs out")
		}
		h.Caught = append(h.Caught, caught)
	}
	if h.Count, h.Lost, h.Group, err = t.beside(); err != nil {
		return h, err
	}
	h.Columns = map[string][]float64{}
	changing := map[string][][]float64{}
	for _, effects := range []*[]string{&m.Survive, &m.Detect, &m.Move, &m.Populate, &m.Emigrate} {
		columns, parts, err := t.named(*effects)
		if err != nil {
			return h, err
		}
		maps.Copy(h.Columns, columns)
		if err := t.changing(*effects, len(h.Caught[0]), changing); err != nil {
			return h, err
		}
		*effects = parts
	}
	if len(changing) > 0 {
		h.Changing = changing
	}
	return h, nil
}

// changing reads the numbers that an animal has anew on every occasion, in
// columns weight[1], weight[2], … of which an effect names the weight.
func (t *plainTable) changing(effects []string, occasions int, into map[string][][]float64) error {
	for _, effect := range effects {
		for name := range strings.SplitSeq(effect, "*") {
			if t.at(name) >= 0 || t.at(name+"[1]") < 0 || into[name] != nil {
				continue
			}
			rows := make([][]float64, len(t.rows))
			for k := range occasions {
				column := fmt.Sprintf("%s[%d]", name, k+1)
				if t.at(column) < 0 {
					return fmt.Errorf("%s: %s[1] but no %s: a number that changes needs a column for each of the %d occasions", t.file, name, column, occasions)
				}
				numbers, err := t.numbers(column)
				if err != nil {
					return err
				}
				for i, x := range numbers {
					rows[i] = append(rows[i], x)
				}
			}
			into[name] = rows
		}
	}
	return nil
}

// timetable reads what is known of the occasions themselves: the lengths of
// time between them, and numbers that effects may name.
func (c *call) timetable(o fitOptions, occasions int) (out survival.Timetable, err error) {
	if o.intervals != "" {
		if out.Intervals, err = readNumbers(o.intervals); err != nil {
			return out, errUsage{fmt.Sprintf("--intervals: %v", err)}
		}
	}
	if o.occasions == "" {
		return out, nil
	}
	t, err := c.plainAt(o.occasions)
	if err != nil {
		return out, err
	}
	if err := t.wants("--occasions", "occasions", occasions); err != nil {
		return out, err
	}
	out.ByOccasion, out.ByInterval = map[string][]float64{}, map[string][]float64{}
	for _, name := range t.header {
		switch {
		case name == "occasion":
			continue
		case name == intervalColumn && o.intervals != "":
			return out, errUsage{"the intervals stand in --intervals and in " + t.file + "; leave one out"}
		case name == intervalColumn:
			out.Intervals, err = t.but(name)
		case o.robust != "": // a row is a night, and an interval lies between periods
			out.ByOccasion[name], err = t.numbers(name)
		case t.rows[len(t.rows)-1][t.at(name)] == "": // after the last occasion nothing comes
			out.ByInterval[name], err = t.but(name)
		default:
			if out.ByOccasion[name], err = t.numbers(name); err == nil {
				out.ByInterval[name] = out.ByOccasion[name][:occasions-1]
			}
		}
		if err != nil {
			return out, err
		}
	}
	return out, nil
}

// but reads the numbers of a column but the last, after which nothing comes.
func (t *plainTable) but(column string) ([]float64, error) {
	cut := *t
	cut.rows = t.rows[:len(t.rows)-1]
	return cut.numbers(column)
}

// wants sees that a table is of a layout and has a row for every occasion.
func (t *plainTable) wants(option, layout string, occasions int) error {
	if t.layout.name != layout {
		return t.unfit(option, layout)
	}
	if len(t.rows) != occasions {
		return fmt.Errorf("%s has %s, the histories have %s; give a row for every occasion", t.file, plural(len(t.rows), "row"), plural(occasions, "occasion"))
	}
	return t.inOrder("occasion")
}

// periods reads in which primary period every occasion lies.
func (c *call) periods(file string, occasions int) ([]int, error) {
	t, err := c.plainAt(file)
	if err != nil {
		return nil, err
	}
	if err := t.wants("--robust", "design", occasions); err != nil {
		return nil, err
	}
	return t.counts("primary")
}

// recaptures reads, for every occasion of release, when animals were next
// caught.
func (c *call) recaptures(t *plainTable, o fitOptions) (survival.MArray, error) {
	var m survival.MArray
	if o.releases == "" {
		return m, errUsage{"--releases FILE is missing: a table of recaptures does not say how many were released on each occasion"}
	}
	if o.states != "" || o.robust != "" {
		return m, errUsage{"--states and --robust need histories; give such a table"}
	}
	of, err := c.plainAt(o.releases)
	if err != nil {
		return m, err
	}
	if of.layout.name != "releases" {
		return m, of.unfit("--releases", "releases")
	}
	if err := of.inOrder("occasion"); err != nil {
		return m, err
	}
	if m.Released, err = of.counts("released"); err != nil {
		return m, err
	}
	occasions, err := t.next(&m)
	if err != nil {
		return m, err
	}
	if len(m.Released) == occasions {
		m.Released = m.Released[:occasions-1] // nobody can be caught after the last
	}
	m.Timetable, err = c.timetable(o, occasions)
	return m, err
}

// next fills the m-array from the table's rows, and tells how many occasions
// there were.
func (t *plainTable) next(m *survival.MArray) (occasions int, err error) {
	from, err := t.counts("released_occasion")
	if err != nil {
		return 0, err
	}
	to, err := t.counts("next_recapture_occasion")
	if err != nil {
		return 0, err
	}
	n, err := t.counts("count")
	if err != nil {
		return 0, err
	}
	const most = 10_000
	for i := range to {
		if from[i] < 1 || to[i] <= from[i] || to[i] > most {
			return 0, t.wrong(i, "next_recapture_occasion", "an occasion after "+strconv.Itoa(from[i])+", counted from 1; correct it")
		}
		occasions = max(occasions, to[i])
	}
	if len(m.Released) < occasions-1 || len(m.Released) > occasions {
		return 0, fmt.Errorf("%s tells of %s, the releases of %d; give the releases of every occasion but the last", t.file, plural(occasions, "occasion"), len(m.Released))
	}
	m.Seen = make([][]int, occasions-1)
	for i := range m.Seen {
		m.Seen[i] = make([]int, occasions)
	}
	for i := range n {
		m.Seen[from[i]-1][to[i]-1] += n[i]
	}
	return occasions, nil
}
