package trapside_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/record"
	"dawnround/register"
)

// TestPaperIsTypedIn: the letters of the trap sheet become checks of a round,
// and a form becomes a capture whose words are all kept, marked, and without the
// times of typing.
func TestPaperIsTypedIn(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.now = dawn.Add(30 * time.Hour) // the evening after
	letters := []string{"trip", "2026-05", "site", "K", "night", night.String(), "trap K1", "e 05:40", "trap K2", "C", "trap K10", "d lid bent"}
	d.do("/paper/traps", letters...)
	d.do("/paper/traps", letters...) // sent twice, written once
	var caught []*register.Capture
	d.p.View(func(r *register.Register) {
		got := map[string]record.Check{}
		for _, c := range r.NightAt("K", night).Checks {
			if _, twice := got[c.Trap]; twice {
				t.Errorf("trap %s stands twice", c.Trap)
			}
			got[c.Trap] = c
		}
		if got["K1"].Outcome != record.OutcomeEmpty || got["K2"].Outcome != record.OutcomeCapture || got["K10"].Why != "lid bent" || !got["K10"].At.IsZero() ||
			got["K1"].Why != "" || got["K1"].At.In(r.Zone()).Format("2006-01-02 15:04") != night.Add(1).String()+" 05:40" {
			t.Errorf("checks %+v", got)
		}
		if set, not := r.NightAt("K", night).Set(); len(set) != 3 || len(not) != 0 {
			t.Errorf("set %v, not %v", set, not)
		}
		caught = r.CapturesOn("K", night)
	})
	if len(caught) != 1 {
		t.Fatalf("%d captures", len(caught))
	}
	id := caught[0].ID().String()
	sheet := "chip " + known + "\nW 3620-100\nP 131.2"
	p := d.do("/paper/"+id, "sheet", sheet)
	if got := p.One("#f-measures-pes").Attr("value"); got != "131.2" {
		t.Errorf("pes %q", got)
	}
	for range 3 { // whatever is asked is shown once
		d.do("/bench/" + id + "/keep")
	}
	d.p.View(func(r *register.Register) {
		c, _ := r.Capture(caught[0].ID())
		if c.Released == nil {
			t.Fatal("not released")
		}
		h := c.Handled
		if !h.Start.IsZero() || !h.End.IsZero() || !c.Released.At.IsZero() {
			t.Errorf("the time of typing stands for that of handling: %v %v %v", h.Start, h.End, c.Released.At)
		}
		var said []string
		marked := false
		for _, s := range h.Steps {
			if s.Field == record.Said {
				said = append(said, s.Typed)
			}
			marked = marked || s.Field == "source" && s.Typed == "paper"
		}
		if !slices.Equal(said, strings.Split(sheet, "\n")) || !marked {
			t.Errorf("said %q, marked %v", said, marked)
		}
		if net, _ := h.MassMilli(); net != 3520_000 {
			t.Errorf("mass %d", net)
		}
	})
}

// TestPaperKeepsALongSheet: a line that is too long is told, and the sheet stays
// in its field.
func TestPaperKeepsALongSheet(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.now = dawn.Add(30 * time.Hour)
	d.do("/paper/traps", "trip", "2026-05", "site", "K", "night", night.String(), "trap K2", "C")
	var id string
	d.view(func(r *register.Register) { id = r.CapturesOn("K", night)[0].ID().String() })
	w := d.send("/paper/"+id, "sheet", "P 131.2\n"+strings.Repeat("remark ", 2000))
	if got := w.Body.String(); !strings.Contains(got, "line 2: 14000 bytes") || !strings.Contains(got, "P 131.2\n") {
		t.Errorf("status %d: %.400s", w.Code, got)
	}
	if got := d.see("/paper?trip=2026-05&site=K&night=" + night.String()).One("form.paper-animal").Text(); strings.Contains(got, "typed in so far") {
		t.Errorf("written all the same: %q", got)
	}
}

// TestPaperSaysWhatIsWrong: nothing is written, and each trap is told.
func TestPaperSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	d := open(t)
	w := d.send("/paper/traps", "trip", "2026-05", "site", "K", "night", night.String(), "trap K1", "Q", "trap K2", "E 25:10", "trap K10", "Z")
	for _, want := range []string{"K1", "K10", "expected one of C capture", "trap K2: time &#34;25:10&#34;"} {
		if !strings.Contains(w.Body.String(), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, want := range []string{`value="Q"`, `value="E 25:10"`, `value="Z"`} {
		if !strings.Contains(w.Body.String(), want) {
			t.Errorf("what was typed is lost: the page lacks %s", want)
		}
	}
	d.view(func(r *register.Register) {
		if n := r.NightAt("K", night); len(n.Checks) > 0 {
			t.Errorf("written all the same: %+v", n.Checks)
		}
	})
	if got := d.see("/paper?night=1999-01-01"); got.Has("form.paper-animal") {
		t.Error("an animal of a night long gone")
	}
}
