package trapside_test

import (
	"encoding/json"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"dawnround/record"
	"dawnround/register"
	"dawnround/trapside"
)

func TestAScanSaysWhoItIs(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	p := d.do(card+"/mark", "text", known, "how", "scanned")
	if got := p.One("h1").Text(); got != "…0311 ♀" {
		t.Errorf("it is %q", got)
	}
	for _, want := range []string{"rock-wallaby", "adult", "at K2", "no ear biopsy yet"} {
		if got := p.One(".head").Text(); !strings.Contains(got, want) {
			t.Errorf("the head says %q; want %q in it", got, want)
		}
	}
	if got := p.One(`[data-row="weight"] .last`).Text(); got != "last time 3420 g" {
		t.Errorf("weight last time %q", got)
	}
}

func TestAScanInAMeasureIsAMark(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	p := d.in(card, "measures/pes", known)
	if got := p.One("h1").Text(); got != "…0311 ♀" || p.One("#f-measures-pes").Attr("value") != "" {
		t.Errorf("it is %q, pes %q", got, p.One("#f-measures-pes").Attr("value"))
	}
}

func TestTailAsksWhichOne(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	p := d.do(card+"/mark", "text", "311")
	picks := p.All("#pick form")
	if len(picks) != 2 || !strings.Contains(picks[0].Text(), "female · rock-wallaby · seen 7 months ago at K2 · 3420 g") {
		t.Fatalf("%d candidates, the first %q", len(picks), p.One("#pick").Text())
	}
	f := picks[0].Fields()
	p = d.do(card+"/mark", "text", f["text"], "kind", f["kind"], "how", f["how"])
	if got := p.One("h1").Text(); got != "…0311 ♀" || p.Has("#pick") {
		t.Errorf("it is %q, still asked: %v", got, p.Has("#pick"))
	}
	d.letGo(card)
	if got := d.capture(card).Handled.Marks[0]; got.Text != known || got.How != "tail 311" {
		t.Errorf("kept as %+v; want the tail that was read beside the number that was chosen", got)
	}
}

func TestMarks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, text string
		says       string // in the marks row
	}{
		{"nobody ends so", "777", "No mark known here ends in 777"},
		{"one slip away", near, "one slip from " + near},
		{"not known", fresh, "not known here"},
		{"a number no chip carries", broken, "the most a chip can carry"},
		{"a reader's telegram", "LA 999 000000000311", "…0311 ♀"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := open(t)
			p := d.do(d.caught()+"/mark", "text", c.text)
			if got := p.One(`[data-row="marks"]`).Text(); !strings.Contains(got, c.says) {
				t.Errorf("the row says %q; want %q", got, c.says)
			}
		})
	}
}

func TestReadAgainIsTheKnownOne(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	f := d.do(card+"/mark", "text", near).One("#pick form").Fields()
	p := d.do(card+"/mark", "text", f["text"], "kind", f["kind"], "how", f["how"], "instead", f["instead"])
	if got := p.One("h1").Text(); got != "…0311 ♀" {
		t.Errorf("it is %q", got)
	}
	d.letGo(card)
	h := d.capture(card).Handled
	if len(h.Marks) != 1 || h.Marks[0].How != "read again" || h.Steps[0].Typed != near {
		t.Errorf("marks %+v, first step %+v; want the misread number among the steps only", h.Marks, h.Steps[0])
	}
}

func TestRetrapTakesTheShortPath(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.past("2026-05", night.Add(-1), known, record.Female)
	card := d.caught()
	p := d.do(card+"/mark", "text", known)
	if rows := p.All(".rows [data-row]"); len(rows) != 3 || !strings.Contains(p.Text(), "weigh, check, release") {
		t.Errorf("%d rows; want weight, marks and release", len(rows))
	}
	if p = d.in(card, "brief", "no"); !p.Has(`[data-row="pes"]`) {
		t.Error("widened, the card has no pes")
	}
	d.in(card, "brief", "yes")
	d.letGo(card)
	if h := d.capture(card).Handled; h.Status != record.Retrap || !h.Brief || h.Species != "RW" {
		t.Errorf("kept as %s, brief %v, species %s", h.Status, h.Brief, h.Species)
	}
}

func TestFlagStandsInItsRow(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	p := d.in(card, "measures/pes", "120")
	flag := p.One(`[data-row="pes"] .flag`)
	if !strings.Contains(flag.Text(), "Bone does not shrink") {
		t.Errorf("the row says %q", flag.Text())
	}
	p = d.in(card, "measures/pes", "131.2")
	if p.Has(`[data-row="pes"] .flag`) || p.One(`[data-row="pes"] s`).Text() != "120" {
		t.Errorf("measured again: %q", p.One(`[data-row="pes"]`).Text())
	}
}

func TestBlankIsNotZero(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	d.in(card, "sex", "female")
	d.in(card, "weighing/gross", "3600")
	d.in(card, "weighing/bag", "100")
	p := d.in(card, "signs/pouch", "nc")
	if got := p.One(".missing").Text(); got != "Nothing is missing." {
		t.Errorf("%s; not checked is an answer", got)
	}
	d.in(card, "signs/pouch", "nc young too large")
	p = d.in(card, "measures/pes", "61,8")
	if got := p.One("#f-measures-pes"); got.Attr("value") != "61,8" || !strings.Contains(p.One("#f-measures-pes-wrong").Text(), "61.8") {
		t.Errorf("what could not be read stands as %q", got.Attr("value"))
	}
	d.letGo(card)
	h := d.capture(card).Handled
	if s := h.Signs["pouch"]; s.State != record.NotChecked || s.Why != "young too large" {
		t.Errorf("pouch %+v", s)
	}
	if _, measured := h.Measures["pes"]; measured || !slices.ContainsFunc(h.Steps, func(s record.Step) bool { return s.Typed == "61,8" }) {
		t.Error("words that cannot be read are kept among the steps, and are no measure")
	}
}

func TestNotCheckedInOneTap(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", other)
	for range 9 {
		p := d.see(card)
		row := p.One(".card-row.next")
		form := row.All("form.choices")
		if !row.Has(`button[value="nc"]`) {
			d.in(card, row.Attr("data-row"), map[string]string{"sex": "male", "stage": "adult"}[row.Attr("data-row")])
			continue
		}
		d.in(card, form[0].Fields()["field"], "nc")
		if row.Attr("data-row") == "pes" {
			break
		}
	}
	d.letGo(card)
	h := d.capture(card).Handled
	for _, trait := range []string{"mass", "testis.left", "pes"} {
		if h.Measures[trait].Is() != record.NotChecked {
			t.Errorf("%s is %+v, want not checked", trait, h.Measures[trait])
		}
	}
	if got := h.Measures["testis.right"].Is(); got != record.Unknown {
		t.Errorf("the right testis, of which nobody spoke, is %q", got)
	}
}

func TestMotherAndYoungLeaveTogether(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	d.do("/round/check", "round", round, "trap", "K1", "outcome", "capture")
	p := d.do("/round/check", "round", round, "trap", "K1", "outcome", "capture")
	card := p.All(`.waiting [data-trap="K1"] a`)[0].Attr("href")
	if got := d.see(card).Text(); !strings.Contains(got, "are let go together") {
		t.Errorf("the card says %q", got)
	}
}

func TestMissingBeforeRelease(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	if got := d.in(card, "species", "RW").One(".missing").Text(); got != "Missing before release: marks · sex · weight · pouch" {
		t.Errorf("%q", got)
	}
	p := d.in(card, "sex", "male")
	if got := p.One(".missing").Text(); got != "Missing before release: marks · weight" || p.Has(`[data-row="pouch"]`) || !p.Has("#f-measures-testis-left") {
		t.Errorf("a male: %q", got)
	}
}

func TestStopInterruptsOnce(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	d.in(card, "sex", "male")
	p := d.do(card + "/keep")
	if !strings.Contains(p.One("#foot").Text(), "keep all the same") || d.capture(card).Released != nil {
		t.Fatalf("the foot says %q", p.One("#foot").Text())
	}
	p = d.do(card + "/keep")
	if !strings.Contains(p.One("h1").Text(), "Kept: K1") {
		t.Fatalf("insisted, and the page says %q", p.Text())
	}
	acts := d.capture(card).Handled.Flags
	if !slices.ContainsFunc(acts, func(a record.FlagAct) bool { return a.Rule == "sex changed" && a.Act == record.FlagKept }) {
		t.Errorf("flags kept with it: %+v", acts)
	}
}

func TestKeepWritesTheWholeAnimal(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/bag", "bag", "3")
	d.in(card, "species", "RW")
	d.do(card+"/mark", "text", fresh, "kind", "transponder", "act", "put")
	d.in(card, "sex", "female")
	d.in(card, "stage", "adult")
	d.in(card, "handler", "CK")
	d.in(card, "weighing/gross", "3610")
	p := d.in(card, "weighing/bag", "105")
	if got := p.One(`[data-row="weight"] .now`).Text(); got != "3505 g 3610 − 105" {
		t.Errorf("weight %q", got)
	}
	if !strings.Contains(p.One(`[data-row="weight"]`).Text(), "bag 3 weighed 100 g empty") {
		t.Error("the bag's tare is not at hand")
	}
	d.in(card, "signs/pouch", "occupied")
	d.do(card + "/young")
	d.in(card, "young/1/attached", "yes")
	d.in(card, "young/1/measures/crown-rump", "45")
	d.in(card, "samples/+/ear biopsy", "B001")
	d.do(card+"/found", "part", "ear", "side", "left", "sign", "tick", "value", "1–5")
	d.in(card, "released/with_young", "pouch closed")
	d.now = d.now.Add(9 * time.Minute)
	d.letGo(card)

	c := d.capture(card)
	h := c.Handled
	if net, _ := h.MassMilli(); net != 3505_000 || h.Status != record.New || h.Scribe != "MO" || h.Handler != "CK" || h.End.Sub(h.Start) != 9*time.Minute {
		t.Errorf("handled %+v", h)
	}
	if c.Bagged.Bag != "3" || c.Released.Fate != record.FateReleased || c.Released.WithYoung != "pouch closed" || c.Released.By != "CK" {
		t.Errorf("bagged %+v, released %+v", c.Bagged, c.Released)
	}
	if y := h.Young[0]; y.Where != "in pouch" || y.Sure != record.Certain || y.Measures["crown-rump"].Typed != "45" {
		t.Errorf("young %+v", y)
	}
	if f := h.Findings[0]; f.Class != "1–5" || *f.Low != 1 || *f.High != 5 || f.Grade != "" {
		t.Errorf("finding %+v; want the class with its bounds", f)
	}
	if h.Samples[0].Label != "B001" || h.Protocol == "" || len(h.Steps) != 15 {
		t.Errorf("samples %+v, protocol %q, %d steps", h.Samples, h.Protocol, len(h.Steps))
	}
}

func TestNextFreeLabel(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	p := d.in(card, "samples/+/ear biopsy", "B001")
	if got := p.One("#label-of-ear-biopsy").Attr("value"); got != "B002" {
		t.Errorf("offered %q; B001 is in a draft, want B002", got)
	}
}

func TestTheSameYoungAsLastTime(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	d.in(card, "sex", "female")
	d.do(card + "/young")
	d.in(card, "young/1/measures/crown-rump", "45")
	d.letGo(card)
	first := d.capture(card).Handled.Young[0].Young

	round := ""
	d.view(func(r *register.Register) { round = r.Rounds("K", night)[0].Round.String() })
	again := d.do("/round/check", "round", round, "trap", "K2", "outcome", "capture").One(`.waiting [data-trap="K2"] a`).Attr("href")
	d.do(again+"/mark", "text", known)
	p := d.in(again, "brief", "no")
	same := p.One(`[data-row="young"] button[name="same"][value="` + first.String() + `"]`)
	if !strings.Contains(same.Text(), "crown-rump 45") {
		t.Errorf("offered as %q", same.Text())
	}
	p = d.do(again+"/young", "same", first.String())
	if !strings.Contains(p.One(`[data-young="1"] h3`).Text(), "known since 13 May 2026") {
		t.Errorf("the row says %q", p.One(`[data-young="1"]`).Text())
	}
}

func TestUndoIsOneTap(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	d.in(card, "measures/pes", "131")
	d.in(card, "measures/pes", "113")
	p := d.do(card + "/undo")
	if got := p.One("#f-measures-pes").Attr("value"); got != "131" {
		t.Errorf("after undo %q, want 131", got)
	}
	d.letGo(card)
	steps := d.capture(card).Handled.Steps
	if last := steps[3]; len(steps) != 5 || !last.Struck || last.Typed != "113" {
		t.Errorf("steps %+v; want all four, the fourth a struck one, and what was shown", steps)
	}
}

func TestDraftOutlivesTheProcess(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	d.in(card, "measures/pes", "131.4")
	d.restart()
	if got := d.see(card).One("#f-measures-pes").Attr("value"); got != "131.4" {
		t.Errorf("after a restart pes is %q", got)
	}
	d.now = d.now.Add(48 * time.Hour)
	p := d.see("/round?site=K&trip=2026-05&night=" + night.Add(2).String())
	if got := p.Text(); !strings.Contains(got, "Unfinished") || !strings.Contains(got, "K, night of 13–14 May 2026") {
		t.Errorf("two nights later the round says %q", got)
	}
}

func TestPowerFailsBetweenKeepingAndDropping(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	d.do(card + "/keep")
	d.drafts.fail = true
	d.do(card + "/keep")
	d.drafts.fail = false
	if all, _ := d.drafts.All(); len(all) != 1 {
		t.Fatalf("%d drafts lie there, want the one that could not be dropped", len(all))
	}
	d.restart()
	if all, _ := d.drafts.All(); len(all) != 0 {
		t.Errorf("%d drafts after a restart, want none", len(all))
	}
}

func TestAFullDiskIsTold(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.drafts.fail = true
	w := d.send(card+"/in", "field", "species", "typed", "RW")
	if w.Code != http.StatusInsufficientStorage || !strings.Contains(w.Body.String(), "Write it on paper now") {
		t.Errorf("status %d: %s", w.Code, w.Body)
	}
	if got := d.see(card).One(`[data-row="species"] .now`).Text(); got != "…" {
		t.Errorf("shown as written: %q, though it is not on disk", got)
	}
}

func TestWhatHasLeftTheHandIsNotWrittenOn(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.in(card, "species", "RW")
	d.letGo(card)
	if w := d.send(card+"/in", "field", "sex", "typed", "male"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("status %d, want 422", w.Code)
	}
	if p := d.letGo(card); !strings.Contains(p.One("h1").Text(), "Kept") {
		t.Errorf("kept again, the page says %q", p.Text())
	}
	if n := len(d.capture(card).Lines); n != 2 {
		t.Errorf("%d lines, want the check and one more", n)
	}
}

// TestTwoTabs writes from many tabs at once: every word is kept, each entry of
// a list has a place of its own.
func TestTwoTabs(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	var tabs sync.WaitGroup
	for i := range 20 {
		tabs.Go(func() {
			d.send(card+"/in", "field", "samples/+/ear biopsy", "typed", "X"+strconv.Itoa(i))
			d.send(card+"/in", "field", "notes", "typed", "note "+strconv.Itoa(i))
		})
	}
	tabs.Wait()
	d.letGo(card)
	d.letGo(card) // a label outside its series may have interrupted
	h := d.capture(card).Handled
	if len(h.Samples) != 20 || len(h.Steps) < 40 {
		t.Errorf("%d samples and %d steps of 20 and 40", len(h.Samples), len(h.Steps))
	}
}

func TestBenchAsData(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known)
	r, err := http.NewRequest("GET", card, nil)
	d.must(err)
	r.Header.Set("Accept", "application/json")
	var c trapside.Card
	if err := json.Unmarshal(d.serve(r).Body.Bytes(), &c); err != nil || c.Name != "…0311 ♀" || len(c.Rows) == 0 {
		t.Errorf("as data: %v, %q, %d rows", err, c.Name, len(c.Rows))
	}
}

func TestBenchRefusals(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	for name, form := range map[string][]string{
		"a field of no card":     {card + "/in", "field", "secret", "typed", "x"},
		"a capture of no trap":   {"/bench/00000000-0000-0000-0000-000000000001/in", "field", "sex", "typed", "male"},
		"an id that is none":     {"/bench/x/in", "field", "sex", "typed", "male"},
		"a finding of no part":   {card + "/found", "sign", "tick"},
		"a finding of nothing":   {card + "/found", "part", "ear"},
		"a young that is no id":  {card + "/young", "same", "x"},
		"a mark read in a slash": {card + "/mark", "text", "T001", "how", "a/b"},
	} {
		if w := d.send(form[0], form[1:]...); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d, want 422", name, w.Code)
		}
	}
	r, _ := http.NewRequest("GET", "/bench/00000000-0000-0000-0000-000000000001", nil)
	if w := d.serve(r); w.Code != http.StatusNotFound {
		t.Errorf("a card of no capture: status %d, want 404", w.Code)
	}
}

func TestLongestWaitFirst(t *testing.T) {
	t.Parallel()
	d := open(t)
	r, _ := http.NewRequest("GET", "/bench", nil)
	if w := d.serve(r); w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/round") {
		t.Errorf("nobody waits: to %q", w.Header().Get("Location"))
	}
	card := d.caught()
	r, _ = http.NewRequest("GET", "/bench", nil)
	if w := d.serve(r); w.Header().Get("Location") != card {
		t.Errorf("to %q, want %q", w.Header().Get("Location"), card)
	}
}

func TestFirstPageByTheHour(t *testing.T) {
	t.Parallel()
	d := open(t)
	for hour, want := range map[int]string{5: "/round", 11: "/round", 12: "/set", 22: "/set"} {
		d.now = time.Date(2026, 5, 13, hour, 0, 0, 0, zone)
		r, _ := http.NewRequest("GET", "/", nil)
		if got := d.serve(r).Header().Get("Location"); got != want {
			t.Errorf("at %d h: to %s, want %s", hour, got, want)
		}
	}
}

// The pair at the bench stays together until somebody says otherwise: who
// handled the last animal of the round handles the next, and the card says so.
func TestHandlerIsCarriedToTheNextAnimal(t *testing.T) {
	t.Parallel()
	d := open(t)
	round := d.roundOpen()
	caughtIn := func(trap string) string {
		p := d.do("/round/check", "round", round, "trap", trap, "outcome", "capture")
		return p.One(`.waiting [data-trap="` + trap + `"] a`).Attr("href")
	}
	first := caughtIn("K1")
	d.in(first, "handler", "CK")
	d.letGo(first)
	second := caughtIn("K2")
	card := d.in(second, "sex", "female")
	if got := card.One("#more summary").Text(); !strings.Contains(got, "handler (CK)") {
		t.Errorf("the card says %q, want the handler carried", got)
	}
	d.letGo(second)
	if h := d.capture(second).Handled; h.Handler != "CK" {
		t.Errorf("kept with handler %q, want CK", h.Handler)
	}
}
