package trapside_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
	"dawnround/trapside"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// card is a card as data.
func (d *desk) card(path string) trapside.Card {
	d.t.Helper()
	r := httptest.NewRequest("GET", path, nil)
	r.Header.Set("Accept", "application/json")
	var c trapside.Card
	d.must(json.Unmarshal(d.serve(r).Body.Bytes(), &c))
	return c
}

func TestEchoMarksEachWord(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	p := d.see(card + "/echo?words=" + url.QueryEscape("pes sixty-four point eight, tail three hundred, hang about she's off again"))
	for selector, want := range map[string]string{".taken": "pes", ".asked": "tail?", ".left": "off"} {
		var words []string
		for _, n := range p.All(".words " + selector) {
			words = append(words, n.Text())
		}
		if !slices.Contains(words, want) {
			t.Errorf("%s are %q; want %q among them", selector, words, want)
		}
	}
	if got := p.One(".given").Text(); got != "pes 64.8" {
		t.Errorf("it gives %q", got)
	}
	if got := p.One(".asks").Text(); got != "tail three-zero-zero: again?" {
		t.Errorf("it asks %q", got)
	}
	if got := p.Text(); !strings.Contains(got, "Not taken: ") || strings.Contains(got, ",.") {
		t.Errorf("for those who do not see the marks it says %q", got)
	}
	if p.Has("[aria-live]") {
		t.Error("the echo is replaced at each key, so that it is told elsewhere")
	}
	if got := d.steps(card); len(got) != 1 {
		t.Errorf("an echo has written %+v", got)
	}
}

func TestPhraseFillsItsRow(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	d.call(card, "chip "+mother)
	p := d.call(card, "gross ten sixty-five, bag one hundred, pes sixty-four point eight")
	if got := p.One("h1").Text(); got != "…4117 ♀" {
		t.Errorf("it is %q", got)
	}
	if got := p.One(`[data-row="weight"] .now`).Text(); got != "965 g 1065 − 100" {
		t.Errorf("weight %q", got)
	}
	if got := p.One("#f-measures-pes").Attr("value"); got != "64.8" || !p.Has(`[data-row="pes"][data-heard]`) {
		t.Errorf("pes %q", got)
	}
	if got := p.One("#call").Attr("placeholder"); got != "tail …" {
		t.Errorf("the call line expects %q", got)
	}
	if p = d.call(card, "58.1"); p.One("#f-measures-tail").Attr("value") != "58.1" && !p.Has(`[data-doubt="measures/tail"]`) {
		t.Error("a bare number does not follow the calling order")
	}
	p = d.call(card, "no, that was one thirty-nine")
	if got := p.One("#f-measures-tail").Attr("value"); got != "139" {
		t.Errorf("corrected, the tail is %q", got)
	}
}

func TestPendingValueIsNeitherFilledNorLost(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	p := d.call(card, "tail three hundred")
	for range 2 {
		if got := p.One(`[data-row="tail"] .doubt`).Text(); !strings.HasPrefix(got, "300? said; asked: tail three-zero-zero: again?") {
			t.Errorf("the row says %q", got)
		}
		if got := p.One("#f-measures-tail").Attr("value"); got != "" {
			t.Errorf("it is filled: %q", got)
		}
		if got := p.One(".missing").Text(); !strings.HasSuffix(got, "tail 300?") {
			t.Errorf("missing: %q", got)
		}
		d.restart() // and after a crash
		p = d.see(card)
	}
	p = d.do(card+"/call", "words", "leave it") // the button's own words
	flag := p.One(`[data-row="tail"] .flag`).Text()
	if got := p.One("#f-measures-tail").Attr("value"); got != "300" || !strings.Contains(flag, "kept all the same") {
		t.Errorf("left, it is %q with %q", got, flag)
	}
	if p = d.in(card, "measures/tail", "141"); p.Has(".doubt") || p.One(`[data-row="tail"] s`).Text() != "300" {
		t.Errorf("typed over: %q", p.One(`[data-row="tail"]`).Text())
	}
}

func TestUndoTakesBackThePhrase(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	d.call(card, "adult female, pouch empty, pes sixty-four point eight")
	d.call(card, "pes sixty-five, ear thirty-one, two young, attached")
	p := d.do(card + "/undo")
	if got := p.One("#f-measures-pes").Attr("value"); got != "64.8" || p.One("#f-measures-ear").Attr("value") != "" || p.Has("[data-young]") {
		t.Errorf("taken back: %q", p.Text())
	}
	if got := p.One(".echo s").Text(); got != "pes sixty-five, ear thirty-one, two young, attached" {
		t.Errorf("the struck phrase is %q", got)
	}
	d.do(card + "/undo")
	if c := d.card(card); c.Draft.Handled.Sex != "" || len(record.Phrases(d.steps(card))) != 2 {
		t.Errorf("both taken back: %+v", c.Draft.Handled)
	}
}

func TestReleasedOnTheCallLine(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	d.call(card, "chip "+mother)
	d.call(card, "adult female, gross 1065, bag 100, pouch empty")
	d.call(card, "pes thirty")
	if p := d.call(card, "released, hopped off strongly"); !strings.Contains(p.One(".foot").Text(), "keep all the same") {
		t.Fatalf("a stop does not interrupt: %q", p.One(".foot").Text())
	}
	if p := d.call(card, "released"); !strings.HasPrefix(p.One("h1").Text(), "Kept: K01") {
		t.Fatalf("insisted on, it is %q", p.Text())
	}
	k := d.capture(card)
	if k.Released == nil || k.Released.Behaviour != "hopped off, strongly" {
		t.Errorf("kept as %+v", k.Released)
	}
	if all := record.Phrases(k.Handled.Steps); len(all) != 5 || all[2].Typed != "pes thirty" {
		t.Errorf("the phrases that travel inside are %+v", all)
	}
}

func TestCalledOnTheShortPathIsSeen(t *testing.T) {
	t.Parallel()
	d := open(t)
	d.past("2026-05", night.Add(-1), known, record.Female)
	card := d.caught()
	p := d.call(card, "chip "+known+", gross 3520, bag 100, pes one thirty-one")
	if rows := p.All(".rows [data-row]"); len(rows) != 4 || p.One("#f-measures-pes").Attr("value") != "131" {
		t.Errorf("%d rows; want weight, marks, what was called, and release", len(rows))
	}
}

func TestOtherTrapOpensItsCard(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	w := d.send(card+"/call", "words", "K two, male, bandicoot")
	to, _, _ := strings.Cut(w.Header().Get("Location"), "#")
	if p := d.see(to); to == card || !strings.Contains(p.One(".head .waits").Text(), "trap K02") || d.card(to).Draft.Handled.Sex != record.Male {
		t.Errorf("K02 is %s: %q", to, p.One(".head .waits").Text())
	}
	if w = d.send(to+"/call", "words", "next"); w.Header().Get("Location") != card {
		t.Errorf("next leads to %q; want %s", w.Header().Get("Location"), card)
	}
	if p := d.call(card, "K nineteen"); !p.Has(`[data-doubt="trap"]`) {
		t.Error("a trap that holds nobody is not asked about")
	}
}

func TestOtherTrapsAreChecked(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	d.call(card, "K ten sprung, K eleven empty")
	held := func() map[string]record.Outcome {
		out := map[string]record.Outcome{}
		d.view(func(r *register.Register) {
			for _, c := range r.NightAt("K", night).Checks {
				out[c.Trap] = c.Outcome
			}
		})
		return out
	}
	if got := held(); got["K10"] != record.OutcomeSprung || got["K11"] != record.OutcomeEmpty {
		t.Errorf("the round holds %v", got)
	}
	d.do(card + "/undo")
	if got := held(); got["K10"] != "" || got["K11"] != "" {
		t.Errorf("undone, the round holds %v", got)
	}
}

func TestOnTheLastAnimal(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	w := d.send(card+"/call", "words", "K two, bandicoot, male adult, tail one sixty")
	his, _, _ := strings.Cut(w.Header().Get("Location"), "#")
	d.call(card, "on the last animal tail one fifty")
	if got := d.card(his).Draft.Handled.Measures["tail"]; got.Typed != "150" {
		t.Errorf("his tail is %+v", got)
	}
	d.do(card + "/undo")
	if got := d.card(his).Draft.Handled.Measures["tail"]; got.Typed != "160" {
		t.Errorf("undone, his tail is %+v", got)
	}
	d.letGo(his)
	p := d.call(card, "on the last animal tail one fifty")
	if got := d.capture(his).Handled.Measures["tail"]; got.Typed != "150" || !strings.Contains(p.One(".flash").Text(), "was 160") {
		t.Errorf("let go, his tail is %+v: %q", got, p.One(".flash").Text())
	}
	d.do(card + "/undo")
	if got := d.capture(his).Handled.Measures["tail"]; got.Typed != "160" {
		t.Errorf("undone, his tail is %+v", got)
	}
}

func TestPhraseIsOnDiskWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	d, card := speaking(t)
	before := d.steps(card)
	d.drafts.fail = true
	if w := d.send(card+"/call", "words", "pes 64.8, tail 141"); w.Code != http.StatusInsufficientStorage {
		t.Errorf("a disk that is full answers %d", w.Code)
	}
	d.drafts.fail = false
	if got := d.steps(card); !reflect.DeepEqual(got, before) || d.card(card).Draft.Handled.Measures != nil {
		t.Errorf("the draft holds %+v", got)
	}
	d.send(card+"/call", "words", strings.Repeat("tail ", 2000))
	if got := d.steps(card); !reflect.DeepEqual(got, before) {
		t.Error("a phrase longer than any is kept in part")
	}
}

// somePhrases are calls as a handler makes them, in no order.
var somePhrases = []string{
	"adult female", "male", "gross ten sixty-five, bag one hundred", "weight nine sixty-five", "pes sixty-four point eight", "pes 60", "tail three hundred",
	"one forty", "no, one forty-two", "no, scrap that", "yes", "leave it", "swap those", "head seventy-eight one, ear 31", "three young, attached", "crown rump 24",
	"no, two young", "left ear two ticks", "no ticks", "ear biopsy, tube B012", "hair, tube B012", "H003", "chip " + mother, "4117", "go back, tail one forty-four",
	"hold", "sixty-eight", "tail", "scale not tared, weight ten sixty", "with the bag", "pouch empty, dry", "skip the ear", "thrown the joey", "on the last animal sex female",
	"tail end of the round, pass the water", "  spaces kept ", "repeat the tail", "sixty-four point eight, 141, 78.2", "tag twelve", "left",
}

// TestWhateverIsSaid: any phrases, edits and undos leave every phrase complete
// and in order; a value that was filled is gone only where another stands or a
// step takes it away, and is then shown struck; and the card is the same after a
// crash.
func TestWhateverIsSaid(t *testing.T) {
	t.Parallel()
	d, _ := speaking(t)
	rapid.Check(t, func(t *rapid.T) {
		card := d.anew()
		var said []string
		for range rapid.IntRange(1, 14).Draw(t, "doings") {
			switch rapid.IntRange(0, 5).Draw(t, "doing") {
			case 0:
				d.send(card + "/undo")
			case 1:
				d.send(card+"/in", "field", rapid.SampledFrom([]string{"measures/tail", "measures/pes", "sex"}).Draw(t, "field"), "typed", rapid.SampledFrom([]string{"", "141", "62.5", "female"}).Draw(t, "typed"))
			default:
				phrase := rapid.SampledFrom(somePhrases).Draw(t, "phrase")
				before := d.steps(card)
				if w := d.send(card+"/call", "words", phrase); w.Code != http.StatusSeeOther {
					t.Fatalf("%q is answered with %d", phrase, w.Code)
				}
				said = append(said, phrase)
				if after := d.steps(card); !reflect.DeepEqual(after[:len(before)], before) {
					t.Fatalf("%q changed earlier steps", phrase)
				}
			}
		}
		steps := d.steps(card)
		var kept []string
		for _, s := range record.Phrases(steps) {
			kept = append(kept, s.Typed)
		}
		if !slices.Equal(kept, said) {
			t.Fatalf("said %q, kept %q", said, kept)
		}
		draft := trapside.Fold(uuid.UUID{7}, steps)
		for _, s := range steps {
			if !s.Struck && s.Typed != "" && s.Field != record.Said && draft.Said[s.Field] != s.Typed && !slices.Contains(draft.Struck[s.Field], s.Typed) {
				t.Fatalf("%q in %s is neither standing nor struck", s.Typed, s.Field)
			}
		}
		before := d.card(card)
		d.restart()
		if after := d.card(card); !reflect.DeepEqual(before, after) {
			t.Fatalf("before the crash %+v\nafter it %+v", before, after)
		}
		d.send(card + "/keep")
		d.send(card + "/keep")
	})
}

// anew is the card of one more bandicoot.
func (d *desk) anew() string {
	id := uuid.Must(uuid.NewV7())
	d.keep(record.Capture{Capture: id, At: &record.Spot{Trip: "2026-05", Site: "K", Night: night, Trap: fmt.Sprintf("K%02d", 3+id[15]%17), Found: d.now}})
	card := "/bench/" + id.String()
	d.send(card+"/in", "field", "species", "typed", "NB")
	return card
}

// TestUndoIsTheWayBack: a phrase and its undo leave the card as it was.
func TestUndoIsTheWayBack(t *testing.T) {
	t.Parallel()
	d, _ := speaking(t)
	rapid.Check(t, func(t *rapid.T) {
		card := d.anew()
		for range rapid.IntRange(0, 6).Draw(t, "phrases") {
			d.send(card+"/call", "words", rapid.SampledFrom(somePhrases).Draw(t, "before"))
		}
		before := trapside.Fold(uuid.UUID{7}, d.steps(card))
		d.send(card+"/call", "words", rapid.SampledFrom(somePhrases).Draw(t, "phrase"))
		d.send(card + "/undo")
		after := trapside.Fold(uuid.UUID{7}, d.steps(card))
		if !reflect.DeepEqual(before.Said, after.Said) || !reflect.DeepEqual(before.Capture, after.Capture) || !reflect.DeepEqual(before.Doubts, after.Doubts) {
			t.Fatalf("before %+v\nafter  %+v", before.Said, after.Said)
		}
		d.send(card + "/keep")
		d.send(card + "/keep")
	})
}

// BenchmarkPhraseToPage is a phrase, its steps on (memory's) disk, and the card
// with all flags, in a programme of so many animals and captures; and the echo
// of the same phrase.
func BenchmarkPhraseToPage(b *testing.B) {
	for _, animals := range []int{500, 5_000} {
		d := open(b)
		grow(d, animals)
		card := d.caught()
		d.send(card+"/mark", "text", known)
		name := fmt.Sprintf("%d_animals/%d_captures", animals, 10*animals)
		b.Run(name+"/said", func(b *testing.B) {
			for b.Loop() {
				d.send(card+"/call", "words", "adult female, gross thirty-five sixty, bag ninety-five, pes one thirty-one point two")
				if w := d.serve(httptest.NewRequest("GET", card, nil)); w.Code != 200 {
					b.Fatal(w.Code)
				}
				b.StopTimer()
				d.send(card + "/undo")
				b.StartTimer()
			}
		})
		b.Run(name+"/echoed", func(b *testing.B) {
			for b.Loop() {
				if w := d.serve(httptest.NewRequest("GET", card+"/echo?words=gross+thirty-five+sixty,+bag+ninety-five,+pes+one+thirty-one+point+two", nil)); w.Code != 200 {
					b.Fatal(w.Code)
				}
			}
		})
	}
}
