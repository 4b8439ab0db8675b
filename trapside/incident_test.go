package trapside_test

import (
	"strings"
	"testing"

	"dawnround/register"
)

// TestEjectedYoungIsLedThrough: steps, questions answered in a word, what was
// done, and all of it in the line.
func TestEjectedYoungIsLedThrough(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	p := d.in(card, "incidents/+/young ejected", "in the bag, pink")
	guide := p.One(".guide")
	for _, want := range []string{"young ejected: in the bag, pink", "never pull a young off a teat", "veterinary help", "common practice, no source"} {
		if !strings.Contains(guide.Text(), want) {
			t.Errorf("the guide lacks %q", want)
		}
	}
	if got := len(guide.All("form.choices")); got != 7 {
		t.Errorf("%d questions", got)
	}
	p = d.in(card, "incidents/1/said/returned", "in the pouch")
	if got := p.One(`.guide button[aria-pressed="true"]`).Text(); got != "in the pouch" {
		t.Errorf("pressed %q", got)
	}
	d.in(card, "incidents/1/aid", "warmed 20 minutes")
	d.letGo(card)
	d.letGo(card)
	d.view(func(r *register.Register) {
		for _, c := range r.CapturesOn("K", night) {
			if i := c.Handled.Incidents; len(i) != 1 || i[0].Said["returned"] != "in the pouch" || i[0].Aid != "warmed 20 minutes" {
				t.Errorf("%+v", i)
			}
		}
	})
}

// TestAPersonHurtIsOnlySaid: no field asks about the health of a person.
func TestAPersonHurtIsOnlySaid(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	p := d.in(card, "incidents/+/person hurt", "yes")
	if guide := p.One(".guide"); len(guide.All("input:not([type=hidden])")) > 0 || !strings.Contains(guide.Text(), "see a doctor") {
		t.Errorf("%q", guide.Text())
	}
}
