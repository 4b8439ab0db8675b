package register_test

import (
	"slices"
	"testing"
	"time"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

func ids(entries []*register.Entry) []uuid.UUID {
	out := []uuid.UUID{}
	for _, e := range entries {
		out = append(out, e.ID)
	}
	return out
}

// A night's page holds what is about the night, whenever it was written, and
// of the rest what was written meanwhile.
func TestLinesOfANight(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	early := w.write(0, record.Person{Initials: "AB"})
	from := w.now
	here := w.write(0, caught(1, 12, tag("T1")))
	w.write(0, caught(2, 13, tag("T2")))
	meanwhile := w.write(0, record.Person{Initials: "CK"})
	round := record.Round{Round: captureID(90), Site: "K", Night: night(12)}
	opened := w.write(0, round)
	to := w.now
	ended := w.write(0, record.RoundEnd{Round: round.Round})
	struck := w.write(0, record.Closing{Site: "K", Night: night(12)})
	strike := w.write(0, record.Strike{Line: struck, Why: "not closed"})
	other := w.write(0, record.Strike{Line: early, Why: "nobody of that name"})
	r := fold(w.lines)

	want := []uuid.UUID{here, meanwhile, opened, ended, struck, strike}
	if got := ids(r.LinesOf(night(12), from, to)); !slices.Equal(got, want) {
		t.Errorf("night 12: %v, want %v", got, want)
	}
	if got := ids(r.LinesOf(night(12), from, to.Add(time.Hour))); !slices.Contains(got, other) {
		t.Errorf("a strike written meanwhile is not on the page: %v", got)
	}
}

// A strike of a strike of itself, as a damaged line may state, ends.
func TestLinesThatNameEachOtherEnd(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	a, b := captureID(500), captureID(501)
	w.write(0, record.Strike{Line: b})
	w.write(0, record.Strike{Line: a})
	if got := fold(w.lines).LinesOf(night(12), time.Time{}, w.now); len(got) != 2 {
		t.Errorf("%d lines, want both, as of no night", len(got))
	}
}

func TestLinesStatingACapture(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	check := w.write(0, record.Check{Site: "K", Night: night(12), Trap: "K1", Outcome: record.OutcomeCapture, Captures: []uuid.UUID{captureID(1)}})
	wrong := w.write(0, caught(1, 12, tag("T9")))
	w.write(0, record.Strike{Line: wrong, Why: "another animal"})
	right := w.write(0, caught(1, 12, tag("T1")))
	w.write(0, caught(2, 12, tag("T2")))
	if got, want := ids(fold(w.lines).LinesStating(captureID(1))), []uuid.UUID{check, wrong, right}; !slices.Equal(got, want) {
		t.Errorf("got %v, want the struck line too: %v", got, want)
	}
}

func TestSiteNights(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, record.Effort{Site: "L", Night: night(11), Traps: 49, Trapped: "yes"})
	w.write(0, record.Setting{Site: "K", Night: night(12), Set: []string{"K1"}})
	w.write(0, caught(1, 10, tag("T1")))
	w.write(0, record.Round{Round: captureID(90), Site: "L", Night: night(12)})
	want := []string{"2026-05-10", "2026-05-11", "2026-05-12", "2026-05-12"}
	var got []string
	for _, sn := range fold(w.lines).SiteNights() {
		got = append(got, sn.Night.String())
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestIdentityLinesOfAnAnimal(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, caught(1, 10, tag("T1")))
	w.write(0, caught(2, 11, tag("T2")))
	same := w.write(0, record.Same{Of: []uuid.UUID{captureID(1), captureID(2)}, Evidence: []string{"a hole in the left ear"}})
	r := fold(w.lines)
	animal, _ := r.AnimalOf(captureID(2))
	if got := ids(r.IdentityLines(animal)); !slices.Equal(got, []uuid.UUID{same}) {
		t.Errorf("got %v, want %v once", got, same)
	}
	if got := r.Members(animal); len(got) != 2 {
		t.Errorf("%d members, want the two captures", len(got))
	}
	w.write(0, record.Strike{Line: same, Why: "the hole is in the right ear"})
	r = fold(w.lines)
	if got := r.IdentityLines(animal); len(got) != 0 {
		t.Errorf("a struck line still speaks: %v", ids(got))
	}
}

// A correction that would make its line unreadable is refused, since a line
// that cannot be read shows none of its corrections.
func TestCorrectRefusesWhatCannotBeRead(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	line := w.write(0, caught(1, 12, tag("T1")))
	r := fold(w.lines)
	for field, value := range map[string]any{"/at/night": "yesterday", "/handled/marks": "T1", "/handled": 7} {
		if c, err := r.Correct(line, field, value, "test"); err == nil {
			t.Errorf("%s to %v: %s, want a refusal", field, value, c.Value)
		}
	}
	if _, err := r.Correct(line, "/at/night", "2026-05-11", "test"); err != nil {
		t.Errorf("a night that can be: %v", err)
	}
}

// Two lines of one id with other words disagree until a correction of the
// whole line says which holds.
func TestTwinsAreSettledByCorrectingTheWholeLine(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	line := w.write(0, caught(1, 12, tag("T1")))
	w.twinLast(1, caught(1, 12, tag("T7")))
	r := fold(w.lines)
	c, _ := r.Capture(captureID(1))
	if len(c.Disagree) != 1 {
		t.Fatalf("%d disagreements, want 1", len(c.Disagree))
	}
	correction, err := r.Correct(line, "", caught(1, 12, tag("T1")), "the sheet says T1")
	if err != nil {
		t.Fatal(err)
	}
	w.write(0, correction)
	r = fold(w.lines)
	c, _ = r.Capture(captureID(1))
	if len(c.Disagree) != 0 || c.Handled.Marks[0].Text != "T1" {
		t.Errorf("mark %s, disagreements %v", c.Handled.Marks[0].Text, c.Disagree)
	}
}
