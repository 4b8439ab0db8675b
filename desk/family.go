package desk

import (
	"slices"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// YoungRow is one sight of a young in its mother's row.
type YoungRow struct {
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Says    string       `json:"says"`
}

// Link is a stated or observed link to another animal.
type Link struct {
	Animal   uuid.UUID `json:"animal"`
	Name     string    `json:"name"`
	Sure     string    `json:"sure"`
	Evidence string    `json:"evidence"`
	By       string    `json:"by,omitempty"` // the kind of evidence
}

// Child is one young of this animal.
type Child struct {
	Animal uuid.UUID    `json:"animal"`
	Name   string       `json:"name"`
	First  record.Night `json:"first,omitzero"` // in her row
	Last   record.Night `json:"last,omitzero"`
	Seen   []YoungRow   `json:"seen,omitempty"`
	Fate   string       `json:"fate"`
	Sure   string       `json:"sure"`
	By     string       `json:"by,omitempty"` // the kind of evidence
}

// family tells mother and young.
func (w words) family(l *Life, a *register.Animal) {
	for _, r := range a.Rows {
		s := w.sheet(r.Mother.Species())
		l.AsYoung = append(l.AsYoung, YoungRow{r.Mother.ID(), r.Mother.At.Night, w.youngRow(s, r.Young)})
		if n := len(l.Mothers); n == 0 || l.Mothers[n-1].Animal != r.Mother.Animal {
			l.Mothers = append(l.Mothers, Link{Animal: r.Mother.Animal, Name: w.name(r.Mother.Animal), Sure: sure(r.Young), Evidence: "in her row on " + short(r.Mother.At.Night)})
		}
	}
	for _, m := range a.Mothers {
		if id, ok := w.AnimalOf(m.Mother); ok {
			l.Mothers = append(l.Mothers, Link{Animal: id, Name: w.name(id), Sure: string(m.Sure), Evidence: m.Evidence})
		}
	}
	var told []uuid.UUID
	for _, y := range a.Young {
		id, ok := w.AnimalOf(y)
		if !ok || slices.Contains(told, id) {
			continue
		}
		told = append(told, id)
		l.Young = append(l.Young, w.child(a, id))
	}
	slices.SortFunc(l.Young, func(a, b Child) int { return a.First.Compare(b.First) })
}

// sure is how certain it is that a young in her row is hers: attached to a
// teat is certain (record.md's grades).
func sure(y record.Young) string {
	switch {
	case y.Sure != "":
		return string(y.Sure)
	case y.Attached == "yes":
		return string(record.Certain)
	}
	return "not graded"
}

// child is one young as her rows and later lines tell it.
func (w words) child(mother *register.Animal, id uuid.UUID) Child {
	a, _ := w.Animal(id)
	c := Child{Animal: id, Name: w.nameOf(a), Sure: "not graded"}
	for _, r := range a.Rows {
		if r.Mother.Animal != mother.ID {
			continue
		}
		if len(c.Seen) == 0 {
			c.First = r.Mother.At.Night
		}
		c.Last, c.Fate = r.Mother.At.Night, spaced("last", r.Where, short(r.Mother.At.Night))
		if s := sure(r.Young); s != "not graded" {
			c.Sure = s
		}
		c.Seen = append(c.Seen, YoungRow{r.Mother.ID(), r.Mother.At.Night, w.youngRow(w.sheet(r.Mother.Species()), r.Young)})
	}
	for _, m := range a.Mothers {
		if on, ok := w.AnimalOf(m.Mother); ok && on == mother.ID {
			c.Sure = string(m.Sure)
		}
	}
	if len(a.Captures) > 0 {
		last := a.Captures[len(a.Captures)-1]
		c.Fate = "is " + c.Name + ", last seen " + short(last.At.Night)
		if c.First.IsZero() {
			c.First, c.Last = a.Captures[0].At.Night, a.Captures[0].At.Night
		}
	} else if c.Fate == "" {
		c.Fate = "not seen in her row"
	}
	return c
}
