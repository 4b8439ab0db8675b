package protocol

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"dawnround/internal/shared"
	"dawnround/record"
)

func seeds(t *testing.T, p *Protocol) []record.Body {
	t.Helper()
	lines, err := p.Seed()
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

func TestSeedGivesLinesInTheFilesOrder(t *testing.T) {
	t.Parallel()
	var kinds []string
	for _, line := range seeds(t, parsed(t, small)) {
		kinds = append(kinds, line.Kind())
	}
	want := []string{"person", "site", "trap", "trap", "trap", "labels", "tare"}
	if !slices.Equal(kinds, want) {
		t.Errorf("got %v, want %v", kinds, want)
	}
}

func TestSeedKeepsWhatTheFileSays(t *testing.T) {
	t.Parallel()
	lines := seeds(t, parsed(t, small))
	first := record.Trap{Site: "K", Trap: "K01", Type: "cage", Lat: -20.5, Lon: 145.25, Datum: "GDA2020", To: record.Night{Year: 2026, Month: 3, Day: 1}}
	if lines[2] != first {
		t.Errorf("got %+v, want %+v", lines[2], first)
	}
	if placeless := (record.Trap{Site: "K", Trap: "K02"}); lines[4] != placeless {
		t.Errorf("got %+v, want %+v: without a position there is no datum", lines[4], placeless)
	}
	if mass := lines[6].(record.Tare).Mass; mass.Typed != "102.50" || mass.Milli != 102_500 {
		t.Errorf("tare %+v, want 102.50 as typed", mass)
	}
}

// EPSG:4326 and EPSG:32756 of one point, as computed by PROJ.
func TestSeedTurnsGridReferences(t *testing.T) {
	t.Parallel()
	p := &Protocol{Seeds: Seeds{Sites: []SeedSite{{Site: "S", Datum: "WGS84", Zone: -56, Traps: []SeedTrap{{Trap: "1", East: 334900.5697, North: 6252288.7529}}}}}}
	trap := seeds(t, p)[1].(record.Trap)
	if math.Abs(trap.Lat+33.8568) > 1e-8 || math.Abs(trap.Lon-151.2153) > 1e-8 {
		t.Errorf("got %.9f, %.9f, want -33.8568, 151.2153", trap.Lat, trap.Lon)
	}
}

// The table's own documentation says 31°56'20.29"N 109°4'47.44"W for the site.
func TestDesertStakesLieAtTheirSite(t *testing.T) {
	t.Parallel()
	lat, lon := 31+56/60.+20.29/3600, -(109 + 4/60. + 47.44/3600)
	traps := map[string]int{}
	for _, line := range seeds(t, readOwn(t, own[0])) {
		trap, ok := line.(record.Trap)
		if !ok {
			continue
		}
		traps[trap.Site]++
		if math.Abs(trap.Lat-lat) > 0.005 || math.Abs(trap.Lon-lon) > 0.005 {
			t.Errorf("plot %s stake %s at %.5f, %.5f is half a kilometre from %.5f, %.5f", trap.Site, trap.Trap, trap.Lat, trap.Lon, lat, lon)
		}
	}
	for site, n := range traps {
		if n != 49 {
			t.Errorf("plot %s has %d stakes, want 49", site, n)
		}
	}
	if len(traps) != 24 {
		t.Errorf("%d plots, want 24", len(traps))
	}
}

func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(shared.File(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, column := range all[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func TestDesertSheetsAreThoseOfTheTable(t *testing.T) {
	t.Parallel()
	species := rows(t, "data/portal/species.csv")
	p := readOwn(t, own[0])
	for _, row := range species {
		s, ok := p.Sheet(row["speciescode"])
		if !ok || s.Name != row["commonname"] || s.Scientific != row["scientificname"] || s.Bycatch != (row["censustarget"] == "0") {
			t.Errorf("%s: got %+v, want %v", row["speciescode"], s, row)
			continue
		}
		for trait, column := range map[string]string{"mass": "wgt", "hind_foot": "hfl"} {
			r, _ := s.Range(trait, record.SexUnknown, "")
			low, _ := strconv.ParseFloat(row["min"+column], 64)
			high, _ := strconv.ParseFloat(row["max"+column], 64)
			if r.From != low || r.To != high {
				t.Errorf("%s %s: got %v to %v, want %v to %v", s.Code, trait, r.From, r.To, low, high)
			}
		}
	}
}

func TestEveryDesertCaptureHasItsSheet(t *testing.T) {
	t.Parallel()
	captures := rows(t, "data/portal/captures.csv")
	p := readOwn(t, own[0])
	codes := map[string]int{}
	for _, row := range captures {
		codes[row["species"]]++
	}
	for code, n := range codes {
		if _, ok := p.Sheet(code); !ok && code != "" {
			t.Errorf("%d captures of %s have no sheet", n, code)
		}
	}
}
