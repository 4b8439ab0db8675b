package exchange

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// A reading is a mapping laid against the header of one table.
type reading struct {
	m       *Mapping
	width   int
	header  []string
	because int // where the reasons of an earlier import stand; -1: nowhere
	key     []int
	columns []laid
	derive  func(...string) uuid.UUID
}

// A laid column knows where it stands.
type laid struct {
	at   int
	name string
	of   string
	c    *Column
}

// asideColumn is the column that a file of rows set aside has besides its own;
// it says why, and is passed over when the file comes in again.
const asideColumn = "set aside because"

// lay finds the mapping's columns in a header. Columns the mapping does not
// name are kept word for word.
func (m *Mapping) lay(header []string, derive func(...string) uuid.UUID) (*reading, error) {
	r := &reading{m: m, width: len(header), header: header, because: slices.Index(header, asideColumn), derive: derive}
	for _, k := range m.Key {
		at := slices.Index(header, k)
		if at < 0 {
			return nil, fmt.Errorf("row key %q: no such column (there are %s); correct the mapping, or choose the mapping of this table", k, listed(header))
		}
		r.key = append(r.key, at)
	}
	taken := map[string]bool{"": true, asideColumn: true}
	for i := range m.Columns {
		c := &m.Columns[i]
		found := false
		for at, name := range header {
			if of, ok := c.matches(name); ok && !taken[name] {
				found, taken[name] = true, true
				r.columns = append(r.columns, laid{at, name, of, c})
			}
		}
		if !found && !strings.HasSuffix(c.Name, "*") {
			return nil, fmt.Errorf("column %q: not in the table (there are %s); correct the mapping, or choose the mapping of this table", c.Name, listed(header))
		}
	}
	kept := &Column{}
	for at, name := range header {
		if !taken[name] && !slices.Contains(m.Key, name) {
			r.columns = append(r.columns, laid{at, name, "", kept})
		}
	}
	return r, nil
}

// matches reports whether a column of a table is this one, and what it is of:
// "measure *" is of whatever follows.
func (c *Column) matches(name string) (of string, ok bool) {
	stem, starred := strings.CutSuffix(c.Name, "*")
	if !starred {
		return c.Of, name == c.Name
	}
	rest, ok := strings.CutPrefix(name, stem)
	if rest = strings.TrimSpace(rest); rest == "" {
		return "", false
	}
	return strings.Replace(c.Of, "*", rest, 1), ok
}

// read turns a row into a draft. A draft with wrongs is set aside.
func (r *reading) read(row row) *draft {
	d := &draft{m: r.m, line: row.line}
	if row.wrong != nil {
		d.wrongs = append(d.wrongs, remark{"quotes do not close", row.wrong.Error() + "; double a quote within a quoted field"})
		return d
	}
	if extra := row.fields[min(r.width, len(row.fields)):]; strings.Join(extra, "") != "" {
		d.wrongs = append(d.wrongs, remark{"more fields than columns", fmt.Sprintf("%d fields, and there are %d columns; put quotes round a field that has a delimiter", len(row.fields), r.width)})
		return d
	}
	field := func(at int) string {
		if at < len(row.fields) {
			return row.fields[at]
		}
		return "" // a spreadsheet leaves out blanks at the end
	}
	d.readKey(r, field)
	if r.because >= 0 {
		d.stillTwice(field(r.because))
	}
	for _, p := range r.columns {
		d.column(p.c, p.name, p.of, field(p.at))
	}
	for i := range r.m.Fixed {
		c := &r.m.Fixed[i]
		d.set(c, c.Is, c.Of, c.Name)
	}
	d.finish()
	return d
}

func (d *draft) readKey(r *reading, field func(int) string) {
	var parts []string
	for _, at := range r.key {
		parts = append(parts, strings.TrimSpace(field(at)))
	}
	d.key = strings.Join(parts, " / ")
	if strings.Trim(d.key, " /") == "" {
		d.wrong(strings.Join(r.m.Key, ", "), d.key, "blank", "a row without its key cannot be known again; give it one")
	}
}

// keyOfLine begins what is said of a row whose key stands twice.
const keyOfLine = "the key of line "

func (d *draft) twice(first string) {
	d.wrong(strings.Join(d.m.Key, ", "), d.key, "stands twice", keyOfLine+first+" too; give this row another")
}

// stillTwice sets a row aside again that was set aside for its key and still
// has it: read alone, it would overwrite the row that came in first.
func (d *draft) stillTwice(because string) {
	said := fmt.Sprintf("%s %q: %s", strings.Join(d.m.Key, ", "), d.key, keyOfLine)
	if _, rest, found := strings.Cut(because, said); found {
		first, _, _ := strings.Cut(rest, " ")
		d.twice(first)
	}
}

// finish reads what several columns tell together.
func (d *draft) finish() {
	d.night()
	d.outside()
	d.marks()
	if w := d.weigh; w.Gross != nil || w.Bag != nil || w.Net != nil {
		d.handled.Weighing = &w
	}
	d.handled.Notes = strings.Join(d.notes, "; ")
	switch {
	case d.row != "":
	case d.m.Table == captureTable && d.noAnimal():
		d.doubt("no animal in the row", "no animal in the row: kept as a remark about the site and night")
	default:
		for _, u := range d.unknown {
			d.doubt(u.Reason, u.Says)
			d.spot.Doubt = joined(d.spot.Doubt, u.Says)
		}
	}
	if d.release.Why != "" && d.release.Fate == "" {
		d.keep("why", d.release.Why)
	}
}

func (d *draft) night() {
	if d.date == (date{}) && len(d.wrongs) > 0 {
		return // said already
	}
	n, err := d.date.night()
	if err != nil {
		says := strings.Join(d.dated, ", ") + ": " + err.Error()
		if len(d.dated) == 0 {
			says = "date: not written; a row needs the night it is about"
		}
		d.wrongs = append(d.wrongs, remark{"date: impossible", says})
		return
	}
	if d.m.Morning {
		n = n.Add(-1)
	}
	d.spot.Night = n
}

// outside tells from a trip's own name whether it is outside the normal
// protocol.
func (d *draft) outside() {
	for _, o := range d.m.Outside {
		if d.trip.Outside == "" && o.is(d.trip.Trip) {
			d.trip.Outside = o.Why
		}
	}
}

func (o Outside) is(trip string) bool {
	switch {
	case trip == "":
		return false
	case o.Negative:
		return strings.HasPrefix(trip, "-")
	case o.Fraction:
		_, err := strconv.Atoi(trip)
		_, errF := strconv.ParseFloat(trip, 64)
		return err != nil && errF == nil
	}
	return slices.Contains(o.Trips, trip)
}

// marks gives the first mark what codes said of it. A state without a mark, as
// "unread", is a mark without text of the mapping's first mark column.
func (d *draft) marks() {
	if d.first == (struct{ act, state string }{}) {
		return
	}
	if len(d.handled.Marks) == 0 || d.handled.Marks[0].Act == record.MarkOld {
		i := slices.IndexFunc(d.m.Columns, func(c Column) bool { return c.Is == "mark" })
		if i < 0 {
			return
		}
		d.handled.Marks = slices.Insert(d.handled.Marks, 0, record.Mark{Kind: d.m.Columns[i].Of})
	}
	d.handled.Marks[0].Act = record.MarkAct(either(d.first.act, string(d.handled.Marks[0].Act)))
	d.handled.Marks[0].State = d.first.state
}

// A line is what a draft becomes: the body, and the line's own id.
type line struct {
	id   uuid.UUID
	body record.Body
}

// line makes the line of a row. Its id follows from the programme, the source,
// the row's key and the kind of line.
func (r *reading) line(d *draft) line {
	from := &record.Source{File: r.m.Source, Row: d.key}
	d.spot.Trip = d.trip.Trip
	b := d.body(from)
	if c, ok := b.(record.Capture); ok && c.Capture == uuid.Nil {
		c.Capture = r.derive("capture", r.m.Source, d.key)
		b = c
	}
	return line{r.lineID(d.key, b.Kind()), b}
}

func (r *reading) lineID(key, kind string) uuid.UUID { return r.derive("line", r.m.Source, key, kind) }

func (d *draft) body(from *record.Source) record.Body {
	e := record.Effort{Trip: d.trip.Trip, Site: d.spot.Site, Night: d.spot.Night, From: from, Doubt: joined(d.spot.Doubt, d.handled.Notes)}
	switch {
	case d.m.Table == effortTable:
		e.Trapped, e.Traps, e.Doubt = d.trapped(), d.effort.Traps, joined(e.Doubt, d.effort.Doubt)
		return e
	case d.row == nothingCaught:
		e.Trapped = "yes"
		return e
	case d.row == notTrapped:
		return record.Setting{
			Trip: d.trip.Trip, Site: d.spot.Site, Night: d.spot.Night,
			Set: []string{}, Not: []record.NotSet{{Trap: everyTrap, Why: either(e.Doubt, notTrapped)}},
		}
	case d.noAnimal():
		e.Trapped = "unknown"
		return e
	}
	c := record.Capture{Capture: d.capture, At: &d.spot, Handled: &d.handled, From: from}
	if d.release.Fate != "" {
		c.Released = &d.release
	}
	return c
}

// everyTrap stands for all traps of a site where a row says that none was set.
const everyTrap = "every trap"

// trapped says whether traps were set; a count without a word means yes.
func (d *draft) trapped() string {
	switch {
	case d.effort.Trapped != "":
		return d.effort.Trapped
	case d.effort.Traps > 0:
		return "yes"
	}
	return "unknown"
}

// noAnimal reports a row that names no animal in any way: a remark about the
// site and night.
func (d *draft) noAnimal() bool {
	h := &d.handled
	return d.capture == uuid.Nil && h.Species == "" && h.Sex == "" && h.Stage == "" && h.Status == "" && len(h.Marks) == 0 &&
		h.Weighing == nil && len(h.Measures) == 0 && len(h.Signs) == 0 && len(h.Findings) == 0 && d.release.Fate == ""
}

// tripLine makes the line of a trip that no line speaks of yet. It rests on
// the trip's name alone, so it is the same from whichever table it comes.
func (r *reading) tripLine(d *draft) line {
	return line{r.derive("trip", d.trip.Trip), d.trip}
}

// idsOf derives ids from words within a programme (RFC 9562, section 5.8: a
// UUID of version 8, here from SHA-256).
func idsOf(programme uuid.UUID) func(...string) uuid.UUID {
	return func(words ...string) uuid.UUID {
		return uuid.NewHash(sha256.New(), programme, []byte(strings.Join(words, "\x00")), 8)
	}
}

// seconds rounds a time taken for people.
func seconds(d time.Duration) float64 {
	return float64(d.Round(time.Millisecond)) / float64(time.Second)
}
