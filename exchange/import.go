package exchange

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/check"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Options of an import.
type Options struct {
	Who      string           // initials of the person who imports
	Now      func() time.Time // the clock
	Batch    int              // rows kept together, all or none; 0: 1,000
	Progress func(done, of int)
}

// Result says how every row ended. Rows is the sum of the four below it.
type Result struct {
	Rows         int            `json:"rows"`
	Entered      int            `json:"entered"` // without a flag
	Flagged      int            `json:"flagged"` // entered, and flagged stop or look, or doubted by the mapping
	SetAside     int            `json:"set_aside"`
	AlreadyThere int            `json:"already_there"`
	Reasons      map[string]int `json:"reasons"`   // rows by reason, of those flagged and set aside; a row may have several
	Corrected    int            `json:"corrected"` // of the rows entered and flagged, those that changed since they were imported
	Batches      int            `json:"batches"`
	Seconds      float64        `json:"seconds"`
	Stopped      bool           `json:"stopped,omitempty"` // before the end: the rows counted are in, the others are not

	Header    []string `json:"-"`
	Delimiter rune     `json:"-"`
	Aside     []Aside  `json:"-"` // rows set aside, in order
	Doubts    []Doubt  `json:"-"` // rows flagged by the mapping, in order
}

// Aside is a row that was not entered: it can be corrected in the file that
// [WriteAside] makes, and imported again.
type Aside struct {
	Line    int // of the file, from 1
	Fields  []string
	Reasons []string // each with the value and what to do
}

// Doubt is a row that was entered, and what the mapping makes doubtful in it.
type Doubt struct {
	Line int
	Row  string // its key
	Says []string
}

// batchRows is how many rows are kept together unless told otherwise.
const batchRows = 1000

// Import reads a table and keeps its rows in the programme, a batch at a time.
// When ctx ends, whole batches stay and the result says how many rows are in;
// the same import goes on from there. The result is true also beside an error.
func Import(ctx context.Context, p *programme.Programme, m *Mapping, file []byte, o Options) (Result, error) {
	began := o.Now()
	in, err := begin(p, m, file, o)
	if err != nil {
		return Result{}, err
	}
	err = in.all(ctx)
	in.judge(o.Now())
	in.Seconds = seconds(o.Now().Sub(began))
	return in.Result, err
}

// DryRun imports into a copy of the programme in memory and writes nothing to
// the programme itself: the same counts, without the lines.
func DryRun(ctx context.Context, p *programme.Programme, m *Mapping, file []byte, o Options) (Result, error) {
	copied, err := copyOf(p.Notebook(), o.Now)
	if err != nil {
		return Result{}, err
	}
	return Import(ctx, copied, m, file, o)
}

// copyOf opens the same lines over a store in memory, as a device of its own.
func copyOf(n *notebook.Notebook, now func() time.Time) (*programme.Programme, error) {
	store := &notebook.Memory{}
	var lines []notebook.Line
	for l, err := range n.Lines() {
		if err != nil {
			return nil, err
		}
		lines = append(lines, l)
	}
	_, signed, err := n.Heads()
	if err != nil {
		return nil, err
	}
	copied, err := notebook.Create(store, n.Programme(), newKey(), now)
	if err != nil {
		return nil, err
	}
	if _, err := copied.Merge(lines, signed); err != nil {
		return nil, fmt.Errorf("trying the import on a copy: %w", err)
	}
	return programme.Open(copied)
}

// An importing is one import under way.
type importing struct {
	Result
	*reading
	p       *programme.Programme
	o       Options
	table   *table
	total   int // rows, as far as line breaks tell
	keys    map[string]int
	trips   map[string]bool
	sites   map[string]bool // those known before; empty: none to hold a row against
	entered []enteredRow
	own     bool // the table is one of ours

	ownColumns map[string]column
}

// An enteredRow waits for the flags.
type enteredRow struct {
	capture uuid.UUID // zero: not a capture
	reasons []string
}

func begin(p *programme.Programme, m *Mapping, file []byte, o Options) (*importing, error) {
	text, err := Decode(file, m.Encoding)
	if err != nil {
		return nil, err
	}
	delimiter := m.Delimiter
	if delimiter == 0 {
		delimiter = Delimiter(text)
	}
	in := &importing{p: p, o: o, table: tableOf(text, delimiter), keys: map[string]int{}, trips: map[string]bool{}}
	in.total, in.Delimiter = strings.Count(strings.TrimRight(text, "\r\n"), "\n"), delimiter // the header's line counts for the last row's
	if in.Header, err = in.table.header(); err != nil {
		return nil, err
	}
	if in.reading, err = m.lay(in.Header, idsOf(p.Notebook().Programme())); err != nil {
		return nil, err
	}
	in.Reasons = map[string]int{}
	in.own = m.Source == ownSource
	if in.o.Batch == 0 {
		in.o.Batch = batchRows
	}
	p.View(func(r *register.Register) {
		for _, t := range r.Trips() {
			in.trips[t.Trip.Trip] = true
		}
		in.sites = knownSites(r)
	})
	return in, nil
}

// knownSites are those that a line or the protocol in force names.
func knownSites(r *register.Register) map[string]bool {
	known := map[string]bool{}
	for _, s := range r.Sites() {
		known[s.Site] = true
	}
	for _, s := range r.Protocol().Seeds.Sites {
		known[s.Site] = true
	}
	return known
}

// all keeps batch after batch.
func (in *importing) all(ctx context.Context) error {
	for {
		if ctx.Err() != nil {
			in.Stopped = true
			return nil
		}
		more, err := in.batch()
		if err != nil {
			return fmt.Errorf("after %d rows, which are in: %w", in.Rows, err)
		}
		if !more {
			return nil
		}
		if in.o.Progress != nil {
			in.o.Progress(in.Rows, max(in.Rows, in.total))
		}
	}
}

// A batch is the rows that are kept together, and what they came to.
type batch struct {
	entries []notebook.Entry
	counts  Result
	rows    []enteredRow
	trips   []string
}

// batch reads the next rows and keeps them; more is false at the end.
func (in *importing) batch() (more bool, err error) {
	var drafts []*draft
	var rows []row
	for len(rows) < in.o.Batch {
		row, ok := in.table.next()
		if !ok {
			break
		}
		rows = append(rows, row)
		drafts = append(drafts, in.read(row))
	}
	if len(rows) == 0 {
		return false, nil
	}
	var b batch
	in.p.View(func(r *register.Register) {
		for i, d := range drafts {
			if err = in.decide(r, &b, rows[i], d); err != nil {
				return
			}
		}
	})
	if err != nil {
		return false, err
	}
	if len(b.entries) > 0 {
		if err := in.p.KeepBatch(b.entries); err != nil {
			return false, err
		}
		in.Batches++
	}
	in.count(&b, len(rows))
	return len(rows) == in.o.Batch, nil
}

// count adds up a batch that is kept.
func (in *importing) count(b *batch, rows int) {
	in.Rows += rows
	in.AlreadyThere += b.counts.AlreadyThere
	in.Corrected += b.counts.Corrected
	in.SetAside += len(b.counts.Aside)
	in.Aside = append(in.Aside, b.counts.Aside...)
	in.Doubts = append(in.Doubts, b.counts.Doubts...)
	for reason, n := range b.counts.Reasons {
		in.Reasons[reason] += n
	}
	in.entered = append(in.entered, b.rows...)
	for _, t := range b.trips {
		in.trips[t] = true
	}
}

// decide tells how a row ends, and adds what it needs to the batch.
func (in *importing) decide(r *register.Register, b *batch, row row, d *draft) error {
	if in.untouched(r, row, d) {
		b.counts.AlreadyThere++
		return nil
	}
	if first, again := in.keys[d.key]; again && d.key != "" {
		d.twice(strconv.Itoa(first))
	}
	if len(d.wrongs) > 0 {
		b.aside(row, d)
		return nil
	}
	in.keys[d.key] = d.line
	now := in.line(d)
	entries, corrected, err := in.changes(r, d, now)
	if err != nil {
		return fmt.Errorf("line %d: %w", d.line, err)
	}
	if len(entries) == 0 {
		b.counts.AlreadyThere++
		return nil
	}
	if corrected {
		b.counts.Corrected++
	}
	in.unknown(r, d, now.body)
	if err := in.tripOf(b, d); err != nil {
		return fmt.Errorf("line %d: %w", d.line, err)
	}
	for _, e := range entries {
		entry, err := record.Entry(in.o.Who, e.body)
		if err != nil {
			return err
		}
		entry.ID = e.id
		b.entries = append(b.entries, entry)
	}
	b.enter(d, now.body)
	return nil
}

const noSheet = "species without a sheet"

// unknown doubts a species without a sheet and a site nobody has named. The
// row is entered as it stands: a sheet or a site may still be written.
func (in *importing) unknown(r *register.Register, d *draft, body record.Body) {
	if c, ok := body.(record.Capture); ok && c.Handled.Species != "" && len(r.Protocol().Species) > 0 {
		sheet, known := r.Protocol().Sheet(c.Handled.Species)
		switch {
		case !known:
			d.doubt(noSheet, fmt.Sprintf("species %q has no sheet in the protocol; correct it, or write its sheet", c.Handled.Species))
		case sheet.Code != c.Handled.Species:
			d.doubt(noSheet, fmt.Sprintf("species %q is no code of a sheet; write %s, or it is counted apart", c.Handled.Species, sheet.Code))
		}
	}
	if site := d.spot.Site; site != "" && len(in.sites) > 0 && !in.sites[site] {
		d.doubt("site not known", fmt.Sprintf("site %q is none of those known; correct it, or write the site", site))
	}
}

// tripOf adds the line of a trip that is not known yet.
func (in *importing) tripOf(b *batch, d *draft) error {
	trip := d.trip.Trip
	if trip == "" || in.trips[trip] || slices.Contains(b.trips, trip) {
		return nil
	}
	line := in.tripLine(d)
	entry, err := record.Entry(in.o.Who, line.body)
	if err != nil {
		return err
	}
	entry.ID = line.id
	b.entries = append(b.entries, entry)
	b.trips = append(b.trips, trip)
	return nil
}

// aside sets a row aside.
func (b *batch) aside(row row, d *draft) {
	a := Aside{Line: row.line, Fields: row.fields}
	reasons := map[string]bool{}
	for _, w := range d.wrongs {
		a.Reasons = append(a.Reasons, w.Says)
		reasons[w.Reason] = true
	}
	b.reason(slices.Collect(maps.Keys(reasons)))
	b.counts.Aside = append(b.counts.Aside, a)
}

func (b *batch) reason(reasons []string) {
	if b.counts.Reasons == nil {
		b.counts.Reasons = map[string]int{}
	}
	for _, r := range reasons {
		b.counts.Reasons[r]++
	}
}

// enter notes a row that is in, with what the mapping doubts in it.
func (b *batch) enter(d *draft, body record.Body) {
	e := enteredRow{}
	if c, ok := body.(record.Capture); ok {
		e.capture = c.Capture
	}
	if len(d.doubts) > 0 {
		doubt := Doubt{Line: d.line, Row: d.key}
		for _, r := range d.doubts {
			doubt.Says = append(doubt.Says, r.Says)
			if !slices.Contains(e.reasons, r.Reason) {
				e.reasons = append(e.reasons, r.Reason)
			}
		}
		b.counts.Doubts = append(b.counts.Doubts, doubt)
	}
	b.rows = append(b.rows, e)
}

// judge asks the checks once, over the complete register, and parts the rows
// entered into those with a flag and those without.
func (in *importing) judge(now time.Time) {
	flags := map[uuid.UUID][]string{}
	if len(in.entered) > 0 {
		in.p.View(func(r *register.Register) { flags = grave(r, now) })
	}
	for _, e := range in.entered {
		reasons := e.reasons
		for _, rule := range flags[e.capture] {
			if !slices.Contains(reasons, rule) {
				reasons = append(reasons, rule)
			}
		}
		if len(reasons) == 0 {
			in.Entered++
			continue
		}
		in.Flagged++
		for _, reason := range reasons {
			in.Reasons[reason]++
		}
	}
}

// grave gives, for each capture, the rules by which it is flagged stop or look.
func grave(r *register.Register, now time.Time) map[uuid.UUID][]string {
	out := map[uuid.UUID][]string{}
	for _, f := range check.Register(r, now) {
		if f.Grade == record.Stop || f.Grade == record.Look {
			out[f.Subject] = append(out[f.Subject], f.Rule)
		}
	}
	return out
}
