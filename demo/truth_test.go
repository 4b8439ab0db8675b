package demo_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"dawnround/check"
	"dawnround/demo"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Each story raises the flags it was made to raise, and no others, whatever
// the animals around it did.
func TestStoriesRaiseTheirFlagsAndNoOthers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		seed uint64
		last record.Night
	}{
		{1, last}, {2, last}, {3, record.Night{Year: 2027, Month: 1, Day: 1}},
		{4, record.Night{Year: 2028, Month: 2, Day: 29}}, {5, record.Night{Year: 2026, Month: 8, Day: 31}},
	} {
		p, truth := grow(t, c.seed, c.last)
		r := grown{p, truth}.register()
		raised, nights := flagsOfStories(r, truth, c.last)
		want := map[string][]string{}
		for _, s := range demo.Stories {
			for _, f := range s.Flags {
				want[s.ID] = append(want[s.ID], fmt.Sprintf("trip %d night %d: %s", f.Trip, f.Night, f.Rule))
			}
		}
		for _, s := range demo.Stories {
			slices.Sort(want[s.ID])
			slices.Sort(raised[s.ID])
			if !slices.Equal(raised[s.ID], want[s.ID]) {
				t.Errorf("seed %d to %s, %s (%s): raised %q, made for %q", c.seed, c.last, s.ID, s.Tells, raised[s.ID], want[s.ID])
			}
		}
		if len(nights) > 0 {
			t.Errorf("seed %d to %s: traps, rounds and releases raise %q", c.seed, c.last, nights)
		}
	}
}

// flagsOfStories gives the flags of each story, and those that are about no
// capture at all.
func flagsOfStories(r *register.Register, truth demo.Truth, last record.Night) (stories map[string][]string, others []string) {
	trips := map[string]int{}
	for i, t := range r.Trips() {
		trips[t.Trip.Trip] = i + 1
	}
	stories = map[string][]string{}
	for _, f := range check.Register(r, last.Noon(brisbane).Add(9*hour)) {
		c, ok := r.Capture(f.Subject)
		if !ok {
			others = append(others, f.Rule+": "+f.Says)
			continue
		}
		if a := whose(truth, f.Subject); a.Told != "" {
			trip, _ := r.Trip(c.At.Trip)
			night := c.At.Night.Days(trip.First) + 1
			stories[a.ID] = append(stories[a.ID], fmt.Sprintf("trip %d night %d: %s", trips[c.At.Trip], night, f.Rule))
		}
	}
	return stories, others
}

func whose(truth demo.Truth, capture uuid.UUID) demo.Animal {
	for _, a := range truth.Animals {
		for _, c := range a.Captures {
			if c.Capture == capture {
				return a
			}
		}
	}
	return demo.Animal{}
}

// An animal is one in the register unless it lost a mark or was misread, and
// no animal of the register is two.
func TestRegisterKnowsWhoIsWho(t *testing.T) {
	t.Parallel()
	g := seedOne()
	r := g.register()
	of := map[uuid.UUID]string{} // whose captures an animal of the register holds
	for _, a := range g.Animals {
		names := map[uuid.UUID]bool{}
		excuses := 0
		for _, m := range a.Marks {
			if m.Lost {
				excuses++
			}
		}
		for _, c := range a.Captures {
			if c.Misread != "" {
				excuses++
			}
			id, ok := r.AnimalOf(c.Capture)
			if !ok {
				t.Fatalf("capture %s of %s is not in the register", c.Capture, a.ID)
			}
			if was, ok := of[id]; ok && was != a.ID {
				t.Errorf("%s and %s are one in the register", was, a.ID)
			}
			of[id], names[id] = a.ID, true
		}
		if len(names) > 1+excuses {
			t.Errorf("%s is %d animals in the register; lost marks and misreadings explain %d", a.ID, len(names), 1+excuses)
		}
	}
	if len(of) < 150 {
		t.Errorf("%d animals were caught, expected some hundreds", len(of))
	}
}

// Every capture of the two species is in the truth once, at its place.
func TestTruthHoldsEveryCapture(t *testing.T) {
	t.Parallel()
	g := seedOne()
	r := g.register()
	inTruth := map[uuid.UUID]demo.Caught{}
	for _, a := range g.Animals {
		for _, c := range a.Captures {
			if _, twice := inTruth[c.Capture]; twice {
				t.Errorf("capture %s is two animals'", c.Capture)
			}
			inTruth[c.Capture] = c
		}
	}
	for _, c := range r.Captures() {
		if c.Species() != "RW" && c.Species() != "NB" {
			continue
		}
		said := inTruth[c.ID()]
		if said.Trap != c.At.Trap || said.Site != c.At.Site || said.Night != c.At.Night {
			t.Errorf("capture %s: %s on %s, in truth %+v", c.ID(), c.At.Trap, c.At.Night, said)
		}
		delete(inTruth, c.ID())
	}
	for id := range inTruth {
		t.Errorf("capture %s is in the truth and not in the register", id)
	}
}

// Nobody is caught before birth, after death, or beyond the lake but F.
func TestLivesHoldTheirCaptures(t *testing.T) {
	t.Parallel()
	for _, a := range seedOne().Animals {
		for _, c := range a.Captures {
			if c.Night.Before(a.Born) || !a.Died.IsZero() && a.Died.Before(c.Night) {
				t.Errorf("%s, %s to %s, was caught on %s", a.ID, a.Born, a.Died, c.Night)
			}
			if c.Site != a.Site && a.ID != "F" {
				t.Errorf("%s of %s was caught at %s", a.ID, a.Site, c.Site)
			}
		}
	}
}

// The readings are the true sizes and the errors that the truth tells of.
func TestReadingsErrAsTheTruthSays(t *testing.T) {
	t.Parallel()
	sizes := map[uuid.UUID]map[string]float64{}
	for seed := uint64(11); seed < 14; seed++ {
		p, truth := grow(t, seed, last)
		for _, a := range truth.Animals {
			for _, c := range a.Captures {
				sizes[c.Capture] = c.Sizes
			}
		}
		r := grown{p, truth}.register()
		off := map[string][]float64{}
		for _, c := range r.Captures() {
			really := sizes[c.ID()]
			if c.Handled == nil || really == nil {
				continue
			}
			for _, trait := range []string{"head", "pes"} {
				if m := c.Handled.Measures[trait]; m.Is() == record.Seen {
					off[trait+" by "+c.Handled.Handler] = append(off[trait+" by "+c.Handled.Handler], m.Value()-really[trait])
				}
			}
		}
		for who, want := range map[string]float64{"head by AB": 0, "head by CK": 0, "head by JT": 1.2, "pes by AB": 0, "pes by CK": 7.0 / 16, "pes by JT": 0} {
			mean, sd := spread(off[who])
			if se := sd / math.Sqrt(float64(len(off[who]))); math.Abs(mean-want) > 4*se+0.05 || len(off[who]) < 40 {
				t.Errorf("seed %d: %s is %.2f mm off on average of %d (s.e. %.2f), told %.2f", seed, who, mean, len(off[who]), se, want)
			}
		}
	}
}

func spread(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x))
	}
	return mean, math.Sqrt(sd)
}

// As many animals and captures as there would be: about 60 and 40 alive, 15 to
// 25 traps in a hundred catching, over the whole of several seeds.
func TestNumbersAreLikeRealLife(t *testing.T) {
	t.Parallel()
	var alive [2]float64
	var caught, set, trips float64
	for seed := uint64(21); seed < 25; seed++ {
		p, truth := grow(t, seed, last)
		for _, a := range truth.Alive {
			alive[strings.Index("RWNB", a.Species)/2] += float64(a.Animals)
		}
		trips += demo.Trips
		r := grown{p, truth}.register()
		for _, trip := range r.Trips() {
			for _, n := range trip.Nights {
				if n.Night == last {
					continue
				}
				night := r.NightAt(n.Site, n.Night)
				traps, _ := night.Set()
				set += float64(len(traps))
				caught += float64(len(r.CapturesOn(n.Site, n.Night)))
			}
		}
	}
	if rw, nb := alive[0]/trips, alive[1]/trips; rw < 52 || rw > 68 || nb < 34 || nb > 48 {
		t.Errorf("%.0f wallabies and %.0f bandicoots alive on average; about 60 and 40 are meant", rw, nb)
	}
	if share := caught / set; share < 0.15 || share > 0.25 {
		t.Errorf("%.0f of 100 traps catch; 15 to 25 are meant", 100*share)
	}
}
