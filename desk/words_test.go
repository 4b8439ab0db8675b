package desk

import (
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
)

func TestTrapsInShort(t *testing.T) {
	t.Parallel()
	for names, want := range map[string]string{
		"":               "",
		"K1":             "K1",
		"K1 K2":          "K1, K2",
		"K1 K2 K3":       "K1–K3",
		"K9 K10 K11 L1":  "K9–K11, L1",
		"K3 K1 K2 K10":   "K1–K3, K10",
		"A09 A10 A11":    "A09–A11",
		"11 12 13 21 77": "11–13, 21, 77",
		"north south":    "north, south",
		"B003 B001":      "B001, B003",
	} {
		if got := traps(strings.Fields(names)); got != want {
			t.Errorf("%q: %q, want %q", names, got, want)
		}
	}
}

// Every kind of line says something, and never in the words of the machine.
func TestEveryKindOfLineIsSaid(t *testing.T) {
	t.Parallel()
	s := newSeason()
	n := record.Night{Year: 2026, Month: 5, Day: 13}
	s.View(func(r *register.Register) {
		w := wordsOf(r, s.now)
		for want, b := range map[string]record.Body{
			"notebook of North Ridge; nights are told in UTC": record.Programme{Name: "North Ridge", Zone: "UTC"},
			"this device’s clock was 95 s slow: GPS":          record.ClockOffset{Seconds: -95, Why: "GPS"},
			"adopted protocol 12345678 in place of abcdefgh":  record.Protocol{Version: "123456789", Replaces: "abcdefghi"},
			"set 2 traps at K (K1, K2); not set: K3, wasps":   record.Setting{Site: "K", Set: []string{"K1", "K2"}, Not: []record.NotSet{{Trap: "K3", Why: "wasps"}}},
			"ended round 1 at K":                              record.RoundEnd{Round: sid(61)},
			"closed 3 traps at K (K1–K3)":                     record.Closing{Site: "K", Traps: []string{"K1", "K2", "K3"}},
			"S1: trapped yes, 49 traps":                       record.Effort{Site: "S1", Trapped: "yes", Traps: 49},
			"…0311 is young of …0188 (likely: same trap)":     record.Mother{Of: sid(herFirst), Mother: sid(hisFirst), Sure: record.Likely, Evidence: "same trap"},
			"done: healed": record.Done{Result: "healed"},
			"flag “bone does not shrink” of …0311 settled: measured again": record.FlagAct{
				Rule: "bone does not shrink", Of: sid(herFirst), Act: record.FlagSettled, How: "measured again"},
			"struck “trap K7: sprung”: wrong trap": record.Strike{Line: s.lines["wasp"], Why: "wrong trap"},
			"corrected handling ended of …0311, 12 May 26: 2026-05-13 05:46, was nothing: x": record.Correction{
				Line: s.lines["handled 2"], Field: "/handled/end", Value: []byte(`"2026-05-12T19:46:00Z"`), Why: "x"},
		} {
			if got := w.says(b, n); got != want {
				t.Errorf("%s: %q\nwant %q", b.Kind(), got, want)
			}
		}
	})
}

// Blank, none seen and not checked stay apart in words.
func TestStatesInWords(t *testing.T) {
	t.Parallel()
	for want, got := range map[string]string{
		"61.0 mm":                       reading(mm("61.0"), "mm"),
		"about 61.0 mm, damaged":        reading(record.Reading{Quantity: *q("61.0"), Roughly: true, Damaged: true}, "mm"),
		"not checked: wriggling":        reading(record.Reading{State: record.NotChecked, Why: "wriggling"}, "mm"),
		"unknown":                       reading(record.Reading{}, "mm"),
		"none seen":                     signValue(record.Sign{State: record.NoneSeen}),
		"occupied (by feel)":            signValue(record.Sign{Value: "occupied", How: "by feel"}),
		"no tick on left ear":           finding(record.Finding{Part: "ear", Side: "left", Sign: "tick", State: record.NoneSeen}),
		"ear tick not checked: no time": finding(record.Finding{Part: "ear", Sign: "tick", State: record.NotChecked, Why: "no time"}),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestTrapAtASite(t *testing.T) {
	t.Parallel()
	for _, c := range [][3]string{{"K", "K4", "K4"}, {"K", "4", "K 4"}, {"1", "11", "1 11"}, {"K", "Kurrajong", "K Kurrajong"}, {"", "B3", "B3"}, {"K", "", "K"}} {
		if got := trapAt(c[0], c[1]); got != c[2] {
			t.Errorf("trap %q of site %q: %q, want %q", c[1], c[0], got, c[2])
		}
	}
}
