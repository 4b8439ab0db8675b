package register_test

import (
	"fmt"
	"slices"
	"testing"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

func pictured(of int, caption string) record.Attachment {
	return record.Attachment{Blob: notebook.BlobOf([]byte(caption), "image/jpeg"), Of: captureID(of), Caption: caption}
}

func captions(list []register.Attachment) (out []string) {
	for _, a := range list {
		out = append(out, a.Caption)
	}
	return out
}

func TestAttachments(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, pictured(2, "before its capture")) // what refers to a line may arrive before it
	w.write(0, record.Protocol{Text: protocolText})
	w.write(0, caught(1, 10, tag("A1", record.MarkPut)))
	capture := w.write(0, caught(2, 11, tag("A1")))
	ear := w.write(0, pictured(1, "ear"))
	wrong := w.write(0, pictured(2, "another animal's"))
	w.write(0, record.Capture{Capture: captureID(3), At: &record.Spot{Night: night(12)}, Handled: &record.Handled{Species: "RW", Young: []record.Young{{Young: captureID(9)}}}})
	young := pictured(3, "in her pouch")
	young.Young = captureID(9)
	w.write(0, young)
	rack := pictured(2, "rack")
	rack.Rack, rack.Sample = "3", "B017"
	w.write(0, rack)
	w.write(0, correction(ear, "/caption", "left ear, healed"))
	w.write(0, record.Strike{Line: wrong, Why: "of the animal before"})
	r := fold(w.lines)

	check := func(what string, got []register.Attachment, want ...string) {
		t.Helper()
		if !slices.Equal(captions(got), want) {
			t.Errorf("%s: %q, expected %q", what, captions(got), want)
		}
	}
	check("at the first capture", r.AttachmentsAt(captureID(1)), "left ear, healed")
	check("at the second", r.AttachmentsAt(captureID(2)), "before its capture", "rack")
	check("of the animal", r.AttachmentsOf(captureID(1)), "before its capture", "left ear, healed", "rack")
	check("of a young", r.AttachmentsOf(captureID(9)), "in her pouch")
	check("of its mother", r.AttachmentsOf(captureID(3)), "in her pouch")
	check("of a sample", r.AttachmentsShowing(func(a record.Attachment) bool { return a.Sample == "B017" }), "rack")
	check("of another rack", r.AttachmentsShowing(func(a record.Attachment) bool { return a.Rack == "4" }))
	if n := len(r.Blobs()); n != 5 {
		t.Errorf("%d blobs are named, expected 5: a struck line's bytes are kept too", n)
	}
	if on := r.LinesOf(night(10), w.now, w.now); len(on) != 3 || on[1].ID != ear {
		t.Errorf("%d lines are about the first night, expected the capture, its picture and the correction of that", len(on))
	}
	if r.AttachmentsAt(captureID(1))[0].Line.ID != ear {
		t.Error("the picture does not lead to its line")
	}

	w.write(0, record.Strike{Line: capture, Why: "no animal after all"})
	check("of a struck capture", fold(w.lines).AttachmentsAt(captureID(2)), "before its capture", "rack")
}

// TestPicturesFollowTheirAnimal: whatever is merged and told apart, in whatever
// order lines come, each picture is of the animal of its capture.
func TestPicturesFollowTheirAnimal(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		const captures = 5
		w := newWorld(1)
		w.write(0, record.Protocol{Text: protocolText})
		for id := 1; id <= captures; id++ {
			w.write(0, caught(id, id))
			w.write(0, pictured(id, fmt.Sprint(id)))
		}
		id := rapid.IntRange(1, captures)
		for range rapid.IntRange(0, 6).Draw(t, "opinions") {
			a, b := captureID(id.Draw(t, "this")), captureID(id.Draw(t, "that"))
			if rapid.Bool().Draw(t, "same") {
				w.write(0, record.Same{Of: []uuid.UUID{a, b}})
			} else if a != b {
				w.write(0, record.Apart{These: []uuid.UUID{a}, From: b})
			}
		}
		r := fold(rapid.Permutation(w.lines).Draw(t, "order"))
		seen := 0
		for id := 1; id <= captures; id++ {
			animal, _ := r.AnimalOf(captureID(id))
			if !slices.Contains(captions(r.AttachmentsOf(animal)), fmt.Sprint(id)) {
				t.Errorf("the picture of capture %d is not of its animal", id)
			}
			if animal == captureID(id) {
				seen += len(r.AttachmentsOf(animal))
			}
		}
		if seen != captures {
			t.Errorf("%d pictures of all animals together, expected %d", seen, captures)
		}
	})
}
