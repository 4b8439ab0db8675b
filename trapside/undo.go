package trapside

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// LastTap is what was written of a trap just now, and may be taken back.
type LastTap struct {
	Line    uuid.UUID
	Says    string
	Animal  uuid.UUID // nil: the trap held none
	Bag     string    // the bag it hangs in, if that was said
	Species string
}

// lastTap is the check that a page was sent on with, while it stands and
// nobody has written on its animal.
func (t *Trapside) lastTap(r *register.Register, p *RoundPage, asked string) LastTap {
	id, err := uuid.Parse(asked)
	if err != nil {
		return LastTap{}
	}
	c, lines, err := t.undoable(r, id)
	if err != nil || len(lines) == 0 || c.Round != p.Round {
		return LastTap{}
	}
	tap := LastTap{Line: id, Says: c.Trap + " " + string(c.Outcome)}
	if len(c.Captures) == 1 {
		tap.Animal = c.Captures[0]
		if kept, ok := r.Capture(tap.Animal); ok && kept.Bagged != nil {
			tap.Bag, tap.Species = kept.Bagged.Bag, kept.Bagged.Species
		}
	}
	return tap
}

// undoable is a check with the lines to strike if it was a slip: its own, and
// its animal's bag; none where it is struck already. It refuses where somebody
// wrote on the animal.
func (t *Trapside) undoable(r *register.Register, line uuid.UUID) (record.Check, []uuid.UUID, error) {
	e, ok := r.Line(line)
	if !ok {
		return record.Check{}, nil, fmt.Errorf("line %s: not in this notebook; tap the trap on the round instead", line)
	}
	c, ok := e.Body.(record.Check)
	if !ok {
		return c, nil, fmt.Errorf("line %s: a %s, where what a trap held was expected; correct it in the evening", line, e.Kind)
	}
	if e.Now() == nil {
		return c, nil, nil
	}
	lines := []uuid.UUID{line}
	for _, id := range c.Captures {
		of, err := t.untouched(r, id)
		if err != nil {
			return c, nil, err
		}
		lines = append(lines, slices.DeleteFunc(of, func(l uuid.UUID) bool { return l == line })...)
	}
	return c, lines, nil
}

// untouched gives the lines of a capture of which nothing is written but its
// trap and its bag.
func (t *Trapside) untouched(r *register.Register, id uuid.UUID) ([]uuid.UUID, error) {
	c, ok := r.Capture(id)
	switch {
	case !ok:
		return nil, fmt.Errorf("capture %s: no trap check has it, or it was taken back already", id)
	case len(t.steps[id]) > 0 || c.Handled != nil || c.Released != nil:
		return nil, fmt.Errorf("the animal of %s: something is written of it already; finish its card, and correct it in the evening", c.At.Trap)
	}
	return slices.Clone(c.Lines), nil // the register's own are not to be changed
}

// undo strikes the check that was tapped by mistake.
func (t *Trapside) undoTap(w http.ResponseWriter, r *http.Request) {
	t.takeBack(w, r, func(reg *register.Register) (record.Check, []uuid.UUID, string, error) {
		line, err := uuid.Parse(r.FormValue("line"))
		if err != nil {
			return record.Check{}, nil, "", fmt.Errorf("line %q: not an id; use the button above the outcomes", r.FormValue("line"))
		}
		c, lines, err := t.undoable(reg, line)
		return c, lines, "tapped by mistake", err
	})
}

// noAnimal strikes a capture of which nothing is written: the trap, or the
// bag, held nobody.
func (t *Trapside) noAnimal(w http.ResponseWriter, r *http.Request) {
	t.takeBack(w, r, func(reg *register.Register) (record.Check, []uuid.UUID, string, error) {
		id, err := captureOf(r)
		if err != nil {
			return record.Check{}, nil, "", err
		}
		why := strings.TrimSpace(r.FormValue("why"))
		if why == "" {
			return record.Check{}, nil, "", fmt.Errorf("why: nothing written; say in a few words how it came to be written, such as tapped twice")
		}
		lines, err := t.untouched(reg, id)
		if err != nil {
			return record.Check{}, nil, "", err
		}
		c, _ := reg.Capture(id)
		return record.Check{Round: c.At.Round, Trap: c.At.Trap}, lines, "no animal after all: " + why, nil
	})
}

// takeBack strikes lines that were a slip, each with the reason, and goes back
// to their trap; which gives them.
func (t *Trapside) takeBack(w http.ResponseWriter, r *http.Request, which func(*register.Register) (record.Check, []uuid.UUID, string, error)) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	var at record.Check
	var lines []uuid.UUID
	var why string
	var err error
	t.programme.View(func(reg *register.Register) { at, lines, why, err = which(reg) })
	if err != nil {
		wrong(w, r, err)
		return
	}
	var strikes []record.Body
	for _, line := range lines {
		strikes = append(strikes, record.Strike{Line: line, Why: why})
	}
	to := "/round?round=" + at.Round.String() + "&trap=" + url.QueryEscape(at.Trap) + "#trap"
	if len(strikes) == 0 {
		page.Go(w, r, to)
		return
	}
	t.last = tap{}
	t.keepLines(w, r, who, page.Said(to, at.Trap+": taken back; the struck line stays in the notebook"), strikes...)
}
