// Package register folds the lines of a notebook into what is true now:
// animals, captures and effort as plain values, each holding the ids of the
// lines it came from.
//
// The fold does not depend on the order in which lines arrive, nor on how
// they are split over devices or repeated: the same set of lines always gives
// the same register. A correction or a strike may arrive before its line.
//
// Whose a capture is follows from live lines that say same, and from its marks.
// A line that says apart takes captures from the animal of another, and cuts
// only that: a mark which the animal bears without them speaks for them no
// more, their other marks do, and they stay together. What a line says same
// stays the same all the same, and is a contradiction.
//
// Corrections of one line are laid on by the clock. Two of which neither
// replaces the other, of one field or of a part and a field within it, are a
// disagreement unless they say the same or the later knew the earlier.
package register

import (
	"slices"
	"time"

	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

// Register is the state of a programme, made by New. It is not safe for use
// by several goroutines while lines are applied.
type Register struct {
	entries     map[uuid.UUID]*Entry
	corrections map[uuid.UUID][]*Entry          // by the line they correct
	strikes     map[uuid.UUID][]*Entry          // by the line they strike
	about       map[string]map[subject][]*Entry // live lines by kind and by what they are about

	parts    map[uuid.UUID][]*Entry // live lines that state a capture, by its id
	captures map[uuid.UUID]*Capture
	nights   map[subject][]*Capture // of one site and night

	nightsOf map[string]map[SiteNight]int // of each trip, by how many lines and captures say so

	bearing  map[MarkKey]map[uuid.UUID]bool   // captures on which a mark was read
	index    mark.Index                       // every mark, for tails and near misses
	links    map[uuid.UUID][]*Entry           // live same, apart and mother lines, by each id they name
	rows     map[uuid.UUID]map[uuid.UUID]bool // captures with a row for a young, by the young's id
	labelled map[string]map[uuid.UUID]bool    // captures at which a sample label was used
	animalOf map[uuid.UUID]uuid.UUID
	members  map[uuid.UUID][]uuid.UUID

	zone     *time.Location
	protocol *protocol.Protocol
	parsed   map[string]*protocol.Protocol // by text

	dirtyCaptures map[uuid.UUID]bool // to be put together again
	dirtyNodes    map[uuid.UUID]bool // whose animal is to be told again
}

// New returns an empty register.
func New() *Register {
	return &Register{
		entries:       map[uuid.UUID]*Entry{},
		corrections:   map[uuid.UUID][]*Entry{},
		strikes:       map[uuid.UUID][]*Entry{},
		about:         map[string]map[subject][]*Entry{},
		parts:         map[uuid.UUID][]*Entry{},
		captures:      map[uuid.UUID]*Capture{},
		nights:        map[subject][]*Capture{},
		nightsOf:      map[string]map[SiteNight]int{},
		bearing:       map[MarkKey]map[uuid.UUID]bool{},
		links:         map[uuid.UUID][]*Entry{},
		rows:          map[uuid.UUID]map[uuid.UUID]bool{},
		labelled:      map[string]map[uuid.UUID]bool{},
		animalOf:      map[uuid.UUID]uuid.UUID{},
		members:       map[uuid.UUID][]uuid.UUID{},
		zone:          time.UTC,
		protocol:      &protocol.Protocol{},
		parsed:        map[string]*protocol.Protocol{},
		dirtyCaptures: map[uuid.UUID]bool{},
		dirtyNodes:    map[uuid.UUID]bool{},
	}
}

// Apply folds lines in, in any order; a line already there changes nothing.
func (r *Register) Apply(entries ...*Entry) {
	r.Add(entries...)
	r.settle()
}

// Add takes lines in and leaves what follows from them to the next Apply:
// until then the register must not be read.
func (r *Register) Add(entries ...*Entry) {
	for _, e := range entries {
		r.add(e)
	}
}

// add takes in one line and marks what it changes.
func (r *Register) add(e *Entry) {
	switch had := r.entries[e.ID]; {
	case had == nil:
		r.entries[e.ID] = e
	case had.sum == e.sum && had.compare(e) <= 0:
		return
	default:
		r.unindex(had)
		r.retract(had)
		had.join(e)
		e = had
	}
	switch b := e.Body.(type) {
	case record.Correction:
		r.corrections[b.Line] = insert(r.corrections[b.Line], e)
	case record.Strike:
		r.strikes[b.Line] = insert(r.strikes[b.Line], e)
	}
	r.reread(e.ID, map[uuid.UUID]bool{})
}

// retract takes back a correction or strike whose words are about to be
// replaced by a later twin's.
func (r *Register) retract(e *Entry) {
	var line uuid.UUID
	switch b := e.Body.(type) {
	case record.Correction:
		line = b.Line
		r.corrections[line] = remove(r.corrections[line], e)
	case record.Strike:
		line = b.Line
		r.strikes[line] = remove(r.strikes[line], e)
	default:
		return
	}
	r.reread(line, map[uuid.UUID]bool{e.ID: true})
}

// reread takes the effective words of a line again, and of the line that it
// corrects or strikes.
func (r *Register) reread(id uuid.UUID, seen map[uuid.UUID]bool) {
	e := r.entries[id]
	if e == nil || seen[id] {
		return
	}
	seen[id] = true
	r.unindex(e)
	e.now = r.effective(e)
	r.reindex(e)
	switch b := e.Body.(type) {
	case record.Correction:
		r.reread(b.Line, seen)
	case record.Strike:
		r.reread(b.Line, seen)
	}
}

// unindex takes a line out of every index it stands in under its last words.
func (r *Register) unindex(e *Entry) {
	switch b := e.now.(type) {
	case nil:
		return
	case record.Capture:
		r.dropPart(b.Capture, e)
		return
	case record.Check:
		for _, c := range b.Captures {
			r.dropPart(c, e)
		}
	case record.Same, record.Apart, record.Mother:
		for _, id := range named(b) {
			r.links[id] = remove(r.links[id], e)
			r.dirtyNode(id)
		}
	}
	r.spentBy(e.now, -1)
	of := r.about[e.now.Kind()]
	s := subjectOf(e.now, e)
	if of[s] = remove(of[s], e); len(of[s]) == 0 {
		delete(of, s)
	}
}

// reindex enters a line under its effective words; a struck line stands
// nowhere.
func (r *Register) reindex(e *Entry) {
	switch b := e.now.(type) {
	case nil:
		return
	case record.Capture:
		r.parts[b.Capture] = insert(r.parts[b.Capture], e)
		r.dirtyCaptures[b.Capture] = true
		return
	case record.Check:
		for _, c := range b.Captures {
			r.parts[c] = insert(r.parts[c], e)
			r.dirtyCaptures[c] = true
		}
	case record.Same, record.Apart, record.Mother:
		for _, id := range named(b) {
			r.links[id] = insert(r.links[id], e)
			r.dirtyNode(id)
		}
	}
	r.spentBy(e.now, +1)
	kind := e.now.Kind()
	if r.about[kind] == nil {
		r.about[kind] = map[subject][]*Entry{}
	}
	s := subjectOf(e.now, e)
	r.about[kind][s] = insert(r.about[kind][s], e)
}

// dirtyNode marks what a line about identity may move: what it names, and
// whatever bears a mark of that.
func (r *Register) dirtyNode(id uuid.UUID) {
	r.dirtyNodes[id] = true
	if c := r.captures[id]; c != nil {
		for _, k := range c.marks {
			r.dirtyMark(k)
		}
	}
}

func (r *Register) dropPart(capture uuid.UUID, e *Entry) {
	r.parts[capture] = remove(r.parts[capture], e)
	r.dirtyCaptures[capture] = true
}

// settle brings captures, marks and animals up to date with the lines.
func (r *Register) settle() {
	r.adopt()
	r.tellZone()
	for id := range r.dirtyCaptures {
		r.putTogether(id)
	}
	r.dirtyCaptures = map[uuid.UUID]bool{} // not clear: after a large batch the map is large
	r.tellAnimals()
	r.dirtyNodes = map[uuid.UUID]bool{}
}

// adopt takes the protocol in force: the latest adopted by the clock. All
// captures are read again under it.
func (r *Register) adopt() {
	var text string
	if e := r.latest("protocol", subject{}); e != nil {
		text = e.now.(record.Protocol).Text
	}
	if text == r.protocol.Text {
		return
	}
	if r.parsed[text] == nil {
		p, err := protocol.Parse("the adopted protocol", []byte(text))
		if err != nil { // one this version cannot read: nothing is known of its species and marks
			p = &protocol.Protocol{Text: text}
		}
		r.parsed[text] = p
	}
	r.protocol = r.parsed[text]
	for id := range r.parts {
		r.dirtyCaptures[id] = true
	}
}

// insert puts an entry into its place by clock.
func insert(list []*Entry, e *Entry) []*Entry {
	i, there := slices.BinarySearchFunc(list, e, (*Entry).compare)
	if there {
		return list
	}
	return slices.Insert(list, i, e)
}

// remove takes an entry out.
func remove(list []*Entry, e *Entry) []*Entry {
	if i := slices.Index(list, e); i >= 0 {
		return slices.Delete(list, i, i+1)
	}
	return list
}
