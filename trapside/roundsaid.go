package trapside

import (
	"fmt"
	"slices"
	"time"

	"dawnround/call"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// roundSaid are the lines that a phrase at the bench writes about other traps,
// as the round's buttons do: "K12 empty, K13 sprung". What cannot be written is
// asked about.
func (t *Trapside) roundSaid(r *register.Register, s Saying, now time.Time) ([]record.Body, []record.Step) {
	here, ok := r.Capture(s.Card)
	if !ok || s.Heard.Previous {
		return nil, nil
	}
	var lines []record.Body
	var odd []record.Step
	for _, row := range trapsSaid(s.Heard, here.At.Trap) {
		c := record.Check{
			Round: here.At.Round, Trip: here.At.Trip, Site: here.At.Site, Night: here.At.Night,
			Trap: row.parts["trap"].Value, Outcome: record.Outcome(row.parts["outcome"].Value), At: now,
		}
		if c.Outcome == record.OutcomeCapture {
			c.Captures = []uuid.UUID{newID()}
		}
		if err := checkable(r, c); err != nil {
			odd = append(odd, record.Step{
				Field: doubtful("trap"), Typed: c.Trap + " " + string(c.Outcome), Phrase: s.Steps[0].Phrase,
				From: row.first.From, To: row.first.To, Doubt: &record.Doubt{About: "trap", Says: err.Error()},
			})
			continue
		}
		lines = append(lines, c)
	}
	return lines, odd
}

// trapsSaid are the traps of a phrase with what they held, but for the trap of
// the animal in hand.
func trapsSaid(h call.Heard, here string) []spokenRow {
	m := hearing{h: h}
	rows := m.list("checks")
	trap, named := h.Field("trap")
	outcome, held := h.Field("outcome")
	if named && held && trap.Value != here {
		rows = append(rows, spokenRow{parts: map[string]call.Field{"trap": *trap, "outcome": *outcome}, first: *trap})
	}
	return slices.DeleteFunc(rows, func(r spokenRow) bool {
		return r.parts["trap"].Value == here || r.parts["outcome"].Value == ""
	})
}

// checkable says why a trap cannot be written so, or nothing.
func checkable(r *register.Register, c record.Check) error {
	if !slices.Contains(outcomes, c.Outcome) {
		return fmt.Errorf("%s %s is written on the round", c.Trap, c.Outcome)
	}
	if err := stands(r, c.Site, c.Night, c.Trap); err != nil {
		return err
	}
	return holds(r, c)
}
