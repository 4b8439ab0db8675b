package desk

import (
	"fmt"

	"dawnround/record"
)

// seen writes what was found in traps that nobody had written of.
func seen(w words, f form) ([]record.Body, error) {
	night, err := record.ParseNight(f.Get("night"))
	if err != nil {
		return nil, err
	}
	outcome := record.Outcome(f.text("outcome"))
	if outcome == "" {
		return nil, fmt.Errorf("what was in the trap is missing; choose one")
	}
	round, err := f.id("round")
	if err != nil {
		return nil, err
	}
	var out []record.Body
	for _, trap := range f.Values["trap"] {
		out = append(out, record.Check{
			Round: round, Trip: w.tripOf(f.Get("site"), night), Site: f.Get("site"), Night: night,
			Trap: trap, Outcome: outcome, Why: f.text("why"), At: w.now.UTC(),
		})
	}
	return out, nil
}

// closed writes traps closed.
func closed(w words, f form) ([]record.Body, error) {
	night, err := record.ParseNight(f.Get("night"))
	if err != nil {
		return nil, err
	}
	if len(f.Values["trap"]) == 0 {
		return nil, fmt.Errorf("no trap is named; tick those that are closed")
	}
	return []record.Body{record.Closing{
		Trip: w.tripOf(f.Get("site"), night), Site: f.Get("site"), Night: night, Traps: f.Values["trap"], At: w.now.UTC(),
	}}, nil
}

// tripOf is the trip that a site's night belongs to, as its setting says.
func (w words) tripOf(site string, night record.Night) string {
	for _, s := range w.NightAt(site, night).Settings {
		return s.Trip
	}
	return ""
}

// released writes how an animal left the hand.
func released(w words, f form) ([]record.Body, error) {
	id, err := f.id("capture")
	if err != nil {
		return nil, err
	}
	r := record.Released{Fate: record.Fate(f.text("fate")), Where: f.text("where"), Why: f.text("why"), By: f.who}
	if r.Fate == "" {
		return nil, fmt.Errorf("what became of the animal is missing; choose one")
	}
	at, err := w.parse(Field{Label: "when", was: w.now}, f.Get("at"))
	if err != nil {
		return nil, err
	}
	r.At = asTime(at)
	return []record.Body{record.Capture{Capture: id, Released: &r}}, nil
}

// done closes a follow-up.
func done(w words, f form) ([]record.Body, error) {
	id, err := f.id("follow_up")
	if err != nil {
		return nil, err
	}
	if f.text("result") == "" {
		return nil, fmt.Errorf("the result is missing; say what was found or done")
	}
	return []record.Body{record.Done{FollowUp: id, Result: f.text("result"), At: w.now.UTC()}}, nil
}
