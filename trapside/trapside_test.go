package trapside_test

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/page/pagetest"
	"dawnround/programme"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
	"dawnround/trapside"

	"github.com/google/uuid"
)

const (
	known  = "999000000000311" // a female's transponder, put on in October
	other  = "999000000001311" // a male's that ends alike
	fresh  = "999000000009310" // nobody's yet
	near   = "999000000000312" // one slip from known
	broken = "999999999999999" // above what 38 bits hold
)

var (
	zone  = time.FixedZone("AEST", 10*3600)
	dawn  = time.Date(2026, 5, 14, 5, 50, 0, 0, zone)
	night = record.Night{Year: 2026, Month: 5, Day: 13}
)

// A desk is the screens over a notebook in memory, with a clock that stands
// still until it is moved.
type desk struct {
	t      testing.TB
	p      *programme.Programme
	drafts *drafts
	mux    *http.ServeMux
	now    time.Time
	pen    string
}

// drafts is a store of drafts that can be told to fail.
type drafts struct {
	notebook.Memory
	fail bool
}

func (d *drafts) Add(id uuid.UUID, step []byte) error {
	if d.fail {
		return errors.New("disk full")
	}
	return d.Memory.Add(id, step)
}

func (d *drafts) Drop(id uuid.UUID) error {
	if d.fail {
		return errors.New("disk full")
	}
	return d.Memory.Drop(id)
}

func open(t testing.TB) *desk {
	t.Helper()
	text, err := os.ReadFile("testdata/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return openWith(t, text)
}

// openWith is [open] with another protocol that has the site K.
func openWith(t testing.TB, text []byte) *desk {
	t.Helper()
	d := &desk{t: t, drafts: &drafts{}, now: dawn, pen: "MO"}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{1}, ed25519.SeedSize))
	book, err := notebook.Create(&notebook.Memory{}, uuid.UUID{1}, key, func() time.Time { return d.now })
	d.must(err)
	d.p, err = programme.Open(book)
	d.must(err)
	proto, err := protocol.Parse("protocol.yaml", text)
	d.must(err)
	seeds, err := proto.Seed()
	d.must(err)
	d.keep(record.Programme{Name: proto.Name, Zone: proto.Zone}, record.Protocol{Version: proto.Version, Text: proto.Text})
	d.keep(seeds...)
	d.keep(
		record.Trip{Trip: "2025-10", Sites: []string{"K"}},
		record.Trip{Trip: "2026-05", Name: "May", Sites: []string{"K"}, First: night.Add(-2), Last: night},
	)
	d.past("2025-10", record.Night{Year: 2025, Month: 10, Day: 8}, known, record.Female)
	d.past("2025-10", record.Night{Year: 2025, Month: 10, Day: 9}, other, record.Male)
	d.restart()
	return d
}

// past keeps a capture of an earlier night at K2, the mark put on then.
func (d *desk) past(trip string, n record.Night, chip string, sex record.Sex) {
	d.t.Helper()
	at := n.Noon(zone).Add(18 * time.Hour)
	gross, bag, pes := quantity(3520), quantity(100), quantity(131)
	d.keep(record.Capture{
		Capture: uuid.Must(uuid.NewV7()), At: &record.Spot{Trip: trip, Site: "K", Night: n, Trap: "K2", Found: at},
		Handled: &record.Handled{
			Species: "RW", Sex: sex, Stage: "adult", Start: at, Marks: []record.Mark{{Kind: "transponder", Text: chip, Act: record.MarkPut}},
			Weighing: &record.Weighing{Gross: &gross, Bag: &bag}, Measures: map[string]record.Reading{"pes": {Quantity: pes}},
		},
		Released: &record.Released{At: at, Fate: record.FateReleased},
	})
}

func quantity(units int64) record.Quantity { return record.MilliQuantity(units * 1000) }

// restart opens the screens anew over the same notebook and drafts.
func (d *desk) restart() {
	d.t.Helper()
	screens, err := trapside.New(d.p, d.drafts, func() time.Time { return d.now })
	d.must(err)
	d.mux = http.NewServeMux()
	screens.Mount(d.mux)
}

func (d *desk) must(err error) {
	d.t.Helper()
	if err != nil {
		d.t.Fatal(err)
	}
}

func (d *desk) keep(bodies ...record.Body) {
	d.t.Helper()
	_, err := d.p.Keep("AB", d.now, bodies...)
	d.must(err)
}

func (d *desk) serve(r *http.Request) *httptest.ResponseRecorder {
	if d.pen != "" {
		r.AddCookie(&http.Cookie{Name: "pen", Value: d.pen})
	}
	w := httptest.NewRecorder()
	d.mux.ServeHTTP(w, r)
	return w
}

// see reads a page.
func (d *desk) see(path string) pagetest.Node {
	d.t.Helper()
	w := d.serve(httptest.NewRequest("GET", path, nil))
	if w.Code != http.StatusOK {
		d.t.Fatalf("GET %s: %d to %q: %s", path, w.Code, w.Header().Get("Location"), w.Body)
	}
	return pagetest.Read(d.t, w.Body.String())
}

// send posts a form, given as name and value in turn.
func (d *desk) send(path string, form ...string) *httptest.ResponseRecorder {
	d.t.Helper()
	values := url.Values{}
	for i := 0; i < len(form); i += 2 {
		values.Add(form[i], form[i+1])
	}
	r := httptest.NewRequest("POST", path, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return d.serve(r)
}

// do posts a form that must be taken, and gives the page it leads to.
func (d *desk) do(path string, form ...string) pagetest.Node {
	d.t.Helper()
	w := d.send(path, form...)
	if w.Code != http.StatusSeeOther {
		d.t.Fatalf("POST %s %v: %d: %s", path, form, w.Code, pagetest.Read(d.t, w.Body.String()).Text())
	}
	to, _, _ := strings.Cut(w.Header().Get("Location"), "#")
	return d.see(to)
}

func (d *desk) view(read func(*register.Register)) { d.p.View(read) }

// roundOpen sets all traps, opens a round and gives its id.
func (d *desk) roundOpen() string {
	d.t.Helper()
	d.do("/set/all", "trip", "2026-05", "site", "K", "night", night.String())
	p := d.do("/round/open", "trip", "2026-05", "site", "K", "night", night.String())
	return p.One(`.in-hand .outcomes input[name="round"]`).Attr("value")
}

// caught opens a round with one animal in K1 and gives the path of its card.
func (d *desk) caught() string {
	d.t.Helper()
	p := d.do("/round/check", "round", d.roundOpen(), "trap", "K1", "outcome", "capture")
	return p.One(`.waiting [data-trap="K1"] a`).Attr("href")
}

// in writes one field of a card.
func (d *desk) in(card, field, typed string) pagetest.Node {
	d.t.Helper()
	return d.do(card+"/in", "field", field, "typed", typed)
}

// letGo releases the animal, insisting if something interrupts.
func (d *desk) letGo(card string) pagetest.Node {
	d.t.Helper()
	p := d.do(card + "/keep")
	if strings.Contains(p.Text(), "keep all the same") {
		p = d.do(card + "/keep")
	}
	return p
}

func (d *desk) capture(card string) *register.Capture {
	d.t.Helper()
	id, err := uuid.Parse(strings.TrimPrefix(card, "/bench/"))
	d.must(err)
	var out *register.Capture
	d.view(func(r *register.Register) { out, _ = r.Capture(id) })
	return out
}
