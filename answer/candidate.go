package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnround/growth"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Candidacy is an animal caught for the first time before it was grown, and the
// unmarked young that it could be.
type Candidacy struct {
	Animal  uuid.UUID    `json:"animal"`
	Name    string       `json:"name"`
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Stage   string       `json:"stage"`
	Could   []Candidate  `json:"could_be"` // the best first
	No      int          `json:"ruled_out"`
}

// Candidate is an unmarked young that an animal could be.
type Candidate struct {
	Young    uuid.UUID `json:"young"` // as an animal
	Mother   string    `json:"mother"`
	MotherID uuid.UUID `json:"mother_id"`
	Days     int       `json:"days"`              // since it was last seen as a young
	AgeDays  [2]int    `json:"age_days"`          // it would be now, at least and at most; 0: not bounded
	Metres   Number    `json:"metres"`            // from where its mother was last caught
	For      []string  `json:"for,omitempty"`     // what speaks for it
	Against  []string  `json:"against,omitempty"` // and against
	Fit      string    `json:"fit"`               // good, fair or poor
	Captures uuid.UUID `json:"mothers_capture"`   // the last that shows it
	Sizes    int       `json:"sizes_compared"`    // bones read both times
	score    int
	dated    bool // its age was held against when young leave the pouch
}

// candidacies are of the animals first caught before they were grown that no
// row is known of: each with the young, of the same species, that were never
// caught themselves.
func (a *asked) candidacies(life *growth.PouchLife) []Candidacy {
	out := []Candidacy{}
	young := a.unmarkedYoung()
	for _, captures := range a.byAnimal() {
		c := captures[0]
		whole, _ := a.Animal(c.Animal)
		i := -1
		if c.Handled != nil {
			i = a.sheet.StageRank(c.Handled.Stage)
		}
		if i < 0 || a.sheet.Stages[i].Adult || len(whole.Rows) > 0 || whole.Captures[0] != c {
			continue
		}
		one := Candidacy{Animal: c.Animal, Name: a.name(c.Animal), Capture: c.ID(), Night: c.At.Night, Stage: c.Handled.Stage, Could: []Candidate{}}
		for _, y := range young {
			if k, ok := a.compare(c, y, life); ok {
				one.Could = append(one.Could, k)
			} else {
				one.No++
			}
		}
		slices.SortStableFunc(one.Could, func(x, y Candidate) int {
			return cmp.Or(-cmp.Compare(x.score, y.score), cmp.Compare(x.Days, y.Days), cmp.Compare(x.Metres, y.Metres))
		})
		out = append(out, one)
	}
	return out
}

// unmarkedYoung are the young of the species that were never caught by
// themselves, of every site and trip within the protocol.
func (a *asked) unmarkedYoung() []*register.Animal {
	var out []*register.Animal
	for _, id := range a.AnimalIDs() {
		if whole, _ := a.Animal(id); len(whole.Rows) > 0 && len(whole.Captures) == 0 && whole.Rows[0].Mother.Species() == a.sheet.Code {
			out = append(out, whole)
		}
	}
	return out
}

// grownByExits is by how many times the age at pouch exit an animal is grown:
// about 1 in the woylie, 3 in rock-wallabies, 4 in the mountain brushtail possum
// (ages of exit and maturity in the trade handbook of growth, section 4).
const grownByExits = 4

// compare holds a new animal against a young; ok is false where it cannot be
// that young: seen with its mother on that night or later, too young to be out
// or too old not to be grown, of the other sex, of another site, or larger then
// than now by more than two readings may differ.
func (a *asked) compare(c *register.Capture, y *register.Animal, life *growth.PouchLife) (Candidate, bool) {
	last := y.Rows[len(y.Rows)-1]
	k := Candidate{Young: y.ID, MotherID: last.Mother.Animal, Mother: a.name(last.Mother.Animal), Days: c.At.Night.Days(last.Mother.At.Night),
		Metres: Number(math.NaN()), Captures: last.Mother.ID()}
	if k.Days <= 0 || last.Mother.At.Site != c.At.Site || last.Where == "gone" {
		return k, false
	}
	sex := record.SexUnknown
	for _, r := range y.Rows {
		sex = cmp.Or(r.Sex, sex)
	}
	switch own := a.sex(c.Animal); {
	case sex == record.Female || sex == record.Male:
		if own != record.SexUnknown && own != sex {
			return k, false
		}
		if own == sex {
			k.speak(fmt.Sprintf("%s, as the young was", sex), 2)
		}
	default:
		k.Against = append(k.Against, "the sex of the young was not told")
	}
	if !a.sizes(&k, c, y) {
		return k, false
	}
	if !a.ages(&k, c, y, life) {
		return k, false
	}
	if m, ok := a.apart(c, last.Mother); ok {
		k.Metres = Number(m)
		if m <= 3*a.spacing(c.At.Site) {
			k.speak(fmt.Sprintf("%.0f m from where its mother was", m), 2)
		} else {
			k.Against = append(k.Against, fmt.Sprintf("%.0f m from where its mother was", m))
		}
	}
	k.Fit = map[bool]string{true: "good", false: "fair"}[k.score >= 5]
	if k.score < 3 {
		k.Fit = "poor"
	}
	return k, true
}

// speak adds what speaks for a candidate.
func (k *Candidate) speak(what string, score int) {
	k.For = append(k.For, what)
	k.score += score
}

// sizes compares the bones read both times; false where one is smaller now.
func (a *asked) sizes(k *Candidate, c *register.Capture, y *register.Animal) bool {
	was := map[string]float64{}
	for _, r := range y.Rows {
		for key, m := range r.Measures {
			if m.Is() == record.Seen {
				was[key] = m.Counts().Value()
			}
		}
	}
	for key, v := range was {
		t, ok := a.sheet.Trait(key)
		now, read := c.Handled.Measures[key]
		if !ok || t.Of == protocol.OfYoung || !t.Bone || !read || now.Is() != record.Seen {
			continue
		}
		limit, _ := t.BetweenVisits()
		if now.Counts().Value() < v-limit {
			return false
		}
		k.Sizes++
	}
	if k.Sizes > 0 {
		k.speak(map[bool]string{true: "a bone larger than it was", false: fmt.Sprintf("%d bones larger than they were", k.Sizes)}[k.Sizes == 1], 1)
	} else {
		k.Against = append(k.Against, "no bone was read both times")
	}
	return true
}

// ages bounds how old the young would be now, and holds that against the age at
// which young of the species leave the pouch, where it is known.
func (a *asked) ages(k *Candidate, c *register.Capture, y *register.Animal, life *growth.PouchLife) bool {
	first, last := y.Rows[0].Mother, y.Rows[len(y.Rows)-1]
	k.AgeDays[0] = c.At.Night.Days(first.At.Night)
	whole, _ := a.Animal(first.Animal)
	for _, o := range slices.Backward(whole.Captures) {
		if o.Handled == nil || !o.At.Night.Before(first.At.Night) {
			continue
		}
		if state, _ := a.pouch(o.Handled); state == pouchEmpty || state == pouchOccupied {
			k.AgeDays[1] = c.At.Night.Days(o.At.Night)
			break
		}
	}
	mothers := a.withMother(c.Handled.Stage)
	exit := exitDays(life)
	switch {
	case inPouch(last.Young) && k.Days <= sameDays && !mothers:
		return false
	case exit == 0:
		k.Against = append(k.Against, "at what age young leave the pouch is not known, so dates say little")
		return true
	case k.AgeDays[1] > 0 && k.AgeDays[1] < exit, k.AgeDays[0] > grownByExits*exit, mothers && k.AgeDays[0] > 2*exit:
		return false
	}
	k.dated = true
	k.speak("of an age at which it would be out and not yet grown", 1)
	return true
}
