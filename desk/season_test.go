package desk

import (
	"bytes"
	"crypto/ed25519"
	_ "embed"
	"encoding/binary"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

//go:embed testdata/protocol.yaml
var seasonProtocol string

// season is a little invented season: two trips on two ridges, a female with
// a young, a male whose chip was lost, corrections by two people, a struck
// line, and what was left open on the last night.
type season struct {
	*programme.Programme
	now   time.Time
	n     int
	lines map[string]uuid.UUID // ids of lines by a name
}

var brisbane = func() *time.Location {
	zone, err := time.LoadLocation("Australia/Brisbane")
	if err != nil {
		panic(err)
	}
	return zone
}()

func sid(n int) uuid.UUID {
	var id uuid.UUID
	id[6], id[8] = 0x70, 0x80
	binary.BigEndian.PutUint32(id[12:], uint32(n))
	return id
}

// written at a time by somebody; the id of the line is its count.
func (s *season) keep(at time.Time, who string, bodies ...record.Body) uuid.UUID {
	if at.After(s.now) {
		s.now = at
	}
	var id uuid.UUID
	for _, b := range bodies {
		e, err := record.Entry(who, b)
		if err != nil {
			panic(err)
		}
		s.n++
		id = sid(100000 + s.n)
		e.ID = id
		if err := s.KeepBatch([]notebook.Entry{e}); err != nil {
			panic(err)
		}
	}
	return id
}

func evening(n record.Night, hour, minute int) time.Time {
	return time.Date(n.Year, time.Month(n.Month), n.Day, hour, minute, 0, 0, brisbane).UTC()
}

func dawn(n record.Night, hour, minute int) time.Time { return evening(n.Add(1), hour, minute) }

func q(s string) *record.Quantity {
	v, err := record.ParseQuantity(s)
	if err != nil {
		panic(err)
	}
	return &v
}

func mm(s string) record.Reading { return record.Reading{Quantity: *q(s)} }

const (
	chipOfHer, chipOfHim, chipAnew = "999000000000311", "999000000000188", "999000000000402"
)

// The captures of the season.
const (
	herFirst = iota + 1
	herSecond
	herLast
	hisFirst
	hisAnew
	rat
	juvenile
	left
)

func newSeason() *season {
	s := &season{now: time.Date(2025, 10, 1, 9, 0, 0, 0, brisbane), lines: map[string]uuid.UUID{}}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{1}, ed25519.SeedSize))
	n, err := notebook.Create(&notebook.Memory{}, sid(1), key, func() time.Time { return s.now })
	if err != nil {
		panic(err)
	}
	if s.Programme, err = programme.Open(n); err != nil {
		panic(err)
	}
	p, err := protocol.Parse("protocol.yaml", []byte(seasonProtocol))
	if err != nil {
		panic(err)
	}
	seeds, err := p.Seed()
	if err != nil {
		panic(err)
	}
	s.keep(s.now, "AB", record.Programme{Name: "North Ridge", Zone: "Australia/Brisbane"}, record.Device{Name: "blue tablet"},
		record.Protocol{Version: p.Version, Text: p.Text})
	s.keep(s.now, "AB", seeds...)
	s.october()
	s.may()
	return s
}

func kTraps() []string { return strings.Fields("K1 K2 K3 K4 K5 K6 K7 K8") }

func (s *season) october() {
	n := record.Night{Year: 2025, Month: 10, Day: 7}
	s.keep(evening(n, 12, 0), "AB", record.Trip{
		Trip: "2025-10", Name: "October 2025", Sites: []string{"K"}, First: n, Last: n.Add(1), Leader: "AB", Approvals: []string{"AE-00/000"},
	})
	round := s.night(n, "2025-10", 1)
	s.caught(n, "2025-10", round, 1, "K3", herFirst, record.Handled{
		Status: record.New, Species: "RW", Sex: record.Female, Stage: "adult",
		Marks:    []record.Mark{{Kind: "transponder", Text: chipOfHer, Act: record.MarkPut, How: "read twice"}},
		Weighing: &record.Weighing{Gross: q("3120"), Bag: q("100")},
		Measures: map[string]record.Reading{"head": mm("96.2"), "pes": mm("131.4"), "tail": mm("452")},
		Signs:    map[string]record.Sign{"pouch": {Value: "occupied"}},
		Young:    []record.Young{{Young: sid(50), Where: "in pouch", Attached: "yes", Measures: map[string]record.Reading{"head": mm("24.1")}, Signs: map[string]record.Sign{"fur": {Value: "unfurred"}}}},
		Samples:  []record.Sample{{Kind: "ear biopsy", Label: "B001", Side: "left", Part: "ear"}},
	}, 5, 40, 9)
	s.caught(n, "2025-10", round, 1, "K5", hisFirst, record.Handled{
		Status: record.New, Species: "RW", Sex: record.Male, Stage: "adult",
		Marks:    []record.Mark{{Kind: "transponder", Text: chipOfHim, Act: record.MarkPut}},
		Weighing: &record.Weighing{Gross: q("4310"), Bag: q("104")},
		Measures: map[string]record.Reading{"head": mm("104.0"), "pes": mm("138.2"), "tail": mm("490")},
		Samples:  []record.Sample{{Kind: "ear biopsy", Label: "B002", Side: "right", Part: "ear"}},
	}, 6, 5, 11)
	s.clear(n, "2025-10", round, "K3", "K5")
	s.keep(dawn(n, 8, 10), "MO", record.Closing{Trip: "2025-10", Site: "K", Night: n, Traps: kTraps(), At: dawn(n, 8, 5)})
}

func (s *season) may() {
	n := record.Night{Year: 2026, Month: 5, Day: 12}
	s.keep(evening(n, 12, 0), "AB", record.Trip{
		Trip: "2026-05", Name: "May 2026", Sites: []string{"K", "L"}, First: n, Last: n.Add(1), Leader: "AB", Approvals: []string{"AE-00/000"},
	})
	round := s.night(n, "2026-05", 2)
	s.caught(n, "2026-05", round, 2, "K4", herSecond, record.Handled{
		Status: record.Recapture, Species: "RW", Sex: record.Female, Stage: "adult",
		Marks:    []record.Mark{{Kind: "transponder", Text: chipOfHer}},
		Weighing: &record.Weighing{Gross: q("3290"), Bag: q("100")},
		Measures: map[string]record.Reading{"head": mm("96.5"), "pes": mm("128.4"), "tail": mm("455")},
		Signs:    map[string]record.Sign{"pouch": {Value: "occupied"}},
		Young:    []record.Young{{Young: sid(51), Where: "in pouch", Attached: "yes", Measures: map[string]record.Reading{"head": mm("18.0")}, Signs: map[string]record.Sign{"fur": {Value: "unfurred"}}}},
		Findings: []record.Finding{{Part: "hip", Side: "left", Sign: "wound", Grade: "healing"}, {Part: "ear", Sign: "tick", State: record.NoneSeen}},
		Notes:    "calm, hip closed well",
		Steps: []record.Step{
			{At: dawn(n, 5, 31), By: "MO", Field: "measures/pes", Typed: "pes one three eight four", Struck: true},
			{At: dawn(n, 5, 32), By: "MO", Field: "measures/pes", Typed: "no, one two eight four"},
		},
	}, 5, 30, 12)
	s.caught(n, "2026-05", round, 2, "K7", hisAnew, record.Handled{
		Status: record.New, Species: "RW", Sex: record.Male, Stage: "adult",
		Marks:    []record.Mark{{Kind: "transponder", Text: chipAnew, Act: record.MarkPut}},
		Weighing: &record.Weighing{Gross: q("4404"), Bag: q("104")},
		Measures: map[string]record.Reading{"head": mm("104.3"), "pes": mm("138.6"), "tail": mm("488")},
		Findings: []record.Finding{{Part: "ear", Side: "right", Sign: "wound", Grade: "old"}},
	}, 6, 2, 14)
	s.caught(n, "2026-05", round, 2, "K2", rat, record.Handled{Status: record.New, Species: "BR", Brief: true}, 6, 30, 1)
	s.clear(n, "2026-05", round, "K4", "K7", "K2")
	s.keep(dawn(n, 8, 0), "MO", record.Closing{Trip: "2026-05", Site: "K", Night: n, Traps: kTraps(), At: dawn(n, 8, 0)})
	s.lastNight(n.Add(1))
}

// lastNight leaves open what the evening is to find.
func (s *season) lastNight(n record.Night) {
	round := s.night(n, "2026-05", 3)
	s.caught(n, "2026-05", round, 3, "K4", herLast, record.Handled{
		Status: record.Retrap, Species: "RW", Sex: record.Female, Stage: "adult", Brief: true,
		Marks:    []record.Mark{{Kind: "transponder", Text: chipOfHer}},
		Weighing: &record.Weighing{Gross: q("3270"), Bag: q("100")},
	}, 5, 45, 3)
	s.caught(n, "2026-05", round, 3, "K1", juvenile, record.Handled{
		Status: record.New, Species: "RW", Sex: record.Female, Stage: "juvenile",
		Marks:    []record.Mark{{Kind: "ear tag", Text: "T017", Act: record.MarkPut, Side: "left"}},
		Weighing: &record.Weighing{Gross: q("1490"), Bag: q("100")},
		Measures: map[string]record.Reading{"head": mm("78.4"), "pes": mm("116.0")},
		Samples:  []record.Sample{{Kind: "ear biopsy", Label: "B003", Side: "left", Part: "ear"}},
		Notes:    "ticks not counted, too lively",
	}, 6, 20, 10)
	s.lines["left"] = s.keep(dawn(n, 6, 50), "MO", s.check(n, "2026-05", round, "K6", record.OutcomeCapture, left),
		record.Capture{Capture: sid(left), Bagged: &record.Bagged{At: dawn(n, 6, 52), Bag: "2", Species: "RW"}})
	for _, t := range []string{"K2", "K3", "K5"} {
		s.keep(dawn(n, 6, 55), "MO", s.check(n, "2026-05", round, t, record.OutcomeEmpty))
	}
	s.lines["wasp"] = s.keep(dawn(n, 6, 58), "MO", s.check(n, "2026-05", round, "K7", record.OutcomeSprung))
	s.keep(dawn(n, 7, 0), "MO", record.Strike{Line: s.lines["wasp"], Why: "wrong trap; K7 was empty"})
	s.keep(dawn(n, 7, 1), "MO", s.check(n, "2026-05", round, "K7", record.OutcomeEmpty))
	s.keep(dawn(n, 7, 5), "MO", record.Weather{Site: "K", Night: n, At: "first trap", TempC: q("4.5"), RainMM: q("0"), Source: "measured"})
	pes := record.Correction{Line: s.lines["handled 2"], Field: "/handled/measures/pes", Was: []byte(`{"typed":"128.4","milli":128400}`), Why: "sheet says 131.4"}
	pes.Value = []byte(`{"typed":"131.4","milli":131400}`)
	s.keep(dawn(n, 17, 30), "AB", pes)
	pes.Value, pes.Why = []byte(`{"typed":"131.9","milli":131900}`), "measured again on the photo"
	s.keep(dawn(n, 17, 40), "CK", pes)
	s.keep(dawn(n, 17, 50), "AB", record.FollowUp{FollowUp: sid(70), On: sid(herSecond).String(), What: "look at the hip", Who: "CK", Due: dawn(n, 18, 0)},
		record.Note{On: sid(herSecond).String(), Text: "hip photographed"})
	s.now = dawn(n, 18, 30)
}

// night sets the traps of K and opens its round.
func (s *season) night(n record.Night, trip string, number int) uuid.UUID {
	round := sid(60 + number)
	s.keep(evening(n, 17, 40), "CK", record.Setting{Trip: trip, Site: "K", Night: n, First: evening(n, 16, 50), Last: evening(n, 17, 35), Set: kTraps()})
	s.keep(dawn(n, 5, 10), "MO", record.Round{Round: round, Trip: trip, Site: "K", Night: n, Number: 1, Opened: dawn(n, 5, 10)})
	return round
}

func (s *season) check(n record.Night, trip string, round uuid.UUID, trap string, outcome record.Outcome, captures ...int) record.Check {
	c := record.Check{Round: round, Trip: trip, Site: "K", Night: n, Trap: trap, Outcome: outcome, At: s.now}
	for _, id := range captures {
		c.Captures = append(c.Captures, sid(id))
	}
	return c
}

// caught writes the lines of one capture: check, processing and release.
func (s *season) caught(n record.Night, trip string, round uuid.UUID, _ int, trap string, id int, h record.Handled, hour, minute, minutes int) {
	at := dawn(n, hour, minute)
	s.now = at
	s.keep(at, "MO", s.check(n, trip, round, trap, record.OutcomeCapture, id))
	h.Start, h.End, h.Handler, h.Scribe = at.Add(4*time.Minute), at.Add(time.Duration(4+minutes)*time.Minute), "CK", "MO"
	s.lines["handled "+string(rune('0'+id))] = s.keep(h.End, "MO", record.Capture{Capture: sid(id), Bagged: &record.Bagged{At: at.Add(2 * time.Minute), Bag: "1"}, Handled: &h})
	s.keep(h.End.Add(2*time.Minute), "MO", record.Capture{Capture: sid(id), Released: &record.Released{At: h.End.Add(2 * time.Minute), Fate: record.FateReleased, By: "CK"}})
}

// clear writes every trap that held nothing, and ends the round.
func (s *season) clear(n record.Night, trip string, round uuid.UUID, held ...string) {
	for i, t := range kTraps() {
		outcome := record.OutcomeEmpty
		if i == 7 {
			outcome = record.OutcomeSprung
		}
		if !strings.Contains(strings.Join(held, " ")+" ", t+" ") {
			s.keep(dawn(n, 7, i), "MO", s.check(n, trip, round, t, outcome))
		}
	}
	s.keep(dawn(n, 7, 30), "MO", record.RoundEnd{Round: round, At: dawn(n, 7, 30)})
}

// time is the clock of the season.
func (s *season) time() time.Time { return s.now }
