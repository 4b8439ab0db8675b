package main

import (
	"bytes"
	"fmt"
	"io"
	"math"

	"dawnround/growth"
	"dawnround/register"
)

// expected is the answer of growth expect: its struct is the JSON.
type expected struct {
	Says     string        `json:"says"`
	Of       string        `json:"of"` // the curve
	Mean     float64       `json:"mean"`
	Gain     *float64      `json:"gain,omitempty"` // from the size given
	MeanFrom *float64      `json:"mean_from"`      // 95 % of the mean; null where no error is told
	MeanTo   *float64      `json:"mean_to"`
	From     *float64      `json:"from"` // 95 % of one reading
	To       *float64      `json:"to"`
	Unit     string        `json:"unit"`
	Band     growth.Spread `json:"band"`
}

// growthExpect tells what size a curve expects: at an age, or so many days
// after a size. The curve is one of a file, or the first of the programme's for a
// species and trait: adopted, then typed, then published. Figures of Fabens or
// Francis may stand for it.
func (c *call) growthExpect() error {
	curve := c.flags.String("curve", "", "the curve: the JSON that dawnround growth fit printed")
	fabens := c.flags.String("fabens", "", "asymptote and k per year instead of a curve: 78,1.9")
	francis := c.flags.String("francis", "", "two sizes and the gain of a year at each instead of a curve: 55,72,18.5,4.2")
	species := c.flags.String("species", "", "the species' code, for the programme's own curve")
	trait := c.flags.String("trait", "", "its trait")
	sex := c.flags.String("sex", "", "female or male, where curves differ")
	from := c.flags.Float64("from", math.NaN(), "the size it had")
	days := c.flags.Float64("days", math.NaN(), "so many days ago")
	age := c.flags.Float64("age", math.NaN(), "the age in days, instead of a size")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	r, err := growth.Relation{}, error(nil)
	if *species != "" && *curve+*fabens+*francis == "" {
		r, err = c.curveInForce(*species, *trait, *sex)
	} else {
		r, err = c.expectedOf(*curve, *fabens, *francis)
	}
	if err != nil {
		return err
	}
	byAge := !math.IsNaN(*age)
	if byAge == !math.IsNaN(*from) || math.IsNaN(*from) != math.IsNaN(*days) || *days < 0 {
		return errUsage{"give --from SIZE and --days N, or --age DAYS"}
	}
	var s growth.Size
	if byAge {
		s, err = r.SizeAt(*age)
	} else {
		s, err = r.Next(*from, *days)
	}
	if err != nil {
		return err
	}
	out := expectation(r, s)
	if byAge {
		out.Says = fmt.Sprintf("At %.0f days %s is expected to be %s.", *age, r.Trait, out.figures())
	} else {
		gain := s.Mean - *from
		out.Gain = &gain
		out.Says = fmt.Sprintf("From %s, %.0f days later, %s is expected to be %s: a gain of %s.", figure(*from), *days, r.Trait, out.figures(), figure(gain))
	}
	return c.print(out, out.person)
}

// expectedOf is the curve that was named, or typed.
func (c *call) expectedOf(curve, fabens, francis string) (growth.Relation, error) {
	given := 0
	for _, g := range []string{curve, fabens, francis} {
		if g != "" {
			given++
		}
	}
	switch {
	case given != 1:
		return growth.Relation{}, errUsage{"give one of --curve FILE, --fabens A,K, --francis ALPHA,BETA,GAIN,GAIN, and --species with --trait for the curve in force"}
	case curve != "":
		return c.ownCurve(curve)
	case fabens != "":
		f, err := readNumbers(fabens)
		if err != nil || len(f) != 2 {
			return growth.Relation{}, errUsage{fmt.Sprintf("--fabens %q: write asymptote and k per year, like 78,1.9", fabens)}
		}
		return typedGain(f[0], f[1])
	}
	f, err := readNumbers(francis)
	if err != nil || len(f) != 4 || f[0] >= f[1] {
		return growth.Relation{}, errUsage{fmt.Sprintf("--francis %q: write two sizes, the smaller first, and the gain of a year at each, like 55,72,18.5,4.2", francis)}
	}
	g := growth.Francis{Alpha: f[0], Beta: f[1], GainAlpha: f[2], GainBeta: f[3]}
	return typedGain(g.Asymptote(), g.K())
}

// curveInForce is the first relation of the open programme for a trait and sex.
func (c *call) curveInForce(species, trait, sex string) (growth.Relation, error) {
	p, done, err := c.read()
	if err != nil {
		return growth.Relation{}, err
	}
	defer done()
	var found []growth.Relation
	p.View(func(r *register.Register) {
		s, ok := r.Protocol().Sheet(species)
		if !ok {
			err = speciesUnknown(r, species)
			return
		}
		for _, l := range r.Relations(s) {
			if l.OfTrait(trait) && (l.Sex == "" || l.Sex == sex) {
				found = append(found, l)
			}
		}
	})
	switch {
	case err != nil:
		return growth.Relation{}, err
	case len(found) == 0:
		return growth.Relation{}, hinted{fmt.Errorf("%s of %s: no curve is in force", orElse(trait, "--trait"), species), "dawnround growth show lists those adopted; growth adopt FILE adopts one"}
	}
	return found[0], nil
}

// typedGain is a curve of gains from its two figures.
func typedGain(asymptote, k float64) (growth.Relation, error) {
	if !(asymptote > 0 && k > 0) || math.IsInf(asymptote, 0) || math.IsInf(k, 0) {
		return growth.Relation{}, errUsage{fmt.Sprintf("asymptote %v and k %v: expected two numbers above 0, of growth that slows with size", asymptote, k)}
	}
	return growth.Relation{ID: "typed", Trait: "the size", Unit: "1", AgesIn: "a", Form: growth.Saturating, Fitted: growth.GainOnSize, Source: fmt.Sprintf("typed: asymptote %s, k %s a year", figure(asymptote), figure(k)),
		Parameters: []growth.Parameter{{Name: "A", Value: asymptote}, {Name: "k", Value: k}}, Sizes: []float64{0, 2 * asymptote}}, nil
}

func expectation(r growth.Relation, s growth.Size) expected {
	out := expected{Of: r.Name(), Mean: s.Mean, Unit: r.Unit, Band: s.Spread}
	if s.MeanTo > s.MeanFrom {
		out.MeanFrom, out.MeanTo = &s.MeanFrom, &s.MeanTo
	}
	if s.To > s.From {
		out.From, out.To = &s.From, &s.To
	}
	return out
}

// figures are the size and the band of one reading.
func (e expected) figures() string {
	text := figure(e.Mean)
	if e.Unit != "1" {
		text += " " + e.Unit
	}
	if e.From == nil {
		return text
	}
	return fmt.Sprintf("%s (one reading, 95 %%: %s to %s)", text, figure(*e.From), figure(*e.To))
}

// person prints the answer to be read.
func (e expected) person(w io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s\nband: %s\nby %s\n", e.Says, e.Band, e.Of)
		if e.MeanFrom != nil {
			fmt.Fprintf(b, "mean, 95 %%: %s to %s\n", figure(*e.MeanFrom), figure(*e.MeanTo))
		}
	})(w)
}
