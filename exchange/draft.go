package exchange

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// What a row of captures may be instead of a capture.
const (
	nothingCaught = "nothing caught"
	notTrapped    = "not trapped"
)

// A draft is what one row says, as far as it was read.
type draft struct {
	m       *Mapping
	line    int
	key     string
	date    date
	dated   []string // the columns that gave the date, with what stands in them
	trip    record.Trip
	spot    record.Spot
	capture uuid.UUID // as the row names it; zero: it follows from the key
	row     string    // nothing caught, not trapped, or "" for a capture
	handled record.Handled
	weigh   record.Weighing
	release record.Released
	effort  record.Effort
	notes   []string
	doubts  []remark // the row is flagged
	wrongs  []remark // the row is set aside
	unknown []remark // doubts about the place of an animal, if there is one
	first   struct{ act, state string }
}

// A remark is a reason that rows share, and the words about this row.
type remark struct{ Reason, Says string }

// wrong sets the row aside.
func (d *draft) wrong(column, value, reason, says string) {
	d.wrongs = append(d.wrongs, remark{column + ": " + reason, fmt.Sprintf("%s %q: %s", column, value, says)})
}

// doubt flags the row.
func (d *draft) doubt(reason, says string) { d.doubts = append(d.doubts, remark{reason, says}) }

// keep holds a text that has no place of its own, word for word.
func (d *draft) keep(column, text string) {
	if d.handled.Unread == nil {
		d.handled.Unread = map[string]string{}
	}
	d.handled.Unread[column] = text
}

// column reads one field. name is the column's in the table, of what its "is"
// is of.
func (d *draft) column(c *Column, name, of, text string) {
	text = strings.TrimSpace(text)
	switch {
	case c.Is == "nothing":
		return
	case text == "" || slices.Contains(c.Blank, text):
		if c.Asks {
			d.doubt(name+" not written", name+" is blank")
			d.spot.Doubt = joined(d.spot.Doubt, name+" not written")
		}
		return
	case len(c.Codes) > 0:
		d.code(c, name, of, text)
		return
	case c.Is == "":
		d.keep(name, text)
		return
	}
	if c.Known != nil && !slices.Contains(c.Known, text) {
		d.unknown = append(d.unknown, remark{name + " not known", fmt.Sprintf("%s %s is none of those known", name, text)})
	}
	d.set(c, name, of, text)
}

// code reads a field through the column's codes. A stray one is kept word for
// word and the row is flagged.
func (d *draft) code(c *Column, name, of, text string) {
	m, known := c.Codes[text]
	if !known {
		d.keep(name, text)
		d.doubt("stray code in "+name, fmt.Sprintf("%s %q is not a code of this table", name, text))
		return
	}
	if c.Is == "" {
		d.keep(name, text)
	}
	if m.Word != "" {
		d.set(c, name, of, m.Word)
	}
	d.mean(m)
}

// mean does what a code says beside its word.
func (d *draft) mean(m Meaning) {
	if m.Row != "" {
		d.row = m.Row
	}
	if m.Doubt != "" {
		d.doubt(m.Doubt, m.Doubt)
		if m.Place {
			d.spot.Doubt = joined(d.spot.Doubt, m.Doubt)
		} else {
			d.notes = append(d.notes, m.Doubt)
		}
	}
	if m.Note != "" {
		d.notes = append(d.notes, m.Note)
	}
	if m.Fate != "" {
		d.release.Fate, d.release.Why = record.Fate(m.Fate), m.Why
	}
	if m.Sign != "" {
		d.handled.Findings = append(d.handled.Findings, record.Finding{Part: m.Part, Side: m.Side, Sign: m.Sign})
	}
	if m.By != "" {
		d.handled.SpeciesBy, d.handled.SexBy = m.By, m.By
	}
	if m.Status != "" {
		d.handled.Status = record.Status(m.Status)
	}
	d.handled.Brief = d.handled.Brief || m.Brief
	d.first.act = either(m.Act, d.first.act)
	d.first.state = either(m.State, d.first.state)
}

// set puts a value where it belongs.
func (d *draft) set(c *Column, name, of, text string) {
	h := &d.handled
	switch c.Is {
	case "day", "month", "year", "date":
		d.dated = append(d.dated, fmt.Sprintf("%s %q", name, text))
	}
	switch c.Is {
	case "day":
		d.date.day = text
	case "month":
		d.date.month = text
	case "year":
		d.date.year = text
	case "date":
		d.whole(name, text)
	case "trip":
		d.trip.Trip = text
	case "outside":
		d.trip.Outside = text
	case "site":
		d.spot.Site = text
	case "trap":
		d.spot.Trap = text
	case "place doubt":
		d.spot.Doubt = joined(d.spot.Doubt, text)
	case "found":
		d.found(name, text)
	case "capture":
		d.named(name, text)
	case "species":
		h.Species = text
	case "stage":
		h.Stage = text
	case "handler":
		h.Handler = text
	case "scribe":
		h.Scribe = text
	case "notes":
		d.notes = append(d.notes, text)
	case "why":
		d.release.Why = text
	case "sex":
		setWord(d, name, text, (*string)(&h.Sex), sexes)
	case "status":
		setWord(d, name, text, (*string)(&h.Status), statuses)
	case "fate":
		setWord(d, name, text, (*string)(&d.release.Fate), fates)
	case "mass", "gross mass", "bag mass":
		d.mass(c, name, text)
	case "measure":
		d.measure(c, name, of, text)
	case "sign":
		d.sign(of, text)
	case "kept":
		d.keep(of, text)
	case "mark":
		d.mark(c, name, of, text)
	case "trapped", "traps", "doubt":
		d.count(c, name, text)
	}
}

var (
	sexes    = []string{string(record.Female), string(record.Male), string(record.Unsexed)}
	statuses = []string{string(record.New), string(record.Recapture), string(record.Retrap), string(record.FoundDead)}
	fates    = []string{
		string(record.FateReleased), string(record.FateElsewhere), string(record.FateToVet), string(record.FateKept),
		string(record.FateDied), string(record.FateEuthanased), string(record.FateEscaped),
	}
)

// setWord sets a word of a closed list; another is kept word for word and the
// row is flagged.
func setWord(d *draft, name, text string, to *string, words []string) {
	if !slices.Contains(words, text) {
		d.keep(name, text)
		d.doubt("stray code in "+name, fmt.Sprintf("%s %q: expected %s", name, text, strings.Join(words, ", ")))
		return
	}
	*to = text
}

func (d *draft) whole(name, text string) {
	date, err := parted(text, d.m.Order)
	if err != nil {
		d.wrong(name, text, "not a date", err.Error())
		return
	}
	d.date = date
}

func (d *draft) found(name, text string) {
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		d.wrong(name, text, "not a time", "expected a time like 2026-05-14T05:40:00+10:00")
		return
	}
	d.spot.Found = at.UTC()
}

func (d *draft) named(name, text string) {
	id, err := uuid.Parse(text)
	if err != nil {
		d.wrong(name, text, "not a capture's id", "expected a UUID; leave it as it was exported")
		return
	}
	d.capture = id
}

func (d *draft) quantity(c *Column, name, text string) (record.Quantity, bool) {
	q, err := quantity(text, c.Unit, d.m.Comma)
	switch {
	case err != nil:
		d.wrong(name, text, "not a number", err.Error())
	case q.Typed != text: // the point moved: what stood there is kept beside it
		d.keep(name, text)
	}
	return q, err == nil
}

// benched reads a measure of our own table, which is written as at the bench:
// "61.8 damaged", "~61", "92.1 99.6".
func (d *draft) benched(name, text string) (record.Reading, bool) {
	r, err := record.ParseReading(text)
	if err != nil {
		d.wrong(name, text, "not a measure", err.Error())
	}
	return r, err == nil
}

// putMeasure sets one measure.
func (d *draft) putMeasure(of string, r record.Reading) {
	if d.handled.Measures == nil {
		d.handled.Measures = map[string]record.Reading{}
	}
	d.handled.Measures[of] = r
}

func (d *draft) mass(c *Column, name, text string) {
	if c.Is == "mass" && d.m.Source == ownSource {
		d.ownMass(name, text)
		return
	}
	q, ok := d.quantity(c, name, text)
	if !ok {
		return
	}
	switch c.Is {
	case "gross mass":
		d.weigh.Gross = &q
	case "bag mass":
		d.weigh.Bag = &q
	default:
		d.weigh.Net = &q
	}
}

// ownMass reads a plain number as the net mass, and all else as a measure.
func (d *draft) ownMass(name, text string) {
	r, ok := d.benched(name, text)
	switch {
	case !ok:
	case r.String() == r.Typed:
		d.weigh.Net = &r.Quantity
	default:
		d.putMeasure(protocol.Mass, r)
	}
}

// notLooked parts the state of a measure or sign that has no value from the
// reason: "not checked: too dark".
func notLooked(text string) (state record.State, why string) {
	word, why, _ := strings.Cut(text, ":")
	if s := record.State(word); s == record.NoneSeen || s == record.NotChecked {
		return s, strings.TrimSpace(why)
	}
	return record.Unknown, ""
}

func (d *draft) measure(c *Column, name, of, text string) {
	if d.m.Source == ownSource {
		if r, ok := d.benched(name, text); ok {
			d.putMeasure(of, r)
		}
		return
	}
	if state, why := notLooked(text); state != record.Unknown {
		d.putMeasure(of, record.Reading{State: state, Why: why})
		return
	}
	if q, ok := d.quantity(c, name, text); ok {
		d.putMeasure(of, record.Reading{Quantity: q})
	}
}

func (d *draft) sign(of, text string) {
	if d.handled.Signs == nil {
		d.handled.Signs = map[string]record.Sign{}
	}
	s := record.Sign{Value: text}
	if state, why := notLooked(text); state != record.Unknown {
		s = record.Sign{State: state, Why: why}
	}
	d.handled.Signs[of] = s
}

// mark reads one mark, or several in one field.
func (d *draft) mark(c *Column, name, of, text string) {
	if slices.Contains(c.None, text) {
		d.keep(name, text)
		return
	}
	texts := []string{text}
	if c.Parts != "" {
		texts = strings.Split(text, c.Parts)
	}
	for _, t := range texts {
		t = strings.TrimSpace(t)
		if t == "" {
			continue
		}
		if why, says := damaged(t, c.Digits); why != "" {
			if !c.Rounded {
				d.wrong(name, t, why, says)
				continue
			}
			d.doubt(name+": "+why, fmt.Sprintf("%s %q: %s", name, t, says))
		}
		d.handled.Marks = append(d.handled.Marks, record.Mark{Kind: of, Text: t, Act: record.MarkAct(c.Act)})
	}
}

// count reads a column of an effort table.
func (d *draft) count(c *Column, name, text string) {
	switch c.Is {
	case "trapped":
		setWord(d, name, text, &d.effort.Trapped, []string{"yes", "no", "unknown"})
	case "doubt":
		d.effort.Doubt = joined(d.effort.Doubt, text)
	case "traps":
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > 1_000_000 {
			d.wrong(name, text, "not a count", "expected a whole number of traps")
		}
		d.effort.Traps = n
	}
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

func either(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
