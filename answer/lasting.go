package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"dawnround/abundance"
	"dawnround/fit"
	"dawnround/record"
	"dawnround/register"
	"dawnround/survival"

	"github.com/google/uuid"
)

// Lasting is whether the animals of a site last, and how their number grows.
type Lasting struct {
	State     string         `json:"state"` // of the notebook
	Which     Which          `json:"which"`
	Says      string         `json:"says"`
	Refused   string         `json:"refused,omitempty"`
	Trips     []LastingTrip  `json:"trips"`
	Intervals []Interval     `json:"intervals"` // between the trips
	Annual    []fit.Estimate `json:"annual"`    // survival of a year, by sex where told apart, averaged over the models alike in time
	Growth    fit.Estimate   `json:"growth"`    // of the number, times a year
	Models    []ModelRow     `json:"models"`
	CHat      float64        `json:"c_hat"` // variance inflation, by which errors are widened
	Assumes   []Assumed      `json:"assumes"`
	Warnings  []string       `json:"warnings,omitempty"`
	LeftOut   []LeftOut      `json:"left_out"`
	Source    string         `json:"source"`
}

// LastingTrip is one occasion.
type LastingTrip struct {
	Trip       string       `json:"trip"`
	Name       string       `json:"name"`
	First      record.Night `json:"first"`
	Caught     int          `json:"caught"` // animals
	TrapNights float64      `json:"trap_nights"`

	Captures []uuid.UUID `json:"-"`
}

// Interval is the time from one trip to the next.
type Interval struct {
	From     string       `json:"from"`
	To       string       `json:"to"`
	Years    float64      `json:"years"`
	Survival fit.Estimate `json:"survival"` // as of a whole year, from the best model with a value for each interval
}

// ModelRow is one model, in words.
type ModelRow struct {
	Survival  string   `json:"survival"`
	Detection string   `json:"detection"`
	Count     int      `json:"parameters"`
	Criterion *float64 `json:"criterion"` // AICc, or QAICc where ĉ is above 1; none where the sample is too small for it
	Weight    float64  `json:"weight"`
}

// Below these no survival is given (common practice, no source).
const (
	leastOccasions      = 5
	leastAnimalOccasion = 60
	fewAnimals          = 40 // below it survival and detection are not told apart by time or sex
	mostTimed           = 40 // occasions; with more a value for each tells nobody anything
	daysInYear          = 365.25
)

const lastingSource = "survival of marked animals: Cormack 1964, Biometrika 51:429–438; Jolly 1965, Biometrika 52:225–247; Seber 1965, Biometrika 52:249–259; Lebreton, Burnham, Clobert & Anderson 1992, Ecological Monographs 62:67–118; transients: Pradel, Hines, Lebreton & Nichols 1997, Biometrics 53:60–72; goodness of fit: Burnham et al. 1987, American Fisheries Society Monograph 5; growth: Pradel 1996, Biometrics 52:703–709"

// Survival estimates the apparent survival of a year, and the growth of the
// number, from the animals caught trip by trip. Nights of a trip are one
// occasion; the time between trips is counted in years. Models are averaged by
// QAICc with the variance inflation of the goodness-of-fit tests; leaving for
// good counts as death.
func Survival(r *register.Register, q Which) (Lasting, error) {
	a := ask(r, q)
	a.independent()
	out := Lasting{State: r.State(), Which: q, Trips: []LastingTrip{}, Growth: fit.Lost("growth"), CHat: 1, Source: lastingSource}
	s, _ := a.occasions(a.sexesApart())
	out.Trips = s.trips
	for i := range len(s.trips) - 1 {
		out.Intervals = append(out.Intervals, Interval{s.trips[i].Name, s.trips[i+1].Name, s.Intervals[i], fit.Lost("survival")})
	}
	out.LeftOut = a.left
	if out.Refused = s.tooThin(); out.Refused == "" {
		if err := s.fitAll(&out); err != nil {
			return out, err
		}
	}
	out.say()
	return out, nil
}

// occasions are the trips of a question as occasions.
type occasions struct {
	survival.Histories
	trips []LastingTrip
}

// occasions gathers which animals were caught on which trip, the sexes apart or
// together, and which animal each row is.
func (a *asked) occasions(apart bool) (occasions, []uuid.UUID) {
	var s occasions
	place := map[string]int{}
	counts := efforts{}
	var effort []float64
	trips, _ := parted(a.Register)
	for _, t := range trips {
		if _, in := a.place[t.Trip.Trip]; !in {
			continue
		}
		n := a.nightly(t, counts)
		if n.nights == 0 {
			continue
		}
		row := LastingTrip{Trip: t.Trip.Trip, Name: cmp.Or(t.Name, t.Trip.Trip), First: n.first, Caught: len(n.animals), Captures: n.captures}
		for _, e := range n.effort {
			c, _ := e.Corrected()
			row.TrapNights += c
		}
		if k := len(s.trips); k > 0 {
			years := row.First.Noon(time.UTC).Sub(s.trips[k-1].First.Noon(time.UTC)).Hours() / 24 / daysInYear
			s.Intervals = append(s.Intervals, max(years, 1/daysInYear))
		}
		place[row.Trip] = len(s.trips)
		s.trips, effort = append(s.trips, row), append(effort, row.TrapNights)
	}
	if log := abundance.LogEffort(effort); len(effort) > 1 && slices.Min(effort) > 0 && slices.Max(effort) > 1.1*slices.Min(effort) {
		s.ByOccasion = map[string][]float64{"effort": log}
	}
	return s, s.animals(a, place, apart)
}

// animals makes a history of each animal, and groups by sex where the sexes are
// told apart.
func (s *occasions) animals(a *asked, place map[string]int, apart bool) (animals []uuid.UUID) {
	for _, captures := range a.byAnimal() {
		sex := a.sex(captures[0].Animal)
		if apart && sex == record.SexUnknown {
			for _, c := range captures {
				a.left.capture(c, "the sex is not written, or written both ways, and the sexes are told apart")
			}
			continue
		}
		row, lost := make([]int, len(s.trips)), false
		for _, c := range captures {
			if k, in := place[c.At.Trip]; in {
				row[k], lost = 1, gone(c)
			}
		}
		s.Caught, s.Lost = append(s.Caught, row), append(s.Lost, lost)
		animals = append(animals, captures[0].Animal)
		if apart {
			s.Group = append(s.Group, string(sex))
		}
	}
	return animals
}

// sexesApart tells whether the animals are enough to tell the sexes apart.
func (a *asked) sexesApart() bool {
	count := map[record.Sex]int{}
	total := 0
	for _, captures := range a.byAnimal() {
		count[a.sex(captures[0].Animal)]++
		total++
	}
	const enough = 10 // of each: common practice, no source
	return a.which.Sex == record.SexUnknown && total >= fewAnimals && count[record.Female] >= enough && count[record.Male] >= enough &&
		count[record.SexUnknown]*20 <= total
}

// tooThin says why no survival is given, and what would be enough.
func (s occasions) tooThin() string {
	seen := 0
	for _, t := range s.trips {
		seen += t.Caught
	}
	again := 0
	for _, row := range s.Caught {
		n := 0
		for _, caught := range row {
			n += caught
		}
		again += max(0, n-1)
	}
	switch {
	case len(s.trips) < leastOccasions:
		return (&TooThin{"survival", len(s.trips), leastOccasions, "trips"}).Error()
	case seen < leastAnimalOccasion:
		return (&TooThin{"survival", seen, leastAnimalOccasion, "animals caught, summed over the trips"}).Error()
	case again < leastRecaptures:
		return (&TooThin{"survival", again, leastRecaptures, "recaptures from one trip to a later one"}).Error()
	}
	return ""
}

// A choice is one model in words and effects.
type choice struct {
	survive, detect []string
	says            [2]string
}

// choices are the models that the data can tell apart.
func (s occasions) choices() (alike, timed []choice) {
	survive := [][2]string{{"", "the same for all"}}
	detect := [][2]string{{"", "the same for all"}}
	if s.ByOccasion != nil {
		detect = append(detect, [2]string{"effort", "by trap-nights"})
	}
	if s.Group != nil {
		survive = append(survive, [2]string{"group", "by sex"})
		detect = append(detect, [2]string{"group", "by sex"})
	}
	if len(s.Caught) >= fewAnimals {
		survive = append(survive, [2]string{"since-marking:2", "less after the first capture (transients)"})
	}
	timely := len(s.Caught) >= fewAnimals && len(s.trips) <= mostTimed
	if timely {
		detect = append(detect, [2]string{"occasion", "by trip"})
	}
	effects := func(e string) []string {
		if e == "" {
			return nil
		}
		return []string{e}
	}
	for _, d := range detect {
		for _, v := range survive {
			alike = append(alike, choice{effects(v[0]), effects(d[0]), [2]string{v[1], d[1]}})
		}
		if timely && d[0] != "occasion" {
			timed = append(timed, choice{[]string{"occasion"}, effects(d[0]), [2]string{"by interval", d[1]}})
		}
	}
	return alike, timed
}

// fitAll fits the models and averages them.
func (s occasions) fitAll(out *Lasting) error {
	goodness, err := survival.Tests(s.Histories)
	if err != nil {
		return err
	}
	out.CHat = goodness.CHat
	inflation := fit.Inflation{CHat: out.CHat, Counted: true}
	alike, timed := s.choices()
	words := map[string]choice{}
	fitted := func(choices []choice) ([]survival.Result, error) {
		var results []survival.Result
		for _, c := range choices {
			r, err := survival.Fit(s.Histories, survival.Model{Survive: c.survive, Detect: c.detect})
			if err != nil {
				return nil, err
			}
			words[r.Model.String()] = c
			results = append(results, r)
		}
		return results, nil
	}
	constant, err := fitted(alike)
	if err != nil {
		return err
	}
	by, err := fitted(timed)
	if err != nil {
		return err
	}
	if err := out.rank(append(slices.Clone(constant), by...), words, inflation); err != nil {
		return err
	}
	if err := s.annual(out, constant, inflation); err != nil {
		return err
	}
	s.byInterval(out, by)
	out.takesForGranted(goodness)
	return s.growth(out, words)
}

// rank lists the models, best first.
func (l *Lasting) rank(results []survival.Result, words map[string]choice, inflation fit.Inflation) error {
	var candidates []fit.Candidate
	for _, r := range results {
		candidates = append(candidates, r.Candidate(r.Model.String()))
	}
	table, err := fit.Compare(candidates, inflation)
	if err != nil {
		return err
	}
	for _, row := range table {
		c := words[row.Name]
		m := ModelRow{Survival: c.says[0], Detection: c.says[1], Count: row.Parameters, Weight: row.Weight}
		if !math.IsNaN(row.Criterion) {
			m.Criterion = &row.Criterion
		}
		l.Models = append(l.Models, m)
	}
	best := slices.IndexFunc(results, func(r survival.Result) bool { return r.Model.String() == table[0].Name })
	l.Warnings = results[best].Warnings
	return nil
}

// annual averages the survival of a year, of animals caught before, over the
// models alike in time.
func (s occasions) annual(out *Lasting, results []survival.Result, inflation fit.Inflation) error {
	seen := map[string]bool{}
	for row := range s.Caught {
		group := ""
		if s.Group != nil {
			group = s.Group[row]
		}
		if seen[group] {
			continue
		}
		seen[group] = true
		_, mean, err := survival.Average(results, survival.Place{Row: row, Occasion: 1, Since: 2}, inflation)
		if err != nil {
			return err
		}
		mean.Name = "survival of a year"
		if group != "" {
			mean.Name += ", " + group + "s"
		}
		out.Annual = append(out.Annual, widened(mean.Estimate, out.CHat))
	}
	slices.SortFunc(out.Annual, func(a, b fit.Estimate) int { return cmp.Compare(a.Name, b.Name) })
	return nil
}

// widened widens an error by the root of ĉ, the interval on the logit scale.
func widened(e fit.Estimate, cHat float64) fit.Estimate {
	if cHat == 1 || e.Status != fit.Estimable {
		return e
	}
	root, middle := math.Sqrt(cHat), fit.Logit.Eta(e.Value)
	e.SE *= root
	e.Lower = fit.Logit.Natural(middle + float64(root*(fit.Logit.Eta(e.Lower)-middle)))
	e.Upper = fit.Logit.Natural(middle + float64(root*(fit.Logit.Eta(e.Upper)-middle)))
	return e
}

// byInterval fills in the survival of each interval from the best model that has
// one.
func (s occasions) byInterval(out *Lasting, results []survival.Result) {
	if len(results) == 0 {
		return
	}
	best := slices.MinFunc(results, func(a, b survival.Result) int { return cmp.Compare(a.AICc, b.AICc) })
	for i := range out.Intervals {
		out.Intervals[i].Survival = widened(best.SurvivalAt(survival.Place{Occasion: i + 1, Since: 1}), out.CHat)
	}
}

// growth fits how the number of animals grows, with the detection of the best
// model alike in time.
func (s occasions) growth(out *Lasting, words map[string]choice) error {
	m := survival.Model{Population: survival.Growth}
	for _, row := range out.Models {
		for _, c := range words {
			if c.says == [2]string{row.Survival, row.Detection} && !slices.Contains(c.survive, "since-marking:2") && !slices.Contains(c.survive, "occasion") && m.Detect == nil && m.Survive == nil {
				m.Survive, m.Detect = c.survive, c.detect
			}
		}
	}
	h := s.Histories
	h.Group = nil
	m.Survive, m.Detect = without(m.Survive, "group"), without(m.Detect, "group")
	r, err := survival.Fit(h, m)
	if err != nil {
		return err
	}
	for _, p := range r.Populated {
		if p.Name == "growth" {
			out.Growth = p
		}
	}
	return nil
}

func without(list []string, word string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return s == word })
}

// takesForGranted tells what the models assume, and how it looks.
func (l *Lasting) takesForGranted(g survival.Goodness) {
	look := map[string]string{survival.Transience: "no sign of animals passing through", survival.TrapDependence: "no sign that a capture changes the next"}
	for _, c := range g.Components {
		if _, told := look[c.Name]; !told || c.Sum.DF == 0 {
			continue
		}
		if c.Sum.P < 0.05 || math.Abs(c.Z) > 1.96 {
			look[c.Name] = fmt.Sprintf("doubtful (χ² %.1f on %d, P %.3f)", c.Sum.ChiSquare, c.Sum.DF, c.Sum.P)
		} else {
			look[c.Name] += fmt.Sprintf(" (P %.2f)", c.Sum.P)
		}
	}
	overall := "the tables are too thin to test it; ĉ is taken as 1"
	if g.Overall.DF > 0 {
		overall = fmt.Sprintf("χ² %.1f on %d, P %.2f; ĉ %.2f widens every error", g.Overall.ChiSquare, g.Overall.DF, g.Overall.P, l.CHat)
	}
	l.Assumes = []Assumed{
		{"animals marked newly fare like those marked before", look[survival.Transience]},
		{"animals just caught are caught again like the others", look[survival.TrapDependence]},
		{"animals fare independently of each other", overall},
		{"marks are kept and read rightly; the same places are trapped in the same way", "not tested here"},
		{"leaving for good counts as death", "survival is apparent: the true one is no lower"},
	}
	l.Warnings = append(l.Warnings, g.Warnings...)
}

// say opens the answer with one sentence.
func (l *Lasting) say() {
	if l.Refused != "" {
		l.Says = fmt.Sprintf("Whether they survive cannot be said: %s.", l.Refused)
		return
	}
	l.Says = ""
	for _, s := range l.Annual {
		who := "animals"
		if len(l.Annual) > 1 {
			who = s.Name[len("survival of a year, "):]
		}
		if s.Status == fit.NotEstimable {
			l.Says += fmt.Sprintf("The survival of the %s over a year is not estimable from these captures. ", who)
			continue
		}
		l.Says += fmt.Sprintf("Of the %s alive, about %.0f %% are alive and still there a year later (95 %% interval %.0f to %.0f %%). ", who, 100*s.Value, 100*s.Lower, 100*s.Upper)
	}
	l.Says = strings.TrimSpace(l.Says)
	if g := l.Growth; g.Status == fit.Estimable {
		way := "we cannot say that their number changes"
		switch {
		case g.Lower > 1:
			way = "their number grows"
		case g.Upper < 1:
			way = "their number falls"
		}
		l.Says += fmt.Sprintf(" From year to year %s (times %.2f, %.2f to %.2f).", way, g.Value, g.Lower, g.Upper)
	}
}
