package score_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"

	"dawnround/call/score"
)

// files are the cases that others wrote, and our own.
var files = []string{"others", "blind", "third", "fourth", "fifth", "sixth", "crews", "cases"}

// header is the first line of a file of cases.
var header = []string{"id", "category", "difficulty", "context", "given", "utterance", "expected"}

// scored scores rows of cases.
func scored(t *testing.T, rows [][]string) score.Result {
	t.Helper()
	var text bytes.Buffer
	w := csv.NewWriter(&text)
	if err := w.WriteAll(append([][]string{header}, rows...)); err != nil {
		t.Fatal(err)
	}
	r, err := score.Run("cases", &text)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// gaps are the cases said with one word after another that nobody knows.
func gaps(row []string) [][]string {
	var out [][]string
	words := strings.Fields(row[5])
	for i, w := range words {
		bare := strings.TrimRight(w, ",.?!;:")
		said := append(append(append([]string{}, words[:i]...), "wibble"+w[len(bare):]), words[i+1:]...)
		gap := append([]string{}, row...)
		gap[0], gap[5] = fmt.Sprintf("%s/%d", row[0], i), strings.Join(said, " ")
		out = append(out, gap)
	}
	return out
}

func TestGapReport(t *testing.T) {
	for _, file := range files {
		var rows [][]string
		for _, row := range cases(t, "testdata/"+file+".csv") {
			rows = append(rows, gaps(row)...)
		}
		said := map[string]string{}
		for _, r := range rows {
			said[r[0]] = r[5]
		}
		r := scored(t, rows)
		ids := map[string]bool{}
		for _, v := range r.Silent {
			ids[v.ID] = true
		}
		fmt.Printf("%s: %d gaps, %d passed, %d with silent wrong, needless %d\n", file, r.Cases, r.Passed, len(ids), r.Needless)
		for _, v := range r.Silent {
			fmt.Printf("  %s | %s | %s\n", v.ID, said[v.ID], v.Value)
		}
	}
}

func TestNoStopsReport(t *testing.T) {
	for _, file := range files {
		var rows [][]string
		said := map[string]string{}
		for _, row := range cases(t, "testdata/"+file+".csv") {
			if strings.Contains(row[4], "both") || strings.Contains(row[4], "typed") || strings.Contains(row[4], "paper") || !strings.ContainsAny(row[5], ",.") || strings.Contains(row[5], "?") || strings.ContainsAny(row[5], "0123456789=") {
				continue
			}
			r := append([]string{}, row...)
			r[5] = strings.NewReplacer(", ", " ", ". ", " ").Replace(row[5])
			rows = append(rows, r)
			said[r[0]] = row[5]
		}
		r := scored(t, rows)
		ids := map[string]bool{}
		for _, v := range r.Silent {
			ids[v.ID] = true
		}
		fmt.Printf("%s: %d no stops, %d passed, %d with silent wrong, needless %d\n", file, r.Cases, r.Passed, len(ids), r.Needless)
		for _, v := range r.Silent {
			fmt.Printf("  %s | %s | %s\n", v.ID, said[v.ID], v.Value)
		}
	}
}
