package exchange_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"dawnround/exchange"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// invented is a mapping of an invented table.
const invented = `
table: captures
source: north
row key: id
dates are: evening
date order: day month year
columns:
  id: nothing
  date: date
  trip: trip
  site: site
  trap: {is: trap, known: [1-20]}
  sex: {is: sex, codes: {F: female, M: male}}
  mass: {is: mass, unit: kg}
  foot: {is: measure pes, unit: cm}
  chip: {is: mark chip, digits: 15, none: ["0"]}
  what: {codes: {empty: {row: nothing caught}, shut: {row: not trapped}, odd: {doubt: odd, about: animal}}}
fixed:
  species: BET
`

const inventedHeader = "id,date,trip,site,trap,sex,mass,foot,chip,what,colour\n"

var programmeID = uuid.MustParse("6ba7b810-9dad-11d1-80b4-00c04fd430c8")

func parse(tb testing.TB, text string) *exchange.Mapping {
	tb.Helper()
	m, err := exchange.ParseMapping("north.yaml", []byte(text))
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

func takeRows(tb testing.TB, p *programme.Programme, rows ...string) exchange.Result {
	tb.Helper()
	return take(tb, p, parse(tb, invented), []byte(inventedHeader+strings.Join(rows, "\n")+"\n"))
}

// only gives the one capture of a programme.
func only(tb testing.TB, p *programme.Programme) (c *register.Capture) {
	tb.Helper()
	p.View(func(r *register.Register) {
		if all := r.Captures(); len(all) == 1 {
			c = all[0]
		} else {
			tb.Fatalf("%d captures, want one", len(all))
		}
	})
	return c
}

func TestRowBecomesACapture(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	got := takeRows(t, p, "7,13/05/2026,T1,A,4,F,0.0618,9.42,999000000000123,,grey")
	if got.Entered != 1 || got.Rows != 1 {
		t.Fatalf("%+v, want one row entered", got)
	}
	c := only(t, p)
	want := record.Spot{Trip: "T1", Site: "A", Trap: "4", Night: record.Night{Year: 2026, Month: 5, Day: 13}}
	if *c.At != want {
		t.Errorf("place %+v, want %+v", *c.At, want)
	}
	h := c.Handled
	if h.Species != "BET" || h.Sex != record.Female || h.Unread["colour"] != "grey" {
		t.Errorf("handled %+v; want the species of the mapping, the sex, and the colour kept word for word", h)
	}
	if h.Weighing.Net.Typed != "61.8" || h.Weighing.Net.Milli != 61800 || h.Measures["pes"].Typed != "94.2" {
		t.Errorf("mass %+v, pes %+v; want 61.8 g and 94.2 mm", h.Weighing.Net, h.Measures["pes"])
	}
	if *c.From != (record.Source{File: "north", Row: "7"}) {
		t.Errorf("from %+v", c.From)
	}
}

func TestEveryRowEndsInOneWay(t *testing.T) {
	t.Parallel()
	const sound = "13/05/2026,T1,A,4,F,0.06,9.4,999000000000123,,"
	cases := []struct {
		name, row string
		want      string // the count that is one
		reason    string
	}{
		{"sound", "1," + sound, "entered", ""},
		{"blanks at the end left out", "1,13/05/2026,T1,A", "entered", ""},
		{"stray code", "1,13/05/2026,T1,A,4,X,0.06,9.4,999000000000123,,", "flagged", "stray code in sex"},
		{"trap not known", "1,13/05/2026,T1,A,44,F,0.06,9.4,999000000000123,,", "flagged", "trap not known"},
		{"a code that doubts", "1,13/05/2026,T1,A,4,F,0.06,9.4,999000000000123,odd,", "flagged", "odd"},
		{"nothing caught", "1,13/05/2026,T1,A,99,,,,,empty,", "entered", ""},
		{"not trapped", "1,13/05/2026,T1,A,99,,,,,shut,", "entered", ""},
		{"no key", "," + sound, "aside", "id: blank"},
		{"not a number", "1,13/05/2026,T1,A,4,F,six,9.4,999000000000123,,", "aside", "mass: not a number"},
		{"a decimal comma", `1,13/05/2026,T1,A,4,F,"0,06",9.4,999000000000123,,`, "aside", "mass: not a number"},
		{"a number rounded by a spreadsheet", "1,13/05/2026,T1,A,4,F,0.06,9.4,9.99E+14,,", "aside", "chip: number rounded by a spreadsheet"},
		{"zeros in front lost", "1,13/05/2026,T1,A,4,F,0.06,9.4,36000000123456,,", "aside", "chip: digits missing"},
		{"too many digits", "1,13/05/2026,T1,A,4,F,0.06,9.4,9990000000001234,,", "aside", "chip: not the digits of a number here"},
		{"no mark", "1,13/05/2026,T1,A,4,F,0.06,9.4,0,,", "entered", ""},
		{"day and month swapped", "1,05/13/2026,T1,A,4,F,0.06,9.4,999000000000123,,", "aside", "date: impossible"},
		{"no such day", "1,31/04/2026,T1,A,4,F,0.06,9.4,999000000000123,,", "aside", "date: impossible"},
		{"a year of two digits", "1,13/05/26,T1,A,4,F,0.06,9.4,999000000000123,,", "aside", "date: impossible"},
		{"a spreadsheet's day number", "1,46155,T1,A,4,F,0.06,9.4,999000000000123,,", "aside", "date: not a date"},
		{"the date turned round", "1,2026-05-13,T1,A,4,F,0.06,9.4,999000000000123,,", "aside", "date: impossible"},
		{"no date", "1,,T1,A,4,F,0.06,9.4,999000000000123,,", "aside", "date: impossible"},
		{"a month in words", "1,13-May-2026,T1,A,4,F,0.06,9.4,999000000000123,,", "entered", ""},
		{"too many fields", "1," + sound + ",more", "aside", "more fields than columns"},
		{"a quote that does not close", `1,"` + sound, "aside", "quotes do not close"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := takeRows(t, newProgramme(t, programmeID, 1), c.row)
			counts := map[string]int{"entered": got.Entered, "flagged": got.Flagged, "aside": got.SetAside}
			if got.Rows != 1 || counts[c.want] != 1 {
				t.Fatalf("%+v, want one row %s", got, c.want)
			}
			if c.reason != "" && got.Reasons[c.reason] != 1 || c.reason == "" && len(got.Reasons) > 0 {
				t.Errorf("reasons %v, want %q", got.Reasons, c.reason)
			}
		})
	}
}

func TestDamageSaysWhatItWas(t *testing.T) {
	t.Parallel()
	got := takeRows(t, newProgramme(t, programmeID, 1), "1,46155,T1,A,4,F,0.06,9.4,999000000000123,,", "2,05/13/2026,T1,A,4,F,0.06,9.4,9.99E+14,,")
	// Day 46155 counted from 30 December 1899 is 13 May 2026: by hand, 126 years of
	// 365 days, 31 leap days (1904 to 2024) and 134 days.
	for i, want := range []string{"2026-05-13", "there is no month 13; day and month look swapped"} {
		if says := strings.Join(got.Aside[i].Reasons, "\n"); !strings.Contains(says, want) {
			t.Errorf("reason %q, want it to say %q", says, want)
		}
	}
}

func TestABadRowDoesNotTakeOthersWithIt(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	got := takeRows(t, p,
		"1,13/05/2026,T1,A,1,F,0.06,9.4,0,,\"grey\nbelow\"",
		`2,13/05/2026,T1,A,2,F,0.06,9.4,0,,"grey`,
		"3,13/05/2026,T1,A,3,F,0.06,9.4,0,,",
		`4,13/05/2026,T1,A,4,F,0.06,9.4,0,,gr"ey`,
		"5,13/05/2026,T1,A,5,F,0.06,9.4,0,,")
	if got.Rows != 5 || got.Entered != 3 || got.SetAside != 2 {
		t.Fatalf("%+v, want the two with a stray quote set aside and three entered", got)
	}
	if got.Aside[0].Line != 4 || got.Aside[1].Line != 6 {
		t.Errorf("set aside at lines %d and %d, want 4 and 6 of the file", got.Aside[0].Line, got.Aside[1].Line)
	}
}

func TestAKeyStandsOnce(t *testing.T) {
	t.Parallel()
	row := "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,"
	got := takeRows(t, newProgramme(t, programmeID, 1), row, row)
	if got.Entered != 1 || got.SetAside != 1 || got.Reasons["id: stands twice"] != 1 {
		t.Errorf("%+v, want the second set aside", got)
	}
}

func TestRowsSetAsideComeBack(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	got := takeRows(t, p, "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,", "2,31/04/2026,T1,A,2,M,0.06,9.4,,,\"grey, a\nbit\"")
	var file bytes.Buffer
	if err := exchange.WriteAside(&file, got); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(file.String(), "line 3: date") {
		t.Errorf("the file does not say which row and why:\n%s", file.String())
	}
	corrected := strings.Replace(file.String(), "31/04/2026,T1", "30/04/2026,T1", 1)
	again := take(t, p, parse(t, invented), []byte(corrected))
	if again.Rows != 1 || again.Entered != 1 {
		t.Errorf("imported again, corrected: %+v, want one row entered", again)
	}
	p.View(func(r *register.Register) {
		if c := r.Captures()[0]; c.Handled.Unread["colour"] != "grey, a\nbit" || c.Handled.Unread["set aside because"] != "" {
			t.Errorf("kept %v; want the colour, and not the reason", c.Handled.Unread)
		}
	})
}

func TestTheSameFileTwiceAddsNothing(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	rows := []string{"1,13/05/2026,T1,A,1,F,0.06,9.4,0,,", "2,13/05/2026,T1,A,9,,,,,empty,", "3,13/05/2026,T1,B,9,,,,,shut,"}
	takeRows(t, p, rows...)
	before := lineCount(t, p)
	if got := takeRows(t, p, rows...); got.AlreadyThere != 3 || lineCount(t, p) != before {
		t.Errorf("%+v and %d lines more; want all there and none", got, lineCount(t, p)-before)
	}
}

func lineCount(tb testing.TB, p *programme.Programme) (n int) {
	tb.Helper()
	for _, err := range p.Notebook().Lines() {
		if err != nil {
			tb.Fatal(err)
		}
		n++
	}
	return n
}

func TestAChangedRowIsACorrectionOfWhatChanged(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	takeRows(t, p, "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,")
	before := only(t, p).ID()
	got := takeRows(t, p, "1,13/05/2026,T1,A,1,M,0.06,,0,,")
	if got.Entered != 1 || got.Corrected != 1 {
		t.Fatalf("%+v, want one row corrected", got)
	}
	c := only(t, p)
	if c.ID() != before || c.Handled.Sex != record.Male || len(c.Handled.Measures) != 0 || c.Handled.Weighing.Net.Milli != 60000 {
		t.Errorf("capture %+v; want the same, now male, without a foot and with its mass", c.Handled)
	}
	var fields, whys []string
	p.View(func(r *register.Register) {
		for _, e := range r.Corrected(c.Lines[0]) {
			fields = append(fields, e.Body.(record.Correction).Field)
			whys = append(whys, e.Body.(record.Correction).Why)
		}
	})
	if want := []string{"/handled/measures", "/handled/sex", "/handled/unread/foot"}; !slices.Equal(fields, want) {
		t.Errorf("corrected %v, want %v", fields, want)
	}
	if whys[0] != "changed in north" {
		t.Errorf("why %q", whys[0])
	}
	if again := takeRows(t, p, "1,13/05/2026,T1,A,1,M,0.06,,0,,"); again.AlreadyThere != 1 {
		t.Errorf("the changed row again: %+v, want it there already", again)
	}
	if back := takeRows(t, p, "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,"); back.Corrected != 1 || only(t, p).Handled.Sex != record.Female || len(only(t, p).Disagree) > 0 {
		t.Errorf("changed back: %+v, sex %s, disagreements %v; want it corrected back", back, only(t, p).Handled.Sex, only(t, p).Disagree)
	}
}

func TestAPersonsCorrectionStands(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	const row = "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,"
	takeRows(t, p, row)
	correct(t, p, "/handled/sex", record.Male)
	if got := takeRows(t, p, row); got.AlreadyThere != 1 || only(t, p).Handled.Sex != record.Male {
		t.Fatalf("the old row again: %+v, sex %s; want nothing changed", got, only(t, p).Handled.Sex)
	}
	if got := takeRows(t, p, "1,13/05/2026,T1,A,1,M,0.06,9.4,0,,"); got.AlreadyThere != 1 {
		t.Fatalf("a row that says what the person said: %+v, want it there already", got)
	}
	takeRows(t, p, "1,13/05/2026,T1,A,1,F,0.07,9.4,0,,")
	if c := only(t, p); c.Handled.Sex != record.Male || c.Handled.Weighing.Net.Milli != 70000 || len(c.Disagree) > 0 {
		t.Errorf("another field changed: sex %s, mass %d; want the person's sex and the new mass", c.Handled.Sex, c.Handled.Weighing.Net.Milli)
	}
	takeRows(t, p, "1,13/05/2026,T1,A,1,,0.07,9.4,0,,")
	if c := only(t, p); len(c.Disagree) != 1 {
		t.Errorf("disagreements %+v; the table took away what a person corrected: want both kept for somebody to settle", c.Disagree)
	}
}

func correct(tb testing.TB, p *programme.Programme, field string, value any) {
	tb.Helper()
	line := only(tb, p).Lines[0]
	var c record.Correction
	p.View(func(r *register.Register) {
		var err error
		if c, err = r.Correct(line, field, value, "looked again"); err != nil {
			tb.Fatal(err)
		}
	})
	if _, err := p.Keep("CD", clock(), c); err != nil {
		tb.Fatal(err)
	}
}

func TestARowThatWasSomethingElse(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	const animal, none = "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,", "1,13/05/2026,T1,A,1,,,,,empty,"
	counts := func() (captures, efforts int) {
		p.View(func(r *register.Register) { captures, efforts = len(r.Captures()), len(r.Efforts()) })
		return captures, efforts
	}
	for i, step := range []struct {
		row               string
		captures, efforts int
	}{{animal, 1, 0}, {none, 0, 1}, {animal, 1, 0}, {none, 0, 1}} {
		takeRows(t, p, step.row)
		if c, e := counts(); c != step.captures || e != step.efforts {
			t.Fatalf("step %d: %d captures and %d counts, want %d and %d", i+1, c, e, step.captures, step.efforts)
		}
		if got := takeRows(t, p, step.row); got.AlreadyThere != 1 {
			t.Fatalf("step %d again: %+v, want it there already", i+1, got)
		}
	}
}

func TestAStruckRowStaysStruck(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	const row = "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,"
	takeRows(t, p, row)
	if _, err := p.Keep("CD", clock(), record.Strike{Line: only(t, p).Lines[0], Why: "typed from the wrong sheet"}); err != nil {
		t.Fatal(err)
	}
	if got := takeRows(t, p, row); got.AlreadyThere != 1 {
		t.Errorf("%+v, want a row that a person struck left alone", got)
	}
}

func TestTwoLaptopsMakeOneCapture(t *testing.T) {
	t.Parallel()
	a, b := newProgramme(t, programmeID, 1), newProgramme(t, programmeID, 2)
	const old, changed = "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,", "1,13/05/2026,T1,A,1,M,0.06,9.4,0,,"
	for _, p := range []*programme.Programme{a, b} {
		takeRows(t, p, old)
		takeRows(t, p, changed)
	}
	var lines []notebook.Line
	for l, err := range b.Notebook().Lines() {
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, l)
	}
	_, heads, err := b.Notebook().Heads()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Merge(lines, heads); err != nil {
		t.Fatal(err)
	}
	if c := only(t, a); c.Handled.Sex != record.Male || len(c.Disagree) != 0 || len(c.Lines) != 1 {
		t.Errorf("capture %+v, disagreements %v; want one, male, agreed", c.Handled, c.Disagree)
	}
}

func TestStoppedImportKeepsWholeBatches(t *testing.T) {
	t.Parallel()
	var rows []string
	for i := range 25 {
		rows = append(rows, fmt.Sprintf("%d,13/05/2026,T1,A,1,F,0.06,9.4,0,,", i))
	}
	file := []byte(inventedHeader + strings.Join(rows, "\n") + "\n")
	p := newProgramme(t, programmeID, 1)
	ctx, stop := context.WithCancel(context.Background())
	o := exchange.Options{Who: "AB", Now: clock, Batch: 4, Progress: func(done, of int) {
		if done >= 12 {
			stop()
		}
	}}
	got, err := exchange.Import(ctx, p, parse(t, invented), file, o)
	if err != nil || !got.Stopped || got.Rows != 12 || got.Batches != 3 || got.Entered != 12 {
		t.Fatalf("%+v, %v; want it stopped with 12 rows in, in 3 batches", got, err)
	}
	var captures int
	p.View(func(r *register.Register) { captures = len(r.Captures()) })
	if captures != 12 {
		t.Errorf("%d captures, want the 12 that were said to be in", captures)
	}
	if rest := take(t, p, parse(t, invented), file); rest.AlreadyThere != 12 || rest.Entered != 13 {
		t.Errorf("going on: %+v, want 12 there and 13 entered", rest)
	}
}

func TestDryRunWritesNothingAndCountsAlike(t *testing.T) {
	t.Parallel()
	p := newProgramme(t, programmeID, 1)
	takeRows(t, p, "1,13/05/2026,T1,A,1,F,0.06,9.4,0,,")
	file := []byte(inventedHeader + "1,13/05/2026,T1,A,1,M,0.06,9.4,0,,\n2,13/05/2026,T1,A,1,X,0.06,9.4,0,,\n3,,T1,A,1,F,,,0,,\n")
	before := lineCount(t, p)
	dry, err := exchange.DryRun(context.Background(), p, parse(t, invented), file, exchange.Options{Who: "AB", Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	if lineCount(t, p) != before {
		t.Errorf("a dry run wrote %d lines", lineCount(t, p)-before)
	}
	want, _ := json.Marshal(take(t, p, parse(t, invented), file))
	if got, _ := json.Marshal(dry); !bytes.Equal(got, want) {
		t.Errorf("a dry run says %s, the import %s", got, want)
	}
}

func TestTableWithoutItsColumnsIsRefused(t *testing.T) {
	t.Parallel()
	cases := []struct{ name, file, want string }{
		{"empty", "", "no rows"},
		{"another table", "a,b\n1,2\n", `row key "id"`},
		{"a column lacks", strings.Replace(inventedHeader, "chip,", "", 1), `column "chip"`},
		{"a column twice", "id,id\n", `two columns are called "id"`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := exchange.Import(context.Background(), newProgramme(t, programmeID, 1), parse(t, invented), []byte(c.file), exchange.Options{Who: "AB", Now: clock})
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want it to say %q", err, c.want)
			}
		})
	}
}

func FuzzImport(f *testing.F) {
	f.Add([]byte(inventedHeader + "1,13/05/2026,T1,A,4,F,0.0618,9.42,999000000000123,,grey\n"))
	f.Add([]byte(inventedHeader + "1,\"13/05/2026,T1\n\n\n2,13-May-2026,-1,A,4,X,\"1,5\",-9,1.5E+14,shut\n"))
	f.Add([]byte("\xef\xbb\xbf" + inventedHeader + "1,45000,,,,,,,,,\r\n"))
	f.Add([]byte("\xff\xfea\x00"))
	f.Fuzz(func(t *testing.T, file []byte) {
		p := newProgramme(t, programmeID, 1)
		got, err := exchange.Import(context.Background(), p, parse(t, invented), file, exchange.Options{Who: "AB", Now: clock})
		if err != nil {
			return
		}
		if got.Rows != got.Entered+got.Flagged+got.SetAside+got.AlreadyThere || got.SetAside != len(got.Aside) {
			t.Fatalf("%+v: rows do not add up", got)
		}
		again := take(t, p, parse(t, invented), file)
		if again.Entered+again.Flagged != 0 || again.SetAside != got.SetAside {
			t.Fatalf("first %+v, then %+v", got, again)
		}
		var aside bytes.Buffer
		if err := exchange.WriteAside(&aside, got); err != nil {
			t.Fatal(err)
		}
	})
}
