package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dawnround/internal/shared"
)

// The tables and the picture of density/rodents.md:
//
//	go test ./cmd/dawnround -run TestRodentDensity -args -rodents DIR
var rodentTables = flag.String("rodents", "", "folder in which the tables of the desert rodents are left, with their picture")

// pooled are three successive periods of one species on one plot, one night a
// period, as three nights of a trip.
type pooled struct {
	species, plot string
	periods       []string
}

// published reads a table of the desert rodents, a map for each row.
func published(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(shared.File(t, "data/portal/"+name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, name := range rows[0] {
			cells[name] = row[i]
		}
		out = append(out, cells)
	}
	return out
}

// tables writes the traps and the captures. A stake at which another species
// was caught, or an animal without a tag, was taken; a sex that changes is left
// open; a capture without a stake is left out.
func (p pooled) tables(t *testing.T, dir string) (traps, captures string) {
	t.Helper()
	type night struct {
		stake string
		night int
	}
	taken, sexes := map[night]bool{}, map[string]string{}
	var caught [][3]string
	stakes := p.stakes(t)
	for _, c := range published(t, "captures.csv") {
		n := slices.Index(p.periods, c["period"])
		if n < 0 || c["plot"] != p.plot || c["species"] == "" || !slices.ContainsFunc(stakes, func(s map[string]string) bool { return s["number"] == c["stake"] }) {
			continue
		}
		if c["species"] != p.species || c["tag"] == "" || c["tag"] == "0" || c["tag"] == "-1" {
			taken[night{c["stake"], n}] = true
			continue
		}
		sex := map[string]string{"F": "female", "M": "male"}[c["sex"]]
		if before, known := sexes[c["tag"]]; known && before != sex {
			sex = ""
		}
		sexes[c["tag"]] = sex
		caught = append(caught, [3]string{c["tag"], fmt.Sprint(n + 1), c["stake"]})
	}
	b := &strings.Builder{}
	fmt.Fprintln(b, "trap,x,y,open1,open2,open3,taken1,taken2,taken3")
	for _, s := range stakes {
		fmt.Fprintf(b, "%s,%s,%s,1,1,1", s["number"], s["east"], s["north"])
		for n := range p.periods {
			fmt.Fprintf(b, ",%d", map[bool]int{true: 1}[taken[night{s["number"], n}]])
		}
		fmt.Fprintln(b)
	}
	c := &strings.Builder{}
	fmt.Fprintln(c, "animal,occasion,trap,sex")
	for _, row := range caught {
		fmt.Fprintf(c, "%s,%s,%s,%s\n", row[0], row[1], row[2], sexes[row[0]])
	}
	for name, text := range map[string]string{"traps.csv": b.String(), "captures.csv": c.String()} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "traps.csv"), filepath.Join(dir, "captures.csv")
}

// stakes are those of the plot, with their surveyed places; all were trapped in
// every period.
func (p pooled) stakes(t *testing.T) []map[string]string {
	t.Helper()
	for _, row := range published(t, "trapping.csv") {
		if row["plot"] == p.plot && slices.Contains(p.periods, row["period"]) && row["effort"] != "49" {
			t.Fatalf("period %s: %s traps", row["period"], row["effort"])
		}
	}
	return slices.DeleteFunc(published(t, "stakes.csv"), func(s map[string]string) bool { return s["plot"] != p.plot || s["type"] != "stake" })
}

// TestRodentDensity: Bailey's pocket mice on plot 3 in May, June and July 2007
// (periods 348 to 350 of the Portal Project), as density/rodents.md tells it. The
// plot holds a quarter of a hectare, and 41 animals were caught on it.
func TestRodentDensity(t *testing.T) {
	t.Parallel()
	dir := *rodentTables
	if dir == "" {
		dir = t.TempDir()
	}
	traps, captures := pooled{"PB", "3", []string{"348", "349", "350"}}.tables(t, dir)
	ask := func(more ...string) map[string]float64 {
		args := []string{"density", "--traps", traps, "--captures", captures, "--margin", "30", "--cell", "4", "--trap-kind", "single"}
		return asked(t, slices.Concat(args, more)...)
	}
	plain := ask("--svg", filepath.Join(dir, "rodents.svg"))
	if d := plain["D_per_ha"]; !(d > 41/2.5 && math.Abs(d-147) < 5) || math.Abs(plain["sigma_m"]-6.8) > 0.2 || plain["recaptures_elsewhere"] != 24 {
		t.Errorf("%v", plain)
	}
	response, nights := ask("--detect", "after-capture"), ask("--detect", "occasion")
	if !(response["aicc"] < nights["aicc"] && nights["aicc"] < plain["aicc"]) || !(response["D_per_ha.upper"] > 2*plain["D_per_ha.upper"]) {
		t.Errorf("AICc %.2f after capture, %.2f by night, %.2f constant; up to %.0f a hectare", response["aicc"], nights["aicc"], plain["aicc"], response["D_per_ha.upper"])
	}
	var stdout, stderr bytes.Buffer
	code := run(context.Background(), []string{"fit", "density", "--traps", traps, "--captures", captures, "--margin", "30", "--cell", "4", "--trap-kind", "single", "--json"}, nil, &stdout, &stderr)
	var answer struct{ Warnings []string }
	if err := json.Unmarshal(stdout.Bytes(), &answer); code != 0 || err != nil || !strings.Contains(strings.Join(answer.Warnings, "\n"), "saturation 0.50") {
		t.Errorf("exit %d, %v: %s%s", code, err, stdout.String(), stderr.String())
	}
}
