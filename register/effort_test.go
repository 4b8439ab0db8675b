package register_test

import (
	"slices"
	"testing"

	"dawnround/record"
)

func TestANightsTraps(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	round := captureID(80)
	w.write(0, record.Setting{Trip: "1", Site: "NR", Night: night(10), Set: []string{"K1", "K2", "K3"}, Not: []record.NotSet{{Trap: "K4", Why: "ants"}}})
	w.write(0, record.Setting{Trip: "1", Site: "NR", Night: night(10), Set: []string{"K4"}, Not: []record.NotSet{{Trap: "K2", Why: "flooded"}}})
	w.write(0, record.Round{Round: round, Trip: "1", Site: "NR", Night: night(10), Number: 1})
	for trap, outcome := range map[string]record.Outcome{"K1": record.OutcomeEmpty, "K3": record.OutcomeNotChecked} {
		w.write(0, record.Check{Round: round, Site: "NR", Night: night(10), Trap: trap, Outcome: outcome})
	}
	w.write(0, record.Closing{Site: "NR", Night: night(10), Traps: []string{"K1"}})
	n := fold(w.lines).NightAt("NR", night(10))
	set, not := n.Set()
	if want := []string{"K1", "K3", "K4"}; !slices.Equal(set, want) || len(not) != 1 || not[0].Why != "flooded" {
		t.Errorf("set %v not %v, want %v and K2 flooded", set, not, want)
	}
	if got, want := n.Unseen(round), []string{"K3", "K4"}; !slices.Equal(got, want) {
		t.Errorf("unseen %v, want %v: not checked is not seen", got, want)
	}
	if got, want := n.Unclosed(), []string{"K3", "K4"}; !slices.Equal(got, want) {
		t.Errorf("unclosed %v, want %v", got, want)
	}
	if set, known := n.WasSet("K2"); set || !known {
		t.Errorf("K2 set %v known %v", set, known)
	}
	if _, known := fold(w.lines).NightAt("NR", night(11)).WasSet("K2"); known {
		t.Error("a night without a setting is known")
	}
}

func TestTrapsStandForTheirNights(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, record.Trap{Site: "NR", Trap: "K1", Lat: -19})
	w.write(0, record.Trap{Site: "NR", Trap: "K1", Lat: -20, From: night(12)})
	w.write(0, record.Trap{Site: "NR", Trap: "K2", To: night(11)})
	r := fold(w.lines)
	if got := r.Traps("NR", night(11)); len(got) != 2 || got[0].Lat != -19 {
		t.Errorf("on the 11th %+v, want K1 where it first stood, and K2", got)
	}
	if got := r.Traps("NR", night(12)); len(got) != 1 || got[0].Lat != -20 {
		t.Errorf("on the 12th %+v, want K1 where it was moved to", got)
	}
}
