package desk

import (
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
)

// imported adds a trip as a table leaves it: counts of traps, and captures
// that only say where and what.
func imported(s *season) record.Night {
	n := record.Night{Year: 1979, Month: 7, Day: 2}
	s.keep(s.now, "AB",
		record.Trip{Trip: "100", Sites: []string{"6", "12", "24", "8"}},
		record.Effort{Trip: "100", Site: "12", Night: n, Trapped: "yes", Traps: 49, From: &record.Source{File: "effort"}},
		record.Effort{Trip: "100", Site: "6", Night: n.Add(1), Trapped: "yes", Traps: 49},
	)
	for i, c := range []struct {
		species string
		night   record.Night
		status  record.Status
		sex     record.Sex
		stage   string
		chip    string
	}{
		{"RW", n, record.New, record.Female, "adult", "999000000000777"},
		{"RW", n.Add(1), record.Retrap, "", "", "999000000000777"},
		{"BR", n, "", "", "", ""},
		{"BR", n.Add(1), "", "", "", ""},
	} {
		h := &record.Handled{Species: c.species, Status: c.status, Sex: c.sex, Stage: c.stage}
		if c.chip != "" {
			h.Marks = []record.Mark{{Kind: "transponder", Text: c.chip}}
		}
		s.keep(s.now, "AB", record.Capture{Capture: sid(700 + i), At: &record.Spot{Trip: "100", Site: "12", Night: c.night},
			Handled: h, Released: &record.Released{Fate: record.FateReleased}})
	}
	return n
}

func TestTripAgreesWithItself(t *testing.T) {
	t.Parallel()
	s := newSeason()
	imported(s)
	s.View(func(r *register.Register) {
		p, _ := TripSummary(r, "100", s.now)
		if got := p.Welfare.nightsWords(); got != "1 animal on 2 nights" {
			t.Errorf("nights per animal: %q", got)
		}
		if got := strings.Join(p.Welfare.says(), "; "); !strings.Contains(got, "Other species: 2 captures") {
			t.Errorf("bycatch is not said apart: %q", got)
		}
		if !strings.Contains(p.Sentence, "handled 1 animal 2 times") {
			t.Errorf("the sentence: %q", p.Sentence)
		}
		row := TripsPage(r, s.now).Trips[2]
		if row.Trip != "100" || row.Captures != 2 || row.Animals != 1 || row.Others != 2 {
			t.Errorf("the list says %+v", row)
		}
		for _, c := range p.Caught {
			if c.Status == "retrap" && (c.Sex != "female" || c.Stage != "adult") {
				t.Errorf("a retrap stands without the sex and stage of its life: %+v", c)
			}
		}
		if p.Nights != "2 Jul 79 – 3 Jul 79" || strings.Join(p.Sites, " ") != "6 8 12 24" {
			t.Errorf("header %q, sites %q", p.Nights, p.Sites)
		}
		if got := p.Quality.says(); !strings.Contains(got, "4 captures (2 of other species)") {
			t.Errorf("quality: %q", got)
		}
	})
}

// Two tables that count one night differ: the larger count stands, as in every
// answer.
func TestEffortIsWhatAnswersCount(t *testing.T) {
	t.Parallel()
	s := newSeason()
	n := imported(s)
	k := record.Night{Year: 2026, Month: 5, Day: 12}
	s.keep(s.now, "AB", record.Effort{Trip: "100", Site: "12", Night: n, Trapped: "yes", Traps: 30, From: &record.Source{File: "captures"}},
		record.Effort{Trip: "100", Site: "8", Trapped: "yes", Traps: 5}, // of a night nobody wrote
		record.Effort{Trip: "2026-05", Site: "K", Night: k, Trapped: "yes", Traps: 20})
	s.View(func(r *register.Register) {
		p, _ := TripSummary(r, "100", s.now)
		sets := map[string]int{}
		for _, e := range p.Effort {
			sets[e.Site+" "+e.nightWords()] = e.Set
		}
		if sets["12 2 Jul 79"] != 49 || sets["8 "] != 5 {
			t.Errorf("set %v; want 49, the larger of 49 and 30, and 5 of a night nobody wrote", sets)
		}
		p, _ = TripSummary(r, "2026-05", s.now)
		if p.Effort[0].Set != 8 {
			t.Errorf("%d traps; want the 8 that were named, to which a count adds nothing", p.Effort[0].Set)
		}
	})
}

func TestEveningOfTrapsNotNamed(t *testing.T) {
	t.Parallel()
	s := newSeason()
	n := imported(s)
	s.View(func(r *register.Register) {
		e := EveningPage(r, n, 0, s.now)
		if a := e.Accounts[0]; a.Left != "49 traps counted" || a.Right != "none named" || !a.Untold {
			t.Errorf("traps: %+v", a)
		}
		e = EveningPage(r, record.Night{Year: 1979, Month: 7, Day: 3}, 0, s.now)
		if a := e.Accounts[0]; a.Left != "49 traps counted" {
			t.Errorf("the night after: %+v", a)
		}
	})
}

func TestEveningOfAnOldNightEnds(t *testing.T) {
	t.Parallel()
	s := newSeason()
	s.keep(s.now.AddDate(0, 3, 0), "AB", record.Person{Initials: "ZZ", Name: "somebody new"})
	s.View(func(r *register.Register) {
		for _, line := range EveningPage(r, record.Night{}, 0, s.now).Page {
			if strings.Contains(line.Says, "ZZ") {
				t.Errorf("three months later, on the day's page: %q", line.Says)
			}
		}
	})
}

func TestNightNobodyKnowsIsSaid(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, c := range []struct{ night, says string }{
		{"1979-07-14", "No line tells of this night. The first known is 7 Oct 25."},
		{"2026-01-01", "No line tells of this night. The nearest known are 7 Oct 25 and 12 May 26."},
		{"2031-01-01", "No line tells of this night. The last known is 13 May 26."},
	} {
		p := b.get("/evening?night=" + c.night)
		if got := p.One("main").Text(); !strings.Contains(got, c.says) || strings.Contains(got, "Nothing is open") {
			t.Errorf("%s: %q", c.night, got)
		}
		b.s.View(func(r *register.Register) {
			n, _ := record.ParseNight(c.night)
			var out strings.Builder
			EveningPage(r, n, 0, b.s.now).Text(&out)
			if first, _, _ := strings.Cut(out.String(), "\n"); strings.HasSuffix(first, ", ") || !strings.Contains(out.String(), c.says) {
				t.Errorf("%s printed: %q", c.night, out.String())
			}
		})
	}
}

func TestAPassedLimitIsNotImpossible(t *testing.T) {
	t.Parallel()
	b := open(t)
	got := b.get("/trip/2026-05").Text()
	if !strings.Contains(got, "Over the limit. 16 minutes in the hand") || strings.Contains(got, "Cannot be. 16 minutes") {
		t.Errorf("the trip says %q", got)
	}
	e := b.get("/evening?night=2026-05-12")
	for _, li := range e.All(".open li") {
		if strings.Contains(li.Text(), "16 minutes") && li.Attr("data-kind") != "over the limit" {
			t.Errorf("the evening files it under %q", li.Attr("data-kind"))
		}
	}
}
