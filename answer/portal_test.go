package answer_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"sync"
	"testing"
	"time"

	"dawnround/answer"
	"dawnround/exchange"
	"dawnround/internal/shared"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"
)

// rodents is the published table of desert rodents as a register, read once.
// Its source and citation stand in the example's protocol.
var rodents = sync.OnceValues(func() (*register.Register, error) {
	n, err := notebook.Create(&notebook.Memory{}, id(9997), ed25519.NewKeyFromSeed(bytes.Repeat([]byte{3}, ed25519.SeedSize)), clock)
	if err != nil {
		return nil, err
	}
	p, err := programme.Open(n)
	if err != nil {
		return nil, err
	}
	text, err := os.ReadFile("../examples/desert-rodents/protocol.yaml")
	if err != nil {
		return nil, err
	}
	if _, err := p.Keep("AB", clock(), record.Protocol{Version: "1", Text: string(text)}); err != nil {
		return nil, err
	}
	text, err = os.ReadFile("../examples/desert-rodents/captures.yaml")
	if err != nil {
		return nil, err
	}
	m, err := exchange.ParseMapping("captures.yaml", text)
	if err != nil {
		return nil, err
	}
	table, err := os.ReadFile("../../shared/data/portal/captures.csv")
	if err != nil {
		return nil, err
	}
	if _, err := exchange.Import(context.Background(), p, m, table, exchange.Options{Who: "AB", Now: clock}); err != nil {
		return nil, err
	}
	var r *register.Register
	p.View(func(now *register.Register) { r = now })
	return r, nil
})

// rodentRows reads the table without anything of the product.
func rodentRows(t *testing.T) ([]map[string]string, *register.Register) {
	t.Helper()
	file, err := os.ReadFile(shared.File(t, "data/portal/captures.csv"))
	if err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(bytes.NewReader(file)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, fields := range all[1:] {
		row := map[string]string{}
		for i, f := range fields {
			row[all[0][i]] = f
		}
		if p, err := strconv.Atoi(row["period"]); err == nil && p > 0 {
			rows = append(rows, row)
		}
	}
	r, err := rodents()
	if err != nil {
		t.Fatal(err)
	}
	return rows, r
}

// The technical error of the hind foot, of two species, against a plain recount
// of the table: the variance within a tag of the first reading of each period,
// juveniles left out. The register parts a few tags (one put on anew) and reads
// some cells otherwise, so the two agree to a hundredth, not exactly.
func TestErrorOfTheDesertRodents(t *testing.T) {
	t.Parallel()
	rows, r := rodentRows(t)
	for _, species := range []string{"DM", "PP"} {
		of := map[string]map[string]float64{}
		for _, row := range rows {
			mm, err := strconv.ParseFloat(row["hfl"], 64)
			tag := row["tag"]
			if row["species"] != species || err != nil || mm <= 0 || row["age"] == "J" || tag == "" || tag == "0" || tag == "-1" {
				continue
			}
			if of[tag] == nil {
				of[tag] = map[string]float64{}
			}
			if _, had := of[tag][row["period"]]; !had {
				of[tag][row["period"]] = mm
			}
		}
		within, pairs := 0.0, 0
		for _, periods := range of {
			sum, squares, n := 0.0, 0.0, 0
			for _, mm := range periods {
				sum, squares, n = sum+mm, squares+mm*mm, n+1
			}
			within += squares - sum*sum/float64(n)
			pairs += n - 1
		}
		want := math.Sqrt(within / float64(pairs))
		got, err := answer.HowExact(r, answer.Which{Species: species}, "hind_foot")
		if err != nil {
			t.Fatal(err)
		}
		k := got.Kinds[len(got.Kinds)-1]
		t.Logf("%s: technical error %.4f mm (%.4f–%.4f) of %d pairs; recounted %.4f of %d", species, k.TEM, k.Lower, k.Upper, k.Pairs, want, pairs)
		if k.Kind != answer.Afterward || math.Abs(float64(k.TEM)/want-1) > 0.01 || math.Abs(float64(k.Pairs)/float64(pairs)-1) > 0.01 {
			t.Errorf("%s: %+v, recounted %.4f of %d", species, k, want, pairs)
		}
		if len(got.Handlers) > 0 || got.HandlersSay == "" || len(got.Drift) < 100 {
			t.Errorf("%s: handlers %v, %q, %d points of drift", species, got.Handlers, got.HandlersSay, len(got.Drift))
		}
	}
}

// The share of males with scrotal testes by month, of two species, against a
// plain recount: rows of animals that are not juvenile, each once a period, of
// those with any state written, by the month of the night, which is the day
// before; a tag of both sexes is left out, an untagged row is an animal.
func TestReproductiveConditionOfTheDesertRodents(t *testing.T) {
	t.Parallel()
	rows, r := rodentRows(t)
	for _, species := range []string{"DM", "PP"} {
		want := recountScrotal(rows, species)
		for _, m := range answer.HowBreeding(r, answer.Which{Species: species, Sex: record.Male}, nil).Months {
			if m.Value != "scrotal" {
				continue
			}
			says := fmt.Sprintf("%s, month %d: %d of %d scrotal, recounted %d of %d", species, m.Month, m.With, m.Checked, want[m.Month][0], want[m.Month][1])
			t.Log(says)
			// Corrected ages, odd tags and dates at fault part the two by a few rows.
			got, recounted := float64(m.With)/float64(m.Checked), float64(want[m.Month][0])/float64(want[m.Month][1])
			if math.Abs(got-recounted) > 0.01 || m.Wilson == nil {
				t.Error(says)
			}
		}
	}
}

// recountScrotal gives, by month, males seen scrotal and males with any state.
func recountScrotal(rows []map[string]string, species string) [13][2]int {
	sexes := map[string]map[string]bool{}
	none := func(tag string) bool { return tag == "" || tag == "0" || tag == "-1" }
	for _, row := range rows {
		if row["species"] == species && !none(row["tag"]) && (row["sex"] == "M" || row["sex"] == "F") {
			if sexes[row["tag"]] == nil {
				sexes[row["tag"]] = map[string]bool{}
			}
			sexes[row["tag"]][row["sex"]] = true
		}
	}
	type seen struct {
		month            int
		scrotal, written bool
	}
	visits := map[string]seen{}
	for _, row := range rows {
		tag := row["tag"]
		if row["species"] != species || row["sex"] != "M" && len(sexes[tag]) == 0 || row["age"] == "J" || sexes[tag]["F"] {
			continue
		}
		key := tag + " " + row["period"]
		if none(tag) {
			key = "row " + row["Record_ID"]
		}
		month, _ := strconv.Atoi(row["mo"])
		day, _ := strconv.Atoi(row["dy"])
		year, _ := strconv.Atoi(row["yr"])
		s, had := visits[key]
		if !had {
			s.month = int(time.Date(year, time.Month(month), day-1, 12, 0, 0, 0, time.UTC).Month())
		}
		s.scrotal = s.scrotal || row["testes"] == "S"
		s.written = s.written || row["reprod"] == "Z" || row["testes"] == "S" || row["testes"] == "R" || row["testes"] == "M"
		visits[key] = s
	}
	var out [13][2]int
	for _, s := range visits {
		if s.written {
			out[s.month][1]++
			if s.scrotal {
				out[s.month][0]++
			}
		}
	}
	return out
}
