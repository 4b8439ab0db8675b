package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnround/condition"
	"dawnround/fit"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// slopeAnimals is how many animals it takes for a slope of their own (trade
// handbook of growth: 20 to 30).
const slopeAnimals = 20

// farOff is by how many standard deviations of the fit a mass may lie from
// what its length says before it is looked at and left out (common practice).
const farOff = 3.5

// Condition is how heavy animals are for their size, by sex and stage.
type Condition struct {
	State string `json:"state"`
	Which
	Length     string           `json:"length"` // the trait masses are scaled by
	LengthName string           `json:"length_name"`
	ErrorsSay  string           `json:"errors_say"` // of one reading, as they enter the intervals
	Groups     []ConditionGroup `json:"groups"`
	Scores     []Score          `json:"scores"` // given by hand, beside the index
	Warnings   []string         `json:"warnings,omitempty"`
	LeftOut    []LeftOut        `json:"left_out,omitempty"`

	trips []string
}

// ConditionGroup is the animals of one sex and stage.
type ConditionGroup struct {
	Sex       record.Sex       `json:"sex"`
	Stage     string           `json:"stage"` // "" where nobody wrote it
	Animals   int              `json:"animals"`
	Refused   string           `json:"refused,omitempty"` // why there is no index
	Slope     *condition.Slope `json:"slope,omitempty"`
	SlopeSays string           `json:"slope_says,omitempty"`
	Borrowed  bool             `json:"slope_borrowed"`
	Trips     []ConditionTrip  `json:"trips"`
	Indices   []ScaledMass     `json:"indices"`    // one an animal and trip
	WithYoung []ScaledMass     `json:"with_young"` // kept apart: heavier by young whose mass is not known
	Aside     []ScaledMass     `json:"aside"`      // so far off that mass or length is wrong
}

// Says names a group: "adult females".
func (g ConditionGroup) Says() string {
	if g.Sex == record.SexUnknown {
		return cmp.Or(g.Stage, "stage not written") + ", sex not known"
	}
	return cmp.Or(g.Stage, "stage not written:") + " " + string(g.Sex) + "s"
}

// ConditionTrip is a group on one trip.
type ConditionTrip struct {
	Trip    string `json:"trip"`
	Animals int    `json:"animals"`
	fit.Estimate
}

// MarshalJSON writes the estimate beside its trip.
func (t ConditionTrip) MarshalJSON() ([]byte, error) {
	return asOne(struct {
		Trip    string `json:"trip"`
		Animals int    `json:"animals"`
	}{t.Trip, t.Animals}, t.Estimate)
}

// ScaledMass is one animal on one trip.
type ScaledMass struct {
	Animal   string       `json:"animal"`
	Trip     string       `json:"trip"`
	Night    record.Night `json:"night"`
	MassG    float64      `json:"mass_g"` // without young, where their mass is known
	YoungG   float64      `json:"young_g,omitempty"`
	LengthMM float64      `json:"length_mm"`
	Why      string       `json:"why,omitempty"` // it is kept apart
	Index    fit.Estimate `json:"index"`

	of *register.Capture
}

// Score is how many animals were given one score on a trip.
type Score struct {
	Trip    string `json:"trip"`
	Value   string `json:"value"`
	Animals int    `json:"animals"`
}

// HowHeavy answers whether animals are heavy or light for their size: the
// scaled mass index with its interval, by sex and stage, and its mean on each
// trip. length is the trait masses are scaled by; "" takes the bone read most
// often. One capture an animal and trip counts: the first with mass and length.
// The mass of pouch young is taken off where it was measured; else, and where
// the pouch was not looked into, she is kept apart. A slope of its own takes 20
// animals; a thinner group borrows that of both sexes, or is refused.
func HowHeavy(r *register.Register, q Which, length string) (Condition, error) {
	a := ask(r, q)
	t, err := a.lengthTrait(length)
	if err != nil {
		return Condition{}, err
	}
	out := Condition{State: r.State(), Which: q, Length: t.ID, LengthName: cmp.Or(t.Name, t.ID), Groups: []ConditionGroup{}, Scores: a.scores(), trips: a.trips}
	massError, lengthError := out.errors(a.sheet, t)
	groups := a.weighed(t)
	for i := range groups {
		g := &groups[i]
		g.slope(groups)
		if g.Slope == nil {
			continue
		}
		for _, list := range [][]ScaledMass{g.Indices, g.WithYoung, g.Aside} {
			for j := range list {
				list[j].Index = g.Slope.Index(list[j].MassG, list[j].LengthMM, massError, lengthError)
			}
		}
		g.byTrip(a.trips)
		if r, n := g.Slope.R, float64(g.Slope.Animals); r*r < hardly(n) {
			out.Warnings = append(out.Warnings, fmt.Sprintf("%s: mass and length hardly go together (r %s, %v animals): the slope rests on little, and the index is nearly the mass", g.Says(), figures(r, 2), n))
		}
		if sd := g.lengthSD(); lengthError > sd/2 {
			out.Warnings = append(out.Warnings, fmt.Sprintf("%s: one reading of %s errs by %s mm while animals differ by %s mm (both standard deviations): the slope is made steeper by that error and each index carries it; compare means of many, not animals",
				g.Says(), out.LengthName, figures(lengthError, 2), figures(sd, 2)))
		}
		if n := len(g.Aside); n > 0 {
			out.Warnings = append(out.Warnings, fmt.Sprintf("%s: %d left out, since mass and length lie more than %v standard deviations apart: one of the two is wrong", g.Says(), n, farOff))
		}
	}
	out.Groups = groups
	out.LeftOut = a.left
	return out, nil
}

// lengthSD is the standard deviation of the lengths, each animal once.
func (g *ConditionGroup) lengthSD() float64 {
	var of []float64
	for _, m := range g.firsts() {
		of = append(of, m.LengthMM)
	}
	return condition.Mean(of).SE * math.Sqrt(float64(len(of)))
}

// hardly is the squared correlation that chance alone reaches in 5 of 100 sets
// of so many animals.
func hardly(n float64) float64 {
	f := fit.FQuantile(0.05, 1, n-2)
	return f / (f + n - 2)
}

// lengthTrait is the trait asked for, or the bone that was read most often.
func (a *asked) lengthTrait(id string) (*protocol.Trait, error) {
	read := map[string]int{}
	for _, c := range a.captures {
		if c.Handled != nil {
			for key, m := range c.Handled.Measures {
				if m.Is() == record.Seen {
					read[key]++
				}
			}
		}
	}
	var best *protocol.Trait
	for i := range a.sheet.Traits {
		t := &a.sheet.Traits[i]
		switch {
		case t.Of == protocol.OfYoung || t.Unit != "mm":
		case t.ID == id:
			return t, nil
		case id == "" && t.Bone && (best == nil || read[t.ID] > read[best.ID]):
			best = t
		}
	}
	if best == nil {
		return nil, fmt.Errorf("length %q: not a length in mm on the sheet of %s", id, a.sheet.Code)
	}
	return best, nil
}

// errors are those of one reading of mass and length, as the sheet has them.
func (out *Condition) errors(s *protocol.Sheet, length *protocol.Trait) (massG, lengthMM float64) {
	of := func(t *protocol.Trait) (float64, string) {
		limit, basis := t.BetweenVisits()
		if limit == 0 {
			return 0, cmp.Or(t.Name, t.ID) + " not known"
		}
		e := limit / (fit.Z95 * math.Sqrt2)
		return e, fmt.Sprintf("%s %s %s (%s)", cmp.Or(t.Name, t.ID), figures(e, 2), t.Unit, basis)
	}
	lengthMM, says := of(length)
	out.ErrorsSay = "error of one reading: " + says
	if t, ok := s.Trait(protocol.Mass); ok && t.Of != protocol.OfYoung {
		massG, says = of(t)
		out.ErrorsSay += ", " + says
	}
	return massG, lengthMM
}

// weighed gathers one mass and length of each animal and trip, by sex and
// stage; animals still with their mother are not asked for.
func (a *asked) weighed(t *protocol.Trait) []ConditionGroup {
	type kind struct {
		sex   record.Sex
		stage string
	}
	at := map[kind]int{}
	var out []ConditionGroup
	for _, captures := range a.byAnimal() {
		done := map[string]bool{}
		for _, c := range captures {
			stage := stageAt(captures, c)
			if done[c.At.Trip] || a.withMother(stage) {
				continue
			}
			m, apart, ok := a.scaled(t, captures, c)
			if !ok {
				continue
			}
			done[c.At.Trip] = true
			k := kind{a.sex(c.Animal), stage}
			i, known := at[k]
			if !known {
				i = len(out)
				at[k] = i
				out = append(out, ConditionGroup{Sex: k.sex, Stage: stage, Trips: []ConditionTrip{}, Indices: []ScaledMass{}, WithYoung: []ScaledMass{}, Aside: []ScaledMass{}})
			}
			if apart {
				out[i].WithYoung = append(out[i].WithYoung, m)
			} else {
				out[i].Indices = append(out[i].Indices, m)
			}
		}
	}
	slices.SortStableFunc(out, func(x, y ConditionGroup) int {
		return cmp.Or(-cmp.Compare(a.sheet.StageRank(x.Stage), a.sheet.StageRank(y.Stage)), cmp.Compare(x.Sex, y.Sex))
	})
	return out
}

func (a *asked) withMother(stage string) bool {
	i := a.sheet.StageRank(stage)
	return i >= 0 && a.sheet.Stages[i].Young
}

// scaled is mass and length at one capture; apart tells a mass that holds young
// of unknown mass, or may.
func (a *asked) scaled(t *protocol.Trait, captures []*register.Capture, c *register.Capture) (m ScaledMass, apart, ok bool) {
	mass, weighed := c.Handled.MassMilli()
	if !weighed || mass <= 0 {
		return m, false, false
	}
	l, read := a.look(t, t.ID, captures, c)
	if !read || l.counts() <= 0 {
		return m, false, false
	}
	m = ScaledMass{Animal: a.name(c.Animal), Trip: c.At.Trip, Night: c.At.Night, MassG: float64(mass) / 1000, LengthMM: l.counts(), Index: fit.Lost("scaled mass"), of: c}
	if a.sex(c.Animal) != record.Female {
		return m, false, true
	}
	m.YoungG, m.Why = a.carried(c.Handled)
	m.MassG -= m.YoungG
	return m, m.Why != "", m.MassG > 0
}

// carried is the mass of the young in a female's pouch where it was measured;
// why tells why it is not known, "" where it is.
func (a *asked) carried(h *record.Handled) (grams float64, why string) {
	if s, ok := h.Signs["pregnant"]; ok && s.Value == "yes" {
		return 0, "pregnant"
	}
	inside := 0
	for _, y := range h.Young {
		if !inPouch(y) {
			continue
		}
		inside++
		m := y.Measures[protocol.Mass]
		if m.Is() != record.Seen {
			return 0, "young in the pouch, of a mass not known"
		}
		grams += m.Counts().Value()
	}
	if inside > 0 {
		return grams, ""
	}
	switch pouch, known := a.pouch(h); {
	case !known || pouch == pouchEmpty:
		return 0, ""
	case pouch == pouchOccupied:
		return 0, "young in the pouch, of a mass not known"
	case pouch == pouchShut:
		return 0, "pouch not checked"
	}
	return 0, "nothing is written of her pouch"
}

// inPouch reports a young still carried: in the pouch, or on a teat.
func inPouch(y record.Young) bool { return y.Where == "in pouch" || y.Attached == "yes" }

// slope fits a group's own slope, or borrows that of its stage.
func (g *ConditionGroup) slope(groups []ConditionGroup) {
	own := g.firsts()
	g.Animals = len(own)
	if s, aside, ok := fitted(own); ok {
		g.Slope, g.SlopeSays = &s, fmt.Sprintf("slope of its own, from %d animals", s.Animals)
		g.setAside(aside, s)
		return
	}
	if len(g.Indices)+len(g.WithYoung) == 0 {
		return
	}
	var both []ScaledMass
	for _, o := range groups {
		if o.Stage == g.Stage {
			both = append(both, o.firsts()...)
		}
	}
	s, aside, ok := fitted(both)
	if !ok {
		g.Refused = cmp.Or(thin("a slope of mass on length", len(both), slopeAnimals, "animals of this stage with both measured"), "mass does not rise with length in these animals")
		return
	}
	g.Borrowed = true
	g.Slope, g.SlopeSays = &s, fmt.Sprintf("slope borrowed from all of this stage, %d animals: it takes %d of one sex, there are %d", s.Animals, slopeAnimals, len(own))
	g.setAside(aside, s)
}

// firsts is the first mass and length of each animal: it counts once.
func (g *ConditionGroup) firsts() []ScaledMass {
	seen := map[string]bool{}
	var out []ScaledMass
	for _, m := range slices.Concat(g.Indices, g.Aside) {
		if id := m.of.Animal.String(); !seen[id] {
			seen[id] = true
			out = append(out, m)
		}
	}
	return out
}

// fitted fits a slope where there are enough animals, those far off left out;
// aside is by how much the logarithm of a mass may differ.
func fitted(of []ScaledMass) (s condition.Slope, aside float64, ok bool) {
	if len(of) < slopeAnimals {
		return s, 0, false
	}
	s, aside, ok = fitOnce(of)
	if !ok {
		return s, aside, false
	}
	kept := slices.DeleteFunc(slices.Clone(of), func(m ScaledMass) bool { return offLine(s, m) > aside })
	if len(kept) == len(of) || len(kept) < slopeAnimals {
		return s, aside, true
	}
	s, _, ok = fitOnce(kept)
	return s, aside, ok
}

func fitOnce(of []ScaledMass) (s condition.Slope, aside float64, ok bool) {
	var masses, lengths []float64
	for _, m := range of {
		masses, lengths = append(masses, m.MassG), append(lengths, m.LengthMM)
	}
	s, err := condition.Fit(masses, lengths)
	if err != nil || math.IsNaN(s.B.Value) {
		return s, 0, false
	}
	squares := 0.0
	for _, m := range of {
		squares += offLine(s, m) * offLine(s, m)
	}
	return s, farOff * math.Sqrt(squares/float64(len(of)-2)), true
}

// offLine is how far the logarithm of a mass lies from the line through the
// mean of the logarithms, either way.
func offLine(s condition.Slope, m ScaledMass) float64 {
	return math.Abs(math.Log(m.MassG) - s.LogMassG - s.B.Value*(math.Log(m.LengthMM)-s.LogLengthMM))
}

func (g *ConditionGroup) setAside(aside float64, s condition.Slope) {
	g.Aside = slices.DeleteFunc(slices.Clone(g.Indices), func(m ScaledMass) bool { return offLine(s, m) <= aside })
	g.Indices = slices.DeleteFunc(g.Indices, func(m ScaledMass) bool { return offLine(s, m) > aside })
}

// byTrip is the mean index of each trip.
func (g *ConditionGroup) byTrip(trips []string) {
	for _, trip := range trips {
		var of []float64
		for _, m := range g.Indices {
			if m.Trip == trip {
				of = append(of, m.Index.Value)
			}
		}
		if len(of) == 0 {
			continue
		}
		g.Trips = append(g.Trips, meanOf(trip, of))
	}
}

// meanOf is the mean of some indices; fewer than 3 have no interval.
func meanOf(period string, of []float64) ConditionTrip {
	t := ConditionTrip{period, len(of), condition.Mean(of)}
	if len(of) < 3 {
		t.SE, t.Lower, t.Upper = math.NaN(), math.NaN(), math.NaN()
	}
	return t
}

// scores counts the condition scores given by hand, one an animal and trip.
func (a *asked) scores() []Score {
	out := []Score{}
	sign, ok := a.sheet.Sign("condition")
	if !ok {
		return out
	}
	count := map[[2]string]int{}
	for _, captures := range a.byAnimal() {
		done := map[string]bool{}
		for _, c := range captures {
			if c.Handled == nil || done[c.At.Trip] || c.Handled.Signs["condition"].Value == "" {
				continue
			}
			done[c.At.Trip] = true
			count[[2]string{c.At.Trip, c.Handled.Signs["condition"].Value}]++
		}
	}
	for _, trip := range a.trips {
		for _, w := range sign.Values {
			if n := count[[2]string{trip, w.ID}]; n > 0 {
				out = append(out, Score{trip, w.ID, n})
			}
		}
	}
	return out
}
