package exchange_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"dawnround/programme"
	"dawnround/register"

	"pgregory.net/rapid"
)

// told is all that a saved register says apart from clocks and the order in
// which lines were written: each line's kind and words, the captures, whose
// animals they are, and what every line is about.
func told(tb interface{ Fatal(...any) }, p *programme.Programme) string {
	var saved bytes.Buffer
	p.View(func(r *register.Register) {
		if err := r.Save(&saved); err != nil {
			tb.Fatal(err)
		}
	})
	var s struct {
		Lines []struct {
			ID, Kind, Who string
			Body, Twins   json.RawMessage
		}
		Captures []map[string]json.RawMessage
		Animals  json.RawMessage
		About    map[string][][]string
	}
	if err := json.Unmarshal(saved.Bytes(), &s); err != nil {
		tb.Fatal(err)
	}
	slices.SortFunc(s.Lines, func(a, b struct {
		ID, Kind, Who string
		Body, Twins   json.RawMessage
	}) int {
		return strings.Compare(a.ID, b.ID)
	})
	for _, c := range s.Captures {
		delete(c, "Written")
	}
	about := map[string][]string{}
	for kind, of := range s.About {
		about[kind] = slices.Concat(of...)
		slices.Sort(about[kind])
	}
	return fmt.Sprintf("%s\n%s\n%s\n%s", s.Lines, s.Captures, s.Animals, about)
}

func TestEitherOrderOfTheTwoTablesGivesOneRegister(t *testing.T) {
	t.Parallel()
	a, b := publishedTables(t).p, bothTables(t, 2, true).p
	if told(t, a) != told(t, b) {
		t.Error("captures then effort, and effort then captures, tell different things")
	}
	if n, m := tripsOf(a), tripsOf(b); !slices.Equal(n, m) || len(n) == 0 {
		t.Errorf("trips %d and %d, or in another order", len(n), len(m))
	}
}

func tripsOf(p *programme.Programme) (out []string) {
	p.View(func(r *register.Register) {
		for _, t := range r.Trips() {
			out = append(out, t.Trip.Trip+" "+t.Outside)
		}
	})
	return out
}

// inventedEffort counts the traps of the invented table.
const inventedEffort = `
table: effort
source: north effort
row key: [trip, site, date]
dates are: evening
date order: day month year
columns: {date: date, trip: trip, site: site, traps: traps}
`

func TestAnyOrderOfRandomTablesGivesOneRegister(t *testing.T) {
	t.Parallel()
	captures, effort := parse(t, invented), parse(t, inventedEffort)
	rapid.Check(t, func(rt *rapid.T) {
		row := rapid.SampledFrom([]string{
			",13/05/2026,T1,A,1,F,0.06,9.4,0,,", ",14/05/2026,-2,A,2,M,,,999000000000123,,", ",13/05/2026,T1,A,9,,,,,empty,",
			",14/05/2026,T2,B,9,,,,,shut,", ",13/05/2026,T1,B,1,X,,,,,", ",31/02/2026,T1,B,1,F,,,,,",
		})
		file := inventedHeader
		for i, r := range rapid.SliceOfN(row, 1, 8).Draw(rt, "rows") {
			file += string(rune('a'+i)) + r + "\n"
		}
		counts := "date,trip,site,traps\n" + rapid.SampledFrom([]string{"13/05/2026,T1,A,10\n", "14/05/2026,T2,B,0\n14/05/2026,-2,A,5\n"}).Draw(rt, "counts")
		a, b := newProgramme(t, programmeID, 1), newProgramme(t, programmeID, 1)
		take(t, a, captures, []byte(file))
		take(t, a, effort, []byte(counts))
		take(t, b, effort, []byte(counts))
		take(t, b, captures, []byte(file))
		if told(rt, a) != told(rt, b) {
			rt.Fatal("the order of two imports shows in the register")
		}
		again := lineCount(t, a)
		take(t, a, captures, []byte(file))
		if lineCount(t, a) != again {
			rt.Fatal("the same file twice adds lines")
		}
	})
}
