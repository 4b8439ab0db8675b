package exchange

import (
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"dawnround/record"
	"dawnround/register"
)

// writeTable writes rows one after the other.
func writeTable[R any](w io.Writer, columns []columnOf[R], rows []R) error {
	out := csv.NewWriter(w)
	fields := make([]string, len(columns))
	for i, c := range columns {
		fields[i] = c.name
	}
	if err := out.Write(fields); err != nil {
		return err
	}
	for _, r := range rows {
		for i, c := range columns {
			fields[i] = c.cell(r)
		}
		if err := out.Write(fields); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// WriteDictionary writes what the columns of a table hold: captures, animals
// or checks. It is a table itself: column, meaning, unit, words.
func WriteDictionary(w io.Writer, table string, r *register.Register, p Places) error {
	switch table {
	case "captures":
		return writeWords(w, captureColumns(r, p))
	case "animals":
		return writeWords(w, animalColumns(r))
	case "checks":
		return writeWords(w, checkColumns(r, p))
	}
	return fmt.Errorf("table %q: not known; write captures, animals or checks", table)
}

func writeWords[R any](w io.Writer, columns []columnOf[R]) error {
	type words = columnOf[R]
	return writeTable(w, []columnOf[words]{
		{name: "column", cell: func(c words) string { return c.name }},
		{name: "meaning", cell: func(c words) string { return c.about }},
		{name: "unit", cell: func(c words) string { return c.unit }},
		{name: "words", cell: func(c words) string { return c.words }},
	}, columns)
}

// WriteAnimals writes a row for each animal, by id.
func WriteAnimals(w io.Writer, r *register.Register) error {
	var animals []*register.Animal
	for _, id := range r.AnimalIDs() {
		if a, ok := r.Animal(id); ok {
			animals = append(animals, a)
		}
	}
	return writeTable(w, animalColumns(r), animals)
}

func animalColumns(*register.Register) []columnOf[*register.Animal] {
	each := func(of func(*register.Capture) string) func(*register.Animal) string {
		return func(a *register.Animal) string {
			said := map[string]bool{}
			for _, c := range a.Captures {
				said[of(c)] = true
			}
			delete(said, "")
			return several(slices.Sorted(maps.Keys(said)))
		}
	}
	end := func(at func([]*register.Capture) *register.Capture) func(*register.Animal) string {
		return func(a *register.Animal) string {
			if len(a.Captures) == 0 {
				return ""
			}
			return nightText(at(a.Captures).At.Night)
		}
	}
	return []columnOf[*register.Animal]{
		{"animal", "named by the smallest id of its captures; it changes when captures are joined or parted", "", "UUID", func(a *register.Animal) string { return a.ID.String() }},
		{"species", "every species stated; more than one is a question", "", "", each((*register.Capture).Species)},
		{"sex", "every sex stated; more than one is a question", "", strings.Join(sexes, ", "), each(sexOf)},
		{"marks", "kind and text of each mark that speaks for it", "", "", marksText},
		{"captures", "how often it was caught", "", "", func(a *register.Animal) string { return strconv.Itoa(len(a.Captures)) }},
		{"first night", "the evening the traps of its first capture were set", "", "year-month-day", end(func(c []*register.Capture) *register.Capture { return c[0] })},
		{"last night", "and of its last", "", "year-month-day", end(func(c []*register.Capture) *register.Capture { return c[len(c)-1] })},
		{"sites", "where it was caught", "", "", each(func(c *register.Capture) string { return c.At.Site })},
		{"ended", "a fate after which it cannot be caught alive", "", "", each(endOf)},
	}
}

func sexOf(c *register.Capture) string {
	if c.Handled == nil {
		return ""
	}
	return string(c.Handled.Sex)
}

func endOf(c *register.Capture) string {
	if c.Released == nil || !c.Released.Fate.Ends() {
		return ""
	}
	return string(c.Released.Fate)
}

func marksText(a *register.Animal) string {
	var texts []string
	for _, s := range a.Spans {
		if t := s.Key.Kind + " " + s.Key.Text; !slices.Contains(texts, t) {
			texts = append(texts, t)
		}
	}
	return several(texts)
}

// WriteChecks writes a row for each trap at each round, by site and night:
// what it held.
func WriteChecks(w io.Writer, r *register.Register, p Places) error {
	nights := map[register.SiteNight]bool{}
	for _, t := range r.Trips() {
		for _, n := range t.Nights {
			nights[n] = true
		}
	}
	var checks []record.Check
	for _, n := range slices.SortedFunc(maps.Keys(nights), func(a, b register.SiteNight) int {
		if c := strings.Compare(a.Site, b.Site); c != 0 {
			return c
		}
		return a.Night.Compare(b.Night)
	}) {
		checks = append(checks, r.NightAt(n.Site, n.Night).Checks...)
	}
	return writeTable(w, checkColumns(r, p), checks)
}

func checkColumns(r *register.Register, p Places) []columnOf[record.Check] {
	find := traps(r)
	outcomes := []record.Outcome{
		record.OutcomeCapture, record.OutcomeEmpty, record.OutcomeSprung, record.OutcomeBaitTaken, record.OutcomeEscaped,
		record.OutcomeDisabled, record.OutcomeNotSet, record.OutcomeNotChecked,
	}
	var words []string
	for _, o := range outcomes {
		words = append(words, string(o))
	}
	return append([]columnOf[record.Check]{
		{"trip", "block of nights", "", "", func(c record.Check) string { return c.Trip }},
		{"site", "place that is trapped, by its code", "", "", func(c record.Check) string { return c.Site }},
		{"night", "the evening the traps were set", "", "year-month-day", func(c record.Check) string { return nightText(c.Night) }},
		{"round", "clearing of the traps, numbered within the night", "", "", func(c record.Check) string { return roundText(r, c) }},
		{"trap", "trap position within the site", "", "", func(c record.Check) string { return c.Trap }},
		{"outcome", "what the trap held", "", strings.Join(words, ", "), func(c record.Check) string { return string(c.Outcome) }},
		{"at", "when it was looked at", "", "date and time (RFC 3339), UTC", func(c record.Check) string { return timeText(c.At) }},
		{"why", "why disabled, not set or not checked", "", "", func(c record.Check) string { return c.Why }},
		{"captures", "ids of the captures found", "", "UUID", capturesText},
	}, placesOf(p, func(c record.Check) record.Trap { return find(c.Site, c.Trap, c.Night) })...)
}

func roundText(r *register.Register, c record.Check) string {
	round, _, ok := r.Round(c.Round)
	if !ok {
		return ""
	}
	return strconv.Itoa(round.Number)
}

func capturesText(c record.Check) string {
	var ids []string
	for _, id := range c.Captures {
		ids = append(ids, id.String())
	}
	return several(ids)
}
