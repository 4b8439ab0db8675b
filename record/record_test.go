package record_test

import (
	"errors"
	"reflect"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/record"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// bodies holds one body of every kind, as full as it gets.
func bodies() []record.Body {
	id := uuid.MustParse("01977000-0000-7000-8000-000000000001")
	at := time.Date(2026, 5, 13, 19, 40, 0, 0, time.UTC)
	night := record.Night{Year: 2026, Month: 5, Day: 13}
	mass, _ := record.ParseQuantity("965")
	two := 2
	capture := record.Capture{
		Capture: id,
		At:      &record.Spot{Trip: "2026-05", Site: "NR", Night: night, Round: id, Trap: "K14", Found: at},
		Bagged:  &record.Bagged{At: at, Bag: "7", Species: "NB"},
		Handled: &record.Handled{
			Start: at, End: at, Handler: "AB", Scribe: "CD", Status: record.Retrap, Species: "NB", Sex: record.Female, Stage: "adult",
			Marks:     []record.Mark{{Kind: "transponder", Text: "999000000000417", How: "scanned"}},
			Weighing:  &record.Weighing{Gross: &mass, Bag: &mass},
			Measures:  map[string]record.Reading{"pes": {Quantity: mass, Again: []record.Quantity{mass}}, "ear": {State: record.NotChecked, Why: "torn"}},
			Signs:     map[string]record.Sign{"pouch": {Value: "occupied", How: "seen"}},
			Young:     []record.Young{{Young: id, Where: "in pouch", Attached: "yes", Measures: map[string]record.Reading{"crown_rump": {Quantity: mass}}}},
			Findings:  []record.Finding{{Part: "ear", Side: "left", Sign: "tick", Count: &two}, {Part: "tail", Sign: "wound", State: record.NoneSeen}},
			Samples:   []record.Sample{{Kind: "ear biopsy", Label: "B001", At: at}},
			Incidents: []record.Incident{{Kind: "torpor", At: at, Aid: "warmed", Said: map[string]string{"came round": "later"}}},
			Steps:     []record.Step{{At: at, By: "CD", Field: "measures/pes", Typed: "57.7", Struck: true}},
			Flags:     []record.FlagAct{{Flag: "f", Rule: "bone does not shrink", Of: id, Act: record.FlagKept, At: at}},
		},
		Released: &record.Released{At: at, Fate: record.FateReleased, WithYoung: "pouch closed"},
		From:     &record.Source{File: "old", Row: "12"},
	}
	return []record.Body{
		record.Programme{Name: "n", Zone: "Australia/Brisbane"}, record.Device{Name: "camp laptop"}, record.ClockOffset{Seconds: -3600, Why: "w"},
		record.Protocol{Version: "v", Replaces: "u", Text: "t"}, record.Person{Initials: "AB"}, record.Site{Site: "NR", Name: "North Ridge"},
		record.Trap{Site: "NR", Trap: "K1", Type: "cage", Lat: -19.5, Lon: 146.2, Datum: "GDA2020", From: night},
		record.Trip{Trip: "2026-05", First: night, Last: night.Add(3)}, record.Labels{Series: "B001–B250"}, record.Tare{Bag: "7", Mass: mass, At: at},
		record.Setting{Trip: "2026-05", Site: "NR", Night: night, Set: []string{"K1"}, Not: []record.NotSet{{Trap: "K2", Why: "ants"}}},
		record.Round{Round: id, Night: night, Number: 1, Opened: at}, record.RoundEnd{Round: id, At: at}, record.Closing{Site: "NR", Night: night, Traps: []string{"K1"}},
		record.Check{Round: id, Night: night, Trap: "K1", Outcome: record.OutcomeCapture, Captures: []uuid.UUID{id}},
		record.Effort{Trip: "12", Site: "4", Night: night, Trapped: "yes", Traps: 49}, record.Weather{Site: "NR", Night: night, At: "first trap", TempC: &mass},
		capture, record.Note{On: id.String(), Text: "x"},
		record.Attachment{Blob: notebook.BlobOf([]byte("x"), "image/jpeg"), WidthPx: 4, HeightPx: 3, Of: id, Young: id, Part: "ear", Side: "left", Sample: "B001", Rack: "3", Caption: "c", By: "CD", Taken: at},
		record.Mother{Of: id, Mother: id, Sure: record.Likely, Evidence: "e"},
		record.Same{Of: []uuid.UUID{id, id}, Evidence: []string{"e"}}, record.Apart{These: []uuid.UUID{id}, From: id, Evidence: []string{"e"}},
		record.Correction{Line: id, Field: "/handled/sex", Value: []byte(`"male"`), Was: []byte(`"female"`), Why: "w"},
		record.Admitted{Device: notebook.DeviceID{1}, Name: "AB's phone", Role: record.Scribe, Site: "NR"}, record.ShutOut{Device: notebook.DeviceID{1}, Why: "lost"},
		record.Lock{Trip: "2026-05", Heads: notebook.Heads{{1}: {Seq: 3}}, State: "1f00-2a3b", Why: "report sent"},
		record.Fork{Branches: []record.Branch{{Lines: []string{"x"}, Head: notebook.SignedHead{Device: notebook.DeviceID{1}, Signature: []byte{2}}}}},
		record.Strike{Line: id, Why: "w"}, record.FlagAct{Flag: "f", Rule: "r", Of: id, Act: record.FlagSettled},
		record.FollowUp{FollowUp: id, On: id.String(), What: "look at dawn", Due: at}, record.Done{FollowUp: id, Result: "seen", At: at},
		record.Curve{Species: "RW", Trait: "pes", Sex: record.Female, Relation: []byte(`{"form":"linear"}`), Why: "w"},
	}
}

// TestReadingWhatWasWritten: every kind of body comes back as it was.
func TestReadingWhatWasWritten(t *testing.T) {
	t.Parallel()
	kinds := map[string]bool{}
	for _, b := range bodies() {
		kinds[b.Kind()] = true
		e, err := record.Entry("AB", b)
		if err != nil {
			t.Fatalf("%s: %v", b.Kind(), err)
		}
		got, err := record.Read(notebook.Line{Format: notebook.Format, Kind: e.Kind, Body: e.Body})
		if err != nil || !reflect.DeepEqual(got, b) {
			t.Errorf("%s: %v\n got %+v\nwant %+v", b.Kind(), err, got, b)
		}
	}
	if len(kinds) != 33 {
		t.Errorf("%d kinds are written here; a new kind belongs in bodies()", len(kinds))
	}
}

func TestUnknownKindsAndLaterFormatsAreNotRead(t *testing.T) {
	t.Parallel()
	for _, l := range []notebook.Line{
		{Format: notebook.Format, Kind: "hologram", Body: []byte(`{}`)},
		{Format: notebook.Format + 1, Kind: "site", Body: []byte(`{}`)},
	} {
		if _, err := record.Read(l); !errors.Is(err, record.ErrUnknownKind) {
			t.Errorf("%s in format %d: %v", l.Kind, l.Format, err)
		}
	}
	if _, err := record.Read(notebook.Line{Format: notebook.Format, Kind: "site", Body: []byte(`{"site":3}`)}); err == nil {
		t.Error("a body of another shape is read")
	}
}

func TestParseQuantity(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]int64{
		"61": 61000, "61.0": 61000, " 61.8 ": 61800, "0.125": 125, "-1.5": -1500, "1000000": 1_000_000_000, "007": 7000,
	} {
		q, err := record.ParseQuantity(typed)
		if err != nil || q.Milli != want {
			t.Errorf("%q: %d, %v; want %d thousandths", typed, q.Milli, err, want)
		}
	}
	for _, typed := range []string{"", ".", "5.", ".5", "-", "+5", "--5", "1e3", "61,8", "61.8.1", "61.1234", "1000001", "six", "6 1", "99999999999999999999"} {
		if q, err := record.ParseQuantity(typed); err == nil {
			t.Errorf("%q is read as %d thousandths", typed, q.Milli)
		}
	}
}

func TestNights(t *testing.T) {
	t.Parallel()
	for _, bad := range []string{"", "2026-5-13", "2026-02-30", "2026-13-01", "13-05-2026", "2026-05-131", "0000-01-01", "20x6-05-13"} {
		if n, err := record.ParseNight(bad); err == nil {
			t.Errorf("%q is read as %s", bad, n)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := record.Night{Year: 1900, Month: 1, Day: 1}.Add(rapid.IntRange(0, 80000).Draw(t, "days"))
		back, err := record.ParseNight(n.String())
		if err != nil || back != n {
			t.Fatalf("%s comes back as %s, %v", n, back, err)
		}
		days := rapid.IntRange(-4000, 4000).Draw(t, "more")
		if m := n.Add(days); m.Days(n) != days || (m.Compare(n) > 0) != (days > 0) {
			t.Fatalf("%s + %d days = %s, %d days apart", n, days, m, m.Days(n))
		}
	})
}

func TestNetMass(t *testing.T) {
	t.Parallel()
	q := func(s string) *record.Quantity { v, _ := record.ParseQuantity(s); return &v }
	for name, c := range map[string]struct {
		w    *record.Weighing
		want int64
		ok   bool
	}{
		"nothing":             {nil, 0, false},
		"gross alone":         {&record.Weighing{Gross: q("1065")}, 0, false},
		"gross less bag":      {&record.Weighing{Gross: q("1065"), Bag: q("100")}, 965_000, true},
		"the emptied bag":     {&record.Weighing{Gross: q("1065"), Bag: q("100"), BagAfter: q("112.5")}, 952_500, true},
		"tared: what it said": {&record.Weighing{Net: q("960"), Gross: q("1065"), Bag: q("100")}, 960_000, true},
	} {
		if got, ok := c.w.NetMilli(); got != c.want || ok != c.ok {
			t.Errorf("%s: %d %v, want %d %v", name, got, ok, c.want, c.ok)
		}
	}
}

func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{"61.8", "-0", "1e9", "٣"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := record.ParseQuantity(s)
		if err != nil {
			return
		}
		again, err := record.ParseQuantity(record.MilliQuantity(q.Milli).Typed)
		if err != nil || again.Milli != q.Milli {
			t.Fatalf("%q is %d thousandths, written again %+v, %v", s, q.Milli, again, err)
		}
	})
}

func FuzzParseNight(f *testing.F) {
	f.Add("2026-05-13")
	f.Fuzz(func(t *testing.T, s string) {
		if n, err := record.ParseNight(s); err == nil && n.String() != s {
			t.Fatalf("%q is read as %s", s, n)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, b := range bodies() {
		e, err := record.Entry("AB", b)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(e.Kind, e.Body)
	}
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		b, err := record.Read(notebook.Line{Format: notebook.Format, Kind: kind, Body: body})
		if err != nil {
			return
		}
		if _, err := record.Entry("AB", b); err != nil {
			t.Fatalf("%s %s is read and cannot be written: %v", kind, body, err)
		}
	})
}
