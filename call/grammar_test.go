package call_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"dawnround/call"
)

// A saying is one utterance made from the grammar of how handlers speak, with
// the truth it was made from. Common practice; all invented.
type saying struct {
	words   string
	truth   map[string]string // by address: the value that stands
	was     map[string]string // by address: what was said first and corrected
	confirm []string
}

// A spokenField is a measurement as the demo's rock-wallaby has it, with
// plausible values for a grown female in tenths of a unit.
type spokenField struct {
	at       string
	names    []string
	from, to int // tenths
	step     int // tenths
}

var spokenFields = []spokenField{
	{"measures/pes", []string{"pes", "foot", "hind foot", "left pes", "pes length"}, 1180, 1480, 1},
	{"measures/tail", []string{"tail", "tail length", "the tail"}, 3800, 5300, 10},
	{"measures/head", []string{"head", "head length", "HL"}, 880, 1040, 1},
	{"measures/ear", []string{"ear", "ear length"}, 400, 740, 5},
	{"weighing/net", []string{"weight", "net", "she weighs"}, 24000, 43000, 100},
}

var (
	betweens    = []string{" ", " is ", "'s ", " was ", ", ", ": "}
	separators  = []string{", ", ". ", " and ", "; ", ", then "}
	corrections = []string{", no, ", ", sorry, ", ", make that ", ", scrap that, ", ", correction, ", ", no wait, ", ", I meant ", " strike that "}
	asides      = []string{
		"mind the edge there", "forty metres back to the boat", "we had nineteen of them last year", "two more to go after this",
		"that was a hard climb", "head down in the wind", "watch your foot on those rocks", "the radio's been quiet for ten minutes", "tail end of the ridge now",
	}
)

// number says a value in tenths in one of the styles.
func (f spokenField) number(r *rand.Rand, tenths int) string {
	whole, tenth := tenths/10, tenths%10
	styles := []func() string{
		func() string { return inPairs(whole) + pointed(tenth, f.step) },
		func() string { return inFull(whole) + pointed(tenth, f.step) },
		func() string { return strings.ReplaceAll(inFull(whole), " and", "") + pointed(tenth, f.step) },
		func() string { return digits(strconv.Itoa(whole), "oh") + pointed(tenth, f.step) },
		func() string { return strings.ReplaceAll(inPairs(whole), " ", "-") + pointed(tenth, f.step) },
		func() string {
			if tenth == 0 && f.step >= 10 {
				return strconv.Itoa(whole)
			}
			return fmt.Sprintf("%d.%d", whole, tenth)
		},
	}
	if tenth == 5 {
		styles = append(styles, func() string { return inPairs(whole) + " and a half" })
	}
	return styles[r.IntN(len(styles))]()
}

func pointed(tenth, step int) string {
	if tenth == 0 && step >= 10 {
		return ""
	}
	return " point " + tenthWord(tenth, "oh")
}

func (f spokenField) pick(r *rand.Rand) int {
	return f.from + r.IntN((f.to-f.from)/f.step)*f.step
}

func value(tenths int) string { return fmt.Sprintf("%d.%d", tenths/10, tenths%10) }

// utter makes one utterance.
func utter(r *rand.Rand) saying {
	s := saying{truth: map[string]string{}, was: map[string]string{}}
	var parts []string
	for _, i := range r.Perm(len(spokenFields))[:1+r.IntN(4)] {
		f := spokenFields[i]
		v := f.pick(r)
		part := pickOne(r, f.names) + pickOne(r, betweens) + f.number(r, v)
		switch r.IntN(5) {
		case 0:
			now := f.pick(r)
			if now != v {
				part += pickOne(r, corrections) + f.number(r, now)
				s.was[f.at], v = value(v), now
			}
		case 1:
			part += ". " + f.number(r, v) + "? yep"
			s.confirm = append(s.confirm, f.at)
		}
		s.truth[f.at] = value(v)
		parts = append(parts, part)
	}
	separator := pickOne(r, separators)
	if len(s.confirm) > 0 {
		separator = ". "
	}
	s.words = strings.Join(parts, separator)
	switch r.IntN(4) {
	case 0:
		s.words = pickOne(r, asides) + ". " + s.words
	case 1:
		s.words += ". " + pickOne(r, asides)
	}
	return s
}

func pickOne(r *rand.Rand, list []string) string { return list[r.IntN(len(list))] }

// TestUtterancesOfTheGrammar: whatever the grammar says is read as it was
// meant, with its corrections, and nothing else is filled or asked.
func TestUtterancesOfTheGrammar(t *testing.T) {
	t.Parallel()
	const seed, utterances = 20, 4000
	rng := rand.New(rand.NewPCG(seed, 0))
	r, p := demo(t)
	failed := 0
	for n := range utterances {
		s := utter(rng)
		given := call.Given{Stage: "adult", Sex: "female"}
		if len(s.confirm) > 0 {
			given.Speaker = call.Both
		}
		h := r.Read(s.words, &p.Species[0], given)
		if wrong := s.wrong(h); wrong != "" {
			failed++
			t.Errorf("seed %d, utterance %d: %q: %s", seed, n, s.words, wrong)
		}
		if failed > 20 {
			t.FailNow()
		}
	}
}

// wrong tells how a reading differs from the truth; empty if it does not.
func (s saying) wrong(h call.Heard) string {
	for at, want := range s.truth {
		f, ok := h.Field(at)
		if !ok || f.Pending || !call.Same(f.Value, want) {
			return fmt.Sprintf("%s: want %s, got %+v", at, want, h.Fields)
		}
	}
	for _, f := range h.Fields {
		if _, ok := s.truth[f.At]; !ok {
			return fmt.Sprintf("%s %s is extra", f.At, f.Value)
		}
	}
	for at, was := range s.was {
		kept := false
		for _, c := range h.Corrected {
			kept = kept || c.At == at && call.Same(c.Was, was)
		}
		if !kept {
			return fmt.Sprintf("%s was %s, and the history has %+v", at, was, h.Corrected)
		}
	}
	for _, at := range s.confirm {
		if !contains(h.Confirmed, at) {
			return fmt.Sprintf("%s was agreed to, confirmed are %v", at, h.Confirmed)
		}
	}
	if len(h.Questions) > 0 {
		return fmt.Sprintf("asked %v", h.Questions)
	}
	return ""
}
