package register

import (
	"slices"

	"dawnround/notebook"
	"dawnround/record"
)

// AfterLock is a line about a trip that lay in no notebook which the trip was
// locked in: it is kept, and asked about.
type AfterLock struct {
	Lock *Entry // the trip's first standing lock that does not know the line
	Line *Entry
}

// AfterLocks gives the lines about locked trips that their latest lock does
// not know, by the clock. Locking the trip again takes them in.
func (r *Register) AfterLocks() []AfterLock {
	locks := map[string]*Entry{}
	for s := range r.about["lock"] {
		locks[s.a] = r.latest("lock", s)
	}
	if len(locks) == 0 {
		return nil
	}
	var out []AfterLock
	for _, e := range r.entries {
		lock := locks[r.tripOfLine(e, nil)]
		if lock != nil && e.Seq > lock.now.(record.Lock).Heads[e.Device].Seq {
			out = append(out, AfterLock{lock, e})
		}
	}
	sortBy(out, func(a AfterLock) *Entry { return a.Line })
	return out
}

// Locks gives the standing locks by the clock.
func (r *Register) Locks() []*Entry {
	var out []*Entry
	for s := range r.about["lock"] {
		out = append(out, r.latest("lock", s))
	}
	slices.SortFunc(out, (*Entry).compare)
	return out
}

// tripOfLine is the trip that a line says something of, empty where it says
// nothing of any; what was done about a flag is not said of the trip. Lines on
// the way there are in above.
func (r *Register) tripOfLine(e *Entry, above []*Entry) string {
	if e == nil || slices.Contains(above, e) {
		return ""
	}
	switch b := e.Body.(type) {
	case record.Setting:
		return b.Trip
	case record.Round:
		return b.Trip
	case record.Closing:
		return b.Trip
	case record.Check:
		return b.Trip
	case record.Effort:
		return b.Trip
	case record.RoundEnd:
		if round := r.latest("round", subject{a: b.Round.String()}); round != nil {
			return round.now.(record.Round).Trip
		}
	case record.Capture:
		if c := r.captures[b.Capture]; c != nil {
			return c.At.Trip
		}
	case record.Correction:
		return r.tripOfLine(r.entries[b.Line], append(above, e))
	case record.Strike:
		return r.tripOfLine(r.entries[b.Line], append(above, e))
	}
	return ""
}

// sortBy orders what was found by the clock of its line.
func sortBy[T any](list []T, line func(T) *Entry) {
	slices.SortFunc(list, func(a, b T) int { return line(a).compare(line(b)) })
}

// NewLock makes the lock of a trip as the notebook stands at these heads.
func (r *Register) NewLock(trip string, heads notebook.Heads, why string) record.Lock {
	return record.Lock{Trip: trip, Heads: heads, State: r.State(), Why: why}
}
