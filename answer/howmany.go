package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"dawnround/abundance"
	"dawnround/fit"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Many is how many animals there were at a site, trip by trip.
type Many struct {
	State    string     `json:"state"` // of the notebook
	Which    Which      `json:"which"`
	Says     string     `json:"says"`
	Compared string     `json:"compared,omitempty"` // with the trip about a year before
	Trips    []ManyTrip `json:"trips"`
	Assumes  []Assumed  `json:"assumes"`
	LeftOut  []LeftOut  `json:"left_out"`
	Source   string     `json:"source"`
}

// ManyTrip is one trip: what was caught, what is known, and what follows.
type ManyTrip struct {
	Trip        string       `json:"trip"`
	Name        string       `json:"name"`
	First       record.Night `json:"first"`
	Nights      int          `json:"nights"`
	TrapNights  int          `json:"trap_nights"`
	Corrected   *float64     `json:"corrected,omitempty"` // for sprung traps, where single traps were written
	Animals     int          `json:"animals"`
	Recaptures  int          `json:"recaptures"` // within the trip, one a night
	KnownAlive  int          `json:"known_alive"`
	Provisional bool         `json:"provisional,omitempty"` // known alive still fills up
	N           fit.Estimate `json:"n"`                     // averaged over the models
	Shared      int          `json:"shared,omitempty"`      // trips from which detection was taken, where this one is too thin by itself
	Refused     string       `json:"refused,omitempty"`     // why no estimate is given, and what would be enough
	Models      []ManyModel  `json:"models,omitempty"`
	AtLeast     fit.Estimate `json:"at_least"`        // if animals differ in catchability: a lower bound
	Range       *Range       `json:"range,omitempty"` // over the averaged models and the bound
	Closed      *Closing     `json:"closed,omitempty"`
	Warnings    []string     `json:"warnings,omitempty"`
	Break       string       `json:"break,omitempty"` // what changed since the trip before: figures on both sides do not compare plainly

	Captures []uuid.UUID `json:"-"`

	on []siteNight // worked
}

// Range is how few and how many there may be by either way of looking at it.
// With fewer than five nights it cannot be told whether animals differ in how
// readily they are caught, so a range is given beside the interval of the models
// that take them as alike.
type Range struct {
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}

// Open reports an upper end so far off that it says nothing.
func (r Range) Open() bool { return r.Upper > 4*r.Lower }

// Says is the upper end in words.
func (r Range) Says() string {
	if r.Open() {
		return "there may be many more: no useful upper limit"
	}
	return "there may be up to " + ends(r.Upper)
}

// fewNights is below how many a range is given.
const fewNights = 5

// widen makes the range of a trip that has an estimate.
func (t *ManyTrip) widen() {
	if t.Refused != "" || t.Nights >= fewNights || t.AtLeast.Status != fit.Estimable || math.IsNaN(t.AtLeast.Upper) || math.IsInf(t.AtLeast.Upper, 1) {
		return
	}
	t.Range = &Range{min(t.N.Lower, t.AtLeast.Lower), max(t.N.Upper, t.AtLeast.Upper)}
}

// ManyModel is one model of a trip, in words.
type ManyModel struct {
	Detection string       `json:"detection"` // what a night's chance of being caught depends on
	N         fit.Estimate `json:"n"`
	Weight    float64      `json:"weight"`
	Apart     string       `json:"apart,omitempty"` // why it has none
}

// Closing is the test of closure of one trip.
type Closing struct {
	Animals int     `json:"animals"`
	P       float64 `json:"p"`
}

// Assumed is one thing an estimate takes for granted, and how it looks.
type Assumed struct {
	What string `json:"what"`
	Says string `json:"says"`
}

// Below these no estimate is given (analyses common in the trade; seven
// recaptures: Robson & Regier 1964, as in Seber 1982).
const (
	leastAnimals    = 10
	leastRecaptures = 7
	leastNights     = 2
)

const manySource = "closed models: Otis, Burnham, White & Anderson 1978, Wildlife Monographs 62; averaged by AICc: Burnham & Anderson 2002; interval: Chao 1989, Biometrics 45:427–438; lower bound: Chao 1987, Biometrics 43:783–791; known alive: Krebs 1966, Ecological Monographs 36:239–273 (from memory)"

// HowMany estimates how many animals that live on their own were alive and
// exposed to the traps of a site, trip by trip. Each trip is taken as closed;
// detection is modelled as the same for all, by night, after first capture, by
// sex and by effort, where the trip can tell these apart, and N is averaged over
// the models by AICc. Heterogeneity between animals is given as a lower bound
// beside it, never averaged (with few nights it cannot be told from a smaller
// population). A trip too thin to be estimated by itself takes its detection from
// all trips asked for with as many nights; where these are too thin together it
// gets the count of those known alive, and what would be enough. Without a site,
// all sites are one population, and a night is the first, second, … at its site.
func HowMany(r *register.Register, q Which) (Many, error) {
	a := ask(r, q)
	a.independent()
	out := Many{State: r.State(), Which: q, Trips: []ManyTrip{}, Source: manySource}
	alive := a.aliveByTrip()
	var all []nightly
	counts := efforts{}
	trips, _ := parted(r)
	for _, t := range trips {
		if _, in := a.place[t.Trip.Trip]; !in {
			continue
		}
		n := a.nightly(t, counts)
		if n.nights == 0 {
			continue
		}
		row, err := n.estimate()
		if err != nil {
			return out, fmt.Errorf("trip %s: %w", t.Trip.Trip, err)
		}
		row.KnownAlive = alive[t.Trip.Trip]
		out.Trips, all = append(out.Trips, row), append(all, n)
	}
	if err := share(all, out.Trips); err != nil {
		return out, err
	}
	for i := range out.Trips {
		out.Trips[i].widen()
		out.Trips[i].Provisional = i >= len(out.Trips)-2
		if i > 0 {
			out.Trips[i].Break = a.methodOf(out.Trips[i]).since(a.methodOf(out.Trips[i-1]))
		}
	}
	out.Assumes = a.takesForGranted(out.Trips)
	out.LeftOut = a.left
	out.say()
	return out, nil
}

// aliveByTrip counts the animals caught on a trip or both before and after it.
func (a *asked) aliveByTrip() map[string]int {
	out := map[string]int{}
	for _, captures := range a.byAnimal() {
		first, last := len(a.trips), -1
		for _, c := range captures {
			first, last = min(first, a.place[c.At.Trip]), max(last, a.place[c.At.Trip])
		}
		for _, trip := range a.trips[min(first, len(a.trips)) : last+1] {
			out[trip]++
		}
	}
	return out
}

// estimate makes the row of a trip.
func (n nightly) estimate() (ManyTrip, error) {
	row := ManyTrip{
		Trip: n.trip.Trip.Trip, Name: cmp.Or(n.trip.Name, n.trip.Trip.Trip), First: n.first, Nights: n.nights,
		Animals: len(n.animals), Recaptures: n.recaptures(), Captures: n.captures, N: fit.Lost("N"), AtLeast: fit.Lost("N"), on: n.on,
	}
	n.addEffort(&row)
	if closed, err := abundance.Closure(n.Histories); err == nil && closed.Animals > 0 {
		row.Closed = &Closing{closed.Animals, closed.P}
	}
	if f := n.Frequencies(); len(f.Animals) > 1 && f.Animals[1] > 0 {
		if chao, err := abundance.ChaoN(f); err == nil {
			row.AtLeast = chao.N
		}
	}
	row.Refused = n.tooThin()
	if row.Refused != "" {
		return row, nil
	}
	return row, n.models(&row)
}

func (n nightly) addEffort(row *ManyTrip) {
	corrected, known := 0.0, true
	for _, e := range n.effort {
		c, ok := e.Corrected()
		corrected, known = corrected+c, known && ok
		row.TrapNights += e.TrapNights
	}
	if known {
		row.Corrected = &corrected
	}
}

// tooThin says why a trip gives no estimate, and what would be enough.
func (n nightly) tooThin() string {
	switch {
	case n.uneven:
		return "the sites were trapped on different numbers of nights; ask one site at a time"
	case n.nights < leastNights:
		return (&TooThin{"an estimate", n.nights, leastNights, "nights"}).Error()
	case len(n.animals) < leastAnimals:
		return (&TooThin{"an estimate", len(n.animals), leastAnimals, "animals"}).Error()
	case n.recaptures() < leastRecaptures:
		return (&TooThin{"an estimate", n.recaptures(), leastRecaptures, "recaptures within the trip"}).Error()
	}
	return ""
}

// tellsBehaviour reports captures that can tell whether an animal is caught less
// or more readily after the first time. With fewer recaptures a change of
// behaviour and a number of animals never caught look the same, and an estimate
// that rests on it is arbitrary (common practice, no source).
func tellsBehaviour(nights, recaptures int) bool { return nights >= 3 && recaptures >= 20 }

// candidates are the ways in which detection may differ that the trip can tell
// apart, each in words.
func (n nightly) candidates() [][2]string {
	out := [][2]string{{"", "the same for all"}}
	if n.nights >= 3 {
		out = append(out, [2]string{"occasion", "by night"})
	}
	if tellsBehaviour(n.nights, n.recaptures()) {
		out = append(out, [2]string{"after-capture", "after the first capture"})
	}
	if n.Nightly != nil {
		out = append(out, [2]string{"effort", "by trap-nights"})
	}
	if n.Group != nil {
		out = append(out, [2]string{"group", "by sex"})
	}
	return out
}

// models fits the candidates and averages them.
func (n nightly) models(row *ManyTrip) error {
	var results []abundance.Result
	words := map[string]string{}
	for _, candidate := range n.candidates() {
		m := abundance.Model{}
		if candidate[0] != "" {
			m.Detect = []string{candidate[0]}
		}
		r, err := abundance.Fit(n.Histories, m)
		if err != nil {
			return err
		}
		words[r.Model.String()] = candidate[1]
		results = append(results, r)
	}
	table, mean, err := abundance.Average(results)
	if err != nil {
		return err
	}
	for _, ranked := range table {
		i := slices.IndexFunc(results, func(r abundance.Result) bool { return r.Model.String() == ranked.Name })
		row.Models = append(row.Models, ManyModel{words[ranked.Name], results[i].N, ranked.Weight, ranked.Apart})
		for _, w := range results[i].Warnings {
			if ranked.Weight > 0.1 && !slices.Contains(row.Warnings, w) {
				row.Warnings = append(row.Warnings, w)
			}
		}
	}
	row.N = mean.Estimate
	if mean.Status == fit.NotEstimable {
		row.Refused = "not estimable: no model of these captures tells how many were missed"
	}
	return nil
}

// method is how a trip was trapped: under which versions of the protocol, and
// with which kinds of traps.
type method struct{ protocols, traps []string }

func (a *asked) methodOf(t ManyTrip) (m method) {
	add := func(list *[]string, s string) {
		if s != "" && !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
	}
	for _, c := range a.captures {
		if c.At.Trip != t.Trip {
			continue
		}
		if c.Handled != nil {
			add(&m.protocols, c.Handled.Protocol)
		}
	}
	for _, on := range t.on {
		set, _ := a.NightAt(on.Site, on.Night).Set()
		for _, trap := range set {
			for _, p := range a.Positions(on.Site, trap) {
				if p.From.Compare(on.Night) <= 0 && (p.To.IsZero() || p.To.Compare(on.Night) >= 0) {
					add(&m.traps, p.Type)
				}
			}
		}
	}
	slices.Sort(m.traps)
	return m
}

// since says what changed from one way of trapping to the next; "" where
// nothing did, or nothing is written.
func (m method) since(before method) string {
	switch {
	case len(m.traps) > 0 && len(before.traps) > 0 && !slices.Equal(m.traps, before.traps):
		return "other traps"
	case len(m.protocols) > 0 && len(before.protocols) > 0 && before.protocols[len(before.protocols)-1] != m.protocols[0]:
		return "another protocol"
	}
	return ""
}

// takesForGranted tells what the estimates assume and how it looks in the
// latest trip that has one.
func (a *asked) takesForGranted(trips []ManyTrip) []Assumed {
	i := lastEstimated(trips)
	if i < 0 {
		return nil
	}
	t := trips[i]
	closed := "no animal tells: none was caught on two nights or more, but not on all"
	if t.Closed != nil {
		closed = fmt.Sprintf("first and last captures lie as far apart as chance has it (%d animals, P %.2f)", t.Closed.Animals, t.Closed.P)
		if t.Closed.P < 0.05 {
			closed = fmt.Sprintf("doubtful: first and last captures lie close together, as of animals passing through (%d animals, P %.3f); the estimate is then too high", t.Closed.Animals, t.Closed.P)
		}
	}
	alike := fmt.Sprintf("%s has most support; where animals differ beyond that, there are more than estimated", t.Models[0].Detection)
	if t.Shared > 0 {
		alike += fmt.Sprintf("; detection is taken to be what it was over %d trips together, since this one tells too little", t.Shared)
	}
	if t.AtLeast.Status == fit.Estimable {
		alike += fmt.Sprintf(" (at least %s, %s)", figures(t.AtLeast.Value, 2), interval(t.AtLeast.Value, t.AtLeast.Lower, t.AtLeast.Upper, 2))
	}
	return []Assumed{
		{"nobody came, went, was born or died between the first night and the last", closed},
		{"marks are kept and read rightly", lostMarks(a, t)},
		{"animals are caught alike, but for what the models allow", alike},
		{"every animal counted lives on its own and within reach of a trap", "young with their mother are left out; those beyond the traps are not spoken of"},
	}
}

// lostMarks counts the marks found gone on a trip.
func lostMarks(a *asked, t ManyTrip) string {
	gone := 0
	for _, c := range a.captures {
		if c.At.Trip != t.Trip || c.Handled == nil {
			continue
		}
		for _, m := range c.Handled.Marks {
			if m.Act == record.MarkGone {
				gone++
			}
		}
	}
	if gone == 0 {
		return "no mark was found gone"
	}
	return fmt.Sprintf("%d found gone; an animal that lost every mark counts twice", gone)
}

// lastEstimated is the place of the latest trip with an estimate; -1 for none.
func lastEstimated(trips []ManyTrip) int {
	for i, t := range slices.Backward(trips) {
		if t.Refused == "" {
			return i
		}
	}
	return -1
}

// say opens the answer with one sentence.
func (m *Many) say() {
	if len(m.Trips) == 0 {
		m.Says = "Nothing was trapped there for this question: no trip has a night with traps or captures."
		return
	}
	last := m.Trips[len(m.Trips)-1]
	at := lastEstimated(m.Trips)
	if at < 0 {
		m.Says = fmt.Sprintf("On the trip %s at least %d animals were alive; how many there were cannot be estimated (%s).", last.Name, last.KnownAlive, last.Refused)
		return
	}
	t := m.Trips[at]
	m.Says = fmt.Sprintf("On the trip %s there were about %s independent animals at %s (95 %% interval %s to %s); %d were handled.",
		t.Name, figures(t.N.Value, 2), cmp.Or(m.Which.Site, "all sites together"), ends(t.N.Lower), ends(t.N.Upper), t.Animals)
	if t.Range != nil && t.Range.Upper > 1.1*t.N.Upper {
		m.Says += fmt.Sprintf(" If animals differ in how readily they are caught, which %d nights cannot tell, %s.", t.Nights, t.Range.Says())
	}
	if t.Shared > 0 {
		m.Says += fmt.Sprintf(" The chance of being caught is taken from %d trips together: this one alone tells too little.", t.Shared)
	}
	if at < len(m.Trips)-1 {
		m.Says += fmt.Sprintf(" Of the latest, %s, only a count can be given: at least %d (%s).", last.Name, last.KnownAlive, last.Refused)
	}
	m.Compared = m.compare(at)
}

func ends(v float64) string {
	if math.IsInf(v, 1) || math.IsNaN(v) {
		return "no limit"
	}
	return fmt.Sprintf("%.0f", v)
}

// compare puts a trip beside the one about a year before it, by the difference
// of the logarithms over its error (normal, two-sided).
func (m *Many) compare(at int) string {
	now := m.Trips[at]
	for _, then := range slices.Backward(m.Trips[:at]) {
		days := now.First.Noon(time.UTC).Sub(then.First.Noon(time.UTC)).Hours() / 24
		if then.Refused != "" || days < 300 || days > 430 || now.N.SE == 0 || then.N.SE == 0 {
			continue
		}
		variance := math.Log1p(math.Pow(now.N.SE/now.N.Value, 2)) + math.Log1p(math.Pow(then.N.SE/then.N.Value, 2))
		z := math.Log(now.N.Value/then.N.Value) / math.Sqrt(variance)
		p := fit.NormalTail(z)
		says := fmt.Sprintf("A year earlier it was %s (%s to %s): ", figures(then.N.Value, 2), ends(then.N.Lower), ends(then.N.Upper))
		way := "fell"
		if z > 0 {
			way = "rose"
		}
		if p < 0.05 {
			return says + fmt.Sprintf("it %s (P %.3f).", way, p)
		}
		return says + fmt.Sprintf("we cannot say that it %s (P %.2f).", way, p)
	}
	return ""
}
