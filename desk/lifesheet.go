package desk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"dawnround/chart"
	"dawnround/page"
	"dawnround/record"
	"dawnround/report"
)

// sharedSays stands on every life that leaves the programme.
const sharedSays = "Places are generalised to the site: no traps, no coordinates."

// Shared is the life as it leaves the programme: places by site only. Notes, why a
// value is in doubt, and evidence that names a trap stay behind. What was found
// goes out as it was written: whoever gives the file away reads it first.
func (l Life) Shared() Life {
	captures := make([]CaptureRow, len(l.Captures))
	for i, c := range l.Captures {
		l.Sentence = strings.ReplaceAll(l.Sentence, " at "+c.Place+",", " at "+c.Site+",")
		l.Sentence = strings.ReplaceAll(l.Sentence, " at "+c.Place+".", " at "+c.Site+".")
		c.Place, c.Notes = c.Site, ""
		captures[i] = c
	}
	l.Series = slices.Clone(l.Series)
	for i, one := range l.Series {
		l.Series[i].Points = slices.Clone(one.Points)
		for j, p := range one.Points {
			if p.Doubt != "" {
				l.Series[i].Points[j].Doubt = "in doubt"
			}
		}
	}
	l.Captures, l.Notes, l.Candidates, l.Identity = captures, nil, nil, nil
	l.Mothers = slices.Clone(l.Mothers)
	for i, m := range l.Mothers {
		l.Sentence = strings.Replace(l.Sentence, joined(": ", m.Sure, m.Evidence), joined(": ", m.Sure, m.By), 1)
		l.Mothers[i].Evidence = m.By
	}
	return l
}

// LifePaper is how the classes of a life look where no page says so.
const LifePaper = `
.stem{stroke:#777;fill:none}.stem.asked{stroke:#9a4a00;stroke-width:2}.caught{fill:#111;stroke:#fff}.caught.asked{fill:#fff;stroke:#9a4a00;stroke-width:3}
.inrow{fill:#1f4e79;opacity:.4}.born{fill:#dce6ee;stroke:#777}.young{fill:#4b6b1e}.died{stroke:#a11;stroke-width:4}.expects{stroke:#4b6b1e;stroke-dasharray:6 4;fill:none}`

// Picture is the life line with growth beneath, as one figure.
func (l Life) Picture() *chart.Scene {
	const width, head = 1040.0, 26.0
	line := lifeLine(l, width)
	s := &chart.Scene{Width: width, Class: "life", Title: "Life of " + l.Name, Desc: line.Desc}
	s.Put(chart.Words{Class: "head", X: 8, Y: 18, Text: joined(", ", l.Name, l.Sex, l.Species)})
	s.Place(line, 0, head)
	y := head + line.Height + 20
	for i, one := range l.Series {
		x := float64(i%2) * (width/2 + 10)
		s.Put(chart.Words{Class: "head", X: x + 8, Y: y, Text: one.Name + ", " + one.Unit})
		series := seriesScene(l, one, width/2-10)
		s.Place(series, x, y+4)
		if i%2 == 1 || i == len(l.Series)-1 {
			y += series.Height + 30
		}
	}
	s.Put(chart.Words{Class: "small", X: 8, Y: y, Text: sharedSays + " Hollow: in doubt. Band: one reading expected, 95 %. Shaded in mass: with young."})
	s.Height = y + 12
	return s
}

// Sheet is the life on one sheet of paper. What there is no room for is folded,
// the earliest captures first.
func (l Life) Sheet() report.Page {
	p := report.Page{Above: joined(" · ", l.Species, traps(l.Sites)), Title: joined(", ", l.Name, l.Sex), Lede: l.Sentence, Foot: sharedSays}
	for _, w := range l.Warnings {
		p.Notes = append(p.Notes, w.Says)
	}
	p.Figures = append(p.Figures, report.Figure{Scene: lifeLine(l, 1040), Says: lifeSays})
	for _, one := range l.Series[:min(len(l.Series), sheetSeries)] {
		p.Figures = append(p.Figures, report.Figure{Scene: seriesScene(l, one, 500), Says: one.caption(len(l.Young) > 0), Narrow: true})
	}
	if n := len(l.Series) - sheetSeries; n > 0 {
		p.Foot += " " + page.Count(n, "more trait is", "more traits are") + " in the notebook."
	}
	kin := report.Table{Title: "Kin", Head: []string{"who", "is its", "grade", "by", "what became of it"}}
	for _, m := range l.Mothers {
		kin.Rows = append(kin.Rows, []string{m.Name, "mother", m.Sure, m.By, ""})
	}
	for i, c := range l.Young {
		kin.Rows = append(kin.Rows, []string{fmt.Sprintf("%d: %s", i+1, c.Name), "young", c.Sure, c.By, c.Fate})
	}
	p.Tables = append(p.Tables, kin, l.capturesOnPaper())
	return p
}

// sheetSeries and sheetCaptures are how many there is room for on one sheet.
const (
	sheetSeries   = 4
	sheetCaptures = 14
)

const lifeSays = "From birth window or first night to the last night known. Dots: captures, hollow where a flag is open; a cross: dead. Above: marks, samples, findings, moves. Below: young, while in her row."

// capturesOnPaper are the latest captures; how many earlier ones there are
// stands in the title.
func (l Life) capturesOnPaper() report.Table {
	t := report.Table{Title: "Captures", Head: []string{"night", "site", "status", "stage", "mass, g"}}
	for _, s := range l.measured() {
		t.Head = append(t.Head, joined(", ", s.Name, s.Unit))
	}
	t.Head = append(t.Head, "signs", "fate")
	if n := l.folded(); n > 0 {
		t.Title += ", the latest " + strconv.Itoa(len(l.Captures)-n) + " (" + strconv.Itoa(n) + " earlier ones are folded)"
	}
	for _, c := range l.Captures[l.folded():] {
		row := append([]string{short(c.Night), c.Site, c.Status, c.Stage, c.Mass}, c.Values...)
		t.Rows = append(t.Rows, append(row, joined(", ", c.Signs, youngCount(c.Young)), c.Fate))
	}
	return t
}

// places are the traps at which it was caught, by site, the most used first.
func (l Life) places() []string {
	times, nights := map[string]int{}, map[string][2]record.Night{}
	var out []string
	for _, c := range l.Captures {
		if times[c.Place]++; times[c.Place] == 1 {
			out = append(out, c.Place)
			nights[c.Place] = [2]record.Night{c.Night, c.Night}
		}
		nights[c.Place] = [2]record.Night{nights[c.Place][0], c.Night}
	}
	slices.SortStableFunc(out, func(a, b string) int { return times[b] - times[a] })
	for i, p := range out {
		first, last := short(nights[p][0]), short(nights[p][1])
		out[i] = p + ": " + page.Count(times[p], "capture", "captures") + ", " + first
		if first != last {
			out[i] += " to " + last
		}
	}
	return out
}

// folded is how many captures a printed sheet leaves out, the earliest.
func (l Life) folded() int { return max(0, len(l.Captures)-sheetCaptures) }
