package trapside_test

import (
	"net/http"
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
)

func TestTheLastTapIsTakenBack(t *testing.T) {
	t.Parallel()
	for _, outcome := range []string{"empty", "capture", "sprung"} {
		t.Run(outcome, func(t *testing.T) {
			t.Parallel()
			d := open(t)
			tap := []string{"round", d.roundOpen(), "trap", "K1", "outcome", outcome, "bag", "3", "capture", "0198f1de-0000-7000-8000-000000000001"}
			p := d.do("/round/check", tap...)
			if outcome != "capture" {
				p = d.do("/round/check", tap...) // the other half of a double tap
			}
			undo := p.One(".last-tap")
			if got := undo.Text(); !strings.HasPrefix(got, "K1 "+outcome) {
				t.Fatalf("above the buttons: %q", got)
			}
			form := undo.Fields()
			d.view(func(r *register.Register) {
				for _, c := range r.CapturesOn("K", night) {
					if len(c.Lines) != 2 || c.Lines[0] == c.Lines[1] || c.Lines[1].String() == "00000000-0000-0000-0000-000000000000" {
						t.Errorf("offering an undo has changed the lines of the capture: %v", c.Lines)
					}
				}
			})
			p = d.do("/round/undo", "round", form["round"], "line", form["line"])
			if got := p.One(`.outcomes input[name="trap"]`).Attr("value"); got != "K1" || p.Has(".waiting li") {
				t.Errorf("in hand %s, waiting %v; want K1 again, and nobody waiting", got, p.Has(".waiting li"))
			}
			if w := d.send("/round/undo", "round", form["round"], "line", form["line"]); w.Code != http.StatusSeeOther {
				t.Errorf("tapped twice: status %d, want 303", w.Code)
			}
		})
	}
}

func TestUndoneIsOnlyWhatNobodyWroteOn(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	line := d.capture(card).Lines[0].String()
	d.in(card, "species", "RW")
	for name, form := range map[string][]string{
		"an animal at the bench": {"line", line},
		"no line":                {"line", "x"},
		"another kind of line":   {"line", d.capture(d.earlier()).Lines[0].String()},
	} {
		if w := d.send("/round/undo", form...); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d, want 422", name, w.Code)
		}
	}
}

// earlier is the path of an earlier capture.
func (d *desk) earlier() string {
	var path string
	d.view(func(r *register.Register) { path = "/bench/" + r.Captures()[0].ID().String() })
	return path
}

func TestACaptureTappedTwiceIsOneAnimal(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.roundOpen()
	form := d.see("/round").One(".outcomes").Fields()
	tap := []string{"round", form["round"], "trap", form["trap"], "capture", form["capture"], "outcome", "capture"}
	d.do("/round/check", tap...)
	if p := d.do("/round/check", tap...); len(p.All(".waiting li")) != 1 {
		t.Fatalf("%d animals wait, want 1", len(p.All(".waiting li")))
	}
	if w := d.send("/round/check", "round", form["round"], "trap", "K1", "outcome", "empty"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("empty, while its animal waits: status %d, want 422", w.Code)
	}
	p := d.see("/round?trap=K1")
	if second := p.One(".outcomes").Fields()["capture"]; second == form["capture"] || second == "" {
		t.Errorf("the next page mints %q again", second)
	}
	tap = []string{"round", form["round"], "trap", "K2", "capture", p.One(".outcomes").Fields()["capture"], "species", "BR"}
	d.do("/round/bycatch", tap...)
	d.do("/round/bycatch", tap...)
	d.view(func(r *register.Register) {
		if got := len(r.CapturesOn("K", night)); got != 2 {
			t.Errorf("%d captures; want one animal and one bush rat", got)
		}
	})
}

func TestNoAnimalAfterAll(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/bag", "bag", "3")
	p := d.see("/round")
	form := p.One(`.waiting [data-trap="K1"] form`)
	if w := d.send(card + "/none"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("without a reason: status %d, want 422", w.Code)
	}
	p = d.do(form.Attr("action"), "why", "the bag was empty")
	if p.Has(".waiting li") || p.One(`.strip [data-trap="K1"] small`).Text() != "○ not seen" {
		t.Errorf("K1 is %q", p.One(`.strip [data-trap="K1"]`).Text())
	}
	d.view(func(r *register.Register) {
		if n := len(r.CapturesOn("K", night)); n != 0 {
			t.Errorf("%d captures, want none", n)
		}
		for _, e := range r.LinesOf(night, d.now, d.now.AddDate(0, 0, 1)) {
			if s, ok := e.Body.(record.Strike); ok && s.Why != "no animal after all: the bag was empty" {
				t.Errorf("struck because %q", s.Why)
			}
		}
	})
}

func TestAnAnimalWithStepsStays(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	if d.see("/round").Has(`.waiting form`) {
		t.Error("an animal at the bench may be taken for none")
	}
	if w := d.send(card+"/none", "why", "gone"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("status %d, want 422", w.Code)
	}
}

func TestTheBagIsSaidWithTheTap(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	if !d.see("/round").Has(`.outcomes input[name="bag"]`) {
		t.Fatal("no field for the bag beside the outcomes")
	}
	p := d.do("/round/check", "round", round, "trap", "K1", "outcome", "capture", "bag", " 3 ")
	if got := p.One(`.waiting [data-trap="K1"]`).Text(); !strings.Contains(got, "in bag 3") {
		t.Errorf("it waits %q", got)
	}
	p = d.do("/round/check", "round", round, "trap", "K2", "outcome", "empty", "bag", "4")
	if len(p.All(".waiting li")) != 1 {
		t.Error("an empty trap has filled a bag")
	}
	if w := d.send("/round/check", "round", round, "trap", "K10", "outcome", "capture", "bag", known); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a reader fired into the bag: status %d, want 422", w.Code)
	}
}
