package survival_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"dawnround/internal/shared"
	"dawnround/survival"
)

// table reads one of the published or simulated data sets, header left out.
func table(t testing.TB, name string) [][]string {
	t.Helper()
	file, err := os.Open(shared.File(t, "checks/cmr/"+name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func whole(t testing.TB, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func number(t testing.TB, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// histories reads history, count and, where there is one, group; the histories
// of several states are in a file without "histories" in its name.
func histories(t testing.TB, dataset string, states []string) survival.Histories {
	t.Helper()
	h := survival.Histories{States: states}
	file := "datasets/" + dataset + "_histories.csv"
	if states != nil {
		file = "datasets/" + dataset + ".csv"
	}
	for _, row := range table(t, file) {
		caught, err := survival.ParseHistory(row[0], states)
		if err != nil {
			t.Fatal(err)
		}
		h.Caught = append(h.Caught, caught)
		h.Count = append(h.Count, whole(t, row[1]))
		if len(row) > 2 {
			h.Group = append(h.Group, row[2])
		}
	}
	return h
}

// dippers are those of Lebreton, Burnham, Clobert & Anderson (1992); the floods
// struck in the second and third interval.
func dippers(t testing.TB) survival.Histories {
	h := histories(t, "dipper", nil)
	h.ByInterval = map[string][]float64{"flood": {0, 1, 1, 0, 0, 0}}
	return h
}

func of(h survival.Histories, group string) survival.Histories {
	out := survival.Histories{}
	for i, g := range h.Group {
		if g == group {
			out.Caught, out.Count = append(out.Caught, h.Caught[i]), append(out.Count, h.Count[i])
		}
	}
	return out
}

// marray reads how many were released and next caught on each occasion.
func marray(t testing.TB, dataset string) survival.MArray {
	t.Helper()
	var m survival.MArray
	releases := table(t, "datasets/"+dataset+"_releases.csv")
	recaptures := table(t, "datasets/"+dataset+"_marray.csv")
	occasions := 0
	for _, row := range recaptures {
		occasions = max(occasions, whole(t, row[1]))
	}
	for i := range occasions - 1 {
		m.Released = append(m.Released, whole(t, releases[i][len(releases[i])-1]))
		m.Seen = append(m.Seen, make([]int, occasions))
	}
	for _, row := range recaptures {
		m.Seen[whole(t, row[0])-1][whole(t, row[1])-1] = whole(t, row[2])
	}
	return m
}

// covariates reads animal, history, x and whether it was lost.
func covariates(t testing.TB) survival.Histories {
	t.Helper()
	h := survival.Histories{Columns: map[string][]float64{}}
	for _, row := range table(t, "datasets/sim_open_covariate.csv") {
		caught, err := survival.ParseHistory(row[1], nil)
		if err != nil {
			t.Fatal(err)
		}
		h.Caught = append(h.Caught, caught)
		h.Columns["x"] = append(h.Columns["x"], number(t, row[2]))
		h.Lost = append(h.Lost, row[3] == "1")
	}
	return h
}

// pooledVoles counts a vole as caught in a primary period if it was on any of
// its nights.
func pooledVoles(t testing.TB) survival.Histories {
	t.Helper()
	h := histories(t, "vole", nil)
	design := table(t, "datasets/vole_design.csv")
	for i, nights := range h.Caught {
		periods := make([]int, whole(t, design[len(design)-1][1]))
		for night, caught := range nights {
			if caught > 0 {
				periods[whole(t, design[night][1])-1] = 1
			}
		}
		h.Caught[i] = periods
	}
	return h
}

// voles have a column for each night and the primary period of each.
func voles(t testing.TB) survival.Robust {
	t.Helper()
	r := survival.Robust{Histories: histories(t, "vole", nil)}
	for _, row := range table(t, "datasets/vole_design.csv") {
		r.Period = append(r.Period, whole(t, row[1]))
	}
	return r
}
