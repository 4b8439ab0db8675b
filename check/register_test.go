package check_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"dawnround/check"
	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"pgregory.net/rapid"
)

func TestNightsTraps(t *testing.T) {
	t.Parallel()
	trip := record.Trip{Trip: "T1", First: night(3), Last: night(4)}
	set, r1 := setting(4, "K1", "K2"), roundOf(801, 1, 4)
	end := record.RoundEnd{Round: id(801), At: dawn(4, 8, 0)}
	seen := func(trap string, o record.Outcome, at time.Time, caught ...int) record.Check {
		return record.Check{Round: id(801), Trip: "T1", Site: "K", Night: night(4), Trap: trap, Outcome: o, At: at, Captures: ids(caught...)}
	}
	shut := record.Closing{Trip: "T1", Site: "K", Night: night(4), Traps: []string{"K1", "K2"}}
	k1, k2 := seen("K1", record.OutcomeEmpty, dawn(4, 5, 1)), seen("K2", record.OutcomeEmpty, dawn(4, 5, 2))
	noon := dawn(4, 12, 0)
	unsure := trip
	unsure.Last = record.Night{}
	cases := []struct {
		name string
		now  time.Time
		say  []record.Body
		want []string // rules
	}{
		{"all seen and closed", later, bodies(trip, set, r1, k1, k2, end, shut), nil},
		{"one not seen", later, bodies(trip, set, r1, k1, end, shut), []string{"trap not seen"}},
		{"not checked is not seen", later, bodies(trip, set, r1, k1, seen("K2", record.OutcomeNotChecked, dawn(4, 5, 2)), end, shut), []string{"trap not seen"}},
		{"round not ended yet", later, bodies(trip, set, r1, k1, shut), nil},
		{"not closed", noon, bodies(trip, set, r1, k1, k2, end), []string{"trap not closed"}},
		{"not closed, dawn not over", noon.Add(-time.Second), bodies(trip, set, r1, k1, k2, end), nil},
		{"not closed, trip may go on", noon, bodies(unsure, set, r1, k1, k2, end), nil},
		{"not closed, a day later", noon.Add(24 * time.Hour), bodies(unsure, set, r1, k1, k2, end), []string{"trap not closed"}},
		{"set again the next night", later, bodies(trip, set, r1, k1, k2, end, record.Setting{Trip: "T1", Site: "K", Night: night(5)}), nil},
		{"disabled needs no closing", later, bodies(trip, set, r1, k1, seen("K2", record.OutcomeDisabled, dawn(4, 5, 2)), end, record.Closing{Trip: "T1", Site: "K", Night: night(4), Traps: []string{"K1"}}), nil},
		{"round a day late", later, bodies(trip, set, record.Round{Round: id(801), Trip: "T1", Site: "K", Night: night(4), Number: 1, Opened: dawn(5, 5, 0)}, k1, k2, end, shut), []string{"round's clock against its night"}},
		{"check a day early", later, bodies(trip, set, r1, k1, seen("K2", record.OutcomeEmpty, dawn(3, 5, 2)), end, shut), []string{"round's clock against its night"}},
		{"never released", noon, bodies(trip, set, r1, k1, seen("K2", record.OutcomeCapture, dawn(4, 5, 2), 1), end, shut), []string{"not released"}},
		{"still being handled", noon.Add(-time.Second), bodies(trip, set, r1, k1, seen("K2", record.OutcomeCapture, dawn(4, 5, 2), 1), end, shut), nil},
		{"released", later, bodies(trip, set, r1, k1, seen("K2", record.OutcomeCapture, dawn(4, 5, 2), 1), end, shut, record.Capture{Capture: id(1), Released: &record.Released{Fate: record.FateReleased}}), nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := folded(c.say...)
			var got []string
			flags := check.Night(r, "K", night(4), c.now)
			for _, f := range flags {
				got = append(got, f.Rule)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got %q, want rules %q", names(flags), c.want)
			}
			if whole := check.Trip(r, "T1", c.now); !reflect.DeepEqual(whole, flags) {
				t.Errorf("the trip says %q, its one night %q", names(whole), names(flags))
			}
		})
	}
}

// The later of two captures bears the flag, whichever was kept first.
func TestTheLaterBearsTheFlag(t *testing.T) {
	t.Parallel()
	const rule = "bone does not shrink"
	early, late := caught(1, 3, measure("pes", "99.8")), caught(2, 20, measure("pes", "92.1"))
	for name, r := range map[string]*register.Register{"in order": folded(early, late), "late first": folded(late, early)} {
		for _, asked := range []record.Capture{early, late} {
			flags := of(check.Kept(r, asked.Capture, later), rule)
			if len(flags) != 1 || flags[0].Subject != late.Capture || !slices.Contains(flags[0].Beside, early.Capture) {
				t.Errorf("%s, asked of %v: %q, want one flag on the later capture beside the earlier", name, asked.Capture, names(flags))
			}
		}
	}
	grown := folded(caught(1, 3, measure("pes", "92.1"), stage("juvenile")), caught(2, 20, measure("pes", "99.8")))
	if flags := check.Kept(grown, id(1), later); len(flags) > 0 {
		t.Errorf("a later, larger bone is no flag on the earlier one: %q", names(flags))
	}
}

// Measuring again opens another flag; the same values keep the same key, so
// that a settled flag stays settled.
func TestEvidenceKeepsAFlagsKey(t *testing.T) {
	t.Parallel()
	before := caught(1, 3, measure("pes", "99.8"))
	one := func(r *register.Register) record.Flag {
		flags := of(check.Kept(r, id(2), later), "bone does not shrink")
		if len(flags) != 1 {
			t.Fatalf("got %q, want one flag", names(flags))
		}
		return flags[0]
	}
	now := caught(2, 20, measure("pes", "92.1"))
	f := one(folded(before, now))
	other := caught(2, 20, measure("pes", "92.1"), measure("tail", "400"))
	if one(folded(before, other, caught(3, 21))).Key() != f.Key() {
		t.Error("the key changed, though pes did not")
	}
	if one(folded(before, caught(2, 20, measure("pes", "92.1", "93")))).Key() == f.Key() {
		t.Error("the key is the same, though pes was measured again")
	}
	r := folded(before, now, record.FlagAct{Flag: f.Key(), Rule: f.Rule, Of: f.Subject, Act: record.FlagSettled})
	if open := check.Open(r, check.Kept(r, id(2), later)); len(open) > 0 {
		t.Errorf("settled, and still open: %q", names(open))
	}
}

func TestWholeRegister(t *testing.T) {
	t.Parallel()
	correction := func(field, value string) record.Correction {
		return record.Correction{Line: id(2_000_001), Field: field, Value: json.RawMessage(value), Why: "misheard"}
	}
	cases := []struct {
		name  string
		say   []record.Body
		rule  string
		field string
	}{
		{"one tag in two species", bodies(caught(1, 3, mark("tag", "B1")), caught(2, 4, mark("tag", "B1"), species("NB"))), "mark in two species", "marks"},
		{"two corrections", bodies(caught(1, 3, sex(record.Male)), correction("/handled/sex", `"female"`), correction("/handled/sex", `"male"`)), "two versions", "sex"},
		{"two corrections of a measure", bodies(caught(1, 3, measure("pes", "99")), correction("/handled/measures/pes/typed", `"98"`), correction("/handled/measures/pes/typed", `"97"`)), "two versions", "measures/pes"},
		{"two corrections outside a capture", bodies(record.Site{Site: "K"}, correction("/name", `"Kestrel"`), correction("/name", `"Kite"`)), "two versions", "name"},
		{"apart, and yet the same", bodies(caught(1, 3), caught(2, 4), record.Apart{These: ids(2), From: id(1)}, record.Same{Of: ids(1, 2)}), "same, and not the same", "marks"},
		{"two protocols at once", bodies(record.Protocol{Version: "2", Replaces: "1", Text: protocolText}, record.Protocol{Version: "3", Replaces: "1", Text: protocolText}), "two protocols", "protocol"},
		{"never released, on no trip", bodies(record.Capture{Capture: id(1), At: &record.Spot{Site: "K", Night: night(3)}}), "not released", "released"},
		{"a label twice", bodies(caught(1, 3, sample("hair", "H1")), caught(2, 3, chip(70), sample("hair", "H1"))), "label used before", "samples"},
		{"near marks", bodies(caught(1, 3, chip(312)), caught(2, 4, chip(311))), "near a known mark", "marks"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			all := check.Register(folded(c.say...), later)
			flags := of(all, c.rule)
			if len(flags) != 1 || flags[0].Field != c.field || flags[0].Says == "" || flags[0].Evidence == "" {
				t.Errorf("got %+v among %q, want one flag of %q in %q", flags, names(all), c.rule, c.field)
			}
		})
	}
	quiet := folded(caught(1, 3, measure("pes", "99"), sex(record.Male)), caught(2, 20, measure("pes", "99.4"), sex(record.Male)))
	if flags := check.Register(quiet, later); len(flags) > 0 {
		t.Errorf("nothing is wrong, yet: %q", names(flags))
	}
}

func TestRulesHaveNamesOfTheirOwn(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, r := range check.Rules() {
		if seen[r.Name] || r.Name == "" || r.Means == "" || r.Source == "" || !slices.Contains([]record.Grade{record.Stop, record.Look, record.Remark}, r.Grade) {
			t.Errorf("rule %+v: a name of its own, a grade, a meaning and a source are due", r)
		}
		seen[r.Name] = true
	}
}

// grown is a population of n adults with one capture each; mass goes with
// the cube of the head, and pes is 1.1 times it.
func grown(n int) []record.Body {
	out := bodies(record.Site{Site: "K"})
	for i := range 6 {
		out = append(out, record.Trap{Site: "K", Trap: fmt.Sprintf("K%d", i+1), Lat: -20 - float64(i)/1000, Lon: 145, Datum: "GDA2020"})
	}
	out = append(out, record.Trap{Site: "L", Trap: "L1", Lat: -20.03, Lon: 145, Datum: "GDA2020"})
	for i := range n {
		length := 90 + float64(i%11)
		off := 1 + 0.02*float64(i%3-1)
		size := func(c *record.Capture) {
			c.Handled.Measures["head"] = record.Reading{Quantity: quantity(fmt.Sprintf("%.1f", length))}
			c.Handled.Measures["pes"] = record.Reading{Quantity: quantity(fmt.Sprintf("%.1f", 1.1*length))}
			c.Handled.Measures["mass"] = record.Reading{Quantity: quantity(fmt.Sprintf("%.0f", off*length*length*length/300))}
		}
		who := chip(5000+17*i, record.MarkPut)
		out = append(out, caught(1000+2*i, 1, who, size), caught(1001+2*i, 2, chip(5000+17*i), at("K", "K2")))
	}
	return out
}

func TestPopulation(t *testing.T) {
	t.Parallel()
	const mass, ratio, far = "mass and length do not go together", "pes and head do not go together", "far from the last place"
	lengths := func(head, pes string) []with { return []with{measure("head", head), measure("pes", pes)} }
	fifty, fewer := folded(grown(50)...), folded(grown(49)...)
	cases := []struct {
		name string
		r    *register.Register
		now  record.Capture
		rule string
		want bool
	}{
		{"goes with its head", fifty, caught(1, 20, append(lengths("95", "104.5"), measure("mass", "2858"))...), mass, false},
		{"too heavy for its head", fifty, caught(1, 20, append(lengths("95", "104.5"), measure("mass", "3300"))...), mass, true},
		{"too light for its head", fifty, caught(1, 20, append(lengths("95", "104.5"), measure("mass", "2500"))...), mass, true},
		{"a juvenile", fifty, caught(1, 20, append(lengths("95", "104.5"), measure("mass", "3300"), stage("juvenile"))...), mass, false},
		{"fewer than 50 animals", fewer, caught(1, 20, append(lengths("95", "104.5"), measure("mass", "3300"))...), mass, false},
		{"pes as usual", fifty, caught(1, 20, lengths("95", "104.5")...), ratio, false},
		{"pes and head swapped", fifty, caught(1, 20, lengths("104.5", "95")...), ratio, true},
		{"within technical limits", fifty, caught(1, 20, lengths("95", "106")...), ratio, false},
		{"swapped, fewer than 50", fewer, caught(1, 20, lengths("104.5", "95")...), ratio, false},
		{"K1 to K2 as others", fifty, caught(3000, 20, chip(5000), at("K", "K3")), far, false},
		{"K2 to K3, 111 m", fifty, caught(3000, 20, chip(5000), at("K", "K3")), far, false},
		{"K2 to K4, 222 m", fifty, caught(3000, 20, chip(5000), at("K", "K4")), far, true},
		{"to a site 3 km away", fifty, caught(3000, 20, chip(5000), at("L", "L1")), far, true},
		{"to a trap without a place", fifty, caught(3000, 20, chip(5000), at("K", "K9")), far, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			flags := of(check.Know(c.r).Draft(c.r, c.now, later), c.rule)
			if (len(flags) == 1) != c.want {
				t.Errorf("got %q, want a flag: %v", names(flags), c.want)
			}
			if c.rule != far && len(of(check.Draft(c.r, c.now, later), c.rule)) > 0 {
				t.Error("speaks without a population")
			}
		})
	}
}

func TestFlagsDoNotDependOnTheOrderOfLines(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		said := bodies(record.Protocol{Version: "1", Text: protocolText})
		for range rapid.IntRange(1, 25).Draw(t, "captures") {
			said = append(said, anyCapture(t))
		}
		lines := notebookOf(said...)
		want := check.Register(fold(lines), later)
		shuffled := rapid.Permutation(lines).Draw(t, "order")
		r := register.New()
		for _, l := range shuffled {
			r.Apply(register.ReadLine(l))
		}
		if got := check.Register(r, later); !reflect.DeepEqual(got, want) {
			t.Fatalf("in another order:\n%q\nwant\n%q", names(got), names(want))
		}
	})
}

// Whatever is said, nothing panics, each flag is whole, and what a capture
// bears is the same asked alone and with the whole register.
func TestAnyCaptureCanBeChecked(t *testing.T) {
	t.Parallel()
	known := map[string]bool{}
	for _, r := range check.Rules() {
		known[r.Name] = true
	}
	rapid.Check(t, func(t *rapid.T) {
		var said []record.Body
		for range rapid.IntRange(0, 15).Draw(t, "captures") {
			said = append(said, anyCapture(t))
		}
		r := folded(said...)
		if rapid.Bool().Draw(t, "no protocol") {
			r = fold(notebookOf(append(said, record.Site{Site: "K"})...))
		}
		flags := check.Draft(r, anyCapture(t), later)
		flags = append(flags, check.Draft(r, record.Capture{}, later)...)
		whole := check.Register(r, later)
		for _, c := range r.Captures() {
			for _, f := range check.Know(r).Kept(r, c.ID(), later) {
				flags = append(flags, f)
				if !slices.ContainsFunc(whole, func(o record.Flag) bool { return o.Key() == f.Key() && o.Says == f.Says }) {
					t.Fatalf("%q stands alone, and not in the whole register", f.Says)
				}
			}
		}
		for _, f := range append(flags, whole...) {
			if !known[f.Rule] || f.Says == "" || f.Field == "" || f.Evidence == "" {
				t.Fatalf("not a whole flag: %+v", f)
			}
		}
	})
}

// anyCapture is a capture of a handful of animals, in words that clash often.
func anyCapture(t *rapid.T) record.Capture {
	pick := func(name string, words ...string) string { return rapid.SampledFrom(words).Draw(t, name) }
	c := caught(rapid.IntRange(1, 12).Draw(t, "id"), rapid.IntRange(1, 25).Draw(t, "day"))
	c.At.Site, c.At.Trap = pick("site", "K", "L", ""), pick("trap", "K1", "K2", "")
	if rapid.IntRange(0, 9).Draw(t, "night not said") == 0 {
		c.At.Night = record.Night{}
	}
	c.At.Found = dawn(rapid.IntRange(1, 25).Draw(t, "found"), 5, 0)
	h := c.Handled
	h.Species, h.Stage = pick("species", "RW", "NB", "PM", "XX", ""), pick("stage", "adult", "juvenile", "old", "")
	h.Sex = record.Sex(pick("sex", "male", "female", "not told", ""))
	h.Status = record.Status(pick("status", "new", "recapture", "retrap", "dead", ""))
	h.Marks = nil
	for range rapid.IntRange(0, 3).Draw(t, "marks") {
		h.Marks = append(h.Marks, record.Mark{
			Kind: pick("kind", "chip", "tag", "odd", ""), Text: pick("text", "999000000000311", "999000000000312", "B1", "0", ""),
			Act: record.MarkAct(pick("act", "", "put", "gone", "old")),
		})
	}
	for range rapid.IntRange(0, 4).Draw(t, "measures") {
		key := pick("trait", "pes", "pes.left", "pes.right", "head", "tail", "ear", "mass", "testis.left", "nose", "")
		h.Measures[key] = record.Reading{Quantity: record.MilliQuantity(int64(rapid.IntRange(-5, 5000).Draw(t, "milli")) * 100)}
	}
	if rapid.Bool().Draw(t, "weighed") {
		weigh(pick("gross", "", "3000", "0"), pick("bag", "", "100", "0"), pick("net", "", "2900", "-3", "0"))(&c)
	}
	for range rapid.IntRange(0, 2).Draw(t, "signs") {
		sign(pick("sign", "pouch", "wear", "fur", "odd", ""), pick("value", "undeveloped", "occupied", "heavy", "none", ""))(&c)
	}
	for range rapid.IntRange(0, 2).Draw(t, "young") {
		h.Young = append(h.Young, furred(rapid.IntRange(0, 3).Draw(t, "young's id"), pick("fur", "pink", "furred", "")))
	}
	for range rapid.IntRange(0, 2).Draw(t, "samples") {
		sample(pick("sample", "biopsy", "hair", ""), pick("label", "B1", "B2", ""))(&c)
	}
	switch pick("part missing", "", "", "", "handled", "released", "at") {
	case "handled":
		c.Handled = nil
	case "released":
		c.Released = nil
	case "at":
		c.At = nil
	}
	return c
}

// programme is lines of so many captures: of animals caught about eight times
// each, at 40 sites of 49 traps, with marks, mass and two lengths.
func programme(b *testing.B, captures int) []notebook.Line {
	b.Helper()
	rng := rand.New(rand.NewPCG(1, 2)) // seed named here
	out := bodies(record.Protocol{Version: "1", Text: protocolText})
	for s := range 40 {
		site := fmt.Sprintf("S%d", s)
		out = append(out, record.Site{Site: site})
		for k := range 49 {
			out = append(out, record.Trap{Site: site, Trap: fmt.Sprint(k), Lat: -20 - float64(k/7)/1e4, Lon: 145 + float64(s)/100 + float64(k%7)/1e4, Datum: "GDA2020"})
		}
	}
	for i := range captures {
		animal := rng.IntN(captures / 8)
		length := 90 + float64(animal%10)
		n := record.NightOf(time.Date(1990, 1, 1+i/20, 12, 0, 0, 0, time.UTC))
		c := caught(3_000_000+i, 1, chip(5000+17*animal), sex([]record.Sex{record.Male, record.Female}[animal%2]),
			at(fmt.Sprintf("S%d", animal%40), fmt.Sprint(rng.IntN(49))),
			weigh(fmt.Sprintf("%.0f", 100+length*length*length/300*(1+0.05*rng.NormFloat64())), "100", ""),
			measure("head", fmt.Sprintf("%.1f", length+0.3*rng.NormFloat64())), measure("pes", fmt.Sprintf("%.1f", 1.1*length+0.3*rng.NormFloat64())))
		c.At.Night, c.At.Trip = n, fmt.Sprint(i/2000)
		out = append(out, c)
	}
	return notebookOf(out...)
}

func BenchmarkDraft(b *testing.B) {
	b.Run("50k_captures", func(b *testing.B) {
		r := fold(programme(b, 50_000))
		known := check.Know(r)
		draft := caught(1, 1, chip(5000), at("S0", "3"), measure("head", "90"), measure("pes", "99"), weigh("2600", "100", ""))
		draft.At.Night = record.NightOf(later)
		b.Run("without_population", func(b *testing.B) {
			for b.Loop() {
				check.Draft(r, draft, later)
			}
		})
		b.Run("with_population", func(b *testing.B) {
			for b.Loop() {
				known.Draft(r, draft, later)
			}
		})
		b.Run("telling_the_population", func(b *testing.B) {
			for b.Loop() {
				check.Know(r)
			}
		})
	})
}

func BenchmarkRegister(b *testing.B) {
	b.Run("65k_captures", func(b *testing.B) {
		r := fold(programme(b, 65_000))
		for b.Loop() {
			check.Register(r, later)
		}
	})
}
