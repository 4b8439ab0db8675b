package growth_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"dawnround/growth"

	"pgregory.net/rapid"
)

func on(year int, month time.Month, day int) time.Time {
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// A bettong young of 60 days ± 7 on 14 May (invented): exit at 102–112 days is
// 18 June to 12 July, weaning at 166–185 days from 28 August ± 7 to 16
// September ± 7; pouch life of B. tropica, Johnson & Delean 2001.
func TestOutlook(t *testing.T) {
	t.Parallel()
	a := growth.Age{Days: 60, From: 53, To: 67, Spread: growth.BetweenAnimals, Relation: &growth.Relation{Trait: "crown-rump", Unit: "mm", Source: "invented"}}
	b := a.Birth(on(2026, 5, 14))
	if b.EDTF() != "[2026-03-08..2026-03-22]" || b.Interval() != "2026-03-08/2026-03-22" {
		t.Errorf("born %s, %s", b.EDTF(), b.Interval())
	}
	life, _ := growth.PouchLifeOf("Bettongia tropica")
	o := life.Outlook(b)
	if got := o.Exit.String(); got != "18 June to 12 July 2026" {
		t.Errorf("leaves the pouch %s", got)
	}
	if got := o.Weaned.String(); got != "21 August to 23 September 2026" {
		t.Errorf("weaned %s", got)
	}
	tests := []struct {
		first, last time.Time
		warn        bool
		says        string
	}{
		{on(2026, 6, 20), on(2026, 6, 24), true, "likely loose in the pouch on 20 June: keep it closed"},
		{on(2026, 6, 15), on(2026, 6, 19), true, "likely loose in the pouch on 18 June: keep it closed"},
		{on(2026, 7, 12), on(2026, 7, 15), true, "likely loose in the pouch on 12 July: keep it closed"},
		{on(2026, 5, 20), on(2026, 5, 24), false, "likely still in the pouch on 24 May: it leaves from 18 June 2026 on"},
		{on(2026, 7, 20), on(2026, 7, 24), false, "out of the pouch on 20 July and not yet weaned"},
		{on(2026, 9, 1), on(2026, 9, 5), false, "out of the pouch on 1 September, perhaps weaned"},
		{on(2026, 10, 10), on(2026, 10, 14), false, "weaned by 10 October: a mother without milk is normal"},
	}
	for _, test := range tests {
		n := o.On(test.first, test.last)
		if n.Warn != test.warn || !strings.HasPrefix(n.Says, test.says) {
			t.Errorf("%v: %+v, want %q", test.first, n, test.says)
		}
	}
	if n := (growth.PouchLife{}).Outlook(b).On(on(2026, 6, 20), time.Time{}); n.Warn || !strings.Contains(n.Says, "not known") {
		t.Errorf("no pouch life: %+v", n)
	}
}

// One figure without a range is taken ± the larger of 7 days and 15 %.
func TestPouchExitWithoutARange(t *testing.T) {
	t.Parallel()
	b := growth.Birth{Earliest: on(2026, 3, 15), Latest: on(2026, 3, 15)}
	o := growth.PouchLife{Exit: []float64{100}}.Outlook(b)
	if !o.Exit.From.Equal(on(2026, 3, 15).AddDate(0, 0, 85)) || !o.Exit.To.Equal(on(2026, 3, 15).AddDate(0, 0, 115)) {
		t.Errorf("exit %v", o.Exit)
	}
	if b.EDTF() != "2026-03-15" || b.Interval() != "2026-03-15" {
		t.Errorf("one day is written %s, %s", b.EDTF(), b.Interval())
	}
	open := growth.Age{Days: math.NaN(), From: 400, To: math.Inf(1), Spread: growth.BetweenAnimals, Relation: &growth.Relation{}}.Birth(on(2026, 3, 15))
	if open.EDTF() != "[..2025-02-08]" || open.Interval() != "../2025-02-08" {
		t.Errorf("no earliest day is written %s, %s", open.EDTF(), open.Interval())
	}
}

// The strings are those of the Extended Date/Time Format (Library of Congress
// 2019): a set of which one is meant at level 2, an interval at level 1.
func TestBirthWindowIsEDTF(t *testing.T) {
	t.Parallel()
	tests := []struct {
		birth              growth.Birth
		levelTwo, levelOne string
	}{
		{growth.Birth{Earliest: on(2026, 9, 10), Latest: on(2026, 9, 24)}, "[2026-09-10..2026-09-24]", "2026-09-10/2026-09-24"},
		{growth.Birth{Latest: on(1760, 12, 3)}, "[..1760-12-03]", "../1760-12-03"},
		{growth.Birth{Earliest: on(1985, 4, 12), Latest: on(1985, 4, 12)}, "1985-04-12", "1985-04-12"},
	}
	for _, test := range tests {
		if got := test.birth.EDTF(); got != test.levelTwo {
			t.Errorf("got %s, want %s", got, test.levelTwo)
		}
		if got := test.birth.Interval(); got != test.levelOne {
			t.Errorf("got %s, want %s", got, test.levelOne)
		}
	}
}

// An older animal was born no later, and the day it was born by its point lies
// in the window.
func TestBirthHoldsItsPoint(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		head := rapid.Float64Range(8, 78).Draw(t, "head")
		r := growth.Published()[0]
		a, err := r.Age(head, rapid.Float64Range(0, 2).Draw(t, "reading"))
		if err != nil {
			t.Fatal(err)
		}
		today := on(2026, 6, 1)
		b := a.Birth(today)
		born := today.AddDate(0, 0, -int(math.Round(a.Days)))
		if b.Earliest.After(born) || b.Latest.Before(born) || b.Latest.After(today) {
			t.Fatalf("head %v, %v days: born %s", head, a.Days, b.EDTF())
		}
	})
}
