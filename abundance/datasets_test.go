package abundance_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"dawnround/abundance"
	"dawnround/internal/shared"
)

// table reads one of the published or simulated data sets, header left out.
func table(t *testing.T, name string) [][]string {
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

func whole(t *testing.T, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// frequencies reads times_caught, animals; nights is the longest the table goes.
func frequencies(t *testing.T, dataset string) abundance.Frequencies {
	t.Helper()
	var f abundance.Frequencies
	for _, row := range table(t, "datasets/"+dataset+"_frequencies.csv") {
		f.Nights = whole(t, row[0])
		f.Animals = append(f.Animals, whole(t, row[1]))
	}
	return f
}

// nightCounts reads occasion, caught, newly_caught.
func nightCounts(t *testing.T, dataset string) abundance.NightCounts {
	t.Helper()
	var n abundance.NightCounts
	for _, row := range table(t, "datasets/"+dataset+"_occasions.csv") {
		n.Caught = append(n.Caught, whole(t, row[1]))
		n.New = append(n.New, whole(t, row[2]))
	}
	return n
}

// histories reads history, count.
func histories(t *testing.T, dataset string) abundance.Histories {
	t.Helper()
	var h abundance.Histories
	for _, row := range table(t, "datasets/"+dataset+"_histories.csv") {
		caught, err := abundance.ParseHistory(row[0])
		if err != nil {
			t.Fatal(err)
		}
		h.Caught = append(h.Caught, caught)
		h.Count = append(h.Count, whole(t, row[1]))
	}
	return h
}

// covariates reads animal, history, weight, sex; weight is taken from 20 g, as
// the check table has it.
func covariates(t *testing.T) abundance.Histories {
	t.Helper()
	h := abundance.Histories{Columns: map[string][]float64{}}
	for _, row := range table(t, "datasets/sim_closed_covariates.csv") {
		caught, err := abundance.ParseHistory(row[1])
		if err != nil {
			t.Fatal(err)
		}
		h.Caught = append(h.Caught, caught)
		h.Columns["weight"] = append(h.Columns["weight"], number(t, row[2])-20)
		male := 0.0
		if row[3] == "male" {
			male = 1
		}
		h.Columns["male"] = append(h.Columns["male"], male)
	}
	return h
}

// voles cuts one primary period out of the vole histories.
func voles(t *testing.T, primary int) abundance.Histories {
	t.Helper()
	from, to := -1, 0
	for i, row := range table(t, "datasets/vole_design.csv") {
		if whole(t, row[1]) == primary {
			if from < 0 {
				from = i
			}
			to = i + 1
		}
	}
	h := histories(t, "vole")
	for i := range h.Caught {
		h.Caught[i] = h.Caught[i][from:to]
	}
	return h
}

func census(t *testing.T) []abundance.Census {
	t.Helper()
	var out []abundance.Census
	for _, row := range table(t, "datasets/sunfish_schnabel.csv") {
		out = append(out, abundance.Census{Caught: whole(t, row[1]), Recaught: whole(t, row[2]), AtLarge: whole(t, row[3])})
	}
	return out
}

func twoSample(t *testing.T, example string) abundance.TwoSample {
	t.Helper()
	for _, row := range table(t, "datasets/two_sample_examples.csv") {
		if row[0] == example {
			return abundance.TwoSample{Marked: whole(t, row[1]), Caught: whole(t, row[2]), Recaught: whole(t, row[3])}
		}
	}
	t.Fatalf("no two-sample example %q", example)
	return abundance.TwoSample{}
}
