package desk

import (
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
)

func life(t *testing.T, s *season, id int) Life {
	t.Helper()
	var l Life
	var ok bool
	s.View(func(r *register.Register) { l, ok = LifePage(r, sid(id), s.now) })
	if !ok {
		t.Fatalf("no life of %d", id)
	}
	return l
}

// Any id leads to the one life: the animal's own, a capture's, a young's.
func TestLifeByAnyID(t *testing.T) {
	t.Parallel()
	s := newSeason()
	for _, id := range []int{herFirst, herSecond, herLast} {
		if l := life(t, s, id); l.ID != sid(herFirst) {
			t.Errorf("by %d: %v", id, l.ID)
		}
	}
	if l := life(t, s, 50); len(l.Mothers) != 1 || l.Mothers[0].Animal != sid(herFirst) || l.Mothers[0].Sure != "certain" {
		t.Errorf("the young's mother: %+v", l.Mothers)
	}
}

// A corrected value is drawn hollow beside the one that stands, and is not
// joined to it.
func TestStruckValuesAreHollow(t *testing.T) {
	t.Parallel()
	l := life(t, newSeason(), herFirst)
	var pes Series
	for _, one := range l.Series {
		if one.Key == "pes" {
			pes = one
		}
	}
	hollow := 0
	for _, p := range pes.Points {
		if p.Doubt != "" {
			hollow++
			if p.Value != 128.4 || !strings.HasPrefix(p.Doubt, "struck: ") {
				t.Errorf("hollow: %+v", p)
			}
		}
	}
	svg := seriesScene(l, pes, 500).SVG()
	if got := strings.Count(svg, `class="value hollow"`); got != hollow || hollow == 0 {
		t.Errorf("%d drawn hollow, of %d in doubt", got, hollow)
	}
	// 1.5 mm between visits is 1.96·√2·TEM, so one reading is off by 1.96·TEM = 1.5/√2 mm (record.md §4, by hand).
	if pes.Error < 1.06 || pes.Error > 1.07 {
		t.Errorf("error of one reading %v, want 1.06", pes.Error)
	}
}

func TestLifeLineDrawsWhatIsKnown(t *testing.T) {
	t.Parallel()
	l := life(t, newSeason(), herFirst)
	for _, width := range []float64{1040, 358} {
		svg := lifeLine(l, width).SVG()
		if got := strings.Count(svg, "<circle"); got != len(l.Captures) {
			t.Errorf("width %v: %d dots, want one for each of %d captures", width, got, len(l.Captures))
		}
		for _, says := range []string{"transponder, ear biopsy", "young 1: ", "young 2: ", "May 26", "wound"} {
			if !strings.Contains(svg, says) {
				t.Errorf("width %v: %q is not drawn", width, says)
			}
		}
	}
}

// The pouch is not opened unawares, also when she was last seen in a hurry.
func TestWarningsBeforeTheBagIsOpened(t *testing.T) {
	t.Parallel()
	var says []string
	for _, w := range life(t, newSeason(), herFirst).Warnings {
		says = append(says, w.Says)
	}
	all := strings.Join(says, "\n")
	for _, want := range []string{"She had 1 young (in pouch, attached) on 12 May 26, 2 days before today", "ear biopsy was taken on 7 Oct 25 (B001)", "look at the hip"} {
		if !strings.Contains(all, want) {
			t.Errorf("no warning %q in:\n%s", want, all)
		}
	}
}

func TestDeadAnimalIsSaidFirst(t *testing.T) {
	t.Parallel()
	s := newSeason()
	s.keep(s.now, "AB", record.Capture{Capture: sid(hisAnew), Released: &record.Released{Fate: record.FateDied, Why: "found cold"}})
	l := life(t, s, hisAnew)
	if len(l.Warnings) == 0 || !strings.HasPrefix(l.Warnings[0].Says, "Written dead on 12 May 26") {
		t.Errorf("warnings: %+v", l.Warnings)
	}
}

// Every capture of a flagged life has its flag on the page with the forms that
// settle it, and settling takes it off the list of what is open.
func TestFlagIsSettled(t *testing.T) {
	t.Parallel()
	b := open(t)
	path := "/capture/" + sid(hisAnew).String()
	page := b.get(path)
	flag := page.One(".flag.stop")
	form := flag.One("form")
	values := map[string][]string{"how": {"confirmed"}}
	for name, v := range form.Fields() {
		values[name] = []string{v}
	}
	page = b.post("/flag", values, 303)
	if page.Has(".flag form") || !strings.Contains(page.One(".flag").Text(), "settled, confirmed") {
		t.Errorf("after settling: %s", page.One(".flag").Text())
	}
	values["flag"] = []string{"0000000000000000"}
	b.post("/flag", values, 422)
}
