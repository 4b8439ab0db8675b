package desk

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"dawnround/page/pagetest"
	"dawnround/record"
	"dawnround/register"
)

func (b browser) adopt(text string, status int) pagetest.Node {
	b.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	if err := m.WriteField("text", text); err != nil {
		b.Fatal(err)
	}
	file, err := m.CreateFormFile("file", "")
	if err != nil || m.Close() != nil {
		b.Fatal(err, file)
	}
	r := httptest.NewRequest("POST", "/programme/protocol", &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	w := b.ask(r)
	if w.Code != status {
		b.Fatalf("adopting: status %d, want %d", w.Code, status)
	}
	if status == http.StatusSeeOther {
		return b.get(w.Header().Get("Location"))
	}
	return pagetest.Read(b.T, w.Body.String())
}

// Each small form writes its line, and what it wrote is on the page.
func TestBookKeeping(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, c := range []struct {
		kind    string
		changed []string
		says    string
	}{
		{"person", []string{"initials", "RV", "name", "R. Invented", "role", "volunteer"}, "RV R. Invented, volunteer"},
		{"site", []string{"site", "M", "name", "Mallee flat"}, "M, Mallee flat, 0 traps"},
		{"trap", []string{"site", "L", "trap", "L5", "type", "cage", "position", "GDA2020 zone 55 south 252760 E 7719120 N", "from", "2026-06-01"}, "L5 cage, -20."},
		{"trap", []string{"site", "L", "trap", "L1", "position", "-20.6050, 144.6310", "datum", "GDA94", "err_m", "4", "from", "2026-06-01"}, "L1 -20.60500, 144.63100 GDA94 ± 4 m, from 1 Jun 26"},
		{"trip", []string{"trip", "2026-10", "name", "October 2026", "sites", "K, L", "first", "2026-10-06", "last", "2026-10-09"}, "October 2026 K, L 6 Oct 26"},
		{"labels", []string{"series", "C001–C020", "team", "lab"}, "labels C001–C020 for lab: 0 of 20 used"},
		{"tare", []string{"bag", "9", "mass", "96.5"}, "bag 9: 96.5 g empty"},
		{"device", []string{"name", "red phone"}, "red phone"},
		{"clock", []string{"seconds", "-95", "why", "compared with a receiver"}, ""},
	} {
		page := b.send(b.get("/programme"), `form[action="/programme/`+c.kind+`"]`, c.changed...)
		if !strings.Contains(page.Text(), c.says) {
			t.Errorf("%s: not on the page: %s", c.kind, c.says)
		}
	}
	// A moved trap stands where it stood on the nights before.
	b.s.View(func(r *register.Register) {
		was := r.Traps("L", record.Night{Year: 2026, Month: 5, Day: 12})[0]
		now := r.Traps("L", record.Night{Year: 2026, Month: 6, Day: 2})[0]
		if was.Trap != "L1" || now.Trap != "L1" || was.Lat == now.Lat {
			t.Errorf("L1 was at %v and is at %v", was.Lat, now.Lat)
		}
	})
}

func TestBookKeepingRefuses(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, c := range []struct {
		kind    string
		changed []string
		says    string
	}{
		{"person", nil, "initials are missing"},
		{"site", []string{"site", "a b"}, `site "a b"`},
		{"trap", []string{"site", "Z", "trap", "Z1"}, `site "Z": not written yet`},
		{"trap", []string{"site", "K", "trap", "K1", "position", "144.4, -20.6", "datum", "GDA2020"}, "144.4"},
		{"trap", []string{"site", "K", "trap", "K1", "from", "2026-06-02", "to", "2026-06-01"}, "before it stood"},
		{"trip", []string{"trip", "x", "first", "6/10/2026"}, "6/10/2026"},
		{"labels", []string{"series", "B"}, "B"},
		{"tare", []string{"bag", "9", "mass", "a lot"}, "a lot"},
		{"clock", []string{"seconds", "fast", "why", "x"}, `"fast"`},
	} {
		form := map[string][]string{"back": {"/programme"}}
		for i := 0; i+1 < len(c.changed); i += 2 {
			form[c.changed[i]] = []string{c.changed[i+1]}
		}
		page := b.post("/programme/"+c.kind, form, http.StatusUnprocessableEntity)
		if !strings.Contains(strings.ToLower(page.Text()), strings.ToLower(c.says)) {
			t.Errorf("%s: says %q, want it to name %q", c.kind, page.Text(), c.says)
		}
	}
}

func TestProtocolIsAdoptedOrMended(t *testing.T) {
	t.Parallel()
	b := open(t)
	broken := strings.Replace(seasonProtocol, "step: 10,", "step: ten,", 1)
	page := b.adopt(broken, http.StatusUnprocessableEntity)
	if got := page.One(".problems").Text(); !strings.Contains(got, "line") || !strings.Contains(got, "ten") {
		t.Errorf("problems: %s", got)
	}
	if got := page.One("#protocol-text").Text(); !strings.Contains(got, "ten") {
		t.Error("the text that was sent is gone")
	}
	page = b.adopt(strings.Replace(seasonProtocol, "step: 10,", "step: 5,", 1), http.StatusSeeOther)
	if got := len(page.All(".adopted li")); got != 2 {
		t.Errorf("%d adoptions on the page, want 2", got)
	}
	if strings.Count(page.Text(), "C. Invented") != 1 {
		t.Error("the seeds were entered again")
	}
	b.adopt("", http.StatusBadRequest)
}

// Lines of a later version are counted, never hidden.
func TestUnreadLinesAreCounted(t *testing.T) {
	t.Parallel()
	b := open(t)
	b.s.View(func(r *register.Register) {
		for i := range 14 {
			r.Apply(&register.Entry{ID: sid(900 + i), Who: "ZZ", Kind: "dream"})
		}
	})
	for _, path := range []string{"/programme", "/evening"} {
		if !strings.Contains(b.get(path).Text(), "14 lines this version cannot read") {
			t.Errorf("%s does not count them", path)
		}
	}
}
