package register_test

import (
	"slices"
	"testing"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

func TestMarkMakesTheAnimal(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, record.Protocol{Version: "v1", Text: protocolText})
	w.write(0, caught(1, 10, tag("101", record.MarkPut)))
	w.write(0, caught(2, 11, tag(" 101 ")))
	w.write(0, caught(3, 11, tag("102")))
	other := caught(4, 12, tag("101"))
	other.Handled.Species = "NB" // a tag speaks within its species
	w.write(0, other)
	w.write(0, caught(5, 13)) // no mark: an animal of its own
	chip := record.Mark{Kind: "chip", Text: "999 000000000017"}
	w.write(0, caught(6, 14, tag("102"), chip)) // a second mark on 3
	w.write(0, caught(7, 15, record.Mark{Kind: "chip", Text: "999000000000017"}))
	got := animals(t, fold(w.lines), 1, 2, 3, 4, 5, 6, 7)
	if want := []int{1, 1, 3, 4, 5, 3, 3}; !slices.Equal(got, want) {
		t.Errorf("animals %v, want %v", got, want)
	}
}

func TestMarkGoneAndPutAnewIsAnotherSpan(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, caught(1, 10, tag("101", record.MarkPut)))
	w.write(0, caught(2, 11, tag("101")))
	w.write(0, caught(3, 12, tag("101", record.MarkGone), tag("300", record.MarkPut)))
	w.write(0, caught(4, 20, tag("101", record.MarkPut))) // the tag used again
	w.write(0, caught(5, 21, tag("101")))
	w.write(0, caught(6, 22, tag("300")))
	r := fold(w.lines)
	if got, want := animals(t, r, 1, 2, 3, 4, 5, 6), []int{1, 1, 1, 4, 4, 1}; !slices.Equal(got, want) {
		t.Errorf("animals %v, want %v", got, want)
	}
	a, _ := r.Animal(captureID(1))
	if len(a.Spans) != 2 || a.Spans[0].Gone == nil || a.Spans[0].Gone.ID() != captureID(3) || len(a.Spans[0].Captures) != 3 {
		t.Errorf("spans %+v, want the first tag over three captures, gone at the third", a.Spans)
	}
}

func TestYoungKnownBeforeItIsMarked(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	mother := caught(1, 10, tag("101"))
	mother.Handled.Young = []record.Young{{Young: captureID(50), Where: "in pouch"}}
	w.write(0, mother)
	again := caught(2, 14, tag("101"))
	again.Handled.Young = []record.Young{{Young: captureID(50), Where: "at foot"}}
	w.write(0, again)
	w.write(0, caught(3, 30, tag("200", record.MarkPut)))
	w.write(0, record.Same{Of: []uuid.UUID{captureID(50), captureID(3)}, Evidence: []string{"held together at release"}})
	r := fold(w.lines)
	young, ok := r.Animal(captureID(50))
	if !ok || young.ID != captureID(3) || len(young.Rows) != 2 || len(young.Captures) != 1 {
		t.Fatalf("young %+v, want two rows of its mother and one capture of its own", young)
	}
	if young.Rows[0].Mother.ID() != captureID(1) || young.Rows[0].Mother.Animal != captureID(1) {
		t.Errorf("first row by %v, want the mother's first capture", young.Rows[0].Mother.ID())
	}
	m, _ := r.Animal(captureID(2))
	if !slices.Equal(m.Young, []uuid.UUID{captureID(50)}) {
		t.Errorf("mother's young %v", m.Young)
	}
}

// TestMergeSplitMerge: joining two lives, taking them apart and joining them
// again gives the same animals as joining them once, wherever it was done.
func TestMergeSplitMerge(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := newWorld(2)
		tags := []string{"101", "102", "103"}
		for i := range 9 {
			w.write(i%2, caught(i+1, 10+i, tag(tags[i%3])))
		}
		apart := partition(fold(w.lines))
		join := record.Same{
			Of: []uuid.UUID{
				captureID(rapid.IntRange(1, 9).Draw(t, "one")), captureID(rapid.IntRange(1, 9).Draw(t, "other")),
			},
			Evidence: []string{"old biopsy hole"},
		}
		same1 := w.write(0, join)
		joined := partition(fold(w.lines))
		strike := w.write(rapid.IntRange(0, 1).Draw(t, "device"), record.Strike{Line: same1, Why: "genotypes differ"})
		if got := partition(fold(w.lines)); !slices.Equal(got, apart) {
			t.Fatalf("after the split %v, before the merge %v", got, apart)
		}
		if rapid.Bool().Draw(t, "strike the strike") {
			w.write(0, record.Strike{Line: strike, Why: "the lab swapped two tubes"})
		} else {
			w.write(0, join)
		}
		if got := partition(fold(w.lines)); !slices.Equal(got, joined) {
			t.Fatalf("after the second merge %v, after the first %v", got, joined)
		}
	})
}

// partition gives the animal of captures 1 to 9.
func partition(r *register.Register) []uuid.UUID {
	var out []uuid.UUID
	for i := range 9 {
		a, _ := r.AnimalOf(captureID(i + 1))
		out = append(out, a)
	}
	return out
}

func TestApartTakesCapturesOutOfTheirMark(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	for i := range 4 {
		w.write(0, caught(i+1, 10+i, tag("101")))
	}
	line := w.write(0, record.Apart{These: []uuid.UUID{captureID(3), captureID(4)}, From: captureID(1), Evidence: []string{"male"}})
	r := fold(w.lines)
	if got, want := animals(t, r, 1, 2, 3, 4), []int{1, 1, 3, 3}; !slices.Equal(got, want) {
		t.Errorf("animals %v, want %v", got, want)
	}
	if got := r.Contradictions(); len(got) != 0 {
		t.Errorf("contradictions %v, want none", got)
	}
	w.write(0, record.Same{Of: []uuid.UUID{captureID(2), captureID(4)}, Evidence: []string{"genotype"}})
	r = fold(w.lines)
	if got := r.Contradictions(); len(got) != 1 || got[0].Line != line {
		t.Errorf("contradictions %v, want the line that says apart", got)
	}
}

func TestMarksAreFoundByTailAndSlip(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, record.Protocol{Version: "v1", Text: protocolText})
	first := w.write(0, caught(1, 10, record.Mark{Kind: "chip", Text: "999000000010311"}))
	r := fold(w.lines)
	want := register.MarkKey{Kind: "chip", Text: "999000000010311"}
	for name, got := range map[string][]register.MarkKey{
		"tail": r.MarksEnding("311"), "exact": r.MarksReading("999000000010311"),
		"one digit": r.MarksNear("999000000010312"), "swapped": r.MarksNear("999000000013011"),
	} {
		if len(got) != 1 || got[0] != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	w.write(0, correction(first, "/handled/marks/0/text", "999000000010411"))
	r = fold(w.lines)
	if got := r.MarksEnding("311"); len(got) != 0 {
		t.Errorf("a corrected mark is still found: %v", got)
	}
	if got := r.MarksEnding("411"); len(got) != 1 {
		t.Errorf("the mark as corrected is not found: %v", got)
	}
}

func TestCaseOfAMarkCountsWhereTheProtocolSaysSo(t *testing.T) {
	t.Parallel()
	text := "name: P\nzone: UTC\nspecies: [{code: DM, name: a name}]\nmarks:\n  - {id: tag, name: tag, form: tag, case counts: true}\n  - {id: ring, name: ring, form: tag}\n"
	w := newWorld(1)
	w.write(0, record.Protocol{Version: "1", Text: text})
	w.write(0, caught(1, 10, record.Mark{Kind: "tag", Text: "58496D"}))
	w.write(0, caught(2, 11, record.Mark{Kind: "tag", Text: "58496d"}))
	w.write(0, caught(3, 10, record.Mark{Kind: "ring", Text: "7A"}))
	w.write(0, caught(4, 11, record.Mark{Kind: "ring", Text: "7a"}))
	r := fold(w.lines)
	if got := animals(t, r, 1, 2, 3, 4); got[0] == got[1] || got[2] != got[3] {
		t.Errorf("animals %v; want the tags two and the ring one", got)
	}
	for _, k := range r.MarksEnding("96d") {
		if len(r.Spans(k)) != 1 {
			t.Errorf("mark %+v is found by its tail and has no span", k)
		}
	}
	if got := len(r.MarksEnding("96d")); got != 2 {
		t.Errorf("%d marks end in 96d, want both letters", got)
	}
}

// TestApartCutsOnlyTheMarkThatMisled: a chip misread as that of another
// animal is taken from it, and the ear tag read right beside it still speaks.
func TestApartCutsOnlyTheMarkThatMisled(t *testing.T) {
	t.Parallel()
	chip := record.Mark{Kind: "chip", Text: "999000000000017"}
	w := newWorld(1)
	w.write(0, record.Protocol{Version: "v1", Text: protocolText})
	w.write(0, caught(1, 10, chip, tag("7")))
	w.write(0, caught(2, 11, tag("101", record.MarkPut)))
	w.write(0, caught(3, 12, chip, tag("101"))) // the chip is a slip
	w.write(0, caught(4, 13, tag("7")))
	w.write(0, caught(5, 14, chip))
	// 4 bears no chip: it is the animal that counts, not the capture's own marks.
	line := w.write(0, record.Apart{These: []uuid.UUID{captureID(3)}, From: captureID(4), Evidence: []string{"tag read twice"}})
	r := fold(w.lines)
	if got, want := animals(t, r, 1, 2, 3, 4, 5), []int{1, 2, 2, 1, 1}; !slices.Equal(got, want) {
		t.Errorf("animals %v, want %v", got, want)
	}
	if got := r.Contradictions(); len(got) != 0 {
		t.Errorf("contradictions %v, want none", got)
	}
	key, _ := r.MarkKey(chip, "RW")
	if of, ok := r.Bearer(key, record.MarkRead, night(20)); !ok || of != captureID(1) {
		t.Errorf("the chip speaks for %v, %v; want the first animal", of, ok)
	}
	a, _ := r.Animal(captureID(2))
	if k, ok := r.CalledBy(a); !ok || k.Text != "101" {
		t.Errorf("called by %+v, %v; want its own tag", k, ok)
	}
	w.write(0, caught(6, 15)) // no mark, and said to be the first
	w.write(0, record.Same{Of: []uuid.UUID{captureID(6), captureID(1)}, Evidence: []string{"genotype"}})
	w.write(0, record.Strike{Line: line, Why: "named anew"})
	line = w.write(0, record.Apart{These: []uuid.UUID{captureID(3)}, From: captureID(6), Evidence: []string{"tag read twice"}})
	if got, want := animals(t, fold(w.lines), 1, 2, 3, 4, 5, 6), []int{1, 2, 2, 1, 1, 1}; !slices.Equal(got, want) {
		t.Errorf("animals taken apart from an unmarked capture %v, want %v", got, want)
	}
	w.write(0, record.Strike{Line: line, Why: "the chip was right"})
	if got, want := animals(t, fold(w.lines), 1, 2, 3, 4, 5), []int{1, 1, 1, 1, 1}; !slices.Equal(got, want) {
		t.Errorf("animals once the line is struck %v, want %v", got, want)
	}
}
