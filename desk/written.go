package desk

import (
	"fmt"
	"io"
	"time"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Written is one line of the notebook as people read it.
type Written struct {
	Line    uuid.UUID  `json:"line"`
	At      string     `json:"at"`               // when, the clock of the device that wrote it put right
	Stored  string     `json:"stored,omitempty"` // what that clock showed, where it was off
	Who     string     `json:"who"`
	Says    string     `json:"says"`
	Capture *uuid.UUID `json:"capture,omitempty"` // the capture it is about
	More    int        `json:"more,omitempty"`    // lines like it by the same pen, told in this one
	Unread  bool       `json:"unread,omitempty"`
	Struck  []Stroke   `json:"struck,omitempty"`
	Changes []Change   `json:"changes,omitempty"`
}

// Stroke is the ruled stroke through a line: who, when and why.
type Stroke struct {
	Line uuid.UUID `json:"line"` // the line that strikes
	Who  string    `json:"who"`
	At   string    `json:"at"`
	Why  string    `json:"why"`
}

// Change is one correction, beside what it replaces.
type Change struct {
	Line    uuid.UUID `json:"line"` // the line that corrects
	Pointer string    `json:"pointer"`
	Field   string    `json:"field"`
	Was     string    `json:"was"`
	Now     string    `json:"now"`
	Who     string    `json:"who"`
	At      string    `json:"at"`
	Why     string    `json:"why"`
	Struck  bool      `json:"struck,omitempty"` // itself struck, or replaced by a later correction
}

// written makes the notebook page of some lines. Corrections and strikes stand
// beside their line where that is on the page, and by themselves where not.
func (w words) written(lines []*register.Entry, night record.Night) []Written {
	here := map[uuid.UUID]bool{}
	for _, e := range lines {
		here[e.ID] = true
	}
	var out []Written
	var found run
	for _, e := range lines {
		if w.beside(e, here) {
			continue
		}
		if n := len(out) - 1; n >= 0 && found.takes(w, e) {
			out[n].Says = found.says()
			continue
		}
		found = runOf(w, e)
		if w.another(out, lines, e) {
			out[len(out)-1].More++
			continue
		}
		out = append(out, w.line(e, night))
	}
	return out
}

// run is traps one after the other that a pen found alike in one round, told
// as one: "traps K01–K05: empty". A check with more to it, or one that was
// corrected or struck, stands by itself.
type run struct {
	check record.Check // the first of them
	who   string
	names []string
}

// runOf begins a run with a line; it stays empty where none can begin.
func runOf(w words, e *register.Entry) run {
	b, ok := e.Now().(record.Check)
	if !ok || len(b.Captures) > 0 || b.Why != "" || len(w.Corrected(e.ID)) > 0 {
		return run{}
	}
	return run{b, e.Who, []string{trapAt(b.Site, b.Trap)}}
}

// takes adds a line that goes on with the run.
func (r *run) takes(w words, e *register.Entry) bool {
	next := runOf(w, e)
	if len(r.names) == 0 || len(next.names) == 0 || next.who != r.who ||
		next.check.Round != r.check.Round || next.check.Outcome != r.check.Outcome {
		return false
	}
	r.names = append(r.names, next.names...)
	return true
}

func (r *run) says() string { return "traps " + traps(r.names) + ": " + string(r.check.Outcome) }

// beside reports a correction or strike that is told with its line.
func (w words) beside(e *register.Entry, here map[uuid.UUID]bool) bool {
	switch b := e.Body.(type) {
	case record.Correction:
		return here[b.Line]
	case record.Strike:
		return here[b.Line]
	}
	return false
}

// another reports one more line of book-keeping like the one before, as when a
// whole grid or a list of trips is entered.
func (w words) another(out []Written, lines []*register.Entry, e *register.Entry) bool {
	if len(out) == 0 || e.Now() == nil {
		return false
	}
	before := out[len(out)-1]
	last, ok := w.Line(before.Line)
	if !ok || last.Who != e.Who || len(before.Struck)+len(before.Changes)+len(w.Corrected(e.ID)) > 0 {
		return false
	}
	a, trapBefore := last.Now().(record.Trap)
	b, trap := e.Now().(record.Trap)
	if trapBefore || trap {
		return trapBefore && trap && a.Site == b.Site
	}
	switch e.Now().(type) {
	case record.Trip, record.Labels, record.Tare:
		return last.Kind == e.Kind
	}
	return false
}

func (w words) line(e *register.Entry, night record.Night) Written {
	stored := w.clock(e.At(), night)
	w = w.clockOf(e)
	out := Written{Line: e.ID, At: w.clock(e.At(), night), Who: e.Who, Unread: e.Body == nil}
	if out.At != stored {
		out.Stored = stored
	}
	body := e.Now()
	if body == nil {
		body = e.Body
	}
	switch b := body.(type) {
	case nil:
		out.Says = "a line of kind “" + e.Kind + "”, which this version cannot read"
		return out
	case record.Capture:
		out.Capture = &b.Capture
	case record.Check:
		if len(b.Captures) > 0 {
			out.Capture = &b.Captures[0]
		}
	case record.Attachment:
		if b.Of != (uuid.UUID{}) {
			out.Capture = &b.Of
		}
	}
	out.Says = w.says(body, night)
	for _, s := range w.Struck(e.ID) {
		why := ""
		if b, ok := s.Body.(record.Strike); ok {
			why = b.Why
		}
		out.Struck = append(out.Struck, Stroke{s.ID, s.Who, w.clock(s.At(), night), why})
	}
	out.Changes = w.changes(e, night)
	return out
}

// changes gives every correction of a line, those replaced or struck marked.
func (w words) changes(e *register.Entry, night record.Night) []Change {
	var out []Change
	replaced := map[uuid.UUID]bool{}
	for _, c := range w.Corrected(e.ID) {
		b, ok := c.Body.(record.Correction)
		if !ok {
			continue
		}
		for _, id := range b.Replaces {
			replaced[id] = c.Now() != nil || replaced[id]
		}
		out = append(out, Change{
			Line: c.ID, Pointer: b.Field, Field: w.fieldOf(b.Line, b.Field).Label,
			Was: w.jsonWords(b.Was), Now: w.jsonWords(b.Value),
			Who: c.Who, At: w.clock(c.At(), night), Why: b.Why, Struck: c.Now() == nil,
		})
	}
	for i := range out {
		out[i].Struck = out[i].Struck || replaced[out[i].Line]
	}
	return out
}

// text writes a notebook page for the terminal: a struck line between dashes.
func writeLines(out io.Writer, lines []Written) {
	for _, l := range lines {
		says := l.Says
		if l.More > 0 {
			says += fmt.Sprintf(", and %d more", l.More)
		}
		if len(l.Struck) > 0 {
			says = "--" + says + "--"
		}
		fmt.Fprintf(out, "  %-5s  %-3s  %s\n", l.At, l.Who, says)
		for _, s := range l.Struck {
			fmt.Fprintf(out, "              struck by %s, %s: %s\n", s.Who, s.At, s.Why)
		}
		for _, c := range l.Changes {
			fmt.Fprintf(out, "              %s: --%s-- %s (%s, %s: %s)%s\n", c.Field, c.Was, c.Now, c.Who, c.At, c.Why, overtaken(c))
		}
	}
}

func overtaken(c Change) string {
	if c.Struck {
		return ", no longer in force"
	}
	return ""
}

// noon is when a night's page begins.
func (w words) noon(n record.Night) time.Time { return n.Noon(w.zone) }
