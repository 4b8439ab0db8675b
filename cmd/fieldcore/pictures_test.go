package main

import (
	"bytes"
	"image"
	"image/jpeg"
	"mime/multipart"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dawnround/register"
)

// shoots takes a picture of an animal at the bench, and gives its page.
func (p *phone) shoots(t *testing.T, path string) answer {
	t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	part, err := form.CreateFormFile("photo", "IMG.jpg")
	if err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(part, image.NewRGBA(image.Rect(0, 0, 64, 48)), nil); err != nil {
		t.Fatal(err)
	}
	form.WriteField("caption", "torn edge")
	form.Close()
	return p.answer(ask{Method: "POST", Path: path, Type: form.FormDataContentType(), Body: b.Bytes()})
}

// A picture is there after the phone died, and a store of pictures that does not
// open keeps nobody from the lines.
func TestPictures(t *testing.T) {
	t.Parallel()
	disk := folder(t.TempDir())
	p := newTestPhone(disk)
	p.begins(t, grown(t))
	var path string
	p.open.programme.View(func(r *register.Register) { path = "/bench/" + r.Captures()[0].ID().String() + "/photo" })
	if a := p.shoots(t, path); a.Status != 200 || !strings.Contains(string(a.Body), "torn edge") {
		t.Fatalf("%d %s", a.Status, a.Body)
	}
	for _, when := range []string{"taken", "opened again"} {
		if got := p.open.picturesAlone(); got != "1 picture nowhere else" {
			t.Errorf("%s: alone: %q", when, got)
		}
		_, page := p.get(t, path)
		if a, _ := p.get(t, page.One(".taken-photos img").Attr("src")); a.Type != "image/jpeg" || len(a.Body) == 0 {
			t.Errorf("%s: %d bytes of %q", when, len(a.Body), a.Type)
		}
		p = newTestPhone(disk)
		if err := p.unlock(passphrase); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(string(disk), "blobindex"), bytes.Repeat([]byte("other"), 100), 0o600); err != nil {
		t.Fatal(err)
	}
	p = newTestPhone(disk)
	if err := p.unlock(passphrase); err != nil {
		t.Fatalf("the pictures do not open, and the notebook should: %v", err)
	}
	if _, page := p.get(t, path); !strings.Contains(p.state().Warns, "pictures on this phone do not open") || page.Has("form[enctype]") {
		t.Errorf("warns %q", p.state().Warns)
	}
	if got := string(p.get1(t, "/kept")); !strings.Contains(got, "they do not open: file blobindex, byte 0") {
		t.Error("the page does not say why")
	}
}
