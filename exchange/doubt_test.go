package exchange_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"slices"
	"strings"
	"testing"

	"dawnround/exchange"
	"dawnround/record"

	"github.com/google/uuid"
)

// betProtocol knows one species and, as a seed, one site.
const betProtocol = `name: invented
zone: Australia/Hobart
species: [{code: BET, name: bettong}]
marks: [{id: chip, name: transponder, form: transponder}]
seeds: {sites: [{site: A, name: a place}]}
`

func TestUnknownSpeciesAndSitesAreDoubted(t *testing.T) {
	t.Parallel()
	bySpecies := strings.Replace(invented, "  id: nothing\n", "  id: nothing\n  colour: species\n", 1)
	bySpecies = strings.Replace(bySpecies, "fixed:\n  species: BET\n", "", 1)
	known := newProgramme(t, programmeID, 1)
	if _, err := known.Keep("AB", clock(), record.Protocol{Version: "1", Text: betProtocol}, record.Site{Site: "B"}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, row, want string }{
		{"both known", "1,13/05/2026,T1,A,4,F,0.06,9.4,,,BET", ""},
		{"a site kept as a line", "2,13/05/2026,T1,B,4,F,0.06,9.4,,,BET", ""},
		{"no sheet", "3,13/05/2026,T1,A,4,F,0.06,9.4,,,QQ", "species without a sheet"},
		{"a small letter", "4,13/05/2026,T1,A,4,F,0.06,9.4,,,bet", "species without a sheet"},
		{"a site nobody knows", "5,13/05/2026,T1,99,4,F,0.06,9.4,,,BET", "site not known"},
		{"a site nobody knows, and nothing caught", "6,13/05/2026,T1,99,4,,,,,empty,", "site not known"},
		{"no species said", "7,13/05/2026,T1,A,4,F,0.06,9.4,,,", ""},
	} {
		got := take(t, known, parse(t, bySpecies), []byte(inventedHeader+c.row+"\n"))
		if c.want == "" && (got.Entered != 1 || len(got.Reasons) > 0) || c.want != "" && (got.Flagged != 1 || got.Reasons[c.want] != 1) {
			t.Errorf("%s: %+v, want the reason %q", c.name, got, c.want)
		}
	}
	silent := newProgramme(t, programmeID, 2)
	if got := take(t, silent, parse(t, bySpecies), []byte(inventedHeader+"1,13/05/2026,T1,99,4,F,0.06,9.4,,,QQ\n")); got.Entered != 1 {
		t.Errorf("%+v; without a protocol or a site there is nothing to hold a row against", got)
	}
}

// TestAnUntouchedAsideFileChangesNothing: a row set aside for its key stays
// aside while it keeps that key, and comes in once it has another.
func TestAnUntouchedAsideFileChangesNothing(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	got := takeRows(t, p, "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,", "1,13/05/2026,T1,A,2,M,0.07,9.4,0,,")
	for range 2 {
		var file bytes.Buffer
		if err := exchange.WriteAside(&file, got); err != nil {
			t.Fatal(err)
		}
		before := lineCount(t, p)
		got = take(t, p, parse(t, invented), file.Bytes())
		if got.SetAside != 1 || got.Reasons["id: stands twice"] != 1 || lineCount(t, p) != before || only(t, p).Handled.Sex != record.Female {
			t.Fatalf("unedited: %+v and %d lines more, sex %s; want it set aside again", got, lineCount(t, p)-before, only(t, p).Handled.Sex)
		}
	}
	var file bytes.Buffer
	if err := exchange.WriteAside(&file, got); err != nil {
		t.Fatal(err)
	}
	if got := take(t, p, parse(t, invented), []byte(strings.Replace(file.String(), "\n1,13", "\n2,13", 1))); got.Entered != 1 || got.Corrected != 0 {
		t.Errorf("under another key: %+v, want it entered", got)
	}
	p = newProgramme(t, programmeID, 1)
	takeRows(t, p, "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,")
	said := strings.ReplaceAll(file.String(), `""1""`, `""11""`) // of another row's key
	if got := take(t, p, parse(t, invented), []byte(said)); got.Corrected != 1 {
		t.Errorf("set aside for another key: %+v, want it read", got)
	}
}

// TestOneTableIsFlaggedAlikeEverywhere: what is flagged does not rest on the
// programme's random id.
func TestOneTableIsFlaggedAlikeEverywhere(t *testing.T) {
	t.Parallel()
	m := parse(t, strings.Replace(invented, "codes: {empty:", "codes: {dead: {fate: died}, empty:", 1))
	for n := range uint32(12) {
		var id uuid.UUID
		binary.BigEndian.PutUint32(id[:], (n+1)*2654435761)
		p := newProgramme(t, id, 1)
		got := take(t, p, m, []byte(inventedHeader+"9,13/05/2026,T1,A,1,F,0.06,9.4,999000000000123,dead,\n10,13/05/2026,T1,A,1,F,0.06,9.4,999000000000123,,\n"))
		if got.Reasons["alive after death"] != 0 || got.Reasons["twice in one night"] != 1 {
			t.Errorf("programme %s: reasons %v, want the death last on its night", id, got.Reasons)
		}
	}
}

// TestTheCellIsKeptWhereAUnitMoves: 61.8 g is in the record, and what stood in
// the table beside it.
func TestTheCellIsKeptWhereAUnitMoves(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	takeRows(t, p, "7,13/05/2026,T1,A,4,F,0.0618,+9.42,,,")
	h := only(t, p).Handled
	if h.Weighing.Net.Typed != "61.8" || h.Unread["mass"] != "0.0618" || h.Unread["foot"] != "+9.42" {
		t.Errorf("mass %q, kept %v; want 61.8, and 0.0618 and +9.42 as they stood", h.Weighing.Net.Typed, h.Unread)
	}
	q := newProgramme(t, programmeID, 2)
	take(t, q, parse(t, strings.NewReplacer("unit: kg", "unit: g", "unit: cm", "unit: mm").Replace(invented)), []byte(inventedHeader+"7,13/05/2026,T1,A,4,F,61.8,94.2,,,\n"))
	if h := only(t, q).Handled; h.Weighing.Net.Typed != "61.8" || len(h.Unread) != 0 {
		t.Errorf("mass %q, kept %v; want nothing kept that the record says as it stood", h.Weighing.Net.Typed, h.Unread)
	}
}

func TestAnImpossibleDateIsQuotedAsItStands(t *testing.T) {
	t.Parallel()
	parted := strings.Replace(invented, "  date: date\n", "  mo: month\n  dy: day\n  yr: year\n", 1)
	header := strings.Replace(inventedHeader, "date", "mo,dy,yr", 1)
	for _, c := range []struct{ row, want string }{
		{"1,13,17,1977,T1,A,1,F,,,0,,", `mo "13", dy "17", yr "1977": `},
		{"1,,,,T1,A,1,F,,,0,,", "date: not written; "},
	} {
		got := take(t, newProgramme(t, programmeID, 1), parse(t, parted), []byte(header+c.row+"\n"))
		if got.SetAside != 1 || !strings.HasPrefix(got.Aside[0].Reasons[0], c.want) || got.Reasons["date: impossible"] != 1 {
			t.Errorf("%s: %+v; want it to say %s", c.row, got.Aside, c.want)
		}
	}
	got := takeRows(t, newProgramme(t, programmeID, 1), "1,05/13/2026,T1,A,1,F,,,0,,")
	if got.SetAside != 1 || !strings.HasPrefix(got.Aside[0].Reasons[0], `date "05/13/2026": there is no month 13`) {
		t.Errorf("%+v; want the cell quoted", got.Aside)
	}
}

func TestProgressCountsRows(t *testing.T) {
	t.Parallel()
	row := ",13/05/2026,T1,A,1,F,0.06,9.4,0,,\n"
	file := inventedHeader + "1" + row + "2" + row + "3" + row
	for _, end := range []string{"", "\n", "\r\n"} {
		var of []int
		_, err := exchange.Import(context.Background(), newProgramme(t, programmeID, 1), parse(t, invented), []byte(strings.TrimSuffix(file, "\n")+end),
			exchange.Options{Who: "AB", Now: clock, Batch: 1, Progress: func(_, n int) { of = append(of, n) }})
		if err != nil || len(of) == 0 || of[len(of)-1] != 3 || slices.Max(of) != 3 {
			t.Errorf("file that ends in %q: told of %v rows, %v; want 3", end, of, err)
		}
	}
}

func TestABinaryIsRefusedInFewWords(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("a", 5000)
	for _, c := range []struct {
		name string
		file []byte
		want string
	}{
		{"zero bytes", append([]byte("\x7fELF\x02\x01\x01\x00\x00\x00\x00\x00\x00\x00\x00\x00\x03\x00\x3e\x00"), bytes.Repeat([]byte("ab\x00\x00"), 500)...), "zero bytes"},
		{"zero bytes after a mark", []byte("\xef\xbb\xbfid,\x00,date\n"), "zero bytes"},
		{"a long name", []byte(long + "," + long + "b\n1,2\n"), "no such column"},
		{"a long name twice", []byte(long + "," + long + "\n1,2\n"), "two columns"},
	} {
		_, err := exchange.Import(context.Background(), newProgramme(t, programmeID, 1), parse(t, invented), c.file, exchange.Options{Who: "AB", Now: clock})
		if err == nil || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 400 {
			t.Errorf("%s: error of %d bytes %.300v, want a short one that says %q", c.name, len(err.Error()), err, c.want)
		}
	}
}

// TestStatesGoOutAndComeBack: damaged, rough, repeated and unread measures are
// in the table as at the bench, and read back as they were.
func TestStatesGoOutAndComeBack(t *testing.T) {
	t.Parallel()
	q := record.MilliQuantity
	measures := map[string]record.Reading{
		"tail": {Quantity: q(61800), Damaged: true},
		"head": {Quantity: q(61000), Roughly: true},
		"pes":  {Quantity: q(92100), Again: []record.Quantity{q(99600)}},
		"ear":  {State: record.NotChecked, Why: "restless"},
		"mass": {State: record.NotChecked, Why: "scale broken"},
	}
	p := newProgramme(t, programmeID, 1)
	id := uuid.MustParse("01970000-0000-7000-8000-000000000001")
	if _, err := p.Keep("AB", clock(), record.Capture{
		Capture: id, At: &record.Spot{Trip: "T1", Site: "A", Night: record.Night{Year: 2026, Month: 5, Day: 13}},
		Handled: &record.Handled{Species: "BET", Measures: measures},
	}); err != nil {
		t.Fatal(err)
	}
	table := exported(t, p, exchange.Places{})
	row := rowsOf(t, table)[0]
	for column, want := range map[string]string{
		"measure tail": "61.8 damaged", "measure head": "~61", "measure pes": "92.1 99.6",
		"measure ear": "not checked: restless", "mass": "not checked: scale broken",
	} {
		if row[column] != want {
			t.Errorf("%s: %q goes out, want %q", column, row[column], want)
		}
	}
	before := lineCount(t, p)
	if got := take(t, p, ownTable(t), table); got.AlreadyThere != 1 || lineCount(t, p) != before {
		t.Errorf("back where it came from: %+v and %d lines more, want none", got, lineCount(t, p)-before)
	}
	q2 := newProgramme(t, programmeID, 2)
	if got := take(t, q2, ownTable(t), table); got.Entered != 1 {
		t.Fatalf("into another notebook: %+v", got)
	}
	if again := rowsOf(t, exported(t, q2, exchange.Places{}))[0]; again["measure tail"] != "61.8 damaged" || again["mass"] != "not checked: scale broken" {
		t.Errorf("comes back as %v", again)
	}
	for id, want := range measures {
		if got := only(t, q2).Handled.Measures[id]; got.String() != want.String() {
			t.Errorf("%s: %q came back as %q", id, want.String(), got.String())
		}
	}
	changed := strings.Replace(string(table), "61.8 damaged", "61.8", 1)
	if got := take(t, p, ownTable(t), []byte(changed)); got.Corrected != 1 || only(t, p).Handled.Measures["tail"].Damaged || len(only(t, p).Handled.Measures) != 5 {
		t.Errorf("a state taken away in the table: %+v, measures %+v", got, only(t, p).Handled.Measures)
	}
}

// TestWhatWentOutComesIn: marks that a spreadsheet rounded long ago are in our
// own table as they stand, so that table is not set aside.
func TestWhatWentOutComesIn(t *testing.T) {
	t.Parallel()
	rounded := strings.Replace(invented, "digits: 15", "digits: 15, rounded: flag", 1)
	p := newProgramme(t, programmeID, 1)
	if got := take(t, p, parse(t, rounded), []byte(inventedHeader+"7,13/05/2026,T1,A,4,F,0.06,9.4,1.23E+14,,\n")); got.Flagged != 1 {
		t.Fatalf("%+v, want the row flagged", got)
	}
	q := newProgramme(t, programmeID, 2)
	if got := take(t, q, ownTable(t), exported(t, p, exchange.Places{})); got.SetAside != 0 || got.Flagged != 1 {
		t.Errorf("%+v, want the row entered and flagged", got)
	}
}
