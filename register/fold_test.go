package register_test

import (
	"bytes"
	"fmt"
	"testing"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// TestOrderDoesNotMatter folds one set of lines from several devices in
// random orders, with duplicates and in random batches: always one register.
func TestOrderDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lines := randomLines(t)
		want := fold(lines)
		order := rapid.Permutation(append(lines, lines[:len(lines)/2]...)).Draw(t, "order")
		got := register.New()
		for len(order) > 0 {
			n := rapid.IntRange(1, len(order)).Draw(t, "batch")
			for _, l := range order[:n] {
				got.Apply(register.ReadLine(l))
			}
			order = order[n:]
		}
		same(t, want, got)
	})
}

// TestSavedIsFolded saves a register half way, loads it, folds the rest, and
// compares it byte for byte with a fresh fold.
func TestSavedIsFolded(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lines := randomLines(t)
		n := rapid.IntRange(0, len(lines)).Draw(t, "saved after")
		var file bytes.Buffer
		if err := fold(lines[:n]).Save(&file); err != nil {
			t.Fatal(err)
		}
		got, err := register.Load(&file)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range lines[n:] {
			got.Apply(register.ReadLine(l))
		}
		same(t, fold(lines), got)
	})
}

// TestAnimalsPartitionTheCaptures: every capture belongs to exactly one
// animal, named by its smallest id.
func TestAnimalsPartitionTheCaptures(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := fold(randomLines(t))
		seen := map[uuid.UUID]bool{}
		for _, id := range r.AnimalIDs() {
			a, ok := r.Animal(id)
			if !ok || a.ID != id {
				t.Fatalf("animal %s: found %v, named %s", id, ok, a.ID)
			}
			for _, c := range a.Captures {
				if seen[c.ID()] {
					t.Fatalf("capture %s belongs to two animals", c.ID())
				}
				seen[c.ID()] = true
				if bytes.Compare(c.Capture.Capture[:], id[:]) < 0 {
					t.Fatalf("animal %s has the smaller capture %s", id, c.ID())
				}
				if c.Animal != id {
					t.Fatalf("capture %s says animal %s, not %s", c.ID(), c.Animal, id)
				}
			}
		}
		if len(seen) != len(r.Captures()) {
			t.Fatalf("%d captures in animals, %d in all", len(seen), len(r.Captures()))
		}
	})
}

// randomLines writes random bodies, on three devices, over a small world in
// which they meet: six captures, four marks, two sites, a few corrections,
// strikes of lines and of strikes, same and apart.
func randomLines(t *rapid.T) []line {
	w := newWorld(3)
	for range rapid.IntRange(1, 25).Draw(t, "lines") {
		device := rapid.IntRange(0, 2).Draw(t, "device")
		w.write(device, randomBody(t, w))
		if rapid.IntRange(0, 9).Draw(t, "same words elsewhere") == 0 {
			w.copyLast((device + 1) % 3)
		}
		if rapid.IntRange(0, 9).Draw(t, "other words elsewhere") == 0 {
			w.twinLast((device+2)%3, randomBody(t, w))
		}
	}
	return w.lines
}

func randomBody(t *rapid.T, w *world) record.Body {
	capture := func(name string) uuid.UUID { return captureID(rapid.IntRange(1, 6).Draw(t, name)) }
	earlier := func(name string) uuid.UUID {
		if len(w.lines) == 0 {
			return captureID(99)
		}
		return w.lines[rapid.IntRange(0, len(w.lines)-1).Draw(t, name)].ID
	}
	marks := func() (out []record.Mark) {
		for range rapid.IntRange(1, 2).Draw(t, "marks") {
			out = append(out, record.Mark{
				Kind: "tag", Text: fmt.Sprint(rapid.IntRange(100, 103).Draw(t, "mark")),
				Act: rapid.SampledFrom([]record.MarkAct{"", "", record.MarkPut, record.MarkGone}).Draw(t, "act"),
			})
		}
		return out
	}
	night := record.Night{Year: 2026, Month: 5, Day: rapid.IntRange(10, 14).Draw(t, "day")}
	site := rapid.SampledFrom([]string{"NR", "SR"}).Draw(t, "site")
	trip := rapid.SampledFrom([]string{"1", "2"}).Draw(t, "trip")
	switch rapid.IntRange(0, 11).Draw(t, "kind") {
	case 0, 1, 2:
		return record.Capture{
			Capture: capture("capture"), At: &record.Spot{Trip: trip, Site: site, Night: night, Trap: "K1"},
			Handled: &record.Handled{Species: "RW", Marks: marks()},
		}
	case 3:
		return record.Capture{Capture: capture("mother"), Handled: &record.Handled{
			Species: "RW", Young: []record.Young{{Young: captureID(rapid.IntRange(20, 22).Draw(t, "young"))}},
		}}
	case 4:
		return record.Check{Site: site, Night: night, Trap: "K2", Outcome: record.OutcomeCapture, Captures: []uuid.UUID{capture("checked")}}
	case 5:
		return record.Same{Of: []uuid.UUID{capture("one"), capture("other")}, Evidence: []string{"x"}}
	case 6:
		return record.Apart{These: []uuid.UUID{capture("this")}, From: capture("that"), Evidence: []string{"x"}}
	case 7:
		return record.Strike{Line: earlier("struck"), Why: "x"}
	case 8:
		return record.Site{Site: site, Name: rapid.SampledFrom([]string{"a", "b"}).Draw(t, "name")}
	case 10:
		return record.Setting{Trip: trip, Site: site, Night: night, Set: []string{"K1"}}
	case 9:
		return record.Protocol{Version: rapid.SampledFrom([]string{"v1", "v2"}).Draw(t, "version"), Text: protocolText}
	}
	field := rapid.SampledFrom([]string{"/handled/sex", "/handled", "/site", "/handled/marks/0/text", "/at/night", "/captures/0"}).Draw(t, "field")
	value := map[string]any{"/handled/sex": "male", "/handled": record.Handled{Sex: "female", Marks: marks()}, "/site": "SR", "/handled/marks/0/text": "101", "/at/night": night, "/captures/0": capture("moved")}[field]
	return correction(earlier("corrected"), field, value)
}
