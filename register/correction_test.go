package register_test

import (
	"slices"
	"testing"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

func sexOf(t *testing.T, r *register.Register, id int) record.Sex {
	t.Helper()
	c, ok := r.Capture(captureID(id))
	if !ok {
		t.Fatalf("no capture %d", id)
	}
	return c.Handled.Sex
}

func TestCorrectionBeatsTheLineWhateverTheClock(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	c := caught(1, 10)
	c.Handled.Sex = record.Female
	w.now = w.now.AddDate(0, 0, 1) // the phone's clock is a day fast
	line := w.write(0, c)
	w.now = w.now.AddDate(0, 0, -2)
	w.write(1, correction(line, "/handled/sex", record.Male))
	if got := sexOf(t, fold(w.lines), 1); got != record.Male {
		t.Errorf("sex %q, want male: the correction stands although its clock is earlier", got)
	}
}

func TestTwoCorrectionsDisagreeUntilOneReplacesBoth(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	line := w.write(0, caught(1, 10))
	w.write(0, correction(line, "/handled/sex", record.Female))
	w.write(1, correction(line, "/handled/sex", record.Male))
	r := fold(w.lines)
	c, _ := r.Capture(captureID(1))
	if c.Handled.Sex != record.Male || len(c.Disagree) != 1 || len(c.Disagree[0].Lines) != 2 {
		t.Fatalf("sex %q, disagreements %+v; want the later shown and both named", c.Handled.Sex, c.Disagree)
	}
	settle, err := r.Correct(line, "/handled/sex", record.Female, "looked again together")
	if err != nil {
		t.Fatal(err)
	}
	if len(settle.Replaces) != 2 || string(settle.Was) != `"male"` {
		t.Fatalf("correction %+v, want it to replace both and to know that it was male", settle)
	}
	w.write(0, settle)
	c, _ = fold(w.lines).Capture(captureID(1))
	if c.Handled.Sex != record.Female || len(c.Disagree) != 0 {
		t.Errorf("sex %q, disagreements %+v; want female and none", c.Handled.Sex, c.Disagree)
	}
}

func TestStrikeAndStrikeOfAStrike(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	line := w.write(0, caught(1, 10, tag("101")))
	strike := w.write(0, record.Strike{Line: line, Why: "written twice"})
	r := fold(w.lines)
	if _, ok := r.Capture(captureID(1)); ok {
		t.Error("a struck capture still stands")
	}
	if got := r.MarksEnding("101"); len(got) != 0 {
		t.Errorf("its mark is still found: %v", got)
	}
	if got := r.Struck(line); len(got) != 1 || got[0].ID != strike {
		t.Errorf("struck by %v, want the strike", got)
	}
	w.write(0, record.Strike{Line: strike, Why: "it was not"})
	if _, ok := fold(w.lines).Capture(captureID(1)); !ok {
		t.Error("the capture does not stand again once its strike is struck")
	}
}

func TestCorrectRefusesWhatIsNotThere(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	line := w.write(0, caught(1, 10, tag("101")))
	r := fold(w.lines)
	for name, try := range map[string]struct {
		line  uuid.UUID
		field string
	}{
		"no such line":         {captureID(77), "/handled/sex"},
		"not a pointer":        {line, "handled/sex"},
		"beyond the list":      {line, "/handled/marks/7/text"},
		"inside a plain value": {line, "/at/trap/name"},
	} {
		if _, err := r.Correct(try.line, try.field, "x", "why"); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// TestPartsOfACapture: trap check, bag, processing and release are lines of
// one capture; a correction of the check's trap moves the capture with it.
func TestPartsOfACapture(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	id := captureID(1)
	check := w.write(0, record.Check{Site: "NR", Night: night(10), Trap: "K1", Outcome: record.OutcomeCapture, Captures: []uuid.UUID{id}, At: w.now})
	w.write(0, record.Capture{Capture: id, Bagged: &record.Bagged{At: w.now, Species: "RW"}})
	open, _ := fold(w.lines).Capture(id)
	if !open.Open() || open.Species() != "RW" || open.At.Trap != "K1" {
		t.Errorf("open capture %+v", open)
	}
	w.write(0, record.Capture{Capture: id, Handled: &record.Handled{Species: "NB"}, Released: &record.Released{Fate: record.FateReleased, At: w.now}})
	w.write(0, correction(check, "/trap", "K7"))
	c, _ := fold(w.lines).Capture(id)
	if c.Open() || c.Species() != "NB" || c.At.Trap != "K7" || len(c.Lines) != 3 || len(c.Disagree) != 0 {
		t.Errorf("capture %+v, want one of three lines at K7", c)
	}
}

func TestUnreadLinesAreCounted(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	lines := w.lines
	e, err := record.Entry("AB", record.Site{Site: "NR", Name: "North Ridge"})
	if err != nil {
		t.Fatal(err)
	}
	e.Kind = "hologram"
	w.enter(0, e)
	lines = append(lines, w.lines...)
	lines = append(lines, w.lines...) // twice: counted once
	if got := fold(lines).Unread(); got["hologram"] != 1 || len(got) != 1 {
		t.Errorf("unread %v, want one hologram", got)
	}
}

// TestAPartAndAFieldWithinItAreOneField: of two live corrections of which one
// holds the other's field the later by the clock shows, and both are told.
func TestAPartAndAFieldWithinItAreOneField(t *testing.T) {
	t.Parallel()
	for _, whole := range []string{"/handled", ""} {
		w := newWorld(2)
		line := w.write(0, caught(1, 10))
		w.write(0, correction(line, "/handled/sex", record.Female))
		c := caught(1, 10)
		c.Handled.Sex = record.Male
		value := any(c.Handled)
		if whole == "" {
			value = c
		}
		w.write(1, correction(line, whole, value))
		got, _ := fold(w.lines).Capture(captureID(1))
		if got.Handled.Sex != record.Male || len(got.Disagree) != 1 || len(got.Disagree[0].Lines) != 2 {
			t.Errorf("%q after /handled/sex: sex %q, disagreements %+v; want the later shown and both named", whole, got.Handled.Sex, got.Disagree)
			continue
		}
		if d := got.Disagree[0]; d.Field != "/handled/sex" || !slices.Equal(d.Values, []string{`"female"`, `"male"`}) {
			t.Errorf("%q after /handled/sex: disagreement %+v, want female and male of /handled/sex", whole, d)
		}
		settle, err := fold(w.lines).Correct(line, "/handled", c.Handled, "looked again together")
		if err != nil {
			t.Fatal(err)
		}
		w.write(0, settle)
		if got, _ := fold(w.lines).Capture(captureID(1)); whole != "" && len(got.Disagree) != 0 {
			t.Errorf("after a correction of the whole part: disagreements %+v, want none", got.Disagree)
		}
	}
}

// TestACorrectionMadeKnowingTheWholeAgrees: a field corrected after its whole
// part, by one who saw that, is no disagreement; made apart it is.
func TestACorrectionMadeKnowingTheWholeAgrees(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	line := w.write(0, caught(1, 10))
	c := caught(1, 10)
	c.Handled.Sex = record.Female
	w.write(0, correction(line, "/handled", c.Handled))
	knowing, err := fold(w.lines).Correct(line, "/handled/sex", record.Male, "looked again")
	if err != nil {
		t.Fatal(err)
	}
	seen := w.lines
	w.write(1, knowing)
	if got, _ := fold(w.lines).Capture(captureID(1)); got.Handled.Sex != record.Male || len(got.Disagree) != 0 {
		t.Errorf("sex %q, disagreements %+v; want male and none", got.Handled.Sex, got.Disagree)
	}
	w.lines = slices.Clone(seen)
	w.write(1, correction(line, "/handled/sex", record.Male))
	if got, _ := fold(w.lines).Capture(captureID(1)); got.Handled.Sex != record.Male || len(got.Disagree) != 1 {
		t.Errorf("made apart: sex %q, disagreements %+v; want male and both named", got.Handled.Sex, got.Disagree)
	}
}
