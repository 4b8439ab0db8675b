package register

import (
	"bytes"
	"maps"
	"slices"

	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// Animal is one animal as the lines tell it: the captures and the young that
// are taken to be the same, named by their smallest id.
type Animal struct {
	ID       uuid.UUID
	Captures []*Capture      // by night
	Rows     []Row           // as a young of her mother, by night
	Spans    []Span          // its marks, by first capture
	Mothers  []record.Mother // stated links
	Young    []uuid.UUID     // ids of young in its rows, and of those linked to it
}

// Row is an animal as it was seen as a young in its mother's row.
type Row struct {
	Mother *Capture
	record.Young
}

// AnimalOf is the animal of a capture or a young.
func (r *Register) AnimalOf(id uuid.UUID) (uuid.UUID, bool) {
	a, ok := r.animalOf[id]
	return a, ok
}

// AnimalIDs gives every animal, sorted by id. Young that were never caught
// themselves are among them.
func (r *Register) AnimalIDs() []uuid.UUID {
	return slices.SortedFunc(maps.Keys(r.members), compareIDs)
}

// Animal gives an animal by its own id or by the id of any capture or young
// that is part of it.
func (r *Register) Animal(id uuid.UUID) (*Animal, bool) {
	name, ok := r.animalOf[id]
	if !ok {
		return nil, false
	}
	a := &Animal{ID: name}
	for _, node := range r.members[name] {
		if c := r.captures[node]; c != nil {
			a.Captures = append(a.Captures, c)
			for _, y := range c.young() {
				a.Young = appendNew(a.Young, y.Young)
			}
		}
		for capture := range r.rows[node] {
			a.Rows = append(a.Rows, r.rowOf(capture, node))
		}
		for _, e := range r.links[node] {
			r.addMother(a, e)
		}
	}
	slices.SortFunc(a.Captures, (*Capture).Compare)
	slices.SortFunc(a.Rows, func(x, y Row) int { return x.Mother.Compare(y.Mother) })
	a.Spans = r.spansOf(a)
	slices.SortFunc(a.Young, compareIDs)
	return a, true
}

// addMother takes a stated link: of this animal to its mother, or of another
// to this one.
func (r *Register) addMother(a *Animal, e *Entry) {
	m, ok := e.now.(record.Mother)
	if !ok {
		return
	}
	if r.animalOf[m.Of] == a.ID {
		if !slices.Contains(a.Mothers, m) {
			a.Mothers = append(a.Mothers, m)
		}
		return
	}
	a.Young = appendNew(a.Young, m.Of)
}

func (r *Register) rowOf(capture, young uuid.UUID) Row {
	c := r.captures[capture]
	i := slices.IndexFunc(c.young(), func(y record.Young) bool { return y.Young == young })
	return Row{Mother: c, Young: c.young()[i]}
}

// spansOf gives the spans of an animal's marks, by first capture.
func (r *Register) spansOf(a *Animal) []Span {
	var keys []MarkKey
	for _, c := range a.Captures {
		for _, k := range c.marks {
			if !slices.Contains(keys, k) {
				keys = append(keys, k)
			}
		}
	}
	var out []Span
	for _, k := range keys {
		for _, s := range r.spans(k) {
			s.Captures = slices.DeleteFunc(s.Captures, func(c *Capture) bool { return c.Animal != a.ID })
			if len(s.Captures) > 0 {
				out = append(out, s)
			}
		}
	}
	return out
}

// CalledBy is the mark by which an animal is called: of those it bears the
// transponder, else the one last read; where all are gone, or speak for
// another animal, the last of them.
func (r *Register) CalledBy(a *Animal) (MarkKey, bool) {
	var best MarkKey
	most := -1
	for _, s := range a.Spans {
		rank := 1
		if kind, ok := r.protocol.MarkKind(s.Key.Kind); ok && kind.Form == protocol.Transponder {
			rank = 2
		}
		if s.Gone != nil || r.misled(s) {
			rank = 0
		}
		if rank >= most {
			best, most = s.Key, rank
		}
	}
	return best, most >= 0
}

// misled reports a span of an animal's mark whose captures are all taken from
// the animal that bears it.
func (r *Register) misled(s Span) bool {
	for _, c := range s.Captures {
		if len(r.apart(c.ID())) == 0 {
			return false
		}
	}
	for _, whole := range r.spans(s.Key) {
		if slices.Contains(whole.Captures, s.Captures[0]) {
			return !slices.ContainsFunc(s.Captures, func(c *Capture) bool { return !r.taken(c, whole) })
		}
	}
	return false
}

// tellAnimals tells again whose capture is whose, for every node that a
// change may have moved.
func (r *Register) tellAnimals() {
	todo := slices.Collect(maps.Keys(r.dirtyNodes))
	for _, id := range todo {
		for _, m := range r.members[r.animalOf[id]] { // those it was told together with
			r.dirtyNodes[m] = true
		}
	}
	for id := range r.dirtyNodes {
		if name, ok := r.animalOf[id]; ok {
			delete(r.members, name)
			delete(r.animalOf, id)
		}
	}
	for id := range r.dirtyNodes {
		if _, told := r.animalOf[id]; !told && r.node(id) {
			r.tell(id)
		}
	}
}

// node reports whether an id is a capture or a young of this register.
func (r *Register) node(id uuid.UUID) bool { return r.captures[id] != nil || len(r.rows[id]) > 0 }

// tell gathers the animal of one node and names it by its smallest id.
func (r *Register) tell(id uuid.UUID) {
	g := group{ids: []uuid.UUID{id}, has: map[uuid.UUID]bool{id: true}, spans: map[MarkKey][]Span{}}
	for i := 0; i < len(g.ids); i++ {
		r.gather(&g, g.ids[i])
	}
	slices.SortFunc(g.ids, compareIDs)
	name := g.ids[0]
	for _, id := range g.ids {
		if had, ok := r.animalOf[id]; ok && had != name {
			delete(r.members, had)
		}
		r.animalOf[id] = name
		if c := r.captures[id]; c != nil {
			c.Animal = name
		}
	}
	r.members[name] = g.ids
}

// group is the captures and young found so far to be one animal, and the
// spans of its marks that are not gathered yet.
type group struct {
	ids   []uuid.UUID
	has   map[uuid.UUID]bool
	spans map[MarkKey][]Span
}

// gather adds what is taken for the same animal as one node: by a live line
// that says so, by a line that takes captures together out of another animal,
// or by a mark in force on that night, unless such a line takes the capture
// from the animal that bears it.
func (r *Register) gather(g *group, id uuid.UUID) {
	add := func(id uuid.UUID) {
		if !g.has[id] && r.node(id) {
			g.has[id] = true
			g.ids = append(g.ids, id)
		}
	}
	for _, e := range r.links[id] {
		switch b := e.now.(type) {
		case record.Same:
			for _, o := range b.Of {
				add(o)
			}
		case record.Apart:
			if slices.Contains(b.These, id) {
				for _, o := range b.These {
					add(o)
				}
			}
		}
	}
	c := r.captures[id]
	if c == nil {
		return
	}
	for _, k := range c.marks {
		if _, told := g.spans[k]; !told {
			g.spans[k] = r.spans(k)
		}
		g.spans[k] = slices.DeleteFunc(g.spans[k], func(s Span) bool {
			if !slices.Contains(s.Captures, c) || r.taken(c, s) {
				return false
			}
			for _, o := range s.Captures {
				if !r.taken(o, s) {
					add(o.ID())
				}
			}
			return true // gathered once, for all its captures
		})
	}
}

// apart gives the live lines that take a capture out of another's animal.
func (r *Register) apart(id uuid.UUID) []record.Apart {
	var out []record.Apart
	for _, e := range r.links[id] {
		if b, ok := e.now.(record.Apart); ok && slices.Contains(b.These, id) {
			out = append(out, b)
		}
	}
	return out
}

// taken reports a capture for which a mark does not speak, since a live line
// takes it out of the animal that bears the mark.
func (r *Register) taken(c *Capture, s Span) bool {
	for _, b := range r.apart(c.ID()) {
		from := r.without(b.From)
		if slices.ContainsFunc(s.Captures, func(o *Capture) bool { return from[o] }) {
			return true
		}
	}
	return false
}

// without gives the animal of a capture as it is without the captures that
// lines take out of any animal: told by marks and by lines that say same.
func (r *Register) without(id uuid.UUID) map[*Capture]bool {
	found := map[*Capture]bool{}
	ids := []uuid.UUID{id}
	for i := 0; i < len(ids); i++ {
		if i > 0 && len(r.apart(ids[i])) > 0 {
			continue
		}
		for _, o := range r.SaidSame(ids[i]) {
			ids = appendNew(ids, o)
		}
		c := r.captures[ids[i]]
		if c == nil {
			continue
		}
		found[c] = true
		for _, k := range c.marks {
			for _, s := range r.spans(k) {
				if !slices.Contains(s.Captures, c) {
					continue
				}
				for _, o := range s.Captures {
					ids = appendNew(ids, o.ID())
				}
			}
		}
	}
	return found
}

// Contradiction is a line that says two are not the same while others make
// them one.
type Contradiction struct {
	Line   uuid.UUID // the line that says apart
	Animal uuid.UUID
	Apart  record.Apart
}

// Contradictions gives the apart lines that the other lines overrule.
func (r *Register) Contradictions() []Contradiction {
	var out []Contradiction
	for _, entries := range r.about["apart"] {
		for _, e := range entries {
			b := e.now.(record.Apart)
			for _, id := range b.These {
				if a, ok := r.animalOf[id]; ok && a == r.animalOf[b.From] {
					out = append(out, Contradiction{Line: e.ID, Animal: a, Apart: b})
					break
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b Contradiction) int { return compareIDs(a.Line, b.Line) })
	return out
}

func compareIDs(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) }

func appendNew(list []uuid.UUID, id uuid.UUID) []uuid.UUID {
	if slices.Contains(list, id) {
		return list
	}
	return append(list, id)
}
