package survival

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnround/fit"
)

// A cell is one value that a parameter may take: whose, when and after what.
type cell struct {
	who      int  // kind of animal
	when     int  // interval or occasion, from 0
	since    int  // intervals since marking, this one counted
	missed   bool // not caught the occasion before
	from, to int  // states
}

// A kind is animals alike in what a parameter depends on.
type kind struct {
	group    int
	values   map[string]float64
	changing map[string][]float64
	weight   float64
}

// A predictor is one parameter of the model (survival, say): the cells it has,
// and the coefficients they are made of, on the scale of its link.
type predictor struct {
	name    string
	link    fit.Link
	effects []string
	used    []string
	byTime  map[string][]float64 // numbers of the intervals, or of the occasions
	clock   []float64            // time of each interval's start, or of each occasion
	period  []int                // of each occasion, where several make one
	survey  *survey
	kinds   []kind
	kindOf  []int // by row of the data
	oldest  int   // intervals since marking beyond this are one

	cells  []cell
	index  map[cell]int
	design fit.Design
	x      [][]float64 // the distinct rows
	rowOf  []int       // by cell
	labels []label
	at     int // where its coefficients begin among the parameters

	eta, p, logP, logQ, slope []float64 // by row
}

// A label is a value as a reader would name it, with its row of coefficients
// (at the animals' mean, where they have numbers of their own).
type label struct {
	name string
	cell cell // the first of those it stands for
	row  []float64
}

func newPredictor(name string, link fit.Link, effects []string, s *survey) *predictor {
	p := &predictor{
		name: name, link: link, effects: effects, used: fit.Used(effects), survey: s,
		byTime: s.ByInterval, index: map[cell]int{}, oldest: oldest(effects, s.occasions),
	}
	elapsed := 0.0
	for i := range s.occasions {
		p.clock = append(p.clock, elapsed)
		if i < len(s.Intervals) {
			elapsed += s.Intervals[i]
		}
	}
	p.sortKinds()
	return p
}

// newDetection is the predictor of detection, which is by night where nights
// make up periods.
func newDetection(effects []string, s *survey) *predictor {
	p := newPredictor("detection", fit.Logit, effects, s)
	p.byTime = s.ByOccasion
	if s.nights == nil {
		return p
	}
	var clock []float64
	for period, nights := range s.nights {
		for range nights {
			p.period = append(p.period, period)
			clock = append(clock, p.clock[period])
		}
	}
	p.clock = clock
	return p
}

// oldest is the most that effects such as "since-marking:2" keep apart.
func oldest(effects []string, occasions int) int {
	most := 0
	for _, effect := range effects {
		for _, part := range strings.Split(effect, "*") {
			name, argument, capped := strings.Cut(strings.TrimSpace(part), ":")
			if name != "since-marking" {
				continue
			}
			k, err := strconv.Atoi(argument)
			if !capped || err != nil {
				return occasions
			}
			most = max(most, k)
		}
	}
	return most
}

func (p *predictor) speaks(name string) bool { return slices.Contains(p.used, name) }

// sortKinds gathers the rows of the data that are one to this parameter.
func (p *predictor) sortKinds() {
	seen := map[string]int{}
	for row, group := range p.survey.group {
		k := kind{values: map[string]float64{}, changing: map[string][]float64{}}
		var key strings.Builder
		if p.speaks("group") {
			k.group = group
			fmt.Fprint(&key, group)
		}
		for _, name := range p.used {
			if column, ok := p.survey.columns[name]; ok {
				k.values[name] = column[row]
				fmt.Fprintf(&key, " %x", math.Float64bits(column[row]))
			}
			if rows, ok := p.survey.changing[name]; ok {
				k.changing[name] = rows[row]
				key.WriteString(bits(rows[row]))
			}
		}
		at, ok := seen[key.String()]
		if !ok {
			at = len(p.kinds)
			seen[key.String()] = at
			p.kinds = append(p.kinds, k)
		}
		p.kinds[at].weight += p.survey.weight[row]
		p.kindOf = append(p.kindOf, at)
	}
}

// place finds or adds a cell; its who stands for a row of the data.
func (p *predictor) place(c cell) int {
	c = p.blind(c)
	at, ok := p.index[c]
	if !ok {
		at = len(p.cells)
		p.index[c] = at
		p.cells = append(p.cells, c)
	}
	return at
}

// blind forgets what the effects do not speak of.
func (p *predictor) blind(c cell) cell {
	c.who = p.kindOf[c.who]
	switch {
	case p.timed():
	case p.period != nil && p.speaks("night"):
	case p.period != nil && p.speaks("period"):
		c.when = slices.Index(p.period, p.period[c.when])
	default:
		c.when = 0
	}
	c.since = min(c.since, p.oldest)
	c.missed = c.missed && p.speaks("after-capture")
	if !p.speaks("state") && !p.speaks("to") {
		c.from = 0
	}
	if !p.speaks("to") {
		c.to = 0
	}
	return c
}

// timed tells whether the effects set intervals or occasions apart.
func (p *predictor) timed() bool {
	for _, name := range p.used {
		if name == "occasion" || name == "trend" || p.byTime[name] != nil || p.survey.changing[name] != nil {
			return true
		}
	}
	return false
}

// lay builds the design over the cells placed and pools its equal rows.
func (p *predictor) lay() error {
	var err error
	if p.design, err = p.described().Design(p.effects); err != nil {
		return fmt.Errorf("%s: %w", p.name, err)
	}
	rows := map[string]int{}
	for _, row := range p.design.X {
		key := bits(row)
		at, ok := rows[key]
		if !ok {
			at = len(p.x)
			rows[key] = at
			p.x = append(p.x, row)
		}
		p.rowOf = append(p.rowOf, at)
	}
	p.label()
	return nil
}

// described tells the effects all that can be said of the cells.
func (p *predictor) described() fit.Cells {
	s := p.survey
	out := fit.Cells{Rows: len(p.cells), Factors: map[string]fit.Factor{}, Columns: map[string][]float64{}}
	factor := func(name string, levels []string, of func(cell) int) {
		at := make([]int, len(p.cells))
		for i, c := range p.cells {
			at[i] = of(c)
		}
		out.Factors[name] = fit.Factor{Levels: levels, At: at}
	}
	column := func(name string, of func(cell) float64) {
		at := make([]float64, len(p.cells))
		for i, c := range p.cells {
			at[i] = of(c)
		}
		out.Columns[name] = at
	}
	factor("occasion", numbered(len(p.clock)-truth(p.name != "detection")), func(c cell) int { return c.when })
	column("trend", func(c cell) float64 { return p.clock[c.when] })
	if p.period != nil {
		factor("period", numbered(s.occasions), func(c cell) int { return p.period[c.when] })
		factor("night", numbered(len(p.period)), func(c cell) int { return p.night(c.when) })
	}
	if s.groups != nil {
		factor("group", s.groups, func(c cell) int { return p.kinds[c.who].group })
	}
	if s.tellsFirst && p.period == nil {
		factor("since-marking", numbered(s.occasions), func(c cell) int { return max(0, c.since-1) })
	}
	if p.name == "detection" {
		factor("after-capture", []string{"miss", "capture"}, func(c cell) int { return 1 - truth(c.missed) })
	}
	if s.states != nil && (s.nights == nil || p.name == "emigration") {
		factor("state", s.states, func(c cell) int { return c.from })
		if p.name == "movement" {
			factor("to", s.states, func(c cell) int { return c.to })
		}
	}
	for name, values := range p.byTime {
		column(name, func(c cell) float64 { return values[c.when] })
	}
	for _, name := range slices.Sorted(maps.Keys(s.columns)) {
		column(name, func(c cell) float64 { return p.kinds[c.who].values[name] })
	}
	for _, name := range slices.Sorted(maps.Keys(s.changing)) {
		column(name, func(c cell) float64 {
			if values := p.kinds[c.who].changing[name]; values != nil {
				return values[c.when]
			}
			return 0 // not spoken of
		})
	}
	return out
}

// label names the natural values: one for each combination of the levels that
// the effects speak of.
func (p *predictor) label() {
	sums := map[string]float64{}
	at := map[string]int{}
	for i, c := range p.cells {
		name := p.title(c)
		k, ok := at[name]
		if !ok {
			k = len(p.labels)
			at[name] = k
			p.labels = append(p.labels, label{name, c, make([]float64, len(p.design.Names))})
		}
		weight := math.Max(p.kinds[c.who].weight, 1e-9)
		sums[name] += weight
		for j, v := range p.design.X[i] {
			p.labels[k].row[j] += weight * v
		}
	}
	for _, l := range p.labels {
		for j := range l.row {
			l.row[j] /= sums[l.name]
		}
	}
	order := func(l label) []int {
		c := l.cell
		return []int{p.kinds[c.who].group, c.from, c.to, c.since, truth(c.missed), c.when}
	}
	slices.SortStableFunc(p.labels, func(a, b label) int { return slices.Compare(order(a), order(b)) })
}

func (p *predictor) title(c cell) string {
	var words []string
	switch {
	case p.timed():
		words = append(words, strconv.Itoa(c.when+1))
	case p.period != nil && p.speaks("period") && p.speaks("night"):
		words = append(words, fmt.Sprintf("%d.%d", p.period[c.when]+1, p.night(c.when)+1))
	case p.period != nil && p.speaks("period"):
		words = append(words, strconv.Itoa(p.period[c.when]+1))
	case p.period != nil && p.speaks("night"):
		words = append(words, "night "+strconv.Itoa(p.night(c.when)+1))
	}
	if p.speaks("group") {
		words = append(words, p.survey.groups[p.kinds[c.who].group])
	}
	if p.speaks("since-marking") {
		since := strconv.Itoa(c.since)
		if c.since == p.oldest && p.oldest < p.survey.occasions {
			since += "+"
		}
		words = append(words, "since "+since)
	}
	if p.speaks("after-capture") {
		words = append(words, []string{"after", "missed"}[truth(c.missed)])
	}
	switch {
	case p.name == "movement" && p.speaks("state") && len(p.survey.states) == 2:
		words = append(words, p.survey.states[c.from]+" to "+p.survey.states[1-c.from])
	case p.speaks("to"):
		words = append(words, p.survey.states[c.from]+" to "+p.survey.states[c.to])
	case p.speaks("state"):
		words = append(words, p.survey.states[c.from])
	}
	if len(words) == 0 {
		return p.name
	}
	return p.name + "[" + strings.Join(words, ",") + "]"
}

// night is the number of an occasion within its period, from 0.
func (p *predictor) night(occasion int) int {
	return occasion - slices.Index(p.period, p.period[occasion])
}

// predict fills the value of every row.
func (p *predictor) predict(x []float64) {
	beta := x[p.at : p.at+len(p.design.Names)]
	for i, row := range p.x {
		eta := 0.0
		for j, v := range row {
			eta += float64(v * beta[j])
		}
		p.eta[i] = eta
		if p.link == fit.Logit {
			p.p[i], p.logP[i], p.logQ[i] = fit.LogLogit(eta)
		}
	}
	clear(p.slope)
}

// collect carries the slopes of the rows back to the coefficients.
func (p *predictor) collect(gradient []float64) {
	for i, row := range p.x {
		for j, v := range row {
			gradient[p.at+j] += float64(v * p.slope[i])
		}
	}
}

// ready gives the predictor space of its own to work in.
func (p predictor) ready() *predictor {
	n := len(p.x)
	space := make([]float64, 5*n)
	p.eta, p.p, p.logP, p.logQ, p.slope = space[:n], space[n:2*n], space[2*n:3*n], space[3*n:4*n], space[4*n:]
	return &p
}

func numbered(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = strconv.Itoa(i + 1)
	}
	return out
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

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}
