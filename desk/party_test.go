package desk

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"dawnround/check"
	"dawnround/page/pagetest"
	"dawnround/record"
	"dawnround/register"
)

// A trip is locked on its page; what comes later is told there and asked about.
func TestLock(t *testing.T) {
	t.Parallel()
	s := newSeason()
	pages := New(s.Programme, func() time.Time { return s.now })
	trip := ""
	s.View(func(r *register.Register) { trip = r.Trips()[0].Trip.Trip })
	lock := func(trip string) int {
		r := httptest.NewRequest(http.MethodPost, "/lock", strings.NewReader(url.Values{"trip": {trip}, "why": {"the report went out"}}.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(&http.Cookie{Name: "pen", Value: "AB"})
		w := httptest.NewRecorder()
		pages.ServeHTTP(w, r)
		return w.Code
	}
	if code := lock("no such trip"); code != http.StatusNotFound {
		t.Errorf("a trip that is not here is locked: %d", code)
	}
	if code := lock(trip); code != http.StatusSeeOther {
		t.Fatalf("locking was answered %d", code)
	}
	s.keep(s.now.Add(time.Minute), "CK", record.Setting{Trip: trip, Site: "K", Night: record.Night{Year: 2026, Month: 1, Day: 2}, Set: []string{"K1"}})
	s.View(func(r *register.Register) {
		p, _ := wordsOf(r, s.now).trip(trip)
		if p.Locked == nil || p.Locked.Late != 1 || p.Locked.Why != "the report went out" || p.Locked.Who != "AB" {
			t.Errorf("the trip's page says %+v", p.Locked)
		}
	})
}

// The times of a device whose clock was an hour fast are shown put right, and
// what it showed stands beside.
func TestWrittenByAFastClock(t *testing.T) {
	t.Parallel()
	s := newSeason()
	at := s.now.Add(time.Hour)
	id := s.keep(at, "CK", record.Note{On: "trap K/K1", Text: "ants"})
	s.keep(at.Add(time.Minute), "CK", record.ClockOffset{Seconds: 3600, Why: "compared with the hut's"})
	s.View(func(r *register.Register) {
		w := wordsOf(r, s.now)
		e, _ := r.Line(id)
		got := w.line(e, record.Night{})
		if got.At != w.clock(at.Add(-time.Hour), record.Night{}) || got.Stored != w.clock(at, record.Night{}) {
			t.Errorf("at %q, stored %q", got.At, got.Stored)
		}
	})
}

// What devices bring about is settled by the evening's own form.
func TestPartyFlagIsSettled(t *testing.T) {
	t.Parallel()
	b := open(t)
	b.s.keep(b.s.now, "CK", record.ClockOffset{Seconds: 3600, Why: "compared with the hut's"})
	evening := b.get("/evening")
	asked := func(page pagetest.Node) (n int) {
		for _, li := range page.All(".open li[data-kind]") {
			if strings.Contains(li.Text(), "1 h 0 min fast") {
				n++
			}
		}
		return n
	}
	if asked(evening) != 1 {
		t.Fatal("Evening does not ask about the clock")
	}
	var flag record.Flag
	b.s.View(func(r *register.Register) { flag = check.Party(r)[0] })
	settled := b.post("/flag", url.Values{"of": {flag.Subject.String()}, "flag": {flag.Key()}, "how": {"confirmed"}, "back": {"/evening"}}, http.StatusSeeOther)
	if asked(settled) != 0 {
		t.Error("settled, it is still asked about")
	}
}
