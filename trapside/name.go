package trapside

import (
	"slices"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/protocol"
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

// tailOf is the mark an animal is called by: of those it bears the transponder,
// else the one last read.
func tailOf(r *register.Register, a *register.Animal) string {
	best, most := "unmarked", 0
	for _, s := range a.Spans {
		rank := 1
		if kind, ok := r.Protocol().MarkKind(s.Key.Kind); ok && kind.Form == protocol.Transponder {
			rank = 2
		}
		if s.Gone == nil && rank >= most {
			best, most = page.Tail(s.Key.Text), rank
		}
	}
	return best
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
