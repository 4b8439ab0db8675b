package demo

import (
	"dawnround/record"

	"github.com/google/uuid"
)

// Truth is who really was who. Its caller writes it beside the programme as
// truth.json; nothing in the program reads it.
type Truth struct {
	Says    string       `json:"says"` // that all of it is invented
	Seed    uint64       `json:"seed"`
	Last    record.Night `json:"last"`   // the last evening, when traps were set and not yet seen
	Growth  string       `json:"growth"` // the family of curves
	Crew    []string     `json:"crew"`   // how its handlers err
	Alive   []Alive      `json:"alive"`
	Animals []Animal     `json:"animals"` // those told by hand, then those born by chance that lived in these years, and their mothers
}

// Alive is how many animals lived on their own on a ridge on a trip's first
// night, those told by hand left out.
type Alive struct {
	Trip    string `json:"trip"`
	Site    string `json:"site"`
	Species string `json:"species"`
	Animals int    `json:"animals"`
}

// Animal is one animal as it was.
type Animal struct {
	ID       string           `json:"id"`
	Told     string           `json:"told,omitempty"` // its story, of those told by hand
	Species  string           `json:"species"`
	Sex      record.Sex       `json:"sex"`
	Born     record.Night     `json:"born,omitzero"`
	Died     record.Night     `json:"died,omitzero"`
	How      string           `json:"how,omitempty"`
	Mother   string           `json:"mother,omitempty"`
	Site     string           `json:"site"`
	Home     float64          `json:"home,omitempty"`   // along the line, in traps
	Curves   map[string]Curve `json:"curves,omitempty"` // mm and g
	Row      uuid.UUID        `json:"row,omitzero"`     // its id as a young of its mother's
	Marks    []Borne          `json:"marks,omitempty"`
	Captures []Caught         `json:"captures,omitempty"`
}

// Borne is a mark it bore.
type Borne struct {
	Kind string       `json:"kind"`
	Text string       `json:"text"`
	Put  record.Night `json:"put"`
	Lost bool         `json:"lost,omitempty"`
}

// Caught is one capture of it.
type Caught struct {
	Capture uuid.UUID          `json:"capture"`
	Night   record.Night       `json:"night"`
	Site    string             `json:"site"`
	Trap    string             `json:"trap"`
	Misread string             `json:"misread,omitempty"` // what was read for its chip
	Sizes   map[string]float64 `json:"sizes,omitempty"`   // true, mm and g without its young
}

const (
	invented = "Invented from the first to the last word: no such animals, places, people or approval exist. " +
		"This is who really was who in the demo, to hold answers against; no part of the program reads it."
	growthSays = "Janoschek's curve: size = grown - (grown - birth) * exp(-k * age^p), age in days"
)

var crewSays = []string{
	"every reading is off by a normal error: head and pes 0.35 mm, tail 2 mm, ear 0.7 mm, testis 0.7 mm, young 0.4 mm, crown–rump 1.5 mm",
	"JT reads heads 1.2 mm long",
	"CK reads one pes in sixteen with its claw, 7 mm long, and does not say so",
	"one chip in twenty is typed from the reader's screen, and of those nearly half with a digit wrong",
}

// tell closes the account of a beast.
func (b *beast) tell(dated func(day int) record.Night, sites []string) Animal {
	a := b.truth
	a.ID, a.Species, a.Sex, a.Site, a.Home, a.How, a.Row = b.name, b.code, b.sex(), sites[b.site], b.home, b.how, b.row
	a.Born = dated(b.born)
	if b.how != "" {
		a.Died = dated(b.died)
	}
	if b.mother != nil {
		a.Mother = b.mother.name
	}
	a.Curves = map[string]Curve{mass: b.curve(mass)}
	for _, trait := range bones {
		a.Curves[trait] = b.curve(trait)
	}
	if !b.female {
		a.Curves[testis] = b.curve(testis)
	}
	return a
}

func (b *beast) sex() record.Sex {
	if b.female {
		return record.Female
	}
	return record.Male
}
