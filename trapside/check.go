package trapside

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

var outcomes = []record.Outcome{
	record.OutcomeCapture, record.OutcomeEmpty, record.OutcomeSprung, record.OutcomeBaitTaken,
	record.OutcomeEscaped, record.OutcomeDisabled, record.OutcomeNotSet, record.OutcomeNotChecked,
}

// checkTrap writes what a trap held. A capture mints the animal's id; a dead
// animal is a capture too, its fate begun.
func (t *Trapside) checkTrap(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	check, err := t.checkOf(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	to := "/round?round=" + check.Round.String()
	if check.Outcome == record.OutcomeCapture {
		check.Captures = []uuid.UUID{newID()}
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if _, err := t.programme.Keep(who, t.now(), check); err != nil {
		notKept(w, r, err)
		return
	}
	if r.FormValue("outcome") == "dead" {
		to = "/bench/" + check.Captures[0].String()
		if err := t.add(check.Captures[0], step(who, t.now(), "status", string(record.FoundDead)), step(who, t.now(), "released/fate", string(record.FateDied))); err != nil {
			notKept(w, r, err)
			return
		}
	}
	page.Go(w, r, to)
}

func step(who string, at time.Time, field, typed string) record.Step {
	return record.Step{At: at, By: who, Field: field, Typed: typed}
}

func (t *Trapside) checkOf(r *http.Request) (record.Check, error) {
	round, err := t.roundOf(r)
	if err != nil {
		return record.Check{}, err
	}
	c := record.Check{
		Round: round.Round, Trip: round.Trip, Site: round.Site, Night: round.Night, Trap: r.FormValue("trap"),
		Outcome: record.Outcome(r.FormValue("outcome")), At: t.now(), Why: strings.TrimSpace(r.FormValue("why")),
	}
	if c.Outcome == "dead" {
		c.Outcome = record.OutcomeCapture
	}
	if c.Trap == "" {
		return c, fmt.Errorf("no trap was named; tap the one you stand at")
	}
	if !slices.Contains(outcomes, c.Outcome) {
		return c, fmt.Errorf("outcome %q: expected one of %s", c.Outcome, words(outcomes))
	}
	return c, nil
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
	check, err := t.checkOf(r)
	species := r.FormValue("species")
	if err == nil && species == "" {
		err = fmt.Errorf("no species was named; choose the one it is")
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	check.Captures = []uuid.UUID{newID()}
	capture := record.Capture{
		Capture:  check.Captures[0],
		Handled:  &record.Handled{Start: t.now(), End: t.now(), Scribe: who, Species: species, Brief: true, Protocol: t.version()},
		Released: &record.Released{At: t.now(), Fate: record.FateReleased, By: who},
	}
	t.keepLines(w, r, who, page.Said("/round?round="+check.Round.String(), check.Trap+": "+species+" released"), check, capture)
}

// version is the protocol in force.
func (t *Trapside) version() string {
	var v string
	t.programme.View(func(r *register.Register) { v = r.Protocol().Version })
	return v
}
