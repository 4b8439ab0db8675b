package main

import (
	"slices"
	"strings"
	"testing"

	"dawnround/survival"
)

// TestTablesAtFault: a table that cannot stand is refused with its place.
func TestTablesAtFault(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ table, effects, want string }{
		{"", "", "no rows below the header"},
		{"history\n", "", "no rows below the header"},
		{"name,age\nA,3\n", "", `header "name,age": no layout known here`},
		{"history,history\n01,10\n", "", `column 2 is called "history"`},
		{"history,trend\n01,1\n", "", `column "trend": that is a word of the effects`},
		{"times_caught,animals,sex\n1,2,f\n", "", `column "sex" has no place`},
		{"history,count\n01,1,2\n", "", "line 2: 3 cells, the header has 2"},
		{"history\n01\n0A\n", "", `line 3, column history: "0A": expected 0 and 1`},
		{"history\n01\n011\n", "", `line 3, column history: "011": expected 0 and 1 for every night`},
		{"history,count\n01,-1\n", "", `line 2, column count: "-1": expected a whole number`},
		{"history,count\n01,1.5\n", "", `line 2, column count: "1.5"`},
		{"history,group\n01,\n", "", `column group: "": expected a group's name`},
		{"history,not_released_at_last_capture\n01,yes\n", "", `"yes": expected 0 or 1`},
		{"history,weight\n01,21\n10,\n", "weight", `line 3, column weight: "": expected a number`},
		{"history,weight\n01,NaN\n10,2\n", "weight", `line 2, column weight: "NaN"`},
		{"history,sex\n01,f\n10,\n", "sex", `line 3, column sex: "": expected a word`},
		{"history,sex\n01,f\n10,f\n", "sex", "expected more than one word"},
		{"history,sex\n01,f\n10,m\n", "sex*occasion", "call the column group"},
		{"times_caught,animals\n1,4\n3,2\n", "", `line 3, column times_caught: "3": expected 2`},
		{"occasion,removed\n0,4\n", "", `line 2, column occasion: "0": expected 1`},
		{"occasion,caught,newly_caught\n1,4,x\n", "", `column newly_caught: "x"`},
		{"marked_first,caught_second,marked_in_second\n1,2,1\n", "", "holds two samples: a closed model is made from"},
		{"history\n\"01\n", "", "mend that line"},
	} {
		table, err := readPlain("t.csv", []byte(c.table))
		if err == nil {
			effects, wrong := splitEffects("detect", c.effects)
			if wrong != nil {
				t.Fatal(wrong)
			}
			_, _, err = table.closed(effects)
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q with %q: got %v, want …%s…", c.table, c.effects, err, c.want)
		}
	}
}

// FuzzReadPlain: no table makes the reader fall, and what it lets through is
// whole: every number finite, every history as long as the first.
func FuzzReadPlain(f *testing.F) {
	f.Add("history,count,group,weight,sex\n010,2,a,21.5,f\n110,1,b,20,m\n", "weight,sex,group*weight")
	f.Add("times_caught,animals\n1,3\n2,0\n", "constant")
	f.Add("occasion,caught,newly_caught,effort\n1,5,5,40\n2,4,1,38\n", "effort")
	f.Add("occasion,removed\n1,9\n2,4\n", "constant")
	f.Add("occasion,caught,recaptured,marked_at_large\n1,10,0,0\n2,27,3,10\n", "")
	f.Add("example,marked_first,caught_second,marked_in_second\nx,9,8,3\n", "")
	f.Fuzz(func(t *testing.T, text, list string) {
		table, err := readPlain("t.csv", []byte(text))
		if err != nil {
			return
		}
		effects, err := splitEffects("detect", list)
		if err != nil {
			effects = nil
		}
		if table.layout.name == "histories" {
			h, _, err := table.histories(effects)
			if err != nil {
				return
			}
			for i, caught := range h.Caught {
				if len(caught) != len(h.Caught[0]) {
					t.Errorf("history %d has %d nights, the first %d", i+1, len(caught), len(h.Caught[0]))
				}
			}
			for name, column := range h.Columns {
				if len(column) != len(h.Caught) || slices.ContainsFunc(column, func(x float64) bool { return finite(x) == nil }) {
					t.Errorf("column %s: %v", name, column)
				}
			}
		}
		if h, err := table.open(&survival.Model{}, fitOptions{}); err == nil && len(h.Caught) != len(table.rows) {
			t.Errorf("%d histories of %d rows", len(h.Caught), len(table.rows))
		}
		for _, m := range methods() {
			if slices.Contains(m.from, table.layout.name) && m.do != nil && m.name != "coverage" {
				_ = m.do(nil, table, &estimated{})
			}
		}
	})
}
