package answer

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// KinLink is what speaks for one animal being the young of another.
type KinLink struct {
	Young    uuid.UUID        `json:"young"` // as an animal
	Name     string           `json:"name"`
	Mother   uuid.UUID        `json:"mother"`
	Of       string           `json:"of"` // the mother's name
	Grade    record.Certainty `json:"grade"`
	By       KinEvidence      `json:"by"`
	Evidence string           `json:"evidence"`
	Night    record.Night     `json:"night"`
	Row      uuid.UUID        `json:"row"`     // the young's id in her row, or its capture
	Capture  uuid.UUID        `json:"capture"` // of the mother
}

// KinEvidence is the kind of evidence, the strongest first.
type KinEvidence string

// The kinds of evidence (trade handbook of records, section 6: attached, or
// suckled in one trap, is certain).
const (
	ByTeat      KinEvidence = "attached to a teat"
	ByGenes     KinEvidence = "genes"
	ByPouch     KinEvidence = "in her pouch"
	ByTogether  KinEvidence = "in one trap"
	ByFoot      KinEvidence = "at foot"
	ByRow       KinEvidence = "known from her row"
	ByNeighbour KinEvidence = "neighbouring traps"
	ByDates     KinEvidence = "dates and sizes"
	ByStatement KinEvidence = "stated"
)

// rank of a grade, the surest first.
func rank(g record.Certainty) int {
	return slices.Index([]record.Certainty{record.Certain, record.Likely, record.Suspected}, g)
}

// links gathers the links of mother and young, for each pair the surest.
func (a *asked) links(new []Candidacy) []KinLink {
	var all []KinLink
	all = append(all, a.rowLinks()...)
	all = append(all, a.statedLinks()...)
	all = append(all, a.trapLinks()...)
	all = append(all, dateLinks(new)...)
	slices.SortStableFunc(all, func(x, y KinLink) int { return cmp.Compare(rank(x.Grade), rank(y.Grade)) })
	type pair struct{ young, mother uuid.UUID }
	seen := map[pair]bool{}
	out := []KinLink{}
	for _, l := range all {
		if k := (pair{l.Young, l.Mother}); !seen[k] && l.Young != l.Mother {
			seen[k] = true
			l.Name, l.Of = a.name(l.Young), a.name(l.Mother)
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(x, y KinLink) int { return x.Night.Compare(y.Night) })
	return out
}

// rowLinks are of the young in the rows of the animals in hand. A young seen
// attached stays hers while it is in her pouch; one that was later caught by
// itself is hers as surely as it was told to be the same.
func (a *asked) rowLinks() []KinLink {
	var out []KinLink
	done := map[uuid.UUID]bool{}
	for _, c := range a.captures {
		if c.Handled == nil {
			continue
		}
		for _, y := range c.Handled.Young {
			animal, ok := a.AnimalOf(y.Young)
			if !ok || done[animal] {
				continue
			}
			done[animal] = true
			whole, _ := a.Animal(animal)
			out = append(out, a.ofRows(whole)...)
		}
	}
	return out
}

func (a *asked) ofRows(whole *register.Animal) []KinLink {
	var out []KinLink
	for _, r := range whole.Rows {
		l := KinLink{Young: whole.ID, Mother: r.Mother.Animal, Night: r.Mother.At.Night, Row: r.Young.Young, Capture: r.Mother.ID()}
		switch {
		case r.Attached == "yes" && r.Where == "in pouch":
			l.Grade, l.By = record.Certain, ByTeat
		case r.Attached == "yes":
			l.Grade, l.By = record.Certain, ByTogether
			l.Evidence = "suckling when found; "
		case r.Where == "in pouch":
			l.Grade, l.By = record.Likely, ByPouch
		case r.Where == "at foot", r.Where == "same trap":
			l.Grade, l.By = record.Likely, map[string]KinEvidence{"at foot": ByFoot, "same trap": ByTogether}[r.Where]
		case r.Where == "neighbouring trap":
			l.Grade, l.By = record.Suspected, ByNeighbour
		default:
			continue
		}
		l.Evidence += fmt.Sprintf("%s on %s", l.By, l.Night)
		out = append(out, l)
	}
	if len(out) == 0 || len(whole.Captures) == 0 {
		return out
	}
	best := slices.MinFunc(out, func(x, y KinLink) int { return cmp.Compare(rank(x.Grade), rank(y.Grade)) })
	sure, says := a.sameAs(whole)
	for i := range out { // the whole animal, row and captures, is hers no more surely than they are one
		if rank(out[i].Grade) < rank(sure) {
			out[i].Grade = sure
		}
	}
	best.Grade = out[slices.IndexFunc(out, func(l KinLink) bool { return l.Capture == best.Capture })].Grade
	best.By, best.Evidence = ByRow, best.Evidence+"; caught later by itself: "+says
	best.Row = whole.Captures[0].ID()
	return append([]KinLink{best}, out...)
}

// sameAs is how surely the rows and captures of an animal are one: the least
// sure of the lines that say so, likely where they do not say.
func (a *asked) sameAs(whole *register.Animal) (record.Certainty, string) {
	sure, says := record.Certain, "the same id"
	for _, e := range a.IdentityLines(whole.ID) {
		b, ok := e.Now().(record.Same)
		if !ok {
			continue
		}
		said := cmp.Or(b.Sure, record.Likely)
		if rank(said) >= rank(sure) {
			sure, says = said, strings.Join(b.Evidence, ", ")
		}
	}
	return sure, says
}

// statedLinks are those that somebody wrote, as surely as they said; evidence
// that names genes counts as such.
func (a *asked) statedLinks() []KinLink {
	var out []KinLink
	done := map[uuid.UUID]bool{}
	for _, c := range a.captures {
		if done[c.Animal] {
			continue
		}
		done[c.Animal] = true
		whole, _ := a.Animal(c.Animal)
		for _, m := range whole.Mothers {
			on, ok := a.Capture(m.Mother)
			if !ok {
				continue
			}
			l := KinLink{Young: whole.ID, Mother: on.Animal, Grade: cmp.Or(m.Sure, record.Suspected), By: ByStatement, Evidence: m.Evidence,
				Night: c.At.Night, Row: m.Of, Capture: m.Mother}
			if genes(m.Evidence) {
				l.By = ByGenes
			}
			out = append(out, l)
		}
	}
	return out
}

// genes reports evidence that names a genetic test.
func genes(evidence string) bool {
	low := strings.ToLower(evidence)
	return slices.ContainsFunc([]string{"genotype", "genetic", "genes", "dna", "parentage"}, func(w string) bool { return strings.Contains(low, w) })
}

// trapLinks are of animals still with their mothers that were caught by
// themselves: in one trap with a female in milk, which is likely; or on one trip
// in traps beside each other, which is suspected, of each such female.
func (a *asked) trapLinks() []KinLink {
	var out []KinLink
	milk := a.inMilkOnTrip()
	for _, c := range a.captures {
		if c.Handled == nil || !a.withMother(c.Handled.Stage) {
			continue
		}
		for _, m := range milk[c.At.Trip] {
			if m.At.Site != c.At.Site || m.Animal == c.Animal {
				continue
			}
			l := KinLink{Young: c.Animal, Mother: m.Animal, Night: c.At.Night, Row: c.ID(), Capture: m.ID()}
			switch {
			case m.At.Trap == c.At.Trap && m.At.Night == c.At.Night && m.At.Round == c.At.Round:
				l.Grade, l.By = record.Likely, ByTogether
				l.Evidence = fmt.Sprintf("in trap %s together on %s, she in milk", c.At.Trap, c.At.Night)
			case a.beside(c, m):
				l.Grade, l.By = record.Suspected, ByNeighbour
				l.Evidence = fmt.Sprintf("caught at %s, she in milk at %s on %s", c.At.Trap, m.At.Trap, m.At.Night)
			default:
				continue
			}
			out = append(out, l)
		}
	}
	return out
}

// dateLinks are of new animals of which one young alone is a good fit by sex and
// place, and its dates and sizes speak too; they are suspected and never more.
func dateLinks(new []Candidacy) []KinLink {
	var out []KinLink
	for _, c := range new {
		if len(c.Could) == 0 || c.Could[0].Fit != "good" || len(c.Could) > 1 && c.Could[1].Fit == "good" {
			continue
		}
		y := c.Could[0]
		if !y.dated || y.Sizes == 0 {
			continue
		}
		out = append(out, KinLink{Young: c.Animal, Mother: y.MotherID, Grade: record.Suspected, By: ByDates, Evidence: strings.Join(y.For, ", "),
			Night: c.Night, Row: c.Capture, Capture: y.Captures})
	}
	return out
}

// inMilkOnTrip are the captures of females that were breeding, by trip; those of
// the trip at which only the mark was read count too.
func (a *asked) inMilkOnTrip() map[string][]*register.Capture {
	out := map[string][]*register.Capture{}
	for _, v := range a.visits() {
		if a.sex(v.animal) == record.Female && a.breeds(v) == breedingYes {
			out[v.trip] = append(out[v.trip], v.captures...)
		}
	}
	return out
}
