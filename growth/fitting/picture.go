package fitting

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnround/chart"
	"dawnround/growth"
)

// Picture draws the fit with its data, and the residuals below. Sizes at ages
// stand beside the curve with the band of its mean and of one reading; gains
// stand as gain per year against the size at first capture, beside what is
// expected over the middle interval.
func (r Result) Picture() *chart.Scene {
	l := r.Relation
	s := &chart.Scene{Width: 760, Height: 640, Class: "growth",
		Title: strings.TrimSpace(fmt.Sprintf("Growth of %s, %s %s", l.Trait, l.Species, l.Sex)), Desc: r.says()}
	head := s.Width - 24
	s.Put(chart.Words{Class: "head", X: 12, Y: 22, Text: s.Title})
	for i, line := range folded(s.Desc, int(head/6)) {
		s.Put(chart.Words{Class: "small", X: 12, Y: 40 + 14*float64(i), Text: line})
	}
	if len(r.Residuals) == 0 || len(l.Wrongs()) > 0 {
		return s
	}
	switch {
	case l.Fitted == growth.GainOnSize:
		r.drawGains(s)
	case r.Pairs > 0:
		r.drawAnchored(s)
	default:
		r.drawSizes(s)
	}
	return s
}

// says is the fit in a sentence.
func (r Result) says() string {
	var parts []string
	for _, e := range r.Estimates {
		if e.Name == "A" || e.Name == "k" || e.Name == "rate per day" {
			parts = append(parts, fmt.Sprintf("%s %.4g (95 %% %.4g to %.4g)", strings.Replace(e.Name, "k", "k a year", 1), e.Value, e.Lower, e.Upper))
		}
	}
	counted := fmt.Sprintf("%d readings", r.Readings)
	if r.Pairs > 0 {
		counted = fmt.Sprintf("%d pairs of captures", r.Pairs)
	}
	more := ""
	if len(r.Residuals) > manyReadings {
		more = " Disc areas are numbers of readings; rings lie off the frame."
	}
	return fmt.Sprintf("%s: %s; %d animals, %s. Dark band: the mean, 95 %%; light band: one reading, 95 %%.%s",
		r.Model, strings.Join(parts, ", "), r.Animals, counted, more)
}

// A panel is a frame on the scene with its two scales.
type panel struct {
	*chart.Scene
	x, y chart.Scale
}

func newPanel(s *chart.Scene, top, height float64, x, y chart.Scale, xTitle, yTitle string) panel {
	x.At, x.End = 62, s.Width-20
	y.At, y.End = top+height-42, top+20
	s.Put(chart.Words{Class: "small", X: 12, Y: top + 10, Text: yTitle})
	for _, v := range y.Ticks(6) {
		s.Put(chart.Line{Class: "rule", Points: []chart.Point{{X: x.At, Y: y.On(v)}, {X: x.End, Y: y.On(v)}}},
			chart.Words{X: x.At - 7, Y: y.On(v) + 4, Text: tick(v), Place: chart.UpTo})
	}
	for _, v := range x.Ticks(8) {
		s.Put(chart.Line{Class: "axis", Points: []chart.Point{{X: x.On(v), Y: y.At}, {X: x.On(v), Y: y.At + 5}}},
			chart.Words{X: x.On(v), Y: y.At + 19, Text: tick(v), Place: chart.Around})
	}
	s.Put(chart.Words{Class: "small", X: (x.At + x.End) / 2, Y: y.At + 36, Text: xTitle, Place: chart.Around})
	return panel{s, x, y}
}

// frame is put last, over the bands.
func (p panel) frame() {
	p.Put(chart.Line{Class: "axis", Points: []chart.Point{{X: p.x.At, Y: p.y.End}, {X: p.x.At, Y: p.y.At}, {X: p.x.End, Y: p.y.At}}})
}

func tick(v float64) string { return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64) }

// on is a point, kept within the frame from above and below.
func (p panel) on(x, y float64) chart.Point {
	y = math.Min(math.Max(y, math.Min(p.y.From, p.y.To)), math.Max(p.y.From, p.y.To))
	return chart.Point{X: p.x.On(x), Y: p.y.On(y)}
}

// band fills between two courses.
func (p panel) band(class string, x, low, high []float64) {
	var points []chart.Point
	for i := range x {
		points = append(points, p.on(x[i], high[i]))
	}
	for i := len(x) - 1; i >= 0; i-- {
		points = append(points, p.on(x[i], low[i]))
	}
	p.Put(chart.Area{Class: class, Points: points})
}

func (p panel) course(class string, x, y []float64) {
	var points []chart.Point
	for i := range x {
		points = append(points, p.on(x[i], y[i]))
	}
	p.Put(chart.Line{Class: class, Points: points})
}

// manyReadings cannot be told apart on a picture one by one.
const manyReadings = 400

// An observed is one point of a scatter.
type observed struct {
	x, y  float64
	title string
}

// scatter puts the points; those off the frame stand on its edge, as rings.
// Where there are too many to be told apart, those that fall together are one
// disc, its area as their number.
func (p panel) scatter(points []observed) {
	const cell = 5.0
	type place struct{ x, y int } // tenths of a unit, cells
	heaps := map[place]int{}
	var order []place
	most := 1
	for _, o := range points {
		at := p.on(o.x, o.y)
		off := o.y < math.Min(p.y.From, p.y.To) || o.y > math.Max(p.y.From, p.y.To)
		switch {
		case off:
			p.Put(chart.Dot{Class: "value hollow", X: at.X, Y: at.Y, R: 3, Title: o.title})
		case len(points) <= manyReadings:
			p.Put(chart.Dot{Class: "value", X: at.X, Y: at.Y, R: 3, Title: o.title})
		default:
			heap := place{int(math.Round(at.X * 10)), int(math.Round(at.Y / cell))}
			if heaps[heap] == 0 {
				order = append(order, heap)
			}
			heaps[heap]++
			most = max(most, heaps[heap])
		}
	}
	for _, heap := range order {
		r := math.Max(1.8, 6*math.Sqrt(float64(heaps[heap])/float64(most)))
		p.Put(chart.Dot{Class: "value", X: float64(heap.x) / 10, Y: cell * float64(heap.y), R: r, Title: fmt.Sprintf("%d readings", heaps[heap])})
	}
}

// courses are the expected values over a range, with their bands.
type courses struct{ x, mean, meanLow, meanHigh, low, high []float64 }

func (c *courses) add(x float64, s growth.Size, less, by float64) {
	c.x = append(c.x, x)
	for _, to := range []struct {
		list *[]float64
		v    float64
	}{{&c.mean, s.Mean}, {&c.meanLow, s.MeanFrom}, {&c.meanHigh, s.MeanTo}, {&c.low, s.From}, {&c.high, s.To}} {
		*to.list = append(*to.list, (to.v-less)/by)
	}
}

func (c courses) draw(p panel) {
	p.band("band", c.x, c.low, c.high)
	p.band("bar", c.x, c.meanLow, c.meanHigh)
}

// sizes are the sizes a relation expects over the ages it knows, in a unit of
// so many days.
func sizes(l growth.Relation, unit float64) courses {
	const steps = 120
	from, to := l.AgesDays()
	var c courses
	for i := range steps + 1 {
		age := from + (to-from)*float64(i)/steps
		size, err := l.SizeAt(age)
		if err == nil {
			c.add(age/unit, size, 0, 1)
		}
	}
	return c
}

// Aged draws a relation with an animal's size and the age that answers it,
// with the band of that age. Ages are in days.
func Aged(a growth.Age) *chart.Scene {
	l := *a.Relation
	s := &chart.Scene{Width: 760, Height: 420, Class: "growth", Title: fmt.Sprintf("Age by %s, %s", l.Trait, l.Species),
		Desc: fmt.Sprintf("%s %.4g: %s; band: %s. %s", l.Trait, a.Size, a, a.Spread, l.Name())}
	s.Put(chart.Words{Class: "head", X: 12, Y: 22, Text: s.Title})
	for i, line := range folded(s.Desc, int(s.Width/6.2)) {
		s.Put(chart.Words{Class: "small", X: 12, Y: 40 + 14*float64(i), Text: line})
	}
	c := sizes(l, 1)
	low, high := chart.Room(slices.Concat(c.low, c.high, []float64{a.Size})...)
	youngest, oldest := l.AgesDays()
	p := newPanel(s, 78, 330, chart.Scale{From: youngest, To: oldest}, chart.Scale{From: low, To: high}, "age, days", strings.TrimSuffix(l.Trait+", "+l.Unit, ", 1"))
	p.band("band", c.x, c.low, c.high)
	from, to := math.Max(a.From, youngest), math.Min(a.To, oldest)
	p.band("bar", []float64{from, to}, []float64{low, low}, []float64{a.Size, a.Size})
	p.course("line", c.x, c.mean)
	p.course("limit", []float64{youngest, to}, []float64{a.Size, a.Size})
	if !math.IsNaN(a.Days) {
		at := p.on(math.Max(a.Days, youngest), a.Size)
		s.Put(chart.Dot{Class: "value", X: at.X, Y: at.Y, R: 5, Title: a.String()})
	}
	p.frame()
	return s
}

func (r Result) drawSizes(s *chart.Scene) {
	l := r.Relation
	c := sizes(l, daysPerYear)
	seen := slices.Concat(c.low, c.high)
	for _, d := range r.Residuals {
		seen = append(seen, d.Observed)
	}
	low, high := chart.Room(slices.Min(seen), slices.Max(seen))
	x := chart.Scale{From: l.Ages[0], To: l.Ages[1]}
	p := newPanel(s, 78, 330, x, chart.Scale{From: low, To: high}, "age, years", l.Trait+", "+l.Unit)
	c.draw(p)
	r.joinAnimals(p)
	var points []observed
	for _, d := range r.Residuals {
		points = append(points, observed{d.At / daysPerYear, d.Observed, fmt.Sprintf("%s: %.4g at %.0f days", d.Animal, d.Observed, d.At)})
	}
	p.scatter(points)
	p.course("line", c.x, c.mean)
	p.frame()
	r.drawResiduals(s, x, "age, years", 1/daysPerYear)
}

// joinAnimals draws a faint line through the readings of each animal, where
// there are not too many to be told apart.
func (r Result) joinAnimals(p panel) {
	if len(r.Residuals) > manyReadings {
		return
	}
	var points []chart.Point
	for i, d := range r.Residuals {
		if i > 0 && r.Residuals[i-1].Animal != d.Animal {
			p.Put(chart.Line{Class: "rule", Points: points})
			points = nil
		}
		points = append(points, p.on(d.At/daysPerYear, d.Observed))
	}
	p.Put(chart.Line{Class: "rule", Points: points})
}

func (r Result) drawGains(s *chart.Scene) {
	l := r.Relation
	var years, rates []float64
	for _, d := range r.Residuals {
		years, rates = append(years, d.Years), append(rates, d.Observed/d.Years)
	}
	slices.Sort(years)
	middle := years[len(years)/2]
	const steps = 120
	var c courses
	for i := range steps + 1 {
		size := l.Sizes[0] + (l.Sizes[1]-l.Sizes[0])*float64(i)/steps
		next, _ := l.Next(size, middle*daysPerYear) // within its sizes
		c.add(size, next, size, middle)
	}
	slices.Sort(rates)
	inner := rates[len(rates)/100 : len(rates)-len(rates)/100] // a few wild rates must not flatten the rest
	low, high := chart.Room(append(slices.Concat(c.low, c.high), inner[0], inner[len(inner)-1])...)
	x := chart.Scale{From: l.Sizes[0], To: l.Sizes[1]}
	p := newPanel(s, 78, 330, x, chart.Scale{From: low, To: high}, fmt.Sprintf("%s at first capture, %s; bands for captures %.0f days apart", l.Trait, l.Unit, middle*daysPerYear), "gain per year, "+l.Unit)
	c.draw(p)
	p.course("axis", []float64{x.From, x.To}, []float64{0, 0})
	var points []observed
	for _, d := range r.Residuals {
		points = append(points, observed{d.At, d.Observed / d.Years, fmt.Sprintf("%s: %+.4g in %.0f days", d.Animal, d.Observed, d.Years*daysPerYear)})
	}
	p.scatter(points)
	p.course("line", c.x, c.mean)
	p.frame()
	r.drawResiduals(s, x, l.Trait+" at first capture, "+l.Unit, 1)
}

// drawAnchored draws the line of young of unknown age: each pair of readings
// lies where its first one puts it.
func (r Result) drawAnchored(s *chart.Scene) {
	l := r.Relation
	c := sizes(l, 1)
	low, high := chart.Room(slices.Concat(c.low, c.high)...)
	x := chart.Scale{From: l.Ages[0], To: l.Ages[1]}
	p := newPanel(s, 78, 330, x, chart.Scale{From: low, To: high}, "age, days; each pair lies where its first reading puts it", l.Trait+", "+l.Unit)
	c.draw(p)
	for _, d := range r.Residuals {
		age := math.Max(0, (d.At-l.Parameters[0].Value)/l.Parameters[1].Value)
		later := math.Min(age+d.Years*daysPerYear, l.Ages[1])
		p.course("joins", []float64{age, later}, []float64{d.At, d.At + d.Observed})
		p.scatter([]observed{{age, d.At, d.Animal}, {later, d.At + d.Observed, d.Animal}})
	}
	p.course("line", c.x, c.mean)
	p.frame()
	from, to := chart.Room(r.firstSizes()...)
	r.drawResiduals(s, chart.Scale{From: from, To: to}, l.Trait+" at first capture, "+l.Unit, 1)
}

func (r Result) firstSizes() []float64 {
	var out []float64
	for _, d := range r.Residuals {
		out = append(out, d.At)
	}
	return out
}

// drawResiduals puts the residuals, in standard deviations, below the fit.
func (r Result) drawResiduals(s *chart.Scene, x chart.Scale, xTitle string, by float64) {
	p := newPanel(s, 420, 215, x, chart.Scale{From: -4, To: 4}, xTitle, "residuals, in standard deviations; broken lines: 95 of 100 lie between them")
	p.course("axis", []float64{x.From, x.To}, []float64{0, 0})
	for _, v := range []float64{-1.96, 1.96} {
		p.course("limit", []float64{x.From, x.To}, []float64{v, v})
	}
	var points []observed
	for _, d := range r.Residuals {
		if !math.IsNaN(d.Standard) {
			points = append(points, observed{d.At * by, d.Standard, fmt.Sprintf("%s: %.2g", d.Animal, d.Standard)})
		}
	}
	p.scatter(points)
	p.frame()
}

// folded breaks a text into lines of so many letters at most.
func folded(text string, most int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > most {
			out, line = append(out, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(out, line)
}
