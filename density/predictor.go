package density

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnround/fit"
)

// A place is one combination of all that the effects may name. Places of the
// density have no night, those of movement no cell, night or trap.
type place struct {
	trip, group, night, trap, cell int
	after                          bool
}

// A predictor is a linear predictor over places.
type predictor struct {
	of     string
	design fit.Design
	x      [][]float64 // the distinct rows
	rowAt  map[place]int
	labels []label
	at     int // of its first parameter
	skip   int // coefficients that are no parameters: the constant of relative density
}

// A label is a value of the predictor as a reader would name it, with its row
// (at the mean of columns).
type label struct {
	name string
	row  []float64
}

// names are those of the parameters.
func (p *predictor) names() []string {
	var names []string
	for _, name := range p.design.Names[p.skip:] {
		names = append(names, p.of+" "+name)
	}
	return names
}

// eta gives every distinct row its value.
func (p *predictor) eta(x, out []float64) {
	beta := x[p.at : p.at+len(p.design.Names)-p.skip]
	for i, row := range p.x {
		sum := 0.0
		for j, b := range beta {
			sum += float64(row[j+p.skip] * b)
		}
		out[i] = sum
	}
}

// collect turns slopes by the rows' values into slopes by the parameters.
func (p *predictor) collect(byRow, gradient []float64) {
	for i, row := range p.x {
		if byRow[i] == 0 {
			continue
		}
		for j, v := range row[p.skip:] {
			gradient[p.at+j] += float64(byRow[i] * v)
		}
	}
}

// predict lays effects over places, and pools rows alike.
func (s Survey) predict(of string, places []place, groups, effects []string, name func(place) string) (predictor, error) {
	cells := fit.Cells{Rows: len(places), Factors: map[string]fit.Factor{}, Columns: map[string][]float64{}}
	s.tell(&cells, places, groups, of)
	design, err := cells.Design(effects)
	if err != nil {
		return predictor{}, err
	}
	p := predictor{of: of, design: design, rowAt: map[place]int{}}
	distinct := map[string]int{}
	count := map[string]float64{}
	for i, pl := range places {
		key := bits(design.X[i])
		row, ok := distinct[key]
		if !ok {
			row = len(p.x)
			distinct[key] = row
			p.x = append(p.x, design.X[i])
		}
		p.rowAt[pl] = row
		p.label(name(pl), design.X[i], count)
	}
	for _, l := range p.labels {
		for j := range l.row {
			l.row[j] /= count[l.name]
		}
	}
	return p, nil
}

func (p *predictor) label(name string, row []float64, count map[string]float64) {
	at := slices.IndexFunc(p.labels, func(l label) bool { return l.name == name })
	if at < 0 {
		at = len(p.labels)
		p.labels = append(p.labels, label{name, make([]float64, len(row))})
	}
	count[name]++
	for j, v := range row {
		p.labels[at].row[j] += v
	}
}

// tell gives the cells of a predictor all that its effects may name.
func (s Survey) tell(cells *fit.Cells, places []place, groups []string, of string) {
	factor := func(name string, levels []string, at func(place) int) {
		f := fit.Factor{Levels: levels}
		for _, p := range places {
			f.At = append(f.At, at(p))
		}
		cells.Factors[name] = f
	}
	column := func(name string, at func(place) float64) {
		for _, p := range places {
			cells.Columns[name] = append(cells.Columns[name], at(p))
		}
	}
	if len(groups) > 1 {
		factor("group", groups, func(p place) int { return p.group })
	}
	if len(s) > 1 {
		factor("trip", s.names(), func(p place) int { return p.trip })
	}
	switch of {
	case densityName:
		for name, values := range s.columns(func(t Trip) map[string][]float64 { return t.Space.columns() }) {
			column(name, func(p place) float64 { return values[p.trip][p.cell] })
		}
	case detectionName:
		factor("occasion", numbered(s.mostNights()), func(p place) int { return p.night })
		factor("after-capture", []string{"first", "after"}, func(p place) int {
			if p.after {
				return 1
			}
			return 0
		})
		column("trend", func(p place) float64 { return float64(p.night) })
		for name, values := range s.columns(func(t Trip) map[string][]float64 { return t.Columns }) {
			column(name, func(p place) float64 { return values[p.trip][p.trap] })
		}
	}
}

// columns are those that every trip has, by name and trip.
func (s Survey) columns(of func(Trip) map[string][]float64) map[string][][]float64 {
	out := map[string][][]float64{}
	for name := range of(s[0]) {
		for _, t := range s {
			if values, ok := of(t)[name]; ok {
				out[name] = append(out[name], values)
			}
		}
		if len(out[name]) < len(s) {
			delete(out, name)
		}
	}
	return out
}

func (s Survey) names() []string {
	names := make([]string, len(s))
	for i, t := range s {
		names[i] = t.Name
		if t.Name == "" {
			names[i] = strconv.Itoa(i + 1)
		}
	}
	return names
}

func (s Survey) mostNights() int {
	most := 0
	for _, t := range s {
		most = max(most, t.nights())
	}
	return most
}

func numbered(n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = strconv.Itoa(i + 1)
	}
	return names
}

func bits(row []float64) string {
	key := make([]byte, 0, 8*len(row))
	for _, v := range row {
		b := math.Float64bits(v)
		for shift := 0; shift < 64; shift += 8 {
			key = append(key, byte(b>>shift))
		}
	}
	return string(key)
}

// bracketed is "name[a,b]", or the name alone.
func bracketed(name string, words []string) string {
	if len(words) == 0 {
		return name
	}
	return name + "[" + strings.Join(words, ",") + "]"
}
