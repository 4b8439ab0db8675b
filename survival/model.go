package survival

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnround/fit"
)

// A Model says what survival, detection and, with several states, movement
// depend on, each as a list of effects (see [fit.Cells.Design]); no effect is
// constant. All take "occasion" (an interval is named by the occasion before
// it), "sets:…", "trend" (time since the first occasion), "group",
// "since-marking" or "since-marking:2" (intervals since first capture, from 1)
// and numbers by name; detection takes "after-capture" (caught the occasion
// before, or not), and with several states all take "state". Movement also
// takes "to". With nights in periods ([Robust]) detection's "occasion" is the
// night; it also takes "period" and "night" (the first of each period, the
// second…), "after-capture" is within the period, and there is no
// "since-marking" for it. Markov emigration takes "state": here, away.
//
// Transients, which leave after being marked, show as lower survival in the
// first interval since marking (Pradel, Hines, Lebreton & Nichols 1997,
// Biometrics 53:60–72).
type Model struct {
	Survive []string `json:"survive"`
	Detect  []string `json:"detect"`
	Move    []string `json:"move,omitempty"`

	// Emigration and what it depends on: only with [Robust].
	Emigration Emigration `json:"emigration,omitempty"`
	Emigrate   []string   `json:"emigrate,omitempty"`

	// Population says whether animals never caught are spoken of too, and how;
	// Populate what that depends on.
	Population Population `json:"population,omitempty"`
	Populate   []string   `json:"populate,omitempty"`
	// GivenCaught takes the likelihood of entry given how many animals were
	// caught, without N as a parameter.
	GivenCaught bool `json:"given_caught,omitempty"`
}

// String says what the parameters depend on.
func (m Model) String() string {
	text := "survival " + listed(m.Survive) + ", detection " + listed(m.Detect)
	if len(m.Move) > 0 {
		text += ", movement " + listed(m.Move)
	}
	if m.Emigration != Stay {
		text += fmt.Sprintf(", %s emigration %s", m.Emigration, listed(m.Emigrate))
	}
	if m.Population != Marked {
		text += fmt.Sprintf(", %s %s", m.Population, listed(m.Populate))
	}
	if m.GivenCaught {
		text += ", given caught"
	}
	return text
}

func listed(effects []string) string {
	if len(effects) == 0 {
		return "constant"
	}
	return strings.Join(effects, " + ")
}

// laid is a model laid over data.
type laid struct {
	*survey
	model      Model
	chain      *chain
	predictors []*predictor // in the order of their parameters
	parts      []part       // of the likelihood, beside the releases
	own        []string     // parameters of the parts
	paths      []path
}

// A part is a term of the likelihood beside the releases. It may have
// parameters of its own, behind those of the predictors.
type part interface {
	// place finds its cells, and keep turns them into rows, before and after the
	// predictors are laid; at is where its own parameters begin.
	place(l *laid)
	keep(l *laid, at int) (names []string)
	// log adds slopes to the predictors' rows and, for its own parameters, to the
	// gradient, which may be nil.
	log(l *laid, x, gradient []float64) float64
	start(l *laid, x []float64)
	report(r *Result)
}

// A path is releases that the data tell apart, with the steps that lead them to
// the last occasion.
type path struct {
	release
	steps []step
}

// lay puts a model over data, pooling whatever the model cannot tell apart.
func lay(d Data, m Model) (*laid, error) {
	s, err := d.survey()
	if err != nil {
		return nil, err
	}
	l := &laid{survey: &s, model: m, chain: &chain{states: max(1, len(s.states))}}
	l.chain.survive = newPredictor("survival", fit.Logit, m.Survive, &s)
	l.chain.detect = newDetection(m.Detect, &s)
	l.predictors = []*predictor{l.chain.survive, l.chain.detect}
	switch {
	case l.chain.states > 1:
		l.chain.move = newPredictor("movement", fit.Logit, m.Move, &s)
		l.predictors = append(l.predictors, l.chain.move)
	case len(m.Move) > 0:
		return nil, fmt.Errorf("movement %s: there is one state; give histories of several", listed(m.Move))
	}
	if err := l.emigrate(); err != nil {
		return nil, err
	}
	if err := l.populate(); err != nil {
		return nil, err
	}
	return l, l.walk()
}

// walk lays out the steps of every release and the segments made of them.
func (l *laid) walk() error {
	alike := map[string]int{} // releases that take the same steps
	var placed [][]placing
	way := make([]int, len(l.releases))
	for i, r := range l.releases {
		k := l.wayOf(r)
		at, ok := alike[k]
		if !ok {
			at = len(placed)
			alike[k] = at
			placed = append(placed, nil)
			for interval := r.at; interval < l.occasions-1; interval++ {
				placed[at] = append(placed[at], l.place(r, interval))
			}
		}
		way[i] = at
	}
	for _, p := range l.parts {
		p.place(l)
	}
	if err := l.layPredictors(); err != nil {
		return err
	}
	known := map[string]int{}
	kept := make([][]step, len(placed))
	for at, steps := range placed {
		for _, s := range steps {
			kept[at] = append(kept[at], step{l.leg(s, known), l.look(s, known)})
		}
	}
	for i, r := range l.releases {
		l.paths = append(l.paths, path{r, kept[way[i]]})
	}
	l.chain.segments = pooled(l.paths)
	l.ready()
	return nil
}

// layPredictors gives the predictors their designs and every parameter its
// place.
func (l *laid) layPredictors() error {
	at := 0
	for _, p := range l.predictors {
		if err := p.lay(); err != nil {
			return err
		}
		p.at = at
		at += len(p.design.Names)
	}
	for _, p := range l.parts {
		own := p.keep(l, at)
		l.own = append(l.own, own...)
		at += len(own)
	}
	return nil
}

// wayOf tells releases apart that take other steps: by who they are to the
// predictors, when they are let go and, where it is spoken of, when marked.
func (l *laid) wayOf(r release) string {
	numbers := []int{r.at}
	for _, p := range []*predictor{l.chain.survive, l.chain.detect, l.chain.move} {
		if p == nil {
			continue
		}
		numbers = append(numbers, p.kindOf[r.row])
		if p.oldest > 0 {
			numbers = append(numbers, r.first)
		}
	}
	return key(numbers...)
}

// ready gives a laid model space of its own, so that copies can work side by
// side.
func (l *laid) ready() {
	l.predictors = slices.Clone(l.predictors)
	for i, p := range l.predictors {
		l.predictors[i] = p.ready()
	}
	c := *l.chain
	c.survive, c.detect = l.predictors[0], l.predictors[1]
	if c.move != nil {
		c.move = l.predictors[2]
	}
	l.chain = c.ready()
}

// A placing is a step whose cells are not rows yet.
type placing struct {
	leg
	detect look
}

// place finds the cells of the step that a release takes over an interval.
func (l *laid) place(r release, interval int) placing {
	n := l.chain.states
	s := placing{leg: leg{length: l.Intervals[interval], move: make([]int, n*n)}}
	c := cell{who: r.row, when: interval, since: interval - r.first + 1, missed: interval > r.at}
	seen := c
	seen.when = interval + 1
	for from := range n {
		c.from, c.to, seen.from = from, 0, from
		s.survive = append(s.survive, l.chain.survive.place(c))
		s.detect = append(s.detect, l.occasion(seen))
		for to := range n {
			c.to = to
			s.move[from*n+to] = reference
			if to != l.home(from) {
				s.move[from*n+to] = l.chain.move.place(c)
			}
		}
	}
	return s
}

// occasion finds the cells of an occasion's detection: one, or one for each
// night of a period, none of which has caught the animal yet.
func (l *laid) occasion(seen cell) []int {
	if l.nights == nil {
		return []int{l.chain.detect.place(seen)}
	}
	if seen.from == away {
		return nil
	}
	var cells []int
	seen.missed = true
	for _, night := range l.nights[seen.when] {
		seen.when = night
		cells = append(cells, l.chain.detect.place(seen))
	}
	return cells
}

// home is the state that moves from another are measured against: staying, or,
// in the robust design, being here.
func (l *laid) home(from int) int {
	if l.nights != nil {
		return here
	}
	return from
}

// leg turns the cells of a step's interval into rows, and finds or adds it among
// those alike.
func (l *laid) leg(s placing, known map[string]int) int {
	turn(s.survive, l.chain.survive)
	turn(s.move, l.chain.move)
	k := "leg" + key(append(append([]int{int(math.Float64bits(s.length))}, s.survive...), s.move...)...)
	at, ok := known[k]
	if !ok {
		at = len(l.chain.legs)
		known[k] = at
		l.chain.legs = append(l.chain.legs, s.leg)
	}
	return at
}

// look does the same for the occasion at the step's end.
func (l *laid) look(s placing, known map[string]int) int {
	k := "look"
	for _, cells := range s.detect {
		turn(cells, l.chain.detect)
		k += key(append(cells, reference)...)
	}
	at, ok := known[k]
	if !ok {
		at = len(l.chain.looks)
		known[k] = at
		l.chain.looks = append(l.chain.looks, s.detect)
	}
	return at
}

// turn makes rows of cells.
func turn(cells []int, p *predictor) {
	for i, c := range cells {
		if c != reference {
			cells[i] = p.rowOf[c]
		}
	}
}

// pooled counts together the segments that are one to the model. Where no
// effect tells animals or cohorts apart, these are the cells of the m-array.
func pooled(paths []path) []segment {
	var out []segment
	known := map[string]int{}
	for _, p := range paths {
		steps := p.steps
		if p.next != never {
			steps = steps[:p.next-p.at]
		}
		numbers := []int{p.state, p.found}
		for _, s := range steps {
			numbers = append(numbers, s.leg, s.look)
		}
		k := key(numbers...)
		at, ok := known[k]
		if !ok {
			at = len(out)
			known[k] = at
			out = append(out, segment{from: p.state, steps: steps, found: p.found})
		}
		out[at].count += p.count
	}
	return slices.Clip(out)
}

func (l *laid) names() []string {
	var names []string
	for _, p := range l.predictors {
		for _, n := range p.design.Names {
			names = append(names, p.name+" "+n)
		}
	}
	return append(names, l.own...)
}

// log is the log-likelihood, given every release, with its exact gradient.
func (l *laid) log(x, gradient []float64) float64 {
	for _, p := range l.predictors {
		p.predict(x)
	}
	l.chain.fill()
	clear(gradient)
	value := l.chain.log(gradient != nil)
	for _, p := range l.parts {
		value += p.log(l, x, gradient)
	}
	if gradient == nil {
		return value
	}
	l.chain.spread()
	for _, p := range l.predictors {
		p.collect(gradient)
	}
	return value
}

// likelihood readies the model for the kit, with starts of high survival and
// low detection and the other way about, and, where there are more ways to go
// astray, one of much coming and going.
func (l *laid) likelihood() fit.Likelihood {
	like := fit.Likelihood{Names: l.names(), Log: l.log}
	like.Basis = fit.NewMatrix(len(like.Names))
	for _, p := range l.predictors {
		for i, row := range p.design.Basis {
			copy(like.Basis[p.at+i][p.at:], row)
		}
	}
	for i := len(like.Names) - len(l.own); i < len(like.Names); i++ {
		like.Basis[i][i] = 1
	}
	starts := []map[string]float64{
		{"survival": 0.6, "detection": 0.6, "movement": 0.3, "emigration": 0.3, "growth": 1, "seniority": 0.6},
		{"survival": 0.9, "detection": 0.25, "movement": 0.1, "emigration": 0.1, "growth": 1, "seniority": 0.9},
		{"survival": 0.75, "detection": 0.4, "movement": 0.6, "emigration": 0.6, "growth": 1.3, "seniority": 0.4},
	}
	if l.chain.states == 1 && l.model.Population == Marked {
		starts = starts[:2]
	}
	for _, values := range starts {
		like.Starts = append(like.Starts, l.start(values))
	}
	return like
}

// start is a place where every value of a parameter is the same; survival is
// that of a middling interval.
func (l *laid) start(values map[string]float64) []float64 {
	x := make([]float64, len(l.names()))
	mean := 0.0
	for _, length := range l.Intervals {
		mean += length / float64(len(l.Intervals))
	}
	for _, p := range l.predictors {
		value := values[p.name]
		if p.name == "survival" || p.name == "seniority" {
			value = math.Pow(value, 1/mean)
		}
		if len(p.design.Names) > 0 && p.link != fit.Identity {
			x[p.at] = p.link.Eta(value)
		}
	}
	for _, p := range l.parts {
		p.start(l, x)
	}
	return x
}
