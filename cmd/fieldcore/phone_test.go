package main

import (
	"bytes"
	"context"
	"crypto/pbkdf2"
	"crypto/sha256"
	"errors"
	"mime/multipart"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"dawnround/courier"
	"dawnround/demo"
	"dawnround/notebook"
	"dawnround/notebook/browser"
	"dawnround/notebook/storetest"
	"dawnround/page/pagetest"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"
)

const passphrase = "quoll on a wet granite slab"

// folder is a disk of plain files.
type folder string

func (f folder) Open(name string) (browser.File, error) {
	file, err := os.OpenFile(filepath.Join(string(f), name), os.O_RDWR|os.O_CREATE, 0o600)
	return plainFile{file}, err
}

type plainFile struct{ *os.File }

func (p plainFile) Size() (int64, error) {
	info, err := p.Stat()
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}

// quick stretches in one round: what a passphrase costs is no matter here.
func quick(passphrase string, salt []byte, _ int) ([]byte, error) {
	return pbkdf2.Key(sha256.New, passphrase, salt, 1, 32)
}

func nowhere(string) courier.Carry {
	return func(context.Context, string, string, []byte) (courier.Answer, error) {
		return courier.Answer{}, errors.New("there is no network")
	}
}

// dusk is the evening after the demo's last night was set.
var dusk = time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC)

func newTestPhone(disk browser.Disk) *phone {
	return newPhone(disk, quick, nowhere, func() time.Time { return dusk }, func(progress) {})
}

// grown is an export of the invented programme.
func grown(t *testing.T) []byte {
	t.Helper()
	var store notebook.Memory
	var clock demo.Clock
	n, err := notebook.Create(&store, storetest.Programme, storetest.Key(1), clock.Now)
	if err != nil {
		t.Fatal(err)
	}
	p, err := programme.Open(n)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := demo.Grow(context.Background(), p, &clock, 1, record.Night{Year: 2026, Month: 5, Day: 13}, nil); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := notebook.Export(&b, &store); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// get asks for a page.
func (p *phone) get(t *testing.T, path string) (answer, pagetest.Node) {
	t.Helper()
	a := p.answer(ask{Method: "GET", Path: path})
	return a, pagetest.Read(t, string(a.Body))
}

// post sends a form.
func (p *phone) post(t *testing.T, path string, pairs ...string) (answer, pagetest.Node) {
	t.Helper()
	form := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		form.Add(pairs[i], pairs[i+1])
	}
	a := p.answer(ask{Method: "POST", Path: path, Type: "application/x-www-form-urlencoded", Body: []byte(form.Encode())})
	return a, pagetest.Read(t, string(a.Body))
}

// begins takes a file in.
func (p *phone) begins(t *testing.T, file []byte) (answer, pagetest.Node) {
	t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	part, err := form.CreateFormFile("file", "notebook.lines")
	if err != nil {
		t.Fatal(err)
	}
	part.Write(file)
	for name, value := range map[string]string{"name": "AB's phone", "who": "AB", "passphrase": passphrase, "again": passphrase} {
		form.WriteField(name, value)
	}
	form.Close()
	a := p.answer(ask{Method: "POST", Path: "/begin", Type: form.FormDataContentType(), Body: b.Bytes()})
	return a, pagetest.Read(t, string(a.Body))
}

// saved is the register's bytes.
func (p *phone) saved(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	p.open.programme.View(func(r *register.Register) {
		if err := r.Save(&b); err != nil {
			t.Fatal(err)
		}
	})
	return b.Bytes()
}

// A night on the phone: from an empty one to a kept line, with the program
// ending at any time and no goodbye.
func TestNight(t *testing.T) {
	t.Parallel()
	file, disk := grown(t), folder(t.TempDir())
	p := newTestPhone(disk)
	if _, page := p.get(t, "/round"); page.One("h1").Text() != "Begin on this phone" {
		t.Fatal("an empty phone does not ask for a notebook")
	}
	if a, page := p.begins(t, file[:len(file)/2]); a.Status != 422 || !strings.Contains(page.One(".stop").Text(), "cut off") {
		t.Fatalf("half a file: %d %s", a.Status, a.Body)
	}
	if a, _ := p.begins(t, file); a.Status != 200 || p.open == nil {
		t.Fatalf("%d %s", a.Status, a.Body)
	}
	if got := p.state(); !strings.HasPrefix(got.Says, "kept on this phone · not yet elsewhere") || got.InHand != 0 {
		t.Errorf("state %+v", got)
	}
	if err := p.typed([]byte(`{"path":"/round","fields":[["bag","7"]]}`)); err != nil {
		t.Fatal(err)
	}
	want := p.saved(t)

	p = newTestPhone(disk) // the phone died; nobody closed anything
	if _, page := p.get(t, "/round"); page.One("h1").Text() != "Open the notebook" {
		t.Fatal("a sealed notebook does not ask for its passphrase")
	}
	if a, page := p.post(t, "/unlock", "next", "/round", "passphrase", "another one altogether"); a.Status != 422 || !strings.Contains(page.One(".wrong").Text(), "not the notebook's passphrase") {
		t.Errorf("%d %s", a.Status, a.Body)
	}
	if a, _ := p.post(t, "/unlock", "next", "/round", "passphrase", passphrase); a.Status != 200 || !strings.HasPrefix(a.Path, "/round") {
		t.Fatalf("%d at %s", a.Status, a.Path)
	}
	if !bytes.Equal(p.saved(t), want) {
		t.Error("the register is another than before")
	}
	if p.state().Words == "" {
		t.Error("what was typed and not sent is gone")
	}
	if !strings.Contains(string(p.get1(t, "/kept")), "AB&#39;s phone") {
		t.Error("the phone's name is gone")
	}
	if got := p.get1(t, "/out/plain"); len(got) <= len(file)-2000 || !bytes.HasPrefix(got, file[:1000]) {
		t.Errorf("the file out has %d bytes, the one taken in %d", len(got), len(file))
	}
}

func (p *phone) get1(t *testing.T, path string) []byte {
	t.Helper()
	a, _ := p.get(t, path)
	return a.Body
}

// The saved index is disposable: thrown away, spoilt, of another version, the
// register has the same bytes.
func TestSnapshotIsDisposable(t *testing.T) {
	t.Parallel()
	disk := folder(t.TempDir())
	p := newTestPhone(disk)
	p.begins(t, grown(t))
	want := p.saved(t)
	if err := p.lock(); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(string(disk), "snapshot")
	whole, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for what, text := range map[string][]byte{"kept": whole, "thrown away": nil, "cut": whole[:len(whole)-7]} {
		if err := os.WriteFile(name, text, 0o600); err != nil {
			t.Fatal(err)
		}
		p := newTestPhone(disk)
		if err := p.unlock(passphrase); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if !bytes.Equal(p.saved(t), want) {
			t.Errorf("%s: another register", what)
		}
		if err := p.lock(); err != nil {
			t.Fatal(err)
		}
	}
}

// A laptop that cannot be reached leaves the phone as empty as it was.
func TestJoinWithoutNetwork(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for a way that is cut, as a phone does")
	}
	t.Parallel()
	p := newTestPhone(folder(t.TempDir()))
	a, page := p.post(t, "/join", "address", "https://camp.local:4171", "code", "483 201", "name", "AB's phone", "who", "AB", "passphrase", passphrase, "again", passphrase)
	if a.Status != 422 || !strings.Contains(page.One(".stop").Text(), "no network") {
		t.Errorf("%d %s", a.Status, a.Body)
	}
	if _, page := p.get(t, "/"); page.One("h1").Text() != "Begin on this phone" {
		t.Error("something was left on the phone")
	}
}

// Pages are dark from six to six where nobody chose the light.
func TestDark(t *testing.T) {
	t.Parallel()
	at := func(hour int) *phone {
		return newPhone(folder(t.TempDir()), quick, nowhere, func() time.Time { return time.Date(2026, 5, 14, hour, 0, 0, 0, time.UTC) }, func(progress) {})
	}
	for hour, want := range map[int]string{5: "dark", 6: "light dark", 17: "light dark", 18: "dark"} {
		if page := at(hour).get1(t, "/"); !strings.Contains(string(page), `name="color-scheme" content="`+want+`"`) {
			t.Errorf("at %d: not %q", hour, want)
		}
	}
}

// The core reaches none of the numbers, no store but its own, and no screen of
// the desk.
func TestImportsOfTheCore(t *testing.T) {
	t.Parallel()
	list := exec.Command("go", "list", "-deps", ".")
	list.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	never := regexp.MustCompile(`(?m)^(dawnround/(fit|growth/fitting|abundance|survival|density|answer|desk|exchange|server|notebook/sqlite)|modernc\.org/.*)$`)
	if found := never.FindAllString(string(out), -1); found != nil {
		t.Errorf("the core imports %v", found)
	}
}
