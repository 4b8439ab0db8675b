package desk

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// TripPage is the summary of one trip, as it leaves the house the same night.
type TripPage struct {
	Trip      string        `json:"trip"`
	Name      string        `json:"name"`
	Sites     []string      `json:"sites"`
	Nights    string        `json:"nights"`
	Leader    string        `json:"leader,omitempty"`
	Approvals []string      `json:"approvals,omitempty"`
	Outside   string        `json:"outside,omitempty"`
	Crew      []string      `json:"crew"`
	Weather   []WeatherLine `json:"weather,omitempty"`
	Sentence  string        `json:"sentence"`
	Effort    []EffortRow   `json:"effort"`
	Total     EffortRow     `json:"total"`
	Caught    []CaughtRow   `json:"caught"`
	Animals   []TripAnimal  `json:"animals"`
	Welfare   Welfare       `json:"welfare"`
	Samples   []SampleCount `json:"samples,omitempty"`
	Photos    []Photo       `json:"photos,omitempty"` // of racks and samples
	ToDo      []Task        `json:"to_do,omitempty"`
	Unsampled []Link        `json:"unsampled,omitempty"`
	Quality   Quality       `json:"quality"`
	State     string        `json:"state"`
	Made      string        `json:"made"`
	Locked    *Locked       `json:"locked,omitempty"`

	traps []record.Trap
}

// CaughtRow counts captures of one kind of animal.
type CaughtRow struct {
	Species  string `json:"species"`
	Status   string `json:"status"`
	Sex      string `json:"sex"`
	Stage    string `json:"stage"`
	Captures int    `json:"captures"`
	Animals  int    `json:"animals"`
}

// SampleCount is how many of a kind were taken.
type SampleCount struct {
	Kind   string   `json:"kind"`
	Labels []string `json:"labels"`
}

// Quality is what a reader must know of the data behind the page.
type Quality struct {
	Captures    int `json:"captures"`
	Others      int `json:"others"`  // of them, of species that are not studied
	Flagged     int `json:"flagged"` // captures with an open stop or look
	Over        int `json:"over_a_limit"`
	Stops       int `json:"stops"`
	Looks       int `json:"looks"`
	Settled     int `json:"settled"`
	Corrections int `json:"corrections"`
	Strikes     int `json:"strikes"`
	Disputes    int `json:"disputes"`
}

func (d *desk) trip(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, func(words words) shown {
		t, ok := words.trip(r.PathValue("id"))
		if !ok {
			return shown{}
		}
		return shown{"Trip " + t.Name, page.Trip, t, func(f page.Frame) templ.Component { return tripPage(f, t) }}
	})
}

// TripSummary is the page of one trip; false where there is none of that id.
func TripSummary(r *register.Register, trip string, now time.Time) (TripPage, bool) {
	return wordsOf(r, now).trip(trip)
}

func (w words) trip(id string) (TripPage, bool) {
	t, ok := w.Trip(id)
	if !ok {
		return TripPage{}, false
	}
	p := TripPage{
		Trip: id, Name: cmp.Or(t.Name, id), Sites: slices.Clone(t.Sites), Nights: nightsOf(t), Leader: t.Leader, Approvals: t.Approvals,
		Outside: t.Outside, State: w.State(), Made: w.now.Format("2 January 2006 15:04 MST"),
		Locked: w.locked(id),
	}
	var captures []*register.Capture
	for _, sn := range t.Nights {
		caught := slices.DeleteFunc(w.CapturesOn(sn.Site, sn.Night), func(c *register.Capture) bool { return c.At.Trip != id })
		captures = append(captures, caught...)
		n := w.NightAt(sn.Site, sn.Night)
		p.Effort = append(p.Effort, w.effortRow(id, n, caught))
		p.Weather = addWeather(p.Weather, sn.Night, n.Weather)
		p.Welfare.clearing(w, n)
		if !slices.Contains(p.Sites, sn.Site) {
			p.Sites = append(p.Sites, sn.Site)
		}
	}
	p.Effort = append(p.Effort, w.undated(id)...)
	slices.SortFunc(p.Sites, record.Naturally)
	slices.SortStableFunc(p.Effort, func(a, b EffortRow) int {
		return cmp.Or(a.Night.Compare(b.Night), record.Naturally(a.Site, b.Site))
	})
	p.Total = total(p.Effort)
	p.Caught = w.caught(captures)
	p.Animals, p.Unsampled = w.tripAnimals(captures)
	p.Welfare.animals(captures, w.bycatch)
	p.Samples = samplesOf(captures)
	p.Photos = w.photosOfSamples(t.Trip)
	p.Quality = w.quality(captures)
	p.Crew = w.crewOf(captures)
	p.ToDo = w.tripTasks(id, captures)
	for _, s := range p.Sites {
		p.traps = append(p.traps, w.Traps(s, t.First)...)
	}
	p.Sentence = w.tripSentence(p, captures)
	return p, true
}

// caught counts captures by species, status, sex and stage.
func (w words) caught(captures []*register.Capture) []CaughtRow {
	rows := map[CaughtRow]int{}
	animals := map[CaughtRow]map[uuid.UUID]bool{}
	for _, c := range captures {
		row := CaughtRow{Species: cmp.Or(w.species(c.Species()), "not told")}
		if h := c.Handled; h != nil {
			row.Status, row.Sex, row.Stage = string(h.Status), string(h.Sex), h.Stage
			if row.Sex == "" || row.Stage == "" {
				sex, stage := w.lifeAt(c)
				row.Sex, row.Stage = cmp.Or(row.Sex, sex), cmp.Or(row.Stage, stage)
			}
		}
		rows[row]++
		if animals[row] == nil {
			animals[row] = map[uuid.UUID]bool{}
		}
		animals[row][c.Animal] = true
	}
	var out []CaughtRow
	for row, n := range rows {
		of := len(animals[row])
		row.Captures, row.Animals = n, of
		out = append(out, row)
	}
	slices.SortFunc(out, func(a, b CaughtRow) int {
		return cmp.Or(strings.Compare(a.Species, b.Species), statusRank(a.Status)-statusRank(b.Status), strings.Compare(a.Sex, b.Sex), strings.Compare(a.Stage, b.Stage))
	})
	return out
}

// lifeAt is the sex and stage last told of a capture's animal, for a retrap
// that was only weighed and let go.
func (w words) lifeAt(c *register.Capture) (sex, stage string) {
	a, ok := w.Animal(c.ID())
	if !ok {
		return "", ""
	}
	for _, o := range a.Captures {
		if o.Handled != nil {
			sex, stage = cmp.Or(string(o.Handled.Sex), sex), cmp.Or(o.Handled.Stage, stage)
		}
		if o.ID() == c.ID() {
			break
		}
	}
	return sex, stage
}

// nightsOf is from when to when a trip was: as stated, else as its lines have
// it.
func nightsOf(t register.Trip) string {
	first, last := t.First, t.Last
	for _, sn := range t.Nights {
		first = cmp.Or(first, sn.Night)
		if t.Last.IsZero() && !sn.Night.Before(last) {
			last = sn.Night
		}
	}
	return nights(first, last)
}

func statusRank(s string) int {
	return slices.Index([]string{"new", "recapture", "retrap", "dead", s}, s) // not stated comes last
}

func samplesOf(captures []*register.Capture) []SampleCount {
	labels := map[string][]string{}
	for _, c := range captures {
		if c.Handled != nil {
			for _, s := range c.Handled.Samples {
				labels[s.Kind] = append(labels[s.Kind], cmp.Or(s.Label, "no label"))
			}
		}
	}
	var out []SampleCount
	for _, kind := range sorted(labels) {
		out = append(out, SampleCount{kind, labels[kind]})
	}
	return out
}

func (w words) quality(captures []*register.Capture) Quality {
	q := Quality{Captures: len(captures)}
	for _, c := range captures {
		if w.bycatch(c) {
			q.Others++
		}
		flagged := false
		for _, f := range w.flagsOf(c.ID()) {
			switch {
			case f.Settled:
				q.Settled++
			case f.Grade == record.Stop && f.Limit:
				q.Over++
				flagged = true
			case f.Grade == record.Stop:
				q.Stops++
				flagged = true
			case f.Grade == record.Look:
				q.Looks++
				flagged = true
			}
		}
		if flagged {
			q.Flagged++
		}
		q.Disputes += len(c.Disagree)
		for _, id := range c.Lines {
			q.Corrections += len(w.Corrected(id))
		}
	}
	return q
}

// crewOf names the people whose initials stand in the captures, with roles.
func (w words) crewOf(captures []*register.Capture) []string {
	seen := map[string]bool{}
	for _, c := range captures {
		for _, who := range c.Who {
			seen[who] = true
		}
		if c.Handled != nil {
			seen[c.Handled.Handler], seen[c.Handled.Scribe] = true, true
		}
	}
	delete(seen, "")
	role := map[string]string{}
	for _, p := range w.People() {
		role[p.Initials] = p.Role
	}
	var out []string
	for _, who := range sorted(seen) {
		out = append(out, spaced(who, parens(role[who])))
	}
	return out
}

func parens(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
}

// tripTasks are the things to do about a trip's animals and the trip itself.
func (w words) tripTasks(id string, captures []*register.Capture) []Task {
	mine := map[uuid.UUID]bool{}
	for _, c := range captures {
		mine[c.Animal] = true
	}
	var out []Task
	for _, t := range w.FollowUps() {
		on, err := uuid.Parse(t.On)
		animal, ok := w.AnimalOf(on)
		if t.Done == nil && (t.On == "trip "+id || strings.HasPrefix(t.On, "trap ") || err == nil && ok && mine[animal]) {
			out = append(out, w.task(t))
		}
	}
	return out
}

// tripSentence drafts the trip in one plain sentence.
func (w words) tripSentence(p TripPage, captures []*register.Capture) string {
	handled, fresh := map[uuid.UUID]bool{}, map[uuid.UUID]bool{}
	times, deaths, waiting, told := 0, 0, 0, false
	for _, c := range captures {
		if c.Released != nil && c.Released.Fate.Ends() || c.Handled != nil && c.Handled.Status == record.FoundDead {
			deaths++
		}
		if w.bycatch(c) {
			continue
		}
		if c.Handled == nil {
			waiting++
			continue
		}
		handled[c.Animal] = true
		times++
		told = told || c.Handled.Status != record.StatusUnknown
		if c.Handled.Status == record.New {
			fresh[c.Animal] = true
		}
	}
	effort := "With effort not known"
	if p.Total.Set > 0 {
		effort = "In " + page.Count(p.Total.Set, "trap-night", "trap-nights")
	}
	out := []string{fmt.Sprintf("%s we handled %s %s", effort, page.Count(len(handled), "animal", "animals"), page.Count(times, "time", "times"))}
	if told {
		out = append(out, fmt.Sprintf("%d %s new", len(fresh), plural(len(fresh), "was", "were")))
	} else if times > 0 {
		out = append(out, "which were new is not written")
	}
	if waiting > 0 {
		out = append(out, page.Count(waiting, "animal was caught and not processed", "animals were caught and not processed"))
	}
	if examined, with := w.breeding(captures); examined > 0 {
		out = append(out, fmt.Sprintf("%d of %d adult females examined had young", with, examined))
	}
	out = append(out, map[bool]string{true: "no deaths", false: page.Count(deaths, "animal died", "animals died")}[deaths == 0])
	for _, i := range p.Welfare.Incidents {
		out = append(out, strings.ToLower(i.Says[:1])+i.Says[1:])
	}
	return strings.Join(out, "; ") + "."
}

// breeding counts the adult females whose pouch or nest was looked into, and
// those that had young. Blank is not "none".
func (w words) breeding(captures []*register.Capture) (examined, with int) {
	females := map[uuid.UUID]bool{} // examined, and whether she had young
	for _, c := range captures {
		h := c.Handled
		if h == nil || h.Sex != record.Female || !adult(w.sheet(h.Species), h.Stage) {
			continue
		}
		if looked, had := w.looked(c); looked {
			females[c.Animal] = females[c.Animal] || had
		}
	}
	for _, had := range females {
		if had {
			with++
		}
	}
	return len(females), with
}

// Text writes the summary for a terminal.
func (p TripPage) Text(out io.Writer) {
	fmt.Fprintf(out, "%s, %s, %s\n%s\n\n", p.Name, traps(p.Sites), p.Nights, p.Sentence)
	fmt.Fprintf(out, "%-8s %-11s %5s %7s %6s %8s %8s %9s %7s\n", "site", "night", "set", "target", "other", "sprung", "disabled", "corrected", "per 100")
	for _, e := range append(slices.Clone(p.Effort), p.Total) {
		fmt.Fprintf(out, "%-8s %-11s %5s %7d %6d %8s %8s %9s %7s\n", e.Site, e.nightWords(), e.setWords(), e.Target, e.Bycatch, e.sprungWords(e.Sprung), e.sprungWords(e.Disabled), e.correctedWords(), e.successWords())
	}
	fmt.Fprintln(out)
	for _, c := range p.Caught {
		fmt.Fprintf(out, "%-20s %-10s %-8s %-12s %s of %d\n", c.Species, c.Status, c.Sex, c.Stage, page.Count(c.Captures, "capture", "captures"), c.Animals)
	}
	fmt.Fprintln(out)
	for _, a := range p.Animals {
		fmt.Fprintf(out, "%-10s %s\n", a.Name, joined("; ", spaced(a.Sex, a.Stage), a.Status, spaced(a.Mass, map[bool]string{true: "g"}[a.Mass != ""], parens(a.Change)), a.Bones, a.Young, a.Samples, a.Notes, strings.Join(a.Unusual, " ")))
	}
	fmt.Fprintln(out)
	for _, s := range p.Welfare.says() {
		fmt.Fprintln(out, s)
	}
	fmt.Fprintf(out, "\n%s\nstate %s, made %s\n", p.Quality.says(), p.State, p.Made)
}

// says is the data's quality in a sentence.
func (q Quality) says() string {
	of := ""
	if q.Others > 0 {
		of = fmt.Sprintf(" (%d of other species)", q.Others)
	}
	return fmt.Sprintf("%s%s, %d with an open flag (%d cannot be, %d over a limit, %d to look at), all included in the numbers above; %d flags settled; %s; %s.",
		page.Count(q.Captures, "capture", "captures"), of, q.Flagged, q.Stops, q.Over, q.Looks, q.Settled,
		page.Count(q.Corrections, "correction", "corrections"), page.Count(q.Disputes, "disagreement open", "disagreements open"))
}
