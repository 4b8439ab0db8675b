package score_test

import (
	"encoding/json"
	"strings"
	"testing"

	"dawnround/call/score"
	"dawnround/internal/shared"
)

// slots are a calling order, as it stands at the bench.
var slots = []string{"pes_mm", "tail_mm", "head_mm", "ear_mm"}

// ordered is a case heard with a calling order on that stands at a slot the case
// does not fill; false where it fills all of them or has an order of its own.
func ordered(t *testing.T, row []string) ([]string, bool) {
	t.Helper()
	given, want := map[string]any{}, map[string]any{}
	if row[4] != "" {
		if err := json.Unmarshal([]byte(row[4]), &given); err != nil {
			t.Fatal(err)
		}
	}
	if err := json.Unmarshal([]byte(row[6]), &want); err != nil {
		t.Fatal(err)
	}
	if _, own := given["order"]; own {
		return nil, false
	}
	for _, at := range slots {
		if _, fills := want[at]; fills {
			continue
		}
		given["order"], given["order_at"] = slots, at
		text, err := json.Marshal(given)
		if err != nil {
			t.Fatal(err)
		}
		row = append([]string{}, row...)
		row[4] = string(text)
		return row, true
	}
	return nil, false
}

// TestAnOrderTakesNothing: with a calling order on, no value of a case goes
// silently to another place than without it.
func TestAnOrderTakesNothing(t *testing.T) {
	t.Parallel()
	rows := cases(t, shared.File(t, "checks/shorthand_cases.csv"))
	for _, name := range files {
		rows = append(rows, cases(t, "testdata/"+name+".csv")...)
	}
	var heard [][]string
	for _, row := range rows {
		if r, ok := ordered(t, row); ok {
			heard = append(heard, r)
		}
	}
	if n := silentlyWrong(t, heard); n > mostByOrder {
		t.Errorf("%d of %d cases silently wrong with an order on, wanted %d at most", n, len(heard), mostByOrder)
	}
}

// mostByOrder is what was measured. Five are bare numbers alone, which an order
// is there to take; in the sixth a tail said twice, "one fifty. one fifteen",
// leaves the second to the slot.
const mostByOrder = 6

// TestBehindAValueIsNoSlot: a number directly behind a value goes to no slot of
// the order, and digits with a comma are a decimal where that is in range.
func TestBehindAValueIsNoSlot(t *testing.T) {
	t.Parallel()
	s, err := score.New()
	if err != nil {
		t.Fatal(err)
	}
	const given = `{"so_far":{"pes_mm":98.3},"order":["pes_mm","tail_mm","head_mm","ear_mm"],"order_at":"tail_mm"}`
	for words, want := range map[string]map[string]string{
		"weight one kilo one":           {"measures/tail": ""},
		"tail 160, head 74, swap those": {"measures/tail": "74", "measures/head": "160"},
		"head 74,6":                     {"measures/head": "74.6", "measures/ear": ""},
		"tail 160,5":                    {"measures/tail": "160.5", "measures/head": ""},
	} {
		h, err := s.Read(given, words)
		if err != nil {
			t.Fatal(err)
		}
		for at, value := range want {
			if f, _ := h.Field(at); strings.Contains(words, "swap") && (f == nil || !f.Pending) {
				t.Errorf("%q: %s is not under question", words, at)
			}
			if f, _ := h.Field(at); f == nil && value != "" || f != nil && f.Value != value {
				t.Errorf("%q: %s is %v, wanted %q; got %s", words, at, f, value, score.Text(h))
			}
		}
	}
}
