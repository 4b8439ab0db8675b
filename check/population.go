package check

import (
	"math"
	"slices"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

const (
	enough      = 50    // animals before a population says what is usual [CP]
	enoughMoves = 20    // moves before their longest means anything [CP]
	massSD      = 3.5   // s.d. of ln mass about its line on ln length [CP]
	lowShare    = 0.005 // of pes over head [CP]
	highShare   = 0.995 // [CP]
)

// Population is what is usual among a programme's own animals: mass for a
// length, pes for head, and how far they move. Telling it reads every
// capture, so it is told once, as when a round is opened, and asked after
// every phrase. A nil Population is silent.
type Population struct{ of map[string]*usual } // by species

// usual is what is usual in one species.
type usual struct {
	mass   map[string]line // ln mass on ln length, by trait
	ratio  []float64       // pes over head of adults, sorted
	moves  int
	first  move // the longest
	second move // the longest of another animal
}

type move struct {
	animal uuid.UUID
	metres float64
}

// line is a least-squares line with the s.d. of its residuals.
type line struct {
	n                int
	level, slope, sd float64
}

// Know tells what is usual from every capture of the register. Of each adult
// the first capture that has both values counts.
func Know(r *register.Register) *Population { return know(r, lives(r.Captures())) }

func know(r *register.Register, lives map[uuid.UUID][]*register.Capture) *Population {
	p := &Population{of: map[string]*usual{}}
	t := telling{Population: p, register: r, points: map[string]map[string][][2]float64{}, apart: map[[2]trapAt]float64{}}
	for _, life := range inOrder(lives) { // sums of floats rest on their order
		t.animal(life)
	}
	for code, u := range p.of {
		u.mass = map[string]line{}
		for trait, points := range t.points[code] {
			if len(points) >= enough {
				u.mass[trait] = fitLine(points)
			}
		}
		slices.Sort(u.ratio)
	}
	return p
}

// telling gathers what a population is told from.
type telling struct {
	*Population
	register *register.Register
	points   map[string]map[string][][2]float64 // ln length and ln mass by species and trait
	apart    map[[2]trapAt]float64              // metres between traps, −1 where not known
	traps    map[trapAt]record.Trap
}

type trapAt struct{ site, trap string }

func (t *telling) animal(life []*register.Capture) {
	had := map[string]bool{}
	for i, c := range life {
		sheet, ok := t.register.Protocol().Sheet(c.Species())
		if !ok {
			continue
		}
		u := t.of[sheet.Code]
		if u == nil {
			u = &usual{}
			t.of[sheet.Code] = u
			t.points[sheet.Code] = map[string][][2]float64{}
		}
		t.sizes(u, sheet, c, had)
		if i > 0 && life[i-1].Species() == c.Species() {
			if m, ok := t.metres(life[i-1], c); ok {
				u.moved(move{c.Animal, m})
			}
		}
	}
}

// sizes takes an adult's mass, lengths and ratio, each once.
func (t *telling) sizes(u *usual, sheet *protocol.Sheet, c *register.Capture, had map[string]bool) {
	rank := sheet.StageRank(handled(c).Stage)
	if rank < 0 || !sheet.Stages[rank].Adult {
		return
	}
	mass, weighed := c.Handled.MassMilli()
	for i := range sheet.Traits {
		b := &sheet.Traits[i]
		length, measured := lengthOf(c.Handled, b)
		if !b.Bone || had[b.ID] || !weighed || !measured || mass <= 0 {
			continue
		}
		had[b.ID] = true
		points := t.points[sheet.Code]
		points[b.ID] = append(points[b.ID], [2]float64{math.Log(length), math.Log(float64(mass))})
	}
	if foot, skull, ok := pesAndHead(c.Handled, sheet); ok && !had["ratio"] {
		had["ratio"] = true
		u.ratio = append(u.ratio, foot/skull)
	}
}

// lengthOf is a trait's length in millimetres, of whichever side was read.
func lengthOf(h *record.Handled, t *protocol.Trait) (float64, bool) {
	for _, key := range [3]string{t.ID, t.ID + ".right", t.ID + ".left"} {
		r, ok := h.Measures[key]
		if ok && sound(r) && r.Counts().Milli > 0 && t.Of != protocol.OfYoung && convention(t, r) == t.Convention {
			return r.Counts().Value(), true
		}
	}
	return 0, false
}

// moved keeps the two longest moves, of two animals.
func (u *usual) moved(m move) {
	u.moves++
	switch {
	case m.animal == u.first.animal:
		u.first.metres = max(u.first.metres, m.metres)
	case m.metres > u.first.metres:
		u.first, u.second = m, u.first
	case m.metres > u.second.metres:
		u.second = m
	}
}

// metres is the distance between two captures' traps.
func (t *telling) metres(from, to *register.Capture) (float64, bool) {
	if from.At.Site == to.At.Site && from.At.Trap == to.At.Trap {
		return 0, from.At.Trap != ""
	}
	pair := [2]trapAt{{from.At.Site, from.At.Trap}, {to.At.Site, to.At.Trap}}
	m, ok := t.apart[pair]
	if !ok {
		m = -1
		a, ok1 := t.trap(pair[0])
		b, ok2 := t.trap(pair[1])
		if d, ok := between(a, b); ok1 && ok2 && ok {
			m = d
		}
		t.apart[pair] = m
	}
	return m, m >= 0
}

// trap is the latest position of a trap; the move of a trap is nobody's
// longest.
func (t *telling) trap(at trapAt) (record.Trap, bool) {
	if t.traps == nil {
		t.traps = map[trapAt]record.Trap{}
		for _, s := range t.register.Sites() {
			for _, p := range t.register.Traps(s.Site, record.Night{}) {
				t.traps[trapAt{p.Site, p.Trap}] = p
			}
		}
	}
	p, ok := t.traps[at]
	return p, ok
}

// longestMove is the longest known move of a species, in metres, of animals
// other than those named.
func (p *Population) longestMove(species string, but ...uuid.UUID) (float64, bool) {
	if p == nil || p.of[species] == nil || p.of[species].moves < enoughMoves {
		return 0, false
	}
	u := p.of[species]
	if slices.Contains(but, u.first.animal) {
		return u.second.metres, u.second.metres > 0
	}
	return u.first.metres, u.first.metres > 0
}

// fitLine is ordinary least squares of y on x.
func fitLine(points [][2]float64) line {
	n := float64(len(points))
	var mx, my, sxx, sxy, rss float64
	for _, p := range points {
		mx, my = mx+p[0]/n, my+p[1]/n
	}
	for _, p := range points {
		sxx += float64((p[0] - mx) * (p[0] - mx))
		sxy += float64((p[0] - mx) * (p[1] - my))
	}
	l := line{n: len(points)}
	if sxx > 0 {
		l.slope = sxy / sxx
	}
	l.level = my - float64(l.slope*mx)
	for _, p := range points {
		d := p[1] - l.at(p[0])
		rss += float64(d * d)
	}
	l.sd = math.Sqrt(rss / (n - 2))
	return l
}

func (l line) at(x float64) float64 { return l.level + float64(l.slope*x) }

// share is the value below which a share of sorted values lies, taken between
// the two nearest.
func share(sorted []float64, of float64) float64 {
	at := float64(of * float64(len(sorted)-1))
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + float64((at-float64(i))*(sorted[i+1]-sorted[i]))
}
