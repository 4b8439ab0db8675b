package trapside_test

import (
	"strings"
	"testing"
	"time"

	"dawnround/page/pagetest"
	"dawnround/record"

	"github.com/google/uuid"
)

// Enter goes gross, bag, next row of the calling order; never to a button.
func TestEnterGoesAlongTheCallingOrder(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	p := d.in(card, "stage", "adult")
	if got := next(p); got != "f-weighing-gross" {
		t.Errorf("after the stage comes %q", got)
	}
	if got := p.One("#f-weighing-gross").Attr("data-then"); got != "f-weighing-bag" {
		t.Errorf("from gross Enter goes to %q", got)
	}
	p = d.in(card, "weighing/gross", "3600")
	if got := next(p); got != "f-weighing-bag" {
		t.Errorf("after gross comes %q", got)
	}
	if got := p.One("#f-weighing-bag").Attr("data-then"); got != "row-pouch" {
		t.Errorf("from bag Enter goes to %q; want the row, not one of its buttons", got)
	}
	if p = d.in(card, "weighing/bag", "1oo"); next(p) != "f-weighing-bag" || !strings.Contains(p.One("#f-weighing-bag-wrong").Text(), "1oo") {
		t.Errorf("refused, %q comes next, and the refusal says %q", next(p), p.One("#f-weighing-bag-wrong").Text())
	}
	if p = d.in(card, "weighing/bag", "100"); next(p) != "row-pouch" {
		t.Errorf("after bag comes %q", next(p))
	}
	if p.Has("button[data-next]") {
		t.Error("a stray Enter presses a button")
	}
}

// next is the id of what the page turns to.
func next(p pagetest.Node) string { return p.One("[data-next]").Attr("id") }

func TestEnterStaysWithTheYoungUntilDone(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	d.in(card, "signs/pouch", "occupied")
	p := d.do(card + "/young")
	if got := next(p); got != "f-young-1-measures-crown-rump" {
		t.Errorf("a new young, and %q comes next", got)
	}
	if p = d.in(card, "young/1/measures/crown-rump", "45"); next(p) != "young-done" {
		t.Errorf("measured, and %q comes next", next(p))
	}
	if p = d.do(card + "/young"); next(p) != "f-young-2-measures-crown-rump" {
		t.Errorf("the second, and %q comes next", next(p))
	}
	if p = d.in(card, "young/2/attached", "yes"); next(p) != "f-young-2-measures-crown-rump" {
		t.Errorf("attached, and %q comes next", next(p))
	}
	if p = d.in(card, "done", "young"); next(p) != "f-measures-pes" {
		t.Errorf("done, and %q comes next", next(p))
	}
	d.do(card + "/young")
	if p = d.in(card, "done", "young"); next(p) != "f-measures-pes" {
		t.Errorf("done once more, and %q comes next", next(p))
	}
}

func TestFindingsKeepPartAndSignForTheNextSide(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	p := d.do(card+"/found", "part", "ear", "side", "left", "sign", "tick", "value", "2")
	for field, want := range map[string]string{"part": "ear", "side": "right", "sign": "tick"} {
		if got := p.One(`#` + field + ` option[selected]`).Attr("value"); got != want {
			t.Errorf("%s is %q, want %q", field, got, want)
		}
	}
	if !p.Has("#row-findings.next") {
		t.Error("the turn went elsewhere")
	}
	if p = d.in(card, "done", "findings"); p.Has("#row-findings.next") || p.Has("#sign option[selected]") {
		t.Error("done, and the findings keep their turn")
	}
}

func TestReleaseAsksOnceWhatIsMissing(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	d.in(card, "sex", "male")
	if p := d.in(card, "weighing/gross", "3600"); p.Has("#foot button.press") {
		t.Error("the button is loud while something is missing")
	}
	p := d.do(card + "/keep")
	if got := p.One("#foot .flag").Text(); !strings.Contains(got, "Release with marks and weight missing?") || d.capture(card).Released != nil {
		t.Fatalf("asked: %q", got)
	}
	if p = d.in(card, "weighing/bag", "100"); strings.Contains(p.One("#foot").Text(), "missing?") {
		t.Error("something else is missing now, and the answer stands")
	}
	d.do(card + "/keep")
	d.do(card + "/keep")
	if d.capture(card).Released == nil {
		t.Error("pressed again, it is not released")
	}
}

func TestANewNumberWaitsForAWord(t *testing.T) {
	t.Parallel()
	for act, want := range map[string]record.MarkAct{"put": record.MarkPut, "read": record.MarkRead} {
		d := open(t)
		card := d.caught()
		d.in(card, "species", "RW")
		p := d.do(card+"/mark", "text", fresh)
		if got := p.One(".missing").Text(); !strings.Contains(got, "put on now or read") || !p.Has("#row-marks.next") {
			t.Errorf("%s, and the marks keep their turn: %v", got, p.Has("#row-marks.next"))
		}
		if p = d.in(card, "marks/1/act", act); strings.Contains(p.One(".missing").Text(), "put on now or read") {
			t.Errorf("%s: %s", act, p.One(".missing").Text())
		}
		d.letGo(card)
		if got := d.capture(card).Handled.Marks[0].Act; got != want {
			t.Errorf("kept as %q", got)
		}
	}
}

func TestNoChipFound(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	p := d.in(card, "scan", "none found")
	if got := p.One(`[data-row="marks"] .now`).Text(); got != "no chip found" || strings.Contains(p.One(".missing").Text(), "marks") {
		t.Errorf("the row says %q; %s", got, p.One(".missing").Text())
	}
	d.letGo(card)
	if got := d.capture(card).Handled.Scan; got != "none found" {
		t.Errorf("kept as %q", got)
	}
}

func TestYoungOfLongAgoAreNotOffered(t *testing.T) {
	t.Parallel()
	d := open(t)
	at := record.Night{Year: 2025, Month: 12, Day: 1}
	young := record.Young{Young: uuid.Must(uuid.NewV7())}
	d.keep(record.Capture{
		Capture: uuid.Must(uuid.NewV7()), At: &record.Spot{Trip: "2025-10", Site: "K", Night: at, Trap: "K2"},
		Handled:  &record.Handled{Species: "RW", Sex: record.Female, Marks: []record.Mark{{Kind: "transponder", Text: known}}, Young: []record.Young{young}},
		Released: &record.Released{Fate: record.FateReleased},
	})
	card := d.caught()
	p := d.do(card+"/mark", "text", known)
	if p.Has(`button[name="same"][value="` + young.Young.String() + `"]`) {
		t.Errorf("163 nights later it is offered as the same: %s", p.One("#young-done").Text())
	}
}

func TestHandlingBeginsAtTheFirstReading(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	d.in(card, "handler", "CK")
	d.now = d.now.Add(12 * time.Minute)
	d.in(card, "weighing/gross", "3600")
	d.now = d.now.Add(3 * time.Minute)
	d.letGo(card)
	if h := d.capture(card).Handled; h.End.Sub(h.Start) != 3*time.Minute {
		t.Errorf("in the hand for %v; it hung in its bag before", h.End.Sub(h.Start))
	}
}

func TestSampleHasSideAndMedium(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	p := d.in(card, "samples/+/ear biopsy", "B001")
	if got := p.One(`.taken input[name="typed"]`).Attr("value"); got != "ethanol 70 %" || !p.Has("#second-sample #label-of-ear-biopsy") {
		t.Errorf("in %q, and a second one is offered like the first", got)
	}
	d.in(card, "samples/1/side", "left")
	d.letGo(card)
	if s := d.capture(card).Handled.Samples[0]; s.Side != "left" || s.Medium != "ethanol 70 %" {
		t.Errorf("kept as %+v", s)
	}
}

func TestPouchAndTogetherAreTwoAnswers(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	d.do(card + "/young")
	d.in(card, "released/pouch", "pouch closed")
	d.in(card, "released/with_young", "let go together in one bag")
	d.letGo(card)
	if got := d.capture(card).Released.WithYoung; got != "pouch closed, let go together in one bag" {
		t.Errorf("kept as %q", got)
	}
}
