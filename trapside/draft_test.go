package trapside_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/trapside"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

var someFields = []string{
	"species", "sex", "stage", "notes", "measures/pes", "measures/testis.left", "signs/pouch", "weighing/gross", "weighing/bag",
	"marks/1/transponder/scanned", "marks/1/act", "marks/2/ear tag/typed", "samples/1/ear biopsy", "findings/ear/left/tick",
	"young/1", "young/1/attached", "young/1/measures/crown-rump", "released/fate", "flags/ab12", "asked", "incidents/1/torpor", "nowhere/1",
}

var someWords = []string{"", "61.8", "61,8", "nc", "nc cold", "none seen", "female", "~61", "61 62", "B001", "x y", "5", "1–5", "00000000-0000-0000-0000-000000000007"}

// someSteps draws edits as a person makes them: a word in a field, or an undo.
func someSteps(t *rapid.T) []record.Step {
	var steps []record.Step
	for range rapid.IntRange(0, 25).Draw(t, "edits") {
		if rapid.IntRange(0, 3).Draw(t, "undo") == 0 {
			if s, ok := trapside.Undo(steps); ok {
				steps = append(steps, s)
			}
			continue
		}
		steps = append(steps, record.Step{Field: rapid.SampledFrom(someFields).Draw(t, "field"), Typed: rapid.SampledFrom(someWords).Draw(t, "typed")})
	}
	return steps
}

// TestNoWordIsLost: whatever is typed and undone, the draft still holds every
// step, in order, and each word stands, is struck, or was taken back.
func TestNoWordIsLost(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		steps := someSteps(t)
		d := trapside.Fold(uuid.UUID{7}, slices.Clone(steps))
		if !reflect.DeepEqual(d.Steps, steps) && len(steps) > 0 {
			t.Fatalf("steps went in %v and came out %v", steps, d.Steps)
		}
		for _, s := range steps {
			if !s.Struck && s.Typed != "" && d.Said[s.Field] != s.Typed && !slices.Contains(d.Struck[s.Field], s.Typed) {
				t.Fatalf("%q in %s is neither standing nor struck", s.Typed, s.Field)
			}
		}
	})
}

// TestUndoTakesBackTheLastWord: a word and its undo leave the draft saying
// what it said before.
func TestUndoTakesBackTheLastWord(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		steps := someSteps(t)
		before := trapside.Fold(uuid.UUID{7}, steps)
		field := rapid.SampledFrom(someFields).Filter(func(f string) bool { return !strings.HasPrefix(f, "flags/") }).Draw(t, "field")
		longer := append(slices.Clone(steps), record.Step{Field: field, Typed: "61.9"})
		undo, ok := trapside.Undo(longer)
		if !ok || undo.Field != field || undo.Typed != "61.9" || !undo.Struck {
			t.Fatalf("undo is %v", undo)
		}
		after := trapside.Fold(uuid.UUID{7}, append(longer, undo))
		if !reflect.DeepEqual(after.Said, before.Said) || !reflect.DeepEqual(after.Capture, before.Capture) {
			t.Fatalf("before %+v, after a word and its undo %+v", before.Capture, after.Capture)
		}
	})
}

// TestUndoComesToAnEnd: undoing again and again takes everything back and
// leaves every word among the steps.
func TestUndoComesToAnEnd(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		steps := someSteps(t)
		typed := len(steps)
		for {
			s, ok := trapside.Undo(steps)
			if !ok {
				break
			}
			if steps = append(steps, s); len(steps) > 2*typed {
				t.Fatal("undo does not come to an end")
			}
		}
		for field, said := range trapside.Fold(uuid.UUID{7}, steps).Said {
			if !strings.HasPrefix(field, "flags/") {
				t.Fatalf("%s still says %q", field, said)
			}
		}
	})
}

func TestFields(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		field, typed string
		want         string // the draft's capture as JSON, without its id
		wrong        string // part of what is said beside the field
	}{
		{"measures/pes", "61.8", `{"handled":{"measures":{"pes":{"typed":"61.8","milli":61800}}}}`, ""},
		{"measures/pes", "61", `{"handled":{"measures":{"pes":{"typed":"61","milli":61000}}}}`, ""},
		{"measures/pes", "61.8 mm", `{"handled":{"measures":{"pes":{"typed":"61.8","milli":61800}}}}`, ""},
		{"measures/pes", "61.8 61.6", `{"handled":{"measures":{"pes":{"typed":"61.8","milli":61800,"again":[{"typed":"61.6","milli":61600}]}}}}`, ""},
		{"measures/pes", "~61", `{"handled":{"measures":{"pes":{"typed":"61","milli":61000,"roughly":true}}}}`, ""},
		{"measures/tail", "120 damaged", `{"handled":{"measures":{"tail":{"typed":"120","milli":120000,"damaged":true}}}}`, ""},
		{"measures/testis.left", "nc", `{"handled":{"measures":{"testis.left":{"typed":"","milli":0,"state":"not checked"}}}}`, ""},
		{"measures/pes", "nc too cold", `{"handled":{"measures":{"pes":{"typed":"","milli":0,"state":"not checked","why":"too cold"}}}}`, ""},
		{"measures/pes", "none seen", `{"handled":{"measures":{"pes":{"typed":"","milli":0,"state":"none seen"}}}}`, ""},
		{"measures/pes", "0", `{"handled":{"measures":{"pes":{"typed":"0","milli":0}}}}`, ""},
		{"measures/pes", "61,8", `{"handled":{}}`, `"61,8": not a number`},
		{"measures/pes", "", `{}`, ""},
		{"weighing/gross", "1460 g", `{"handled":{"weighing":{"gross":{"typed":"1460 g","milli":1460000}}}}`, ""},
		{"weighing/net", "nc scale broken", `{"handled":{"weighing":{},"measures":{"mass":{"typed":"","milli":0,"state":"not checked","why":"scale broken"}}}}`, ""},
		{"signs/pouch", "occupied", `{"handled":{"signs":{"pouch":{"value":"occupied"}}}}`, ""},
		{"signs/pouch", "not checked: young too large", `{"handled":{"signs":{"pouch":{"state":"not checked","why":"young too large"}}}}`, ""},
		{"signs/lactating", "no", `{"handled":{"signs":{"lactating":{"value":"no"}}}}`, ""},
		{"sex", "♀", `{"handled":{"sex":"female"}}`, ""},
		{"sex", "femal", `{"handled":{}}`, "expected female, male or not told"},
		{"findings/ear/left/tick", "2", `{"handled":{"findings":[{"part":"ear","side":"left","sign":"tick","count":2}]}}`, ""},
		{"findings/ear/-/tick", "none seen", `{"handled":{"findings":[{"part":"ear","sign":"tick","state":"none seen"}]}}`, ""},
		{"findings/ear/-/", "nc", `{"handled":{"findings":[{"part":"ear","sign":"","state":"not checked"}]}}`, ""},
		{"released/fate", "escaped", `{"released":{"fate":"escaped"}}`, ""},
		{"nowhere", "word", `{"handled":{}}`, "has no place on the card"},
	} {
		d := trapside.Fold(uuid.Nil, []record.Step{{Field: c.field, Typed: c.typed}})
		got, err := json.Marshal(d.Capture)
		if err != nil {
			t.Fatal(err)
		}
		plain := strings.Replace(strings.Replace(string(got), `"capture":"00000000-0000-0000-0000-000000000000",`, "", 1), `"capture":"00000000-0000-0000-0000-000000000000"`, "", 1)
		if plain != c.want {
			t.Errorf("%s %q:\n got %s\nwant %s", c.field, c.typed, plain, c.want)
		}
		if wrong := d.Wrong[c.field]; !strings.Contains(wrong, c.wrong) || (wrong == "") != (c.wrong == "") {
			t.Errorf("%s %q: beside the field %q, want %q", c.field, c.typed, wrong, c.wrong)
		}
	}
}

func FuzzFold(f *testing.F) {
	for _, field := range someFields {
		f.Add(field, "61.8", false)
	}
	f.Add("marks/99999999999999999999/x/y", "1", false)
	f.Add("young/-1/measures/", "nc", true)
	f.Fuzz(func(t *testing.T, field, typed string, struck bool) {
		steps := []record.Step{{Field: field, Typed: typed}, {Field: field, Typed: typed, Struck: struck}}
		if d := trapside.Fold(uuid.Nil, steps); len(d.Steps) != 2 {
			t.Errorf("%d steps of 2", len(d.Steps))
		}
	})
}
