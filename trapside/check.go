package trapside

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"dawnround/mark"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

var outcomes = []record.Outcome{
	record.OutcomeCapture, record.OutcomeEmpty, record.OutcomeSprung, record.OutcomeBaitTaken,
	record.OutcomeEscaped, record.OutcomeDisabled, record.OutcomeNotSet, record.OutcomeNotChecked,
}

// checkTrap writes what a trap held. A capture bears the id that its page
// minted, so that a button tapped twice writes one animal; a dead animal is a
// capture too, its fate begun.
func (t *Trapside) checkTrap(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	check, known, err := t.checkOf(r)
	lines := []record.Body{check}
	if err == nil && check.Outcome == record.OutcomeCapture {
		lines, err = bagged(lines, check.Captures[0], r.FormValue("bag"), t.now())
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	to := "/round?round=" + check.Round.String()
	if known {
		page.Go(w, r, page.Said(to, check.Trap+": that animal is written already; for another tap “another animal”"))
		return
	}
	if t.last.again(check) {
		page.Go(w, r, to+"&line="+t.last.line.String())
		return
	}
	kept, err := t.programme.Keep(who, t.now(), lines...)
	if err != nil {
		notKept(w, r, err)
		return
	}
	t.last = tap{check, kept.Lines[0]}
	to += "&line=" + kept.Lines[0].String()
	if r.FormValue("outcome") == "dead" {
		to = "/bench/" + check.Captures[0].String()
		if err := t.add(check.Captures[0], step(who, t.now(), "status", string(record.FoundDead)), step(who, t.now(), "released/fate", string(record.FateDied))); err != nil {
			notKept(w, r, err)
			return
		}
	}
	page.Go(w, r, to)
}

// A tap is a check with the line that holds it.
type tap struct {
	check record.Check
	line  uuid.UUID
}

// again tells that a check is the same tap once more: the same trap, without
// an animal, within seconds.
func (t tap) again(c record.Check) bool {
	l := t.check
	return len(c.Captures) == 0 && c.Round == l.Round && c.Trap == l.Trap && c.Outcome == l.Outcome && c.Why == l.Why &&
		c.At.Sub(l.At) < 5*time.Second
}

// bagged adds the line of an animal that went into a bag as it was found.
func bagged(lines []record.Body, id uuid.UUID, bag string, now time.Time) ([]record.Body, error) {
	bag, err := readBag(bag)
	if bag == "" || err != nil {
		return lines, err
	}
	return append(lines, record.Capture{Capture: id, Bagged: &record.Bagged{At: now, Bag: bag}}), nil
}

// readBag reads the number of a bag, which no reader reads.
func readBag(text string) (string, error) {
	if text = strings.TrimSpace(text); mark.LooksRead(text) {
		return "", fmt.Errorf("bag %q: that is a mark's number; write the bag's, and scan the animal on its card", text)
	}
	return text, nil
}

func step(who string, at time.Time, field, typed string) record.Step {
	return record.Step{At: at, By: who, Field: field, Typed: typed}
}

// checkOf reads what a trap held. known tells that the notebook has its
// animal already: the form came twice.
func (t *Trapside) checkOf(r *http.Request) (c record.Check, known bool, err error) {
	round, err := t.roundOf(r)
	if err != nil {
		return record.Check{}, false, err
	}
	c = record.Check{
		Round: round.Round, Trip: round.Trip, Site: round.Site, Night: round.Night, Trap: r.FormValue("trap"),
		Outcome: record.Outcome(r.FormValue("outcome")), At: t.now(), Why: strings.TrimSpace(r.FormValue("why")),
	}
	if c.Outcome == "dead" {
		c.Outcome = record.OutcomeCapture
	}
	if !slices.Contains(outcomes, c.Outcome) {
		return c, false, fmt.Errorf("outcome %q: expected one of %s", c.Outcome, words(outcomes))
	}
	if c.Outcome == record.OutcomeCapture {
		c.Captures = []uuid.UUID{minted(r)}
	}
	t.programme.View(func(reg *register.Register) {
		if err = stands(reg, c.Site, c.Night, c.Trap); err == nil {
			err = holds(reg, c)
		}
		for _, id := range c.Captures {
			_, known = reg.Capture(id)
		}
	})
	return c, known, err
}

// minted is the id that the page minted for the animal, or a new one.
func minted(r *http.Request) uuid.UUID {
	if id, err := uuid.Parse(r.FormValue("capture")); err == nil && id != uuid.Nil {
		return id
	}
	return newID()
}

// holds says why a trap cannot have been empty, or nothing: an animal of it
// was written at this round.
func holds(r *register.Register, c record.Check) error {
	if !slices.Contains([]record.Outcome{record.OutcomeEmpty, record.OutcomeNotSet, record.OutcomeNotChecked}, c.Outcome) {
		return nil
	}
	for _, at := range r.NightAt(c.Site, c.Night).Checks {
		if at.Round == c.Round && at.Trap == c.Trap && len(at.Captures) > 0 {
			return fmt.Errorf("trap %s: %s, yet an animal of it is written; undo it first, or say “no animal after all” where it waits", c.Trap, c.Outcome)
		}
	}
	return nil
}

func words[W ~string](list []W) string {
	var out []string
	for _, w := range list {
		out = append(out, string(w))
	}
	return page.List(out)
}

// bycatch writes one line for an animal that is let go unprocessed.
func (t *Trapside) bycatch(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	r.Form.Set("outcome", string(record.OutcomeCapture))
	t.mu.Lock()
	defer t.mu.Unlock()
	check, known, err := t.checkOf(r)
	species := r.FormValue("species")
	if err == nil {
		err = t.knows(species)
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	to := page.Said("/round?round="+check.Round.String(), check.Trap+": "+species+" released")
	if known {
		page.Go(w, r, to)
		return
	}
	capture := record.Capture{
		Capture:  check.Captures[0],
		Handled:  &record.Handled{Start: t.now(), End: t.now(), Scribe: who, Species: species, Brief: true, Protocol: t.version()},
		Released: &record.Released{At: t.now(), Fate: record.FateReleased, By: who},
	}
	t.keepLines(w, r, who, to, check, capture)
}

// knows says why a species cannot be written, or nothing.
func (t *Trapside) knows(species string) error {
	var codes []string
	t.programme.View(func(r *register.Register) {
		for _, s := range r.Protocol().Species {
			codes = append(codes, s.Code)
		}
	})
	if !slices.Contains(codes, species) {
		return fmt.Errorf("species %q: the protocol has %s; choose the one it is", species, page.List(codes))
	}
	return nil
}

// version is the protocol in force.
func (t *Trapside) version() string {
	var v string
	t.programme.View(func(r *register.Register) { v = r.Protocol().Version })
	return v
}
