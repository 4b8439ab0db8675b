package survival_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"dawnround/fit"
	"dawnround/survival"
)

// built are the rows of the check table that this package answers for, by the
// beginning of their names. Rows of other packages are counted by theirs.
var (
	built = map[string]int{
		"cjs.": 99, "cjscov.": 9, "multistate.": 15, "gof.": 35, "js.": 104, "robust.vole.adhoc.phi": 4,
		"robust.": 61, "superpop.": 50, "pradel.": 14,
	}
	elsewhere = map[string]int{"robust.vole.adhoc.N": 6} // closed models of single periods: package abundance
)

// TestChecks compares every row of the table of values to be right about that
// concerns survival, within its own tolerance.
func TestChecks(t *testing.T) {
	t.Parallel()
	got := answers(t)
	counts := map[string]int{}
	for _, row := range table(t, "checks.csv") {
		id := row[0]
		f := family(id)
		counts[f]++
		if _, mine := built[f]; !mine {
			continue
		}
		value, ok := got[id]
		if !ok {
			t.Errorf("%s: nothing computed for it", id)
			continue
		}
		if want := number(t, row[6]); !within(value, want, row[7]) {
			t.Errorf("%s: got %.12g, want %.12g (%s)", id, value, want, row[7])
		}
	}
	for _, list := range []map[string]int{built, elsewhere} {
		for prefix, n := range list {
			if counts[prefix] != n {
				t.Errorf("%s: %d rows in the table, %d listed here", prefix, counts[prefix], n)
			}
		}
	}
}

// family is the longest listed beginning of a row's name.
func family(id string) string {
	best := ""
	for _, list := range []map[string]int{built, elsewhere} {
		for prefix := range list {
			if strings.HasPrefix(id, prefix) && len(prefix) > len(best) {
				best = prefix
			}
		}
	}
	return best
}

// within reads a tolerance such as "1e-4 rel" (to the larger of value and
// 0.001), "1e-4 abs" or "exact".
func within(got, want float64, tolerance string) bool {
	size, kind, _ := strings.Cut(tolerance, " ")
	if size == "exact" {
		return got == want
	}
	bound, err := strconv.ParseFloat(size, 64)
	if err != nil {
		return false
	}
	if kind == "rel" {
		bound *= math.Max(math.Abs(want), 0.001)
	}
	return math.Abs(got-want) <= bound
}

// answers computes all the values the table asks for, under the table's names.
func answers(t *testing.T) map[string]float64 {
	got := map[string]float64{}
	fixedPoints(t, got)
	singleState(t, got)
	severalStates(t, got)
	jollySeber(t, got)
	goodness(t, got)
	robust(t, got)
	superpopulation(t, got)
	growth(t, got)
	return got
}

func fitted(t testing.TB, d survival.Data, m survival.Model) survival.Result {
	t.Helper()
	r, err := survival.Fit(d, m)
	if err != nil {
		t.Fatal(err)
	}
	if !r.Fit.Ending.Converged {
		t.Errorf("%v: %+v", m, r.Fit.Ending)
	}
	return r
}

func model(survive, detect string) survival.Model {
	list := func(effects string) []string {
		if effects == "" {
			return nil
		}
		return strings.Split(effects, ",")
	}
	return survival.Model{Survive: list(survive), Detect: list(detect)}
}

// fixedPoints: the parameters are those of the table's parameters column. A
// group's values stand in the order of the groups' names: females first.
func fixedPoints(t *testing.T, got map[string]float64) {
	yearly := []float64{0.72, 0.45, 0.48, 0.63, 0.60, 0.58}
	point := func(id string, d survival.Data, m survival.Model, phi, p []float64) {
		v, err := survival.Evaluate(d, m, survival.Fixed{"survival": phi, "detection": p})
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got["cjs."+id] = v
	}
	point("dipper.fixed.A", dippers(t), model("", ""), []float64{0.6}, []float64{0.9})
	point("dipper.fixed.C", dippers(t), model("occasion", ""), yearly, []float64{0.9})
	point("dipper.fixed.E", dippers(t), model("occasion", "occasion"), []float64{0.72, 0.45, 0.48, 0.63, 0.60, 0.70}, []float64{0.70, 0.92, 0.91, 0.90, 0.93, 0.75})
	point("dipper.fixed.I", dippers(t), model("group", "group"), []float64{0.55, 0.57}, []float64{0.88, 0.92})
	point("dipper.fixed.K", dippers(t), model("since-marking:2", ""), []float64{0.5, 0.62}, []float64{0.9})
	point("capsid.fixed.A", marray(t, "capsid"), model("", ""), []float64{0.8}, []float64{0.27})
	link := func(id string, d survival.Data, m survival.Model, x ...float64) {
		v, err := survival.EvaluateLink(d, m, x)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got[id] = v
	}
	link("cjs.dipper.fixed.G", dippers(t), model("trend", ""), 0.2, 0.05, 2.2)
	link("cjs.bat.fixed.B", marray(t, "bat"), model("trend", ""), 0.9, -0.02, fit.Logit.Eta(0.75))
	link("cjscov.fixed.1", covariates(t), model("x", ""), 0.7, 0.5, fit.Logit.Eta(0.6))
	link("cjscov.fixed.2", covariates(t), model("x", ""), 0.5, 0, fit.Logit.Eta(0.55))
}

// singleState: the table's names of parameters are given in the order of the
// result's survivals, then detections.
func singleState(t *testing.T, got map[string]float64) {
	note := func(id string, d survival.Data, m survival.Model, names ...string) survival.Result {
		r := fitted(t, d, m)
		got[id+".m2lnL"], got[id+".AICc"] = r.Fit.Minus2LnL, r.AICc
		for i, e := range append(append([]fit.Estimate{}, r.Survival...), r.Detection...) {
			if i < len(names) {
				got[id+"."+names[i]], got[id+"."+names[i]+".se"] = e.Value, e.SE
			}
		}
		return r
	}
	set := map[string]survival.Result{
		"phi(.)p(.)": note("cjs.dipper.mle.phi(.)p(.)", dippers(t), model("", ""), "phi", "p"),
		"phi(t)p(.)": note("cjs.dipper.mle.phi(t)p(.)", dippers(t), model("occasion", ""), "phi1", "phi2", "phi3", "phi4", "phi5", "phi6", "p"),
		"phi(.)p(t)": fitted(t, dippers(t), model("", "occasion")),
		"phi(t)p(t)": fitted(t, dippers(t), model("occasion", "occasion")),
		// The floods are a number for each interval here; sets of occasions say
		// the same and name the two survivals as the table does.
		"phi(flood)p(.)": note("cjs.dipper.mle.phi(flood)p(.)", dippers(t), model("sets:1=normal;2=flood;3=flood;4=normal;5=normal;6=normal", ""), "phi_normal", "phi_flood"),
	}
	detection := set["phi(flood)p(.)"].Detection[0]
	got["cjs.dipper.mle.phi(flood)p(.).p"], got["cjs.dipper.mle.phi(flood)p(.).p.se"] = detection.Value, detection.SE
	note("cjs.dipper.mle.phi(sex)p(sex)", dippers(t), model("group", "group"), "phi_female", "phi_male", "p_female", "p_male")
	note("cjs.dipper.mle.phi(.)p(trap)", dippers(t), model("", "after-capture"), "phi", "p_after_capture", "p_after_miss")
	note("cjs.capsid.mle.phi(.)p(.)", marray(t, "capsid"), model("", ""), "phi", "p")
	bats := note("cjs.bat.mle.phi(trend)p(.)", marray(t, "bat"), model("trend", ""))
	equal := note("cjscov.mle.equal", covariates(t), model("x", ""))
	for i, name := range []string{"b0", "b_year", "b_p"} {
		got["cjs.bat.mle.trend."+name], got["cjs.bat.mle.trend."+name+".se"] = bats.Coefficients[i].Value, bats.Coefficients[i].SE
	}
	for i, name := range []string{"b0", "b1", "logit_p"} {
		got["cjscov.mle.equal."+name], got["cjscov.mle.equal."+name+".se"] = equal.Coefficients[i].Value, equal.Coefficients[i].SE
	}
	compared(t, got, set)
}

// compared: likelihood ratios, weights, averages, QAICc and the profile.
func compared(t *testing.T, got map[string]float64, set map[string]survival.Result) {
	ratio := func(simple, general string, r survival.Result) {
		test, err := fit.LikelihoodRatio(set[simple].Candidate(simple), r.Candidate(general))
		if err != nil {
			t.Error(err)
		}
		id := "cjs.dipper.lrt." + simple + "." + general
		got[id], got[id+".P"] = test.ChiSquare, test.P
	}
	ratio("phi(.)p(.)", "phi(t)p(.)", set["phi(t)p(.)"])
	ratio("phi(.)p(.)", "phi(flood)p(.)", set["phi(flood)p(.)"])
	ratio("phi(flood)p(.)", "phi(t)p(.)", set["phi(t)p(.)"])
	ratio("phi(.)p(.)", "phi(sex)p(.)", fitted(t, dippers(t), model("group", "")))
	// The table counts 11 parameters of phi(t)p(t), as the fit does.
	var results []survival.Result
	for name, r := range set {
		results = append(results, r)
		got["cjs.dipper.qaicc."+name] = fit.QAICc(r.Fit.Minus2LnL, r.Fit.Parameters, r.Released, 1.5, false)
		got["cjs.dipper.qaicc.counted."+name] = fit.QAICc(r.Fit.Minus2LnL, r.Fit.Parameters, r.Released, 1.5, true)
	}
	ranked, mean, err := survival.Average(results, survival.Place{Occasion: 2}, fit.Inflation{})
	if err != nil {
		t.Fatal(err)
	}
	for name, r := range set {
		for _, row := range ranked {
			if row.Name == r.Model.String() {
				got["cjs.dipper.weight."+name] = row.Weight
			}
		}
	}
	got["cjs.dipper.modavg.model-averaged_phi2"] = mean.Value
	got["cjs.dipper.modavg.unconditional_SE_sum_w*sqrt(var+diff^2)"] = mean.SEFirst
	got["cjs.dipper.modavg.unconditional_SE_sqrt(sum_w*(var+diff^2))"] = mean.SE
	profile := set["phi(.)p(.)"].ProfileSurvival(0)
	got["cjs.dipper.profile.phi.lower"], got["cjs.dipper.profile.phi.upper"] = profile.Lower, profile.Upper
	both := dippers(t)
	both.Group = nil
	m, err := both.MArray()
	if err != nil {
		t.Error(err)
	}
	got["cjs.dipper.sat"] = m.Saturated()
}

func severalStates(t *testing.T, got map[string]float64) {
	h := histories(t, "sim_multistate", []string{"A", "B"})
	m := survival.Model{Survive: []string{"state"}, Detect: []string{"state"}, Move: []string{"state"}}
	timed := m
	timed.Move = []string{"state*occasion"}
	point := func(id string, m survival.Model, at survival.Fixed) {
		v, err := survival.Evaluate(h, m, at)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got["multistate."+id] = v
	}
	point("fixed1", m, survival.Fixed{"survival": {0.8, 0.65}, "detection": {0.6, 0.5}, "movement": {0.25, 0.4}})
	point("fixed3", timed, survival.Fixed{
		"survival": {0.75, 0.6}, "detection": {0.6, 0.5},
		"movement": {0.1, 0.2, 0.3, 0.4, 0.25, 0.2, 0.3, 0.4, 0.5, 0.35},
	})
	r := fitted(t, h, m)
	id := "multistate.S(state)psi(state)p(state)"
	got[id+".m2lnL"] = r.Fit.Minus2LnL
	for i, state := range []string{"A", "B"} {
		got[id+".S_"+state], got[id+".S_"+state+".se"] = r.Survival[i].Value, r.Survival[i].SE
		got[id+".p_"+state], got[id+".p_"+state+".se"] = r.Detection[i].Value, r.Detection[i].SE
		name := ".psi_" + []string{"AB", "BA"}[i]
		got[id+name], got[id+name+".se"] = r.Movement[i].Value, r.Movement[i].SE
	}
}

func jollySeber(t *testing.T, got map[string]float64) {
	var caught []int
	for _, row := range table(t, "datasets/capsid_releases.csv") {
		caught = append(caught, whole(t, row[1]))
	}
	s, err := marray(t, "capsid").Samples(caught)
	if err != nil {
		t.Fatal(err)
	}
	plain, adjusted := s.JollySeber(), s.JollySeberAdjusted()
	for i := range caught {
		n := strconv.Itoa(i + 1)
		got["js.capsid.m"+n], got["js.capsid.r"+n], got["js.capsid.z"+n] = float64(s.Marked[i]), float64(s.Again[i]), float64(s.Between[i])
		for id, o := range map[string]survival.JollyOccasion{"js.capsid.unadj.": plain[i], "js.capsid.adj.": adjusted[i]} {
			got[id+"M"+n], got[id+"N"+n], got[id+"phi"+n], got[id+"B"+n] = o.Marked.Value, o.Animals.Value, o.Survival.Value, o.Entered.Value
			got[id+"N.se"+n], got[id+"phi.se"+n], got[id+"phi.sec"+n], got[id+"B.se"+n] = o.Animals.SE, o.Survival.SE, o.SESampled, o.Entered.SE
		}
	}
	// The voles' survival: captures are pooled within each primary period.
	s, err = pooledVoles(t).Samples()
	if err != nil {
		t.Fatal(err)
	}
	for i, o := range s.JollySeber() {
		got["robust.vole.adhoc.phi"+strconv.Itoa(i+1)] = o.Survival.Value
	}
}

func goodness(t *testing.T, got map[string]float64) {
	both := dippers(t)
	for id, h := range map[string]survival.Histories{"gof.dipper_male": of(both, "male"), "gof.dipper_both": both} {
		g, err := survival.Tests(h)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range g.Components {
			for _, table := range c.Tables {
				got[id+"."+c.Name+"."+strconv.Itoa(table.Occasion)] = table.ChiSquare
			}
			got[id+"."+c.Name+".total"], got[id+"."+c.Name+".z"] = c.Sum.ChiSquare, c.Z
		}
		got[id+".overall"], got[id+".chat"] = g.Overall.ChiSquare, g.Ratio
	}
}

// robust: the table's gamma″ is the chance of leaving, of those here, and gamma′
// that of staying away.
func robust(t *testing.T, got map[string]float64) {
	h := voles(t)
	point := func(id string, m survival.Model, at survival.Fixed) {
		v, err := survival.Evaluate(h, m, at)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got["robust.vole."+id] = v
	}
	p := []float64{0.6, 0.5, 0.45, 0.6, 0.6, 0.6}
	var nightly []float64
	for _, base := range p {
		for _, offset := range []float64{0, 0.05, -0.05, 0.02, -0.1} {
			nightly = append(nightly, base+offset)
		}
	}
	random, markov := model("", "period"), model("", "period")
	random.Emigration, markov.Emigration = survival.Random, survival.Markov
	point("fixed1", model("", "period"), survival.Fixed{"survival": {0.7}, "detection": p})
	point("fixed3", random, survival.Fixed{"survival": {0.75}, "detection": p, "emigration": {0.15}})
	point("fixed5", model("", "occasion"), survival.Fixed{"survival": {0.7}, "detection": nightly})
	for id, m := range map[string]survival.Model{"robust.vole.S(.)no_p(primary)": model("", "period"), "robust.vole.S(.)markov_p(primary)": markov} {
		r := fitted(t, h, m)
		got[id+".m2lnL"] = r.Fit.Minus2LnL
		note := func(name string, e fit.Estimate) { got[id+"."+name], got[id+"."+name+".se"] = e.Value, e.SE }
		note("S", r.Survival[0])
		for i := range r.Detection {
			note("p"+strconv.Itoa(i+1), r.Detection[i])
			note("N"+strconv.Itoa(i+1), r.N[i])
		}
		if len(r.Emigration) > 0 {
			note("gamma''", r.Emigration[0])
			note("gamma'", r.Emigration[1])
		}
	}
}

// superpopulation: the table leaves the sexes together.
func superpopulation(t *testing.T, got map[string]float64) {
	h := dippers(t)
	h.Group = nil
	constant, timed := model("", ""), model("occasion", "occasion")
	for _, m := range []*survival.Model{&constant, &timed} {
		m.Population, m.Populate = survival.Entry, []string{"occasion"}
	}
	given := constant
	given.GivenCaught = true
	shares := []float64{0.08, 0.17, 0.17, 0.14, 0.14, 0.16, 0.14}
	point := func(id string, m survival.Model, at survival.Fixed) {
		at["entry"] = shares
		v, err := survival.Evaluate(h, m, at)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got["superpop.dipper."+id] = v
	}
	point("fixed1", constant, survival.Fixed{"N": {310}, "survival": {0.56}, "detection": {0.9}})
	point("fixed1.cond", given, survival.Fixed{"survival": {0.56}, "detection": {0.9}})
	point("fixed.tt", timed, survival.Fixed{
		"N": {315}, "survival": {0.72, 0.45, 0.48, 0.63, 0.6, 0.58},
		"detection": {0.85, 0.7, 0.92, 0.91, 0.9, 0.93, 0.89},
	})
	r := fitted(t, h, constant)
	id := "superpop.dipper."
	got[id+"m2lnL"] = r.Fit.Minus2LnL
	note := func(name string, e fit.Estimate) { got[id+name], got[id+name+".se"] = e.Value, e.SE }
	note("N_super", named(t, r.Populated, "superpopulation"))
	note("phi", r.Survival[0])
	note("p", r.Detection[0])
	for i := range 7 {
		n := strconv.Itoa(i + 1)
		note("b"+strconv.Itoa(i), named(t, r.Populated, "entry["+n+"]"))
		note("N"+n, r.N[i])
		if i < 6 {
			note("B"+n, named(t, r.Populated, "entered["+n+"]"))
		}
	}
}

func named(t *testing.T, estimates []fit.Estimate, name string) fit.Estimate {
	t.Helper()
	for _, e := range estimates {
		if e.Name == name {
			return e
		}
	}
	t.Errorf("no estimate named %s", name)
	return fit.Lost(name)
}

func growth(t *testing.T, got map[string]float64) {
	h := dippers(t)
	h.Group = nil
	with := func(m survival.Model, population survival.Population, effects ...string) survival.Model {
		m.Population, m.Populate = population, effects
		return m
	}
	point := func(id string, m survival.Model, at survival.Fixed) {
		v, err := survival.Evaluate(h, m, at)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		got["pradel.dipper."+id] = v
	}
	point("fixed1", with(model("", ""), survival.Growth), survival.Fixed{"survival": {0.56}, "detection": {0.9}, "growth": {1.05}})
	point("fixed3", with(model("occasion", ""), survival.Growth, "occasion"), survival.Fixed{
		"survival": {0.72, 0.45, 0.48, 0.63, 0.6, 0.58}, "detection": {0.9}, "growth": {2.2, 1.1, 1.05, 1.1, 1.1, 0.95},
	})
	point("fixed5", with(model("", ""), survival.Seniority), survival.Fixed{"survival": {0.56}, "detection": {0.9}, "seniority": {0.5}})
	r := fitted(t, h, with(model("", ""), survival.Growth))
	id := "pradel.dipper.phi(.)p(.)lambda(.)."
	got[id+"m2lnL"] = r.Fit.Minus2LnL
	for name, e := range map[string]fit.Estimate{
		"phi": r.Survival[0], "p": r.Detection[0], "lambda": named(t, r.Populated, "growth"),
		"f": named(t, r.Populated, "recruits"), "gamma": named(t, r.Populated, "seniority"),
	} {
		got[id+name], got[id+name+".se"] = e.Value, e.SE
	}
}
