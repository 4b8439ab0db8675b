package desk

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Welfare is what a trip asked of its animals.
type Welfare struct {
	Clearing    []Clearing    `json:"clearing"`
	TempLow     *float64      `json:"temp_low_c,omitempty"`
	TempHigh    *float64      `json:"temp_high_c,omitempty"`
	Handled     int           `json:"handled"` // captures with a start and an end
	Median      float64       `json:"handling_median_min"`
	P95         float64       `json:"handling_95_min"` // by nearest rank
	Longest     float64       `json:"handling_max_min"`
	NightsCount map[int]int   `json:"nights_per_animal"` // how many animals of studied species were caught on 1, 2, 3 … nights
	Others      int           `json:"others"`            // captures of other species
	Incidents   []IncidentRow `json:"incidents,omitempty"`
	Deaths      int           `json:"deaths"`
	People      int           `json:"people_hurt"` // a count; whose and how stays out of this record
}

// Clearing is the hours in which the traps of a site were cleared.
type Clearing struct {
	Site  string       `json:"site"`
	Night record.Night `json:"night"`
	First string       `json:"first"`
	Last  string       `json:"last"`
	Hours float64      `json:"hours"`
}

// IncidentRow is what went wrong for an animal.
type IncidentRow struct {
	Capture uuid.UUID `json:"capture"`
	Says    string    `json:"says"`
}

// clearing adds the hours and temperatures of one site and night.
func (f *Welfare) clearing(w words, n register.Night) {
	var first, last time.Time
	for _, c := range n.Checks {
		if c.At.IsZero() {
			continue
		}
		if first.IsZero() || c.At.Before(first) {
			first = c.At
		}
		if c.At.After(last) {
			last = c.At
		}
	}
	if !first.IsZero() {
		hours := math.Round(last.Sub(first).Hours()*10) / 10
		f.Clearing = append(f.Clearing, Clearing{n.Site, n.Night, w.clock(first, n.Night), w.clock(last, n.Night), hours})
	}
	for _, x := range n.Weather {
		if x.TempC == nil {
			continue
		}
		f.TempLow, f.TempHigh = lower(f.TempLow, x.TempC.Value()), higher(f.TempHigh, x.TempC.Value())
	}
}

// animals adds what the captures say; bycatch tells those that are not
// studied, which are counted apart.
func (f *Welfare) animals(captures []*register.Capture, bycatch func(*register.Capture) bool) {
	var minutes []float64
	nights := map[uuid.UUID]map[record.Night]bool{}
	for _, c := range captures {
		if bycatch(c) {
			f.Others++
		} else {
			if nights[c.Animal] == nil {
				nights[c.Animal] = map[record.Night]bool{}
			}
			nights[c.Animal][c.At.Night] = true
		}
		if c.Released != nil && c.Released.Fate.Ends() || c.Handled != nil && c.Handled.Status == record.FoundDead {
			f.Deaths++
		}
		if c.Handled == nil {
			continue
		}
		if m, ok := handling(c); ok {
			minutes = append(minutes, m)
		}
		for _, i := range c.Handled.Incidents {
			if strings.Contains(i.Kind, "person") {
				f.People++
				continue
			}
			f.Incidents = append(f.Incidents, IncidentRow{c.ID(), sentenceStart(joined(", ", i.Kind, i.Says, i.Aid, i.Outcome))})
		}
	}
	f.NightsCount = map[int]int{}
	for _, n := range nights {
		f.NightsCount[len(n)]++
	}
	f.minutes(minutes)
}

// handling is how long an animal was in the hand, in minutes: from the start
// of processing to release, else to the end of processing.
func handling(c *register.Capture) (float64, bool) {
	end := c.Handled.End
	if c.Released != nil && !c.Released.At.IsZero() {
		end = c.Released.At
	}
	if c.Handled.Start.IsZero() || end.IsZero() || end.Before(c.Handled.Start) {
		return 0, false
	}
	return end.Sub(c.Handled.Start).Minutes(), true
}

// minutes takes median, 95th percentile and longest by nearest rank, so that
// each is a time that was spent.
func (f *Welfare) minutes(list []float64) {
	f.Handled = len(list)
	if len(list) == 0 {
		return
	}
	slices.Sort(list)
	rank := func(p float64) float64 { return list[max(0, int(math.Ceil(p*float64(len(list))))-1)] }
	f.Median, f.P95, f.Longest = rank(0.5), rank(0.95), list[len(list)-1]
}

// says is the welfare of a trip in short lines.
func (f Welfare) says() []string {
	var out []string
	for _, c := range f.Clearing {
		out = append(out, fmt.Sprintf("Cleared %s, night of %s: %s–%s (%g h)", c.Site, short(c.Night), c.First, c.Last, c.Hours))
	}
	if f.TempLow != nil {
		out = append(out, "Air "+between(*f.TempLow, *f.TempHigh)+" °C")
	} else {
		out = append(out, "No temperature was written")
	}
	if f.Handled > 0 {
		out = append(out, fmt.Sprintf("In the hand: median %.0f min, 95 %% within %.0f, longest %.0f (%s timed)", f.Median, f.P95, f.Longest, page.Count(f.Handled, "capture", "captures")))
	} else {
		out = append(out, "No handling was timed")
	}
	out = append(out, "Nights per animal: "+f.nightsWords())
	if f.Others > 0 {
		out = append(out, "Other species: "+page.Count(f.Others, "capture", "captures"))
	}
	for _, i := range f.Incidents {
		out = append(out, i.Says)
	}
	if len(f.Incidents) == 0 {
		out = append(out, "No incidents were written")
	}
	return append(out, fmt.Sprintf("Deaths: %d", f.Deaths), fmt.Sprintf("People hurt: %d", f.People))
}

func (f Welfare) nightsWords() string {
	var keys []int
	for n := range f.NightsCount {
		keys = append(keys, n)
	}
	slices.SortFunc(keys, cmp.Compare)
	var out []string
	for _, n := range keys {
		out = append(out, fmt.Sprintf("%s on %s", page.Count(f.NightsCount[n], "animal", "animals"), page.Count(n, "night", "nights")))
	}
	return cmp.Or(strings.Join(out, ", "), "none caught")
}
