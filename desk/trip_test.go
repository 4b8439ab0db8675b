package desk

import (
	"math"
	"slices"
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
)

func TestCorrectedTrapNights(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		row       EffortRow
		corrected float64
		success   float64 // negative: none can be told
		source    string
	}{
		{EffortRow{Set: 240, Known: true, Target: 17, Bycatch: 9, Sprung: 14}, 220, 7.73, "the trade's data dictionary, invented example: 240 − 20 = 220; 17/220 = 7.73"},
		{EffortRow{Set: 100, Known: true}, 100, 0, "by hand: nothing sprung"},
		{EffortRow{Set: 2, Known: true, Target: 2}, 1, 200, "by hand: both sprung, 2/1"},
		{EffortRow{Target: 3}, -1.5, -1, "by hand: effort not known"},
	} {
		if got := c.row.Corrected(); got != c.corrected {
			t.Errorf("%s: corrected %v, want %v", c.source, got, c.corrected)
		}
		got, ok := c.row.Success()
		if ok != (c.success >= 0) || ok && math.Abs(got-c.success) > 0.005 {
			t.Errorf("%s: success %v %v, want %v", c.source, got, ok, c.success)
		}
	}
}

func TestTripEffort(t *testing.T) {
	t.Parallel()
	s := newSeason()
	s.View(func(r *register.Register) {
		p, ok := TripSummary(r, "2026-05", s.now)
		if !ok || len(p.Effort) != 2 {
			t.Fatalf("trip: %v, %d rows of effort", ok, len(p.Effort))
		}
		want := EffortRow{Site: "K", Night: record.Night{Year: 2026, Month: 5, Day: 12}, Set: 8, Known: true, Target: 2, Bycatch: 1, Sprung: 1}
		if p.Effort[0] != want {
			t.Errorf("first night %+v, want %+v", p.Effort[0], want)
		}
		if p.Total.Set != 16 || p.Total.Target != 5 {
			t.Errorf("total %+v", p.Total)
		}
	})
}

// A count of traps that are not named is effort too; unknown is not none.
func TestEffortOfTrapsNotNamed(t *testing.T) {
	t.Parallel()
	s := newSeason()
	n := record.Night{Year: 2026, Month: 8, Day: 1}
	s.keep(s.now, "AB", record.Trip{Trip: "P1", First: n},
		record.Effort{Trip: "P1", Site: "S1", Night: n, Trapped: "yes", Traps: 49},
		record.Effort{Trip: "P1", Site: "S2", Night: n, Trapped: "unknown"},
		record.Effort{Trip: "P1", Site: "S3", Night: n, Trapped: "no"})
	s.View(func(r *register.Register) {
		p, _ := TripSummary(r, "P1", s.now)
		var got []string
		for _, e := range p.Effort {
			got = append(got, e.Site+" "+e.setWords()+" "+e.correctedWords())
		}
		if want := []string{"S1 49 ≤ 49", "S2 ? not known", "S3 0 0"}; !slices.Equal(got, want) {
			t.Errorf("got %q, want %q", got, want)
		}
		if p.Total.Known {
			t.Error("the total is known, although one site's effort is not")
		}
	})
}

func TestHandlingMinutesByNearestRank(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		list             []float64
		median, p95, max float64
	}{
		{nil, 0, 0, 0},
		{[]float64{7}, 7, 7, 7},
		{[]float64{4, 1, 3, 2}, 2, 4, 4},
		{[]float64{20, 19, 18, 17, 16, 15, 14, 13, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1}, 10, 19, 20},
	} { // by hand: the ⌈p·n⌉-th of the sorted list
		var f Welfare
		f.minutes(c.list)
		if f.Median != c.median || f.P95 != c.p95 || f.Longest != c.max || f.Handled != len(c.list) {
			t.Errorf("%v: median %v, 95 %% %v, longest %v of %d", c.list, f.Median, f.P95, f.Longest, f.Handled)
		}
	}
}

// What happened to a person is a count on the page and nothing else.
func TestPeopleAreCountedOnly(t *testing.T) {
	t.Parallel()
	b := open(t)
	line := b.s.lines["handled 7"]
	var correction record.Correction
	b.s.View(func(r *register.Register) {
		var err error
		if correction, err = r.Correct(line, "/handled/incidents", []record.Incident{
			{Kind: "person hurt", Says: "bitten on the left thumb"}, {Kind: "young ejected", Outcome: "returned"},
		}, "left out"); err != nil {
			t.Fatal(err)
		}
	})
	if _, err := b.s.Keep("AB", b.s.now, correction); err != nil {
		t.Fatal(err)
	}
	page := b.get("/trip/2026-05")
	if got := page.Text(); !strings.Contains(got, "People hurt: 1") || strings.Contains(got, "thumb") || !strings.Contains(got, "young ejected, returned") {
		t.Errorf("welfare: %s", page.One(".welfare").Text())
	}
}
