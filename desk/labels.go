package desk

import (
	"dawnround/mark"
	"dawnround/record"
	"dawnround/register"
)

// LabelCount is how far a reserved series of labels is used up.
type LabelCount struct {
	Series  string   `json:"series"` // "not reserved" for labels of no series
	For     string   `json:"for,omitempty"`
	Tonight int      `json:"tonight"`
	Used    int      `json:"used"`
	Of      int      `json:"of,omitempty"`
	Twice   []string `json:"twice,omitempty"`
}

// labelCounts compares labels used with those reserved.
func (w words) labelCounts(captures []*register.Capture) []LabelCount {
	tonight := map[string]int{}
	for _, c := range captures {
		if c.Handled != nil {
			for _, s := range c.Handled.Samples {
				tonight[s.Label]++
			}
		}
	}
	delete(tonight, "")
	var out []LabelCount
	for _, l := range w.Labels() {
		s, err := mark.ParseSeries(l.Series)
		if err != nil {
			continue
		}
		out = append(out, w.countSeries(s, l, tonight))
	}
	rest := LabelCount{Series: "not reserved"}
	for _, label := range sorted(tonight) {
		rest.count(label, tonight[label], len(w.LabelUse(label)))
	}
	if rest.Tonight > 0 {
		out = append(out, rest)
	}
	return out
}

// countSeries counts one series and takes its labels off tonight's.
func (w words) countSeries(s mark.Series, l record.Labels, tonight map[string]int) LabelCount {
	out := LabelCount{Series: l.Series, For: joined(", ", l.Sample, l.Team), Of: int(s.Last - s.First + 1)}
	for label, ok := s.Next(""); ok; label, ok = s.Next(label) {
		if used := len(w.LabelUse(label)); used > 0 {
			out.count(label, tonight[label], used)
		}
		delete(tonight, label)
	}
	return out
}

func (l *LabelCount) count(label string, tonight, used int) {
	l.Tonight += tonight
	l.Used++
	if used > 1 {
		l.Twice = append(l.Twice, label)
	}
}
