package register

import (
	"maps"
	"slices"
	"strings"

	"dawnround/record"

	"github.com/google/uuid"
)

// subject is what a line is about, in up to three words.
type subject struct{ a, b, c string }

// compare orders subjects word by word.
func (s subject) compare(t subject) int {
	if c := strings.Compare(s.a, t.a); c != 0 {
		return c
	}
	if c := strings.Compare(s.b, t.b); c != 0 {
		return c
	}
	return strings.Compare(s.c, t.c)
}

// subjectOf says what a body is about: lines of one kind and subject state
// the same thing, and the latest stands.
func subjectOf(b record.Body, e *Entry) subject {
	switch b := b.(type) {
	case record.Device:
		return subject{a: e.Device.String()}
	case record.ClockOffset:
		return subject{a: subjectDevice(b, e).String()}
	case record.Admitted:
		return subject{a: b.Device.String()}
	case record.ShutOut:
		return subject{a: b.Device.String()}
	case record.Lock:
		return subject{a: b.Trip}
	case record.Person:
		return subject{a: b.Initials}
	case record.Site:
		return subject{a: b.Site}
	case record.Trap:
		return subject{b.Site, b.Trap, b.From.String()}
	case record.Trip:
		return subject{a: b.Trip}
	case record.Labels:
		return subject{a: b.Series}
	case record.Curve:
		return subject{b.Species, b.Trait, string(b.Sex)}
	case record.Tare:
		return subject{a: b.Bag}
	case record.Setting:
		return subject{a: b.Site, b: b.Night.String()}
	case record.Closing:
		return subject{a: b.Site, b: b.Night.String()}
	case record.Check:
		return subject{a: b.Site, b: b.Night.String()}
	case record.Weather:
		return subject{a: b.Site, b: b.Night.String()}
	case record.Effort:
		return subject{b.Trip, b.Site, b.Night.String() + " " + sourceOf(b.From)}
	case record.Round:
		return subject{a: b.Round.String()}
	case record.RoundEnd:
		return subject{a: b.Round.String()}
	case record.Note:
		return subject{a: b.On}
	case record.Attachment:
		return subject{a: b.Of.String()}
	case record.FlagAct:
		return subject{a: b.Of.String(), b: b.Flag}
	case record.FollowUp:
		return subject{a: b.FollowUp.String()}
	case record.Done:
		return subject{a: b.FollowUp.String()}
	}
	return subject{}
}

// sourceOf names the table a line was read from. Two tables that count the
// traps of one night are two statements, whichever came in first.
func sourceOf(from *record.Source) string {
	if from == nil {
		return ""
	}
	return from.File
}

// named are the captures and young that a line about identity names.
func named(b record.Body) []uuid.UUID {
	switch b := b.(type) {
	case record.Same:
		return b.Of
	case record.Apart:
		return append(slices.Clone(b.These), b.From)
	case record.Mother:
		return []uuid.UUID{b.Of, b.Mother}
	}
	return nil
}

// latest is the line that stands for a subject, nil where there is none.
func (r *Register) latest(kind string, s subject) *Entry {
	list := r.about[kind][s]
	if len(list) == 0 {
		return nil
	}
	return list[len(list)-1]
}

// standing gives, for each subject of a kind in order, what the latest line
// says of it.
func standing[B record.Body](r *Register) []B {
	var kind B
	of := r.about[kind.Kind()]
	var out []B
	for _, s := range slices.SortedFunc(maps.Keys(of), subject.compare) {
		out = append(out, of[s][len(of[s])-1].now.(B))
	}
	return out
}

// all gives what every live line of a kind and subject says, by the clock.
func all[B record.Body](r *Register, s subject) []B {
	var kind B
	var out []B
	for _, e := range r.about[kind.Kind()][s] {
		out = append(out, e.now.(B))
	}
	return out
}
