package exchange

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"dawnround/record"

	"github.com/goccy/go-yaml/ast"
)

// mapping reads the whole file and then what its parts say of each other.
func (r *mappingReader) mapping(root ast.Node, m *Mapping) {
	var dates, order, delimiter, decimal string
	var columns, fixed []pair
	r.keys(root, "", map[string]func(pair){
		"table":      r.oneOf(&m.Table, captureTable, effortTable),
		"source":     r.text(&m.Source),
		"about":      func(pair) {}, // for people
		"row key":    r.list(&m.Key),
		"dates are":  r.oneOf(&dates, "morning", "evening"),
		"date order": r.text(&order),
		"encoding":   r.encoding(m),
		"delimiter":  r.oneOf(&delimiter, ",", ";", "tab", "|"),
		"decimal":    r.oneOf(&decimal, ".", ","),
		"outside":    func(p pair) { r.outside(p, m) },
		"columns":    func(p pair) { columns = r.pairs(p.value, "columns") },
		"fixed":      func(p pair) { fixed = r.pairs(p.value, "fixed") },
	})
	m.Morning, m.Comma = dates == "morning", decimal == ","
	m.Order = strings.Fields(order)
	if delimiter != "" {
		m.Delimiter = []rune(strings.Replace(delimiter, "tab", "\t", 1))[0]
	}
	for _, p := range columns {
		m.Columns = append(m.Columns, r.column(p, m.Table))
	}
	for _, p := range fixed {
		m.Fixed = append(m.Fixed, r.fixed(p, m.Table))
	}
	r.whole(m, dates)
}

// whole checks what a mapping needs to be of use.
func (r *mappingReader) whole(m *Mapping, dates string) {
	need := func(ok bool, says, mend string) {
		if !ok {
			r.problem(0, "", says, mend)
		}
	}
	need(m.Table != "", "no table", "write table: captures, or table: effort")
	need(m.Source != "", "no source", "write source: and a name for this table that will not change")
	need(len(m.Key) > 0, "no row key", "write row key: and the columns that name a row for ever")
	need(len(m.Columns) > 0, "no columns", "write columns: and what each is")
	parts := m.has("day") && m.has("month") && m.has("year")
	need(m.has("date") || parts, "no date", "say which column is the date, or the day, the month and the year")
	need(dates != "" || m.Table == "", "nothing says which date a date is", "write dates are: morning (of collection), or evening (when the traps were set)")
	ordered := slices.Clone(m.Order)
	slices.Sort(ordered)
	need(!m.has("date") || slices.Equal(ordered, []string{"day", "month", "year"}),
		"nothing says in which order a date is written", "write date order: day month year, or year month day, or month day year")
	need(m.has("site"), "no site", "say which column is the site, or write it under fixed")
	need(m.has("trip") || m.Table == captureTable, "no trip", "say which column is the trip, or write it under fixed")
	need(m.Table != effortTable || m.has("trapped") || m.has("traps"), "no effort", "say which column tells whether traps were set, or how many")
}

func (r *mappingReader) encoding(m *Mapping) func(pair) {
	return func(p pair) {
		r.text(&m.Encoding)(p)
		if _, err := codePageOf(m.Encoding); err != nil {
			says, mend, _ := strings.Cut(err.Error(), "; ")
			r.problem(p.line, "", says, mend)
		}
	}
}

// outside reads which trips lie outside the normal protocol.
func (r *mappingReader) outside(p pair, m *Mapping) {
	s, ok := p.value.(*ast.SequenceNode)
	if !ok {
		r.problem(p.line, p.key, "one value, where a list belongs", `write a line like - {trips: negative, why: "…"} for each`)
		return
	}
	for _, item := range s.Values {
		var o Outside
		r.keys(item, p.key, map[string]func(pair){"trips": r.list(&o.Trips), "why": r.text(&o.Why)})
		if len(o.Trips) == 1 {
			o.Negative, o.Fraction = o.Trips[0] == "negative", o.Trips[0] == "not whole"
		}
		if len(o.Trips) == 0 || o.Why == "" {
			r.problem(lineAt(item), p.key, "needs trips and why", `write {trips: negative, why: "…"}, {trips: not whole, …} or {trips: ["7", "9"], …}`)
		}
		m.Outside = append(m.Outside, o)
	}
}

// is reads what a column is: a word, and what it is of.
func (r *mappingReader) is(c *Column, table, text string, line int) {
	c.Is = text
	for _, w := range ofSomething {
		if first, of, found := strings.Cut(text, " "); found && first == w {
			c.Is, c.Of = first, strings.TrimSpace(of)
		}
	}
	needs := slices.Contains(ofSomething, c.Is)
	switch {
	case !slices.Contains(meanings[table], c.Is) && table != "":
		r.problem(line, "column "+c.Name, fmt.Sprintf("is %q: not known", text), "write one of "+strings.Join(meanings[table], ", "))
	case needs && c.Of == "":
		r.problem(line, "column "+c.Name, fmt.Sprintf("is %q: of what?", text), "write is: "+c.Is+" and its id in the protocol")
	}
}

// column reads one column.
func (r *mappingReader) column(p pair, table string) Column {
	c := Column{Name: strings.TrimSpace(p.key)}
	key := "column " + c.Name
	if s, ok := textOf(p.value); ok { // sex: sex
		r.is(&c, table, s, p.line)
		return c
	}
	var digits, rounded string
	r.keys(p.value, key, map[string]func(pair){
		"is":         func(q pair) { var s string; r.text(&s)(q); r.is(&c, table, s, q.line) },
		"codes":      func(q pair) { r.codes(q, &c, key) },
		"blank":      r.list(&c.Blank),
		"none":       r.list(&c.None),
		"unit":       r.unit(&c),
		"mark":       r.oneOf(&c.Act, string(record.MarkPut), string(record.MarkGone), string(record.MarkOld)),
		"parted by":  r.text(&c.Parts),
		"digits":     r.text(&digits),
		"rounded":    r.oneOf(&rounded, "set aside", "flag"),
		"known":      func(q pair) { r.list(&c.Known)(q); c.Known = spelledOut(c.Known) },
		"if blank":   func(q pair) { var s string; r.oneOf(&s, "flag")(q); c.Asks = s == "flag" },
		"about this": func(pair) {}, // for people
	})
	if digits != "" {
		n, err := strconv.Atoi(digits)
		if err != nil || n < 1 || n > 40 {
			r.problem(p.line, key, fmt.Sprintf("digits %q: not a number of digits", digits), "write digits: 15")
		}
		c.Digits = n
	}
	c.Rounded = rounded == "flag"
	return c
}

// spelledOut replaces "11-17" by 11, 12 … 17.
func spelledOut(list []string) []string {
	var out []string
	for _, s := range list {
		from, to, found := strings.Cut(s, "-")
		a, errA := strconv.Atoi(from)
		b, errB := strconv.Atoi(to)
		if !found || errA != nil || errB != nil || b < a || b-a > 10000 {
			out = append(out, s)
			continue
		}
		for n := a; n <= b; n++ {
			out = append(out, strconv.Itoa(n))
		}
	}
	return out
}

func (r *mappingReader) unit(c *Column) func(pair) {
	return func(p pair) {
		r.text(&c.Unit)(p)
		if _, known := units[c.Unit]; !known {
			r.problem(p.line, "column "+c.Name, fmt.Sprintf("unit %q is not known", c.Unit), "write one of "+sorted(units))
		}
	}
}

// codes reads what each code of a column means: a word, or several things.
func (r *mappingReader) codes(p pair, c *Column, key string) {
	c.Codes = map[string]Meaning{}
	for _, q := range r.pairs(p.value, key+", codes") {
		var m Meaning
		if s, ok := textOf(q.value); ok {
			m.Word = s
		} else {
			m = r.meaning(q, key+", code "+q.key)
		}
		c.Codes[q.key] = m
	}
}

func (r *mappingReader) meaning(p pair, key string) (m Meaning) {
	var about string
	r.keys(p.value, key, map[string]func(pair){
		"word":   r.text(&m.Word),
		"row":    r.oneOf(&m.Row, nothingCaught, notTrapped),
		"doubt":  r.text(&m.Doubt),
		"about":  r.oneOf(&about, "place", "animal"),
		"note":   r.text(&m.Note),
		"fate":   r.oneOf(&m.Fate, fates...),
		"why":    r.text(&m.Why),
		"mark":   r.oneOf(&m.Act, string(record.MarkPut), string(record.MarkGone)),
		"state":  r.text(&m.State),
		"part":   r.text(&m.Part),
		"side":   r.text(&m.Side),
		"sign":   r.text(&m.Sign),
		"brief":  r.yes(&m.Brief),
		"status": r.oneOf(&m.Status, statuses...),
		"by":     r.text(&m.By),
	})
	m.Place = about == "place"
	return m
}

// fixed reads a value that no column holds.
func (r *mappingReader) fixed(p pair, table string) (c Column) {
	r.is(&c, table, p.key, p.line)
	r.text(&c.Name)(p)
	return c
}
