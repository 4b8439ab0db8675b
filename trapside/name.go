package trapside

import (
	"slices"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// nameOf is an animal as it is called: the tail of its mark and its sex.
func nameOf(r *register.Register, id uuid.UUID) string {
	a, ok := r.Animal(id)
	if !ok {
		return "unmarked"
	}
	return strings.TrimSpace(tailOf(r, a) + " " + sexSign(sexOf(a, uuid.Nil)))
}

// tailOf is the tail of the mark an animal is called by.
func tailOf(r *register.Register, a *register.Animal) string {
	if m, ok := r.CalledBy(a); ok {
		return page.Tail(m.Text)
	}
	return "unmarked"
}

// sexOf is the sex last told at another capture than one.
func sexOf(a *register.Animal, but uuid.UUID) record.Sex {
	for _, c := range slices.Backward(a.Captures) {
		if c.ID() != but && c.Handled != nil && (c.Handled.Sex == record.Female || c.Handled.Sex == record.Male) {
			return c.Handled.Sex
		}
	}
	return record.SexUnknown
}

// sexSign is the sex as it stands beside a mark.
func sexSign(s record.Sex) string {
	switch s {
	case record.Female:
		return "♀"
	case record.Male:
		return "♂"
	}
	return ""
}

// stageOf is the life stage last told at another capture than one.
func stageOf(a *register.Animal, but uuid.UUID) string {
	for _, c := range slices.Backward(a.Captures) {
		if c.ID() != but && c.Handled != nil && c.Handled.Stage != "" {
			return c.Handled.Stage
		}
	}
	return ""
}

// lastOf is an animal's latest capture but one.
func lastOf(a *register.Animal, but uuid.UUID) (*register.Capture, bool) {
	for _, c := range slices.Backward(a.Captures) {
		if c.ID() != but {
			return c, true
		}
	}
	return nil, false
}

// seenWords says when and where an animal was last met, before a capture.
func seenWords(a *register.Animal, but uuid.UUID, now time.Time) string {
	last, ok := lastOf(a, but)
	if !ok {
		return ""
	}
	at := last.Time()
	if at.IsZero() {
		at = last.At.Night.Noon(now.Location()).Add(18 * time.Hour)
	}
	return "seen " + page.Ago(now.Sub(at)) + " at " + last.At.Trap
}
