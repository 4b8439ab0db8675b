package register_test

import (
	"testing"

	"dawnround/record"
	"dawnround/register"
)

func byTable(e *register.Entry) bool {
	c, ok := e.Body.(record.Correction)
	return ok && c.Why == "changed in the table"
}

func TestSaidByLeavesOutAPersonsCorrections(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	c := caught(1, 10)
	c.Handled.Sex = record.Female
	line := w.write(0, c)
	stage := correction(line, "/handled/stage", "adult")
	stage.Why = "changed in the table"
	w.write(0, stage)
	w.write(0, correction(line, "/handled/sex", record.Male))
	said, err := fold(w.lines).SaidBy(line, byTable)
	if err != nil {
		t.Fatal(err)
	}
	if h := said.(record.Capture).Handled; h.Sex != record.Female || h.Stage != "adult" {
		t.Errorf("sex %q, stage %q; want the line's female and the table's adult", h.Sex, h.Stage)
	}
	if _, err := fold(w.lines).SaidBy(captureID(77), byTable); err == nil {
		t.Error("a line that is not here: want an error")
	}
}

func TestCorrectPartLeavesAPersonsCorrectionAsADisagreement(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	line := w.write(0, caught(1, 10))
	first := correction(line, "/handled/stage", "juvenile")
	first.Why = "changed in the table"
	replaced := w.write(0, first)
	w.write(0, correction(line, "/handled/stage", "adult"))
	next, err := fold(w.lines).CorrectPart(line, "/handled/stage", "subadult", "changed in the table", byTable)
	if err != nil {
		t.Fatal(err)
	}
	if len(next.Replaces) != 1 || next.Replaces[0] != replaced {
		t.Fatalf("replaces %v, want only the table's own %v", next.Replaces, replaced)
	}
	w.write(0, next)
	got, _ := fold(w.lines).Capture(captureID(1))
	if got.Handled.Stage != "subadult" || len(got.Disagree) != 1 {
		t.Errorf("stage %q, disagreements %+v; want the later shown and the two named", got.Handled.Stage, got.Disagree)
	}
}

func TestTablesCountOneNightApart(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	for _, source := range []string{"captures", "trapping"} {
		w.write(0, record.Effort{Trip: "1", Site: "A", Night: night(10), Trapped: "yes", From: &record.Source{File: source}})
	}
	if got := len(fold(w.lines).Efforts()); got != 2 {
		t.Errorf("%d counts stand, want both tables' whichever came first", got)
	}
}
