package exchange_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/exchange"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// season is a small programme kept by hand: a trap check, a bag, a handling
// and a release, each a line.
func season(tb testing.TB) (*programme.Programme, uuid.UUID) {
	tb.Helper()
	p := newProgramme(tb, programmeID, 1)
	id := uuid.MustParse("01970000-0000-7000-8000-000000000001")
	night := record.Night{Year: 2026, Month: 5, Day: 13}
	found := time.Date(2026, 5, 13, 19, 40, 0, 0, time.UTC)
	gross, bag := record.MilliQuantity(100000), record.MilliQuantity(38200)
	bodies := []record.Body{
		record.Programme{Name: "North", Zone: "Australia/Hobart"},
		record.Trip{Trip: "T1"},
		record.Trap{Site: "A", Trap: "4", Lat: -42.123456, Lon: 147.654321, Datum: "WGS84", ErrM: 4},
		record.Round{Round: captureRound, Trip: "T1", Site: "A", Night: night, Number: 1},
		record.Setting{Trip: "T1", Site: "A", Night: night, Set: []string{"3", "4"}},
		record.Check{Round: captureRound, Trip: "T1", Site: "A", Night: night, Trap: "3", Outcome: record.OutcomeEmpty},
		record.Check{Round: captureRound, Trip: "T1", Site: "A", Night: night, Trap: "4", Outcome: record.OutcomeCapture, At: found, Captures: []uuid.UUID{id}},
		record.Capture{Capture: id, Handled: &record.Handled{
			Species: "BET", Sex: record.Female, Stage: "adult", Handler: "AB", Notes: "said \"calm\",\nthen left",
			Marks:    []record.Mark{{Kind: "chip", Text: "999000000000123", Act: record.MarkPut}, {Kind: "tag", Text: "B1"}, {Kind: "tag", Text: "B2"}},
			Weighing: &record.Weighing{Gross: &gross, Bag: &bag},
			Measures: map[string]record.Reading{"pes": {Quantity: record.MilliQuantity(94200)}, "tail": {State: record.NotChecked, Why: "restless"}},
			Signs:    map[string]record.Sign{"pouch": {Value: "empty"}},
			Unread:   map[string]string{"colour": "grey"},
		}},
		record.Capture{Capture: id, Released: &record.Released{Fate: record.FateReleased}},
	}
	if _, err := p.Keep("AB", clock(), bodies...); err != nil {
		tb.Fatal(err)
	}
	return p, id
}

var captureRound = uuid.MustParse("01970000-0000-7000-8000-0000000000aa")

func exported(tb testing.TB, p *programme.Programme, places exchange.Places) []byte {
	tb.Helper()
	var out bytes.Buffer
	p.View(func(r *register.Register) {
		if err := exchange.WriteCaptures(&out, r, places); err != nil {
			tb.Fatal(err)
		}
	})
	return out.Bytes()
}

func ownTable(tb testing.TB) *exchange.Mapping {
	tb.Helper()
	m, ok := exchange.Shipped("own")
	if !ok {
		tb.Fatal("no mapping of our own table")
	}
	return m
}

func TestOurOwnTableAddsNothing(t *testing.T) {
	t.Parallel()
	p, _ := season(t)
	before := lineCount(t, p)
	got := take(t, p, ownTable(t), exported(t, p, exchange.Places{}))
	if got.AlreadyThere != 1 || lineCount(t, p) != before {
		t.Errorf("%+v and %d lines more, want the row there already", got, lineCount(t, p)-before)
	}
}

func TestOurOwnTableTakesCorrections(t *testing.T) {
	t.Parallel()
	p, _ := season(t)
	table := strings.NewReplacer("female", "male", ",A,2026-05-13,4,", ",B,2026-05-13,4,", ",released,", ",died,").Replace(string(exported(t, p, exchange.Places{})))
	if got := take(t, p, ownTable(t), []byte(table)); got.Corrected != 1 {
		t.Fatalf("%+v, want one row corrected", got)
	}
	c := only(t, p)
	if c.Handled.Sex != record.Male || c.At.Site != "B" || c.Released.Fate != record.FateDied || c.At.Trap != "4" || c.Handled.Notes != "said \"calm\",\nthen left" {
		t.Errorf("place %+v, handled %+v, released %+v; want what changed and only that", c.At, c.Handled, c.Released)
	}
	if again := take(t, p, ownTable(t), []byte(table)); again.AlreadyThere != 1 {
		t.Errorf("again: %+v", again)
	}
}

func TestOurOwnTableGoesIntoAnotherNotebook(t *testing.T) {
	t.Parallel()
	p, id := season(t)
	q := newProgramme(t, programmeID, 2)
	table := exported(t, p, exchange.Places{})
	if got := take(t, q, ownTable(t), table); got.Entered != 1 {
		t.Fatalf("%+v, want the row entered", got)
	}
	if only(t, q).ID() != id {
		t.Errorf("capture %s, want its own id %s", only(t, q).ID(), id)
	}
	want, got := rowsOf(t, table)[0], rowsOf(t, exported(t, q, exchange.Places{}))[0]
	for column, v := range want {
		away := []string{"latitude", "longitude", "datum", "place within m"} // traps travel as lines
		if got[column] != v && !slices.Contains(away, column) {
			t.Errorf("%s: %q came back as %q", column, v, got[column])
		}
	}
}

func TestTheWholeTableComesBack(t *testing.T) {
	t.Parallel()
	all := publishedTables(t)
	p := all.p
	table := exported(t, p, exchange.Places{})
	before := lineCount(t, p)
	got := take(t, p, ownTable(t), table)
	if got.AlreadyThere != got.Rows || got.Rows == 0 || lineCount(t, p) != before {
		t.Errorf("%d of %d rows there already after %d rows imported, %v, and %d lines more; want every row there", got.AlreadyThere, got.Rows, all.captures.Rows, got.Reasons, lineCount(t, p)-before)
	}
}

func TestPlacesLeaveCoarse(t *testing.T) {
	t.Parallel()
	p, _ := season(t)
	coarse, exact := rowsOf(t, exported(t, p, exchange.Places{}))[0], rowsOf(t, exported(t, p, exchange.Places{Exact: true}))[0]
	if coarse["latitude"] != "-42.12" || coarse["longitude"] != "147.65" {
		t.Errorf("place %s %s, want it to two decimals", coarse["latitude"], coarse["longitude"])
	}
	if exact["latitude"] != "-42.123456" || exact["place within m"] != "4" {
		t.Errorf("exact place %s within %s m", exact["latitude"], exact["place within m"])
	}
	if !strings.Contains(exchange.Places{}.Says(), "rounded to 2 decimals") || !strings.Contains(exchange.Places{Exact: true}.Says(), "exact") {
		t.Error("a table does not say how exact its places are")
	}
}

func TestOtherTablesAndTheirDictionaries(t *testing.T) {
	t.Parallel()
	p, id := season(t)
	p.View(func(r *register.Register) {
		var animals, checks bytes.Buffer
		if err := exchange.WriteAnimals(&animals, r); err != nil {
			t.Fatal(err)
		}
		if err := exchange.WriteChecks(&checks, r, exchange.Places{}); err != nil {
			t.Fatal(err)
		}
		if a := rowsOf(t, animals.Bytes()); len(a) != 1 || a[0]["marks"] != "chip 999000000000123; tag B1; tag B2" || a[0]["captures"] != "1" || a[0]["first night"] != "2026-05-13" {
			t.Errorf("animals %v", a)
		}
		c := rowsOf(t, checks.Bytes())
		if len(c) != 2 || c[1]["outcome"] != "capture" || c[1]["captures"] != id.String() || c[1]["round"] != "1" || c[1]["latitude"] != "-42.12" {
			t.Errorf("checks %v", c)
		}
		tables := map[string][]byte{"captures": exported(t, p, exchange.Places{}), "animals": animals.Bytes(), "checks": checks.Bytes()}
		for name, table := range tables {
			var words bytes.Buffer
			if err := exchange.WriteDictionary(&words, name, r, exchange.Places{}); err != nil {
				t.Fatal(err)
			}
			said := map[string]string{}
			for _, row := range rowsOf(t, words.Bytes()) {
				said[row["column"]] = row["meaning"] + row["words"]
			}
			for column := range rowsOf(t, table)[0] {
				if said[column] == "" {
					t.Errorf("%s: the dictionary says nothing of %q", name, column)
				}
			}
		}
		if err := exchange.WriteDictionary(&bytes.Buffer{}, "birds", r, exchange.Places{}); err == nil {
			t.Error("a dictionary of a table there is not")
		}
	})
}
