package trapside

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"time"

	"dawnround/call"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// previous is what a phrase about the animal before writes: steps of its draft
// while it is still here, corrections of its lines once it has been let go.
type previous struct {
	draft uuid.UUID
	steps []record.Step
	lines []record.Body
	says  string
}

// animalBefore is the animal of the same night that was written on last beside
// the one in hand; nil where there is none.
func (t *Trapside) animalBefore(r *register.Register, id uuid.UUID) *register.Capture {
	here, ok := r.Capture(id)
	if !ok {
		return nil
	}
	var before *register.Capture
	var latest time.Time
	for _, c := range r.CapturesOn(here.At.Site, here.At.Night) {
		if at := t.writtenOn(c); c.ID() != id && at.After(latest) {
			before, latest = c, at
		}
	}
	return before
}

// writtenOn is when an animal was written on last; the zero time if never.
func (t *Trapside) writtenOn(c *register.Capture) time.Time {
	if steps := t.steps[c.ID()]; len(steps) > 0 {
		return steps[len(steps)-1].At
	}
	if c.Handled == nil || c.Released == nil {
		return time.Time{}
	}
	return cmp.Or(c.Handled.End, c.Released.At)
}

// previously is what stands of the animal before.
func (t *Trapside) previously(r *register.Register, id uuid.UUID) []call.Known {
	before := t.animalBefore(r, id)
	switch {
	case before == nil:
		return nil
	case before.Released == nil:
		return soFar(Fold(before.ID(), t.steps[before.ID()]))
	}
	out := readings(before.Handled)
	for at, value := range map[string]string{"sex": string(before.Handled.Sex), "stage": before.Handled.Stage, "status": string(before.Handled.Status)} {
		if value != "" {
			out = append(out, call.Known{At: at, Value: value})
		}
	}
	return out
}

// onPrevious writes a phrase about the animal before where it belongs.
func (t *Trapside) onPrevious(r *register.Register, id uuid.UUID, h call.Heard, now time.Time) previous {
	before := t.animalBefore(r, id)
	if before == nil {
		return previous{says: "there is no animal before this one; the words are kept here"}
	}
	who := before.At.Trap + " " + nameOf(r, before.ID())
	if before.Released == nil {
		card := Card{ID: before.ID(), usual: t.usual}
		steps := t.steps[before.ID()]
		k := card.begin(r, Fold(before.ID(), steps), now)
		return previous{draft: before.ID(), steps: stepsOf(r, k.sheet, *k.d, phrases(steps)+1, h, nil), says: "written on " + who + ": " + gist(h)}
	}
	lines, err := corrections(r, before, h)
	if err != nil {
		return previous{says: "nothing is written on " + who + ": " + err.Error()}
	}
	return previous{lines: lines, says: "corrected on " + who + ": " + gist(h)}
}

// gist is what was heard in short: "tail 152, was 162".
func gist(h call.Heard) string {
	var out []string
	for _, f := range h.Fields {
		if f.Derived {
			continue
		}
		said := strings.TrimSpace(fieldWords(f.At) + " " + f.Value)
		for _, c := range h.Corrected {
			if c.At == f.At {
				said += ", was " + c.Was
			}
		}
		out = append(out, said)
	}
	return strings.Join(out, "; ")
}

var errUnclear = errors.New("it is not clear what was meant; correct it in the evening")

// corrections are the lines that correct an animal that has been let go.
func corrections(r *register.Register, c *register.Capture, h call.Heard) ([]record.Body, error) {
	line, ok := handledLine(r, c)
	if !ok || len(h.Fields) == 0 {
		return nil, errUnclear
	}
	var out []record.Body
	for _, f := range h.Fields {
		if f.Derived {
			continue
		}
		value, ok := corrected(f)
		if !ok || f.Pending {
			return nil, errUnclear
		}
		pointer := "/handled/" + f.At
		body, err := r.Correct(line, pointer, value, "said at the next animal: "+h.Said)
		if err != nil {
			return nil, fmt.Errorf("%s: %w; correct it in the evening", f.At, err)
		}
		out = append(out, body)
	}
	return out, nil
}

// corrected is a field's value as the line has it.
func corrected(f call.Field) (any, bool) {
	switch head, _, _ := strings.Cut(f.At, "/"); head {
	case "sex", "stage", "status":
		return f.Value, true
	case "measures":
		m, err := record.ParseReading(readingTyped(f))
		m.Convention, m.Side = f.Convention, f.Side
		return m, err == nil
	case "weighing":
		return f.Number, f.Number != nil
	case "signs":
		return record.Sign{Value: f.Value}, true
	}
	return nil, false
}

// handledLine is the line that states an animal's processing.
func handledLine(r *register.Register, c *register.Capture) (uuid.UUID, bool) {
	for _, id := range c.Lines {
		if e, ok := r.Line(id); ok {
			if body, ok := e.Now().(record.Capture); ok && body.Handled != nil {
				return id, true
			}
		}
	}
	return uuid.Nil, false
}
