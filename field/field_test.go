package field

import (
	"bytes"
	"encoding/json"
	"image/color"
	"image/png"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"

	"dawnround/page"
)

var core = Core{Packed: []byte("a core"), Packing: "br", Exec: []byte("what runs it")}

func get(h http.Handler, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
	return w
}

// keeps are the addresses that the service worker keeps, and its version.
func keeps(t *testing.T, s *Shell) (version string, files []string) {
	t.Helper()
	m := regexp.MustCompile(`const version = '(field-[0-9a-f]{12})'\nconst files = (\[.*\])\n`).FindStringSubmatch(get(s, Root+"sw.js").Body.String())
	if m == nil {
		t.Fatal("the service worker names no version or no files")
	}
	if err := json.Unmarshal([]byte(m[2]), &files); err != nil {
		t.Fatal(err)
	}
	return m[1], files
}

// Everything that the shell names, and every style and script of the pages, is
// kept for when there is no network.
func TestEverythingNamedIsKept(t *testing.T) {
	t.Parallel()
	s := New(core)
	_, files := keeps(t, s)
	for _, address := range page.Addresses() {
		if !slices.Contains(files, address) {
			t.Errorf("%s is not kept", address)
		}
	}
	named := regexp.MustCompile(`"(/(?:field|static)/[^"]*)"`)
	for _, document := range []string{Root, Root + "manifest.webmanifest"} {
		for _, m := range named.FindAllStringSubmatch(get(s, document).Body.String(), -1) {
			if !slices.Contains(files, m[1]) {
				t.Errorf("%s names %s, which is not kept", document, m[1])
			}
		}
	}
	if text := get(s, Root).Body.String(); strings.ContainsAny(text, "{}") {
		t.Errorf("an address was not filled in: %s", text)
	}
}

// A version is another as soon as any file is.
func TestVersion(t *testing.T) {
	t.Parallel()
	one, _ := keeps(t, New(core))
	same, _ := keeps(t, New(core))
	other, _ := keeps(t, New(Core{Packed: []byte("a later core"), Packing: "br", Exec: core.Exec}))
	if one != same || one == other {
		t.Errorf("versions %s, %s of one core and %s of another", one, same, other)
	}
}

// A page of the phone's gets the shell, which may run its core and nothing from
// elsewhere; the core is sent as it was packed.
func TestServed(t *testing.T) {
	t.Parallel()
	s := New(core)
	for _, path := range []string{Root, Root + "round", Root + "bench/0190"} {
		w := get(s, path)
		policy := w.Header().Get("Content-Security-Policy")
		if !strings.Contains(w.Body.String(), "data-core=") || !strings.Contains(policy, "'wasm-unsafe-eval'") || strings.Contains(policy, "'unsafe-") || w.Header().Get("Cache-Control") != "no-cache" {
			t.Errorf("%s: %v", path, w.Header())
		}
	}
	address := regexp.MustCompile(`data-core="([^"]*)"`).FindStringSubmatch(get(s, Root).Body.String())[1]
	w := get(s, address)
	if w.Body.String() != "a core" || w.Header().Get("Content-Encoding") != "br" || w.Header().Get("Content-Type") != "application/wasm" || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
		t.Errorf("%s: %v", address, w.Header())
	}
}

func TestIcons(t *testing.T) {
	t.Parallel()
	for _, size := range []int{192, 512} {
		picture, err := png.Decode(bytes.NewReader(icon(size)))
		if err != nil {
			t.Fatal(err)
		}
		b := picture.Bounds()
		corner, sun := color.NRGBAModel.Convert(picture.At(0, 0)), color.NRGBAModel.Convert(picture.At(size/2, size*6/10))
		if b.Dx() != size || b.Dy() != size || corner != ground || sun != light {
			t.Errorf("%v, corner %v, sun %v", b, corner, sun)
		}
	}
}
