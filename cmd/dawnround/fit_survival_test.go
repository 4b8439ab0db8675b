package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dawnround/internal/shared"

	"pgregory.net/rapid"
)

// checkedSurvivals are dippers (Lebreton, Burnham, Clobert & Anderson 1992,
// Ecological Monographs 62:67–118) and a seeded simulation with an animal's own
// number; groups stand in the order of the alphabet.
var checkedSurvivals = []checked{
	{"survival dipper_histories.csv --survive constant --detect constant", "cjs.dipper.mle.phi(.)p(.)", map[string]string{
		".m2lnL": "minus2lnL", ".AICc": "aicc", ".phi": "survival", ".phi.se": "survival.se", ".p": "detection", ".p.se": "detection.se",
	}},
	{"survival dipper_histories.csv --survive constant --detect constant", "cjs.dipper.profile.phi", map[string]string{".lower": "survival[profile].lower", ".upper": "survival[profile].upper"}},
	{"survival dipper_histories.csv --survive constant --detect constant --c-hat 1.5", "cjs.dipper.qaicc.counted.phi(.)p(.)", map[string]string{"": "qaicc"}},
	{"survival dipper_histories.csv --survive occasion --detect constant", "cjs.dipper.mle.phi(t)p(.)", map[string]string{
		".m2lnL": "minus2lnL", ".AICc": "aicc", ".phi1": "survival[1]", ".phi2.se": "survival[2].se", ".phi6": "survival[6]", ".p": "detection", ".p.se": "detection.se",
	}},
	{"survival dipper_histories.csv --survive occasion --detect occasion --c-hat 1.5", "cjs.dipper.qaicc.counted.phi(t)p(t)", map[string]string{"": "qaicc"}},
	{"survival dipper_histories.csv --survive sets:1=normal,2=flood,3=flood,4=normal,5=normal,6=normal --detect constant", "cjs.dipper.mle.phi(flood)p(.)", map[string]string{
		".m2lnL": "minus2lnL", ".AICc": "aicc", ".phi_normal": "survival[1]", ".phi_flood": "survival[2]", ".phi_flood.se": "survival[3].se", ".p.se": "detection.se",
	}},
	{"survival dipper_histories.csv --survive group --detect group", "cjs.dipper.mle.phi(sex)p(sex)", map[string]string{
		".m2lnL": "minus2lnL", ".AICc": "aicc", ".phi_female": "survival[female]", ".phi_male.se": "survival[male].se", ".p_male": "detection[male]", ".p_female.se": "detection[female].se",
	}},
	{"survival dipper_histories.csv --survive constant --detect after-capture", "cjs.dipper.mle.phi(.)p(trap)", map[string]string{
		".m2lnL": "minus2lnL", ".AICc": "aicc", ".phi": "survival", ".p_after_capture": "detection[after]", ".p_after_miss": "detection[missed]", ".p_after_miss.se": "detection[missed].se",
	}},

	{"survival dipper_histories.csv --survive constant --detect constant --at survival=0.6;detection=0.9", "cjs.dipper.fixed.A", map[string]string{"": "minus2lnL"}},
	{"survival dipper_histories.csv --survive occasion --detect constant --at survival=0.72,0.45,0.48,0.63,0.60,0.58;detection=0.9", "cjs.dipper.fixed.C", map[string]string{"": "minus2lnL"}},
	{"survival dipper_histories.csv --survive trend --detect constant --at link:0.2,0.05,2.2", "cjs.dipper.fixed.G", map[string]string{"": "minus2lnL"}},
	{"survival dipper_histories.csv --survive group --detect group --at survival[male]=0.57;survival[female]=0.55;detection=0.88,0.92", "cjs.dipper.fixed.I", map[string]string{"": "minus2lnL"}},
	{"survival dipper_histories.csv --survive since-marking:2 --detect constant --at survival=0.5,0.62;detection=0.9", "cjs.dipper.fixed.K", map[string]string{"": "minus2lnL"}},

	{"survival sim_open_covariate.csv --survive x --detect constant", "cjscov.mle.equal", map[string]string{
		".m2lnL": "minus2lnL", ".b0": "link:survival constant", ".b1": "link:survival x", ".b1.se": "link:survival x.se", ".logit_p": "link:detection constant",
	}},
}

// TestUnmarkedAgreeWithChecks: entry and growth of the dippers, the sexes taken
// together as the check table has them (own computations from Schwarz & Arnason
// 1996 and Pradel 1996).
func TestUnmarkedAgreeWithChecks(t *testing.T) {
	t.Parallel()
	table, err := os.ReadFile(shared.File(t, "checks/cmr/datasets/dipper_histories.csv"))
	if err != nil {
		t.Fatal(err)
	}
	together := filepath.Join(t.TempDir(), "dippers.csv")
	if err := os.WriteFile(together, bytes.ReplaceAll(table, []byte(",group"), []byte(",sex")), 0o600); err != nil {
		t.Fatal(err)
	}
	rows := checkRows(t)
	for _, c := range []checked{
		{"--enter occasion", "superpop.dipper", map[string]string{
			".m2lnL": "minus2lnL", ".N_super": "superpopulation", ".N_super.se": "superpopulation.se", ".phi": "survival", ".p.se": "detection.se",
			".b0": "entry[1]", ".b6.se": "entry[7].se", ".B1": "entered[1]", ".N4": "N[4]", ".N7.se": "N[7].se",
		}},
		{"--enter occasion --at N=310;survival=0.56;detection=0.9;entry=0.08,0.17,0.17,0.14,0.14,0.16,0.14", "superpop.dipper.fixed1", map[string]string{"": "minus2lnL"}},
		{"--seniority constant", "pradel.dipper.phi(.)p(.)lambda(.)", map[string]string{
			".m2lnL": "minus2lnL", ".phi": "survival", ".p.se": "detection.se", ".lambda": "growth", ".lambda.se": "growth.se", ".gamma": "seniority", ".f": "recruits",
		}},
		{"--seniority constant --at survival=0.56;detection=0.9;seniority=0.5", "pradel.dipper.fixed5", map[string]string{"": "minus2lnL"}},
	} {
		c.compare(t, rows, slices.Concat([]string{"survival", together, "--survive", "constant", "--detect", "constant"}, strings.Fields(c.args)))
	}
}

// TestTestsAgreeWithChecks: goodness of fit of the dippers, table by table.
func TestTestsAgreeWithChecks(t *testing.T) {
	t.Parallel()
	rows := checkRows(t)
	var stdout, stderr bytes.Buffer
	if code := run(context.Background(), []string{"fit", "tests", "--json", shared.File(t, "checks/cmr/datasets/dipper_histories.csv")}, nil, &stdout, &stderr); code != 0 {
		t.Fatalf("exit %d: %s", code, stderr.String())
	}
	var answer tested
	if err := json.Unmarshal(stdout.Bytes(), &answer); err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, g := range answer.Tests {
		id := "gof.dipper_" + map[string]string{"all animals": "both", "male": "male", "female": "female"}[g.Animals] + "."
		compare := func(name string, got float64) {
			row, ok := rows[id+name]
			if ok {
				compared++
			}
			if ok && !row.holds(got) {
				t.Errorf("%s%s: got %.12g, want %.12g (%s)", id, name, got, row.value, row.tolerance)
			}
		}
		for _, c := range g.Components {
			for _, table := range c.Tables {
				if table.Testable {
					compare(fmt.Sprintf("%s.%d", c.Name, table.Occasion), table.ChiSquare)
				}
			}
			compare(c.Name+".total", c.Sum.ChiSquare)
			compare(c.Name+".z", c.Z)
		}
		compare("overall", g.Overall.ChiSquare)
		compare("chat", g.CHat)
	}
	const inTable = 35 // rows of the check table on the dippers' fit
	if compared != inTable {
		t.Errorf("%d rows of the check table compared, expected %d", compared, inTable)
	}
}

// TestSurvivalKeepsTime: with intervals of two units survival per unit is the
// root of that per interval, counted rows are as many written out, and ĉ widens
// the error by its root.
func TestSurvivalKeepsTime(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		pooled, single := "history,count\n1100,3\n1011,2\n0110,2\n1000,3\n0011,1\n", "history\n1100\n1100\n1100\n1011\n1011\n0110\n0110\n1000\n1000\n1000\n0011\n"
		for range rapid.IntRange(0, 10).Draw(t, "more") {
			history := fmt.Sprintf("%04b", rapid.IntRange(1, 15).Draw(t, "history"))
			pooled, single = pooled+history+",1\n", single+history+"\n"
		}
		write := func(name, text string) string {
			name = filepath.Join(dir, name)
			if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
			return name
		}
		ask := func(file string, more ...string) map[string]float64 {
			return asked(t, slices.Concat([]string{"survival", file, "--survive", "constant", "--detect", "constant"}, more)...)
		}
		file := write("pooled.csv", pooled)
		plain, slow, wide, long := ask(file), ask(file, "--intervals", "2,2,2"), ask(file, "--c-hat", "2.25"), ask(write("single.csv", single))
		near := func(what string, got, want, within float64) {
			if math.Abs(got-want) > within {
				t.Fatalf("%s: %.9g, want %.9g\n%s", what, got, want, pooled)
			}
		}
		near("−2 ln L over longer intervals", slow["minus2lnL"], plain["minus2lnL"], 1e-5)
		near("−2 ln L of rows written out", long["minus2lnL"], plain["minus2lnL"], 1e-5)
		if plain["survival.se"] == 0 || wide["survival.se"] == 0 {
			return // at the end of its range
		}
		near("survival over longer intervals", slow["survival"], math.Sqrt(plain["survival"]), 1e-4)
		near("error with ĉ", wide["survival.se"], 1.5*plain["survival.se"], 1e-9)
	})
}

// TestSurvivalTablesAtFault: what a survival cannot be made from is said.
func TestSurvivalTablesAtFault(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ table, args, want string }{
		{"times_caught,animals\n1,4\n", "tests", "holds frequencies: survival is made from histories"},
		{"history,since-marking\n011,1\n", "tests", "that is a word of the effects"},
		{"history,weight\n0110,20\n0011,\n", "survival --survive constant --detect weight", "line 3, column weight"},
		{"history,weight\n0110,20\n0011,22\n", "survival --survive colour --detect weight", "an effect may also name weight"},
		{"history\n0110\n", "survival --survive constant --detect constant --at detection=0.5", "survival has no value"},
	} {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), slices.Concat([]string{"fit"}, strings.Fields(c.args), []string{"-"}), strings.NewReader(c.table), &stdout, &stderr)
		if code != 1 || !strings.Contains(stderr.String(), c.want) {
			t.Errorf("%q %s: exit %d, %s; want …%s…", c.table, c.args, code, stderr.String(), c.want)
		}
	}
}
