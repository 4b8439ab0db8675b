package answer_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"testing"
	"time"

	"dawnround/answer"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

func clock() time.Time { return time.Date(2026, 5, 13, 18, 0, 0, 0, time.UTC) }

// fold is the register of a notebook with these lines.
func fold(tb interface{ Fatal(...any) }, bodies ...record.Body) (out *register.Register) {
	n, err := notebook.Create(&notebook.Memory{}, id(9999), ed25519.NewKeyFromSeed(bytes.Repeat([]byte{1}, ed25519.SeedSize)), clock)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := programme.Open(n)
	if err != nil {
		tb.Fatal(err)
	}
	if _, err := p.Keep("AB", clock(), bodies...); err != nil {
		tb.Fatal(err)
	}
	p.View(func(r *register.Register) { out = r }) // nothing is written any more
	return out
}

func id(n int) (u uuid.UUID) {
	binary.BigEndian.PutUint32(u[:], uint32(n))
	return u
}

// night is the evening of a trip; trips are two weeks apart.
func night(trip int) record.Night { return record.Night{Year: 2026, Month: 1, Day: 1}.Add(14 * trip) }

// caught is a capture of species X on a trip at site A.
func caught(n, trip int, tag string) record.Capture {
	c := record.Capture{
		Capture: id(n), At: &record.Spot{Trip: strconv.Itoa(trip), Site: "A", Night: night(trip), Trap: "1"},
		Handled: &record.Handled{Species: "X"}, From: &record.Source{File: "t", Row: strconv.Itoa(n)},
	}
	if tag != "" {
		c.Handled.Marks = []record.Mark{{Kind: "tag", Text: tag}}
	}
	return c
}

func counted(trip int, trapped string, traps int) record.Effort {
	return record.Effort{Trip: strconv.Itoa(trip), Site: "A", Night: night(trip), Trapped: trapped, Traps: traps}
}

func asJSON(tb testing.TB, v any) string {
	tb.Helper()
	out, err := json.Marshal(v)
	if err != nil {
		tb.Fatal(err)
	}
	return string(out)
}

func TestKnownAliveByHand(t *testing.T) {
	t.Parallel()
	var bodies []record.Body
	for trip := 1; trip <= 7; trip++ {
		bodies = append(bodies, record.Trip{Trip: strconv.Itoa(trip)})
	}
	bodies[5] = record.Trip{Trip: "6", Outside: "a storm took the traps"}
	elsewhere := caught(20, 2, "T9")
	elsewhere.At.Site = "B"
	died := caught(6, 3, "T2")
	died.Released = &record.Released{Fate: record.FateDied}
	bodies = append(bodies,
		caught(1, 1, "T1"), caught(2, 1, "T1"), caught(3, 1, ""), // twice in one trip, and one without a mark
		counted(2, "yes", 10),    // nobody caught
		caught(5, 3, "T1"), died, // T2 dies in the hand: caught all the same
		record.Setting{Trip: "4", Site: "A", Night: night(4), Not: []record.NotSet{{Trap: "every trap", Why: "rain"}}},
		counted(5, "no", 0), // and nobody was there
		caught(8, 6, "T1"),  // outside
		caught(9, 7, "T3"), elsewhere,
		caught(30, 7, ""), caught(31, 3, ""), record.Same{Of: []uuid.UUID{id(30), id(31)}, Evidence: []string{"the same torn ear"}},
	)
	got := answer.KnownAlive(fold(t, bodies...), "A", "X")
	want := `[{"trip":"1","caught":1,"known_alive":1},{"trip":"2","caught":0,"known_alive":1},{"trip":"3","caught":3,"known_alive":3},` +
		`{"trip":"4","caught":0,"known_alive":1},{"trip":"7","caught":2,"known_alive":2}]`
	if s := asJSON(t, got.Trips); s != want {
		t.Errorf("known alive %s\nwant        %s", s, want)
	}
	if got.State == "" || len(got.Trips[0].Captures) != 2 {
		t.Errorf("state %q, captures behind trip 1 %v; want a state and the two", got.State, got.Trips[0].Captures)
	}
	left := map[string]int{}
	for _, l := range got.LeftOut {
		left[l.Why] = len(l.Captures)
	}
	if left["a storm took the traps"] != 1 || left["no mark was read, so the animal cannot be known again"] != 1 || len(left) != 2 {
		t.Errorf("left out %v", left)
	}
}

func TestKnownAliveIsItsDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		bodies := []record.Body{}
		for trip := range 6 {
			bodies = append(bodies, record.Trip{Trip: strconv.Itoa(trip)}, counted(trip, "yes", 4))
		}
		in := map[string]map[int]bool{}
		for n := range rapid.IntRange(0, 20).Draw(rt, "captures") {
			trip, tag := rapid.IntRange(0, 5).Draw(rt, "trip"), rapid.SampledFrom([]string{"T1", "T2", "T3"}).Draw(rt, "tag")
			bodies = append(bodies, caught(n+1, trip, tag))
			if in[tag] == nil {
				in[tag] = map[int]bool{}
			}
			in[tag][trip] = true
		}
		for trip, got := range answer.KnownAlive(fold(rt, bodies...), "A", "X").Trips {
			want := 0
			for _, trips := range in {
				before, after := false, false
				for other := range trips {
					before, after = before || other < trip, after || other > trip
				}
				if trips[trip] || before && after {
					want++
				}
			}
			if got.KnownAlive != want {
				rt.Fatalf("trip %d: %d known alive, want %d", trip, got.KnownAlive, want)
			}
		}
	})
}

func TestTripsFollowTheirNumbers(t *testing.T) {
	t.Parallel()
	slip := caught(1, 10, "T1")
	slip.At.Night = night(1) // a date that is wrong must not move trip 10 before trip 9
	got := answer.KnownAlive(fold(t, record.Trip{Trip: "9"}, record.Trip{Trip: "10"}, caught(2, 9, "T1"), slip), "A", "X").Trips
	if len(got) != 2 || got[0].Trip != "9" || got[1].Trip != "10" {
		t.Errorf("trips %+v, want 9 and then 10", got)
	}
}

// trapNight is a night of so many traps, the first of which held what is told.
func trapNight(traps int, outcomes map[record.Outcome]int, rounds ...int) []record.Body {
	setting := record.Setting{Trip: "1", Site: "A", Night: night(1)}
	for i := range traps {
		setting.Set = append(setting.Set, fmt.Sprintf("%03d", i))
	}
	bodies := []record.Body{record.Trip{Trip: "1"}, setting}
	for _, round := range rounds {
		i := 0
		for _, o := range []record.Outcome{record.OutcomeCapture, record.OutcomeSprung, record.OutcomeEscaped, record.OutcomeBaitTaken, record.OutcomeEmpty} {
			for range outcomes[o] {
				bodies = append(bodies, record.Check{Round: id(round), Trip: "1", Site: "A", Night: night(1), Trap: setting.Set[i], Outcome: o})
				i++
			}
		}
	}
	return bodies
}

func TestEffortOfTheWorkedExample(t *testing.T) {
	t.Parallel()
	// Invented example to Nelson and Clark 1973: 240 set; 17 target, 9 bycatch, 14
	// sprung and empty give 240 - 40/2 = 220; 17 a 220 is 7.73 per 100, 17 a 240 is
	// 7.08 (trade handbook of the project, section on place and effort).
	outcomes := map[record.Outcome]int{record.OutcomeCapture: 17 + 9, record.OutcomeSprung: 14, record.OutcomeEmpty: 199}
	unseen := answer.Effort(fold(t, trapNight(240, outcomes, 1)...), "A").Trips
	if most, ok := unseen[0].Corrected(); ok || most != 220 {
		t.Errorf("with a trap nobody looked into: corrected %v %v, want 220 as the most it can be", most, ok)
	}
	outcomes[record.OutcomeEmpty] = 200
	got := answer.Effort(fold(t, trapNight(240, outcomes, 1)...), "A").Trips
	if len(got) != 1 || got[0].TrapNights != 240 {
		t.Fatalf("effort %+v, want 240 trap nights", got)
	}
	corrected, ok := got[0].Corrected()
	if !ok || corrected != 220 {
		t.Errorf("corrected %v, want 220", corrected)
	}
	for nights, want := range map[float64]float64{corrected: 7.73, 240: 7.08} {
		if rate, ok := answer.Per100(17, nights); !ok || math.Abs(rate-want) > 0.005 {
			t.Errorf("17 in %v trap nights: %v per 100, want %v", nights, rate, want)
		}
	}
	if _, ok := answer.Per100(3, 0); ok {
		t.Error("a rate without effort")
	}
}

func TestATrapIsSprungOnceANight(t *testing.T) {
	t.Parallel()
	outcomes := map[record.Outcome]int{record.OutcomeCapture: 2, record.OutcomeEscaped: 1, record.OutcomeBaitTaken: 3}
	got := answer.Effort(fold(t, trapNight(10, outcomes, 1, 2)...), "A").Trips[0]
	if corrected, _ := got.Corrected(); got.Sprung != 3 || corrected != 8.5 {
		t.Errorf("%d sprung, %v corrected; want 3 and 8.5: bait taken leaves a trap open, and two rounds are one night", got.Sprung, corrected)
	}
}

func TestEffortFromCounts(t *testing.T) {
	t.Parallel()
	other := counted(1, "yes", 0)
	other.From, other.Doubt = &record.Source{File: "captures"}, "gates open"
	r := fold(t,
		record.Trip{Trip: "1"}, record.Trip{Trip: "2"}, record.Trip{Trip: "3"}, record.Trip{Trip: "4"}, record.Trip{Trip: "-5", Outside: "outside"},
		counted(1, "yes", 49), other, counted(2, "no", 0), counted(3, "yes", 0), caught(1, 4, "T1"), counted(-5, "yes", 7),
		record.Effort{Trip: "2", Site: "A", Trapped: "yes", Traps: 3}, // of a night nobody wrote
	)
	got := answer.Effort(r, "A")
	want := `[{"trip":"1","trap_nights":49},{"trip":"2","trap_nights":3},{"trip":"3","trap_nights":0}]`
	if s := asJSON(t, got.Trips); s != want {
		t.Errorf("effort %s\nwant   %s", s, want)
	}
	if _, ok := got.Trips[0].Corrected(); ok {
		t.Error("corrected, though nobody wrote what the traps held")
	}
	if got.Trips[2].Uncounted != 1 || len(got.Trips[0].Doubts) != 1 {
		t.Errorf("%+v; want trip 3 to say that nobody counted, and trip 1 its doubt", got.Trips)
	}
	if len(got.LeftOut) != 1 || got.LeftOut[0].Trips[0] != "-5" {
		t.Errorf("left out %+v, want the trip outside", got.LeftOut)
	}
	for i, want := range []string{"49 trap nights, from a count", "3 trap nights, from a count", "0 trap nights counted, and 1 nights on which nobody wrote how many traps were set"} {
		if s := got.Trips[i].Says(); s != want {
			t.Errorf("says %q, want %q", s, want)
		}
	}
}
