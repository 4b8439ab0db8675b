package trapside_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/page/pagetest"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// camera is a picture as a camera makes it, shade by shade another.
func camera(t *testing.T, shade uint8) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 1680, 1260))
	for i := range m.Pix {
		m.Pix[i] = color.Gray{Y: shade}.Y
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// shoot sends a picture with words, given as name and value in turn, as a
// browser without scripts does.
func (d *desk) shoot(card string, file []byte, words ...string) *httptest.ResponseRecorder {
	d.t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	part, err := form.CreateFormFile("photo", "IMG_0417 -19.25 146.80.jpg")
	d.must(err)
	_, err = part.Write(file)
	d.must(err)
	for i := 0; i < len(words); i += 2 {
		d.must(form.WriteField(words[i], words[i+1]))
	}
	d.must(form.Close())
	r := httptest.NewRequest("POST", card+"/photo", &b)
	r.Header.Set("Content-Type", form.FormDataContentType())
	return d.serve(r)
}

func (d *desk) captureOf(card string) uuid.UUID {
	id, err := uuid.Parse(strings.TrimPrefix(card, "/bench/"))
	d.must(err)
	return id
}

func (d *desk) photos(card string) (out []register.Attachment) {
	d.view(func(r *register.Register) { out = r.AttachmentsAt(d.captureOf(card)) })
	return out
}

func keeping(t *testing.T) *desk {
	t.Helper()
	d := open(t)
	d.p.Blobs = &notebook.Memory{}
	return d
}

func TestPhotoIsALineAtOnce(t *testing.T) {
	t.Parallel()
	d := keeping(t)
	card := d.caught()
	form := d.see(card + "/photo").One(`form[enctype="multipart/form-data"]`)
	if in := form.One(`input[type="file"]`); in.Attr("accept") != "image/*" || in.Attr("capture") != "environment" || form.Attr("action") != card+"/photo" {
		t.Errorf("the form: %v", in.Node.Attr)
	}
	sent := []string{"shows", "part ear", "side", "left", "caption", " torn edge "}
	for range 2 { // a button tapped twice
		if w := d.shoot(card, camera(t, 90), sent...); w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), card) {
			t.Fatalf("%d to %q: %s", w.Code, w.Header().Get("Location"), pagetest.Read(t, w.Body.String()).Text())
		}
	}
	taken := d.photos(card)
	if len(taken) != 1 {
		t.Fatalf("%d lines, want 1", len(taken))
	}
	a := taken[0]
	if a.Subject() != "left ear" || a.Caption != "torn edge" || a.WidthPx != 1632 || a.HeightPx != 1224 || a.Type != "image/jpeg" || a.Line.Who != "MO" || !a.Taken.Equal(d.now) {
		t.Errorf("%+v", a.Attachment)
	}
	seen := d.see(card + "/photo").One(`li[data-photo="` + a.Line.ID.String() + `"]`)
	if alt := seen.One("img").Attr("alt"); alt != "photo of left ear: torn edge" {
		t.Error(alt)
	}
	// It stays when the animal is let go, and when it turns out to be none.
	d.letGo(card)
	if n := len(d.photos(card)); n != 1 {
		t.Errorf("after the release %d photos, want 1", n)
	}
	var lines []uuid.UUID
	d.view(func(r *register.Register) { c, _ := r.Capture(d.captureOf(card)); lines = c.Lines })
	for _, line := range lines {
		d.keep(record.Strike{Line: line, Why: "a stick"})
	}
	if n := len(d.photos(card)); n != 1 {
		t.Errorf("with its capture struck %d photos, want 1", n)
	}
}

func TestWhatAPhotoShows(t *testing.T) {
	t.Parallel()
	d := keeping(t)
	card := d.caught()
	d.in(card, "samples/1/kind", "ear biopsy")
	d.in(card, "samples/1/label", "B017")
	d.do(card + "/young")
	options := map[string]string{}
	for _, o := range d.see(card + "/photo").All(`select[name="shows"] option`) {
		options[o.Text()] = o.Attr("value")
	}
	for shade, c := range []struct{ says, rack, want string }{
		{"the animal", "", "the animal"}, {"ear", "", "ear"}, {"young 1", "", "her young"}, {"sample B017", "", "sample B017"},
		{"a sample rack", "3", "sample rack 3"}, {"a sample rack", "", "sample rack"},
	} {
		value, ok := options[c.says]
		if !ok {
			t.Fatalf("%q is not offered among %v", c.says, options)
		}
		if w := d.shoot(card, camera(t, uint8(shade*30)), "shows", value, "rack", c.rack); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: %d %s", c.says, w.Code, w.Body)
		}
		all := d.photos(card)
		if got := all[len(all)-1].Subject(); got != c.want {
			t.Errorf("%s: it shows %q, want %q", c.says, got, c.want)
		}
	}
}

func TestPhotoRefusals(t *testing.T) {
	t.Parallel()
	d := keeping(t)
	card := d.caught()
	photo := camera(t, 10)
	for _, c := range []struct {
		name   string
		do     func() *httptest.ResponseRecorder
		status int
		want   string
	}{
		{"nothing chosen", func() *httptest.ResponseRecorder { return d.shoot(card, nil) }, 422, "empty; choose a picture"},
		{"no picture", func() *httptest.ResponseRecorder { return d.shoot(card, []byte("night,trap\n")) }, 422, "only JPEG and PNG"},
		{"no form of that sort", func() *httptest.ResponseRecorder { return d.send(card+"/photo", "shows", "animal") }, 422, "no picture came"},
		{"of a thing unknown", func() *httptest.ResponseRecorder { return d.shoot(card, photo, "shows", "weather") }, 422, `"weather"`},
		{"of an animal unknown", func() *httptest.ResponseRecorder { return d.shoot("/bench/"+uuid.NewString(), photo) }, 422, "no trap check has it"},
		{"of no animal", func() *httptest.ResponseRecorder { return d.shoot("/bench/x", photo) }, 422, "not an id"},
	} {
		if w := c.do(); w.Code != c.status || !strings.Contains(pagetest.Read(t, w.Body.String()).Text(), c.want) {
			t.Errorf("%s: %d, %s; want %d and %q", c.name, w.Code, pagetest.Read(t, w.Body.String()).One("main").Text(), c.status, c.want)
		}
	}
	d.pen = ""
	if w := d.shoot(card, photo); w.Code != http.StatusConflict {
		t.Errorf("without a pen: %d", w.Code)
	}
	if n := len(d.photos(card)); n != 0 {
		t.Errorf("%d photos were kept of what was refused", n)
	}
}

func TestDeviceWithoutPictures(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	page := d.see(card + "/photo")
	if page.Has("form[enctype]") || !strings.Contains(page.Text(), "No picture can be kept on this device now") {
		t.Error(page.Text())
	}
	if w := d.shoot(card, camera(t, 1)); w.Code != http.StatusInsufficientStorage {
		t.Errorf("%d", w.Code)
	}
}

// TestServedPhoto: a picture is what it says, stays in no browser, and is said
// plainly where it is not here or damaged.
func TestServedPhoto(t *testing.T) {
	t.Parallel()
	d := keeping(t)
	card := d.caught()
	d.shoot(card, camera(t, 90))
	get := func(line uuid.UUID) *httptest.ResponseRecorder {
		return d.serve(httptest.NewRequest("GET", "/photo/"+line.String(), nil))
	}
	w := get(d.photos(card)[0].Line.ID)
	for header, want := range map[string]string{
		"Content-Type": "image/jpeg", "Cache-Control": "no-store", "X-Content-Type-Options": "nosniff",
		"Content-Security-Policy": "default-src 'none'; sandbox", "Content-Disposition": "",
	} {
		if got := w.Header().Get(header); got != want {
			t.Errorf("%s: %q, want %q", header, got, want)
		}
	}
	if m, err := jpeg.Decode(w.Body); w.Code != 200 || err != nil || m.Bounds().Dx() != 1632 {
		t.Errorf("%d, %v", w.Code, err)
	}

	page := []byte("<script>alert(1)</script>")
	blob := notebook.BlobOf(page, "text/html") // from another device, that is not ours
	d.must(d.p.Blobs.Put(blob.SHA256, page))
	d.keep(record.Attachment{Blob: blob, Of: d.captureOf(card)}, record.Attachment{Blob: notebook.BlobOf([]byte("x"), "image/jpeg"), Of: d.captureOf(card)})
	taken := d.photos(card)
	if w := get(taken[1].Line.ID); w.Header().Get("Content-Type") != "application/octet-stream" || w.Header().Get("Content-Disposition") != "attachment" {
		t.Errorf("a page in a picture's place is served as %q", w.Header().Get("Content-Type"))
	}
	if w := get(taken[2].Line.ID); w.Code != 404 || !strings.Contains(w.Body.String(), "Not here yet") {
		t.Errorf("one that has not come: %d", w.Code)
	}
	if p := d.see(card + "/photo"); len(p.All(".taken-photos li")) != 3 || len(p.All(".taken-photos img")) != 2 || !strings.Contains(p.Text(), "Not here yet.") {
		t.Error(p.Text())
	}
	for _, path := range []string{"/photo/x", "/photo/" + uuid.NewString()} {
		if w := d.serve(httptest.NewRequest("GET", path, nil)); w.Code != 404 {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
}
