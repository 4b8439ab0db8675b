package record_test

import (
	"reflect"
	"testing"

	"dawnround/record"

	"pgregory.net/rapid"
)

func TestTheLastReadingCounts(t *testing.T) {
	t.Parallel()
	q := func(s string) record.Quantity { v, _ := record.ParseQuantity(s); return v }
	r := record.Reading{Quantity: q("92.1"), Again: []record.Quantity{q("99.8"), q("99.6")}}
	if got := r.Counts(); got != q("99.6") {
		t.Errorf("%s counts, want 99.6, the last", got.Typed)
	}
	h := record.Handled{Measures: map[string]record.Reading{"mass": r}}
	if net, ok := h.MassMilli(); !ok || net != 99_600 {
		t.Errorf("mass %d, want the reading made last", net)
	}
}

func TestReadingAsTyped(t *testing.T) {
	t.Parallel()
	q := func(s string) record.Quantity { v, _ := record.ParseQuantity(s); return v }
	for typed, want := range map[string]record.Reading{
		"61.8":                {Quantity: q("61.8")},
		"~61":                 {Quantity: q("61"), Roughly: true},
		"61?":                 {Quantity: q("61"), Roughly: true},
		"61.8 damaged":        {Quantity: q("61.8"), Damaged: true},
		"92.1 99.6":           {Quantity: q("92.1"), Again: []record.Quantity{q("99.6")}},
		"61.8 mm":             {Quantity: q("61.8")},
		"none seen":           {State: record.NoneSeen},
		"not checked: cold":   {State: record.NotChecked, Why: "cold"},
		"nc too cold":         {State: record.NotChecked, Why: "too cold"},
		"NC":                  {State: record.NotChecked},
		"~61 damaged 61.0":    {Quantity: q("61"), Roughly: true, Damaged: true, Again: []record.Quantity{q("61.0")}},
		" 61.8  damaged\t62 ": {Quantity: q("61.8"), Damaged: true, Again: []record.Quantity{q("62")}},
	} {
		if got, err := record.ParseReading(typed); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %+v, %v; want %+v", typed, got, err, want)
		}
	}
	for _, typed := range []string{"", "damaged", "~", "six", "61.8 six", "ncx", "61,8"} {
		if r, err := record.ParseReading(typed); err == nil {
			t.Errorf("%q is read as %+v", typed, r)
		}
	}
}

// TestReadingComesBack: what a reading says, read again, is that reading.
func TestReadingComesBack(t *testing.T) {
	t.Parallel()
	quantity := rapid.Map(rapid.Int64Range(-1_000_000, 1_000_000), record.MilliQuantity)
	rapid.Check(t, func(t *rapid.T) {
		r := record.Reading{Quantity: quantity.Draw(t, "first"), Roughly: rapid.Bool().Draw(t, "roughly"), Damaged: rapid.Bool().Draw(t, "damaged")}
		for range rapid.IntRange(0, 3).Draw(t, "again") {
			r.Again = append(r.Again, quantity.Draw(t, "next"))
		}
		if rapid.IntRange(0, 3).Draw(t, "not read") == 0 {
			r = record.Reading{State: record.NotChecked, Why: rapid.StringMatching(`[a-z]+( [a-z]+)?`).Draw(t, "why")}
		}
		got, err := record.ParseReading(r.String())
		if err != nil || !reflect.DeepEqual(got, r) {
			t.Fatalf("%+v says %q and comes back as %+v, %v", r, r.String(), got, err)
		}
	})
}

func FuzzParseReading(f *testing.F) {
	for _, s := range []string{"61.8 damaged", "~61 62?", "nc: cold", "none seen", "-0 mm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := record.ParseReading(s)
		if err != nil {
			return
		}
		again, err := record.ParseReading(r.String())
		if err != nil || !reflect.DeepEqual(again, r) {
			t.Fatalf("%q is read as %+v, which says %q and is read as %+v, %v", s, r, r.String(), again, err)
		}
	})
}
