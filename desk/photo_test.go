package desk

import (
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// photographed is the desk over the season with two photos of a capture of hers,
// of which one has not come yet, and one of a rack.
func photographed(t *testing.T) browser {
	t.Helper()
	b := open(t)
	store := &notebook.Memory{}
	b.s.Blobs = store
	ear, blob := storetest.Photo(1, 600)
	if err := store.Put(blob.SHA256, ear); err != nil {
		t.Fatal(err)
	}
	_, pouch := storetest.Photo(2, 600)
	at := dawn(record.Night{Year: 2026, Month: 5, Day: 13}, 6, 10)
	b.s.lines["ear"] = b.s.keep(at, "MO", record.Attachment{Blob: blob, WidthPx: 1632, HeightPx: 1224, Of: sid(herSecond), Part: "ear", Side: "left", Caption: "torn edge", Taken: at})
	b.s.lines["pouch"] = b.s.keep(at, "MO", record.Attachment{Blob: pouch, Of: sid(herSecond), Caption: "pouch, closed"})
	b.s.lines["rack"] = b.s.keep(at, "MO", record.Attachment{Blob: blob, Rack: "3"})
	return b
}

func TestPhotosStandWithTheirCapture(t *testing.T) {
	t.Parallel()
	b := photographed(t)
	animal := ""
	b.s.View(func(r *register.Register) { id, _ := r.AnimalOf(sid(herSecond)); animal = id.String() })
	for _, path := range []string{"/capture/" + sid(herSecond).String(), "/animal/" + animal} {
		page := b.get(path)
		if n := len(page.All(".photos li")); n != 2 {
			t.Fatalf("%s: %d photos, want 2: that of the rack is of no animal", path, n)
		}
		img := page.One(`li[data-photo="` + b.s.lines["ear"].String() + `"] img`)
		if img.Attr("alt") != "photo of left ear of …0311: torn edge" || img.Attr("src") != "/photo/"+b.s.lines["ear"].String() || img.Attr("width") != "1632" {
			t.Errorf("%s: %v", path, img.Node.Attr)
		}
		absent := page.One(`li[data-photo="` + b.s.lines["pouch"].String() + `"]`)
		if len(absent.All("img")) > 0 || !strings.HasPrefix(absent.One(".absent").Text(), "Not here yet.") {
			t.Errorf("%s: %q", path, absent.Text())
		}
	}
}

func TestPhotoLineIsSaidCorrectedAndStruck(t *testing.T) {
	t.Parallel()
	b := photographed(t)
	evening := b.get("/evening?night=2026-05-12")
	if !strings.Contains(evening.Text(), "photo of left ear of …0311: torn edge") {
		t.Error("the night's page does not say that a photo was taken")
	}
	line := "/line/" + b.s.lines["ear"].String()
	page := b.get(line)
	page.One(".photos img")
	if page.Has(`[data-field="/sha256"]`) || page.Has(`[data-field="/width_px"]`) {
		t.Error("what the picture's bytes are can be corrected; they cannot change")
	}
	b.send(b.get(line+"?field=/caption"), `form[action="/correct"]`, "value", "old tear", "why", "looked again")
	if alt := b.get(line).One(".photos img").Attr("alt"); alt != "photo of left ear of …0311: old tear" {
		t.Errorf("corrected: %q", alt)
	}
	b.send(b.get(line), `form[action="/strike"]`, "why", "of another animal")
	if n := len(b.get("/capture/" + sid(herSecond).String()).All(".photos li")); n != 1 {
		t.Errorf("struck: %d photos stand with the capture, want 1", n)
	}
	b.get(line).One(".photos img") // the notebook never forgets
}

func TestPhotoOfARack(t *testing.T) {
	t.Parallel()
	b := photographed(t)
	if alt := b.get("/line/" + b.s.lines["rack"].String()).One(".photos img").Attr("alt"); alt != "photo of sample rack 3" {
		t.Error(alt)
	}
	var c CapturePage
	b.s.View(func(r *register.Register) { c, _ = CaptureAt(r, sid(herSecond), b.s.now) })
	if c.Photos[0].State != "" {
		t.Errorf("printed, where nobody looks for bytes: %q", c.Photos[0].State)
	}
	if links := b.get("/trip/2026-05").All(`a[href="/line/` + b.s.lines["rack"].String() + `"]`); len(links) != 1 || links[0].Text() != "photo of sample rack 3" {
		t.Errorf("its trip has %d links to it", len(links))
	}
	if b.get("/trip/2025-10").Has(`a[href="/line/` + b.s.lines["rack"].String() + `"]`) {
		t.Error("another trip shows it")
	}
	if c.Photos[0].Capture == (uuid.UUID{}) || c.Photos[0].By != "MO" {
		t.Errorf("%+v", c.Photos[0])
	}
}
