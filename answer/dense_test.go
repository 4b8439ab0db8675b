package answer_test

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"dawnround/answer"
	"dawnround/density"
	"dawnround/internal/shared"
	"dawnround/place"
	"dawnround/record"
)

func csvRows(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func decimal(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// standing writes traps of site A at places of an invented grid.
func standing(t *testing.T, name string, x, y float64) record.Trap {
	t.Helper()
	p, err := place.Grid{Datum: place.GDA2020, Zone: 55, South: true, Easting: 500000 + x, Northing: 7700000 + y}.Point()
	if err != nil {
		t.Fatal(err)
	}
	return record.Trap{Site: "A", Trap: name, Lat: p.Lat, Lon: p.Lon, Datum: string(p.Datum)}
}

// grid is a check table of simulated multi-catch captures as lines of a register:
// a line for each trap, a setting for each night, and a capture for each row.
func grid(t *testing.T) []record.Body {
	t.Helper()
	lines := []record.Body{record.Protocol{Version: "1", Text: sheetText}, record.Site{Site: "A", Name: "A"}, record.Trip{Trip: "1"}}
	set := make([]record.Setting, 5)
	for _, row := range csvRows(t, shared.File(t, "checks/cmr/datasets/sim_spatial_traps.csv")) {
		lines = append(lines, standing(t, row[0], decimal(t, row[1]), decimal(t, row[2])))
		for k := range set {
			if row[3+k] == "1" {
				set[k].Set = append(set[k].Set, row[0])
			}
		}
	}
	for k, s := range set {
		s.Trip, s.Site, s.Night = "1", "A", night(1).Add(k)
		lines = append(lines, s)
	}
	for i, row := range csvRows(t, shared.File(t, "checks/cmr/datasets/sim_spatial_multi_captures.csv")) {
		c := caught(i+1, 1, "tag"+row[0])
		c.At.Night, c.At.Trap = night(1).Add(int(decimal(t, row[1]))-1), row[2]
		lines = append(lines, c)
	}
	return lines
}

// TestDenseIsThePublishedFit holds what is gathered from register lines against
// the check values of the same table: with the table's own cells, the half-normal
// fit is theirs. The answer itself lays a margin in place of their fence and takes
// detection as half-normal on the hazard, so it lies near, not on, their density.
func TestDenseIsThePublishedFit(t *testing.T) {
	t.Parallel()
	r := fold(t, grid(t)...)
	d, err := answer.HowDense(t.Context(), r, answer.Which{Site: "A", Species: "X"})
	if err != nil || d.Refused != "" {
		t.Fatal(err, d.Refused)
	}
	s := slices.Clone(d.Survey())
	var cells []density.Point
	east := s[0].Traps[0].At // trap 1 stands at 0, 0 in the table
	for _, row := range csvRows(t, shared.File(t, "checks/cmr/datasets/sim_spatial_cells_5m.csv")) {
		cells = append(cells, density.Point{X: east.X + decimal(t, row[0]), Y: east.Y + decimal(t, row[1])})
	}
	if s[0].Space, err = density.Given(cells, nil); err != nil {
		t.Fatal(err)
	}
	fitted, err := density.Fit(t.Context(), s, density.Model{Traps: density.Multi, Shape: density.HalfNormal}, density.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []struct {
		what       string
		have, want float64
	}{ // checks.csv, spatial.multi.half-normal_Poisson; positions are kept to a millimetre
		{"D", fitted.D.Value, 11.1681335464},
		{"D lower", fitted.D.Lower, 7.0875030559},
		{"D upper", fitted.D.Upper, 17.5981873908},
		{"g0", fitted.Detection[0].Value, 0.20810637005},
		{"sigma", fitted.Sigma[0].Value, 16.4666998406},
		{"m2lnL", fitted.Fit.Minus2LnL, 527.48434722},
	} {
		if math.Abs(want.have/want.want-1) > 1e-3 {
			t.Errorf("%s: %v, want %v", want.what, want.have, want.want)
		}
	}
	if d.D.Value < 0.9*fitted.D.Value || d.D.Value > 1.1*fitted.D.Value {
		t.Errorf("the answer says %v per hectare, far from %v", d.D.Value, fitted.D.Value)
	}
	t.Logf("the answer: %s margin %.0f m", d.Says, d.MarginM)
	for _, width := range []float64{380, 980} {
		svg := d.Picture(width).File("")
		if exact := regexp.MustCompile(`500\d{3}|77000\d\d|-20\.\d{3}|147\.\d{3}|tag`).FindString(svg); exact != "" || !strings.Contains(svg, "generalised") {
			t.Errorf("the picture gives away %q, or does not say that it is generalised", exact)
		}
	}
}

func TestDenseRefusals(t *testing.T) {
	t.Parallel()
	whole := grid(t)
	keep := func(in func(record.Body) record.Body) (out []record.Body) {
		for _, b := range whole {
			if b = in(b); b != nil {
				out = append(out, b)
			}
		}
		return out
	}
	for _, c := range []struct {
		name, says string
		lines      []record.Body
		site       string
	}{
		{"no site", "a density is of one site", whole, ""},
		{"no positions", "whose positions are written", keep(func(b record.Body) record.Body {
			if trap, is := b.(record.Trap); is {
				trap.Datum, trap.Lat, trap.Lon = "", 0, 0
				return trap
			}
			return b
		}), "A"},
		{"in a line", "the traps lie in a line", keep(func(b record.Body) record.Body {
			if trap, is := b.(record.Trap); is {
				n, _ := strconv.Atoi(trap.Trap)
				return standing(t, trap.Trap, 15*float64(n), 0)
			}
			return b
		}), "A"},
		{"few animals", "animals caught; needs at least 10", keep(func(b record.Body) record.Body {
			if c, is := b.(record.Capture); is && len(c.Handled.Marks[0].Text) > len("tag1") {
				return nil
			}
			return b
		}), "A"},
		{"few elsewhere", "captures of animals at another trap; needs at least 20", keep(func(b record.Body) record.Body {
			if c, is := b.(record.Capture); is && c.At.Night.Compare(night(1).Add(2)) >= 0 {
				return nil
			}
			return b
		}), "A"},
	} {
		d, err := answer.HowDense(t.Context(), fold(t, c.lines...), answer.Which{Site: c.site, Species: "X"})
		if err != nil || !strings.Contains(d.Says, c.says) || !math.IsNaN(d.D.Value) {
			t.Errorf("%s: %v, %q; want %q", c.name, err, d.Says, c.says)
		}
	}
}

// TestSprungTrapsCountHalf: a trap sprung by anything else was open half a night;
// one disabled, not at all.
func TestSprungTrapsCountHalf(t *testing.T) {
	t.Parallel()
	lines := grid(t)
	check := func(trap string, o record.Outcome) record.Check {
		return record.Check{Round: id(7000), Trip: "1", Site: "A", Night: night(1), Trap: trap, Outcome: o}
	}
	lines = append(lines, check("10", record.OutcomeSprung), check("11", record.OutcomeDisabled)) // both held nobody; traps stand by name
	s := answer.Homes(fold(t, lines...), answer.Which{Site: "A", Species: "X"}).Survey()[0]
	if s.Traps[1].Open[0] != 0.5 || !s.Taken[1][0] || s.Traps[1].Open[1] != 1 || s.Traps[2].Open[0] != 0 || s.Taken[2][0] {
		t.Errorf("open %v and %v, taken %v", s.Traps[1].Open, s.Traps[2].Open, s.Taken[1])
	}
}

func TestDenseStopsCalmly(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	stop()
	d, err := answer.HowDense(ctx, fold(t, grid(t)...), answer.Which{Site: "A", Species: "X"})
	if err != nil || !d.Stopped || !strings.Contains(d.Says, "stopped") || !math.IsNaN(d.D.Value) {
		t.Errorf("%v, %+v", err, d.Says)
	}
}

// TestDemoIsTooThinForADensity: no ridge of the demo has twenty captures at
// another trap, so none gets a figure to hold against its truth.
func TestDemoIsTooThinForADensity(t *testing.T) {
	t.Parallel()
	r, _ := grown(t, 1)
	for _, site := range []string{"K", "L", "M"} {
		d, err := answer.HowDense(t.Context(), r, answer.Which{Site: site, Species: "RW"})
		if err != nil || !strings.Contains(d.Refused, "at another trap; needs at least 20") {
			t.Errorf("%s: %v, %q", site, err, d.Says)
		}
	}
}
