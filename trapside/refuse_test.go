package trapside_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/page/pagetest"
	"dawnround/record"
	"dawnround/register"
)

func TestWhatDoesNotExistIsNotWritten(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	n := night.String()
	for name, c := range map[string]struct {
		form []string
		says string
	}{
		"set, on no trip":          {[]string{"/set/all", "trip", "nosuch", "site", "K", "night", n}, "2025-10 and 2026-05"},
		"set, at no site":          {[]string{"/set/all", "trip", "2026-05", "site", "Q", "night", n}, "K"},
		"one trap that is none":    {[]string{"/set/trap", "trip", "2026-05", "site", "K", "night", n, "trap", "ZZZ", "set", "yes"}, "K1, K2 and K10"},
		"not set, and none":        {[]string{"/set/trap", "trip", "2026-05", "site", "K", "night", n, "trap", "ZZZ"}, "K1, K2 and K10"},
		"a round of no trip":       {[]string{"/round/open", "trip", "nosuch", "site", "K", "night", n}, "2025-10 and 2026-05"},
		"a check of no trap":       {[]string{"/round/check", "round", round, "trap", "ZZZ", "outcome", "empty"}, "K1, K2 and K10"},
		"closed, and none":         {[]string{"/round/close", "round", round, "trap", "ZZZ"}, "K1, K2 and K10"},
		"bycatch nobody described": {[]string{"/round/bycatch", "round", round, "trap", "K1", "species", "QQ"}, "RW and BR"},
	} {
		w := d.send(c.form[0], c.form[1:]...)
		if got := pagetest.Read(t, w.Body.String()).Text(); w.Code != http.StatusUnprocessableEntity || !strings.Contains(got, c.says) {
			t.Errorf("%s: status %d, %q; want 422 and %q", name, w.Code, got, c.says)
		}
	}
	if got := d.see("/round").Text(); strings.Contains(got, "ZZZ") {
		t.Errorf("the round says %q", got)
	}
}

func TestWordsOutsideTheVocabularyAreWrong(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	for field, c := range map[string]struct{ typed, row, says string }{
		"stage":         {"elephant", "stage", "pouch young, subadult and adult"},
		"status":        {"odd", "", "new, recapture, retrap and dead"},
		"released/fate": {"flying", "release", "released elsewhere"},
		"marks/1/act":   {"eaten", "", ""},
	} {
		p := d.in(card, field, c.typed)
		if c.row != "" && !strings.Contains(p.One(`[data-row="`+c.row+`"] .wrong`).Text(), c.says) {
			t.Errorf("%s: the row says %q", field, p.One(`[data-row="`+c.row+`"]`).Text())
		}
	}
	if got := d.see(card).One(".missing").Text(); !strings.Contains(got, "what became of it") {
		t.Errorf("%q; a fate nobody knows must not end as released", got)
	}
	d.in(card, "released/fate", "escaped")
	d.letGo(card)
	c := d.capture(card)
	if h := c.Handled; h.Stage != "" || slices.Contains([]record.Status{"odd"}, h.Status) || c.Released.Fate != record.FateEscaped {
		t.Errorf("kept stage %q, status %q, fate %q", h.Stage, h.Status, c.Released.Fate)
	}
	if !slices.ContainsFunc(c.Handled.Steps, func(s record.Step) bool { return s.Typed == "elephant" }) {
		t.Error("what was said is lost")
	}
}

func TestLastDawnIsAskedWhereTheTripDoesNotSay(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.do("/set/trip", "trip", "long", "site", "K")
	n := night.Add(3).String()
	d.now = d.now.AddDate(0, 0, 3)
	d.do("/set/all", "trip", "long", "site", "K", "night", n)
	p := d.do("/round/open", "trip", "long", "site", "K", "night", n)
	round := p.One(`.outcomes input[name="round"]`).Attr("value")
	for _, trap := range []string{"K1", "K2", "K10"} {
		p = d.do("/round/check", "round", round, "trap", trap, "outcome", "empty")
	}
	if got := p.One("#closing").Text(); !strings.Contains(got, "does not say which dawn is its last") {
		t.Errorf("the page asks nothing: %q", got)
	}
	for name, dawn := range map[string]string{"not said": "", "the last": "last"} {
		if w := d.send("/round/end", "round", round, "dawn", dawn); w.Code != http.StatusConflict {
			t.Errorf("%s, with three traps open: status %d, want 409", name, w.Code)
		}
	}
	d.do("/round/end", "round", round, "dawn", "another")
	d.do("/round/open", "trip", "long", "site", "K", "night", n)
	d.view(func(r *register.Register) { round = r.Rounds("K", night.Add(3))[1].Round.String() })
	for _, trap := range []string{"K1", "K2", "K10"} {
		d.do("/round/check", "round", round, "trap", trap, "outcome", "empty")
	}
	d.do("/round/close", "round", round)
	d.do("/round/end", "round", round)
}

func TestALimitThatWasPassedDidHappen(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/bag", "bag", "3")
	d.in(card, "species", "RW")
	d.now = d.now.Add(50 * time.Minute)
	d.letGo(card)
	p := d.see(card)
	var words []string
	for _, b := range p.All(".flag.stop b") {
		words = append(words, b.Text())
	}
	if !slices.Contains(words, "Over the limit.") || slices.Contains(words, "Cannot be.") {
		t.Errorf("the flags begin %q", words)
	}
}

func TestATextTooLongForAMark(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	endless := strings.Repeat("9", 90_000)
	for name, form := range map[string][]string{
		"a measure": {"/in", "field", "measures/pes", "typed", endless},
		"a mark":    {"/mark", "text", endless},
		"a tag":     {"/mark", "text", strings.Repeat("A", 41), "kind", "ear tag", "act", "put"},
		"a field":   {"/in", "field", endless, "typed", "1"},
	} {
		w := d.send(card+form[0], form[1:]...)
		if w.Code != http.StatusUnprocessableEntity || w.Body.Len() > 20_000 {
			t.Errorf("%s: status %d and %d bytes, want 422 and a short page", name, w.Code, w.Body.Len())
		}
	}
	if got := d.see(card).One("h1").Text(); len(got) > 80 {
		t.Errorf("the card is headed by %d bytes", len(got))
	}
}
