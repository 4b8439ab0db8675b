package protocol

import (
	"fmt"
	"slices"
	"strings"
)

// OrderWords are the steps of a calling order that are neither trait nor sign.
var OrderWords = []string{"species", "weight", "marks", "sex", "stage", "young", "findings", "samples", "release"}

// Sheet finds a species by its code or, failing that, by its code, name or
// alias in large or small letters.
func (p *Protocol) Sheet(code string) (*Sheet, bool) {
	for i := range p.Species {
		if p.Species[i].Code == code {
			return &p.Species[i], true
		}
	}
	for i := range p.Species {
		if s := &p.Species[i]; slices.ContainsFunc(s.words(), func(w string) bool { return w != "" && strings.EqualFold(w, code) }) {
			return s, true
		}
	}
	return nil, false
}

func (s *Sheet) words() []string {
	return append(words(s.Code, s.Name, s.Aliases), s.Scientific)
}

// CallingOrder is the order in which an animal of the sheet is called; where the
// sheet says none, marks, sex, stage and weight come first, then what is seen,
// the young, what is measured, and what was found and taken.
func (s *Sheet) CallingOrder() []string {
	if len(s.Order) > 0 {
		return s.Order
	}
	order := []string{"species", "marks", "sex", "stage", "weight"}
	ofYoung := false
	for _, g := range s.Signs {
		if g.Of == OfYoung {
			ofYoung = true
			continue
		}
		order = append(order, g.ID)
	}
	var measured []string
	for _, t := range s.Traits {
		switch {
		case t.Of == OfYoung:
			ofYoung = true
		case t.ID != "mass": // it is weighed
			measured = append(measured, t.ID)
		}
	}
	if ofYoung {
		order = append(order, "young")
	}
	return append(append(order, measured...), "findings", "samples", "release")
}

// StageRank is the place of a life stage in the order it is lived, from 0; -1
// for a stage that is not on the sheet.
func (s *Sheet) StageRank(id string) int {
	return slices.IndexFunc(s.Stages, func(g Stage) bool { return g.ID == id })
}

// inherit gives each sheet what it does not say itself and another says for it.
func (p *Protocol) inherit(r *review) {
	for i := range p.Species {
		s := &p.Species[i]
		if s.Like == "" {
			continue
		}
		at := slices.IndexFunc(p.Species[:i], func(o Sheet) bool { return o.Code == s.Like })
		if at < 0 {
			r.say(&s.Like, fmt.Sprintf("like %q is not the code of a species further up", s.Like), "write the code of an earlier sheet")
			continue
		}
		s.take(&p.Species[at])
	}
}

// take fills what is unsaid in s from another sheet. An empty list was said.
func (s *Sheet) take(o *Sheet) {
	unsaid(&s.Traits, o.Traits)
	unsaid(&s.Signs, o.Signs)
	unsaid(&s.Stages, o.Stages)
	unsaid(&s.Marks, o.Marks)
	unsaid(&s.Order, o.Order)
	unsaid(&s.Retrap, o.Retrap)
	unsaid(&s.Required, o.Required)
	if s.Litter == 0 {
		s.Litter = o.Litter
	}
	if s.Teats == 0 {
		s.Teats = o.Teats
	}
}

func unsaid[T any](list *[]T, from []T) {
	if *list == nil {
		*list = from
	}
}

// sheets checks all species.
func (r *review) sheets(p *Protocol) {
	var all []named
	var kinds []string
	for _, m := range p.Marks {
		kinds = append(kinds, m.ID)
	}
	for i := range p.Species {
		s := &p.Species[i]
		all = append(all, named{&s.Code, s.words()})
		r.id(&s.Code)
		notNegative(r, &s.Litter, "litter")
		notNegative(r, &s.Teats, "teats")
		r.stages(s)
		r.traits(s)
		r.signs(s)
		r.calls(s)
		r.ageing(s)
		r.order(s, s.Order)
		r.order(s, s.Retrap)
		r.order(s, s.Required)
		for j := range s.Marks {
			if !slices.Contains(kinds, s.Marks[j]) {
				r.say(&s.Marks[j], fmt.Sprintf("mark %q is not under marks:", s.Marks[j]), write(s.Marks[j], kinds))
			}
		}
	}
	r.names(all)
}

func (r *review) stages(s *Sheet) {
	var all []named
	for i := range s.Stages {
		g := &s.Stages[i]
		all = append(all, named{&g.ID, words(g.ID, g.Name, g.Aliases)})
		r.id(&g.ID)
		if g.Adult && g.Young {
			r.say(&g.ID, fmt.Sprintf("stage %s is both adult and with its mother", g.ID), "take one away")
		}
	}
	r.names(all)
}

// stage checks a reference to a stage of the sheet.
func (r *review) stage(s *Sheet, id *string) {
	if *id != "" && s.StageRank(*id) < 0 {
		var ids []string
		for _, g := range s.Stages {
			ids = append(ids, g.ID)
		}
		r.say(id, fmt.Sprintf("stage %q is not a stage of %s", *id, s.Code), write(*id, ids))
	}
}

// calls checks that no word means two traits or signs, of the animal or of
// the young.
func (r *review) calls(s *Sheet) {
	var animal, young []named
	into := func(of string, n named) {
		if of == OfYoung {
			young = append(young, n)
		} else {
			animal = append(animal, n)
		}
	}
	for i := range s.Traits {
		t := &s.Traits[i]
		into(t.Of, named{&t.ID, words(t.ID, t.Name, t.Aliases)})
	}
	for i := range s.Signs {
		g := &s.Signs[i]
		into(g.Of, named{&g.ID, words(g.ID, g.Name, g.Aliases)})
	}
	r.names(animal)
	r.names(young)
}

// order checks a calling order, or what must be had before release.
func (r *review) order(s *Sheet, order []string) {
	known := slices.Clone(OrderWords)
	for _, t := range s.Traits {
		if t.Of != OfYoung {
			known = append(known, t.ID)
		}
	}
	for _, g := range s.Signs {
		if g.Of != OfYoung {
			known = append(known, g.ID)
		}
	}
	for i := range order {
		switch w := order[i]; {
		case !slices.Contains(known, w):
			r.say(&order[i], fmt.Sprintf("%q is neither a trait or sign of %s nor a step of the order", w, s.Code), write(w, known))
		case slices.Contains(order[:i], w):
			r.say(&order[i], fmt.Sprintf("%q stands twice in one order", w), "keep one")
		}
	}
}
