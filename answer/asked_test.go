package answer_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"dawnround/answer"
	"dawnround/condition"
	"dawnround/growth"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// sheetText is an invented species with what these questions ask about.
const sheetText = `name: invented
zone: UTC
species:
- code: X
  name: invented
  stages: [{id: pouch young, with mother: true}, {id: young at foot, with mother: true}, {id: subadult}, {id: adult, adult: true}]
  traits:
  - {id: mass, name: weight, unit: g, step: 1, may shrink: true}
  - {id: pes, name: pes, unit: mm, step: 0.1, bone: true, limit between visits: 1.5, source: common practice}
  - {id: mass, name: weight, of: young, unit: g, step: 1}
  - {id: head, name: head, of: young, unit: mm, step: 0.1}
  signs:
  - {id: pouch, sex: female, shows breeding: true, values: [{id: undeveloped, never bred: true}, {id: empty, parous: true}, {id: occupied, parous: true, young: true}]}
  - {id: lactating, sex: female, shows breeding: true, values: [{id: "yes", parous: true}, {id: "no"}]}
  - {id: testes, sex: male, shows breeding: true, values: [{id: scrotal}]}
marks: [{id: tag, name: tag, form: tag}]
findings:
  parts: [{id: ear, name: ear, sided: true}, {id: back, name: back}]
  signs: [{id: tick, name: tick, counted: true, parasite: true}, {id: wound, name: wound, grades: [fresh, healing, old]}]
  classes: [{id: "0", low: 0, high: 0}, {id: 1–5, low: 1, high: 5}, {id: ">5", low: 6}]
`

// world is lines of an invented programme, gathered one by one.
type world struct {
	lines []record.Body
	n     int
}

func newWorld(trips int) *world {
	w := &world{lines: []record.Body{record.Protocol{Version: "1", Text: sheetText}, record.Site{Site: "A", Name: "A"}}}
	for t := range trips {
		w.lines = append(w.lines, record.Trip{Trip: fmt.Sprint(t + 1)})
	}
	for i := range 6 { // traps 50 m apart
		w.lines = append(w.lines, record.Trap{Site: "A", Trap: fmt.Sprint(i + 1), Lat: -20 - 0.00045*float64(i), Lon: 144, Datum: "WGS84"})
	}
	return w
}

// caught adds a capture of an animal on a trip, changed by what follows, and
// gives its id.
func (w *world) caught(tag string, trip int, with ...func(*record.Capture)) uuid.UUID {
	w.n++
	c := caught(w.n, trip, tag)
	c.At.Night = night(13 * trip) // half a year from trip to trip
	for _, f := range with {
		f(&c)
	}
	w.lines = append(w.lines, c)
	return c.Capture
}

func (w *world) fold(tb interface{ Fatal(...any) }) *register.Register { return fold(tb, w.lines...) }

func by(handler string) func(*record.Capture) {
	return func(c *record.Capture) { c.Handled.Handler = handler }
}

func is(sex record.Sex, stage string) func(*record.Capture) {
	return func(c *record.Capture) { c.Handled.Sex, c.Handled.Stage = sex, stage }
}

func on(day int) func(*record.Capture) {
	return func(c *record.Capture) { c.At.Night = c.At.Night.Add(day) }
}

func in(trap string) func(*record.Capture) {
	return func(c *record.Capture) { c.At.Trap = trap }
}

// read adds readings of a trait: the first, and again.
func read(trait string, blind bool, values ...float64) func(*record.Capture) {
	return func(c *record.Capture) {
		if c.Handled.Measures == nil {
			c.Handled.Measures = map[string]record.Reading{}
		}
		c.Handled.Measures[trait] = reading(blind, values...)
	}
}

func reading(blind bool, values ...float64) record.Reading {
	r := record.Reading{Quantity: record.MilliQuantity(int64(math.Round(values[0] * 1000))), Blind: blind}
	for _, v := range values[1:] {
		r.Again = append(r.Again, record.MilliQuantity(int64(math.Round(v*1000))))
	}
	return r
}

func sign(name, value string) func(*record.Capture) {
	return func(c *record.Capture) {
		if c.Handled.Signs == nil {
			c.Handled.Signs = map[string]record.Sign{}
		}
		s := record.Sign{Value: value}
		if why, shut := strings.CutPrefix(value, "nc "); shut {
			s = record.Sign{State: record.NotChecked, Why: why}
		}
		c.Handled.Signs[name] = s
	}
}

func row(n int, where, attached string, more ...func(*record.Young)) func(*record.Capture) {
	return func(c *record.Capture) {
		y := record.Young{Young: id(5000 + n), Where: where, Attached: attached}
		for _, f := range more {
			f(&y)
		}
		c.Handled.Young = append(c.Handled.Young, y)
	}
}

func found(part, side, sign, what string) func(*record.Capture) {
	return func(c *record.Capture) {
		f := record.Finding{Part: part, Side: side, Sign: sign}
		var n int
		switch _, err := fmt.Sscanf(what, "%d", &n); {
		case what == "1–5":
			low, high := 1, 5
			f.Class, f.Low, f.High = what, &low, &high
		case what == "none seen" || what == "not checked":
			f.State = record.State(what)
		case err == nil:
			f.Count = &n
		default:
			f.Grade = what
		}
		c.Handled.Findings = append(c.Handled.Findings, f)
	}
}

var x = answer.Which{Species: "X"}

// Twenty blind pairs of ten animals set the programme's own limit; nineteen, or
// pairs that were not blind, do not.
func TestOnlyBlindPairsSetALimit(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		pairs, animals int
		blind          bool
		own            bool
	}{{20, 10, true, true}, {19, 10, true, false}, {20, 9, true, false}, {40, 20, false, false}} {
		w := newWorld(4)
		for i := range c.pairs {
			size := 100 + float64(i%c.animals)
			w.caught(fmt.Sprintf("T%d", i%c.animals), 1+i/c.animals, read("pes", c.blind, size, size+0.4))
		}
		got, err := answer.HowExact(w.fold(t), x, "pes")
		if err != nil {
			t.Fatal(err)
		}
		if own := !math.IsNaN(float64(got.Limit)); own != c.own {
			t.Errorf("%d pairs of %d animals, blind %v: %s", c.pairs, c.animals, c.blind, got.LimitSays)
		}
		kind := answer.AtOnce
		if c.blind {
			kind = answer.Blind
		}
		// By hand: every difference is 0.4, so TEM = 0.4/√2, and 1.96·√2·TEM = 0.784.
		if k := got.Kinds[0]; k.Kind != kind || k.Pairs != c.pairs || math.Abs(float64(k.TEM)-0.4/math.Sqrt2) > 1e-9 {
			t.Errorf("%+v", k)
		}
		if c.own && math.Abs(float64(got.Limit)-0.784) > 1e-3 {
			t.Errorf("limit %v, want 0.784", got.Limit)
		}
		if !c.own && !strings.Contains(got.LimitSays, "needs at least 20 of 10") {
			t.Errorf("says %q", got.LimitSays)
		}
	}
}

// A reading taken blind on a retrap makes a blind pair with that of the night
// before; one that was not makes a pair within the trip.
func TestBlindFromNightToNight(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	w.caught("T1", 1, read("pes", true, 50))
	w.caught("T1", 1, on(1), read("pes", true, 50.2))
	w.caught("T2", 1, read("pes", false, 60))
	w.caught("T2", 1, on(1), read("pes", false, 61))
	w.caught("T3", 1, read("pes", false, 60), func(c *record.Capture) {
		m := c.Handled.Measures["pes"]
		m.Damaged = true
		c.Handled.Measures["pes"] = m
	})
	got, err := answer.HowExact(w.fold(t), x, "pes")
	if err != nil || len(got.Kinds) != 2 {
		t.Fatalf("%+v, %v", got.Kinds, err)
	}
	if k := got.Kinds[0]; k.Kind != answer.Blind || k.Pairs != 1 || math.Abs(float64(k.TEM)-0.2/math.Sqrt2) > 1e-9 {
		t.Errorf("%+v", k)
	}
	if k := got.Kinds[1]; k.Kind != answer.InTrip || k.Pairs != 1 || math.Abs(float64(k.TEM)-1/math.Sqrt2) > 1e-9 {
		t.Errorf("%+v", k)
	}
	if len(got.LeftOut) != 1 || got.LeftOut[0].Why != "said to be damaged" {
		t.Errorf("left out %+v", got.LeftOut)
	}
	if _, err := answer.HowExact(w.fold(t), x, "wing"); err == nil {
		t.Error("a trait that is not on the sheet is answered")
	}
}

// Handlers are compared where they share five animals, and refused by name
// where they share four. By hand: B reads exactly 1 mm longer than A, so the
// offsets are ∓0.5.
func TestHandlersWhoShareTooFewAreRefused(t *testing.T) {
	t.Parallel()
	w := newWorld(4)
	for i := range 6 {
		tag, size := fmt.Sprintf("T%d", i), 90+float64(i)
		w.caught(tag, 1, by("A"), is("", "adult"), read("pes", false, size))
		w.caught(tag, 2, by("B"), is("", "adult"), read("pes", false, size+1))
		if i < 4 {
			w.caught(tag, 3, by("C"), is("", "adult"), read("pes", false, size+5))
		}
	}
	got, err := answer.HowExact(w.fold(t), x, "pes")
	if err != nil || len(got.Handlers) != 3 {
		t.Fatalf("%+v, %v", got.Handlers, err)
	}
	for i, want := range []float64{-0.5, 0.5} {
		if h := got.Handlers[i]; h.Refused != "" || math.Abs(h.Value-want) > 1e-6 || h.Shared != 6 {
			t.Errorf("%+v, want %v", h, want)
		}
	}
	if h := got.Handlers[2]; h.Handler != "C" || !strings.Contains(h.Refused, "4 animals shared with any other handler; needs at least 5") || !math.IsNaN(h.Value) {
		t.Errorf("%+v", h)
	}
}

// weighed adds animals whose mass is a power of their pes, with some spread.
func (w *world) weighed(n int, sex record.Sex, with ...func(*record.Capture)) {
	for i := range n {
		pes := 90 + float64(i)/2
		mass := 1000 * math.Pow(pes/95, 3) * (1 + 0.02*math.Sin(float64(7*i)))
		w.caught(fmt.Sprintf("%s%d", sex, i), 1, append([]func(*record.Capture){is(sex, "adult"), read("pes", false, pes), read("mass", false, mass)}, with...)...)
	}
}

func TestConditionBySexAndStage(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	w.weighed(20, record.Male)
	w.weighed(19, record.Female, sign("pouch", "empty"))
	w.caught("F1", 1, is(record.Female, "adult"), read("pes", false, 95), read("mass", false, 1100), row(1, "in pouch", "yes", func(y *record.Young) {
		y.Measures = map[string]record.Reading{"mass": reading(false, 100)}
	}))
	w.caught("F2", 1, is(record.Female, "adult"), read("pes", false, 95), read("mass", false, 1150), sign("pouch", "occupied"))
	w.caught("F3", 1, is(record.Female, "adult"), read("pes", false, 95), read("mass", false, 1050), sign("pouch", "nc cold"))
	w.caught("J1", 1, is(record.Male, "subadult"), read("pes", false, 80), read("mass", false, 700))
	got, err := answer.HowHeavy(w.fold(t), x, "")
	if err != nil || got.Length != "pes" || len(got.Groups) != 3 {
		t.Fatalf("by %s, groups %d, %v", got.Length, len(got.Groups), err)
	}
	females, males, young := got.Groups[0], got.Groups[1], got.Groups[2]
	var m, l []float64
	for _, a := range males.Indices {
		m, l = append(m, a.MassG), append(l, a.LengthMM)
	}
	s, err := condition.Fit(m, l)
	if err != nil || males.Slope == nil || males.Slope.B.Value != s.B.Value || males.Borrowed {
		t.Errorf("slope of males %+v, want %+v", males.Slope, s)
	}
	if females.Slope == nil || females.Borrowed || females.Animals != 20 {
		t.Errorf("females %+v: 19, and one whose young was weighed", females.Slope)
	}
	if i := slices.IndexFunc(females.Indices, func(a answer.ScaledMass) bool { return a.YoungG == 100 }); i < 0 || females.Indices[i].MassG != 1000 {
		t.Error("the young's mass is not taken off")
	}
	var why []string
	for _, a := range females.WithYoung {
		why = append(why, a.Why)
	}
	if len(why) != 2 || why[0] != "young in the pouch, of a mass not known" || why[1] != "pouch not checked" {
		t.Errorf("kept apart %q", why)
	}
	if !strings.Contains(young.Refused, "1 animal") || young.Slope != nil {
		t.Errorf("subadults: %q", young.Refused)
	}
}

// One female fewer, and the slope is borrowed from both sexes.
func TestThinGroupsBorrowASlope(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.weighed(20, record.Male)
	w.weighed(19, record.Female, sign("pouch", "empty"))
	got, err := answer.HowHeavy(w.fold(t), x, "")
	if err != nil || !got.Groups[0].Borrowed || got.Groups[0].Slope.Animals != 39 || got.Groups[1].Borrowed {
		t.Fatalf("%+v, %v", got.Groups, err)
	}
	if _, err := answer.HowHeavy(w.fold(t), x, "wing"); err == nil {
		t.Error("a length that is not on the sheet is answered")
	}
}

func TestPrevalenceIsOfFirstExaminations(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	w.caught("T1", 1, found("ear", "left", "tick", "3"), found("ear", "right", "tick", "none seen"))
	w.caught("T1", 1, on(1), found("ear", "left", "tick", "none seen")) // later on the trip: not counted
	w.caught("T2", 1)                                                   // nobody looked
	w.caught("T2", 1, on(1), found("ear", "", "tick", "none seen"))     // the first examination
	w.caught("T3", 1, found("ear", "", "tick", "not checked"))
	w.caught("T4", 1, found("ear", "", "tick", "0"))
	w.caught("T5", 1, found("ear", "", "tick", "1–5"))
	w.caught("T6", 1, found("back", "", "tick", "heavy")) // seen, not counted
	w.caught("T1", 2, found("ear", "left", "tick", "none seen"))
	got := answer.HowHealthy(w.fold(t), x)
	if len(got.Parasites) != 1 {
		t.Fatalf("%+v", got.Parasites)
	}
	one, two := got.Parasites[0].Trips[0], got.Parasites[0].Trips[1]
	if one.Examined != 5 || one.With != 3 || one.NotChecked != 1 || one.Exact == nil || one.Exact.X != 3 {
		t.Errorf("trip 1 %+v", one)
	}
	if two.Examined != 1 || two.Exact != nil || !strings.Contains(two.Refused, "needs at least 5") {
		t.Errorf("trip 2 %+v", two)
	}
	if p := got.Parasites[0]; p.Load != nil || !strings.Contains(p.Thin, "5 animals examined") {
		t.Errorf("load %+v, %q", p.Load, p.Thin)
	}
	for _, f := range got.Findings {
		if f.Part == "ear" && (f.With != 2 || f.NoneSeen != 3 || f.NotChecked != 1) {
			t.Errorf("ears %+v", f)
		}
	}
}

func TestWoundsHeal(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	w.caught("T1", 1, found("back", "", "wound", "fresh"))
	w.caught("T1", 1, on(2), found("back", "", "wound", "healing"))
	w.caught("T1", 2, found("back", "", "wound", "fresh"))
	got := answer.HowHealthy(w.fold(t), x).Wounds
	want := fmt.Sprintf("fresh on %s, then healing after 2 days, fresh again (another one, or worse) after 180 days", night(13))
	if len(got) != 1 || got[0].Says != want {
		t.Errorf("%+v, want %q", got, want)
	}
}

// The share leaves out who was not checked, and whose pouch nobody wrote of.
func TestShareBreedingLeavesOutNotChecked(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	female := is(record.Female, "adult")
	for i := range 3 {
		w.caught(fmt.Sprintf("B%d", i), 1, female, sign("pouch", "occupied"))
	}
	w.caught("B3", 1, female, sign("pouch", "empty"), sign("lactating", "yes"))
	w.caught("E1", 1, female, sign("pouch", "empty"))
	w.caught("E1", 1, on(1), female, sign("pouch", "nc in a hurry")) // seen the day before
	w.caught("N1", 1, female, sign("pouch", "nc large young"))
	w.caught("U1", 1, female)
	w.caught("S1", 1, is(record.Female, "subadult"), sign("pouch", "undeveloped"))
	w.caught("M1", 1, is(record.Male, "adult"), sign("testes", "scrotal"))
	got := answer.HowBreeding(w.fold(t), x, nil)
	if b := got.Trips[0]; b.Breeding != 4 || b.Checked != 5 || b.NotChecked != 1 || b.Unwritten != 1 || b.Exact == nil || b.Exact.N != 5 {
		t.Errorf("%+v", b)
	}
	if len(got.Warnings) != 1 {
		t.Errorf("warnings %q: a pouch kept shut makes the share too low", got.Warnings)
	}
	for _, m := range got.Months {
		if m.Sign == "pouch" && m.Value == "occupied" && (m.With != 3 || m.Checked != 5) {
			t.Errorf("%+v", m)
		}
	}
}

func TestLittersAndLosses(t *testing.T) {
	t.Parallel()
	female := is(record.Female, "adult")
	w := newWorld(6)
	// Two young attached, one the night after: fewer. Half a year on another, small.
	w.caught("A", 1, female, sign("pouch", "empty"))
	w.caught("A", 2, female, sign("pouch", "occupied"), row(1, "in pouch", "yes"), row(2, "in pouch", "yes"))
	w.caught("A", 2, on(1), female, sign("pouch", "occupied"), row(2, "in pouch", "yes"))
	w.caught("A", 3, female, sign("pouch", "occupied"), row(3, "in pouch", "yes"))
	w.caught("A", 4, female, sign("pouch", "empty"), sign("lactating", "yes"), row(3, "at foot", "no"))
	// One attached, and gone four nights later.
	w.caught("B", 2, female, sign("pouch", "occupied"), row(4, "in pouch", "yes"))
	w.caught("B", 2, on(4), female, sign("pouch", "empty"), sign("lactating", "no"))
	// Occupied, and nobody wrote how many.
	w.caught("C", 5, female, sign("pouch", "occupied"))
	got := answer.HowBreeding(w.fold(t), x, nil)
	if len(got.Litters) != 4 {
		t.Fatalf("%d litters: %+v", len(got.Litters), got.Litters)
	}
	a, b := got.Litters[0], got.Litters[2]
	if a.Most != 2 || a.After != night(13) || a.By != night(26) || a.Lost != answer.LostPossible || !strings.Contains(a.Evidence, "1 in the pouch") || a.Fate != "gone from the pouch" {
		t.Errorf("%+v", a)
	}
	if got.Litters[1].Fate != "left the pouch" {
		t.Errorf("%+v", got.Litters[1])
	}
	if b.Fate != "lost" || b.Lost != answer.LostCertain || !strings.Contains(b.Evidence, "too soon for attached young") {
		t.Errorf("%+v", b)
	}
	if c := got.Litters[3]; c.Most != 0 || c.Fate != "not known" {
		t.Errorf("%+v", c)
	}
	if i := got.Intervals; len(i) != 1 || i[0].Days != 182 || i[0].Longest != night(39).Days(night(13)) {
		t.Errorf("intervals %+v", i)
	}
	// Where young leave at 800 days or more, the first litter of A, 364 days old at
	// most when it was gone, cannot have left.
	long := answer.HowBreeding(w.fold(t), x, &growth.PouchLife{Exit: []float64{800, 900}, Source: "invented"})
	if l := long.Litters[0]; l.Lost != answer.LostCertain || !strings.Contains(l.Evidence, "at most") {
		t.Errorf("%+v", l)
	}
	if r := got.Rate; r.Refused == "" {
		t.Errorf("a rate from 1 female: %+v", r)
	}
}

// Milk without young in the pouch tells of a litter nobody saw, unless one seen
// before can still be sucking.
func TestMilkTellsOfALitter(t *testing.T) {
	t.Parallel()
	female, milk, empty := is(record.Female, "adult"), sign("lactating", "yes"), sign("pouch", "empty")
	w := newWorld(5)
	w.caught("A", 1, female, empty, sign("lactating", "no"))
	w.caught("A", 2, female, empty, milk)
	w.caught("B", 1, female, sign("pouch", "occupied"), row(1, "in pouch", "yes"))
	w.caught("B", 2, female, empty, milk)
	w.caught("B", 3, female, empty, sign("lactating", "no"))
	w.caught("B", 4, female, empty, milk)
	r := w.fold(t)
	for days, want := range map[float64]string{0: "unseen A, B, unseen B", 300: "unseen A, B, unseen B", 60: "unseen A, B, unseen B, unseen B"} {
		life := &growth.PouchLife{Weaned: []float64{days, days}, Source: "invented"}
		if days == 0 {
			life = nil
		}
		var got []string
		for _, l := range answer.HowBreeding(r, x, life).Litters {
			got = append(got, map[bool]string{true: "unseen "}[l.Unseen]+l.Mother)
			if l.Unseen && (l.Fate != "at foot, or just lost" || l.After.IsZero()) {
				t.Errorf("%+v", l)
			}
		}
		if s := strings.Join(got, ", "); s != want {
			t.Errorf("weaned at %v days: %s, want %s", days, s, want)
		}
	}
}

// By hand: five females, each seen empty on trip 1 and with a new litter a year
// later: 5 litters in 5 × 364/365.25 female-years. The exact limits of a count of
// 5 are 1.6235 and 11.6683 (Garwood 1936; in every table, from memory).
func TestBirthsInAFemaleYear(t *testing.T) {
	t.Parallel()
	w := newWorld(3)
	female := is(record.Female, "adult")
	for i := range 5 {
		tag := fmt.Sprintf("F%d", i)
		w.caught(tag, 1, is(record.Female, "subadult"), sign("pouch", "undeveloped"))
		w.caught(tag, 1, on(1), female, sign("pouch", "empty"))
		w.caught(tag, 3, on(1), female, sign("pouch", "occupied"), row(i, "in pouch", "yes"))
	}
	got := answer.HowBreeding(w.fold(t), x, nil)
	years := 5 * float64(night(39).Days(night(13))) / 365.25
	r := got.Rate
	if r.Litters != 5 || r.Females != 5 || math.Abs(r.FemaleYears-years) > 1e-9 ||
		math.Abs(r.Rate.Lower*years-1.6235) > 1e-4 || math.Abs(r.Rate.Upper*years-11.6683) > 1e-4 {
		t.Errorf("%+v", r)
	}
	if len(got.First) != 5 || got.First[0].After != night(13) || got.First[0].By != night(13).Add(1) {
		t.Errorf("first breeding %+v", got.First)
	}
}

// Each grade has its evidence, and a young caught later is hers no more surely
// than it was told to be the same.
func TestGradesOfEvidence(t *testing.T) {
	t.Parallel()
	w := newWorld(3)
	female := is(record.Female, "adult")
	milk := sign("lactating", "yes")
	w.caught("M1", 1, female, row(1, "in pouch", "yes"))
	w.caught("M2", 1, female, row(2, "in pouch", "no"))
	w.caught("M3", 1, female, row(3, "at foot", "no"))
	w.caught("M4", 1, female, row(4, "in pouch", "yes"))
	grown := w.caught("Y4", 2, is(record.Male, "subadult"))
	w.lines = append(w.lines, record.Same{Of: []uuid.UUID{id(5004), grown}, Evidence: []string{"size"}, Sure: record.Suspected})
	w.caught("M5", 2, female, milk, in("1"))
	w.caught("Y5", 2, is(record.Male, "young at foot"), in("1"))
	w.caught("Y6", 2, on(1), is(record.Female, "young at foot"), in("2"))
	w.caught("Y7", 2, on(1), is(record.Female, "young at foot"), in("5"))
	gene := w.caught("Y8", 3, is(record.Male, "subadult"))
	w.lines = append(w.lines, record.Mother{Of: gene, Mother: id(1), Sure: record.Certain, Evidence: "genotypes of 12 loci"})
	got := map[string]string{}
	for _, l := range answer.HowBreeding(w.fold(t), x, nil).Links {
		name := l.Name
		if strings.HasPrefix(name, "unmarked") {
			name = "?"
		}
		got[name+" of "+l.Of] += fmt.Sprintf("%s, %s", l.Grade, l.By)
	}
	for pair, want := range map[string]string{
		"? of M1":  "certain, attached to a teat",
		"? of M2":  "likely, in her pouch",
		"? of M3":  "likely, at foot",
		"Y4 of M4": "suspected, known from her row",
		"Y5 of M5": "likely, in one trap",
		"Y6 of M5": "suspected, neighbouring traps",
		"Y8 of M1": "certain, genes",
	} {
		if got[pair] != want {
			t.Errorf("%s: %q, want %q", pair, got[pair], want)
		}
		delete(got, pair)
	}
	if len(got) > 0 {
		t.Errorf("and also %v", got)
	}
}

// A new animal that one young alone fits, by sex, place, a bone and its age, is
// suspected to be that; where the ages of the species are not known it is not.
func TestDatesAndSizesAreSuspected(t *testing.T) {
	t.Parallel()
	w := newWorld(3)
	female := is(record.Female, "adult")
	male := func(pes float64) func(*record.Young) {
		return func(y *record.Young) {
			y.Sex, y.Measures = record.Male, map[string]record.Reading{"pes": reading(false, pes)}
		}
	}
	w.caught("M0", 1, female, sign("pouch", "empty"))
	w.caught("M0", 2, on(-90), female, row(1, "in pouch", "yes", male(30)))
	w.caught("M1", 2, on(-90), female, row(2, "in pouch", "yes", func(y *record.Young) { y.Sex = record.Female }))
	w.caught("Y", 2, on(30), is(record.Male, "subadult"), read("pes", false, 60))
	r := w.fold(t)
	for _, c := range []struct {
		life *growth.PouchLife
		want int
	}{{nil, 0}, {&growth.PouchLife{Exit: []float64{100, 110}, Source: "invented"}, 1}, {&growth.PouchLife{Exit: []float64{900}, Source: "invented"}, 0}} {
		got := 0
		for _, l := range answer.HowBreeding(r, x, c.life).Links {
			if l.By == answer.ByDates && l.Grade == record.Suspected && l.Name == "Y" && l.Of == "M0" {
				got++
			}
		}
		if got != c.want {
			t.Errorf("pouch life %+v: %d links by dates, want %d", c.life, got, c.want)
		}
	}
}

// Whatever is written, every answer is told and drawn, and is JSON.
func TestEveryAnswerIsToldAndDrawn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := newWorld(3)
		pick := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
		for range rapid.IntRange(0, 30).Draw(t, "captures") {
			with := []func(*record.Capture){
				is(record.Sex(pick("sex", "female", "male", "", "not told")), pick("stage", "adult", "subadult", "young at foot", "", "unheard of")),
				on(rapid.IntRange(0, 2).Draw(t, "day")), by(pick("handler", "A", "B", "")), in(pick("trap", "1", "2", "6", "unheard of")),
			}
			if rapid.Bool().Draw(t, "measured") {
				with = append(with, read("pes", rapid.Bool().Draw(t, "blind"), rapid.SliceOfN(rapid.Float64Range(1, 200), 1, 3).Draw(t, "pes")...),
					read("mass", false, rapid.Float64Range(0, 3000).Draw(t, "mass")))
			}
			if rapid.Bool().Draw(t, "pouch") {
				with = append(with, sign("pouch", pick("pouch is", "occupied", "empty", "undeveloped", "nc cold", "unheard of")), sign("lactating", pick("milk", "yes", "no")))
			}
			if rapid.IntRange(0, 3).Draw(t, "young") == 0 {
				with = append(with, row(rapid.IntRange(1, 5).Draw(t, "row"), pick("where", "in pouch", "at foot", "gone", ""), pick("attached", "yes", "no", "")))
			}
			if rapid.Bool().Draw(t, "examined") {
				with = append(with, found(pick("part", "ear", "back"), "", pick("sign", "tick", "wound"), pick("what", "none seen", "not checked", "0", "7", "1–5", "fresh", "old")))
			}
			w.caught(pick("tag", "T1", "T2", "T3", "T4", ""), rapid.IntRange(1, 3).Draw(t, "trip"), with...)
		}
		r := w.fold(t)
		q := answer.Which{Species: "X", Sex: record.Sex(pick("asked for", "", "female"))}
		exact, err := answer.HowExact(r, q, "pes")
		heavy, err2 := answer.HowHeavy(r, q, "")
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		healthy, breeding := answer.HowHealthy(r, q), answer.HowBreeding(r, q, nil)
		for _, a := range []any{exact, heavy, healthy, breeding} {
			if _, err := json.Marshal(a); err != nil {
				t.Fatalf("%T: %v", a, err)
			}
		}
		for _, s := range []string{exact.Picture().SVG(), heavy.Drawn(360).SVG(), healthy.Picture().SVG(), breeding.Drawn(360).SVG(), exact.Drawn(360).SVG()} {
			if strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
				t.Fatalf("drawn: %s", s)
			}
		}
	})
}
