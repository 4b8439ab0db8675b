package exchange_test

import (
	"strings"
	"testing"
	"time"

	"dawnround/exchange"

	"pgregory.net/rapid"
)

func TestCalendarAsTheStandardHasIt(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	made := time.Date(2026, 5, 14, 6, 0, 0, 0, time.UTC)
	err := exchange.WriteCalendar(&b, "To do", made, []exchange.Appointment{
		{ID: "a", Due: time.Date(2026, 5, 15, 6, 0, 0, 0, time.FixedZone("", 10*3600)), Summary: "…311; look at dawn, by the rock", Notes: "by MO"},
		{ID: "b", Summary: "without a time"},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//dawnround//follow-ups//EN\r\nCALSCALE:GREGORIAN\r\nX-WR-CALNAME:To do\r\n" +
		"BEGIN:VEVENT\r\nUID:a@dawnround\r\nDTSTAMP:20260514T060000Z\r\nDTSTART:20260514T193000Z\r\nDTEND:20260514T200000Z\r\n" +
		"SUMMARY:…311\\; look at dawn\\, by the rock\r\nDESCRIPTION:by MO\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
	if b.String() != want {
		t.Errorf("got  %q\nwant %q", b.String(), want)
	}
}

// Lines are at most 75 octets, and unfolded and unescaped they say what was
// written (RFC 5545, sections 3.1 and 3.3.11).
func TestCalendarFoldsAndUnfolds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		says := strings.NewReplacer("\r", "").Replace(rapid.String().Draw(t, "says"))
		var b strings.Builder
		if err := exchange.WriteCalendar(&b, "", time.Time{}, []exchange.Appointment{{ID: "a", Due: time.Unix(1e9, 0), Summary: says}}); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(b.String(), "\r\n") {
			if len(line) > 75 {
				t.Fatalf("%d octets: %q", len(line), line)
			}
		}
		flat := strings.ReplaceAll(b.String(), "\r\n ", "")
		_, rest, _ := strings.Cut(flat, "SUMMARY:")
		got, _, _ := strings.Cut(rest, "\r\n")
		got = strings.NewReplacer(`\\`, `\`, `\;`, ";", `\,`, ",", `\n`, "\n").Replace(got)
		if got != says {
			t.Fatalf("got %q, want %q", got, says)
		}
	})
}
