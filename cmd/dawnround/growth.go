package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"dawnround/chart"
	"dawnround/fit"
	curves "dawnround/growth/fitting"
	"dawnround/register"
)

// growthAsked is what growth fit was asked.
type growthAsked struct {
	model                      string
	random, season, outliers   bool
	sexes                      bool
	technicalError             float64
	alpha, beta                float64
	newborn                    string
	species, trait, unit, site string
	sex                        string
}

// measuredSizes are the readings of a table or a programme, and where they are
// from.
type measuredSizes struct {
	readings             []curves.Reading
	species, trait, unit string
	from, state          string
	left                 []string
}

// growth fits a curve, adopts one, shows those adopted, or tells what one
// expects.
func (c *call) growth() error {
	then := map[string]func() error{"expect": c.growthExpect, "adopt": c.growthAdopt, "show": c.growthShow}
	if len(c.given) > 0 && then[c.given[0]] != nil {
		do := then[c.given[0]]
		c.given = c.given[1:]
		return do()
	}
	return c.growthFit()
}

// growthFit fits a growth curve to a table of repeated measures, or to those of
// the programme.
func (c *call) growthFit() error {
	var o growthAsked
	c.flags.StringVar(&o.newborn, "newborn", "", "linear: smallest and largest size of a newborn, 5.6,7.6")
	c.flags.StringVar(&o.model, "model", "", "fabens or francis without ages, linear for pouch young of unknown age; von-bertalanffy, gompertz, logistic or richards; unless given, what the data allow")
	c.flags.BoolVar(&o.random, "random", false, "asymptotes of the animals' own, with --model von-bertalanffy and the other curves")
	c.flags.BoolVar(&o.season, "season", false, "francis: a season of growth")
	c.flags.BoolVar(&o.outliers, "outliers", false, "francis: a share of outliers")
	c.flags.Float64Var(&o.alpha, "alpha", 0, "francis: the smaller of the two sizes; the fifths of the data unless given")
	c.flags.Float64Var(&o.beta, "beta", 0, "francis: the larger of the two sizes")
	c.flags.Float64Var(&o.technicalError, "technical-error", 0, "s.d. of one reading, where it is known; else it is estimated")
	c.flags.BoolVar(&o.sexes, "sexes", false, "females and males apart")
	c.flags.StringVar(&o.species, "species", "", "the species: its code in the programme, or what the curve of a table is of")
	c.flags.StringVar(&o.trait, "trait", "", "the trait: as on the species sheet, or what the values of a table are; mass too")
	c.flags.StringVar(&o.unit, "unit", "mm", "the unit of a table's values, as a UCUM code")
	c.flags.StringVar(&o.site, "site", "", "only captures at this site of the programme")
	c.flags.StringVar(&o.sex, "sex", "", "only females or males")
	svg := c.svg()
	if err := c.parse(1, 2); err != nil {
		return err
	}
	if err := o.check(c.args); err != nil {
		return err
	}
	m, err := c.measured(o)
	if err != nil {
		return err
	}
	results, err := o.fit(m)
	if err != nil {
		return err
	}
	if *svg != "" {
		if err := c.draw(*svg, results.fits); err != nil {
			return err
		}
	}
	return c.print(results.answer(m), results.answer(m).person)
}

func (o growthAsked) check(args []string) error {
	switch {
	case args[0] != "fit":
		return errUsage{fmt.Sprintf("%q is not known here; write growth fit TABLE.csv, growth adopt FILE, growth show, or growth expect", args[0])}
	case len(args) == 1 && (o.species == "" || o.trait == ""):
		return errUsage{"growth fit takes a TABLE, or --species and --trait of the programme"}
	case o.sex != "" && o.sex != "female" && o.sex != "male":
		return errUsage{fmt.Sprintf("--sex %q: write female or male", o.sex)}
	case o.sexes && o.sex != "":
		return errUsage{"--sexes fits both sexes apart, --sex only one; choose one"}
	case o.technicalError < 0 || math.IsNaN(o.technicalError) || math.IsInf(o.technicalError, 0):
		return errUsage{"--technical-error is a number above 0, in the unit of the values"}
	case o.model != "" && !slices.Contains(growthModels(), o.model):
		return errUsage{fmt.Sprintf("--model %q: expected %s", o.model, strings.Join(growthModels(), ", "))}
	case (o.newborn != "") != (o.model == linear):
		return errUsage{"--newborn SMALLEST,LARGEST and --model linear go together"}
	case o.random && (o.model == "fabens" || o.model == "francis" || o.model == linear):
		return errUsage{"--random belongs to the curves; for animals of unknown age write --model von-bertalanffy --random"}
	case o.technicalError > 0 && (o.model == "fabens" || !o.random && o.model != "" && o.model != "francis"):
		return errUsage{"--technical-error belongs to francis and to asymptotes of the animals' own (--random); one curve for all finds its residual itself"}
	case (o.season || o.outliers || o.alpha != 0 || o.beta != 0) && o.model != "francis":
		return errUsage{"--season, --outliers, --alpha and --beta belong to --model francis"}
	case (o.alpha != 0) != (o.beta != 0) || o.alpha > o.beta:
		return errUsage{"--alpha and --beta go together, the smaller size first"}
	}
	return nil
}

// hyphened is a form as it is written on the command line.
func hyphened(form string) string { return strings.ReplaceAll(strings.ToLower(form), " ", "-") }

// linear is the model of pouch young in the straight phase of their growth.
const linear = "linear"

func growthModels() []string {
	models := []string{"fabens", "francis", linear}
	for _, form := range curves.KnownForms() {
		models = append(models, hyphened(form))
	}
	return models
}

// measured reads the table, or the programme where no table is named.
func (c *call) measured(o growthAsked) (measuredSizes, error) {
	var m measuredSizes
	if len(c.args) == 2 {
		text, err := c.readFile(c.args[1])
		if err != nil {
			return m, err
		}
		m.readings, err = readSizes(c.args[1], text)
		sum := sha256.Sum256(text)
		m.species, m.trait, m.unit, m.from = orElse(o.species, "species not told"), orElse(o.trait, "size"), o.unit, filepath.Base(c.args[1])
		m.state = "sha256:" + hex.EncodeToString(sum[:])
		if err != nil {
			return m, err
		}
	} else {
		p, done, err := c.read()
		if err != nil {
			return m, err
		}
		defer done()
		p.View(func(r *register.Register) { m, err = sizesIn(r, o) })
		if err != nil {
			return m, err
		}
	}
	if o.sex != "" {
		m.readings = slices.DeleteFunc(m.readings, func(r curves.Reading) bool { return r.Sex != o.sex })
	}
	return m, nil
}

// draw writes one picture, or one for each sex.
func (c *call) draw(name string, fits []curves.Result) error {
	for _, f := range fits {
		file := name
		if len(fits) > 1 {
			end := filepath.Ext(name)
			file = strings.TrimSuffix(name, end) + "-" + f.Relation.Sex + end
		}
		err := c.write(file, func(w io.Writer) error {
			_, err := io.WriteString(w, f.Picture().File(chart.Paper))
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// fits are the results asked for, and what they were chosen from.
type fits struct {
	fits      []curves.Result
	compared  []fit.Ranked
	test      *fit.Test // of the sexes, where they are apart
	notChosen []string
}

// fit fits what was asked, or what the data allow.
func (o growthAsked) fit(m measuredSizes) (fits, error) {
	agesKnown := slices.ContainsFunc(m.readings, func(r curves.Reading) bool { return !math.IsNaN(r.Age) })
	model, out, err := o.choose(m.readings, agesKnown)
	if err != nil {
		return out, err
	}
	if o.sexes {
		s, err := curves.BySex(m.readings, agesKnown, model)
		if err != nil {
			return out, err
		}
		out.fits, out.test = []curves.Result{s.Female, s.Male}, &s.Test
	} else {
		r, err := model(m.readings)
		if err != nil {
			return out, err
		}
		r.Relation.Sex = o.sex
		out.fits = []curves.Result{r}
	}
	for i := range out.fits {
		out.fits[i].Name(m.species, m.trait, m.unit, m.state)
	}
	return out, nil
}

type growthModel = func([]curves.Reading) (curves.Result, error)

// choose picks the model: the one named, or the richest the data carry.
func (o growthAsked) choose(readings []curves.Reading, agesKnown bool) (growthModel, fits, error) {
	switch {
	case o.model == "" && agesKnown:
		return o.bestCurve(readings)
	case o.model == "":
		return o.bestOfGains(readings)
	case o.model == "fabens":
		return curves.Fabens, fits{}, nil
	case o.model == "francis":
		return o.francis(), fits{}, nil
	case o.model == linear:
		model, err := o.line()
		return model, fits{}, err
	case !agesKnown && o.model == "von-bertalanffy" && o.random:
		return o.approach(), fits{}, nil
	case !agesKnown && o.model == "von-bertalanffy":
		return curves.Fabens, fits{notChosen: []string{"no ages: von Bertalanffy's curve between captures is Fabens's"}}, nil
	case !agesKnown:
		return nil, fits{}, fmt.Errorf("--model %s needs ages, and the data have none; without ages there are fabens, francis, and von-bertalanffy --random", o.model)
	}
	i := slices.IndexFunc(curves.KnownForms(), func(form string) bool { return hyphened(form) == o.model })
	return o.curve(curves.KnownForms()[i], o.random), fits{}, nil
}

func (o growthAsked) curve(form string, random bool) growthModel {
	return func(r []curves.Reading) (curves.Result, error) {
		return curves.Known(r, curves.KnownOptions{Form: form, Random: random, TechnicalError: o.technicalError})
	}
}

// line is the straight line of pouch young.
func (o growthAsked) line() (growthModel, error) {
	sizes, err := readNumbers(o.newborn)
	if err != nil || len(sizes) != 2 {
		return nil, errUsage{fmt.Sprintf("--newborn %q: write the smallest and the largest size of a newborn, like 5.6,7.6", o.newborn)}
	}
	return func(r []curves.Reading) (curves.Result, error) { return curves.Linear(r, sizes[0], sizes[1]) }, nil
}

func (o growthAsked) approach() growthModel {
	return func(r []curves.Reading) (curves.Result, error) { return curves.Approach(r, o.technicalError) }
}

// francis holds variability wherever there are pairs enough for it.
func (o growthAsked) francis() growthModel {
	return func(r []curves.Reading) (curves.Result, error) {
		options := curves.FrancisOptions{Alpha: o.alpha, Beta: o.beta, Variability: true, Season: o.season, Outliers: o.outliers, TechnicalError: o.technicalError}
		result, err := curves.Francis(r, options)
		var thin *curves.TooThin
		if errors.As(err, &thin) && thin.Have >= curves.LeastPairs && !o.season && !o.outliers {
			options.Variability = false
			result, err = curves.Francis(r, options)
			result.Warnings = append(result.Warnings, fmt.Sprintf("%d pairs: two mean gains and one standard deviation only; from %d on, variability too", thin.Have, thin.Need))
		}
		return result, err
	}
}

// bestCurve fits every curve of known age, with asymptotes of the animals' own
// where there are enough, and takes the one of lowest AICc.
func (o growthAsked) bestCurve(readings []curves.Reading) (growthModel, fits, error) {
	var out fits
	random := true
	if _, err := o.curve("von Bertalanffy", true)(readings); err != nil {
		random = false
		out.notChosen = append(out.notChosen, "asymptotes of the animals' own: "+err.Error())
	}
	var candidates []fit.Candidate
	best, least := "", math.Inf(1)
	for _, form := range curves.KnownForms() {
		r, err := o.curve(form, random)(readings)
		if err != nil {
			if form == "von Bertalanffy" {
				return nil, out, err
			}
			out.notChosen = append(out.notChosen, form+": "+err.Error())
			continue
		}
		candidates = append(candidates, r.Candidate())
		if r.AICc < least {
			best, least = form, r.AICc
		}
	}
	if best == "" {
		best = "von Bertalanffy"
	}
	var err error
	out.compared, err = fit.Compare(candidates, fit.Inflation{})
	return o.curve(best, random), out, err
}

// bestOfGains takes asymptotes of the animals' own where there are enough, else
// Francis's model.
func (o growthAsked) bestOfGains(readings []curves.Reading) (growthModel, fits, error) {
	if _, err := curves.Approach(readings, o.technicalError); err != nil {
		return o.francis(), fits{notChosen: []string{"asymptotes of the animals' own: " + err.Error()}}, nil
	}
	return o.approach(), fits{}, nil
}
