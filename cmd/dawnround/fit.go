package main

import (
	"flag"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// fitOptions are what fit was asked.
type fitOptions struct {
	detect, at  string
	conditional bool
	method      string
	seed        uint64
	survive     string
	intervals   string
	cHat        float64
	enter       string
	seniority   string
	growth      string
	states      string
	move        string
	robust      string
	emigration  string
	emigrate    string
	occasions   string
	releases    string
	bootstrap   int
	density     densityOptions
}

// A fitting is one thing that can be estimated, with the options it takes; its
// table stands beside its name, or among the options.
type fitting struct {
	name   string
	takes  []string
	beside bool
	do     func(*call, fitOptions) error
}

var fittings = []fitting{
	{"abundance", []string{"detect", "conditional", "method", "at", "seed"}, true, (*call).fitAbundance},
	{"survival", []string{
		"survive", "detect", "enter", "seniority", "growth", "states", "move", "robust", "emigration", "emigrate",
		"intervals", "occasions", "releases", "c-hat", "at", "bootstrap", "seed", "svg",
	}, true, (*call).fitSurvival},
	{"tests", nil, true, (*call).fitTests},
	{"density", densityTakes, false, (*call).fitDensity},
}

// fit estimates from a table of captures, without a notebook.
func (c *call) fit() error {
	var o fitOptions
	c.flags.StringVar(&o.detect, "detect", "", "what detection depends on: constant, occasion, trend, group, after-capture, sets:1=a,2=b, a column, products E*E; mixture:2 (abundance), since-marking:2 (survival)")
	c.flags.StringVar(&o.at, "at", "", "only −2 ln L, at \"N=80;detection=0.3\", at \"survival=0.6;detection=0.9\", at \"D_per_ha=12;detection=0.2;sigma_m=16\", or at \"link:\" and every coefficient")
	c.flags.BoolVar(&o.conditional, "conditional", false, "abundance: take the likelihood given that the animal was caught, which allows animals' own columns")
	c.flags.StringVar(&o.method, "method", "", "abundance: a handbook's estimator instead: "+strings.Join(methodNames(), ", "))
	c.flags.Uint64Var(&o.seed, "seed", 1, "seed of what is drawn by chance (the error of coverage, a bootstrap)")
	c.flags.StringVar(&o.survive, "survive", "", "survival: what survival depends on: constant, occasion, trend, group, since-marking:2, sets:1=a,2=b, a column, products E*E")
	c.flags.StringVar(&o.enter, "enter", "", "survival: speak of animals never caught too, and of what entry before each occasion depends on: occasion, constant, group, …")
	c.flags.StringVar(&o.seniority, "seniority", "", "survival: the growth of the population, by what the chance that an animal here was here before depends on: constant, occasion, …")
	c.flags.StringVar(&o.growth, "growth", "", "survival: the growth of the population, by what its rate depends on: constant, trend, …")
	c.flags.StringVar(&o.states, "states", "", "survival: the letters of the histories when animals are seen in several states, A,B")
	c.flags.StringVar(&o.move, "move", "", "survival: what going from one state to another depends on; state (state*to with more than two) unless given")
	c.flags.StringVar(&o.robust, "robust", "", "survival: a table that says of every occasion in which primary period it lies")
	c.flags.StringVar(&o.emigration, "emigration", "none", "survival, with --robust: whether animals may be away for a period and come back: none, random, markov")
	c.flags.StringVar(&o.emigrate, "emigrate", "", "survival: what being away depends on; constant unless given")
	c.flags.StringVar(&o.occasions, "occasions", "", "survival: a table of numbers of the occasions, which effects may name; a column interval gives the time to the next")
	c.flags.StringVar(&o.releases, "releases", "", "survival: how many were released on each occasion, beside a table of recaptures by occasion of release")
	c.flags.IntVar(&o.bootstrap, "bootstrap", 0, "survival: ask so many times how large the deviance is when the model is true")
	c.flags.StringVar(&o.intervals, "intervals", "", "survival: lengths of time between the occasions, 1,2,1; 1 each unless given")
	c.flags.Float64Var(&o.cHat, "c-hat", 1, "survival: variance inflation, as fit tests gives it, by which errors are widened")
	o.density.flags(c.flags)
	if err := c.parse(1, 2); err != nil {
		return err
	}
	i := slices.IndexFunc(fittings, func(f fitting) bool { return f.name == c.args[0] })
	if i < 0 {
		return errUsage{fmt.Sprintf("%q cannot be fitted here; write abundance, survival, tests or density", c.args[0])}
	}
	switch {
	case fittings[i].beside && len(c.args) < 2:
		return errUsage{fmt.Sprintf("a table is missing: dawnround fit %s TABLE", c.args[0])}
	case !fittings[i].beside && len(c.args) > 1:
		return errUsage{fmt.Sprintf("%q is one word too many: fit %s takes its tables as options", c.args[1], c.args[0])}
	}
	if err := fittings[i].refuse(c.flags); err != nil {
		return err
	}
	return fittings[i].do(c, o)
}

// refuse names an option that belongs to another fitting.
func (f fitting) refuse(given *flag.FlagSet) error {
	var wrong error
	given.Visit(func(option *flag.Flag) {
		others := slices.ContainsFunc(fittings, func(other fitting) bool { return slices.Contains(other.takes, option.Name) })
		if others && !slices.Contains(f.takes, option.Name) {
			wrong = errUsage{fmt.Sprintf("fit %s takes no --%s; leave it out", f.name, option.Name)}
		}
	})
	return wrong
}

// plain reads the table that was named.
func (c *call) plain() (*plainTable, error) { return c.plainAt(c.args[1]) }

func (c *call) plainAt(file string) (*plainTable, error) {
	text, err := c.readFile(file)
	if err != nil {
		return nil, err
	}
	return readPlain(file, text)
}

// splitEffects takes the comma list of effects of an option apart;
// "sets:1=a,2=b" keeps its commas.
func splitEffects(option, list string) ([]string, error) {
	if list == "" {
		return nil, nil
	}
	var effects []string
	for piece := range strings.SplitSeq(list, ",") {
		piece = strings.TrimSpace(piece)
		last := len(effects) - 1
		switch {
		case piece == "":
			return nil, errUsage{fmt.Sprintf("--%s %q: an effect is missing at a comma", option, list)}
		case !strings.Contains(piece, "=") || strings.Contains(piece, "sets:"):
			effects = append(effects, piece)
		case last >= 0 && strings.Contains(effects[last], "sets:"):
			effects[last] += "," + piece
		default:
			return nil, errUsage{fmt.Sprintf("--%s %q: %q belongs to no set; write sets:1=a,2=b", option, list, piece)}
		}
	}
	return effects, nil
}

func readNumbers(list string) ([]float64, error) {
	var out []float64
	for piece := range strings.SplitSeq(list, ",") {
		x, err := strconv.ParseFloat(strings.TrimSpace(piece), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, fmt.Errorf("%q: expected a number", piece)
		}
		out = append(out, x)
	}
	return out, nil
}
