package density_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"dawnround/density"
	"dawnround/internal/shared"
)

// table reads one of the shared tables, header left out.
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

// simulated is the seeded simulation of traps of a kind, over its cells of 5 m.
func simulated(t testing.TB, kind string) density.Survey {
	t.Helper()
	var trip density.Trip
	at := map[string]int{}
	for _, row := range table(t, "datasets/sim_spatial_traps.csv") {
		trap := density.Trap{Name: row[0], At: density.Point{X: number(t, row[1]), Y: number(t, row[2])}}
		for _, open := range row[3:] {
			trap.Open = append(trap.Open, number(t, open))
		}
		at[row[0]] = len(trip.Traps)
		trip.Traps = append(trip.Traps, trap)
	}
	animals := map[string]int{}
	for _, row := range table(t, "datasets/sim_spatial_"+kind+"_captures.csv") {
		i, ok := animals[row[0]]
		if !ok {
			i = len(trip.Animals)
			animals[row[0]] = i
			trip.Animals = append(trip.Animals, density.Animal{Name: row[0]})
		}
		trip.Animals[i].Caught = append(trip.Animals[i].Caught, density.Capture{Night: whole(t, row[1]) - 1, Trap: at[row[2]]})
	}
	var cells []density.Point
	for _, row := range table(t, "datasets/sim_spatial_cells_5m.csv") {
		cells = append(cells, density.Point{X: number(t, row[0]), Y: number(t, row[1])})
	}
	space, err := density.Given(cells, nil)
	if err != nil {
		t.Fatal(err)
	}
	trip.Space = space
	return density.Survey{trip}
}

// fence is the edge that the cells were laid in.
func fence(t testing.TB) []density.Point {
	t.Helper()
	var ring []density.Point
	for _, row := range table(t, "datasets/sim_spatial_polygon.csv") {
		ring = append(ring, density.Point{X: number(t, row[1]), Y: number(t, row[2])})
	}
	return ring
}
