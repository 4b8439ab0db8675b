package growth

import (
	"fmt"
	"math"
	"time"
)

// A PouchLife says at which ages, in days, the young of a species leave the
// pouch and are weaned. Two numbers are the range that was seen. One is a
// figure without a range ("about 102 days"), and is taken ± the larger of 7
// days and 15 %, common practice, no source. Nil is not known.
type PouchLife struct {
	Species string    `yaml:"-" json:"species"`
	Exit    []float64 `yaml:"exit days" json:"exit_days,omitempty"`
	Weaned  []float64 `yaml:"weaned days" json:"weaned_days,omitempty"`
	Source  string    `yaml:"source" json:"source"`
	Grade   string    `yaml:"grade" json:"grade,omitempty"` // S, M or CP, as of a relation
	Note    string    `yaml:"note" json:"note,omitempty"`
}

// Wrongs finds what cannot stand in it.
func (l *PouchLife) Wrongs() []Wrong {
	var wrongs []Wrong
	for _, g := range []struct {
		field *[]float64
		what  string
	}{{&l.Exit, "exit days"}, {&l.Weaned, "weaned days"}} {
		days := *g.field
		if days == nil {
			continue
		}
		if len(days) < 1 || len(days) > 2 || !ascending(days) || days[0] <= 0 || days[len(days)-1] > 5000 {
			wrongs = append(wrongs, Wrong{g.field, fmt.Sprintf("%s %v is no range of ages", g.what, days), "write the earliest and the latest in days, like [102, 112], or one figure, like [102]"})
		}
	}
	if (l.Exit != nil || l.Weaned != nil) && l.Source == "" {
		wrongs = append(wrongs, Wrong{&l.Source, "pouch life without its source", "write source: and where the figures are from"})
	}
	return wrongs
}

// A Window is the days, both included, on one of which something happens. A
// zero From or To is no limit.
type Window struct{ From, To time.Time }

// String writes "25 June to 5 July 2026".
func (w Window) String() string {
	switch {
	case w.From.IsZero():
		return "until " + w.To.Format("2 January 2006")
	case w.From.Year() == w.To.Year():
		return w.From.Format("2 January") + " to " + w.To.Format("2 January 2006")
	}
	return w.From.Format("2 January 2006") + " to " + w.To.Format("2 January 2006")
}

// An Outlook is what comes of a birth window: when the young leaves the pouch
// and when it is weaned. A nil window is not known.
type Outlook struct {
	Birth        Birth
	Exit, Weaned *Window
	Life         PouchLife
}

// Outlook lays the pouch life of the species over a birth window.
func (l PouchLife) Outlook(b Birth) Outlook {
	return Outlook{Birth: b, Exit: window(b, l.Exit), Weaned: window(b, l.Weaned), Life: l}
}

func window(b Birth, days []float64) *Window {
	if len(days) == 0 {
		return nil
	}
	from, to := days[0], days[len(days)-1]
	if len(days) == 1 {
		half := Roughly(from)
		from, to = math.Max(0, from-half), to+half
	}
	w := &Window{To: date(b.Latest).AddDate(0, 0, int(math.Ceil(to)))}
	if !b.Earliest.IsZero() {
		w.From = date(b.Earliest).AddDate(0, 0, int(math.Floor(from)))
	}
	return w
}

// A Notice is what to expect of a young on a trip.
type Notice struct {
	Warn bool   `json:"warn"` // it may be loose in the pouch, and be thrown
	Says string `json:"says"`
}

// On compares the outlook with the nights of a trip, first to last.
func (o Outlook) On(first, last time.Time) Notice {
	first, last = date(first), date(last)
	if last.Before(first) {
		last = first
	}
	day := first.Format("2 January")
	switch {
	case o.Exit == nil:
		return Notice{Says: "when young of this species leave the pouch is not known here"}
	case last.Before(o.Exit.From):
		return Notice{Says: fmt.Sprintf("likely still in the pouch on %s: it leaves from %s on", last.Format("2 January"), o.Exit.From.Format("2 January 2006"))}
	case !first.After(o.Exit.To):
		if first.Before(o.Exit.From) {
			day = o.Exit.From.Format("2 January")
		}
		return Notice{Warn: true, Says: fmt.Sprintf("likely loose in the pouch on %s: keep it closed", day)}
	case o.Weaned != nil && first.After(o.Weaned.To):
		return Notice{Says: fmt.Sprintf("weaned by %s: a mother without milk is normal, not a loss", day)}
	case o.Weaned != nil && first.Before(o.Weaned.From):
		return Notice{Says: fmt.Sprintf("out of the pouch on %s and not yet weaned: look for it near her; a regressed teat would be a loss", day)}
	}
	return Notice{Says: fmt.Sprintf("out of the pouch on %s, perhaps weaned", day)}
}
