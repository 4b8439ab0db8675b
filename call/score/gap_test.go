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
var files = []string{"others", "blind", "third", "fourth", "fifth", "sixth", "seventh", "crews", "cases"}

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

// chatter is what is said at a trap line beside the record. Common practice.
var chatter = strings.Split(strings.TrimSpace(`
good girl
steady mate
watch your feet
mind that log
pass me the pen
it's bloody cold
where's the torch
she's a beauty
what a cutie
hang on to the bag
nearly done
can you write that down
my hands are freezing
have you got the sheet
that wind's picking up
keep still little one
ooh she's feisty
don't let her bite you
the sun's coming up
I need another glove
someone grab the esky
who's got the callipers
coffee when we're back
look at those claws
easy now
hold the light there
battery's going flat
can't feel my fingers
we'll be late for breakfast
that's a big one
she's having a go at me
give us a second
quick as you can
it's wet through
he's wriggling
careful of the young
ask Sam for a new bag
I'll do the next one
radio's on again
you right there
back in a sec
stinks in here
calm down darling
`), "\n")

func TestChatterReport(t *testing.T) {
	for _, file := range files {
		var rows [][]string
		said := map[string]string{}
		for n, row := range cases(t, "testdata/"+file+".csv") {
			if strings.Contains(row[4], "both") || strings.Contains(row[4], "asked") || strings.Contains(row[4], "repeat") {
				continue
			}
			parts := strings.Split(row[5], ", ")
			for k := 0; k <= len(parts); k++ {
				c := chatter[(n*7+k*13)%len(chatter)]
				r := append([]string{}, row...)
				all := append(append(append([]string{}, parts[:k]...), c), parts[k:]...)
				r[0], r[5] = fmt.Sprintf("%s/%d", row[0], k), strings.Join(all, ", ")
				rows = append(rows, r)
				said[r[0]] = r[5]
			}
		}
		r := scored(t, rows)
		ids := map[string]bool{}
		for _, v := range r.Silent {
			ids[v.ID] = true
		}
		fmt.Printf("%s: %d with chatter, %d passed, %d with silent wrong, needless %d\n", file, r.Cases, r.Passed, len(ids), r.Needless)
		for _, v := range r.Silent {
			fmt.Printf("  S %s | %s | %s\n", v.ID, said[v.ID], v.Value)
		}
		for _, f := range r.Failures {
			if f.Needless > 0 {
				fmt.Printf("  Q %s | %s | %v\n", f.ID, f.Utterance, f.Wrong)
			}
		}
	}
}
