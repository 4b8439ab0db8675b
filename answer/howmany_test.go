package answer_test

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"dawnround/answer"
	"dawnround/fit"
	"dawnround/internal/shared"
	"dawnround/record"

	"github.com/google/uuid"
)

// hares are the snowshoe hares of Otis et al. 1978 (table in the shared data:
// six nights, 68 animals) as one trip of a programme.
func hares(t *testing.T) []record.Body {
	t.Helper()
	bodies := []record.Body{record.Trip{Trip: "1"}}
	first := night(1)
	for k := range 6 {
		bodies = append(bodies, record.Effort{Trip: "1", Site: "A", Night: first.Add(k), Trapped: "yes", Traps: 100})
	}
	n := 0
	text, err := os.ReadFile(shared.File(t, "checks/cmr/datasets/hare_histories.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(text), "\n")[1:] {
		cells := strings.Split(strings.TrimSpace(line), ",")
		if len(cells) < 2 {
			continue
		}
		count, err := strconv.Atoi(cells[1])
		if err != nil {
			t.Fatal(err)
		}
		for range count {
			n++
			for k, sign := range cells[0] {
				if sign == '1' {
					c := caught(n*10+k, 1, fmt.Sprintf("T%d", n))
					c.At.Night = first.Add(k)
					bodies = append(bodies, c)
				}
			}
		}
	}
	return bodies
}

// TestHowManyHares: the estimates are those published for the same nights.
func TestHowManyHares(t *testing.T) {
	t.Parallel()
	m, err := answer.HowMany(fold(t, hares(t)...), answer.Which{Site: "A", Species: "X"})
	if err != nil {
		t.Fatal(err)
	}
	got := m.Trips[0]
	if got.Animals != 68 || got.Nights != 6 || got.TrapNights != 600 || got.KnownAlive != 68 || got.Refused != "" {
		t.Fatalf("%+v", got)
	}
	// Row closed.hare.M0.N of the shared table of checks.
	const constant = 74.7022436658
	for _, model := range got.Models {
		if model.Detection == "the same for all" && math.Abs(model.N.Value/constant-1) > 1e-4 {
			t.Errorf("constant detection: N %v, want %v", model.N.Value, constant)
		}
	}
	if got.N.Value < 70 || got.N.Value > 85 || got.N.Lower < 68 || got.N.Upper < got.N.Value {
		t.Errorf("averaged %+v", got.N)
	}
	if got.Range != nil {
		t.Errorf("six nights, and a range %+v", got.Range)
	}
	if !strings.Contains(m.Says, "independent animals at A (95 % interval") || len(m.Assumes) == 0 {
		t.Errorf("says %q, assumes %v", m.Says, m.Assumes)
	}
	if s := asJSON(t, m); strings.Contains(s, "NaN") {
		t.Error("NaN in JSON")
	}
	if m.Picture(900).Empty() {
		t.Error("no picture")
	}
}

// TestHowManyRefusesWhatIsTooThin: a plain reason, and what would be enough.
func TestHowManyRefusesWhatIsTooThin(t *testing.T) {
	t.Parallel()
	ten := func(nights ...int) []record.Body {
		bodies := []record.Body{record.Trip{Trip: "1"}}
		for i := range 10 {
			for k, n := range nights {
				c := caught(100*i+k+1, 1, fmt.Sprintf("T%d", i))
				c.At.Night = night(1).Add(n)
				bodies = append(bodies, c)
			}
		}
		return bodies
	}
	for name, c := range map[string]struct {
		bodies []record.Body
		want   string
	}{
		"one night":       {ten(0), "too thin for an estimate: 1 night; needs at least 2"},
		"nobody again":    {append(ten(0), counted2(1)), "too thin for an estimate: 0 recaptures within the trip; needs at least 7"},
		"two animals":     {[]record.Body{record.Trip{Trip: "1"}, caught(1, 1, "T1"), caught(2, 1, "T2"), counted2(1)}, "too thin for an estimate: 2 animals; needs at least 10"},
		"everybody twice": {ten(0, 1), ""},
	} {
		m, err := answer.HowMany(fold(t, c.bodies...), answer.Which{Site: "A", Species: "X"})
		if err != nil {
			t.Fatal(name, err)
		}
		if got := m.Trips[0].Refused; got != c.want {
			t.Errorf("%s: refused %q, want %q", name, got, c.want)
		}
		if c.want != "" && (m.Trips[0].N.Status != fit.NotEstimable || !strings.Contains(m.Says, "at least")) {
			t.Errorf("%s: %+v, says %q", name, m.Trips[0].N, m.Says)
		}
	}
	m, err := answer.HowMany(fold(t, record.Trip{Trip: "1"}), answer.Which{Site: "A", Species: "X"})
	if err != nil || !strings.HasPrefix(m.Says, "Nothing was trapped there") {
		t.Errorf("nothing at all: %q, %v", m.Says, err)
	}
}

func counted2(trip int) record.Effort {
	e := counted(trip, "yes", 10)
	e.Night = night(trip).Add(1)
	return e
}

// TestYoungAndUnmarkedAreLeftOut with the reason.
func TestYoungAndUnmarkedAreLeftOut(t *testing.T) {
	t.Parallel()
	m, err := answer.HowMany(fold(t, record.Trip{Trip: "1"}, caught(1, 1, "T1"), caught(2, 1, "")), answer.Which{Site: "A", Species: "X"})
	if err != nil {
		t.Fatal(err)
	}
	if m.Trips[0].Animals != 1 || len(m.LeftOut) != 1 || m.LeftOut[0].Captures[0] != uuid.UUID(id(2)) {
		t.Errorf("%+v left out %+v", m.Trips[0], m.LeftOut)
	}
}

// TestSurvivalRefusesWhatIsTooThin.
func TestSurvivalRefusesWhatIsTooThin(t *testing.T) {
	t.Parallel()
	l, err := answer.Survival(fold(t, record.Trip{Trip: "1"}, record.Trip{Trip: "2"}, caught(1, 1, "T1"), caught(2, 2, "T1")), answer.Which{Site: "A", Species: "X"})
	if err != nil || l.Refused != "too thin for survival: 2 trips; needs at least 5" || !strings.Contains(l.Says, "cannot be said") {
		t.Errorf("%+v, %v", l, err)
	}
	if s := asJSON(t, l); strings.Contains(s, "NaN") {
		t.Error("NaN in JSON")
	}
}

// TestSurvivalOfTheDemo: the survival of a year lies near that of the animals
// that really lived there (adults die at 0.0005 a day, and the old and the
// young more often: between 0.6 and 0.95 a year).
func TestSurvivalOfTheDemo(t *testing.T) {
	t.Parallel()
	r, _ := grown(t, 1)
	l, err := answer.Survival(r, answer.Which{Species: "RW"})
	if err != nil || l.Refused != "" {
		t.Fatalf("%v %s", err, l.Refused)
	}
	for _, s := range l.Annual {
		if !(s.Lower < 0.95 && s.Upper > 0.6 && s.Lower < s.Value && s.Value < s.Upper) {
			t.Errorf("%+v", s)
		}
	}
	if l.Growth.Status != fit.Estimable || l.Growth.Lower > 1.05 || l.Growth.Upper < 0.95 {
		t.Errorf("the ridges are full, and their number grows by %+v", l.Growth)
	}
	if l.Picture(900).Empty() || len(l.Models) < 4 || len(l.Assumes) == 0 {
		t.Errorf("%d models, %d assumptions", len(l.Models), len(l.Assumes))
	}
}
