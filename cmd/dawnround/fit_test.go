package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"dawnround/internal/shared"

	"pgregory.net/rapid"
)

// A checked is a use of fit on one of the shared data sets, and where
// its figures stand in the check table (own computations from the papers'
// formulas and published examples, named there row by row).
type checked struct {
	args string
	id   string            // beginning of the rows
	want map[string]string // row's end: figure of the answer
}

// whole adds N with its error and interval, as most rows have it.
func whole(more map[string]string) map[string]string {
	for row, figure := range map[string]string{".m2lnL": "minus2lnL", ".N": "N", ".N.se": "N.se", ".N.lo": "N.lower", ".N.hi": "N.upper"} {
		more[row] = figure
	}
	return more
}

var checkedFits = []checked{
	{"abundance hare_histories.csv --detect constant", "closed.hare.M0", whole(map[string]string{".p": "detection", ".p.se": "detection.se"})},
	{"abundance hare_histories.csv --detect occasion", "closed.hare.Mt", whole(map[string]string{".p1": "detection[1]", ".p6.se": "detection[6].se"})},
	{"abundance hare_histories.csv --detect sets:1=a,2=b,3=c,4=d,5=e,6=f", "closed.hare.Mt", whole(map[string]string{})},
	{"abundance hare_occasions.csv --detect after-capture", "closed.hare.Mb", whole(map[string]string{".p": "detection[first]", ".c": "detection[after]", ".c.se": "detection[after].se"})},
	{"abundance hare_frequencies.csv --detect mixture:2", "closed.hare.Mh2", whole(map[string]string{".p1": "detection[kind 1]", ".p2": "detection[kind 2]", ".w": "share[kind 1]"})},
	{"abundance taxi_a_frequencies.csv --detect constant", "closed.taxi_a.M0", whole(map[string]string{".p": "detection"})},

	{"abundance hare_histories.csv --detect constant --at N=80;detection=0.3", "closed.hare.fixed.M0", map[string]string{"": "minus2lnL"}},
	{"abundance hare_histories.csv --detect occasion --at N=76;detection=0.2,0.35,0.25,0.35,0.3,0.45", "closed.hare.fixed.Mt", map[string]string{"": "minus2lnL"}},
	{"abundance deermice_occasions.csv --detect after-capture --at detection[after]=0.6;N=42;detection[first]=0.35", "closed.deermice.fixed.Mb", map[string]string{"": "minus2lnL"}},
	{"abundance deermice_frequencies.csv --detect mixture:2 --at N=44;share=0.4,0.6;detection=0.2,0.7", "closed.deermice.fixed.Mh2", map[string]string{"": "minus2lnL"}},
	{"abundance sim_closed_covariates.csv --conditional --detect constant --at link:-1.1", "hugcov.p(.).fixed", map[string]string{"": "minus2lnL", ".N": "N"}},
	// the table takes weight from 20 g: −1.1 − 20 · 0.1 is the constant at 0 g
	{"abundance sim_closed_covariates.csv --conditional --detect weight,sex --at link:-3.1,0.1,0.3", "hugcov.p(weight+sex).fixed", map[string]string{"": "minus2lnL", ".N": "N"}},

	{"abundance deermice_occasions.csv --conditional --detect occasion", "huggins.deermice.Mt", map[string]string{".m2lnL": "minus2lnL", ".N": "N", ".N.se": "N.se"}},
	{"abundance sim_closed_covariates.csv --conditional --detect weight,sex,after-capture", "hugcov.p(weight+sex+b)", map[string]string{
		".m2lnL": "minus2lnL", ".N": "N", ".N.se": "N.se", ".b_weight": "link:detection weight", ".b_weight.se": "link:detection weight.se",
		".b_male": "link:detection sex[male]", ".b_before": "link:detection after-capture[after]",
	}},

	{"abundance two_sample_examples.csv --method chapman", "two.carp", map[string]string{".Chapman": "N[carp]", ".Chapman_SE": "N[carp].se", ".Chapman_log-normal_lower": "N[carp].lower", ".Chapman_log-normal_upper": "N[carp].upper"}},
	{"abundance two_sample_examples.csv --method petersen", "two.carp", map[string]string{".LP": "N[carp]", ".LP_SE": "N[carp].se"}},
	{"abundance two_sample_examples.csv --method bailey", "two.carp", map[string]string{".Bailey": "N[carp]", ".Bailey_SE": "N[carp].se"}},
	{"abundance sunfish_schnabel.csv --method schnabel", "schnabel.sunfish", map[string]string{".Schnabel": "N", ".Schnabel_+1": "N[one recapture added]", ".Schnabel_SE(1/N)": "1/N.se"}},
	{"abundance sunfish_schnabel.csv --method schumacher", "schnabel.sunfish", map[string]string{".Schumacher-Eschmeyer": "N"}},
	{"abundance cottontail_frequencies.csv --method jackknife", "jack.cottontail", map[string]string{".N": "N", ".N.se": "N.se", ".order": "order", ".J3": "N[order 3]", ".T3": "test[order 3]", ".J5.se": "N[order 5].se"}},
	{"abundance hare_histories.csv --method chao", "chao.hare", map[string]string{".Chao87": "N", ".Chao87_SE": "N.se", ".Chao87_log_lower": "N.lower", ".Chao_bias-corrected": "N[bias-corrected]", ".Chao_(t-1)/t": "N[few nights]"}},
	{"abundance hare_histories.csv --method coverage", "coverage.hare", map[string]string{".C1.Mth": "N[coverage 1]", ".C2.Mth": "N", ".C3.Mth": "N[coverage 3]"}},
}

// TestFitAgreesWithChecks asks the program, as a person would, for values that
// were computed elsewhere.
func TestFitAgreesWithChecks(t *testing.T) {
	t.Parallel()
	rows := checkRows(t)
	for _, c := range slices.Concat(checkedFits, checkedSurvivals) {
		t.Run(c.args, func(t *testing.T) {
			t.Parallel()
			args := strings.Split(c.args, " ")
			args[1] = shared.File(t, "checks/cmr/datasets/"+args[1])
			c.compare(t, rows, args)
		})
	}
}

// compare holds the answer to what was asked against the rows.
func (c checked) compare(t *testing.T, rows map[string]checkRow, args []string) {
	t.Helper()
	got := asked(t, args...)
	for end, figure := range c.want {
		row, ok := rows[c.id+end]
		value, known := got[figure]
		if !ok || !known {
			t.Errorf("%s%s (in the table: %t), %s (in the answer: %t)", c.id, end, ok, figure, known)
		} else if !row.holds(value) {
			t.Errorf("%s%s: got %.12g, want %.12g (%s)", c.id, end, value, row.value, row.tolerance)
		}
	}
}

type checkRow struct {
	value     float64
	tolerance string
}

func checkRows(t *testing.T) map[string]checkRow {
	t.Helper()
	file, err := os.Open(shared.File(t, "checks/cmr/checks.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]checkRow{}
	for _, row := range table[1:] {
		value, err := strconv.ParseFloat(row[6], 64)
		if err != nil {
			t.Fatal(err)
		}
		rows[row[0]] = checkRow{value, row[7]}
	}
	return rows
}

// holds reads a tolerance: "1e-4 rel" (of the larger of value and 0.001),
// "1e-4 abs" or "exact".
func (c checkRow) holds(got float64) bool {
	size, kind, _ := strings.Cut(c.tolerance, " ")
	if size == "exact" {
		return got == c.value
	}
	bound, err := strconv.ParseFloat(size, 64)
	if kind == "rel" {
		bound *= math.Max(math.Abs(c.value), 0.001)
	}
	return err == nil && math.Abs(got-c.value) <= bound
}

// asked runs fit and gives its figures by name.
func asked(t interface {
	Helper()
	Fatalf(string, ...any)
}, args ...string) map[string]float64 {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if code := run(context.Background(), slices.Concat([]string{"fit", "--json"}, args), nil, &stdout, &stderr); code != 0 {
		t.Fatalf("%v: exit %d: %s", args, code, stderr.String())
	}
	type figures struct {
		Name                       string
		Estimate, SE, Lower, Upper *float64
	}
	var answer struct {
		Parameters, Derived []figures
		Minus2LnL           *float64
		AICc, QAICc         *float64
		N                   *float64
	}
	if err := json.Unmarshal(stdout.Bytes(), &answer); err != nil {
		t.Fatalf("%v: %v in %s", args, err, stdout.String())
	}
	out := map[string]float64{}
	put := func(name string, value *float64) {
		if value != nil {
			out[name] = *value
		}
	}
	put("minus2lnL", answer.Minus2LnL)
	put("N", answer.N)
	put("aicc", answer.AICc)
	put("qaicc", answer.QAICc)
	for _, f := range slices.Concat(answer.Parameters, answer.Derived) {
		if _, twice := out[f.Name]; twice {
			t.Fatalf("%v: %s is there twice", args, f.Name)
		}
		put(f.Name, f.Estimate)
		put(f.Name+".se", f.SE)
		put(f.Name+".lower", f.Lower)
		put(f.Name+".upper", f.Upper)
	}
	return out
}

func TestEffectsAreSplit(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		list string
		want []string // nil: refused
	}{
		{"constant", []string{"constant"}},
		{"weight, sex,after-capture", []string{"weight", "sex", "after-capture"}},
		{"sets:1=a,2=b,3=b", []string{"sets:1=a,2=b,3=b"}},
		{"group,sets:1=a,2=b,after-capture", []string{"group", "sets:1=a,2=b", "after-capture"}},
		{"group*sets:1=a,2=b,mixture:2", []string{"group*sets:1=a,2=b", "mixture:2"}},
		{"sets:1=a,2=b*group", []string{"sets:1=a,2=b*group"}},
		{"group,2=b", nil},
		{"1=a", nil},
		{"group,,trend", nil},
	} {
		got, err := splitEffects("detect", c.list)
		if (err != nil) != (c.want == nil) || !slices.Equal(got, c.want) {
			t.Errorf("%q: got %q, %v; want %q", c.list, got, err, c.want)
		}
	}
}

// TestSummariesTellTheSame: a model that cannot tell nights apart gives one N
// from histories and from the frequencies counted from them, and one that
// cannot tell animals apart from histories and from the nights' counts.
func TestSummariesTellTheSame(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		nights := rapid.IntRange(2, 5).Draw(t, "nights")
		times, caught, fresh := make([]int, nights), make([]int, nights), make([]int, nights)
		histories := "history\n"
		for range rapid.IntRange(3, 12).Draw(t, "animals") {
			history := make([]byte, nights)
			seen := 0
			for night := range history {
				history[night] = '0'
				if rapid.Bool().Draw(t, "caught") {
					history[night] = '1'
					caught[night]++
					if seen == 0 {
						fresh[night]++
					}
					seen++
				}
			}
			if seen > 0 {
				times[seen-1]++
			}
			histories += string(history) + "\n"
		}
		frequencies, counts := "times_caught,animals\n", "occasion,caught,newly_caught\n"
		for i := range nights {
			frequencies += fmt.Sprintf("%d,%d\n", i+1, times[i])
			counts += fmt.Sprintf("%d,%d,%d\n", i+1, caught[i], fresh[i])
		}
		write := func(name, text string) string {
			name = filepath.Join(dir, name)
			if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
			return name
		}
		animals, nightly, often := write("h.csv", histories), write("n.csv", counts), write("f.csv", frequencies)
		same := func(args, other []string) {
			a, b := asked(t, args...), asked(t, other...)
			if math.Abs(a["minus2lnL"]-b["minus2lnL"]) > 1e-6 {
				t.Fatalf("%v: −2 ln L %v, %v: %v", args, a["minus2lnL"], other, b["minus2lnL"])
			}
		}
		same([]string{"abundance", animals, "--detect", "constant"}, []string{"abundance", often, "--detect", "constant"})
		same([]string{"abundance", animals, "--detect", "occasion"}, []string{"abundance", nightly, "--detect", "occasion"})
		for _, method := range []string{"schnabel", "schumacher"} {
			a, b := asked(t, "abundance", animals, "--method", method), asked(t, "abundance", nightly, "--method", method)
			if a["N"] != b["N"] {
				t.Fatalf("%s: N %v from histories, %v from nights", method, a["N"], b["N"])
			}
		}
	})
}

// TestStoppedCoverage: what was resampled until somebody stopped it is told.
func TestStoppedCoverage(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var stdout, stderr bytes.Buffer
	code := run(ctx, []string{"fit", "abundance", "-", "--method", "coverage"}, strings.NewReader("history\n0110\n1100\n0011\n1000\n1110\n"), &stdout, &stderr)
	if code != 1 || !strings.Contains(stdout.String(), "of 1000 resamplings") || !strings.Contains(stderr.String(), "stopped after") {
		t.Errorf("exit %d\n%s\n%s", code, stdout.String(), stderr.String())
	}
	if strings.Contains(stdout.String(), "NaN") || strings.Contains(stdout.String(), "Inf") {
		t.Errorf("an unknown figure is printed:\n%s", stdout.String())
	}
}

// TestNothingUnknownIsPrinted: whatever few animals on few nights give, no
// figure is NaN or infinite, the JSON is JSON, and nothing is our own fault.
func TestNothingUnknownIsPrinted(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		nights := rapid.IntRange(1, 4).Draw(t, "nights")
		table := "history,group,weight\n"
		for range rapid.IntRange(1, 6).Draw(t, "animals") {
			for range nights {
				table += rapid.SampledFrom([]string{"0", "1"}).Draw(t, "caught")
			}
			table += fmt.Sprintf(",%s,%d\n", rapid.SampledFrom([]string{"a", "b"}).Draw(t, "group"), rapid.IntRange(18, 22).Draw(t, "weight"))
		}
		asked := rapid.SampledFrom([]string{
			"abundance --detect constant", "abundance --detect occasion", "abundance --detect group*occasion", "abundance --detect after-capture", "abundance --detect mixture:2", "abundance --conditional --detect weight",
			"abundance --method chapman", "abundance --method petersen", "abundance --method bailey", "abundance --method schnabel", "abundance --method schumacher", "abundance --method jackknife", "abundance --method chao",
			"survival --survive constant --detect constant", "survival --survive occasion --detect occasion", "survival --survive group --detect after-capture --c-hat 1.7",
			"survival --survive since-marking:2 --detect constant", "survival --survive weight --detect group",
			"survival --survive constant --detect constant --enter occasion", "survival --survive group --detect constant --seniority constant", "tests",
		}).Draw(t, "asked")
		for _, as := range [][]string{{"--json"}, nil} {
			var stdout, stderr bytes.Buffer
			args := slices.Concat([]string{"fit"}, strings.Fields(asked), []string{"-"}, as)
			code := run(context.Background(), args, strings.NewReader(table), &stdout, &stderr)
			if strings.Contains(stdout.String(), "NaN") || strings.Contains(stdout.String(), "Inf") || strings.Contains(stderr.String(), "our fault") {
				t.Fatalf("%s\n%s: %s%s", table, asked, stdout.String(), stderr.String())
			}
			if (code == 0) != (stderr.Len() == 0) || code == 0 && as != nil && !json.Valid(stdout.Bytes()) {
				t.Fatalf("%s\n%s: exit %d, %s%s", table, asked, code, stdout.String(), stderr.String())
			}
		}
	})
}

func TestFitExitCodes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		args string
		want int
	}{
		{"abundance - --detect constant", 0},
		{"abundance -", 2},
		{"weather - --detect constant", 2},
		{"abundance - --method loom", 2},
		{"abundance - --method chao --conditional", 2},
		{"abundance - --method schnabel --detect occasion", 2},
		{"abundance - --detect constant,2=b", 2},
		{"abundance - --detect colour", 1},
		{"abundance - --method removal", 1},
		{"abundance - --detect constant --at N=one", 1},
		{"abundance - --detect constant --survive constant", 2},
		{"survival - --survive constant --detect constant", 0},
		{"survival - --survive constant", 2},
		{"survival - --survive constant --detect constant --method chao", 2},
		{"survival - --survive constant --detect constant --c-hat 0.9", 2},
		{"survival - --survive constant --detect constant --c-hat NaN", 2},
		{"survival - --survive constant --detect constant --enter constant --seniority constant", 2},
		{"survival - --survive constant --detect constant --enter constant --c-hat 2", 2},
		{"survival - --survive since-marking:2 --detect constant --seniority constant", 1},
		{"survival - --survive constant --detect constant --intervals 1,x,1", 2},
		{"survival - --survive constant --detect constant --intervals 1,1", 1},
		{"survival - --survive constant --detect constant --intervals 1,0,1", 1},
		{"survival - --survive constant --detect mixture:2", 1},
		{"survival - --survive constant --detect constant --at survival=2;detection=0.5", 1},
		{"survival - --survive constant --detect constant --at survival=0.5", 1},
		{"survival - --survive constant --detect constant --at N=4", 1},
		{"tests -", 0},
		{"tests - --detect constant", 2},
	} {
		var stdout, stderr bytes.Buffer
		if got := run(context.Background(), strings.Fields("fit "+c.args), strings.NewReader("history\n0110\n1100\n0011\n"), &stdout, &stderr); got != c.want {
			t.Errorf("fit %s: exit %d, want %d: %s", c.args, got, c.want, stderr.String())
		}
	}
}
