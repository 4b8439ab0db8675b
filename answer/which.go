package answer

import (
	"fmt"
	"slices"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Which says which captures a question is about. What is empty is not asked
// for: no site is every site, no trip every trip, no sex both.
type Which struct {
	Site    string     `json:"site,omitempty"`
	Species string     `json:"species"`
	Trips   []string   `json:"trips,omitempty"`
	Sex     record.Sex `json:"sex,omitempty"`
}

// At reports a site that is asked for; Site may name several, with commas between.
func (q Which) At(site string) bool { return q.Site == "" || slices.Contains(q.Sites(), site) }

// Sites are those asked for by name; none for every site.
func (q Which) Sites() []string {
	if q.Site == "" {
		return nil
	}
	return strings.Split(q.Site, ",")
}

// Says names the captures asked for: "RW at K, females, trips 2025-05 to 2026-11".
func (q Which) Says() string {
	says := q.Species
	if q.Site != "" {
		says += " at " + q.Site
	}
	if q.Sex != "" {
		says += ", " + string(q.Sex) + "s"
	}
	switch n := len(q.Trips); {
	case n == 1:
		says += ", trip " + q.Trips[0]
	case n > 1:
		says += fmt.Sprintf(", %d trips (%s to %s)", n, q.Trips[0], q.Trips[n-1])
	}
	return says
}

// TooThin is a question that the data do not carry: how many there are of
// what, and how many would be enough.
type TooThin struct {
	For  string // what was asked: "a slope of mass on length"
	Have int
	Need int
	Of   string // what is counted: "animals with mass and length"
}

func (t *TooThin) Error() string {
	return fmt.Sprintf("too thin for %s: %s; needs at least %d", t.For, so(t.Have, t.Of), t.Need)
}

// so writes a number of things: "1 night", "3 animals with mass".
func so(n int, of string) string {
	first, rest, _ := strings.Cut(of, " ")
	if n == 1 {
		first = strings.TrimSuffix(first, "s")
	}
	return strings.TrimSpace(fmt.Sprintf("%d %s %s", n, first, rest))
}

// thin says that there are too few, "" where there are enough.
func thin(what string, have, need int, of string) string {
	if have >= need {
		return ""
	}
	return (&TooThin{For: what, Have: have, Need: need, Of: of}).Error()
}

// asked is the captures of a question, with what is known of their animals.
type asked struct {
	*register.Register
	which    Which
	sheet    *protocol.Sheet
	captures []*register.Capture // by night
	trips    []string            // those asked for, in order
	place    map[string]int      // of each trip among them
	sexes    map[uuid.UUID]record.Sex
	spaced   map[string]float64 // usual distance between traps, by site
	left     leftOut
}

// ask gathers the captures of a question. Trips outside the normal protocol,
// captures without a trip and animals whose sex is not the one asked for, or
// not agreed on, are left out; the last two with the reason.
func ask(r *register.Register, q Which) *asked {
	a := &asked{Register: r, which: q, place: map[string]int{}, sexes: map[uuid.UUID]record.Sex{}}
	a.sheet, _ = r.Protocol().Sheet(q.Species)
	if a.sheet == nil {
		a.sheet = &protocol.Sheet{Code: q.Species}
	}
	trips, outside := parted(r)
	for _, t := range trips {
		if id := t.Trip.Trip; len(q.Trips) == 0 || slices.Contains(q.Trips, id) {
			a.place[id] = len(a.trips)
			a.trips = append(a.trips, id)
		}
	}
	for _, c := range r.Captures() {
		if c.Species() == a.sheet.Code && q.At(c.At.Site) {
			a.take(c, outside)
		}
	}
	return a
}

func (a *asked) take(c *register.Capture, outside map[string]string) {
	_, in := a.place[c.At.Trip]
	sex := a.sex(c.Animal)
	switch {
	case c.At.Trip == "":
		a.left.capture(c, "no trip is written for the capture")
	case outside[c.At.Trip] != "":
		a.left.capture(c, outside[c.At.Trip])
	case !in:
	case a.which.Sex != "" && sex == record.SexUnknown:
		a.left.capture(c, "the sex is not written, or written both ways")
	case a.which.Sex == "" || a.which.Sex == sex:
		a.captures = append(a.captures, c)
	}
}

// sex is the sex that every capture of an animal agrees on; unknown where none
// states one, or two differ.
func (a *asked) sex(animal uuid.UUID) record.Sex {
	if sex, told := a.sexes[animal]; told {
		return sex
	}
	sex := record.SexUnknown
	whole, _ := a.Animal(animal)
	for _, c := range whole.Captures {
		if c.Handled == nil || c.Handled.Sex != record.Female && c.Handled.Sex != record.Male {
			continue
		}
		if sex != record.SexUnknown && sex != c.Handled.Sex {
			sex = record.SexUnknown
			break
		}
		sex = c.Handled.Sex
	}
	a.sexes[animal] = sex
	return sex
}

// byAnimal gives the captures of each animal in turn, by its first capture.
func (a *asked) byAnimal() [][]*register.Capture {
	at := map[uuid.UUID]int{}
	var out [][]*register.Capture
	for _, c := range a.captures {
		i, known := at[c.Animal]
		if !known {
			i = len(out)
			at[c.Animal] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], c)
	}
	return out
}

// stage is the life stage written at a capture, or for a brief look at an
// animal the last one written on the same trip.
func stageAt(captures []*register.Capture, c *register.Capture) string {
	if c.Handled != nil && c.Handled.Stage != "" {
		return c.Handled.Stage
	}
	stage := ""
	for _, o := range captures {
		if o.At.Trip == c.At.Trip && o.Handled != nil && o.Handled.Stage != "" && o.Compare(c) < 0 {
			stage = o.Handled.Stage
		}
	}
	return stage
}

// grown reports a stage that is adult on the sheet; unwritten tells a stage
// that nobody wrote.
func (a *asked) grown(stage string) (grown, unwritten bool) {
	i := a.sheet.StageRank(stage)
	return i >= 0 && a.sheet.Stages[i].Adult, stage == ""
}

// name is what people call an animal: its mark, or else the start of its id.
func (a *asked) name(animal uuid.UUID) string {
	if whole, ok := a.Animal(animal); ok {
		if k, ok := a.CalledBy(whole); ok {
			return k.Text
		}
	}
	return "unmarked " + strings.ToUpper(animal.String()[len(animal.String())-6:])
}
