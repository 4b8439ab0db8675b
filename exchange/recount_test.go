package exchange_test

import (
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"dawnround/answer"
	"dawnround/exchange"
	"dawnround/internal/shared"
	"dawnround/programme"
	"dawnround/register"
)

// tables is a programme with the published captures and effort, and what the
// two imports came to.
type tables struct {
	p                *programme.Programme
	captures, effort exchange.Result
}

func bothTables(tb testing.TB, device byte, effortFirst bool) (t tables) {
	tb.Helper()
	t.p = portal(tb, device)
	captures := func() { t.captures = take(tb, t.p, mapping(tb, "captures.yaml"), tableFile(tb, "captures.csv")) }
	effort := func() { t.effort = take(tb, t.p, mapping(tb, "effort.yaml"), tableFile(tb, "trapping.csv")) }
	if effortFirst {
		effort()
		captures()
		return t
	}
	captures()
	effort()
	return t
}

var published struct {
	sync.Once
	tables
}

// publishedTables is one such programme for all tests, which leave it as it is.
func publishedTables(tb testing.TB) tables {
	tb.Helper()
	shared.File(tb, "data/portal/captures.csv") // skips each test where the data are absent
	published.Do(func() { published.tables = bothTables(tb, 1, false) })
	return published.tables
}

// recount counts from the published tables with nothing of the product: maps
// over encoding/csv.
type recount struct {
	captures, trapping map[string][]map[string]string
} // by plot

func byPlot(rows []map[string]string) map[string][]map[string]string {
	out := map[string][]map[string]string{}
	for _, r := range rows {
		out[r["plot"]] = append(out[r["plot"]], r)
	}
	return out
}

func positive(period string) bool { n, err := strconv.Atoi(period); return err == nil && n > 0 }

// periods are those in which a plot has any row, or was sampled.
func (c recount) periods(plot string) []int {
	in := map[int]bool{}
	for _, r := range c.captures[plot] {
		if positive(r["period"]) {
			n, _ := strconv.Atoi(r["period"])
			in[n] = true
		}
	}
	for _, r := range c.trapping[plot] {
		if positive(r["period"]) && r["sampled"] == "1" {
			n, _ := strconv.Atoi(r["period"])
			in[n] = true
		}
	}
	return sortedInts(in)
}

func sortedInts(in map[int]bool) []int {
	var out []int
	for n := range in {
		out = append(out, n)
	}
	slices.Sort(out)
	return out
}

// alive is caught and known alive, by the definition: caught then, or both
// before and after.
func (c recount) alive(plot, species string) []answer.KnownAliveTrip {
	caught := map[string][]int{} // periods by tag
	for _, r := range c.captures[plot] {
		tag := strings.TrimSpace(r["tag"])
		if r["species"] == species && positive(r["period"]) && tag != "" && tag != "0" && tag != "-1" {
			n, _ := strconv.Atoi(r["period"])
			caught[tag] = append(caught[tag], n)
		}
	}
	out := []answer.KnownAliveTrip{}
	for _, n := range c.periods(plot) {
		row := answer.KnownAliveTrip{Trip: strconv.Itoa(n)}
		for _, in := range caught {
			before := slices.ContainsFunc(in, func(m int) bool { return m < n })
			after := slices.ContainsFunc(in, func(m int) bool { return m > n })
			if slices.Contains(in, n) {
				row.Caught++
			}
			if slices.Contains(in, n) || before && after {
				row.KnownAlive++
			}
		}
		out = append(out, row)
	}
	return out
}

func (c recount) effort(plot string) []answer.TrapNights {
	nights := map[int]int{}
	in := map[int]bool{}
	for _, r := range c.trapping[plot] {
		if !positive(r["period"]) {
			continue
		}
		n, _ := strconv.Atoi(r["period"])
		in[n] = true
		if r["sampled"] == "1" {
			traps, _ := strconv.Atoi(r["effort"])
			nights[n] += traps
		}
	}
	var out []answer.TrapNights
	for _, n := range sortedInts(in) {
		out = append(out, answer.TrapNights{Trip: strconv.Itoa(n), TrapNights: nights[n]})
	}
	return out
}

func TestNumbersAgreeWithAnIndependentRecount(t *testing.T) {
	t.Parallel()
	all := publishedTables(t)
	captures, effort := all.captures, all.effort
	if captures.Rows != 64907 || captures.SetAside != 0 || effort.Rows != 13224 || effort.SetAside != 0 {
		t.Fatalf("captures %+v, effort %+v; want 64907 and 13224 rows and none set aside", captures, effort)
	}
	c := recount{byPlot(rowsOf(t, tableFile(t, "captures.csv"))), byPlot(rowsOf(t, tableFile(t, "trapping.csv")))}
	all.p.View(func(r *register.Register) {
		for plot := 1; plot <= 24; plot++ {
			site := strconv.Itoa(plot)
			species := []string{"DM"}
			if plot == 2 || plot == 18 {
				species = []string{"DM", "PP", "PB", "DO", "OT", "RM", "NA", "SH", "AB", "a species nobody caught"}
			}
			for _, species := range species {
				got := answer.KnownAlive(r, site, species)
				want := c.alive(site, species)
				if !slices.EqualFunc(got.Trips, want, func(a, b answer.KnownAliveTrip) bool {
					return a.Trip == b.Trip && a.Caught == b.Caught && a.KnownAlive == b.KnownAlive
				}) {
					t.Errorf("plot %s %s: %d trips against %d recounted; first difference %v", site, species, len(got.Trips), len(want), firstDifference(got.Trips, want))
				}
			}
			got, want := answer.Effort(r, site).Trips, c.effort(site)
			if !slices.EqualFunc(got, want, func(a, b answer.TrapNights) bool { return a.Trip == b.Trip && a.TrapNights == b.TrapNights }) {
				t.Errorf("plot %s effort: %d trips against %d recounted", site, len(got), len(want))
			}
		}
	})
}

func firstDifference(got, want []answer.KnownAliveTrip) [2]answer.KnownAliveTrip {
	for i := range min(len(got), len(want)) {
		if got[i].Trip != want[i].Trip || got[i].Caught != want[i].Caught || got[i].KnownAlive != want[i].KnownAlive {
			return [2]answer.KnownAliveTrip{got[i], want[i]}
		}
	}
	return [2]answer.KnownAliveTrip{}
}
