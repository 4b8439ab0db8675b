package trapside_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"dawnround/page/pagetest"
	"dawnround/record"

	"github.com/google/uuid"
)

const mother = "999000000004117"

// speaking is a bench by the demo's protocol with a female bandicoot in hand,
// who was caught in October, and a male who waits in K02.
func speaking(t testing.TB) (d *desk, card string) {
	t.Helper()
	text, err := os.ReadFile("../demo/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d = openWith(t, text)
	d.caughtBefore(mother, record.Female)
	round := d.roundOpen()
	d.do("/round/check", "round", round, "trap", "K02", "outcome", "capture")
	p := d.do("/round/check", "round", round, "trap", "K01", "outcome", "capture")
	card = p.One(`.waiting [data-trap="K01"] a`).Attr("href")
	d.in(card, "species", "NB")
	return d, card
}

// caughtBefore keeps a bandicoot's capture of last October.
func (d *desk) caughtBefore(chip string, sex record.Sex) {
	d.t.Helper()
	n := record.Night{Year: 2025, Month: 10, Day: 8}
	at := n.Noon(zone).Add(18 * 3600e9)
	mass, pes, tail := quantity(940), quantity(65), quantity(141)
	d.keep(record.Capture{
		Capture: uuid.Must(uuid.NewV7()), At: &record.Spot{Trip: "2025-10", Site: "K", Night: n, Trap: "K02", Found: at},
		Handled: &record.Handled{
			Species: "NB", Sex: sex, Stage: "adult", Start: at, Marks: []record.Mark{{Kind: "transponder", Text: chip, Act: record.MarkPut}},
			Weighing: &record.Weighing{Net: &mass}, Measures: map[string]record.Reading{"pes": {Quantity: pes}, "tail": {Quantity: tail}},
		},
		Released: &record.Released{At: at, Fate: record.FateReleased},
	})
	d.restart()
}

// call says a phrase and gives the page it leads to.
func (d *desk) call(card, words string) pagetest.Node {
	d.t.Helper()
	return d.do(card+"/call", "words", words)
}

// steps are the steps of a card's draft as they lie on disk.
func (d *desk) steps(card string) []record.Step {
	d.t.Helper()
	all, err := d.drafts.All()
	d.must(err)
	id, err := uuid.Parse(strings.TrimPrefix(card, "/bench/"))
	d.must(err)
	var out []record.Step
	for _, raw := range all[id] {
		var several []record.Step
		if json.Unmarshal(raw, &several) != nil {
			var one record.Step
			d.must(json.Unmarshal(raw, &one))
			several = []record.Step{one}
		}
		out = append(out, several...)
	}
	return out
}

// gave are the steps of the last phrase, one a line, without its words.
func (d *desk) gave(card string) string {
	d.t.Helper()
	var out []string
	steps := d.steps(card)
	last := record.Phrases(steps)
	for _, s := range steps {
		if s.Field == record.Said || s.Phrase != len(last) {
			continue
		}
		if _, err := uuid.Parse(s.Typed); err == nil {
			s.Typed = "id"
		}
		line := s.Field + " = " + s.Typed
		if s.Doubt != nil {
			line += " (" + s.Doubt.Says + ")"
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}

// TestWhatIsSaidGoesToItsPlace: by phrase, the steps that it gives beside its own
// words. How handlers speak is common practice, no source.
func TestWhatIsSaidGoesToItsPlace(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ phrase, want string }{
		{"adult female", "stage = adult; sex = female"},
		{"retrap", "status = retrap"},
		{"weight nine sixty-five", "weighing/net = 965"},
		{"weight nine sixty-five all up", "weighing/gross = 965"},
		{"gross ten sixty-five, bag one hundred", "weighing/gross = 1065; weighing/bag = 100"},
		{"weight about nine fifty", "weighing/net = ~950"},
		{"pes sixty-four point eight", "measures/pes = 64.8"},
		{"left pes sixty-four point eight, no claw", "measures/pes = 64.8; measures/pes/side = left"},
		{"pes sixty-seven with claw", "measures/pes.with claw = 67"},
		{"pes sixty-four eight no claw, sixty-seven two with claw", "measures/pes = 64.8; measures/pes.with claw = 67.2"},
		{"tail one forty-one, one forty-two, one forty-one", "measures/tail = 141 142 141"},
		{"tail three hundred", "doubts/measures/tail = 300 (tail three-zero-zero: again?)"},
		{"no tail, it's docked", "measures/tail = nc damaged"},
		{"skip the ear", "measures/ear = nc"},
		{"no measurements, same session", "measures/testis = nc same session; measures/pes = nc same session; measures/tail = nc same session; measures/head = nc same session; measures/ear = nc same session"},
		{"T 141 P 64.8 HL 78.1 W 965", "measures/tail = 141; measures/pes = 64.8; measures/head = 78.1; weighing/net = 965"},
		{"male, testes scrotal, left testis twenty-two point one", "sex = male; signs/testes = scrotal; measures/testis.left = 22.1"},
		{"male; testis twenty-two", "sex = male; doubts/measures/testis = 22 (left or right?)"},
		{"chip " + mother, "marks/1/transponder/called = " + mother},
		{mother, "marks/1/transponder/called = " + mother},
		{"recap, ends four one one seven", "status = recapture; asked = 4117"},
		{"new chip 999000000009310, implanted, read twice", "marks/1/transponder/called = 999000000009310; marks/1/act = put; marks/1/how = read twice"},
		{"scanned all over, no chip", "scan = none found"},
		{"red tag twelve left ear", "marks/1/ear tag/called = red 12; marks/1/side = left"},
		{"tag twelve", "doubts/marks/1/ear tag/called = 12 (tag 12: which ear?)"},
		{"pouch empty, dry", "signs/pouch = empty dry"},
		{"didn't open the pouch", "signs/pouch = nc"},
		{"pouch by feel, two young", "signs/pouch/how = by feel; young/1 = id; young/2 = id; signs/pouch = occupied"},
		{"two young, attached, furless, crown rumps twenty-four, twenty-five", "young/1 = id; young/2 = id; signs/pouch = occupied; young/1/attached = yes; young/2/attached = yes; young/1/signs/fur = unfurred; young/2/signs/fur = unfurred; young/1/measures/crown-rump = 24; young/2/measures/crown-rump = 25"},
		{"one joey, on, female, crown rump thirty", "young/1 = id; signs/pouch = occupied; young/1/attached = yes; young/1/sex = female; young/1/measures/crown-rump = 30"},
		{"two young; two females", "young/1 = id; young/2 = id; signs/pouch = occupied; young/1/sex = female; young/2/sex = female"},
		{"young at foot with her", "young/1 = id; young/1/where = at foot"},
		{"teats enlarged", "signs/teats = enlarged"},
		{"eight teats, three in use", "signs/teats total = 8; signs/teats in use = 3"},
		{"one long teat, left front, milk", "signs/teats = elongated; signs/teats/how = 1 left anterior elongated milk; signs/lactating = yes"},
		{"no ticks", "findings/-/-/tick = none seen"},
		{"ticks not checked", "findings/-/-/tick = nc"},
		{"left ear two ticks, right ear nil", "findings/ear/left/tick = 2; findings/ear/right/tick = none seen"},
		{"three to five fleas on the belly", "findings/belly/-/flea = 3–5"},
		{"heaps of ticks round the eyes", "findings/eye/-/tick = many"},
		{"nine on the rump", "doubts/findings/rump/-/ = 9 (ticks, or what?)"},
		{"scab on the rump, old", "findings/rump/-/scab = old"},
		{"right eye cloudy", "findings/eye/right/cloudy = seen"},
		{"ear biopsy left, tube B012", "samples/1/ear biopsy = B012; samples/1/side = left"},
		{"ear biopsy taken", "doubts/samples/1/ear biopsy =  (ear biopsy: which label?)"},
		{"no biopsy, already had one", "heard/samples/1/kind = ear biopsy not checked already sampled"},
		{"condition good", "signs/condition = good"},
		{"condition three out of five", "signs/condition score = 3 of 5"},
		{"she's thrown the joey, put it straight back, taped the pouch", "incidents/1/young ejected = thrown the joey; young/1 = id; young/1/where = in pouch; released/pouch = pouch taped"},
		{"she bit me on the thumb, washed it", "incidents/1/person hurt = said at the bench; incidents/1/aid = washed it"},
		{"let her go at the trap, hopped off strongly", "released/fate = released; released/behaviour = hopped off, strongly"},
		{"released, into cover, with the joey on her back", "released/fate = released; released/behaviour = into cover; released/with_young = with the joey on her back"},
		{"dead in the trap", "status = dead; released/fate = died"},
		{"escaped from the bag", "released/fate = escaped"},
		{"out of the trap at 0545", "heard/time/out of trap = 05:45"},
		{"hold", "heard/control = hold"},
		{"scale not tared, weight ten sixty", "weighing/tared = no; doubts/weighing/net = 1060 (is one-zero-six-zero with the bag or without?)"},
		{"sixty-eight", "doubts/field =  (six-eight: which measurement?)"},
		{"pass me the water, mate", ""},
	} {
		t.Run(c.phrase, func(t *testing.T) {
			t.Parallel()
			d, card := speaking(t)
			d.send(card+"/call", "words", c.phrase)
			if got := strings.ReplaceAll(d.gave(card), "\n", "; "); !strings.HasPrefix(got+"; ", strings.TrimPrefix(c.want+"; ", "; ")) {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			if all := record.Phrases(d.steps(card)); len(all) != 1 || all[0].Typed != c.phrase {
				t.Errorf("its own words are kept as %+v", all)
			}
		})
	}
}

// TestWhatIsAskedIsAnswered: by phrases said one after another, what the last of
// them gives.
func TestWhatIsAskedIsAnswered(t *testing.T) {
	t.Parallel()
	chip := "chip " + mother
	for _, c := range []struct {
		phrases []string
		want    string // among the steps of the last phrase
		open    string // the field that stays under question
	}{
		{[]string{"tail three hundred", "one forty"}, "measures/tail = 140", ""},
		{[]string{"tail three hundred", "no, one forty"}, "measures/tail = 140", ""},
		{[]string{"tail three hundred", "yes"}, "measures/tail = 300", ""},
		{[]string{"tail three hundred", "three hundred"}, "measures/tail = 300", ""},
		{[]string{"tail three hundred", "leave it"}, "measures/tail = 300", ""},
		{[]string{"tail three hundred, leave it"}, "measures/tail = 300", ""},
		{[]string{"tail three hundred", "three ten"}, "doubts/measures/tail = 310 ()", "measures/tail"}, // not asked twice
		{[]string{"tail three hundred", "ear 31"}, "measures/ear = 31", "measures/tail"},
		{[]string{"tail one forty, or was it one fifty", "one fifty"}, "measures/tail = 150", ""},
		{[]string{"tail one forty, or was it one fifty", "yes"}, "", "measures/tail"},
		{[]string{"tail one forty, or was it one fifty", "leave it"}, "measures/tail = nc not clear: 140 or 150", ""},
		{[]string{"sixty-eight", "tail"}, "measures/tail = 68", ""},
		{[]string{"nine sixty-five, male", "net nine sixty-five"}, "weighing/net = 965", ""},
		{[]string{"scale not tared, weight ten sixty", "with the bag"}, "weighing/gross = 1060", ""},
		{[]string{"scale not tared, weight ten sixty", "without the bag"}, "weighing/net = 1060", ""},
		{[]string{"male; testis twenty-two", "left"}, "measures/testis.left = 22", ""},
		{[]string{"31", "testis", "three"}, "", "measures/testis"},
		{[]string{"tag twelve", "left"}, "marks/1/side = left", ""},
		{[]string{"nine on the rump", "ticks"}, "findings/rump/-/tick = 9", ""},
		{[]string{"ear biopsy taken", "tube B twelve"}, "samples/1/ear biopsy = B12", ""},
		{[]string{"ear biopsy taken", "B012"}, "samples/1/ear biopsy = B012", ""},
		{[]string{"ear biopsy B012", "hair, tube B012"}, "doubts/samples/2/hair = B012 (label B-zero-one-two is used already: read it again?)", "samples/2/hair"},
		{[]string{"ear biopsy B012", "hair, tube B012", "H012"}, "samples/2/hair = H012", ""},
		{[]string{"three young", "crown rump 24", "crown rump 250", "26"}, "young/2/measures/crown-rump = 26", ""},
		{[]string{"4117", "yes"}, "marks/1/transponder/tail 4117 = " + mother, ""},
		{[]string{chip, "pes 60"}, "doubts/measures/pes = 60 (pes six-zero; last time six-five; bone does not shrink. Again?)", ""}, // the flag in its row asks it
		{[]string{chip, "pes 60", "sixty-four nine"}, "measures/pes = 64.9", ""},
		{[]string{chip, "pes 60", "leave it"}, "= kept", ""},
		{[]string{chip, "pes 9.5", "60", "64.9"}, "measures/pes = 64.9", ""}, // asked once; the flag asks again
		{[]string{chip, "pes 60", "141"}, "measures/tail = 141", ""},         // no foot is as long: it is the tail
		{[]string{"tail 141", "no, scrap that"}, "measures/tail = ", ""},
		{[]string{"tail 141, ear 31", "go back, tail one forty-four"}, "measures/tail = 144", ""},
		{[]string{"head 78, tail 67", "swap those"}, "measures/head = 67", ""},
		{[]string{"three young, attached", "no, two young"}, "young/3 = ", ""},
		{[]string{"tail 141", "repeat the tail"}, "heard/back = tail 141", ""},
	} {
		t.Run(strings.Join(c.phrases, " | "), func(t *testing.T) {
			t.Parallel()
			d, card := speaking(t)
			for _, p := range c.phrases {
				d.call(card, p)
			}
			if got := d.gave(card); !strings.Contains(got+"\n", c.want) {
				t.Errorf("got\n%s\nwant %q in it", got, c.want)
			}
			page := d.see(card)
			if c.open == "" && page.Has("[data-doubt]") || c.open != "" && !page.Has(`[data-doubt="`+c.open+`"]`) {
				t.Errorf("under question %q; want %q", page.Text(), c.open)
			}
		})
	}
}
