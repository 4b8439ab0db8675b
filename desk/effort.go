package desk

import (
	"fmt"

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

// Corrected is the trap-nights with half a night taken off for each trap
// sprung by anything, since it stood shut for on average half the night:
// set − ½ × (target + bycatch + sprung). Source: Nelson and Clark 1973,
// Correction for sprung traps in catch/effort calculations of trapping results,
// J. Mammalogy 54:295 (from memory).
func (e EffortRow) Corrected() float64 {
	return float64(e.Set) - float64(e.Target+e.Bycatch+e.Sprung)/2
}

// Success is the traps with an animal that is studied per 100 corrected
// trap-nights; false where effort is not known or nothing is left of it.
func (e EffortRow) Success() (float64, bool) {
	c := e.Corrected()
	if !e.Known || c <= 0 {
		return 0, false
	}
	return float64(100*e.Target) / c, true
}

// What a trap came to in a night; of several rounds the greatest counts.
const (
	trapEmpty = iota
	trapDisabled
	trapSprung
	trapBycatch
	trapTarget
)

// countedEffort gives the counts of a trip's traps that are not named.
func (w words) countedEffort(trip string) map[register.SiteNight]record.Effort {
	out := map[register.SiteNight]record.Effort{}
	for _, e := range w.Efforts() {
		if e.Trip == trip {
			out[register.SiteNight{Site: e.Site, Night: e.Night}] = e
		}
	}
	return out
}

// effortRow counts one site and night from its settings and checks, and from
// a count of traps that are not named.
func (w words) effortRow(n register.Night, counted record.Effort, caught []*register.Capture) EffortRow {
	row := EffortRow{Site: n.Site, Night: n.Night}
	set, _ := n.Set()
	if row.Set = len(set); row.Set > 0 {
		row.Known = true
	}
	row.Set += counted.Traps
	row.Known = row.Known || counted.Trapped == "no" || counted.Traps > 0
	row.Doubt = counted.Doubt
	if counted.Traps > 0 && len(n.Checks) == 0 {
		row.Captured = true
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
