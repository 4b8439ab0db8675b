package demo_test

import (
	"encoding/json"
	"testing"

	"dawnround/record"
	"dawnround/register"
	"dawnround/trapside"
)

// What was typed at the bench, read as the bench reads it, is what was kept.
func TestKeptIsWhatWasTyped(t *testing.T) {
	t.Parallel()
	g := seedOne()
	r := g.register()
	cards := 0
	for _, c := range r.Captures() {
		for _, id := range c.Lines {
			line, _ := r.Line(id)
			kept, ok := line.Body.(record.Capture)
			if !ok || kept.Handled == nil {
				continue
			}
			cards++
			draft := trapside.Fold(kept.Capture, kept.Handled.Steps)
			draft.Finish(register.New(), r.Protocol())
			if want, got := saidIn(t, kept), saidIn(t, draft.Capture); got != want {
				t.Fatalf("capture %s in %s on %s:\ntyped %s\nkept  %s", kept.Capture, c.At.Trap, c.At.Night, got, want)
			}
		}
	}
	if cards < 300 {
		t.Errorf("%d cards, expected some hundreds", cards)
	}
}

// saidIn is what the words of a card say, without what the scribe's program
// adds: who, when, in which medium, how sure.
func saidIn(t *testing.T, c record.Capture) string {
	t.Helper()
	h, r := c.Handled, c.Released
	said := record.Capture{Handled: &record.Handled{
		Status: h.Status, Species: h.Species, Sex: h.Sex, Stage: h.Stage, Marks: h.Marks, Weighing: h.Weighing,
		Measures: h.Measures, Signs: h.Signs, Young: h.Young, Findings: h.Findings, Brief: h.Brief, Notes: h.Notes,
	}, Released: &record.Released{Fate: r.Fate, WithYoung: r.WithYoung, Behaviour: r.Behaviour, Why: r.Why}}
	for _, s := range h.Samples {
		said.Handled.Samples = append(said.Handled.Samples, record.Sample{Kind: s.Kind, Label: s.Label, Part: s.Part, Side: s.Side})
	}
	for _, i := range h.Incidents {
		said.Handled.Incidents = append(said.Handled.Incidents, record.Incident{Kind: i.Kind, Says: i.Says, Aid: i.Aid, Outcome: i.Outcome})
	}
	b, err := json.Marshal(said)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
