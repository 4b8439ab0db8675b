package answer

import (
	"fmt"
	"maps"
	"slices"

	"dawnround/record"
	"dawnround/register"
)

// Trapping is how much a site was trapped, trip by trip.
type Trapping struct {
	State   string // of the notebook
	Site    string
	Trips   []TrapNights
	LeftOut []LeftOut
}

// TrapNights is the effort of one trip, zeros included.
type TrapNights struct {
	Trip       string `json:"trip"`
	TrapNights int    `json:"trap_nights"` // traps set, over the nights

	Sprung    int      `json:"-"` // trap nights with an animal of any kind, or found shut and empty
	PerTrap   bool     `json:"-"` // single traps were written, so Sprung is known
	Unseen    int      `json:"-"` // of the traps set, those of which nobody wrote what they held
	Uncounted int      `json:"-"` // nights on which traps were set, and nobody wrote how many
	Doubts    []string `json:"-"` // what the lines call uncertain, each once
}

// Corrected is the trap nights less half of those with a sprung trap, since a
// trap that is shut catches nothing more, and on average was shut half the
// night: set − ½ × sprung by anything (Nelson and Clark 1973, Journal of
// Mammalogy 54: 295-298, from memory). ok is false where nobody wrote what
// each of the traps held; the figure is then the most it can be.
func (t TrapNights) Corrected() (nights float64, ok bool) {
	return float64(t.TrapNights) - float64(t.Sprung)/2, t.PerTrap && t.Unseen == 0
}

// Per100 is captures per hundred of so many trap nights; ok is false without
// effort.
func Per100(captures int, nights float64) (rate float64, ok bool) {
	if nights <= 0 {
		return 0, false
	}
	return 100 * float64(captures) / nights, true
}

// Effort counts trap nights at a site for each trip of which anything says
// how much was trapped. Where single traps were written set, they are counted;
// else a count of traps stands, the largest where two tables differ. A trap
// counts as sprung once a night, however many rounds there were. Trips
// outside the normal protocol are left out.
func Effort(r *register.Register, site string) Trapping {
	out := Trapping{State: r.State(), Site: site, Trips: []TrapNights{}}
	var left leftOut
	counts := countsAt(r, site)
	trips, outside := parted(r)
	for _, t := range trips {
		row := TrapNights{Trip: t.Trip.Trip}
		told := false
		for _, night := range nightsOf(t, site, counts) {
			told = row.add(r.NightAt(site, night), counts[tripNight{t.Trip.Trip, night}]) || told
		}
		if told {
			out.Trips = append(out.Trips, row)
		}
	}
	for _, trip := range slices.Sorted(maps.Keys(outside)) {
		at := left.because(outside[trip])
		at.Trips = append(at.Trips, trip)
	}
	out.LeftOut = left
	return out
}

type tripNight struct {
	trip  string
	night record.Night
}

// countsAt gives the counts of traps at a site.
func countsAt(r *register.Register, site string) map[tripNight][]record.Effort {
	out := map[tripNight][]record.Effort{}
	for _, e := range r.Efforts() {
		if e.Site == site {
			at := tripNight{e.Trip, e.Night}
			out[at] = append(out[at], e)
		}
	}
	return out
}

// nightsOf gives the nights of a trip at a site; a count without a night
// stands on the zero one.
func nightsOf(t register.Trip, site string, counts map[tripNight][]record.Effort) []record.Night {
	nights := at(t, site)
	if counts[tripNight{trip: t.Trip.Trip}] != nil {
		nights = append(nights, record.Night{})
	}
	return nights
}

// add adds one night; it reports whether anything told its effort.
func (t *TrapNights) add(n register.Night, counts []record.Effort) bool {
	n.Settings = slices.DeleteFunc(slices.Clone(n.Settings), func(s record.Setting) bool { return s.Trip != t.Trip })
	set, _ := n.Set()
	if len(set) > 0 {
		t.TrapNights += len(set)
		t.Sprung += sprung(n, set)
		t.Unseen += unseen(n, set)
		t.PerTrap = true
		return true
	}
	most := 0
	trapped := false
	for _, e := range counts {
		if e.Trapped == "yes" {
			trapped = true
			most = max(most, e.Traps)
		}
		if e.Doubt != "" && !slices.Contains(t.Doubts, e.Doubt) {
			t.Doubts = append(t.Doubts, e.Doubt)
		}
	}
	if trapped && most == 0 {
		t.Uncounted++
	}
	t.TrapNights += most
	t.Unseen += most
	return len(counts)+len(n.Settings) > 0
}

// sprung counts the traps of a night that were shut at some round: with an
// animal, target or not, or without.
func sprung(n register.Night, set []string) int {
	shut := map[string]bool{}
	for _, c := range n.Checks {
		switch c.Outcome {
		case record.OutcomeCapture, record.OutcomeSprung, record.OutcomeEscaped:
			if slices.Contains(set, c.Trap) {
				shut[c.Trap] = true
			}
		}
	}
	return len(shut)
}

// Says is one line on what the trap nights of a trip rest on.
func (t TrapNights) Says() string {
	corrected, ok := t.Corrected()
	switch {
	case ok:
		return fmt.Sprintf("%d trap nights, %d of them sprung: %v corrected", t.TrapNights, t.Sprung, corrected)
	case t.Uncounted > 0:
		return fmt.Sprintf("%d trap nights counted, and %d nights on which nobody wrote how many traps were set", t.TrapNights, t.Uncounted)
	}
	return fmt.Sprintf("%d trap nights, from a count", t.TrapNights)
}

// unseen counts the traps set that no check speaks of.
func unseen(n register.Night, set []string) int {
	left := slices.DeleteFunc(slices.Clone(set), func(trap string) bool {
		return slices.ContainsFunc(n.Checks, func(c record.Check) bool {
			return c.Trap == trap && c.Outcome != record.OutcomeNotChecked
		})
	})
	return len(left)
}
