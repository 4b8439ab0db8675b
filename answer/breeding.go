package answer

import (
	"cmp"
	"fmt"
	"slices"

	"dawnround/growth"
	"dawnround/proportion"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// shareFemales is how many females it takes for a share with its interval
// (common practice); below, the count alone.
const shareFemales = 5

// Breeding is what pouches, teats and young tell of breeding.
type Breeding struct {
	State string `json:"state"`
	Which
	Adults     string            `json:"adults"` // who is taken for adult
	Trips      []BreedingTrip    `json:"trips"`
	Months     []BreedingMonth   `json:"months"`
	Litters    []Litter          `json:"litters"`
	Rate       Births            `json:"births"`
	Intervals  []BirthInterval   `json:"intervals"`
	First      []FirstBreeding   `json:"first_breeding"`
	Young      []YoungAnimal     `json:"young"`
	Links      []KinLink         `json:"links"`
	Candidates []Candidacy       `json:"candidates"`
	Life       *growth.PouchLife `json:"pouch_life,omitempty"` // by which losses are told
	Warnings   []string          `json:"warnings,omitempty"`
	LeftOut    []LeftOut         `json:"left_out,omitempty"`

	trips []string
}

// BreedingTrip is the grown females of one trip, each once.
type BreedingTrip struct {
	Trip       string            `json:"trip"`
	Checked    int               `json:"checked"`
	Breeding   int               `json:"breeding"` // of them, with young, in milk or pregnant
	NotChecked int               `json:"not_checked"`
	Unwritten  int               `json:"unwritten"`
	Exact      *proportion.Share `json:"exact,omitempty"`
	Wilson     *proportion.Share `json:"wilson,omitempty"`
	Refused    string            `json:"refused,omitempty"`
}

// HowBreeding answers whether the animals breed: the share of grown females
// breeding on each trip, of those that were checked; states by month; litters
// with what became of them; births in a female-year; first breeding; young as
// animals before they carry a mark, whose they are and on what evidence; and
// which of them a new animal could be. life tells at which ages young leave the
// pouch; nil takes what comes with the program for the species, and without any
// fewer losses can be told.
func HowBreeding(r *register.Register, q Which, life *growth.PouchLife) Breeding {
	a := ask(r, q)
	out := Breeding{State: r.State(), Which: q, Trips: []BreedingTrip{}, trips: a.trips, Life: life}
	if l, ok := growth.PouchLifeOf(a.sheet.Scientific); ok && life == nil && a.sheet.Scientific != "" {
		out.Life = &l
	}
	out.Adults = a.adults()
	visits := a.visits()
	out.shares(a, visits)
	out.Months = a.months(visits)
	mothers := a.mothers()
	for _, m := range mothers {
		out.Litters = append(out.Litters, m.litters(a, out.Life)...)
	}
	out.Rate = births(a, mothers, out.Litters)
	out.Intervals = intervals(out.Litters)
	out.First = a.firstBreeding(mothers)
	out.Young = a.youngAnimals()
	out.Candidates = a.candidacies(out.Life)
	out.Links = a.links(out.Candidates)
	out.LeftOut = a.left
	return out
}

// adults says by what a female counts as grown.
func (a *asked) adults() string {
	for _, g := range a.sheet.Stages {
		if g.Adult {
			says := "stage " + cmp.Or(g.Name, g.ID)
			if g.Basis != "" {
				says += ": " + g.Basis
			}
			return says + "; where no stage is written, all are taken for grown"
		}
	}
	return "all, since the sheet has no adult stage"
}

// shares counts the females of each trip.
func (out *Breeding) shares(a *asked, visits []visit) {
	rows := make([]BreedingTrip, len(a.trips))
	shut := 0
	for _, v := range visits {
		if a.sex(v.animal) != record.Female || !a.grownVisit(v) {
			continue
		}
		row := &rows[a.place[v.trip]]
		switch a.breeds(v) {
		case breedingYes:
			row.Checked++
			row.Breeding++
		case breedingNo:
			row.Checked++
		case breedingShut:
			row.NotChecked++
			shut++
		default:
			row.Unwritten++
		}
	}
	for i, row := range rows {
		if row.Checked+row.NotChecked+row.Unwritten == 0 {
			continue
		}
		row.Trip = a.trips[i]
		row.share()
		out.Trips = append(out.Trips, row)
	}
	if shut > 0 {
		out.Warnings = append(out.Warnings, fmt.Sprintf("%d females are left out of the shares since they were not checked; a pouch kept shut over large young makes the share too low", shut))
	}
}

func (t *BreedingTrip) share() {
	if t.Refused = thin("a share breeding", t.Checked, shareFemales, "females checked"); t.Refused != "" {
		return
	}
	exact, err := proportion.ClopperPearson(t.Breeding, t.Checked)
	wilson, err2 := proportion.Wilson(t.Breeding, t.Checked)
	if err == nil && err2 == nil {
		t.Exact, t.Wilson = &exact, &wilson
	}
}

// grownVisit reports an animal that is adult at a visit, or of a stage nobody
// wrote.
func (a *asked) grownVisit(v visit) bool {
	grown, unwritten := a.grown(stageAt(v.captures, v.captures[len(v.captures)-1]))
	return grown || unwritten
}

// What a visit says of breeding.
type breedingState int

const (
	breedingUnwritten breedingState = iota
	breedingShut
	breedingNo
	breedingYes
)

// breeds is what the captures of a visit say together: one that shows breeding
// is enough.
func (a *asked) breeds(v visit) breedingState {
	state := breedingUnwritten
	for _, c := range v.captures {
		state = max(state, a.breedsAt(c.Handled))
	}
	return state
}

// breedsAt reads one capture. A female breeds with young in the pouch or at
// foot, in milk, or pregnant. She does not where her pouch, or for a species
// without one any sign of breeding, was looked at and says none of these.
func (a *asked) breedsAt(h *record.Handled) breedingState {
	if len(h.Young) > 0 {
		return breedingYes
	}
	pouch, pouched := a.pouch(h)
	state := breedingUnwritten
	switch {
	case pouch == pouchOccupied:
		return breedingYes
	case pouch == pouchEmpty:
		state = breedingNo
	case pouch == pouchShut:
		state = breedingShut
	}
	for _, g := range a.sheet.Signs {
		s := h.Signs[g.ID]
		if g.Of == protocol.OfYoung || g.Sex == string(record.Male) {
			continue
		}
		switch {
		case inMilk(g.ID, s.Value):
			return breedingYes
		case pouched || !g.Breeds && g.ID != "reproductive":
		case s.Is() == record.Seen || s.Is() == record.NoneSeen:
			state = max(state, breedingNo)
		case s.Is() == record.NotChecked:
			state = max(state, breedingShut)
		}
	}
	return state
}

// inMilk reports a word that shows milk or young on the way. The ids are the
// trade's own words, and the only ones that say so on any sheet.
func inMilk(sign, value string) bool {
	switch sign {
	case "lactating", "pregnant":
		return value == "yes"
	case "teats":
		return value == "lactating"
	}
	return false
}

// YoungAnimal is a young as an animal of its own, before it carries a mark.
type YoungAnimal struct {
	ID     uuid.UUID    `json:"id"`
	Mother string       `json:"mother"`
	First  record.Night `json:"first"` // seen as a young
	Last   record.Night `json:"last"`
	Where  string       `json:"where"` // when last seen as a young
	Sex    record.Sex   `json:"sex,omitempty"`
	Sizes  string       `json:"sizes,omitempty"` // the last of each
	Now    string       `json:"now,omitempty"`   // the mark by which it was caught later
}

// youngAnimals are the young in the rows of the females asked for.
func (a *asked) youngAnimals() []YoungAnimal {
	out := []YoungAnimal{}
	done := map[uuid.UUID]bool{}
	for _, c := range a.captures {
		if c.Handled == nil {
			continue
		}
		for _, y := range c.Handled.Young {
			id, ok := a.AnimalOf(y.Young)
			if !ok || done[id] {
				continue
			}
			done[id] = true
			whole, _ := a.Animal(id)
			out = append(out, a.youngAnimal(whole, y.Young))
		}
	}
	return out
}

// youngAnimal tells one young from its rows.
func (a *asked) youngAnimal(whole *register.Animal, id uuid.UUID) YoungAnimal {
	out := YoungAnimal{ID: id, Mother: a.name(whole.Rows[0].Mother.Animal)}
	sizes := map[string]string{}
	for i, row := range whole.Rows {
		if i == 0 {
			out.First = row.Mother.At.Night
		}
		out.Last, out.Where = row.Mother.At.Night, row.Where
		out.Sex = cmp.Or(row.Sex, out.Sex)
		for key, m := range row.Measures {
			if m.Is() == record.Seen {
				sizes[key] = m.Counts().Typed
			}
		}
	}
	for _, t := range a.sheet.Traits {
		if t.Of == protocol.OfYoung && sizes[t.ID] != "" {
			out.Sizes += cmp.Or(map[bool]string{true: ", "}[out.Sizes != ""], "") + fmt.Sprintf("%s %s %s", cmp.Or(t.Name, t.ID), sizes[t.ID], t.Unit)
		}
	}
	if len(whole.Captures) > 0 {
		out.Now = a.name(whole.ID)
	}
	return out
}

// mother is a female with her captures, in order.
type mother struct {
	id       uuid.UUID
	captures []*register.Capture
}

func (a *asked) mothers() []mother {
	var out []mother
	for _, captures := range a.byAnimal() {
		if a.sex(captures[0].Animal) != record.Female {
			continue
		}
		m := mother{id: captures[0].Animal}
		for _, c := range captures {
			if c.Handled != nil {
				m.captures = append(m.captures, c)
			}
		}
		if len(m.captures) > 0 {
			out = append(out, m)
		}
	}
	return slices.Clip(out)
}
