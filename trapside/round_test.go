package trapside_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"dawnround/page/pagetest"
	"dawnround/record"
	"dawnround/register"
)

func TestSetInOneTap(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.now = time.Date(2026, 5, 13, 16, 40, 0, 0, zone)
	p := d.see("/set")
	if got := p.One(".lede").Text(); got != "K Kestrel ridge · night of 13–14 May 2026 · May" {
		t.Errorf("set for %q", got)
	}
	form := p.One(`form[action="/set/all"]`).Fields()
	d.do("/set/all", "trip", form["trip"], "site", form["site"], "night", form["night"], "first", "16:40", "last", "17:20")
	p = d.do("/set/trap", "trip", "2026-05", "site", "K", "night", night.String(), "trap", "K10", "set", "no", "why", "ants")
	if got := p.One(`.unset[data-trap="K10"]`).Text(); !strings.Contains(got, "not set: ants") {
		t.Errorf("K10 says %q", got)
	}
	var names []string
	for _, tile := range p.All(".strip [data-trap]") {
		names = append(names, tile.Attr("data-trap"))
	}
	if got := strings.Join(names, " "); got != "K1 K2 K10" {
		t.Errorf("walking order %q, want K1 K2 K10", got)
	}
	d.view(func(r *register.Register) {
		n := r.NightAt("K", night)
		set, not := n.Set()
		if strings.Join(set, " ") != "K1 K2" || len(not) != 1 || n.Settings[0].First.IsZero() {
			t.Errorf("set %v, not %v, first %v", set, not, n.Settings[0].First)
		}
	})
}

func TestSetKnowsDuskAndLimits(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.past("2026-05", night.Add(-2), fresh, record.Female)
	d.past("2026-05", night.Add(-1), fresh, record.Female)
	p := d.see("/set?trip=2026-05&site=K&night=" + night.String())
	text := p.Text()
	for _, want := range []string{"Computed for a flat horizon", "your approval, your ethics committee and local law decide", "invented approval", "…9310 ♀ 2 nights running, last in K2", "no ear biopsy yet"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

func TestSetRefusals(t *testing.T) {
	t.Parallel()
	d := open(t)
	for name, form := range map[string][]string{
		"a night that is no date": {"/set/all", "trip", "2026-05", "site", "K", "night", "13/5"},
		"no site":                 {"/set/all", "trip", "2026-05", "night", "2026-05-13"},
		"a site without traps":    {"/set/all", "trip", "2026-05", "site", "Q", "night", "2026-05-13"},
		"a time that is none":     {"/set/all", "trip", "2026-05", "site", "K", "night", "2026-05-13", "first", "25 past"},
		"no trap":                 {"/set/trap", "trip", "2026-05", "site", "K", "night", "2026-05-13"},
		"a trip without a name":   {"/set/trip", "trip", " "},
		"a trip that ends first":  {"/set/trip", "trip", "x", "first", "2026-05-13", "last", "2026-05-11"},
	} {
		if w := d.send(form[0], form[1:]...); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d, want 422", name, w.Code)
		}
	}
}

func TestWhoeverWritesHoldsThePen(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.pen = ""
	if w := d.send("/set/trip", "trip", "x"); w.Code != http.StatusConflict {
		t.Errorf("a line by nobody: status %d, want 409", w.Code)
	}
	for _, path := range []string{"/set", "/round", "/bench/00000000-0000-0000-0000-000000000001"} {
		r, _ := http.NewRequest("GET", path, nil)
		if w := d.serve(r); w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/pen?") {
			t.Errorf("%s without a pen: %d to %q", path, w.Code, w.Header().Get("Location"))
		}
	}
}

func TestRoundDoesNotEndWithATrapUnseen(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	d.do("/round/check", "round", round, "trap", "K1", "outcome", "empty")
	d.do("/round/check", "round", round, "trap", "K2", "outcome", "not checked", "why", "river up")
	refused := d.send("/round/end", "round", round)
	if refused.Code != http.StatusConflict {
		t.Fatalf("status %d, want 409", refused.Code)
	}
	if got := pagetest.Read(t, refused.Body.String()).One(".lede").Text(); !strings.Contains(got, "K2 and K10") {
		t.Errorf("says %q; want the traps K2 and K10 named", got)
	}
	d.do("/round/check", "round", round, "trap", "K2", "outcome", "sprung")
	p := d.do("/round/check", "round", round, "trap", "K10", "outcome", "empty")
	if w := d.send("/round/end", "round", round); w.Code != http.StatusConflict {
		t.Errorf("the last dawn with traps open: status %d, want 409", w.Code)
	}
	if !strings.Contains(p.One("#closing .flag").Text(), "last dawn") {
		t.Errorf("the page says %q", p.One("#closing").Text())
	}
	d.do("/round/close", "round", round)
	p = d.do("/round/end", "round", round)
	if !strings.Contains(p.One("#closing").Text(), "This round is ended") {
		t.Errorf("the page says %q", p.One("#closing").Text())
	}
}

func TestNextTrapInWalkingOrder(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	for _, want := range []string{"K1", "K2", "K10"} {
		p := d.see("/round?round=" + round)
		if got := p.One(`.outcomes input[name="trap"]`).Attr("value"); got != want {
			t.Fatalf("in hand %s, want %s", got, want)
		}
		p = d.do("/round/check", "round", round, "trap", want, "outcome", "empty")
		if got := p.One(`.strip [data-trap="` + want + `"] small`).Text(); got != "– empty" {
			t.Errorf("%s says %q; want a shape and a word", want, got)
		}
	}
}

func TestTwoAnimalsInOneTrap(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	d.do("/round/check", "round", round, "trap", "K1", "outcome", "capture")
	d.now = d.now.Add(50 * time.Minute)
	p := d.do("/round/check", "round", round, "trap", "K1", "outcome", "capture")
	waiting := p.All(`.waiting [data-trap="K1"]`)
	if len(waiting) != 2 {
		t.Fatalf("%d animals wait, want 2", len(waiting))
	}
	if got := waiting[0].One("time").Text(); got != "50 min" || !waiting[0].Has(".flag.stop") || waiting[1].Has(".flag") {
		t.Errorf("first waits %q, flagged %v; want the longest first, and over the limit of 45", got, waiting[0].Has(".flag.stop"))
	}
}

func TestTheNightIsTheRounds(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.now = time.Date(2026, 5, 16, 5, 50, 0, 0, zone) // two days fast
	round := d.roundOpen()
	p := d.do("/round/check", "round", round, "trap", "K1", "outcome", "capture")
	if got := p.One(".flag.look").Text(); !strings.Contains(got, "clock says 05:50 on 16 May 2026") {
		t.Errorf("the page says %q", got)
	}
	d.view(func(r *register.Register) {
		if c := r.CapturesOn("K", night); len(c) != 1 {
			t.Errorf("%d captures on the round's night, want 1", len(c))
		}
	})
}

func TestBycatchInOneLine(t *testing.T) {
	t.Parallel()
	d := open(t)
	p := d.do("/round/bycatch", "round", d.roundOpen(), "trap", "K2", "species", "BR")
	if p.Has(".waiting li") || !strings.Contains(p.One(`.strip [data-trap="K2"]`).Text(), "capture") {
		t.Errorf("the page says %q", p.Text())
	}
	d.view(func(r *register.Register) {
		c := r.CapturesOn("K", night)[0]
		if c.Species() != "BR" || !c.Handled.Brief || c.Released.Fate != record.FateReleased {
			t.Errorf("kept %+v", c.Handled)
		}
	})
}

func TestDeadInTheTrap(t *testing.T) {
	t.Parallel()
	d := open(t)
	p := d.do("/round/check", "round", d.roundOpen(), "trap", "K1", "outcome", "dead")
	if got := p.Text(); !strings.Contains(got, "Your approval says who must be told") {
		t.Errorf("the card says %q", got)
	}
	d.view(func(r *register.Register) {
		if c := r.CapturesOn("K", night); len(c) != 1 || !c[0].Open() {
			t.Errorf("%d captures; want one that nobody has let go yet", len(c))
		}
	})
}

func TestRoundRefusals(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	for name, form := range map[string][]string{
		"a round that is not there": {"/round/check", "round", "00000000-0000-0000-0000-000000000001", "trap", "K1", "outcome", "empty"},
		"no round":                  {"/round/check", "trap", "K1", "outcome", "empty"},
		"an outcome of its own":     {"/round/check", "round", round, "trap", "K1", "outcome", "weird"},
		"no trap":                   {"/round/check", "round", round, "outcome", "empty"},
		"bycatch of nothing":        {"/round/bycatch", "round", round, "trap", "K1"},
		"a temperature in words":    {"/round/weather", "round", round, "temp", "cold"},
	} {
		if w := d.send(form[0], form[1:]...); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d, want 422", name, w.Code)
		}
	}
}

func TestWeather(t *testing.T) {
	t.Parallel()
	d := open(t)
	p := d.do("/round/weather", "round", d.roundOpen(), "when", "first trap", "temp", "4.5", "rain", "0", "source", "measured")
	if !strings.Contains(p.Text(), "first trap: 4.5 °C rain 0 mm (measured)") {
		t.Errorf("the page says %q", p.Text())
	}
}
