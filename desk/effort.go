package desk

import (
	"fmt"
	"slices"
	"strings"

	"dawnround/answer"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// EffortRow is the trapping of one site on one night. A trap counts once a
// night, whatever it held at how many rounds.
type EffortRow struct {
	Site     string       `json:"site"`
	Night    record.Night `json:"night,omitzero"`
	Set      int          `json:"set"`
	Known    bool         `json:"known"`                   // false: nobody wrote how many were set
	Target   int          `json:"target"`                  // traps that held an animal of a species that is studied
	Bycatch  int          `json:"bycatch"`                 // traps that held another
	Sprung   int          `json:"sprung"`                  // traps found shut and empty, or whose animal got away
	Disabled int          `json:"disabled"`                // traps found out of order
	Captured bool         `json:"captures_only,omitempty"` // nobody wrote which traps were sprung or disabled
	Doubt    string       `json:"doubt,omitempty"`
}

// counted is the effort as every answer counts it.
func (e EffortRow) counted() answer.TrapNights {
	return answer.TrapNights{TrapNights: e.Set, Sprung: e.Target + e.Bycatch + e.Sprung, PerTrap: true}
}

// Corrected is the trap-nights less half of those with a sprung trap; see
// [answer.TrapNights.Corrected]. Where sprung traps were not written it is a
// bound.
func (e EffortRow) Corrected() float64 {
	nights, _ := e.counted().Corrected()
	return nights
}

// Success is the traps with an animal that is studied per 100 corrected
// trap-nights; false where effort is not known or nothing is left of it.
func (e EffortRow) Success() (float64, bool) {
	rate, ok := answer.Per100(e.Target, e.Corrected())
	return rate, ok && e.Known
}

// What a trap came to in a night; of several rounds the greatest counts.
const (
	trapEmpty = iota
	trapDisabled
	trapSprung
	trapBycatch
	trapTarget
)

// effortRow counts one site and night of a trip: the effort as answers count
// it, and what the traps held by their checks and captures.
func (w words) effortRow(trip string, n register.Night, caught []*register.Capture) EffortRow {
	night, known := answer.Night(w.Register, trip, n.SiteNight)
	row := EffortRow{
		Site: n.Site, Night: n.Night, Set: night.TrapNights, Known: known, Doubt: strings.Join(night.Doubts, "; "),
		Captured: night.TrapNights > 0 && len(n.Checks) == 0,
	}
	came := map[string]int{}
	for _, c := range n.Checks {
		came[c.Trap] = max(came[c.Trap], w.cameTo(c))
	}
	for _, c := range caught {
		trap := c.At.Trap
		if trap == "" {
			trap = c.ID().String() // a capture whose trap nobody wrote stands for a trap of its own
		}
		came[trap] = max(came[trap], w.held(c.ID()))
	}
	for _, what := range came {
		switch what {
		case trapTarget:
			row.Target++
		case trapBycatch:
			row.Bycatch++
		case trapSprung:
			row.Sprung++
		case trapDisabled:
			row.Disabled++
		}
	}
	return row
}

// undated counts a trip's traps of nights that nobody wrote, site by site.
func (w words) undated(trip string) []EffortRow {
	var out []EffortRow
	for _, e := range w.Efforts() {
		at := register.SiteNight{Site: e.Site}
		if e.Trip == trip && e.Night.IsZero() && !slices.ContainsFunc(out, func(r EffortRow) bool { return r.Site == e.Site }) {
			out = append(out, w.effortRow(trip, register.Night{SiteNight: at}, nil))
		}
	}
	return out
}

func (w words) cameTo(c record.Check) int {
	switch c.Outcome {
	case record.OutcomeCapture:
		best := trapBycatch
		for _, id := range c.Captures {
			best = max(best, w.held(id))
		}
		return best
	case record.OutcomeSprung, record.OutcomeEscaped:
		return trapSprung
	case record.OutcomeDisabled:
		return trapDisabled
	}
	return trapEmpty
}

// held is what a capture makes of its trap; a species nobody told is counted
// with those studied.
func (w words) held(id uuid.UUID) int {
	if c, ok := w.Capture(id); ok && w.sheet(c.Species()).Bycatch {
		return trapBycatch
	}
	return trapTarget
}

func total(rows []EffortRow) EffortRow {
	t := EffortRow{Site: "all", Known: len(rows) > 0}
	for _, r := range rows {
		t.Set += r.Set
		t.Target += r.Target
		t.Bycatch += r.Bycatch
		t.Sprung += r.Sprung
		t.Disabled += r.Disabled
		t.Known = t.Known && r.Known
		t.Captured = t.Captured || r.Captured
	}
	return t
}

func (e EffortRow) nightWords() string {
	if e.Night.IsZero() {
		return ""
	}
	return short(e.Night)
}

func (e EffortRow) setWords() string {
	if !e.Known && e.Set == 0 {
		return "?"
	}
	return fmt.Sprint(e.Set)
}

// sprungWords is a count of traps found shut or out of order; where nobody
// wrote them, what is known is only a part.
func (e EffortRow) sprungWords(n int) string {
	switch {
	case !e.Captured:
		return fmt.Sprint(n)
	case n == 0:
		return "?"
	}
	return fmt.Sprintf("%d + ?", n)
}

// correctedWords is at most so many where sprung traps were not written.
func (e EffortRow) correctedWords() string {
	switch {
	case !e.Known:
		return "not known"
	case e.Captured:
		return fmt.Sprintf("≤ %g", e.Corrected())
	}
	return fmt.Sprintf("%g", e.Corrected())
}

func (e EffortRow) successWords() string {
	s, ok := e.Success()
	switch {
	case !ok:
		return "–"
	case e.Captured:
		return fmt.Sprintf("≥ %.2f", s)
	}
	return fmt.Sprintf("%.2f", s)
}
