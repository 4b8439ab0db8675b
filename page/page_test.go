package page

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"dawnround/page/pagetest"

	"github.com/a-h/templ"
)

func render(t *testing.T, c templ.Component) pagetest.Node {
	t.Helper()
	var b strings.Builder
	if err := c.Render(context.Background(), &b); err != nil {
		t.Fatal(err)
	}
	return pagetest.Read(t, b.String())
}

func get(t *testing.T, address string, set ...func(*http.Request)) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest("GET", address, nil)
	for _, f := range set {
		f(r)
	}
	return serve(r)
}

func post(address string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest("POST", address, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return serve(r)
}

func serve(r *http.Request) *httptest.ResponseRecorder {
	mux := http.NewServeMux()
	Mount(mux, func() string { return "North Ridge" }, func() []Holder { return []Holder{{"AB", "A. Invented"}} })
	w := httptest.NewRecorder()
	mux.ServeHTTP(w, r)
	return w
}

func TestShell(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		mode  Mode
		media string // of the night's colours; "" where they are not linked
	}{
		{Auto, "screen and (prefers-color-scheme: dark)"}, {Night, "screen"}, {Day, ""},
	} {
		p := render(t, Shell(Frame{Title: "Round", Programme: "North Ridge", Here: Round, Mode: c.mode, Who: "AB"}))
		if got := p.One(`nav a[aria-current]`).Text(); got != "Round" {
			t.Errorf("current place %q, want Round", got)
		}
		styles := p.All(`link[rel="stylesheet"]`)
		media := ""
		if len(styles) == 2 {
			media = styles[1].Attr("media")
		}
		if media != c.media {
			t.Errorf("mode %q: night holds at %q, want %q", c.mode, media, c.media)
		}
		if p.Has("style") || p.Has("[style]") || p.Has("[onclick]") {
			t.Error("something is inline on the page; the content security policy refuses it")
		}
		for _, s := range p.All("script") {
			if s.Attr("src") == "" {
				t.Error("an inline script")
			}
		}
	}
}

func TestAnswerIsPageOrData(t *testing.T) {
	t.Parallel()
	w := get(t, "/pen")
	if got := pagetest.Read(t, w.Body.String()).One("h1").Text(); got != "Who holds the pen?" {
		t.Errorf("heading %q", got)
	}
	w = get(t, "/pen", func(r *http.Request) { r.Header.Set("Accept", "application/json") })
	var p PenPage
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || p.Crew[0].Initials != "AB" {
		t.Errorf("as data: %v, crew %v", err, p.Crew)
	}
}

func TestPen(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		who, back string
		status    int
		to        string
	}{
		{"AB", "/round", 303, "/round"},
		{" cd ", "/bench?id=1", 303, "/bench?id=1"},
		{"", "/", 422, ""},
		{"ABCDEFGHIJ", "/", 422, ""},
		{"A;B", "/", 422, ""},
		{"AB", "https://elsewhere.example/", 303, "/"},
		{"AB", "//elsewhere.example/", 303, "/"},
		{"AB", `/\elsewhere.example/`, 303, "/"},
	} {
		w := post("/pen", url.Values{"who": {c.who}, "back": {c.back}})
		if w.Code != c.status || w.Header().Get("Location") != c.to {
			t.Errorf("pen %q back %q: %d to %q, want %d to %q", c.who, c.back, w.Code, w.Header().Get("Location"), c.status, c.to)
		}
	}
	wrong := pagetest.Read(t, post("/pen", url.Values{"who": {"A;B"}}).Body.String())
	if got := wrong.One("#who-wrong").Text(); !strings.Contains(got, `"A;B"`) {
		t.Errorf("beside the field: %q; want it to quote what was written", got)
	}
}

// What was written before anybody had taken the pen is written once somebody
// has.
func TestPenCarriesWordsAlong(t *testing.T) {
	t.Parallel()
	asked := pagetest.Read(t, post("/pen?then=%2Fstrike", url.Values{"why": {"written twice"}, "back": {"/evening"}}).Body.String())
	if got := asked.One(`form.fields input[name="why"]`).Attr("value"); got != "written twice" {
		t.Errorf("carried along: %q, want the words", got)
	}
	w := post("/pen?then=%2Fstrike", url.Values{"why": {"written twice"}, "back": {"/evening"}, "who": {"AB"}})
	if w.Code != http.StatusTemporaryRedirect || w.Header().Get("Location") != "/strike" || !strings.Contains(w.Header().Get("Set-Cookie"), "AB") {
		t.Errorf("with initials: %d to %q", w.Code, w.Header().Get("Location"))
	}
	if w := post("/pen?then=%2F%2Felsewhere.example", url.Values{"who": {"AB"}}); w.Header().Get("Location") != "/" {
		t.Errorf("another place: to %q", w.Header().Get("Location"))
	}
}

func TestLight(t *testing.T) {
	t.Parallel()
	for light, want := range map[string]Mode{"night": Night, "day": Day, "": Auto, "disco": Auto} {
		w := post("/light", url.Values{"light": {light}, "back": {"/round"}})
		if w.Code != 303 || w.Header().Get("Location") != "/round" {
			t.Errorf("light %q: %d to %q", light, w.Code, w.Header().Get("Location"))
		}
		r := httptest.NewRequest("GET", "/round", nil)
		for _, c := range w.Result().Cookies() {
			r.AddCookie(c)
		}
		if got := FrameOf(r, "", "", "", time.Time{}).Mode; got != want {
			t.Errorf("light %q: the next page is %q, want %q", light, got, want)
		}
	}
}

func TestRefusalLeadsBack(t *testing.T) {
	t.Parallel()
	for referer, want := range map[string]string{
		"http://example.com/bench/1?x=2": "/bench/1?x=2", "https://elsewhere.example/": "/", "": "/", "http://example.com/static/none.css": "/",
	} {
		w := get(t, "/static/none.css", func(r *http.Request) { r.Header.Set("Referer", referer) })
		if got := pagetest.Read(t, w.Body.String()).One("a.button").Attr("href"); got != want {
			t.Errorf("from %q back to %q, want %q", referer, got, want)
		}
	}
}

func TestStaticUnderItsChecksum(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"notebook.css", "night.css", "swap.js", "turn.js", "go.js", "clock.js", "reader.js", "keys.js", "tell.js", "call.js", "aloud.js", "icon.svg"} {
		address := Static(name)
		if !regexp.MustCompile(`-[0-9a-f]{12}\.`).MatchString(address) {
			t.Errorf("%s is served at %s, without its checksum", name, address)
		}
		if w := get(t, address); w.Code != 200 || w.Body.Len() == 0 || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
			t.Errorf("%s: status %d, %d bytes, cache %q", address, w.Code, w.Body.Len(), w.Header().Get("Cache-Control"))
		}
	}
	if w := get(t, "/static/notebook-000000000000.css"); w.Code != 404 {
		t.Errorf("a file that is not there: status %d, want 404", w.Code)
	}
}

func TestScriptsAreSmall(t *testing.T) {
	t.Parallel()
	for name, body := range bodies {
		if n := strings.Count(string(body), "\n"); strings.HasSuffix(name, ".js") && n > 150 {
			t.Errorf("%s has %d lines; a script does one job in under 150", name, n)
		}
	}
}

func TestWords(t *testing.T) {
	t.Parallel()
	h := time.Hour
	for got, want := range map[string]string{
		Ago(30 * time.Second): "just now", Ago(8 * time.Minute): "8 min ago", Ago(22 * h): "22 h ago",
		Ago(3 * 24 * h): "3 days ago", Ago(365 * 24 * h): "11 months ago", Ago(3 * 366 * 24 * h): "3 years ago",
		Minutes(11 * time.Minute): "11 min", Minutes(65 * time.Minute): "1 h 05 min", Minutes(-h): "0 min",
		Grams(965000): "965 g", Grams(12500): "12.5 g", Number(64800): "64.8",
		Tail("982000123450311"): "…0311", Tail("B017"): "B017",
		Count(1, "trap", "traps"): "1 trap", Count(0, "trap", "traps"): "0 traps",
		List([]string{"K1"}): "K1", List([]string{"K1", "K2", "K3"}): "K1, K2 and K3",
		NightWords(time.Date(2026, 5, 13, 12, 0, 0, 0, time.UTC)):  "night of 13–14 May 2026",
		NightWords(time.Date(2026, 5, 31, 12, 0, 0, 0, time.UTC)):  "night of 31 May – 1 June 2026",
		NightWords(time.Date(2026, 12, 31, 12, 0, 0, 0, time.UTC)): "night of 31 December 2026 – 1 January 2027",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestParts(t *testing.T) {
	t.Parallel()
	row := render(t, Row(Line{ID: "pes", Label: "pes", Last: "64.8", Now: "64.6", Struck: []string{"61.2"}, Next: true}))
	if got := row.One("#pes.next .now").Text(); got != "61.2 64.6" || row.One("#pes s").Text() != "61.2" {
		t.Errorf("now %q; want what was struck, then what stands", got)
	}
	flag := render(t, Flag(NoteOf("stop", "bone does not shrink")))
	if got := flag.One(".flag.stop b").Text(); got != "Cannot be." {
		t.Errorf("a stop says %q", got)
	}
	field := render(t, Field(Entry{ID: "gross", Name: "v", Label: "gross", Wrong: "61,8: not a number"}))
	if id := field.One(".wrong").Attr("id"); !strings.Contains(field.One("input").Attr("aria-describedby"), id) {
		t.Error("the error does not hang on its field")
	}
}

// TestContrast holds every ink to 4.5 : 1 on paper and on the band, by day and
// by night, and every edge to 3 : 1 (WCAG 2.2, success criteria 1.4.3 and 1.4.11).
func TestContrast(t *testing.T) {
	t.Parallel()
	for _, sheet := range []string{"notebook.css", "night.css"} {
		colour := colours(t, sheet)
		for _, ground := range []string{"paper", "band"} {
			for ink, least := range map[string]float64{"ink": 4.5, "faint": 4.5, "hand": 4.5, "stop": 4.5, "look": 4.5, "kept": 4.5, "edge": 3} {
				if got := contrast(colour[ink], colour[ground]); got < least {
					t.Errorf("%s: %s on %s is %.2f : 1, want %v", sheet, ink, ground, got, least)
				}
			}
		}
		if got := contrast(colour["press-ink"], colour["press"]); got < 4.5 {
			t.Errorf("%s: pressed words %.2f : 1", sheet, got)
		}
	}
}
