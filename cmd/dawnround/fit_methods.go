package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnround/abundance"
	"dawnround/fit"
)

// A method is a handbook's estimator, with the tables it can be made from.
type method struct {
	name    string
	from    []string
	assumes string
	source  string
	do      func(*call, *plainTable, *estimated) error
}

func methods() []method {
	const equally = closedAssumes + "every animal is equally catchable on an occasion"
	twice := []string{"two samples", "histories", "night counts"}
	many := []string{"census", "histories", "night counts"}
	often := []string{"frequencies", "histories"}
	return []method{
		{"chapman", twice, equally, "Chapman 1951; variance Seber 1970, as in Seber 1982, section 3.1", twoSamples(abundance.Chapman)},
		{"petersen", twice, equally, "Seber 1982, section 3.1", twoSamples(abundance.Petersen)},
		{"bailey", twice, closedAssumes + "an animal may be met more than once in the second sample", "Bailey 1951, 1952, as in Seber 1982, section 3.1", twoSamples(abundance.Bailey)},
		{"schnabel", many, equally, "Schnabel 1938, as in Seber 1982, section 4.1", multipleMarks(abundance.Schnabel)},
		{"schumacher", many, equally, "Schumacher & Eschmeyer 1943, as in Krebs 1999, chapter 2", multipleMarks(abundance.Schumacher)},
		{"jackknife", often, closedAssumes + "each animal has its own chance of being caught, the same on every night", "Burnham & Overton 1978, Biometrika 65:625–633; 1979, Ecology 60:927–936", (*call).jackknife},
		{"chao", often, closedAssumes + "each animal has its own, small chance of being caught; the figure is a lower bound", "Chao 1987, Biometrics 43:783–791", (*call).chao},
		{"coverage", []string{"histories"}, closedAssumes + "animals differ in catchability, and nights too", "Lee & Chao 1994, Biometrics 50:88–97; error by resampling the animals", (*call).coverage},
		{"removal", []string{"removals"}, "the population is closed but for what is removed; beyond what --detect says, the chance is the same for every animal on every night", "Moran 1951; Zippin 1956, Biometrics 12:163–189", nil},
	}
}

func methodNames() []string {
	var names []string
	for _, m := range methods() {
		names = append(names, m.name)
	}
	return names
}

// count makes a handbook's estimate.
func (c *call) count(t *plainTable, o fitOptions, effects []string) error {
	m := methods()[slices.Index(methodNames(), o.method)]
	if !slices.Contains(m.from, t.layout.name) {
		return t.unfit(m.name, m.from...)
	}
	e := estimated{SampleOf: "animals caught", Derived: []fit.Estimate{}, Warnings: []string{}, Versions: versions()}
	var err error
	if m.do == nil {
		e, err = removed(t, effects)
	} else {
		e.Seed = o.seed
		err = m.do(c, t, &e)
	}
	if err != nil && len(e.Parameters) == 0 {
		return err
	}
	e.Model, e.Table, e.Seed, e.Assumes, e.Source = m.name, t.layout.name, o.seed, m.assumes, m.source
	if printed := c.print(e, e.person); printed != nil {
		return printed
	}
	return err
}

// removed fits the removal model; its interval for N is the profile's.
func removed(t *plainTable, effects []string) (estimated, error) {
	r, effects, err := t.removals(effects)
	if err != nil {
		return estimated{}, err
	}
	fitted, err := abundance.Remove(r, effects...)
	if err != nil {
		return estimated{}, t.unlike(err, withConditional)
	}
	return modelled(fitted), nil
}

// add takes an estimator's N into the answer.
func (e *estimated) add(n abundance.Count, interval string) {
	e.Parameters = append(e.Parameters, n.N)
	e.SampleSize += n.Caught
	says := sentence(n.N, n.Caught, interval)
	if name, named := strings.CutPrefix(n.N.Name, "N["); named {
		says = strings.TrimSuffix(name, "]") + ": " + says
	}
	e.Says = strings.TrimSpace(e.Says + "\n" + says)
	for _, warning := range n.Warnings {
		e.Warnings = append(e.Warnings, strings.TrimPrefix(n.N.Name, "N")+warning)
	}
}

func twoSamples(estimator func(abundance.TwoSample) (abundance.Count, error)) func(*call, *plainTable, *estimated) error {
	return func(_ *call, t *plainTable, e *estimated) error {
		pairs, err := t.pairs()
		if err != nil {
			return err
		}
		for i, p := range pairs {
			n, err := estimator(p.TwoSample)
			if err != nil {
				return fmt.Errorf("%s line %d: %w", t.file, t.lines[i], err)
			}
			n.N.Name += p.name
			e.add(n, "log-normal")
		}
		return nil
	}
}

func multipleMarks(estimator func([]abundance.Census) (abundance.Multiple, error)) func(*call, *plainTable, *estimated) error {
	return func(_ *call, t *plainTable, e *estimated) error {
		census, err := t.census()
		if err != nil {
			return err
		}
		m, err := estimator(census)
		if err != nil {
			return fmt.Errorf("%s: %w", t.file, err)
		}
		e.add(m.Count, "confidence")
		e.derive("N[one recapture added]", m.Adjusted, math.NaN())
		e.derive("1/N", 1/m.N.Value, m.InverseSE)
		return nil
	}
}

func (c *call) jackknife(t *plainTable, e *estimated) error {
	f, err := t.byAnimal()
	if err != nil {
		return err
	}
	j, err := abundance.JackknifeN(f)
	if err != nil {
		return fmt.Errorf("%s: %w", t.file, err)
	}
	e.add(j.Count, "log-normal")
	if len(j.Orders) > 0 {
		e.derive("order", float64(j.Order), math.NaN())
	}
	for k, step := range j.Orders {
		e.derive(fmt.Sprintf("N[order %d]", k+1), step.N, step.SE)
		e.derive(fmt.Sprintf("test[order %d]", k+1), step.Test, math.NaN())
	}
	return nil
}

func (c *call) chao(t *plainTable, e *estimated) error {
	f, err := t.byAnimal()
	if err != nil {
		return err
	}
	n, err := abundance.ChaoN(f)
	if err != nil {
		return fmt.Errorf("%s: %w", t.file, err)
	}
	e.add(n.Count, "log-normal")
	e.Says = strings.Replace(e.Says, "About", "At least about", 1)
	e.derive("N[bias-corrected]", n.BiasCorrected, math.NaN())
	e.derive("N[few nights]", n.FewNights, math.NaN())
	return nil
}

// coverage takes its error from resampling the animals; stopped early, it
// tells how far it came.
func (c *call) coverage(t *plainTable, e *estimated) error {
	const resamplings = 1000
	h, _, err := t.histories(nil)
	if err != nil {
		return err
	}
	n, err := abundance.SampleCoverage(h.Frequencies(), h.NightCounts().Caught)
	if err != nil {
		return fmt.Errorf("%s: %w", t.file, err)
	}
	var stopped error
	if n.N.Status == fit.Estimable {
		replication := fit.Replication{Replicates: resamplings, Seed: e.Seed, Progress: c.progress("resampling")}
		drawn, err := abundance.Resample(c.ctx, replication, h, n.N, func(h abundance.Histories) (fit.Estimate, error) {
			again, err := abundance.SampleCoverage(h.Frequencies(), h.NightCounts().Caught)
			return again.N, err
		})
		n.N = drawn.N
		if drawn.Failed > 0 {
			n.Warnings = append(n.Warnings, fmt.Sprintf("N was not estimable in %d of %d resamplings: they count as without limit", drawn.Failed, drawn.Done))
		}
		if err != nil {
			fmt.Fprintln(c.stderr) // below the progress
			stopped = fmt.Errorf("stopped after %d of %d resamplings: error and interval rest on those", drawn.Done, drawn.Asked)
			n.Warnings = append(n.Warnings, stopped.Error())
		}
	}
	e.add(n.Count, "resampling")
	for _, of := range []struct {
		name  string
		value float64
	}{
		{"N[coverage 1]", n.N1}, {"N[coverage 2]", n.N2}, {"N[coverage 3]", n.N3},
		{"coverage[1]", n.C1}, {"coverage[2]", n.C2}, {"coverage[3]", n.C3}, {"variation of detection", n.CV},
	} {
		e.derive(of.name, of.value, math.NaN())
	}
	return stopped
}
