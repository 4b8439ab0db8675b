package desk

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"dawnround/chart"
	"dawnround/place"
	"dawnround/record"
)

// day is a night on the scale of a drawing: days since 1970.
func day(n record.Night) float64 { return float64(n.Days(record.Night{Year: 1970, Month: 1, Day: 1})) }

// letter is the width of a letter of the drawings' words, in their units.
const letter = 7.3

// lifeLine draws a life as one horizontal line from the first to the last
// night on which anything is known of it: captures as dots, what happened
// above, young below, trips at the foot.
func lifeLine(l Life, width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Class: "life", Title: "Life line of " + l.Name,
		Desc: fmt.Sprintf("from %s to %s, %d captures, %d young", l.First.Words(), l.Last.Words(), len(l.Captures), len(l.Young))}
	x := chart.Scale{From: l.begins(), To: day(l.Last), At: 30, End: width - 40}
	above := labels{width: width, levels: 3}
	const base = 84
	s.Put(chart.Line{Class: "line", Points: []chart.Point{{X: x.On(x.From), Y: base}, {X: x.On(x.To), Y: base}}})
	if b := l.Born; b != nil {
		from := x.On(day(b.Earliest))
		s.Put(chart.Rect{Class: "born", X: from, Y: base - 12, W: max(x.On(day(b.Latest))-from, 6), H: 24, Title: b.says()})
		above.put(s, from, base, "born "+b.EDTF, "stem")
	}
	if n := len(l.AsYoung); n > 0 {
		from, to := x.On(day(l.AsYoung[0].Night)), x.On(day(l.AsYoung[n-1].Night))
		s.Put(chart.Rect{Class: "inrow", X: from - 4, Y: base - 5, W: max(to-from, 4) + 8, H: 10, Title: "in its mother's row"})
		above.put(s, from, base, "in her row", "stem")
	}
	for _, e := range l.events() {
		above.put(s, x.On(day(e.night)), base, e.says, e.class)
	}
	s.Put(above.words...)
	at := math.Inf(-1)
	for _, c := range l.Captures {
		at = max(at+9, x.On(day(c.Night)))
		s.Put(chart.Dot{Class: dotClass(c), X: min(at, width-8), Y: base, R: 5, Title: c.Night.Words() + ", " + c.Place})
	}
	if n := len(l.Captures); n > 0 && l.Captures[n-1].ended() {
		end := min(at, width-8)
		s.Put(chart.Line{Class: "died", Points: []chart.Point{{X: end - 8, Y: base - 8}, {X: end + 8, Y: base + 8}}},
			chart.Line{Class: "died", Points: []chart.Point{{X: end - 8, Y: base + 8}, {X: end + 8, Y: base - 8}}})
	}
	foot := youngStrips(s, x, l, base+22)
	tripTicks(s, x, l, foot+18)
	s.Height = foot + 28
	return s
}

// begins is the first day of the drawing: that of the birth window, else the
// first night known.
func (l Life) begins() float64 {
	if l.Born != nil {
		return min(day(l.Born.Earliest), day(l.First))
	}
	return day(l.First)
}

// ended reports a capture that was the animal's last.
func (c CaptureRow) ended() bool { return record.Fate(c.Fate).Ends() }

func dotClass(c CaptureRow) string {
	for _, f := range c.Flags {
		if !f.Settled && f.Grade != record.Remark {
			return "caught asked"
		}
	}
	return "caught"
}

// event is something that happened at a capture, told above the line.
type event struct {
	night record.Night
	says  string
	class string
}

// events are marks put on and gone, samples, and what was found wrong, in the
// order of the nights; those of one night are one event.
func (l Life) events() []event {
	var all []event
	for _, m := range l.Marks {
		if m.Put {
			all = append(all, event{m.From, m.Kind, "stem"})
		}
		if m.Gone {
			all = append(all, event{m.To, m.Kind + " gone", "stem asked"})
		}
	}
	for _, s := range l.Samples {
		all = append(all, event{s.Night, firstWords(s.Says, 2), "stem"})
	}
	for _, f := range l.Findings {
		if !f.None {
			all = append(all, event{f.Night, f.Says, "stem asked"})
		}
	}
	for i, c := range l.Captures {
		if i > 0 && c.Site != "" && l.Captures[i-1].Site != "" && c.Site != l.Captures[i-1].Site {
			all = append(all, event{c.Night, "moved to " + c.Site, "stem"})
		}
		if c.ended() {
			all = append(all, event{c.Night, c.Fate, "stem asked"})
		}
	}
	slices.SortStableFunc(all, func(a, b event) int { return a.night.Compare(b.night) })
	var out []event
	for _, e := range all {
		if n := len(out); n > 0 && out[n-1].night == e.night {
			out[n-1].says += ", " + e.says
			out[n-1].class = max(out[n-1].class, e.class)
			continue
		}
		out = append(out, e)
	}
	return out
}

func firstWords(s string, n int) string {
	for i, c := range s {
		if c == ' ' {
			if n--; n == 0 {
				return s[:i]
			}
		}
	}
	return s
}

// labels puts words above a line so that they do not lie on each other.
type labels struct {
	width  float64
	levels int
	ends   [8]float64    // where the words of each level end
	words  []chart.Shape // drawn last, so that no stem runs through them
}

// put draws a stem and its words on the lowest free level; where none is free
// the stem stands alone, and the table below tells what it is.
func (p *labels) put(s *chart.Scene, x, base float64, says, class string) {
	says = cut(says, p.width-10*letter)
	wide := letter * float64(len([]rune(says)))
	from := max(2, min(x-4, p.width-wide-4))
	for level := range p.levels {
		if from < p.ends[level] {
			continue
		}
		y := base - 24 - 20*float64(level)
		s.Put(chart.Line{Class: class, Points: []chart.Point{{X: x, Y: base}, {X: x, Y: y + 5}}})
		p.words = append(p.words, chart.Words{X: from, Y: y, Text: says})
		p.ends[level] = from + wide + 12
		return
	}
	s.Put(chart.Line{Class: class, Points: []chart.Point{{X: x, Y: base}, {X: x, Y: base - 14}}})
}

// youngStrips draws young as strips from the first to the last sight of them
// in her row, those of one litter and fate as one, and gives where the next
// may begin.
func youngStrips(s *chart.Scene, x chart.Scale, l Life, y float64) float64 {
	const tall = 32
	var ends []float64 // of each level
	for _, b := range l.litters() {
		says := cut(b.says(), s.Width)
		wide := letter * float64(len([]rune(says)))
		at := x.On(day(b.first))
		from := max(2, min(at, s.Width-wide-4))
		level := slices.IndexFunc(ends, func(end float64) bool { return min(from, at) >= end })
		if level < 0 {
			level, ends = len(ends), append(ends, 0)
		}
		strip := max(x.On(day(b.last))-at, 6)
		ends[level] = max(from+wide, at+strip) + 10
		s.Put(
			chart.Rect{Class: "young", X: at, Y: y + tall*float64(level), W: strip, H: 7},
			chart.Words{X: from, Y: y + tall*float64(level) + 21, Text: says},
		)
	}
	return y + tall*float64(len(ends))
}

// cut leaves out what a drawing has no room for.
func cut(says string, width float64) string {
	if most := int(width/letter) - 2; len([]rune(says)) > most {
		return string([]rune(says)[:most]) + "…"
	}
	return says
}

// litter is young that were seen on the same nights and came to the same.
type litter struct {
	first, last record.Night
	numbers     []string
	fate        string
}

func (l Life) litters() []litter {
	var out []litter
	for i, c := range l.Young {
		if len(c.Seen) == 0 {
			continue // never in her row: the table tells of it
		}
		one := litter{c.First, c.Last, []string{strconv.Itoa(i + 1)}, spaced(c.Fate, parens(c.Sure))}
		same := slices.IndexFunc(out, func(o litter) bool { return o.first == one.first && o.last == one.last && o.fate == one.fate })
		if same >= 0 {
			out[same].numbers = append(out[same].numbers, one.numbers...)
			continue
		}
		out = append(out, one)
	}
	return out
}

func (b litter) says() string {
	numbers := b.numbers[0]
	if n := len(b.numbers); n > 1 {
		numbers += "–" + b.numbers[n-1]
	}
	return "young " + numbers + ": " + b.fate
}

// tripTicks writes month and year under the first capture of each trip, where
// there is room; the last is written whatever stands before it.
func tripTicks(s *chart.Scene, x chart.Scale, l Life, y float64) {
	type tick struct {
		x    float64
		says string
	}
	var ticks []tick
	add := func(n record.Night) {
		if t := (tick{x.On(day(n)), n.Noon(time.UTC).Format("Jan 06")}); len(ticks) == 0 || ticks[len(ticks)-1].says != t.says {
			ticks = append(ticks, t)
		}
	}
	if l.Born != nil {
		add(l.Born.Earliest)
	}
	add(l.First)
	for _, c := range l.Captures {
		add(c.Night)
	}
	last := ticks[len(ticks)-1]
	end := math.Inf(-1)
	for _, t := range ticks[:len(ticks)-1] {
		if t.x-20 < end || t.x+60 > last.x {
			continue
		}
		s.Put(chart.Words{X: t.x, Y: y, Text: t.says, Place: chart.Around})
		end = t.x + 28
	}
	s.Put(chart.Words{Class: "k", X: min(last.x, s.Width-24), Y: y, Text: last.says, Place: chart.Around})
}

// seriesScene draws one trait over time: values that stand as discs with the
// error of one reading, those struck or flagged hollow and not joined.
func seriesScene(l Life, one Series, width float64) *chart.Scene {
	const height, foot = 220, 190
	s := &chart.Scene{Width: width, Height: height, Class: "series", Title: one.Name + ", " + one.Unit, Desc: one.says()}
	var values []float64
	for _, p := range one.Points {
		values = append(values, p.Value-one.Error, p.Value+one.Error)
	}
	for _, e := range one.Expected {
		if e.Day >= day(l.First) {
			values = append(values, e.From, e.To)
		}
	}
	from, to := chart.Room(values...)
	y := chart.Scale{From: max(from, 0), To: to, At: foot, End: 14}
	x := chart.Scale{From: day(l.First), To: day(l.Last), At: 62, End: width - 24}
	for _, t := range y.Ticks(5) {
		s.Put(
			chart.Line{Class: "rule", Points: []chart.Point{{X: 44, Y: y.On(t)}, {X: width - 4, Y: y.On(t)}}},
			chart.Words{X: 38, Y: y.On(t) + 4, Text: strconv.FormatFloat(t, 'g', 6, 64), Place: chart.UpTo},
		)
	}
	if one.Key == "mass" {
		withYoung(s, x, l)
	}
	expectedBand(s, x, y, one)
	var line []chart.Point
	for _, p := range one.Points {
		if p.Doubt == "" {
			line = append(line, chart.Point{X: x.On(day(p.Night)), Y: y.On(p.Value)})
		}
	}
	s.Put(chart.Line{Class: "joins", Points: line})
	for _, p := range one.Points {
		at := chart.Point{X: x.On(day(p.Night)), Y: y.On(p.Value)}
		if one.Error > 0 && p.Doubt == "" {
			s.Put(chart.Line{Class: "error", Points: []chart.Point{{X: at.X, Y: y.On(p.Value - one.Error)}, {X: at.X, Y: y.On(p.Value + one.Error)}}})
		}
		s.Put(chart.Dot{Class: map[bool]string{true: "value", false: "value hollow"}[p.Doubt == ""], X: at.X, Y: at.Y, R: 5,
			Title: joined(", ", p.Night.Words(), strconv.FormatFloat(p.Value, 'f', -1, 64), p.Doubt)})
	}
	tripTicks(s, x, l, foot+24)
	return s
}

// expectedBand draws what the curve expects: the mean, and one reading in 95 of
// 100 within the band.
func expectedBand(s *chart.Scene, x, y chart.Scale, one Series) {
	var mean, upper, lower []chart.Point
	for _, e := range one.Expected {
		if e.Day < x.From {
			continue
		}
		mean = append(mean, chart.Point{X: x.On(e.Day), Y: y.On(e.Mean)})
		upper = append(upper, chart.Point{X: x.On(e.Day), Y: y.On(e.To)})
		lower = append(lower, chart.Point{X: x.On(e.Day), Y: y.On(max(e.From, y.From))})
	}
	if len(mean) < 2 {
		return
	}
	slices.Reverse(lower)
	s.Put(chart.Area{Class: "band", Points: append(upper, lower...)}, chart.Line{Class: "expects", Points: mean})
}

// withYoung shades the nights on which she was seen to carry young.
func withYoung(s *chart.Scene, x chart.Scale, l Life) {
	for _, c := range l.Young {
		if len(c.Seen) > 0 {
			from := x.On(day(c.First))
			s.Put(chart.Rect{Class: "band", X: from - 6, Y: 14, W: max(0, x.On(day(c.Last))-from) + 12, H: 176, Title: "with " + c.Name})
		}
	}
}

// says is the series in a sentence.
func (one Series) says() string {
	if len(one.Points) == 0 {
		return "not measured"
	}
	first, last := one.Points[0], one.Points[len(one.Points)-1]
	hollow := 0
	for _, p := range one.Points {
		if p.Doubt != "" {
			hollow++
		}
	}
	out := fmt.Sprintf("%g on %s to %g on %s, %d values", first.Value, short(first.Night), last.Value, short(last.Night), len(one.Points))
	if hollow > 0 {
		out += fmt.Sprintf(", %d of them in doubt", hollow)
	}
	return out
}

// caption says what the drawing leaves to be told.
func (one Series) caption(young bool) string {
	out := sentenceStart(one.Name) + ", " + one.Unit + "."
	if one.Error > 0 {
		out += fmt.Sprintf(" Whiskers: error of one reading, ± %.1f %s (%s).", one.Error, one.Unit, one.Basis)
	}
	if one.ExpectedBy != "" {
		out += " Band: one reading expected, 95 %, by " + one.ExpectedBy + "."
	}
	for _, p := range one.Points {
		if p.Doubt != "" {
			out += " Hollow: struck, flagged or damaged; not joined."
			break
		}
	}
	if one.Key == "mass" && young {
		out += " Shaded: with young in her row."
	}
	return out
}

// mapScene sketches the traps of a trip, north up, without coordinates: shape
// and distance, nothing to find the place by.
func mapScene(p TripPage, width float64) *chart.Scene {
	s := &chart.Scene{Width: width, Height: width * 0.7, Class: "map", Title: "Trap lines of " + p.Name,
		Desc: "generalised: shapes and distances only, without coordinates"}
	var at []chart.Point
	var names []record.Trap
	for _, t := range p.traps {
		g, err := (place.Point{Lat: t.Lat, Lon: t.Lon, Datum: place.Datum(cmp.Or(t.Datum, string(place.WGS84)))}).Grid()
		if err == nil && (t.Lat != 0 || t.Lon != 0) {
			at, names = append(at, chart.Point{X: g.Easting, Y: g.Northing}), append(names, t)
		}
	}
	if len(at) < 2 {
		return s
	}
	west, east, south, north := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, a := range at {
		west, east, south, north = min(west, a.X), max(east, a.X), min(south, a.Y), max(north, a.Y)
	}
	per := min((width-40)/max(east-west, 1), (s.Height-60)/max(north-south, 1)) // units of the drawing in a metre
	for i, a := range at {
		x, y := 20+float64((a.X-west)*per), 20+float64((north-a.Y)*per)
		s.Put(chart.Dot{Class: "trap", X: x, Y: y, R: 3, Title: names[i].Site + " " + names[i].Trap})
		if i == 0 || names[i-1].Site != names[i].Site {
			s.Put(chart.Words{Class: "k", X: x + 6, Y: y - 5, Text: names[i].Site})
		}
	}
	step := roundMetres((width - 40) / 4 / per)
	s.Put(
		chart.Line{Class: "line", Points: []chart.Point{{X: 20, Y: s.Height - 12}, {X: 20 + float64(step*per), Y: s.Height - 12}}},
		chart.Words{X: 20, Y: s.Height - 18, Text: strconv.FormatFloat(step, 'f', -1, 64) + " m"},
		chart.Words{Class: "k", X: width - 14, Y: 18, Text: "N ↑", Place: chart.UpTo},
	)
	return s
}

// roundMetres is the largest 1, 2 or 5 times a power of ten within a length.
func roundMetres(m float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(m)))
	for _, times := range []float64{5, 2} {
		if times*power <= m {
			return times * power
		}
	}
	return power
}
