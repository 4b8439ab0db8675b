package desk

import (
	"bytes"
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
)

// What leaves the programme names no trap: neither picture nor sheet, nor the
// sentence.
func TestSharedLifeNamesNoTrap(t *testing.T) {
	t.Parallel()
	l := life(t, newSeason(), herFirst)
	if !strings.Contains(l.Sentence, "at K4") {
		t.Fatalf("the page inside the programme names the trap: %s", l.Sentence)
	}
	shared := l.Shared()
	sheet := shared.Sheet()
	all := shared.Sentence + shared.Picture().SVG() + sheet.Lede
	for _, table := range sheet.Tables {
		for _, row := range table.Rows {
			all += strings.Join(row, " ")
		}
	}
	for _, trap := range []string{"K3", "K4"} {
		if strings.Contains(all, trap) {
			t.Errorf("%s is named", trap)
		}
	}
	if !strings.Contains(shared.Picture().SVG(), "generalised") || !strings.Contains(sheet.Foot, "generalised") {
		t.Error("it does not say that places are generalised")
	}
	if again := life(t, newSeason(), herFirst); l.Sentence != again.Sentence || l.Captures[0].Place != again.Captures[0].Place {
		t.Error("sharing changed the page inside the programme")
	}
}

// A long life says on its sheet how many captures it folds, and none is lost:
// drawn and folded are all.
func TestLongLifeIsFolded(t *testing.T) {
	t.Parallel()
	l := life(t, newSeason(), herFirst)
	one := l.Captures[0]
	for range 40 {
		l.Captures = append(l.Captures, one)
	}
	table := l.capturesOnPaper()
	if len(table.Rows)+l.folded() != len(l.Captures) || !strings.Contains(table.Title, "29 earlier ones are folded") {
		t.Errorf("%d rows, %q, of %d captures", len(table.Rows), table.Title, len(l.Captures))
	}
	var b bytes.Buffer
	if _, err := l.Sheet().WriteTo(&b); err != nil || !bytes.Contains(b.Bytes(), []byte("/Count 1\n")) {
		t.Errorf("not one page, %v", err)
	}
}

// An adopted curve is laid over the bone it is of, from each value that stands
// to the next: 100 mm half a year later, at 1.5 a year towards 140 mm.
func TestAdoptedCurveIsDrawn(t *testing.T) {
	t.Parallel()
	s := newSeason()
	s.keep(s.now, "AB", record.Curve{Species: "RW", Trait: "pes", Relation: []byte(`{"species":"RW","trait":"pes","unit":"mm","form":"gain to an asymptote","fitted":"gain on size",
		"parameters":[{"name":"A","value":140,"unit":"mm"},{"name":"k","value":1.5,"unit":"1/a"}],"sizes":[60,150],"residual_sd":0.8,"animals":40,"source":"invented"}`)})
	l := life(t, s, herFirst)
	for _, one := range l.Series {
		drawn := strings.Contains(seriesScene(l, one, 500).SVG(), `class="expects"`)
		if drawn != (one.Key == "pes") || drawn != (one.ExpectedBy == "invented") {
			t.Errorf("%s: expected drawn %v, by %q", one.Key, drawn, one.ExpectedBy)
		}
		for _, e := range one.Expected {
			if e.Mean < e.From || e.Mean > e.To || e.Mean > 140 {
				t.Errorf("%s: %+v", one.Key, e)
			}
		}
	}
}

// The birth window of a young seen in a pouch that was empty before lies between
// the two looks, and begins the line.
func TestBirthWindowFromHerLooks(t *testing.T) {
	t.Parallel()
	s := newSeason()
	var young Life
	s.View(func(r *register.Register) {
		a, _ := r.Animal(sid(herFirst))
		young, _ = LifePage(r, a.Young[len(a.Young)-1], s.now)
	})
	if young.Born == nil {
		t.Fatal("no birth window")
	}
	if young.Born.Latest.Before(young.Born.Earliest) || !strings.Contains(lifeLine(young, 1040).SVG(), `class="born"`) {
		t.Errorf("born %+v", young.Born)
	}
}
