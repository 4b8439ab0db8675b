package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dawnround/density"
	"dawnround/internal/shared"

	"pgregory.net/rapid"
)

// spatial are the values of the check table that a person can ask for as they
// stand; those on the link scale have the table's x from 52.5 m and its slope by
// 100 m turned into ones from 0 by the metre.
var spatial = []struct {
	kind, args string
	checked
}{
	{"multi", "", checked{id: "multi.half-normal_Poisson", want: map[string]string{
		".m2lnL": "minus2lnL", ".D": "D_per_ha", ".D.se": "D_per_ha.se", ".D.lo": "D_per_ha.lower", ".D.hi": "D_per_ha.upper",
		".g0": "detection", ".g0.se": "detection.se", ".sigma": "sigma_m", ".sigma.se": "sigma_m.se",
		".effective_area": "effective_area_ha", ".effective_area.se": "effective_area_ha.se", ".E(N)_in_area": "N[expected]", ".E(N)_in_area.se": "N[expected].se",
	}}},
	{"proximity", "--count binomial", checked{id: "proximity.half-normal_binomial", want: map[string]string{".m2lnL": "minus2lnL", ".D": "D_per_ha", ".D.se": "D_per_ha.se", ".D.hi": "D_per_ha.upper"}}},
	{"proximity", "--detect after-capture", checked{id: "proximity.half-normal_trap response", want: map[string]string{".m2lnL": "minus2lnL", ".g0": "detection[first]", ".b_logit": "link:detection after-capture[after]", ".D.lo": "D_per_ha.lower"}}},
	{"proximity", "--count conditional", checked{id: "proximity.half-normal_conditional", want: map[string]string{".m2lnL": "minus2lnL", ".D": "D_per_ha", ".SE D (Poisson N)": "D_per_ha.se", ".SE D (binomial N)": "D_per_ha[number fixed].se"}}},
	{"multi", "--density x", checked{id: "multi.half-normal_trend_D", want: map[string]string{".m2lnL": "minus2lnL", ".g0": "detection", ".sigma.se": "sigma_m.se"}}},
	{"multi", "--at D_per_ha=12;detection=0.18;sigma_m=16", checked{id: "multi.fixed.half-normal_Poisson", want: map[string]string{"": "minus2lnL"}}},
	{"multi", "--count binomial --at N=45.72;g0=0.18;sigma=16", checked{id: "multi.fixed.half-normal_binomial", want: map[string]string{"": "minus2lnL"}}},
	{"multi", "--shape exponential --at D=12;g0=0.3;sigma=10", checked{id: "multi.fixed.exponential_Poisson", want: map[string]string{"": "minus2lnL"}}},
	{"proximity", "--shape hazard-half-normal --at D=12;lambda0=0.2;sigma=16", checked{id: "proximity.fixed.hazard half-normal_Poisson", want: map[string]string{"": "minus2lnL"}}},
	{"proximity", "--density x --at link:2.169906649788,0.006,-1.516347489,2.772588722239781", checked{id: "proximity.fixed.half-normal_trend_D", want: map[string]string{"": "minus2lnL"}}},
	{"proximity", "--count conditional --at detection=0.18;sigma_m=16", checked{id: "proximity.fixed.half-normal_conditional", want: map[string]string{"": "minus2lnL"}}},
}

// TestDensityAgreesWithChecks asks the program, as a person would, with the
// cells of the check table and with the fence they were laid in.
func TestDensityAgreesWithChecks(t *testing.T) {
	t.Parallel()
	rows := checkRows(t)
	file := func(name string) string { return shared.File(t, "checks/cmr/datasets/sim_spatial_"+name+".csv") }
	for i, c := range spatial {
		t.Run(c.kind+" "+c.args, func(t *testing.T) {
			t.Parallel()
			args := []string{"density", "--traps", file("traps"), "--captures", file(c.kind + "_captures"), "--trap-kind", c.kind}
			if i%2 == 0 {
				args = append(args, "--cells", file("cells_5m"))
			} else {
				args = append(args, "--fence", file("polygon"), "--cell", "5")
			}
			c.id = "spatial." + c.id
			c.compare(t, rows, append(args, strings.Fields(c.args)...))
		})
	}
}

// TestNothingUnknownOfDensity: whatever few animals at few traps give, no figure
// is NaN or infinite, nor in the picture, and nothing is our own fault.
func TestNothingUnknownOfDensity(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write := func(name, text string) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return name
	}
	traps := write("traps.csv", "trap,x,y,open1,open2,open3\n0,0,0,1,1,1\n1,15,0,1,1,1\n2,30,0,1,1,0.5\n3,0,15,1,1,1\n4,15,15,1,1,1\n5,30,15,1,1,1\n")
	rapid.Check(t, func(t *rapid.T) {
		table := "animal,occasion,trap,group\n"
		for animal := range rapid.IntRange(1, 6).Draw(t, "animals") {
			group := rapid.SampledFrom([]string{"a", "b", ""}).Draw(t, "group")
			for night := 1; night <= 3; night++ {
				if trap := rapid.IntRange(-5, 5).Draw(t, "trap"); trap >= 0 {
					table += fmt.Sprintf("%d,%d,%d,%s\n", animal, night, trap, group)
				}
			}
		}
		if strings.Count(table, "\n") == 1 {
			table += "0,1,0,a\n"
		}
		captures := write("captures.csv", table)
		asked := []string{
			"fit", "density", "--traps", traps, "--captures", captures, "--margin", "30", "--cell", "10",
			"--trap-kind", rapid.SampledFrom([]string{"multi", "proximity", "single"}).Draw(t, "kind"),
			"--shape", rapid.SampledFrom([]string{"half-normal", "hazard-half-normal", "exponential"}).Draw(t, "shape"),
			"--count", rapid.SampledFrom([]string{"poisson", "binomial", "conditional"}).Draw(t, "count"),
			"--detect", rapid.SampledFrom([]string{"constant", "occasion", "after-capture", "trend"}).Draw(t, "detect"),
			"--density", rapid.SampledFrom([]string{"constant", "x"}).Draw(t, "density"),
		}
		svg := filepath.Join(dir, "where.svg")
		os.Remove(svg)
		for _, as := range [][]string{{"--json"}, {"--svg", svg}} {
			var stdout, stderr bytes.Buffer
			code := run(context.Background(), slices.Concat(asked, as), nil, &stdout, &stderr)
			drawn, _ := os.ReadFile(svg)
			if all := stdout.String() + string(drawn); strings.Contains(all, "NaN") || strings.Contains(all, "Inf") || strings.Contains(stderr.String(), "our fault") {
				t.Fatalf("%s\n%s: %s%s", table, asked, stdout.String(), stderr.String())
			}
			if code != 0 || as[0] == "--json" && !json.Valid(stdout.Bytes()) {
				t.Fatalf("%s\n%s: exit %d, %s%s", table, asked, code, stdout.String(), stderr.String())
			}
		}
	})
}

// TestStoppedDensity: a fit that is stopped says so, and estimates nothing.
func TestStoppedDensity(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	file := func(name string) string { return shared.File(t, "checks/cmr/datasets/sim_spatial_"+name+".csv") }
	var stdout, stderr bytes.Buffer
	code := run(ctx, []string{"fit", "density", "--traps", file("traps"), "--captures", file("multi_captures"), "--margin", "60", "--trap-kind", "multi"}, nil, &stdout, &stderr)
	if code != 1 || !strings.Contains(stdout.String(), "is not estimated: the work was stopped") || !strings.Contains(stderr.String(), "stopped after") {
		t.Errorf("exit %d\n%s\n%s", code, stdout.String(), stderr.String())
	}
	if strings.Contains(stdout.String(), "NaN") {
		t.Errorf("an unknown figure is printed:\n%s", stdout.String())
	}
}

// TestDensityTablesAtFault: a table that cannot stand is refused with its place.
func TestDensityTablesAtFault(t *testing.T) {
	t.Parallel()
	const traps, captures = "trap,x,y,open1,open2\na,0,0,1,1\nb,10,0,1,1\n", "animal,occasion,trap\n1,1,a\n"
	for _, c := range []struct{ traps, captures, space, want string }{
		{"trap,x,y,open1,cover\na,0,0,1,3\nb,9,0,1,\n", captures, "", `line 3, column cover: "": expected a number`},
		{traps, captures, "x,y,grass\n0,0,1\n5,0,thick\n", `line 3, column grass: "thick": expected a number`},
		{"trap,x,y\na,0,0\n", captures, "", "no column open1"},
		{"trap,x,y,open1,open3\na,0,0,1,1\n", captures, "", "column open3: the night before it has none"},
		{"trap,x,open1\na,0,1\n", captures, "", "no column y; a table of traps has trap,x,y"},
		{"trap,x,y,open1\na,0,north,1\n", captures, "", `line 2, column y: "north": expected a number`},
		{"trap,x,y,open1\na,0,0,yes\n", captures, "", `column open1: "yes": expected an effort of 0 or more`},
		{"trap,x,y,open1\na,0,0,1\na,5,0,1\n", captures, "", "a name that no other trap of the trip has"},
		{"trap,x,y,open1,open2,taken1\na,0,0,1,1,0\n", captures, "", "give both for every night"},
		{"trap,x,y,open1,taken1\na,0,0,1,maybe\n", captures, "", "1 where the trap was sprung"},
		{"trap,x,y,open1,trip\na,0,0,1,p\na,0,0,1,q\n", captures, "", "say of every capture in a column trip of which"},
		{traps, "animal,night,trap\n1,1,a\n", "", "no column occasion"},
		{traps, "animal,occasion,trap\n1,3,a\n", "", `column occasion: "3": expected a night from 1 to 2`},
		{traps, "animal,occasion,trap\n,1,a\n", "", "the animal's name or number"},
		{traps, "animal,occasion,trap,group\n1,1,a,f\n1,2,a,m\n", "", "expected f, as on an earlier row of this animal"},
		{traps, "animal,occasion,trap,trip\n1,1,a,x\n", "", "a trip that the table of traps has"},
		{traps, "animal,occasion,trap,not_released_at_last_capture\n1,1,a,dead\n", "", "1 where the animal died"},
		{traps, "animal,occasion,trap\n1,1,a\n1,1,b\n", "", `in traps "a" and "b": a trap that holds an animal leaves it no second`},
		{traps, captures, "x,y\n0,0\n", "1 cells: expected two at least"},
		{traps, captures, "x,y\n0,0\n0,0\n5,0\n", "is there twice"},
		{traps, captures, "x,y,trip\n0,0,p\n5,0,p\n", `no cells for trip ""`},
	} {
		dir := t.TempDir()
		args := []string{"fit", "density", "--trap-kind", "multi"}
		if strings.Contains(c.want, "cover") {
			args = append(args, "--detect", "cover")
		}
		if strings.Contains(c.want, "grass") {
			args = append(args, "--density", "grass")
		}
		for name, text := range map[string]string{"traps": c.traps, "captures": c.captures, "cells": c.space} {
			if text == "" {
				args = append(args, "--margin", "20")
				continue
			}
			file := filepath.Join(dir, name+".csv")
			if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
			args = append(args, "--"+name, file)
		}
		var stdout, stderr bytes.Buffer
		if code := run(context.Background(), args, nil, &stdout, &stderr); code != 1 || !strings.Contains(stderr.String(), c.want) {
			t.Errorf("%q %q %q: exit %d, %s; want …%s…", c.traps, c.captures, c.space, code, stderr.String(), c.want)
		}
	}
}

// FuzzDensityTables: no table makes the readers fall, and what they let through
// can be laid out, or is refused in words.
func FuzzDensityTables(f *testing.F) {
	f.Add("trap,x,y,open1,open2,cover,taken1,taken2\na,0,0,1,0.5,3,0,1\nb,10,5,1,1,2,0,0\n", "animal,occasion,trap,group,not_released_at_last_capture\n1,1,a,f,0\n1,2,b,,1\n", "x,y,grass\n0,0,1\n5,0,2\n", "vertex,x,y,ring\n1,0,0,a\n2,50,0,a\n3,50,50,a\n")
	f.Add("trip,trap,x,y,open1\np,a,0,0,1\nq,a,1,1,\n", "trip,animal,occasion,trap,sex\np,1,1,a,unknown\n", "x,y,trip\n0,0,p\n1,0,q\n5,5,p\n2,0,q\n", "vertex,x,y\n1,1e300,0\n2,0,0\n3,-1e300,1\n")
	f.Fuzz(func(t *testing.T, traps, captures, cells, fence string) {
		if table, err := readLayout("fence.csv", []byte(fence), fenceLayout); err == nil {
			if rings, err := table.rings(); err == nil {
				if space, err := density.Within(rings, 5); err == nil && !(space.AreaHa() > 0) {
					t.Errorf("a space of %g ha", space.AreaHa())
				}
			}
		}
		table, err := readLayout("traps.csv", []byte(traps), trapLayout)
		if err != nil {
			return
		}
		s, err := table.trips()
		if err != nil {
			return
		}
		if table, err = readLayout("captures.csv", []byte(captures), captureLayout); err != nil || table.animals(s) != nil {
			return
		}
		if table, err = readLayout("cells.csv", []byte(cells), cellLayout); err != nil || table.cells(s) != nil {
			return
		}
		e, err := density.EvaluateLink(s, density.Model{Traps: density.Proximity}, []float64{1, 0, 2})
		if err == nil && (len(e.EffectiveHa) != len(s) || e.EffectiveHa[0] < 0) {
			t.Errorf("%+v of %d trips", e, len(s))
		}
	})
}
