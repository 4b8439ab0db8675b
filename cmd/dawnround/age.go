package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/chart"
	"dawnround/growth"
	curves "dawnround/growth/fitting"
	"dawnround/protocol"
	"dawnround/register"
)

// aging is what age knows of a species: from the programme's protocol where one
// is open, and from what comes with the program.
type aging struct {
	species      string // as it is answered
	relations    []growth.Relation
	correlations []growth.Correlation
	pouch        growth.PouchLife
	errors       map[string]float64 // technical error of a young's trait, by relation trait
	trip         []time.Time        // first and last night of the next trip; nil: not known
}

// age tells how old an animal of a species is by its sizes, when it was born,
// and what to expect of it on the next trip.
func (c *call) age() error {
	on := c.flags.String("on", "", "the date it was measured, 2026-05-14; today unless given")
	trip := c.flags.String("trip", "", "the next trip's first night, or first/last; the programme's next trip unless given")
	sex := c.flags.String("sex", "", "female or male, where relations differ")
	reading := c.flags.Float64("technical-error", 0, "s.d. of one reading, in the trait's unit; the species sheet's unless given")
	curve := c.flags.String("curve", "", "a curve of your own: the JSON that dawnround growth fit printed")
	svg := c.svg()
	if err := c.parse(2, 40); err != nil {
		return err
	}
	species, sizes, err := splitSizes(c.args)
	if err != nil {
		return err
	}
	measured, err := c.dayOr(*on, "--on")
	if err != nil {
		return err
	}
	if *sex != "" && *sex != "female" && *sex != "male" {
		return errUsage{fmt.Sprintf("--sex %q: write female or male", *sex)}
	}
	a, err := c.agingOf(species, measured)
	if err != nil {
		return err
	}
	if err := a.options(c, *curve, *trip); err != nil {
		return err
	}
	if err := a.fromProgram(); err != nil {
		return err
	}
	answer, err := a.answer(sizes, *sex, *reading, measured)
	if err != nil {
		return err
	}
	if *svg != "" {
		err = c.write(*svg, func(w io.Writer) error {
			_, err := io.WriteString(w, answer.picture().File(chart.Paper))
			return err
		})
	}
	return errors.Join(err, c.print(answer, answer.person))
}

// A sizeGiven is TRAIT=VALUE as it was written.
type sizeGiven struct {
	trait, typed string
	value        float64
	unit         string
}

// splitSizes parts the words of a species from the sizes.
func splitSizes(words []string) (species string, sizes []sizeGiven, err error) {
	i := slices.IndexFunc(words, func(w string) bool { return strings.Contains(w, "=") })
	if i < 1 {
		return "", nil, errUsage{"no size given: dawnround age SPECIES TRAIT=VALUE, such as head=40.0"}
	}
	species = strings.Join(words[:i], " ")
	for _, word := range words[i:] {
		s, err := readSize(word)
		if err != nil {
			return "", nil, err
		}
		if slices.ContainsFunc(sizes, func(o sizeGiven) bool { return o.trait == s.trait }) {
			return "", nil, errUsage{fmt.Sprintf("%q: the trait %s is given twice; keep one", word, s.trait)}
		}
		sizes = append(sizes, s)
	}
	return species, sizes, nil
}

// readSize reads TRAIT=VALUE; a unit may stand behind the value.
func readSize(word string) (sizeGiven, error) {
	trait, typed, ok := strings.Cut(word, "=")
	number := strings.TrimRight(typed, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ")
	value, err := strconv.ParseFloat(number, 64)
	if !ok || strings.TrimSpace(trait) == "" || err != nil || math.IsNaN(value) || math.IsInf(value, 0) {
		return sizeGiven{}, errUsage{fmt.Sprintf("%q: expected TRAIT=VALUE, such as head=40.0", word)}
	}
	return sizeGiven{strings.TrimSpace(trait), typed, value, strings.TrimSpace(typed[len(number):])}, nil
}

// dayOr reads a date; today where none is given.
func (c *call) dayOr(text, option string) (time.Time, error) {
	if text == "" {
		now := c.now()
		return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC), nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return day, errUsage{fmt.Sprintf("%s %q: write a date like 2026-05-14", option, text)}
	}
	return day, nil
}

// agingOf gathers what the programme knows of a species, where one is open.
func (c *call) agingOf(species string, measured time.Time) (aging, error) {
	a := aging{species: species, errors: map[string]float64{}}
	if c.wantNotebook() == nil {
		p, done, err := c.read()
		if err != nil {
			return a, err
		}
		defer done()
		p.View(func(r *register.Register) { a.fromProgramme(r, species, measured) })
	}
	return a, nil
}

// fromProgramme takes the curves adopted for the species, then what the protocol
// says of it, and the next trip.
func (a *aging) fromProgramme(r *register.Register, species string, measured time.Time) {
	for _, t := range r.Trips() {
		if first := t.First.Noon(time.UTC); !t.First.IsZero() && first.After(measured.AddDate(0, 0, 1)) && a.trip == nil {
			a.trip = []time.Time{first, first}
			if !t.Last.IsZero() {
				a.trip[1] = t.Last.Noon(time.UTC)
			}
		}
	}
	if r.Protocol() == nil {
		return
	}
	s, ok := r.Protocol().Sheet(species)
	if !ok {
		return
	}
	if s.Scientific != "" {
		a.species = s.Scientific
	}
	a.relations, a.correlations, a.pouch = append(r.Curves(s.Code), s.Ageing...), s.Correlations, s.Pouch
	for i := range a.relations {
		a.fromSheet(s, &a.relations[i])
	}
}

// fromSheet gives a relation the words of its trait, and the technical error a
// young is measured with.
func (a *aging) fromSheet(s *protocol.Sheet, l *growth.Relation) {
	t, ok := s.YoungTrait(l.Trait)
	if !ok {
		if t, ok = s.Trait(l.Trait); !ok {
			return
		}
	}
	l.Aliases = append(append(slices.Clone(l.Aliases), t.Name), t.Aliases...)
	a.errors[l.Trait] = t.Error
}

// fromProgram adds what comes with the program, after the programme's own. A
// species of which nothing is known is an error that lists those there are.
func (a *aging) fromProgram() error {
	var known []string
	for _, r := range growth.Published() {
		known = append(known, fmt.Sprintf("%s (%s)", r.Species, r.Common))
		if r.OfSpecies(a.species) {
			a.species = r.Species
			a.relations = append(a.relations, r)
		}
	}
	if life, ok := growth.PouchLifeOf(a.species); ok && a.pouch.Exit == nil && a.pouch.Weaned == nil {
		a.pouch = life
	}
	if len(a.relations) > 0 {
		return nil
	}
	return hinted{fmt.Errorf("%q: no ageing relation of this species is known here", a.species),
		"type your own under ageing: on its species sheet, or give a fitted one with --curve; with the program come " + strings.Join(known, ", ")}
}

// options puts a curve of the team's own before the rest, and sets the trip.
func (a *aging) options(c *call, curve, trip string) error {
	if curve != "" {
		r, err := c.ownCurve(curve)
		if err != nil {
			return err
		}
		a.relations = append([]growth.Relation{r}, a.relations...)
	}
	if trip == "" {
		return nil
	}
	first, last, span := strings.Cut(trip, "/")
	if !span {
		last = first
	}
	from, err := c.dayOr(first, "--trip")
	if err != nil {
		return err
	}
	to, err := c.dayOr(last, "--trip")
	if err != nil || to.Before(from) {
		return errUsage{fmt.Sprintf("--trip %q: write its first night, or first/last like 2026-06-20/2026-06-24", trip)}
	}
	a.trip = []time.Time{from, to}
	return nil
}

// ownCurve reads a relation from the JSON of a fit.
func (c *call) ownCurve(name string) (growth.Relation, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return growth.Relation{}, err
	}
	return readCurve(name, text)
}

// answer ages the animal by each size, and combines what can be combined.
func (a aging) answer(sizes []sizeGiven, sex string, reading float64, measured time.Time) (aged, error) {
	out := aged{Species: a.species, On: measured.Format(time.DateOnly), Notes: []string{}}
	var ages []growth.Age
	var refused []error
	for _, s := range sizes {
		age, row, err := a.bySize(s, sex, reading)
		if err != nil {
			refused = append(refused, err)
			row.Refused = err.Error()
		} else {
			ages = append(ages, age)
		}
		out.Sizes = append(out.Sizes, row)
	}
	if len(ages) == 0 {
		return out, errors.Join(refused...)
	}
	out.conclude(a, growth.Combine(ages, a.correlations), measured)
	return out, nil
}

// bySize asks the first relation for this trait that has an answer.
func (a aging) bySize(s sizeGiven, sex string, reading float64) (growth.Age, agedBy, error) {
	row := agedBy{Trait: s.trait, Typed: s.typed}
	var first error
	for i := range a.relations {
		r := &a.relations[i]
		if !r.OfTrait(s.trait) || r.Sex != "" && sex != "" && r.Sex != sex {
			continue
		}
		if s.unit != "" && s.unit != r.Unit {
			return growth.Age{}, row, errUsage{fmt.Sprintf("%s=%s: this relation takes %s in %s; write the value without a unit, or with that one", s.trait, s.typed, r.Trait, r.Unit)}
		}
		technical := reading
		if technical == 0 {
			technical = a.errors[r.Trait]
		}
		age, err := r.Age(s.value, technical)
		if err == nil {
			row.tell(age)
			return age, row, nil
		}
		if first == nil {
			first = err
		}
	}
	if first == nil {
		first = hinted{fmt.Errorf("%s of %s: no relation of this trait is known here", s.trait, a.species), "known are " + strings.Join(a.traits(), ", ")}
	}
	return growth.Age{}, row, first
}

func (a aging) traits() []string {
	var out []string
	for _, r := range a.relations {
		if !slices.Contains(out, r.Trait) {
			out = append(out, r.Trait)
		}
	}
	return out
}

// picture draws the answering relation.
func (out aged) picture() *chart.Scene { return curves.Aged(out.joint.Age) }
