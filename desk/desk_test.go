package desk

import (
	"encoding/json"
	"flag"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"dawnround/page/pagetest"
	"dawnround/record"
	"dawnround/register"
)

var update = flag.Bool("update", false, "write the golden files anew; read them before you commit")

// golden compares what a page prints with its copy in testdata.
func golden(t *testing.T, name string, text func(io.Writer)) {
	t.Helper()
	var b strings.Builder
	text(&b)
	file := filepath.Join("testdata", name+".txt")
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("%s differs; run with -update and look at it. Got:\n%s", file, b.String())
	}
}

func TestPagesPrinted(t *testing.T) {
	t.Parallel()
	s := newSeason()
	s.View(func(r *register.Register) {
		golden(t, "evening", EveningPage(r, record.Night{}, 1, s.now).Text)
		golden(t, "animals", AnimalsPage(r, Find{}, s.now).Text)
		golden(t, "trips", TripsPage(r, s.now).Text)
		golden(t, "programme", ProgrammePage(r, s.now).Text)
		for name, id := range map[string]int{"life-female": herFirst, "life-rechipped": hisAnew, "life-young": 50} {
			l, ok := LifePage(r, sid(id), s.now)
			if !ok {
				t.Fatalf("no life of %d", id)
			}
			golden(t, name, l.Text)
		}
		c, _ := CaptureAt(r, sid(herSecond), s.now)
		golden(t, "capture", c.Text)
		l, _ := LineAt(r, s.lines["wasp"], s.now)
		golden(t, "line-struck", l.Text)
		p, _ := TripSummary(r, "2026-05", s.now)
		golden(t, "trip", p.Text)
	})
}

// browser asks the desk for pages and sends its forms.
type browser struct {
	*testing.T
	s *season
	h http.Handler
}

func open(t *testing.T) browser {
	t.Helper()
	s := newSeason()
	return browser{t, s, New(s.Programme, s.time)}
}

func (b browser) ask(r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	r.AddCookie(&http.Cookie{Name: "pen", Value: "AB"})
	b.h.ServeHTTP(w, r)
	return w
}

func (b browser) get(path string) pagetest.Node {
	b.Helper()
	w := b.ask(httptest.NewRequest("GET", path, nil))
	if w.Code != http.StatusOK {
		b.Fatalf("GET %s: status %d", path, w.Code)
	}
	return pagetest.Read(b.T, w.Body.String())
}

// send posts the only form that a selector finds, with what is changed in it,
// and returns the page it leads to.
func (b browser) send(page pagetest.Node, selector string, changed ...string) pagetest.Node {
	b.Helper()
	form := page.One(selector)
	values := url.Values{}
	for name, v := range form.Fields() {
		values.Set(name, v)
	}
	for _, tick := range form.All(`input[type="checkbox"]`) {
		values.Del(tick.Attr("name"))
	}
	for _, tick := range form.All(`input[checked]`) {
		values.Add(tick.Attr("name"), tick.Attr("value"))
	}
	for i := 0; i+1 < len(changed); i += 2 {
		values.Set(changed[i], changed[i+1])
	}
	return b.post(form.Attr("action"), values, http.StatusSeeOther)
}

// post sends a form; after a redirect it follows it.
func (b browser) post(path string, values url.Values, status int) pagetest.Node {
	b.Helper()
	r := httptest.NewRequest("POST", path, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := b.ask(r)
	if w.Code != status {
		b.Fatalf("POST %s: status %d, want %d: %s", path, w.Code, status, pagetest.Read(b.T, w.Body.String()).Text())
	}
	if status != http.StatusSeeOther {
		return pagetest.Read(b.T, w.Body.String())
	}
	return b.get(w.Header().Get("Location"))
}

func kinds(page pagetest.Node) string {
	var out []string
	for _, li := range page.All(".open li[data-kind]") {
		out = append(out, li.Attr("data-kind"))
	}
	return strings.Join(out, "; ")
}

func TestEveningAsksTheMostPressingFirst(t *testing.T) {
	t.Parallel()
	b := open(t)
	if got, want := kinds(b.get("/evening")), "trap not seen; trap not closed; never released; two versions"; got != want {
		t.Errorf("open: %s\nwant: %s", got, want)
	}
}

// Everything the last night left open is settled by the page's own forms, and
// then the page says that nothing is.
func TestEveningIsSettled(t *testing.T) {
	t.Parallel()
	b := open(t)
	page := b.get("/evening")
	page = b.send(page, `li[data-kind="trap not seen"] form`, "outcome", "empty", "why", "CK looked")
	page = b.send(page, `li[data-kind="trap not closed"] form`)
	page = b.send(page, `li[data-kind="never released"] form`, "fate", "released", "at", "2026-05-14 07:10")
	chosen := page.All(`li[data-kind="two versions"] form`)
	if len(chosen) != 2 {
		t.Fatalf("%d versions to choose from, want 2", len(chosen))
	}
	values := url.Values{"why": {"both looked at the sheet"}}
	for name, v := range chosen[0].Fields() {
		if name != "why" {
			values.Set(name, v)
		}
	}
	page = b.post("/choose", values, http.StatusSeeOther)
	if got := kinds(page); got != "" {
		t.Errorf("still open: %s", got)
	}
	if page.Has(".accounts .differs") {
		t.Errorf("accounts: %s", page.One(".accounts").Text())
	}
	pes := b.get("/capture/" + sid(herSecond).String()).One(`[data-field="/handled/measures/pes"]`).Text()
	if !strings.Contains(pes, "131.4 mm") {
		t.Errorf("pes %q, want the version chosen: 131.4", pes)
	}
}

func TestStruckLineStaysWithWhoAndWhy(t *testing.T) {
	t.Parallel()
	b := open(t)
	line := b.get("/evening").One(`li[data-line="` + b.s.lines["wasp"].String() + `"]`)
	if got := line.One("s").Text(); got != "trap K7: sprung" {
		t.Errorf("struck: %q", got)
	}
	if got := line.One(".stroke").Text(); got != "struck by MO, 07:00: wrong trap; K7 was empty" {
		t.Errorf("beside it: %q", got)
	}
	// The stroke can be taken back.
	page := b.send(b.get("/line/"+b.s.lines["wasp"].String()), ".stroke form", "why", "it was sprung after all")
	if page.Has(".stroke") || page.Has(".lede s") {
		t.Errorf("still struck: %s", page.Text())
	}
}

func TestCorrectionShowsWhatItReplaces(t *testing.T) {
	t.Parallel()
	b := open(t)
	path := "/line/" + b.s.lines["handled 1"].String()
	link := b.get(path).One(`li[data-field="/handled/measures/tail"] a`)
	page := b.get(strings.TrimSuffix(link.Attr("href"), "#correct"))
	if got := page.One("form.correct input#value").Attr("value"); got != "452" {
		t.Errorf("the form shows %q, want the original 452", got)
	}
	b.post("/correct", url.Values{"line": {b.s.lines["handled 1"].String()}, "field": {"/handled/measures/tail"}, "value": {"425"}}, http.StatusUnprocessableEntity)
	page = b.send(page, "form.correct", "value", "425", "why", "digits swapped")
	row := page.One(`li[data-field="/handled/measures/tail"]`)
	if row.One("s").Text() != "452" || !strings.Contains(row.Text(), "425 mm") || !strings.Contains(row.Text(), "digits swapped") {
		t.Errorf("row: %q", row.Text())
	}
	life := b.get("/animal/" + sid(herFirst).String())
	if !strings.Contains(life.One("table.captures").Text(), "425") {
		t.Error("the life does not have the corrected tail")
	}
}

func TestFieldsThatCannotBeAreRefused(t *testing.T) {
	t.Parallel()
	b := open(t)
	line := b.s.lines["handled 1"].String()
	for field, value := range map[string]string{
		"/handled/measures/tail": "long", "/handled/sex": "hen", "/handled/start": "half past five",
		"/handled/weighing/gross": "3,120", "/handled/measures/pes": "131.4",
	} {
		page := b.post("/correct", url.Values{"line": {line}, "field": {field}, "value": {value}, "why": {"test"}}, http.StatusUnprocessableEntity)
		if !strings.Contains(page.Text(), "Not written") {
			t.Errorf("%s to %q: %s", field, value, page.Text())
		}
	}
}

// Whatever a line holds, its form shows it so that sending the form back
// changes nothing.
func TestFieldsReadBackAsTheyAreShown(t *testing.T) {
	t.Parallel()
	s := newSeason()
	seen := 0
	s.View(func(r *register.Register) {
		w := wordsOf(r, s.now)
		for n := range s.n {
			id := sid(100001 + n)
			e, ok := r.Line(id)
			if !ok || e.Now() == nil {
				continue
			}
			for _, f := range w.fields(e.Now(), false) {
				value, err := w.parse(f, f.Typed)
				if err != nil {
					t.Errorf("%s %s: %v", e.Kind, f.Pointer, err)
					continue
				}
				c, err := r.Correct(id, f.Pointer, value, "as it was")
				if err != nil || !alike(c.Value, c.Was) {
					t.Errorf("%s %s: %s became %s (%v)", e.Kind, f.Pointer, c.Was, c.Value, err)
				}
				seen++
			}
		}
	})
	if seen < 200 {
		t.Errorf("only %d fields were tried", seen)
	}
}

// alike reports JSON that says the same, in whatever order.
func alike(a, b json.RawMessage) bool {
	var x, y any
	return json.Unmarshal(a, &x) == nil && json.Unmarshal(b, &y) == nil && reflect.DeepEqual(x, y)
}

// A label and a pointer for every value that is missing, and each can be
// written.
func TestMissingValueIsWritten(t *testing.T) {
	t.Parallel()
	b := open(t)
	path := "/line/" + b.s.lines["handled 7"].String() + "?field=" + url.QueryEscape("/handled/measures/tail")
	page := b.send(b.get(path), "form.correct", "value", "not checked: too lively", "why", "MO remembers")
	if got := page.One(`li[data-field="/handled/measures/tail"] .now`).Text(); got != "not checked: too lively" {
		t.Errorf("tail %q", got)
	}
}

func TestAnimalsFound(t *testing.T) {
	t.Parallel()
	b := open(t)
	for query, want := range map[string]string{
		"":                       "8 animals of 8",
		"mark=311":               "1 animal of 8",
		"mark=…0311":             "1 animal of 8",
		"sex=male":               "2 animals of 8",
		"species=RW&stage=young": "2 animals of 8",
		"species=bush+rat":       "1 animal of 8",
		"since=2026-05-13":       "3 animals of 8",
		"site=L":                 "0 animals of 8",
		"page=99":                "8 animals of 8",
	} {
		if got := b.get("/animals?" + query).One("#found").Text(); !strings.HasPrefix(got, want) {
			t.Errorf("%q: %q, want %q", query, got, want)
		}
	}
	if got := b.get("/animals?since=13.5.2026").One("#since-wrong").Text(); !strings.Contains(got, "13.5.2026") {
		t.Errorf("beside the field: %q", got)
	}
}

func TestSameAndBack(t *testing.T) {
	t.Parallel()
	b := open(t)
	page := b.get("/animal/" + sid(hisAnew).String())
	candidate := page.One(".candidate")
	if !strings.Contains(candidate.Text(), "…0188") || !strings.Contains(candidate.Text(), "bones agree") {
		t.Errorf("candidate: %s", candidate.Text())
	}
	page = b.send(page, ".candidate form", "sure", "likely")
	if got := len(page.All("table.captures tbody tr")); got != 2 {
		t.Errorf("%d captures after taking both for one, want 2", got)
	}
	page = b.send(page, ".identity form", "why", "the ear hole is on the other side")
	if got := len(page.All("table.captures tbody tr")); got != 1 {
		t.Errorf("%d captures after striking the line, want 1 as before", got)
	}
}

func TestApartAndMother(t *testing.T) {
	t.Parallel()
	b := open(t)
	page := b.get("/animal/" + sid(herFirst).String())
	page = b.send(page, `form[action="/apart"]`, "these", sid(herLast).String(), "evidence", "no pouch on this one")
	if got := len(page.All("table.captures tbody tr")); got != 2 {
		t.Errorf("%d captures stay hers, want 2", got)
	}
	b.post("/apart", url.Values{"this": {sid(herFirst).String()}, "these": {sid(herFirst).String()}, "mark": {"a mark nobody bears"}, "evidence": {"x"}}, http.StatusUnprocessableEntity)
	b.post("/apart", url.Values{"this": {sid(herFirst).String()}, "evidence": {"x"}}, http.StatusUnprocessableEntity)

	b = open(t)
	page = b.send(b.get("/animal/"+sid(juvenile).String()), `form[action="/mother"]`, "mark", "0311", "evidence", "same trap line", "sure", "suspected")
	if !strings.Contains(page.Text(), "Young of …0311 (suspected: same trap line)") {
		t.Errorf("the life says: %s", page.One(".lede").Text())
	}
}

// A young that nobody marked is offered as the earlier life of an animal first
// caught at the same site when the dates fit.
func TestGrownYoungIsOffered(t *testing.T) {
	t.Parallel()
	b := open(t)
	offered := b.get("/animal/" + sid(juvenile).String()).All(".candidate")
	if len(offered) != 1 || !strings.Contains(offered[0].Text(), "dates fit: in the row of …0311 on 7 Oct 25, first caught 218 days later at K1") {
		t.Errorf("%d offered: %v", len(offered), offered)
	}
}

// The page, and the data behind it, are one struct.
func TestPagesAreDataToo(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, path := range []string{
		"/evening", "/animals", "/animal/" + sid(herFirst).String(), "/animal/" + sid(50).String(), "/capture/" + sid(herSecond).String(),
		"/line/" + b.s.lines["wasp"].String(), "/trip", "/trip/2026-05", "/programme",
	} {
		r := httptest.NewRequest("GET", path, nil)
		r.Header.Set("Accept", "application/json")
		w := b.ask(r)
		var got map[string]any
		if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || len(got) < 1 {
			t.Errorf("%s as data: %v", path, err)
		}
		for key := range got {
			if key != strings.ToLower(key) {
				t.Errorf("%s as data: member %q; names are lower case with underscores", path, key)
			}
		}
		if page := b.get(path); page.Has("[style]") || page.Has("style") || len(page.All("h1")) != 1 {
			t.Errorf("%s: something is styled in place, or it has not one heading", path)
		}
	}
}

func TestWhatIsNotThereIsSaid(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, path := range []string{"/animal/nobody", "/animal/" + sid(999).String(), "/capture/" + sid(999).String(), "/line/" + sid(999).String(), "/trip/2031"} {
		if w := b.ask(httptest.NewRequest("GET", path, nil)); w.Code != http.StatusNotFound {
			t.Errorf("%s: status %d, want 404", path, w.Code)
		}
	}
}

// Nothing is written by nobody, and no form leads out of the program.
func TestPenAndWayBack(t *testing.T) {
	t.Parallel()
	b := open(t)
	r := httptest.NewRequest("POST", "/done", strings.NewReader("back=/evening"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	b.h.ServeHTTP(w, r)
	if got := w.Header().Get("Location"); w.Code != http.StatusTemporaryRedirect || got != "/pen?then=%2Fdone" {
		t.Errorf("without a pen: %d to %q", w.Code, got)
	}
	for back, want := range map[string]string{
		"/evening?night=2026-05-13&said=x": "/evening?night=2026-05-13", "//elsewhere.example": "/evening", `/\elsewhere.example`: "/evening",
		"https://elsewhere.example/": "/evening", "": "/evening", "/programme#sites": "/programme#sites",
	} {
		if got := local(back); got != want {
			t.Errorf("back to %q: %q, want %q", back, got, want)
		}
	}
}

// Traps set this evening are not asked about before their dawn, and the page
// of the night before is the one that opens.
func TestTonightsTrapsAreLeftAlone(t *testing.T) {
	t.Parallel()
	b := open(t)
	n := record.Night{Year: 2026, Month: 5, Day: 14}
	b.s.keep(evening(n, 18, 40), "CK", record.Setting{Trip: "2026-05", Site: "L", Night: n, Set: []string{"L1"}})
	if got := b.get("/evening").One("h1").Text(); !strings.Contains(got, "13–14 May") {
		t.Errorf("opens at %q", got)
	}
	if got := kinds(b.get("/evening?night=2026-05-14")); strings.Contains(got, "trap") {
		t.Errorf("asked about tonight's traps: %s", got)
	}
	b.s.now = dawn(n, 12, 0)
	if got := kinds(b.get("/evening")); !strings.HasPrefix(got, "trap not seen") {
		t.Errorf("after noon: %s", got)
	}
}

// TestCalendarFeed: what is to be done goes into any calendar, without a place.
func TestCalendarFeed(t *testing.T) {
	t.Parallel()
	b := open(t)
	w := b.ask(httptest.NewRequest("GET", "/due.ics", nil))
	if w.Code != http.StatusOK || !strings.HasPrefix(w.Body.String(), "BEGIN:VCALENDAR\r\n") || !strings.Contains(w.Header().Get("Content-Type"), "text/calendar") {
		t.Errorf("%d %s: %.80s", w.Code, w.Header().Get("Content-Type"), w.Body)
	}
	if strings.Contains(w.Body.String(), "144.6") {
		t.Error("a coordinate leaves the house")
	}
}
