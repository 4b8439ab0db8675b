package trapside_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

func TestAScanOnTheRoundAsksWhichAnimal(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	p := d.see("/round?how=scanned&text=" + known)
	if got := p.One("#asked").Text(); !strings.Contains(got, "…0311 female") {
		t.Errorf("it says %q", got)
	}
	form := p.One("#asked form")
	if form.Attr("action") != card+"/mark" {
		t.Fatalf("it goes to %q", form.Attr("action"))
	}
	f := form.Fields()
	if p = d.do(card+"/mark", "text", f["text"], "how", f["how"]); p.One("h1").Text() != "…0311 ♀" {
		t.Errorf("it is %q", p.One("h1").Text())
	}
	if got := d.see("/round?text=" + url.QueryEscape(fresh)).One("#asked").Text(); !strings.Contains(got, "not known here") {
		t.Errorf("of a number nobody bears it says %q", got)
	}
	if d.see("/round?text=" + strings.Repeat("9", 41)).Has("#asked") {
		t.Error("a text longer than any mark is asked about")
	}
}

func TestBagAndSpeciesAreSaidWhereItWasTapped(t *testing.T) {
	t.Parallel()
	d := open(t)
	p := d.do("/round/check", "round", d.roundOpen(), "trap", "K1", "outcome", "capture", "bag", "3")
	form := p.One("form.newcomer")
	fields := form.Fields()
	if fields["bag"] != "3" || p.One(".in-hand h2").Text() == "" {
		t.Fatalf("the form holds %v", fields)
	}
	found := d.now
	d.now = d.now.Add(2 * time.Minute)
	p = d.do(form.Attr("action"), "round", fields["round"], "line", fields["line"], "bag", "3", "species", "RW")
	if !p.Has(`form.newcomer button[value="RW"][aria-pressed="true"]`) || !p.Has(".last-tap") {
		t.Error("back on the round, what was said is not shown, or cannot be taken back")
	}
	c := d.capture(p.One(`.waiting [data-trap="K1"] a`).Attr("href"))
	if b := c.Bagged; b.Species != "RW" || b.Bag != "3" || !b.At.Equal(found) {
		t.Errorf("bagged %+v; want it in bag 3 since it was found", b)
	}
	if w := d.send(form.Attr("action"), "round", fields["round"], "bag", "3", "species", "QQ"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a species nobody described: status %d, want 422", w.Code)
	}
}
